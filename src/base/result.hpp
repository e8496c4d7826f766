// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

namespace fw {

/// What kind of fault it is; the most specific wins.
enum class ErrorCode : std::uint8_t {
  invalid_input,     ///< the user's text, number or file is wrong
  outside_model,     ///< the number is sound but no model of ours covers it
  did_not_converge,  ///< a solver gave up; made by app or assess from a solver's summary
  not_found,         ///< a name, id or file that should exist does not
  conflict,          ///< two facts exclude each other
  io,                ///< the operating system refused
  cancelled,         ///< the stop token was set
  too_large,         ///< over a stated size limit
};

/// Name of the code as it stands in JSON, e.g. "invalid_input".
[[nodiscard]] std::string_view name(ErrorCode code);

/// Where the fault stands. Empty or zero members are unknown and are not printed.
struct Where {
  std::string file;
  std::uint32_t line = 0;    ///< from 1
  std::uint32_t column = 0;  ///< from 1
  std::string field;         ///< dotted path, e.g. "leg.supply.part.pickup.bore"

  friend bool operator==(const Where&, const Where&) = default;
};

/// One fault a user can mend: what was found, what is expected, how to mend it.
struct Error {
  ErrorCode code = ErrorCode::invalid_input;
  Where where;
  std::string found;     ///< the value with its unit, as it stands there
  std::string expected;  ///< what would be right
  std::string hint;      ///< one imperative sentence, may be empty

  friend bool operator==(const Error&, const Error&) = default;
};

/// One line: "FILE:LINE: FIELD: found FOUND; expected EXPECTED. HINT".
[[nodiscard]] std::string to_text(const Error& error);

/// A list of faults that is never empty.
class Errors {
 public:
  Errors(Error first);  // NOLINT(google-explicit-constructor): one error is a list of one
  /// Precondition: not empty.
  explicit Errors(std::vector<Error> all);

  [[nodiscard]] const Error& front() const { return all_.front(); }
  [[nodiscard]] const std::vector<Error>& all() const { return all_; }
  [[nodiscard]] auto begin() const { return all_.begin(); }
  [[nodiscard]] auto end() const { return all_.end(); }
  [[nodiscard]] std::size_t size() const { return all_.size(); }

  void add(Error error) { all_.push_back(std::move(error)); }
  void add(const Errors& more) { all_.insert(all_.end(), more.begin(), more.end()); }

  /// Every error with `file` where it names none yet.
  [[nodiscard]] Errors in_file(std::string_view file) const;
  /// Every error with its field prefixed by `prefix` and a dot.
  [[nodiscard]] Errors in_field(std::string_view prefix) const;

  friend bool operator==(const Errors&, const Errors&) = default;

 private:
  std::vector<Error> all_;
};

/// All errors, one line each.
[[nodiscard]] std::string to_text(const Errors& errors);

template <class T>
using Result = tl::expected<T, Errors>;

/// Shorthands for `return`.
[[nodiscard]] tl::unexpected<Errors> fail(Error error);
[[nodiscard]] tl::unexpected<Errors> fail(Errors errors);
[[nodiscard]] tl::unexpected<Errors> invalid(std::string field, std::string found, std::string expected,
                                             std::string hint = {});
[[nodiscard]] tl::unexpected<Errors> outside(std::string field, std::string found, std::string expected,
                                             std::string hint = {});

}  // namespace fw
