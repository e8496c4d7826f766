// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"

namespace fw::casefile {

/// One value to change in a document.
struct Edit {
  /// Dotted path as errors print it, lists counted from 1: "engine.rated_power", "leg[1].part[3].bore".
  std::string path;
  /// The new value. A text is written in quotes; a whole number and a truth stay what they are ("6", "true").
  std::string value;
};

/// The document with the edited values' text changed in place: every other byte stays, so comments, order, line ends
/// and quantities as typed survive. Text takes the place of text, whole numbers and truths that of their own kind.
///
/// Errors: those of Document::parse; not_found for a path that is not there, with the nearest key; conflict for two
/// edits of one value; invalid_input for a table or list, and for a value of the wrong kind. All edits or none.
/// Check: saver_test.cpp edits at random and compares every other byte.
[[nodiscard]] Result<std::string> save_in_place(std::string_view text, const std::string& file,
                                                const std::vector<Edit>& edits);

}  // namespace fw::casefile
