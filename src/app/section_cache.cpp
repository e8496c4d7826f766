// SPDX-License-Identifier: Apache-2.0
#include "app/section_cache.hpp"

#include <algorithm>
#include <utility>

#include "base/contract.hpp"

namespace fw::app {

namespace {

std::size_t at(assess::Section section) { return static_cast<std::size_t>(section); }

}  // namespace

SectionCache::SectionCache(std::size_t most) : most_(most) { FW_EXPECTS(most >= 1); }

std::shared_ptr<const assess::SectionValue> SectionCache::find(assess::Section section, const assess::ContentKey& key) {
  const std::lock_guard lock(mutex_);
  const auto entry = entries_.find(key);
  if (entry == entries_.end()) return nullptr;
  entry->second.used = ++clock_;
  ++found_[at(section)];
  return entry->second.value;
}

void SectionCache::keep(assess::Section section, const assess::ContentKey& key,
                        std::shared_ptr<const assess::SectionValue> value) {
  const std::lock_guard lock(mutex_);
  ++computed_[at(section)];
  entries_[key] = {.value = std::move(value), .used = ++clock_};
  if (entries_.size() <= most_) return;
  entries_.erase(std::ranges::min_element(entries_, {}, [](const auto& entry) { return entry.second.used; }));
}

std::size_t SectionCache::computed(assess::Section section) const {
  const std::lock_guard lock(mutex_);
  return computed_[at(section)];
}

std::size_t SectionCache::found(assess::Section section) const {
  const std::lock_guard lock(mutex_);
  return found_[at(section)];
}

std::size_t SectionCache::size() const {
  const std::lock_guard lock(mutex_);
  return entries_.size();
}

}  // namespace fw::app
