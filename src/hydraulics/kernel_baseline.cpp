// SPDX-License-Identifier: Apache-2.0
// The kernels that every machine can run.
#include "hydraulics/kernel_lanes.hpp"

namespace fw::hydraulics::kernel {

std::size_t workspace_bytes(const Program& program, int lanes) {
  return lay_out<double>(program, nullptr, nullptr) * sizeof(double) * static_cast<std::size_t>(lanes);
}

void solve_lanes_1(const Program& program, const Batch& batch, void* workspace) {
  solve<double>(program, batch, workspace);
}

#if defined(__x86_64__)
void solve_lanes_2(const Program& program, const Batch& batch, void* workspace) {
  solve<Lanes<2>::Real>(program, batch, workspace);
}
#endif

}  // namespace fw::hydraulics::kernel
