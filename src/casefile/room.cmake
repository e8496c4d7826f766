# SPDX-License-Identifier: Apache-2.0
find_package(tomlplusplus REQUIRED)
target_compile_definitions(fw_casefile PRIVATE TOML_HEADER_ONLY=0)
target_link_libraries(fw_casefile PRIVATE tomlplusplus::tomlplusplus)
find_package(nlohmann_json REQUIRED)
target_link_libraries(fw_casefile PRIVATE nlohmann_json::nlohmann_json)
find_package(JPEG REQUIRED)
find_package(PNG REQUIRED)
target_link_libraries(fw_casefile PRIVATE JPEG::JPEG PNG::PNG)
