# SPDX-License-Identifier: Apache-2.0
# The loops over cells are written for vectors: no errno of square roots, and both sides of a choice reckoned. Every
# operation stays that of the standard, so that results do not change.
if(NOT CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT FW_SANITIZE)
  set_property(SOURCE "${dir}/pipe_group.cpp" APPEND PROPERTY COMPILE_OPTIONS -O3 -fno-math-errno -fno-trapping-math)
endif()
