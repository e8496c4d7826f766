// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>

#include "assess/content_key.hpp"
#include "assess/section.hpp"

namespace fw::app {

/// Results of sections between two judgements, in memory: the last used of `most` stay. Several threads may use it; two
/// that ask for the same section at once may both compute it, with the same result. Holds for as long as the program
/// runs and no longer (content_key.hpp).
class SectionCache final : public assess::SectionStore {
 public:
  /// 64 hold a dozen versions of a case with three sheets; the draws of one sheet at depth paper take some megabytes.
  explicit SectionCache(std::size_t most = 64);

  [[nodiscard]] std::shared_ptr<const assess::SectionValue> find(assess::Section section,
                                                                 const assess::ContentKey& key) override;
  void keep(assess::Section section, const assess::ContentKey& key,
            std::shared_ptr<const assess::SectionValue> value) override;

  /// How often a section was computed through this cache, and how often it was found.
  [[nodiscard]] std::size_t computed(assess::Section section) const;
  [[nodiscard]] std::size_t found(assess::Section section) const;
  [[nodiscard]] std::size_t size() const;

 private:
  struct Entry {
    std::shared_ptr<const assess::SectionValue> value;
    std::uint64_t used = 0;
  };

  std::size_t most_;
  mutable std::mutex mutex_;  ///< guards all that follows
  std::uint64_t clock_ = 0;   ///< counts uses
  std::map<assess::ContentKey, Entry> entries_;
  std::array<std::size_t, assess::section_count> computed_{};
  std::array<std::size_t, assess::section_count> found_{};
};

}  // namespace fw::app
