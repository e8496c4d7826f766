// SPDX-License-Identifier: Apache-2.0
#include "casefile/photo.hpp"

#include <cmath>
#include <cstdio>  // before jpeglib.h, which needs it
#include <cstdlib>

#include <gtest/gtest.h>
#include <jpeglib.h>
#include <png.h>

namespace fw::casefile {
namespace {

debris::Picture waves() {
  debris::Picture picture{.width = 120, .height = 70, .level = {}};
  for (std::size_t y = 0; y < picture.height; ++y) {
    for (std::size_t x = 0; x < picture.width; ++x) {
      picture.level.push_back(static_cast<std::uint8_t>(std::lround(
          128.0 + 90.0 * std::sin(0.1 * static_cast<double>(x)) * std::cos(0.08 * static_cast<double>(y)))));
    }
  }
  return picture;
}

std::string jpeg_of(const debris::Picture& picture, J_COLOR_SPACE colours = JCS_GRAYSCALE) {
  const int parts = colours == JCS_GRAYSCALE ? 1 : colours == JCS_RGB ? 3 : 4;
  jpeg_compress_struct info{};
  jpeg_error_mgr manager{};
  info.err = jpeg_std_error(&manager);
  jpeg_create_compress(&info);
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &bytes, &size);
  info.image_width = static_cast<JDIMENSION>(picture.width);
  info.image_height = static_cast<JDIMENSION>(picture.height);
  info.input_components = parts;
  info.in_color_space = colours;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, 95, TRUE);
  jpeg_start_compress(&info, TRUE);
  for (std::size_t y = 0; y < picture.height; ++y) {
    std::vector<JSAMPLE> line;
    for (std::size_t x = 0; x < picture.width; ++x) {
      for (int c = 0; c < parts; ++c) line.push_back(picture.level[y * picture.width + x]);
    }
    JSAMPROW row = line.data();
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  std::string text(reinterpret_cast<const char*>(bytes), size);
  std::free(bytes);  // NOLINT(cppcoreguidelines-no-malloc): the library's own memory
  return text;
}

std::string png_of(const debris::Picture& picture) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(picture.width);
  image.height = static_cast<png_uint_32>(picture.height);
  image.format = PNG_FORMAT_GRAY;
  png_alloc_size_t size = 0;
  png_image_write_to_memory(&image, nullptr, &size, 0, picture.level.data(), 0, nullptr);
  std::string bytes(size, '\0');
  png_image_write_to_memory(&image, bytes.data(), &size, 0, picture.level.data(), 0, nullptr);
  bytes.resize(size);
  return bytes;
}

TEST(Photo, WhatTheLibrariesWriteIsRead) {
  const debris::Picture picture = waves();
  const auto png = decode_photo(png_of(picture), "x.png");
  ASSERT_TRUE(png.has_value()) << to_text(png.error());
  EXPECT_EQ(png->width, picture.width);
  EXPECT_EQ(png->level, picture.level);
  for (const J_COLOR_SPACE colours : {JCS_GRAYSCALE, JCS_RGB}) {
    const auto jpeg = decode_photo(jpeg_of(picture, colours), "x.jpg");
    ASSERT_TRUE(jpeg.has_value()) << to_text(jpeg.error());
    ASSERT_EQ(jpeg->level.size(), picture.level.size());
    for (std::size_t i = 0; i < picture.level.size(); ++i) EXPECT_NEAR(jpeg->level[i], picture.level[i], 12);
  }
}

TEST(Photo, DamageIsOneError) {
  const std::string jpeg = jpeg_of(waves());
  const std::string png = png_of(waves());
  const auto refused = [](const std::string& bytes) {
    const auto picture = decode_photo(bytes, "a.jpg");
    if (picture) return std::string();
    EXPECT_EQ(picture.error().size(), 1U);
    EXPECT_EQ(picture.error().front().where.file, "a.jpg");
    EXPECT_FALSE(picture.error().front().hint.empty());
    return picture.error().front().found;
  };
  EXPECT_NE(refused(""), "");
  EXPECT_NE(refused("GIF89a"), "");
  for (const std::string& whole : {jpeg, png}) {
    for (const std::size_t kept : {std::size_t{12}, std::size_t{20}, whole.size() / 3, whole.size() - 40}) {
      EXPECT_NE(refused(whole.substr(0, kept)).find("damaged"), std::string::npos) << kept;
    }
  }
  EXPECT_NE(refused(jpeg_of(waves(), JCS_CMYK)).find("CMYK"), std::string::npos);
  // A head that claims more points than any telephone makes.
  std::string huge = jpeg;
  for (std::size_t i = 0; i + 9 < huge.size(); ++i) {
    if (huge[i] == '\xff' && huge[i + 1] == '\xc0') {
      for (std::size_t k = 5; k < 9; ++k) huge[i + k] = '\x7f';
      break;
    }
  }
  EXPECT_NE(refused(huge).find("points"), std::string::npos);
  EXPECT_EQ(read_photo_bytes("/no/such.jpg").error().front().code, ErrorCode::not_found);
}

}  // namespace
}  // namespace fw::casefile
