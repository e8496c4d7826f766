# SPDX-License-Identifier: Apache-2.0
# Pango lays text out, Cairo draws PDF and PNG; the B612 fonts come from the Debian package fonts-b612.
find_package(PkgConfig REQUIRED)
pkg_check_modules(FW_PANGO REQUIRED IMPORTED_TARGET pangocairo pangofc fontconfig)
set(FW_FONT_DIR "/usr/share/fonts/opentype/b612" CACHE PATH "Folder with the B612 fonts (Debian: fonts-b612)")
target_link_libraries(fw_report PRIVATE PkgConfig::FW_PANGO)
target_compile_definitions(fw_report PRIVATE FW_FONT_DIR="${FW_FONT_DIR}")
find_package(nlohmann_json REQUIRED)
target_link_libraries(fw_report PRIVATE nlohmann_json::nlohmann_json)
