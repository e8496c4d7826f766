// SPDX-License-Identifier: Apache-2.0
// Four lanes; compiled for x86-64-v3 (room.cmake). Defines one symbol only, see pipe_lanes.hpp.
#include "rail/pipe_lanes.hpp"

#if defined(__AVX2__)
namespace fw::rail::kernel {
namespace {

FW_RAIL_KERNEL(4)

}  // namespace

Kernel four_lane_kernel() { return kernel_4; }

}  // namespace fw::rail::kernel
#endif
