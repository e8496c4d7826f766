// SPDX-License-Identifier: Apache-2.0
#include "units/class_word.hpp"

#include <string>

#include "units/text.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

ClassWords take_class_words(std::string_view text) {
  ClassWords words;
  words.rest = trimmed(text);
  while (true) {
    const std::size_t blank = words.rest.find_first_of(" \t");
    if (blank == std::string_view::npos) return words;
    const std::string word = lower(words.rest.substr(0, blank));
    if (const auto source = source_class_named(word)) {
      if (words.source) words.too_many = true;
      words.source = source;
    } else if (word == "exactly") {
      if (words.exact) words.too_many = true;
      words.exact = true;
    } else {
      return words;
    }
    words.rest = trimmed(words.rest.substr(blank));
  }
}

}  // namespace fw::units
