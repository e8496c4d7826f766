// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

#include "base/stated.hpp"

/// Inside the room units: the words before a stated number.
namespace fw::units {

struct ClassWords {
  std::optional<SourceClass> source;  ///< "measured", "datasheet", "catalog", "typical", "assumed"
  bool exact = false;                 ///< "exactly"
  bool too_many = false;              ///< two class words, or "exactly" twice
  std::string_view rest;              ///< trimmed; a view into the text given
};

/// Takes the class words off the head of `text`, in any case. The last word stays where nothing follows it.
[[nodiscard]] ClassWords take_class_words(std::string_view text);

}  // namespace fw::units
