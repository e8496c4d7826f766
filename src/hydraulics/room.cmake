# SPDX-License-Identifier: Apache-2.0
# The solver's kernel once per instruction set; network.cpp picks one at run time.
set(fw_kernels kernel_baseline kernel_derivatives kernel_four_lanes kernel_eight_lanes)
if(CMAKE_SYSTEM_PROCESSOR MATCHES "^(x86_64|AMD64)$")
  set_property(SOURCE "${dir}/kernel_four_lanes.cpp" APPEND PROPERTY COMPILE_OPTIONS -march=x86-64-v3)
  set_property(SOURCE "${dir}/kernel_eight_lanes.cpp" APPEND PROPERTY COMPILE_OPTIONS -march=x86-64-v4 -mprefer-vector-width=512)
endif()
# The kernels want -O2 or better in every optimised build type. Without: they are templates only a debugger likes.
if(NOT CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT FW_SANITIZE)
  foreach(kernel IN LISTS fw_kernels)
    set_property(SOURCE "${dir}/${kernel}.cpp" APPEND PROPERTY COMPILE_OPTIONS -O2)
  endforeach()
endif()
if(FW_TESTS AND CMAKE_SYSTEM_PROCESSOR MATCHES "^(x86_64|AMD64)$" AND CMAKE_NM AND NOT FW_SANITIZE)
  # No code for a wider instruction set may hide behind a symbol that the linker could pick for a narrower machine.
  add_test(NAME hydraulics.kernel_symbols
           COMMAND bash "${dir}/kernel_symbols_test" "${CMAKE_NM}" "${CMAKE_OBJDUMP}"
                   "$<TARGET_OBJECTS:fw_${name}>")
  set_tests_properties(hydraulics.kernel_symbols PROPERTIES LABELS "unit;hydraulics" TIMEOUT 120)
endif()
