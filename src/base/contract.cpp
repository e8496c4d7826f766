// SPDX-License-Identifier: Apache-2.0
#include "base/contract.hpp"

#include <string>

namespace fw {

void contract_violated(const char* condition, const char* file, int line) {
  throw ContractViolation(std::string("contract: ") + condition + " (" + file + ":" + std::to_string(line) + ")");
}

}  // namespace fw
