// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string_view>

/// The files of catalog/ as they were when the program was built (cmake/embed_folder.cmake).
namespace fw::catalog::embedded {

struct File {
  std::string_view name;  ///< under catalog/, e.g. "layouts/c-low.toml"
  std::string_view text;
};

[[nodiscard]] std::span<const File> files();

}  // namespace fw::catalog::embedded
