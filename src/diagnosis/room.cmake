# SPDX-License-Identifier: Apache-2.0
find_package(Eigen3 REQUIRED NO_MODULE)
target_link_libraries(fw_diagnosis PRIVATE Eigen3::Eigen)
