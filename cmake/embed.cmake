# SPDX-License-Identifier: Apache-2.0
# Turns files of catalog/ into string constants of the room catalog.
# cmake -DOUT=file.cpp -DNAME=constant -DIN=file.toml -P embed.cmake
file(READ "${IN}" text)
string(FIND "${text}" ")fw_embed\"" clash)
if(NOT clash EQUAL -1)
  message(FATAL_ERROR "${IN} holds the closing mark of the literal")
endif()
file(WRITE "${OUT}" "// Made from ${NAME} by cmake/embed.cmake.\n#include \"catalog/embedded.hpp\"\nnamespace fw::catalog::embedded {\nconst std::string_view ${NAME} = R\"fw_embed(${text})fw_embed\";\n}\n")
