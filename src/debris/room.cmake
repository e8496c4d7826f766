# SPDX-License-Identifier: Apache-2.0
# The loops over bins of the transport are short and fixed: they want to be unrolled into vectors.
if(NOT CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT FW_SANITIZE)
  set_property(SOURCE "${dir}/transport.cpp" APPEND PROPERTY COMPILE_OPTIONS -O3)
endif()
