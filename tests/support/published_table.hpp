// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <charconv>
#include <cstddef>
#include <fstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include "project_file.hpp"

/// Outside cases as data, for tests only: tables under tests/published, with their source as comment lines on top.
namespace fw::test {

/// A comma-separated table: lines starting with # are comments, the first other line names the columns.
struct PublishedTable {
  std::string path;
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;

  [[nodiscard]] std::size_t column(std::string_view name) const {
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (columns[i] == name) return i;
    }
    throw std::runtime_error(path + ": no column " + std::string(name));
  }
  [[nodiscard]] const std::string& text(std::size_t row, std::string_view name) const {
    return rows.at(row).at(column(name));
  }
  [[nodiscard]] double number(std::size_t row, std::string_view name) const {
    const std::string& cell = text(row, name);
    double value = 0.0;
    const auto [end, fault] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    if (fault != std::errc{} || end != cell.data() + cell.size()) {
      throw std::runtime_error(path + ": not a number: " + cell);
    }
    return value;
  }
};

/// Reads tests/published/`name`. Throws when the file is missing, empty or ragged, so that a lost table is a failed
/// test.
[[nodiscard]] inline PublishedTable published_table(std::string_view name) {
  PublishedTable table;
  table.path = test::project_file("tests/published/") + std::string(name);
  std::ifstream file(table.path);
  if (!file) throw std::runtime_error(table.path + ": cannot be read");
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line.front() == '#') continue;
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == ',') {
        cells.emplace_back();
      } else {
        cells.back() += c;
      }
    }
    if (table.columns.empty()) {
      table.columns = std::move(cells);
    } else if (cells.size() == table.columns.size()) {
      table.rows.push_back(std::move(cells));
    } else {
      throw std::runtime_error(table.path + ": ragged line: " + line);
    }
  }
  if (table.rows.empty()) throw std::runtime_error(table.path + ": no rows");
  return table;
}

}  // namespace fw::test
