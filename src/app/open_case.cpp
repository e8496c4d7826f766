// SPDX-License-Identifier: Apache-2.0
#include "app/open_case.hpp"

#include <filesystem>
#include <system_error>
#include <utility>

namespace fw::app {

Result<casefile::Case> open_case_or_sheet(const std::string& target, const catalog::Catalog& catalog) {
  std::error_code ignored;
  if (std::filesystem::is_directory(target, ignored)) return casefile::read_case(target, catalog);
  auto sheet = casefile::read_sheet_file(target, catalog);
  if (!sheet) return fail(sheet.error());
  casefile::Case job;
  job.sheets.push_back(std::move(*sheet));
  return job;
}

}  // namespace fw::app
