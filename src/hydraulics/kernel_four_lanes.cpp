// SPDX-License-Identifier: Apache-2.0
// Four lanes; compiled for x86-64-v3 (room.cmake). Defines one symbol only, see lanes.hpp.
#include "hydraulics/kernel_lanes.hpp"

#if defined(__AVX2__)
namespace fw::hydraulics::kernel {

void solve_lanes_4(const Program& program, const Batch& batch, void* workspace) {
  solve<Lanes<4>::Real>(program, batch, workspace);
}

}  // namespace fw::hydraulics::kernel
#endif
