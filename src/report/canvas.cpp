// SPDX-License-Identifier: Apache-2.0
#include "report/canvas.hpp"

#include <cmath>
#include <numbers>

#include <cairo.h>
#include <fmt/format.h>
#include <pango/pangocairo.h>

#include "base/contract.hpp"
#include "report/canvas_cairo.hpp"
#include "report/font_pango.hpp"

namespace fw::report {
namespace {

/// Strokes and fills on a Cairo context.
struct Painter {
  cairo_t* cairo = nullptr;

  void stroke(const Stroke& stroke) const {
    if (stroke.colour == Role::none || stroke.width <= 0.0) {
      cairo_new_path(cairo);
      return;
    }
    set_colour(cairo, stroke.colour);
    cairo_set_line_width(cairo, stroke.width);
    cairo_set_dash(cairo, stroke.dash.data(), static_cast<int>(stroke.dash.size()), 0.0);
    cairo_stroke(cairo);
  }
  void fill_and_stroke(Role fill, const Stroke& line) const {
    if (fill != Role::none) {
      set_colour(cairo, fill);
      cairo_fill_preserve(cairo);
    }
    stroke(line);
  }
  void operator()(const Line& line) const {
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_MITER);
    cairo_move_to(cairo, line.from.x, line.from.y);
    cairo_line_to(cairo, line.to.x, line.to.y);
    stroke(line.stroke);
  }
  void operator()(const Polyline& line) const {
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    for (const Point& p : line.points) cairo_line_to(cairo, p.x, p.y);
    if (line.closed) cairo_close_path(cairo);
    fill_and_stroke(line.fill, line.stroke);
  }
  void operator()(const Rectangle& box) const {
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_MITER);
    cairo_rectangle(cairo, box.corner.x, box.corner.y, box.width, box.height);
    fill_and_stroke(box.fill, box.stroke);
  }
  void operator()(const Circle& circle) const {
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, circle.centre.x, circle.centre.y, circle.radius, 0.0, 2.0 * std::numbers::pi);
    cairo_close_path(cairo);
    fill_and_stroke(circle.fill, circle.stroke);
  }
  void operator()(const Arc& arc) const {
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, arc.centre.x, arc.centre.y, arc.radius, arc.from_deg * std::numbers::pi / 180.0,
              arc.to_deg * std::numbers::pi / 180.0);
    stroke(arc.stroke);
  }
  void operator()(const Text& text) const {
    if (text.colour == Role::none || text.text.empty()) return;
    PangoLayout* layout = pango_layout_new(thread_context());
    PangoFontDescription* description = new_description(text.style);
    pango_layout_set_font_description(layout, description);
    pango_font_description_free(description);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    pango_layout_set_text(layout, text.text.data(), static_cast<int>(text.text.size()));
    PangoRectangle logical{};
    pango_layout_get_extents(layout, nullptr, &logical);
    double left = 0.0;
    const double width = logical.width / static_cast<double>(PANGO_SCALE);
    if (text.anchor == Anchor::middle) left = -width / 2.0;
    if (text.anchor == Anchor::end) left = -width;
    cairo_save(cairo);
    cairo_translate(cairo, text.at.x, text.at.y);
    cairo_rotate(cairo, text.turn_deg * std::numbers::pi / 180.0);
    cairo_move_to(cairo, left, 0.0);
    set_colour(cairo, text.colour);
    pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(layout, 0));
    cairo_restore(cairo);
    cairo_new_path(cairo);
    g_object_unref(layout);
  }
  void operator()(const GroupBegin&) const {}
  void operator()(const GroupEnd&) const {}
};

cairo_status_t append(void* to, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), count);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

void set_colour(cairo_t* cairo, Role role) {
  const Rgb rgb = light(role);
  cairo_set_source_rgb(cairo, rgb.red / 255.0, rgb.green / 255.0, rgb.blue / 255.0);
}

void paint(cairo_t* cairo, const Primitive& primitive) { std::visit(Painter{.cairo = cairo}, primitive); }

void paint(cairo_t* cairo, const Figure& figure) {
  for (const Primitive& primitive : figure.primitives) paint(cairo, primitive);
}

Result<std::string> png(const Figure& figure, double scale) {
  if (auto ok = check(figure); !ok) return tl::unexpected(ok.error());
  if (!std::isfinite(scale) || scale < 0.1 || scale > 20.0) {
    return invalid("png.scale", fmt::format("{}", scale), "0.1 to 20 pixels per point");
  }
  const double width = std::ceil(figure.width * scale);
  const double height = std::ceil(figure.height * scale);
  if (width * height > 1e8 || width > 30000.0 || height > 30000.0) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.field = "png.scale"},
                      .found = fmt::format("{} x {} pixels", width, height),
                      .expected = "at most 100 million pixels and 30000 a side",
                      .hint = "Lower the scale"});
  }
  cairo_surface_t* surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height));
  cairo_t* cairo = cairo_create(surface);
  set_colour(cairo, Role::sheet);
  cairo_paint(cairo);
  cairo_scale(cairo, scale, scale);
  paint(cairo, figure);
  std::string bytes;
  const cairo_status_t drawn = cairo_status(cairo);
  const cairo_status_t written = cairo_surface_write_to_png_stream(surface, append, &bytes);
  cairo_destroy(cairo);
  cairo_surface_destroy(surface);
  FW_EXPECTS(drawn == CAIRO_STATUS_SUCCESS);
  FW_EXPECTS(written == CAIRO_STATUS_SUCCESS);
  return bytes;
}

Result<std::vector<Box>> ink_boxes(const Figure& figure) {
  if (auto ok = check(figure); !ok) return tl::unexpected(ok.error());
  std::vector<Box> boxes;
  // Cairo rounds extents to whole device units.
  constexpr double enlarged = 64.0;
  for (const Primitive& primitive : figure.primitives) {
    cairo_surface_t* surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, nullptr);
    cairo_t* cairo = cairo_create(surface);
    cairo_scale(cairo, enlarged, enlarged);
    paint(cairo, primitive);
    Box box;
    double width = 0.0;
    double height = 0.0;
    cairo_recording_surface_ink_extents(surface, &box.left, &box.top, &width, &height);
    box = {.left = box.left / enlarged,
           .top = box.top / enlarged,
           .right = (box.left + width) / enlarged,
           .bottom = (box.top + height) / enlarged};
    boxes.push_back(box);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
  }
  return boxes;
}

}  // namespace fw::report
