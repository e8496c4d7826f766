// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// The files of catalog/ as they were when the program was built (cmake/embed.cmake).
namespace fw::catalog::embedded {

extern const std::string_view source_classes;

}  // namespace fw::catalog::embedded
