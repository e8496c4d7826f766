// SPDX-License-Identifier: Apache-2.0
#include "report/font.hpp"

#include <sys/stat.h>
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>

#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>

#include "base/contract.hpp"
#include "report/font_pango.hpp"

namespace fw::report {
namespace {

constexpr std::array<const char*, 8> files = {
    "B612-Regular.otf",     "B612-Bold.otf",     "B612-Italic.otf",     "B612-BoldItalic.otf",
    "B612Mono-Regular.otf", "B612Mono-Bold.otf", "B612Mono-Italic.otf", "B612Mono-BoldItalic.otf",
};

std::size_t file_of(const TextStyle& style) {
  return (style.mono ? 4U : 0U) + (style.italic ? 2U : 0U) + (style.bold ? 1U : 0U);
}

/// The process's fonts. Lives to the end of the process: Fontconfig keeps it as its current configuration, which also
/// keeps Pango from reading (or missing) the system's.
struct Fonts {
  FcConfig* config = nullptr;
  std::array<FcCharSet*, files.size()> glyphs{};
};

Fonts& fonts() {
  static Fonts all;
  return all;
}

Result<void> load() {
  if (auto there = check_font_folder(FW_FONT_DIR); !there) return there;
  Fonts& all = fonts();
  FcConfig* config = FcConfigCreate();
  FW_EXPECTS(config != nullptr);
  for (std::size_t i = 0; i < files.size(); ++i) {
    const std::string path = fmt::format("{}/{}", FW_FONT_DIR, files[i]);
    const auto* bytes = reinterpret_cast<const FcChar8*>(path.c_str());
    int faces = 0;
    FcPattern* face = FcFreeTypeQuery(bytes, 0, nullptr, &faces);
    FcCharSet* glyphs = nullptr;
    const bool known = face != nullptr && FcPatternGetCharSet(face, FC_CHARSET, 0, &glyphs) == FcResultMatch &&
                       FcConfigAppFontAddFile(config, bytes) == FcTrue;
    if (known) all.glyphs[i] = FcCharSetCopy(glyphs);
    if (face != nullptr) FcPatternDestroy(face);
    if (!known) {
      return fail(Error{.code = ErrorCode::io,
                        .where = {.file = path},
                        .found = "a file that is no font",
                        .expected = "an OpenType font of the B612 family",
                        .hint = "Install it again: apt-get install --reinstall fonts-b612"});
    }
  }
  FcConfigSetCurrent(config);
  all.config = config;
  return {};
}

/// Pango objects of one thread.
struct ThreadFonts {
  PangoFontMap* map = nullptr;
  PangoContext* context = nullptr;
  PangoLayout* layout = nullptr;

  ThreadFonts() {
    map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    FW_EXPECTS(map != nullptr);
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map), fonts().config);
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72.0);
    context = pango_font_map_create_context(map);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    layout = pango_layout_new(context);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
  }
  ~ThreadFonts() {
    g_object_unref(layout);
    g_object_unref(context);
    g_object_unref(map);
  }
  ThreadFonts(const ThreadFonts&) = delete;
  ThreadFonts& operator=(const ThreadFonts&) = delete;
};

ThreadFonts& thread_fonts() {
  FW_EXPECTS(load_fonts().has_value());
  thread_local ThreadFonts mine;
  return mine;
}

struct Decoded {
  char32_t code = 0xFFFD;
  std::size_t bytes = 1;
};

/// One UTF-8 character; U+FFFD and one byte where the text is malformed.
Decoded decode(std::string_view text) {
  const gunichar code = g_utf8_get_char_validated(text.data(), static_cast<gssize>(text.size()));
  if (code == static_cast<gunichar>(-1) || code == static_cast<gunichar>(-2)) return {};
  const auto bytes = static_cast<std::size_t>(g_unichar_to_utf8(code, nullptr));
  return {.code = code, .bytes = bytes};
}

}  // namespace

Result<void> load_fonts() {
  static const Result<void> loaded = load();
  return loaded;
}

Result<void> check_font_folder(const std::string& folder) {
  for (const char* file : files) {
    const std::string path = folder + "/" + file;
    struct stat info{};
    if (::stat(path.c_str(), &info) != 0) {
      return fail(Error{.code = ErrorCode::not_found,
                        .where = {.file = path},
                        .found = "no such file",
                        .expected = "the B612 fonts, in which papers and figures are set",
                        .hint = "Install the package fonts-b612 (apt-get install fonts-b612), or build with "
                                "-DFW_FONT_DIR=<folder of the .otf files>"});
    }
  }
  return {};
}

PangoFontDescription* new_description(const TextStyle& style) {
  PangoFontDescription* description = pango_font_description_new();
  pango_font_description_set_family_static(description, style.mono ? "B612 Mono" : "B612");
  pango_font_description_set_weight(description, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_style(description, style.italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  pango_font_description_set_absolute_size(description, style.size * PANGO_SCALE);
  return description;
}

PangoContext* thread_context() { return thread_fonts().context; }

TextSize measure(std::string_view text, const TextStyle& style) {
  FW_EXPECTS(std::isfinite(style.size) && style.size > 0.0);
  PangoLayout* layout = thread_fonts().layout;
  PangoFontDescription* description = new_description(style);
  pango_layout_set_font_description(layout, description);
  pango_font_description_free(description);
  pango_layout_set_text(layout, text.data(), static_cast<int>(text.size()));
  PangoRectangle logical{};
  pango_layout_get_extents(layout, nullptr, &logical);
  const double ascent = pango_layout_get_baseline(layout) / static_cast<double>(PANGO_SCALE);
  return {.width = logical.width / static_cast<double>(PANGO_SCALE),
          .ascent = ascent,
          .descent = logical.height / static_cast<double>(PANGO_SCALE) - ascent};
}

Corners text_corners(const Text& text) {
  const TextSize size = measure(text.text, text.style);
  double left = 0.0;
  if (text.anchor == Anchor::middle) left = -size.width / 2.0;
  if (text.anchor == Anchor::end) left = -size.width;
  const double turn = text.turn_deg * std::numbers::pi / 180.0;
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  const auto turned = [&](double x, double y) { return Point{text.at.x + c * x - s * y, text.at.y + s * x + c * y}; };
  return {turned(left, -size.ascent), turned(left + size.width, -size.ascent), turned(left + size.width, size.descent),
          turned(left, size.descent)};
}

std::vector<MissingGlyph> missing_glyphs(std::string_view text, const TextStyle& style) {
  FW_EXPECTS(load_fonts().has_value());
  const FcCharSet* glyphs = fonts().glyphs.at(file_of(style));
  std::vector<MissingGlyph> missing;
  for (std::size_t at = 0; at < text.size();) {
    const Decoded next = decode(text.substr(at));
    if (next.code < 0x20 || FcCharSetHasChar(glyphs, next.code) == FcFalse) {
      missing.push_back({.byte = at, .code = next.code});
    }
    at += next.bytes;
  }
  return missing;
}

Result<void> check_glyphs(std::string_view text, const TextStyle& style, const std::string& field) {
  const auto missing = missing_glyphs(text, style);
  if (missing.empty()) return {};
  std::string codes;
  for (const MissingGlyph& glyph : missing) {
    if (!codes.empty()) codes += ", ";
    codes += fmt::format("U+{:04X}", static_cast<std::uint32_t>(glyph.code));
    if (codes.size() > 60) {
      codes += ", ...";
      break;
    }
  }
  // A malformed text cannot be quoted.
  std::string quoted;
  if (g_utf8_validate(text.data(), static_cast<gssize>(text.size()), nullptr) == TRUE) {
    quoted = fmt::format(" in \"{}\"", text);
  }
  return invalid(field, codes + quoted, "characters that the paper's fonts (B612) can draw",
                 "Write it with Latin letters, digits and common signs");
}

}  // namespace fw::report

#if defined(__SANITIZE_ADDRESS__)
// Fontconfig keeps the pointers of its patterns as offsets, which the leak finder cannot follow: the fonts of the
// process, which live to its end, look lost to it.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig.so\n"; }
#endif
