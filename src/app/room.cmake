# SPDX-License-Identifier: Apache-2.0
find_package(nlohmann_json REQUIRED)
target_link_libraries(fw_app PRIVATE nlohmann_json::nlohmann_json)
