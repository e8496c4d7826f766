// SPDX-License-Identifier: Apache-2.0
#include "assess/section.hpp"

#include <array>

#include "assess/content_key.hpp"

namespace fw::assess {

namespace {

constexpr std::array<Section, section_count> all{Section::supply, Section::comparison, Section::diagnosis,
                                                 Section::looks,  Section::debris,     Section::extent,
                                                 Section::rail,   Section::heat,       Section::water};

}  // namespace

std::string_view name(Section section) {
  switch (section) {
    case Section::supply: return "supply";
    case Section::comparison: return "comparison";
    case Section::diagnosis: return "diagnosis";
    case Section::looks: return "looks";
    case Section::debris: return "debris";
    case Section::extent: return "extent";
    case Section::rail: return "rail";
    case Section::heat: return "heat";
    case Section::water: return "water";
  }
  return "supply";
}

std::optional<Section> section_named(std::string_view text) {
  for (const Section section : all) {
    if (name(section) == text) return section;
  }
  return std::nullopt;
}

std::span<const Section> all_sections() { return all; }

SectionSet quick_sections() {
  return {Section::supply, Section::comparison, Section::diagnosis, Section::looks, Section::rail};
}

SectionSet every_section() {
  SectionSet set;
  for (const Section section : all) set.add(section);
  return set;
}

std::shared_ptr<const SectionValue> NoStore::find(Section /*section*/, const ContentKey& /*key*/) { return nullptr; }

void NoStore::keep(Section /*section*/, const ContentKey& /*key*/, std::shared_ptr<const SectionValue> /*value*/) {}

}  // namespace fw::assess
