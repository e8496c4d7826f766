# SPDX-License-Identifier: Apache-2.0
find_package(tomlplusplus REQUIRED)
target_compile_definitions(fw_catalog PRIVATE TOML_HEADER_ONLY=0)
target_link_libraries(fw_catalog PRIVATE tomlplusplus::tomlplusplus)

set(fw_embedded "${CMAKE_BINARY_DIR}/embedded/source_classes.cpp")
add_custom_command(
  OUTPUT "${fw_embedded}"
  COMMAND "${CMAKE_COMMAND}" -DOUT=${fw_embedded} -DNAME=source_classes
          -DIN=${CMAKE_SOURCE_DIR}/catalog/source-classes.toml -P "${CMAKE_SOURCE_DIR}/cmake/embed.cmake"
  DEPENDS "${CMAKE_SOURCE_DIR}/catalog/source-classes.toml" "${CMAKE_SOURCE_DIR}/cmake/embed.cmake")
target_sources(fw_catalog PRIVATE "${fw_embedded}")
