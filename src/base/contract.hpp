// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdexcept>

namespace fw {

/// A programmer's mistake. Never caused by a user's input; the server turns it into one failed request.
class ContractViolation : public std::logic_error {
 public:
  using std::logic_error::logic_error;
};

/// Throws ContractViolation naming the condition and its place.
[[noreturn]] void contract_violated(const char* condition, const char* file, int line);

}  // namespace fw

/// Always on: what the caller promised.
#define FW_EXPECTS(condition) \
  ((condition) ? static_cast<void>(0) : ::fw::contract_violated(#condition, __FILE__, __LINE__))
