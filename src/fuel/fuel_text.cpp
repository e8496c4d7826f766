// SPDX-License-Identifier: Apache-2.0
#include "fuel/fuel_text.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <system_error>
#include <vector>

#include <fmt/format.h>

#include "fuel/grades.hpp"

namespace fw::fuel {

namespace {

constexpr std::size_t longest_text = 200;
constexpr double least_percent = 0.001;
constexpr double sum_tolerance_percent = 1e-4;
constexpr const char* grammar = "a grade, or a blend such as \"d975_2d + 5 % petrol\"";
constexpr std::string_view blanks = " \t\r\n";

struct Term {
  std::optional<double> percent;  ///< not given: takes the rest
  std::string_view grade;
};

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

// NOLINTNEXTLINE(bugprone-easily-swappable-parameters): in the order in which an error is read
tl::unexpected<Errors> wrong(std::string found, std::string expected, std::string hint) {
  return invalid("blend", std::move(found), std::move(expected), std::move(hint));
}

Result<Term> share_and_grade(std::string_view text) {
  double percent = 0.0;
  const char* const begin = text.data();
  const char* const end = begin + text.size();
  const auto [behind, fault] = std::from_chars(begin, end, percent);
  if (fault != std::errc{} || !std::isfinite(percent)) {
    return wrong("the share in " + quoted(text), "a number with \"%\", e.g. \"5 % petrol\"", "Write the share in %");
  }
  std::string_view rest = trimmed({behind, static_cast<std::size_t>(end - behind)});
  if (!rest.empty() && rest.front() == ',') {
    return wrong("a decimal comma in " + quoted(text), "a decimal point, e.g. \"2.5 % petrol\"",
                 "Write a point instead of the comma");
  }
  if (rest.empty() || rest.front() != '%') {
    return wrong("a share without \"%\" in " + quoted(text), "a share in % of the volume, e.g. \"5 % petrol\"",
                 "Write \"%\" behind the number");
  }
  rest = trimmed(rest.substr(1));
  if (rest.empty()) {
    return wrong("a share without a grade in " + quoted(text), "a share and its grade, e.g. \"5 % petrol\"",
                 "Name the grade behind the share");
  }
  if (percent < least_percent || percent > 100.0) {
    return wrong(fmt::format("a share of {:.6g} %", percent), "0.001 to 100 % of the volume", "Correct the share");
  }
  return Term{.percent = percent, .grade = rest};
}

Result<Term> term_of(std::string_view text) {
  if (text.empty()) {
    return wrong("a \"+\" without a fuel on both sides", grammar, "Name the missing fuel or remove the \"+\"");
  }
  if (text.front() == '.' || text.front() == '-' || (text.front() >= '0' && text.front() <= '9')) {
    return share_and_grade(text);
  }
  if (text.find('%') != std::string_view::npos) {
    return wrong("a share behind its grade in " + quoted(text), "the share first, e.g. \"5 % petrol\"",
                 "Write the share before the grade");
  }
  return Term{.percent = {}, .grade = text};
}

Result<std::vector<Term>> terms_of(std::string_view text) {
  std::vector<Term> terms;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t plus = std::min(text.find('+', start), text.size());
    const auto term = term_of(trimmed(text.substr(start, plus - start)));
    if (!term) return fail(term.error());
    terms.push_back(*term);
    start = plus + 1;
  }
  return terms;
}

Result<Fuel> graded(const Term& term, bool blended) {
  if (blended && term.grade == "constant") {
    return wrong("a constant fluid in a blend", "grades only", "Give the density and viscosity of the blend instead");
  }
  if (auto fuel = grade(term.grade)) return fuel;
  return fail(unknown_grade(term.grade));
}

/// Shares that say one thing: a part that takes the rest, or 100 %.
Result<double> rest_percent(const std::vector<Term>& terms) {
  double sum = 0.0;
  const Term* base = nullptr;
  for (const Term& term : terms) {
    sum += term.percent.value_or(0.0);
    if (term.percent) continue;
    if (base != nullptr) {
      return wrong(fmt::format("{} and {} without a share", quoted(base->grade), quoted(term.grade)),
                   "one fuel that takes the rest, each other with its share",
                   fmt::format("Write the share of one, e.g. \"{} + 5 % {}\"", base->grade, term.grade));
    }
    base = &term;
  }
  if (base != nullptr && 100.0 - sum < least_percent) {
    return wrong(fmt::format("shares of {:.6g} % that leave nothing for {}", sum, quoted(base->grade)),
                 "shares below 100 % together", "Correct one of the shares");
  }
  if (base == nullptr && std::abs(sum - 100.0) > sum_tolerance_percent) {
    return wrong(fmt::format("shares that make {:.8g} %", sum), "shares that make 100 %, or one fuel without a share",
                 "Correct one of the shares, or leave one out to let it take the rest");
  }
  return base == nullptr ? 0.0 : 100.0 - sum;
}

}  // namespace

Result<Fuel> fuel_of_text(std::string_view text) {
  text = trimmed(text);
  if (text.empty()) return wrong("no fuel", grammar, "Name the fuel");
  if (text.size() > longest_text) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "blend"},
                      .found = fmt::format("a fuel of {} characters, {}", text.size(), quoted(text)),
                      .expected = fmt::format("at most {} characters", longest_text),
                      .hint = "Name fewer parts"});
  }
  const auto terms = terms_of(text);
  if (!terms) return fail(terms.error());
  std::vector<Fuel> parts;
  for (const Term& term : *terms) {
    auto part = graded(term, terms->size() > 1);
    if (!part) return part;
    if (std::any_of(parts.begin(), parts.end(), [&](const Fuel& seen) { return seen.id == part->id; })) {
      return wrong(quoted(part->id) + " twice", "each grade once", "Add its shares together");
    }
    parts.push_back(std::move(*part));
  }
  const auto rest = rest_percent(*terms);
  if (!rest) return fail(rest.error());
  if (parts.size() == 1) return parts.front();

  std::vector<Share> shares;
  std::string id;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto& percent = (*terms)[i].percent;
    shares.push_back({.fuel = parts[i], .volume_fraction = percent.value_or(*rest) / 100.0});
    id += i == 0 ? "" : " + ";
    id += percent ? fmt::format("{} % {}", *percent, parts[i].id) : parts[i].id;
  }
  // Shares typed with rounding are taken in proportion.
  double sum = 0.0;
  for (const Share& share : shares) sum += share.volume_fraction;
  for (Share& share : shares) share.volume_fraction /= sum;
  auto made = blend(shares);
  if (made) made->id = std::move(id);
  return made;
}

}  // namespace fw::fuel
