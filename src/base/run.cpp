// SPDX-License-Identifier: Apache-2.0
#include "base/run.hpp"

namespace fw {

void InlineExecutor::for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) {
  for (std::size_t block = 0; block < blocks; ++block) work(block);
}

}  // namespace fw
