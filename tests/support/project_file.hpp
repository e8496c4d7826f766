// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fw::test {

/// The absolute path of a file or folder of the project, named from the project's folder: "cases/alder-gap-tender".
/// Defined beside main(), the only object that knows where the project lies: all others are the same in every clone.
[[nodiscard]] std::string project_file(std::string_view path);

}  // namespace fw::test
