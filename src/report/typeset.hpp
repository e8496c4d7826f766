// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "report/document.hpp"
#include "report/figure.hpp"

/// Words as they are set on paper and in figures. The terminal keeps the letters that a keyboard has.
namespace fw::report {

/// "20 C" with its degree sign, "10 um" with the letter mu, "1.4 mm2/s" with the raised two, "-10" with a true minus.
[[nodiscard]] std::string typeset(std::string_view text);
/// Every text of a figure.
[[nodiscard]] Figure typeset(Figure figure);
/// Every text of a paper and of its figures.
[[nodiscard]] Document typeset(Document document);

/// "2,000".
[[nodiscard]] std::string grouped(std::size_t number);

}  // namespace fw::report
