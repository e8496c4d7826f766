// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/diagnosis_questions.hpp"

/// Where metal lies and what must be replaced.
namespace fw::app {

/// Debris map of a case folder with a metal.toml. Schema fuelwright.debris/1.1. Errors: those of the reader and of
/// debris::infer.
[[nodiscard]] Result<TextAndJson> debris_text(const std::string& folder, const Request& request, const Run& run);

/// The decision with its options side by side. Schema fuelwright.extent/1.0. Errors: also those of extent::decide.
[[nodiscard]] Result<TextAndJson> extent_text(const std::string& folder, const Request& request, const Run& run);

}  // namespace fw::app
