// SPDX-License-Identifier: Apache-2.0
#include "base/stated.hpp"

#include <array>

namespace fw {

namespace {
constexpr std::array<std::string_view, 5> source_names{"measured", "datasheet", "catalog", "typical", "assumed"};
constexpr std::array<std::string_view, 6> spread_names{"exact",   "normal",      "lognormal",
                                                       "uniform", "log-uniform", "triangular"};
}  // namespace

std::string_view name(SourceClass source) { return source_names.at(static_cast<std::size_t>(source)); }

std::optional<SourceClass> source_class_named(std::string_view text) {
  for (std::size_t i = 0; i < source_names.size(); ++i) {
    if (source_names[i] == text) return static_cast<SourceClass>(i);
  }
  return std::nullopt;
}

std::string_view name(SpreadKind kind) { return spread_names.at(static_cast<std::size_t>(kind)); }

Stated exactly(double value, std::string id) {
  Stated stated;
  stated.value = value;
  stated.source = SourceClass::measured;
  stated.id = std::move(id);
  return stated;
}

}  // namespace fw
