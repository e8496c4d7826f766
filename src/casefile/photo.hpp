// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "base/result.hpp"
#include "debris/scale_card.hpp"

/// Photos as a telephone makes them, as grey pictures.
namespace fw::casefile {

/// Largest photo file [bytes].
inline constexpr std::size_t largest_photo_bytes = 32U << 20U;

/// A JPEG or PNG file as a grey picture (luma of JPEG; of PNG by libpng's weights, transparency on white). The turn
/// that a camera notes beside the picture is not applied: the card's discs tell it. Errors, in `path`: invalid_input
/// for another format, a damaged or cut-off file, a CMYK picture; too_large for more than 64 million points.
[[nodiscard]] Result<debris::Picture> decode_photo(std::string_view bytes, const std::string& path);

/// The bytes of a photo file. Errors: not_found, invalid_input for a folder or an empty file, io, too_large above
/// largest_photo_bytes.
[[nodiscard]] Result<std::string> read_photo_bytes(const std::string& path);

}  // namespace fw::casefile
