# SPDX-License-Identifier: Apache-2.0
# The rules of docs/rooms.md. Reads that page and CMakeLists.txt first, then every text file of the project.
# Plain POSIX awk: no interval expressions, no functions of one implementation.

function complain(line, what) {
  printf "%s:%d: %s\n", name, line, what
  broken = 1
}

function trim(text) {
  gsub(/^[ \t`]+|[ \t`]+$/, "", text)
  return text
}

# "a, `b`" -> "a b"
function words(text) {
  gsub(/[`,]/, " ", text)
  gsub(/[ \t]+/, " ", text)
  gsub(/^ | $/, "", text)
  return text
}

function has(list, word) { return index(" " list " ", " " word " ") > 0 }

# --- docs/rooms.md: the table of rooms and the table of libraries -------------------------------------------------

function read_page_line(    cell, room) {
  if ($0 ~ /^\| *line *\|/) { table = "rooms"; return }
  if ($0 ~ /^\| *library *\|/) { table = "libraries"; return }
  if ($0 !~ /^\|/) { table = ""; return }
  if (table == "" || $0 ~ /^\|[-: |]*$/) return
  split($0, cell, "|")
  if (table == "rooms") {
    # | line | room | pure | within its line |
    room = trim(cell[3])
    page_rooms = page_rooms " " room
    page_row[room] = FNR
    page_line[room] = trim(cell[2]) + 0
    page_pure[room] = trim(cell[4]) == "yes"
    page_within[room] = words(cell[5])
  } else {
    # | library | includes | rooms | files |
    libraries++
    library_name[libraries] = trim(cell[2])
    library_prefixes[libraries] = words(cell[3])
    library_rooms[libraries] = words(cell[4])
    library_files[libraries] = words(cell[5])
  }
}

# --- CMakeLists.txt: the rooms as they are linked -----------------------------------------------------------------

function read_cmake_line(    part, count, i, room, reading) {
  if ($0 !~ /^fw_room\(/) return
  count = split($0, part, /[() ]+/)
  room = part[2]
  cmake_rooms = cmake_rooms " " room
  cmake_row[room] = FNR
  for (i = 3; i <= count; i++) {
    if (part[i] == "PURE") pure[room] = 1
    else if (part[i] == "PROGRAM") { program_room = room; i++ }
    else if (part[i] == "LINKS") reading = 1
    else if (reading && part[i] != "") links[room] = links[room] " " part[i]
  }
}

function compare_page_with_cmake(    room, other, list, others, i, j, count, counted, allowed) {
  count = split(cmake_rooms, list, " ")
  name = "CMakeLists.txt"
  for (i = 1; i <= count; i++) {
    room = list[i]
    if (!(room in page_row)) { complain(cmake_row[room], "room " room " is not in the table of docs/rooms.md"); continue }
    if ((room in pure) != page_pure[room]) complain(cmake_row[room], "room " room " is pure in one of CMakeLists.txt and docs/rooms.md")
    for (j = 1; j <= count; j++) {
      other = list[j]
      if (other == room || !(other in page_row)) continue
      allowed = page_line[other] < page_line[room] || (page_line[other] == page_line[room] && has(page_within[room], other))
      if (has(links[room], other) && !allowed) complain(cmake_row[room], "room " room " links " other ", which docs/rooms.md does not allow")
      if (!has(links[room], other) && allowed) complain(cmake_row[room], "room " room " does not link " other ", which docs/rooms.md allows")
      if (has(links[room], other) && allowed && cmake_row[other] > cmake_row[room]) complain(cmake_row[room], "room " room " stands before " other ", which it links")
    }
    counted = split(links[room], others, " ")
    for (j = 1; j <= counted; j++)
      if (!(others[j] in cmake_row)) complain(cmake_row[room], "room " room " links " others[j] ", which is no room")
  }
  name = "docs/rooms.md"
  count = split(page_rooms, list, " ")
  for (i = 1; i <= count; i++)
    if (!(list[i] in cmake_row)) complain(page_row[list[i]], "room " list[i] " is not in CMakeLists.txt")
}

# --- every file ---------------------------------------------------------------------------------------------------

function start_file(    part, count) {
  finish_file()
  name = FILENAME
  sub(/^\.\//, "", name)
  count = split(name, part, "/")
  base = part[count]
  suffix = base ~ /\./ ? base : ""
  sub(/^.*\./, "", suffix)
  cpp = suffix == "cpp" || suffix == "hpp"
  test_code = base ~ /_test\.cpp$/ || part[1] == "tests" || part[1] == "bench"
  room = part[1] == "src" && count >= 3 ? part[2] : ""
  # JSON and the plain licence, version and help texts have no place for a comment.
  bears_licence = suffix != "json" && suffix != "txt" && base != "LICENSE" && base != "VERSION" || base == "CMakeLists.txt"
  licence_line = 0
  once = 0
  block_comment = 0

  if (part[1] == "src" && count < 3) complain(1, "stands in no room")
  if (room != "" && !(room in cmake_row)) complain(1, "src/" room " is no room of CMakeLists.txt")
  if (part[1] == "src" && base ~ /(_v[0-9]+|[A-Za-z][2-9]|_(old|new|copy|final))\.[a-z]+$/) complain(1, "the file name bears a version")
}

function finish_file() {
  if (name == "") return
  if (bears_licence && !licence_line) complain(1, "has no SPDX-License-Identifier line at its top or as its last line")
  if (bears_licence && licence_line > 5 && licence_line < last_line) complain(licence_line, "the SPDX line stands neither at the top nor last")
  if (suffix == "hpp" && !once) complain(1, "has no #pragma once")
  name = ""
}

# Code of the line without comments and with the insides of string literals blanked.
function code_of(text,    out, at) {
  gsub(/\\./, "", text)
  gsub(/'"'/, "", text)
  gsub(/"[^"]*"/, "\"\"", text)
  out = ""
  while (text != "") {
    if (block_comment) {
      at = index(text, "*/")
      if (!at) return out
      text = substr(text, at + 2)
      block_comment = 0
    } else if (match(text, /\/\/|\/\*/)) {
      out = out substr(text, 1, RSTART - 1)
      if (substr(text, RSTART, 2) == "//") return out
      text = substr(text, RSTART + 2)
      block_comment = 1
    } else {
      return out text
    }
  }
  return out
}

function check_include(text,    target, other) {
  if (text ~ /"/) {
    target = text
    sub(/^[^"]*"/, "", target)
    sub(/".*$/, "", target)
    if (room == "") return
    other = target
    if (!sub(/\/.*$/, "", other)) {
      # Only the shared test helpers are named without a room.
      if (!test_code) complain(FNR, "include \"" target "\" without its room")
      return
    }
    if (other == room) return
    if (other in cmake_row) {
      if (!has(links[room], other)) complain(FNR, "room " room " may not include " other " (" target ")")
    } else if (target ~ /\.\./) {
      complain(FNR, "include \"" target "\" climbs out of its folder")
    } else {
      complain(FNR, "include \"" target "\" names no room")
    }
    return
  }
  target = text
  sub(/^[^<]*</, "", target)
  sub(/>.*$/, "", target)
  if (target ~ /[.\/]/) check_library(target)
  else if ((room in pure) && !test_code && has(impure_headers, target)) complain(FNR, "pure room " room " includes <" target ">")
}

function check_library(target,    i, j, count, prefix, found, in_room, in_file) {
  for (i = 1; i <= libraries; i++) {
    count = split(library_prefixes[i], prefix, " ")
    for (j = 1; j <= count; j++) {
      if (index(target, prefix[j]) != 1) continue
      found = library_name[i]
      in_room = room == "" || library_rooms[i] == "all" || has(library_rooms[i], room) || (library_rooms[i] == "not pure" && !(room in pure))
      in_file = has(library_files[i], "all") || (has(library_files[i], "cpp") && suffix == "cpp") || (has(library_files[i], "tests") && test_code)
      if (in_room && in_file) return
    }
  }
  if (found == "") complain(FNR, "<" target "> belongs to no library of docs/rooms.md")
  else complain(FNR, "<" target "> (" found ") is not allowed here")
}

function check_cpp_line(    code, rest, word) {
  code = code_of($0)
  if (code ~ /^[ \t]*#[ \t]*include/) { check_include($0); return }
  if (code ~ /^[ \t]*#[ \t]*pragma[ \t]+once/) once = 1
  if (suffix == "hpp" && code ~ /^using namespace /) complain(FNR, "using namespace at file scope in a header")
  if (room != "" && room != program_room && !test_code && code ~ /(^|[^A-Za-z0-9_])(std::(cout|cerr|clog|print|println)|fmt::print|f?printf|puts|putchar|fputs)([^A-Za-z0-9_]|$)/)
    complain(FNR, "a library prints")
  if ((room in pure) && !test_code && code ~ /(^|[^A-Za-z0-9_])(getenv|setlocale|std::random_device|std::jthread|std::thread|std::time)([^A-Za-z0-9_]|$)/)
    complain(FNR, "pure room " room " reaches for its surroundings")
  # A function declared as name2( or a type called Name2: the callers change instead.
  if (suffix == "hpp") {
    rest = code
    while (match(rest, /[A-Za-z_][A-Za-z0-9_]*/)) {
      word = substr(rest, RSTART, RLENGTH)
      rest = substr(rest, RSTART + RLENGTH)
      if (word ~ /_v[0-9]+$/ || word ~ /[A-Za-z][A-Za-z][A-Za-z][A-Za-z][23]$/ && !has(digit_names, word)) {
        complain(FNR, "the name " word " bears a version")
        return
      }
    }
  }
}

function check_any_line() {
  if ($0 ~ licence_pattern) { if (!licence_line) licence_line = FNR }
  if ($0 ~ todo_pattern && $0 !~ numbered_todo_pattern) complain(FNR, "an open point without its issue number")
  if ($0 ~ machine_path_pattern) complain(FNR, "a path of somebody's machine")
  if (base == "room.cmake" && room != "" && match($0, /fw_[a-z]+/)) check_room_cmake($0)
}

function check_room_cmake(text,    word) {
  while (match(text, /(^|[^a-z_])fw_[a-z_]+/)) {
    word = substr(text, RSTART, RLENGTH)
    sub(/^.*fw_/, "", word)
    text = substr(text, RSTART + RLENGTH)
    if (word in cmake_row && word != room) complain(FNR, "room.cmake of " room " links room " word "; CMakeLists.txt says what a room links")
  }
}

BEGIN {
  impure_headers = "fstream iostream istream ostream filesystem chrono thread future condition_variable locale clocale regex cstdio ctime random syncstream print"
  digit_names = "atan2 hypot2"
  # Put together here, so that this file does not break its own rules.
  licence_pattern = "SPDX-" "License-Identifier: Apache-2\\.0"
  todo_pattern = "(^|[^A-Za-z])(TO" "DO|FIX" "ME)([^A-Za-z]|$)"
  numbered_todo_pattern = "TO" "DO\\(#[0-9]+\\): "
  machine_path_pattern = "(^|[^A-Za-z0-9_.])/(work|farm|home|Users|mnt)/[A-Za-z0-9_.]"
}

FNR == 1 { pass++ }
pass == 1 { read_page_line(); next }
pass == 2 { read_cmake_line(); next }
FNR == 1 {
  if (pass == 3) compare_page_with_cmake()
  if (pass == 3) name = ""
  start_file()
}
{
  last_line = FNR
  if (cpp) check_cpp_line()
  check_any_line()
}
END {
  finish_file()
  exit broken
}
