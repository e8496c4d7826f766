# SPDX-License-Identifier: Apache-2.0
find_package(CLI11 REQUIRED)
target_link_libraries(fw_cli PRIVATE CLI11::CLI11)
