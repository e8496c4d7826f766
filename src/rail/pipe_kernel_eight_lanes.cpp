// SPDX-License-Identifier: Apache-2.0
// Eight lanes; compiled for x86-64-v4 (room.cmake). Defines one symbol only, see pipe_lanes.hpp.
#include "rail/pipe_lanes.hpp"

#if defined(__AVX512F__)
namespace fw::rail::kernel {
namespace {

FW_RAIL_KERNEL(8)

}  // namespace

Kernel eight_lane_kernel() { return kernel_8; }

}  // namespace fw::rail::kernel
#endif
