// SPDX-License-Identifier: Apache-2.0
#include "casefile/photo.hpp"

#include <csetjmp>
#include <cstddef>
#include <cstdio>  // before jpeglib.h, which needs it
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <jpeglib.h>
#include <png.h>

namespace fw::casefile {

namespace {

constexpr std::size_t most_points = 64'000'000;

tl::unexpected<Errors> refuse(ErrorCode code, const std::string& path, std::string found, std::string expected,
                              std::string hint) {
  return fail(Error{.code = code,
                    .where = {.file = path},
                    .found = std::move(found),
                    .expected = std::move(expected),
                    .hint = std::move(hint)});
}

tl::unexpected<Errors> damaged(const std::string& path, const std::string& why) {
  return refuse(ErrorCode::invalid_input, path, "a damaged picture (" + why + ")", "a whole JPEG or PNG picture",
                "Copy it again from the camera");
}

tl::unexpected<Errors> too_many(const std::string& path, std::size_t width, std::size_t height) {
  return refuse(ErrorCode::too_large, path, fmt::format("{} x {} points", width, height),
                fmt::format("at most {} million points", most_points / 1'000'000), "Take it with fewer points");
}

/// libjpeg leaves by longjmp instead of ending the program.
struct Jump {
  jpeg_error_mgr manager{};
  std::jmp_buf back{};
  char text[JMSG_LENGTH_MAX] = {};
};

void leave(j_common_ptr info) {
  auto* jump = reinterpret_cast<Jump*>(info->err);
  jump->manager.format_message(info, jump->text);
  std::longjmp(jump->back, 1);  // NOLINT(cert-err52-cpp): the library's own way out of C
}

void stay_silent(j_common_ptr) {}

/// 0 decoded, 1 damaged, 2 too large, 3 not grey or colour. Nothing with a destructor lives here: a longjmp crosses it.
int decode_into(std::string_view bytes, Jump& jump, debris::Picture& picture, std::size_t& width, std::size_t& height) {
  jpeg_decompress_struct info{};
  info.err = jpeg_std_error(&jump.manager);
  jump.manager.error_exit = leave;
  jump.manager.output_message = stay_silent;
  if (setjmp(jump.back) != 0) {  // NOLINT(cert-err52-cpp)
    jpeg_destroy_decompress(&info);
    return 1;
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()), static_cast<unsigned long>(bytes.size()));
  jpeg_read_header(&info, TRUE);
  width = info.image_width;
  height = info.image_height;
  if (width * height > most_points) {
    jpeg_destroy_decompress(&info);
    return 2;
  }
  if (info.jpeg_color_space == JCS_CMYK || info.jpeg_color_space == JCS_YCCK) {
    jpeg_destroy_decompress(&info);
    return 3;
  }
  info.out_color_space = JCS_GRAYSCALE;
  jpeg_start_decompress(&info);
  picture.width = width;
  picture.height = height;
  picture.level.resize(width * height);
  while (info.output_scanline < info.output_height) {
    JSAMPROW row = &picture.level[static_cast<std::size_t>(info.output_scanline) * width];
    jpeg_read_scanlines(&info, &row, 1);
  }
  // A file that ends early is filled up with grey and warned of: what is missing must not count as clean.
  const bool whole = jump.manager.num_warnings == 0;
  jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  return whole ? 0 : 1;
}

Result<debris::Picture> decode_jpeg(std::string_view bytes, const std::string& path) {
  Jump jump;
  debris::Picture picture;
  std::size_t width = 0;
  std::size_t height = 0;
  switch (decode_into(bytes, jump, picture, width, height)) {
    case 0: return picture;
    case 2: return too_many(path, width, height);
    case 3:
      return refuse(ErrorCode::invalid_input, path, "a picture in printing colours (CMYK)",
                    "a picture as a camera makes it", "Save it as an ordinary JPEG");
    default: return damaged(path, jump.text[0] == '\0' ? "it ends early" : jump.text);
  }
}

Result<debris::Picture> decode_png(std::string_view bytes, const std::string& path) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) == 0) return damaged(path, image.message);
  if (static_cast<std::size_t>(image.width) * image.height > most_points) {
    const std::size_t width = image.width;
    const std::size_t height = image.height;
    png_image_free(&image);
    return too_many(path, width, height);
  }
  image.format = PNG_FORMAT_GRAY;
  debris::Picture picture{.width = image.width, .height = image.height, .level = {}};
  picture.level.resize(PNG_IMAGE_SIZE(image));
  png_color white{.red = 255, .green = 255, .blue = 255};
  const int done = png_image_finish_read(&image, &white, picture.level.data(), 0, nullptr);
  const std::string why = image.message;
  png_image_free(&image);
  if (done == 0) return damaged(path, why);
  return picture;
}

}  // namespace

Result<debris::Picture> decode_photo(std::string_view bytes, const std::string& path) {
  if (bytes.starts_with("\xff\xd8\xff")) return decode_jpeg(bytes, path);
  if (bytes.starts_with("\x89PNG\r\n\x1a\n")) return decode_png(bytes, path);
  return refuse(ErrorCode::invalid_input, path, "another kind of file", "a JPEG or PNG picture",
                "Let the telephone save photos as JPEG (\"most compatible\"), or convert it");
}

Result<std::string> read_photo_bytes(const std::string& path) {
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (error || !std::filesystem::exists(status)) {
    return refuse(ErrorCode::not_found, path, "no such file", "a photo", "Check the name");
  }
  if (!std::filesystem::is_regular_file(status)) {
    return refuse(ErrorCode::invalid_input, path, "a folder or device", "a photo", "Name the file itself");
  }
  const auto size = std::filesystem::file_size(path, error);
  if (!error && size > largest_photo_bytes) {
    return refuse(ErrorCode::too_large, path, fmt::format("{} bytes", size),
                  fmt::format("at most {} bytes", largest_photo_bytes), "Is it a photo?");
  }
  if (!error && size == 0) {
    return refuse(ErrorCode::invalid_input, path, "an empty file", "a photo", "Copy it again from the camera");
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  if (!file || !bytes) {
    return refuse(ErrorCode::io, path, "a file that cannot be read", "a readable file", "Check its permissions");
  }
  return bytes.str();
}

}  // namespace fw::casefile
