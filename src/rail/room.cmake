# SPDX-License-Identifier: Apache-2.0
# The loops over cells once per instruction set; pipe_group.cpp picks one at run time.
if(CMAKE_SYSTEM_PROCESSOR MATCHES "^(x86_64|AMD64)$")
  set_property(SOURCE "${dir}/pipe_kernel_four_lanes.cpp" APPEND PROPERTY COMPILE_OPTIONS -march=x86-64-v3)
  set_property(SOURCE "${dir}/pipe_kernel_eight_lanes.cpp" APPEND PROPERTY COMPILE_OPTIONS -march=x86-64-v4 -mprefer-vector-width=512)
endif()
# They want -O2 or better in every optimised build type.
if(NOT CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT FW_SANITIZE)
  foreach(kernel IN ITEMS pipe_kernel_baseline pipe_kernel_four_lanes pipe_kernel_eight_lanes)
    set_property(SOURCE "${dir}/${kernel}.cpp" APPEND PROPERTY COMPILE_OPTIONS -O2 -fno-math-errno)
  endforeach()
endif()
