// SPDX-License-Identifier: Apache-2.0
#include "report/svg.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::report {
namespace {

constexpr std::array<Role, 11> roles = {Role::paper,    Role::sheet,   Role::ink,   Role::soft,
                                        Role::hairline, Role::accent,  Role::wash,  Role::danger,
                                        Role::warning,  Role::caution, Role::notice};

/// Writes one element per primitive.
struct Writer {
  std::string out;
  SvgColours colours = SvgColours::fixed;
  int depth = 1;

  void indent() { out.append(static_cast<std::size_t>(depth), ' '); }

  void number(const char* attribute, double value) { out += fmt::format(" {}=\"{}\"", attribute, svg_number(value)); }

  void paint(Role fill, const Stroke& stroke) {
    const bool stroked = stroke.colour != Role::none;
    if (colours == SvgColours::fixed) {
      out += fmt::format(" fill=\"{}\"", fill == Role::none ? "none" : hex(light(fill)));
      if (stroked) out += fmt::format(" stroke=\"{}\"", hex(light(stroke.colour)));
    } else {
      out += fmt::format(" class=\"f-{}", name(fill));
      if (stroked) out += fmt::format(" s-{}", name(stroke.colour));
      out += '"';
    }
    if (!stroked) return;
    number("stroke-width", stroke.width);
    if (stroke.dash.empty()) return;
    out += " stroke-dasharray=\"";
    for (std::size_t i = 0; i < stroke.dash.size(); ++i) {
      if (i > 0) out += ' ';
      out += svg_number(stroke.dash[i]);
    }
    out += '"';
  }

  void operator()(const Line& line) {
    indent();
    out += "<line";
    number("x1", line.from.x);
    number("y1", line.from.y);
    number("x2", line.to.x);
    number("y2", line.to.y);
    paint(Role::none, line.stroke);
    out += "/>\n";
  }
  void operator()(const Polyline& line) {
    indent();
    out += line.closed ? "<polygon points=\"" : "<polyline points=\"";
    for (std::size_t i = 0; i < line.points.size(); ++i) {
      if (i > 0) out += ' ';
      out += svg_number(line.points[i].x) + "," + svg_number(line.points[i].y);
    }
    out += '"';
    paint(line.fill, line.stroke);
    out += " stroke-linejoin=\"round\"/>\n";
  }
  void operator()(const Rectangle& box) {
    indent();
    out += "<rect";
    number("x", box.corner.x);
    number("y", box.corner.y);
    number("width", box.width);
    number("height", box.height);
    paint(box.fill, box.stroke);
    out += "/>\n";
  }
  void operator()(const Circle& circle) {
    indent();
    out += "<circle";
    number("cx", circle.centre.x);
    number("cy", circle.centre.y);
    number("r", circle.radius);
    paint(circle.fill, circle.stroke);
    out += "/>\n";
  }
  void operator()(const Arc& arc) {
    // In two halves: one arc command cannot close a circle.
    const auto at = [&](double degrees) {
      const double angle = degrees * std::numbers::pi / 180.0;
      return svg_number(arc.centre.x + arc.radius * std::cos(angle)) + " " +
             svg_number(arc.centre.y + arc.radius * std::sin(angle));
    };
    const std::string r = svg_number(arc.radius);
    indent();
    out += fmt::format("<path d=\"M{} A{} {} 0 0 1 {} A{} {} 0 0 1 {}\"", at(arc.from_deg), r, r,
                       at((arc.from_deg + arc.to_deg) / 2.0), r, r, at(arc.to_deg));
    paint(Role::none, arc.stroke);
    out += "/>\n";
  }
  void operator()(const Text& text) {
    indent();
    out += "<text";
    number("x", text.at.x);
    number("y", text.at.y);
    if (text.turn_deg != 0.0) {
      out += fmt::format(" transform=\"rotate({} {} {})\"", svg_number(text.turn_deg), svg_number(text.at.x),
                         svg_number(text.at.y));
    }
    number("font-size", text.style.size);
    if (text.style.mono) out += " font-family=\"B612 Mono, monospace\"";
    if (text.style.bold) out += " font-weight=\"700\"";
    if (text.style.italic) out += " font-style=\"italic\"";
    if (text.anchor == Anchor::middle) out += " text-anchor=\"middle\"";
    if (text.anchor == Anchor::end) out += " text-anchor=\"end\"";
    paint(text.colour, {});
    out += fmt::format(">{}</text>\n", xml_escaped(text.text));
  }
  void operator()(const GroupBegin& group) {
    indent();
    out += fmt::format("<g><title>{}</title>", xml_escaped(group.title));
    if (!group.description.empty()) out += fmt::format("<desc>{}</desc>", xml_escaped(group.description));
    out += '\n';
    ++depth;
  }
  void operator()(const GroupEnd&) {
    --depth;
    indent();
    out += "</g>\n";
  }
};

bool plain_name(std::string_view id) {
  if (id.empty()) return false;
  for (const char c : id) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (!letter && !(c >= '0' && c <= '9') && c != '-' && c != '_') return false;
  }
  return !(id.front() >= '0' && id.front() <= '9') && id.front() != '-';
}

}  // namespace

std::string svg_number(double value) {
  FW_EXPECTS(std::isfinite(value));
  FW_EXPECTS(std::abs(value) < 1e9);
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, 2);
  std::string number(text.data(), end.ptr);
  while (number.back() == '0') number.pop_back();
  if (number.back() == '.') number.pop_back();
  return number == "-0" ? "0" : number;
}

std::string xml_escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '&': out += "&amp;"; break;
      case '"': out += "&quot;"; break;
      default: out += c;
    }
  }
  return out;
}

Result<std::string> svg(const Figure& figure, const SvgOptions& options) {
  if (auto ok = check(figure); !ok) return tl::unexpected(ok.error());
  if (!plain_name(options.id)) {
    return invalid("svg.id", "\"" + options.id + "\"", "letters, digits, - and _, beginning with a letter");
  }
  Writer writer{.out = {}, .colours = options.colours};
  const bool described = !figure.description.empty();
  writer.out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}pt\" height=\"{1}pt\" role=\"img\" "
      "aria-labelledby=\"{2}-title{3}\" font-family=\"B612, sans-serif\">\n <title id=\"{2}-title\">{4}</title>\n",
      svg_number(figure.width), svg_number(figure.height), options.id, described ? " " + options.id + "-desc" : "",
      xml_escaped(figure.title));
  if (described) {
    writer.out += fmt::format(" <desc id=\"{}-desc\">{}</desc>\n", options.id, xml_escaped(figure.description));
  }
  for (const Primitive& primitive : figure.primitives) std::visit(writer, primitive);
  writer.out += "</svg>\n";
  return writer.out;
}

std::string svg_style_sheet() {
  std::string out;
  const auto variables = [&](Rgb (*colour)(Role)) {
    for (const Role role : roles) out += fmt::format("--{}:{};", name(role), hex(colour(role)));
  };
  out += ":root{";
  variables(light);
  out += "}\n@media(prefers-color-scheme:dark){:root:not([data-sheet=\"light\"]){";
  variables(dark);
  out += "}}\n:root[data-sheet=\"dark\"]{";
  variables(dark);
  out += "}\n.f-none{fill:none}\n";
  for (const Role role : roles) {
    out += fmt::format(".f-{0}{{fill:var(--{0})}} .s-{0}{{stroke:var(--{0})}}\n", name(role));
  }
  return out;
}

}  // namespace fw::report
