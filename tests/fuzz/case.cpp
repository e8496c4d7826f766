// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a case.toml gives a case or errors that teach, and saving its title changes nothing else: every
// byte around the value stays, the title reads back as typed, and saving the old one again gives the old bytes where it
// was a plain text in quotes.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "casefile/case.hpp"
#include "casefile/saver.hpp"
#include "catalog/document.hpp"
#include "checks.hpp"

using fw::fuzz::book;
using fw::fuzz::check;
using fw::fuzz::check_errors;

namespace {

/// The text of the value that the saved document has `fresh` in the place of, with everything around it unchanged; no
/// such place: nothing.
std::optional<std::string> replaced(const std::string& before, const std::string& saved, const std::string& fresh) {
  for (std::size_t at = saved.find(fresh); at != std::string::npos; at = saved.find(fresh, at + 1)) {
    const std::size_t behind = saved.size() - at - fresh.size();
    if (before.size() < at + behind) continue;
    if (before.compare(0, at, saved, 0, at) != 0) continue;
    if (before.compare(before.size() - behind, behind, saved, saved.size() - behind, behind) != 0) continue;
    return before.substr(at, before.size() - behind - at);
  }
  return std::nullopt;
}

}  // namespace

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
  const auto old_text = replaced(text, *saved, R"("a \"new\" title")");
  check(old_text.has_value());
  const auto back = fw::casefile::save_in_place(*saved, "case.toml", {{"title", *title}});
  check(back.has_value());
  auto again = fw::catalog::Document::parse(*back, "case.toml", {});
  check(again.has_value());
  check(again->root().text("title") == title);
  if (*old_text == '"' + *title + '"' && title->find_first_of("\"\\\t") == std::string::npos) check(*back == text);
  return 0;
}
