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
if(FW_TESTS AND CMAKE_SYSTEM_PROCESSOR MATCHES "^(x86_64|AMD64)$" AND CMAKE_NM AND NOT FW_SANITIZE)
  add_test(NAME rail.kernel_symbols
           COMMAND bash "${dir}/kernel_symbols_test" "${CMAKE_NM}" "$<TARGET_OBJECTS:fw_${name}>")
  set_tests_properties(rail.kernel_symbols PROPERTIES LABELS "unit;rail" TIMEOUT 120)
endif()
