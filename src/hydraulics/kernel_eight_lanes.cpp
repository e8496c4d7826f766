// SPDX-License-Identifier: Apache-2.0
// Eight lanes; compiled for x86-64-v4 (room.cmake). Defines one symbol only, see lanes.hpp.
#include "hydraulics/kernel_lanes.hpp"

#if defined(__AVX512F__)
namespace fw::hydraulics::kernel {

void solve_lanes_8(const Program& program, const Batch& batch, void* workspace) {
  solve<Lanes<8>::Real>(program, batch, workspace);
}

}  // namespace fw::hydraulics::kernel
#endif
