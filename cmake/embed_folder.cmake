# SPDX-License-Identifier: Apache-2.0
# Turns the TOML files of catalog/ into one list of names and texts for the room catalog.
# cmake -DOUT=file.cpp -DFOLDER=catalog -DFILES=a.toml,layouts/b.toml -P embed_folder.cmake
string(REPLACE "," ";" files "${FILES}")
set(rows "")
foreach(name IN LISTS files)
  file(READ "${FOLDER}/${name}" text)
  string(FIND "${text}" ")fw_embed\"" clash)
  if(NOT clash EQUAL -1)
    message(FATAL_ERROR "${name} holds the closing mark of the literal")
  endif()
  string(APPEND rows "    {\"${name}\", R\"fw_embed(${text})fw_embed\"},\n")
endforeach()
file(WRITE "${OUT}" "// Made from catalog/ by cmake/embed_folder.cmake.\n#include \"catalog/embedded.hpp\"\nnamespace fw::catalog::embedded {\nnamespace {\nconst File all[] = {\n${rows}};\n}\nstd::span<const File> files() { return all; }\n}\n")
