// SPDX-License-Identifier: Apache-2.0
// One lane, and two where the processor is an x86-64.
#include "rail/pipe_lanes.hpp"

namespace fw::rail::kernel {
namespace {

FW_RAIL_KERNEL(1)
#if defined(__SSE2__)
FW_RAIL_KERNEL(2)
#endif

}  // namespace

double pressure_Pa(const Curve& curve, double density) { return Loops<1>::pressure_of(curve, density); }

Kernel scalar_kernel() { return kernel_1; }
#if defined(__SSE2__)
Kernel baseline_kernel() { return kernel_2; }
#else
Kernel baseline_kernel() { return kernel_1; }
#endif

}  // namespace fw::rail::kernel
