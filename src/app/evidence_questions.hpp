// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "base/result.hpp"

/// The evidence log of a case folder. Each answer is the text to print.
namespace fw::app {

/// The log, its chain checked. Errors: those of casefile::read_evidence.
[[nodiscard]] Result<std::string> evidence_text(const std::string& folder);

/// Adds one entry of "KEY=VALUE" texts. Errors: invalid_input at `--add` for a text without a sign; those of
/// casefile::set_evidence and add_evidence.
[[nodiscard]] Result<std::string> add_evidence_text(const std::string& folder, const std::vector<std::string>& entry);

/// Copies log and files to a new folder that sha256sum verifies. Errors: those of casefile::export_evidence.
[[nodiscard]] Result<std::string> export_evidence_text(const std::string& folder, const std::string& to);

}  // namespace fw::app
