# SPDX-License-Identifier: Apache-2.0
find_package(tomlplusplus REQUIRED)
target_compile_definitions(fw_catalog PRIVATE TOML_HEADER_ONLY=0)
target_link_libraries(fw_catalog PRIVATE tomlplusplus::tomlplusplus)

file(GLOB_RECURSE fw_catalog_files RELATIVE "${CMAKE_SOURCE_DIR}/catalog" CONFIGURE_DEPENDS
     "${CMAKE_SOURCE_DIR}/catalog/*.toml")
list(SORT fw_catalog_files)
list(JOIN fw_catalog_files "," fw_catalog_names)
list(TRANSFORM fw_catalog_files PREPEND "${CMAKE_SOURCE_DIR}/catalog/" OUTPUT_VARIABLE fw_catalog_paths)
set(fw_embedded "${CMAKE_BINARY_DIR}/embedded/catalog_files.cpp")
add_custom_command(
  OUTPUT "${fw_embedded}"
  COMMAND "${CMAKE_COMMAND}" -DOUT=${fw_embedded} -DFOLDER=${CMAKE_SOURCE_DIR}/catalog -DFILES=${fw_catalog_names}
          -P "${CMAKE_SOURCE_DIR}/cmake/embed_folder.cmake"
  DEPENDS ${fw_catalog_paths} "${CMAKE_SOURCE_DIR}/cmake/embed_folder.cmake" VERBATIM)
target_sources(fw_catalog PRIVATE "${fw_embedded}")
