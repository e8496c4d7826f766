// SPDX-License-Identifier: Apache-2.0
#include "base/result.hpp"

#include "base/contract.hpp"

namespace fw {

std::string_view name(ErrorCode code) {
  switch (code) {
    case ErrorCode::invalid_input: return "invalid_input";
    case ErrorCode::outside_model: return "outside_model";
    case ErrorCode::did_not_converge: return "did_not_converge";
    case ErrorCode::not_found: return "not_found";
    case ErrorCode::conflict: return "conflict";
    case ErrorCode::io: return "io";
    case ErrorCode::cancelled: return "cancelled";
    case ErrorCode::too_large: return "too_large";
  }
  return "invalid_input";
}

std::string to_text(const Error& error) {
  std::string text;
  if (!error.where.file.empty()) {
    text += error.where.file;
    if (error.where.line != 0) text.append(":").append(std::to_string(error.where.line));
    text += ": ";
  } else if (error.where.line != 0) {
    text.append("line ").append(std::to_string(error.where.line)).append(": ");
  }
  if (!error.where.field.empty()) text += error.where.field + ": ";
  text += "found " + error.found;
  if (!error.expected.empty()) text += "; expected " + error.expected;
  text += ".";
  if (!error.hint.empty()) {
    text += " " + error.hint;
    const char last = error.hint.back();
    if (last != '.' && last != '?' && last != '!') text += ".";
  }
  return text;
}

Errors::Errors(Error first) { all_.push_back(std::move(first)); }

Errors::Errors(std::vector<Error> all) : all_(std::move(all)) { FW_EXPECTS(!all_.empty()); }

Errors Errors::in_file(std::string_view file) const {
  Errors copy = *this;
  for (Error& error : copy.all_) {
    if (error.where.file.empty()) error.where.file = file;
  }
  return copy;
}

Errors Errors::in_field(std::string_view prefix) const {
  Errors copy = *this;
  for (Error& error : copy.all_) {
    error.where.field = error.where.field.empty() ? std::string(prefix) : std::string(prefix) + "." + error.where.field;
  }
  return copy;
}

std::string to_text(const Errors& errors) {
  std::string text;
  for (const Error& error : errors) text += to_text(error) + "\n";
  return text;
}

tl::unexpected<Errors> fail(Error error) { return tl::unexpected<Errors>(Errors(std::move(error))); }

tl::unexpected<Errors> fail(Errors errors) { return tl::unexpected<Errors>(std::move(errors)); }

tl::unexpected<Errors> invalid(std::string field, std::string found, std::string expected, std::string hint) {
  return fail(Error{.code = ErrorCode::invalid_input,
                    .where = {.file = {}, .line = 0, .column = 0, .field = std::move(field)},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .hint = std::move(hint)});
}

tl::unexpected<Errors> outside(std::string field, std::string found, std::string expected, std::string hint) {
  return fail(Error{.code = ErrorCode::outside_model,
                    .where = {.file = {}, .line = 0, .column = 0, .field = std::move(field)},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .hint = std::move(hint)});
}

}  // namespace fw
