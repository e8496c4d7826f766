// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a case.toml gives a case or errors that teach, and saving its title changes nothing else: the
// title reads back as typed, and saving the old one again gives the old bytes where it was a plain text in quotes.
#include <cstddef>
#include <cstdint>
#include <string>

#include "casefile/case.hpp"
#include "casefile/saver.hpp"
#include "catalog/document.hpp"
#include "checks.hpp"

using fw::fuzz::book;
using fw::fuzz::check;
using fw::fuzz::check_errors;

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  check_errors(fw::casefile::read_case_text(text, "case.toml", "no-such-folder", book()));

  auto before = fw::catalog::Document::parse(text, "case.toml", {});
  if (!before) return 0;
  const auto title = before->root().text("title");
  if (!title) return 0;
  const std::string fresh = "a \"new\" title";
  const auto saved = fw::casefile::save_in_place(text, "case.toml", {{"title", fresh}});
  check_errors(saved);
  if (!saved) return 0;
  auto after = fw::catalog::Document::parse(*saved, "case.toml", {});
  check(after.has_value());
  check(after->root().text("title") == fresh);
  const auto back = fw::casefile::save_in_place(*saved, "case.toml", {{"title", *title}});
  check(back.has_value());
  auto again = fw::catalog::Document::parse(*back, "case.toml", {});
  check(again.has_value());
  check(again->root().text("title") == title);
  if (text.find('"' + *title + '"') != std::string::npos && back->size() == text.size()) check(*back == text);
  return 0;
}
