// SPDX-License-Identifier: Apache-2.0
#include "report/figure_grid.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/font.hpp"
#include "report/text.hpp"

namespace fw::report {
namespace {

Result<void> check_size(const FigureSize& size) {
  if (std::isfinite(size.width) && std::isfinite(size.text_size) && size.text_size >= 2.0 &&
      size.width >= 30.0 * size.text_size) {
    return {};
  }
  return invalid("size", fmt::format("{} wide, text {}", size.width, size.text_size),
                 "text of 2 or more, a width of 30 times the text or more");
}

/// Words in lines of a width in points.
std::vector<std::string> lines_of(const std::string& words, const TextStyle& style, double width) {
  std::vector<std::string> lines;
  // One word a line at the least width; wrapped() keeps numbers with their units.
  for (std::size_t columns = std::max<std::size_t>(1, text_columns(words)); columns >= 1; --columns) {
    lines = wrapped(words, columns);
    const bool fits = std::all_of(lines.begin(), lines.end(),
                                  [&](const std::string& one) { return measure(one, style).width <= width; });
    if (fits || columns == 1) break;
  }
  return lines;
}

double widest(const std::vector<std::string>& words, const TextStyle& style) {
  double most = 0.0;
  for (const std::string& one : words) most = std::max(most, measure(one, style).width);
  return most;
}

/// A table's frame: names of the rows left, columns of one width, a rule under the head.
struct Grid {
  double text = 8.0;
  double name_width = 0.0;
  double column_width = 0.0;
  double width = 0.0;
  double y = 0.0;
  Figure figure;

  void add(Primitive primitive) { figure.primitives.push_back(std::move(primitive)); }
  [[nodiscard]] double column(std::size_t k) const { return name_width + column_width * static_cast<double>(k); }
  [[nodiscard]] double middle(std::size_t k) const { return column(k) + column_width / 2.0; }
  void words(const std::string& text_line, Point at, const TextStyle& style, Role colour, Anchor anchor) {
    if (text_line.empty()) return;
    add(Text{.at = at, .text = text_line, .style = style, .colour = colour, .anchor = anchor});
  }
  void rule(Role role, double weight) {
    add(Line{.from = {0.0, y}, .to = {width, y}, .stroke = {.colour = role, .width = weight * text}});
  }
};

}  // namespace

Result<Figure> envelope_map_figure(const EnvelopeMapData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.columns.empty()) return invalid("columns", "none", "one running point or more");
  if (data.rows.empty()) return invalid("rows", "none", "one condition or more");
  if (data.cells.size() != data.rows.size()) {
    return invalid("cells", fmt::format("{} rows", data.cells.size()), fmt::format("{}", data.rows.size()));
  }
  for (const std::string* words : {&data.title, &data.unit, &data.column_axis, &data.row_axis}) {
    if (auto ok = check_glyphs(*words, {}, "title"); !ok) return tl::unexpected(ok.error());
  }
  for (const auto* names : {&data.columns, &data.rows}) {
    for (const std::string& one : *names) {
      if (auto ok = check_glyphs(one, {}, names == &data.rows ? "rows" : "columns"); !ok) {
        return tl::unexpected(ok.error());
      }
    }
  }
  for (std::size_t r = 0; r < data.cells.size(); ++r) {
    const std::string field = fmt::format("cells.{}", r + 1);
    if (data.cells[r].size() != data.columns.size()) {
      return invalid(field, fmt::format("{} cells", data.cells[r].size()), fmt::format("{}", data.columns.size()));
    }
    for (const EnvelopeCell& cell : data.cells[r]) {
      if (auto ok = check_glyphs(cell.value, {}, field); !ok) return tl::unexpected(ok.error());
    }
  }

  Grid grid{.text = data.size.text_size};
  const double u = grid.text;
  const TextStyle plain{.size = u};
  const TextStyle value_style{.size = 1.05 * u};
  double cell = 0.0;
  for (const auto& row : data.cells) {
    for (const EnvelopeCell& one : row) {
      if (!one.mark) continue;
      const double cross = one.mark == Mark::fails ? mark_cross_advance(u) : 0.0;
      cell = std::max({cell, measure(word(*one.mark), plain).width + cross, measure(one.value, value_style).width});
    }
  }
  // Row names take what is left, two fifths at most; heads may take lines.
  const auto columns = static_cast<double>(data.columns.size());
  const double least = cell + 1.6 * u;
  const double wished_names = std::max(widest(data.rows, plain), measure(data.row_axis, plain).width) + 1.5 * u;
  grid.name_width = std::min(wished_names, 0.4 * data.size.width);
  grid.column_width = std::max(least, (data.size.width - grid.name_width) / columns);
  grid.column_width = std::min(grid.column_width, std::max(least, 11.0 * u));
  grid.width = grid.name_width + grid.column_width * columns;

  std::vector<std::vector<std::string>> heads;
  std::size_t deepest = 0;
  for (const std::string& name : data.columns) {
    heads.push_back(lines_of(name, plain, grid.column_width - 0.6 * u));
    deepest = std::max(deepest, heads.back().size());
  }
  grid.y = 1.1 * u;
  if (!data.column_axis.empty()) {
    grid.words(data.column_axis, {grid.name_width + 0.3 * u, grid.y}, plain, Role::soft, Anchor::start);
    grid.y += 1.5 * u;
  }
  grid.add(GroupBegin{.title = "Columns", .description = {}});
  for (std::size_t k = 0; k < heads.size(); ++k) {
    for (std::size_t i = 0; i < heads[k].size(); ++i) {
      const double up = static_cast<double>(deepest - heads[k].size() + i) * 1.2 * u;
      grid.words(heads[k][i], {grid.middle(k), grid.y + up}, plain, Role::ink, Anchor::middle);
    }
  }
  const double head_base = grid.y + static_cast<double>(deepest - 1) * 1.2 * u;
  const std::string corner =
      data.row_axis.empty() || data.unit.empty() ? data.row_axis + data.unit : data.row_axis + "; " + data.unit;
  const auto corner_lines = lines_of(corner, plain, grid.name_width - 0.8 * u);
  for (std::size_t i = 0; i < corner_lines.size(); ++i) {
    const double up = static_cast<double>(corner_lines.size() - 1 - i) * 1.2 * u;
    grid.words(corner_lines[i], {0.0, head_base - up}, plain, Role::soft, Anchor::start);
  }
  grid.y = head_base + 0.6 * u;
  grid.rule(Role::ink, 0.075);
  grid.add(GroupEnd{});

  std::string& words = grid.figure.description;
  words = data.unit.empty() ? std::string("Running points:") : fmt::format("Running points, in {}:", data.unit);
  for (std::size_t r = 0; r < data.rows.size(); ++r) {
    const auto name = lines_of(data.rows[r], plain, grid.name_width - 0.8 * u);
    const double height = std::max(3.9 * u, (static_cast<double>(name.size()) * 1.2 + 1.3) * u);
    const double top = grid.y;
    const double base = top + (height - 3.9 * u) / 2.0;  // of the cells' upper edge
    grid.add(GroupBegin{.title = data.rows[r], .description = {}});
    const double name_top = top + (height - static_cast<double>(name.size()) * 1.2 * u) / 2.0 + 0.95 * u;
    for (std::size_t i = 0; i < name.size(); ++i) {
      grid.words(name[i], {0.0, name_top + static_cast<double>(i) * 1.2 * u}, plain, Role::ink, Anchor::start);
    }
    words += fmt::format(" {}:", data.rows[r]);
    bool first = true;
    for (std::size_t k = 0; k < data.columns.size(); ++k) {
      const EnvelopeCell& one = data.cells[r][k];
      if (!one.mark) {
        grid.words("\u2013", {grid.middle(k), base + 2.2 * u}, plain, Role::soft, Anchor::middle);
        continue;
      }
      const bool calm = *one.mark == Mark::holds;
      TextStyle style = value_style;
      style.bold = *one.mark == Mark::fails;
      grid.words(one.value, {grid.middle(k), base + 1.35 * u}, style, calm ? Role::soft : Role::ink, Anchor::middle);
      const double cross = *one.mark == Mark::fails ? mark_cross_advance(u) : 0.0;
      const double marked_width = measure(word(*one.mark), {.size = u, .bold = *one.mark == Mark::fails}).width + cross;
      auto marked = marked_word(*one.mark, word(*one.mark), {grid.middle(k) - marked_width / 2.0, base + 2.75 * u}, u);
      FW_EXPECTS(marked.has_value());
      for (Primitive& primitive : marked->primitives) grid.add(std::move(primitive));
      if (one.governs) {
        grid.add(Rectangle{.corner = {grid.column(k) + 0.25 * u, top + 0.25 * u},
                           .width = grid.column_width - 0.5 * u,
                           .height = height - 0.5 * u,
                           .stroke = {.colour = Role::accent, .width = 0.16 * u}});
      }
      words += fmt::format("{} {} {}{} ({})", first ? "" : ";", data.columns[k], one.value,
                           one.governs ? ", the governing point" : "", word(*one.mark));
      first = false;
    }
    words += ".";
    grid.add(GroupEnd{});
    grid.y = top + height;
    grid.rule(Role::hairline, 0.075);
  }
  grid.figure.width = grid.width;
  grid.figure.height = grid.y + 0.4 * u;
  grid.figure.title = data.title;
  return std::move(grid.figure);
}

Result<Figure> gauge_book_figure(const GaugeBookData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.ports.empty()) return invalid("ports", "none", "one test port or more");
  if (data.rows.empty()) return invalid("rows", "none", "the healthy state at least");
  if (!data.places.empty() && data.places.size() != data.ports.size()) {
    return invalid("places", fmt::format("{}", data.places.size()), fmt::format("none or {}", data.ports.size()));
  }
  for (const std::string* words : {&data.title, &data.unit}) {
    if (auto ok = check_glyphs(*words, {}, "title"); !ok) return tl::unexpected(ok.error());
  }
  for (const auto* names : {&data.ports, &data.places}) {
    for (const std::string& one : *names) {
      if (auto ok = check_glyphs(one, {.bold = true}, names == &data.ports ? "ports" : "places"); !ok) {
        return tl::unexpected(ok.error());
      }
    }
  }
  for (std::size_t r = 0; r < data.rows.size(); ++r) {
    const std::string field = fmt::format("rows.{}", r + 1);
    if (data.rows[r].cells.size() != data.ports.size()) {
      return invalid(field, fmt::format("{} cells", data.rows[r].cells.size()), fmt::format("{}", data.ports.size()));
    }
    for (const std::string* words : {&data.rows[r].name, &data.rows[r].tell}) {
      if (auto ok = check_glyphs(*words, {}, field); !ok) return tl::unexpected(ok.error());
    }
    for (const GaugeCell& cell : data.rows[r].cells) {
      for (const std::string* words : {&cell.value, &cell.band, &cell.other}) {
        if (auto ok = check_glyphs(*words, {.bold = true}, field); !ok) return tl::unexpected(ok.error());
      }
    }
  }

  Grid grid{.text = data.size.text_size};
  const double u = grid.text;
  const TextStyle plain{.size = u};
  const TextStyle small{.size = 0.85 * u};
  const TextStyle value_style{.size = 1.1 * u};
  double cell = 0.0;
  double names = measure(data.unit, plain).width;
  for (const GaugeRow& row : data.rows) {
    names = std::max({names, measure(row.name, plain).width, measure(row.tell, small).width});
    for (const GaugeCell& one : row.cells) {
      cell = std::max({cell, measure(one.value, value_style).width, measure(one.band, small).width,
                       measure(one.other, small).width});
    }
  }
  for (const std::string& port : data.ports) cell = std::max(cell, measure(port, {.size = u, .bold = true}).width);
  const auto columns = static_cast<double>(data.ports.size());
  const double least = cell + 1.2 * u;
  grid.name_width = std::clamp(data.size.width - least * columns, 0.28 * data.size.width, names + 1.5 * u);
  grid.column_width =
      std::min(std::max(least, (data.size.width - grid.name_width) / columns), std::max(least, 9.0 * u));
  grid.width = grid.name_width + grid.column_width * columns;

  grid.add(GroupBegin{.title = "Test ports", .description = {}});
  grid.y = 1.2 * u;
  std::size_t deepest = 0;
  std::vector<std::vector<std::string>> places;
  for (const std::string& place : data.places) {
    places.push_back(lines_of(place, small, grid.column_width - 0.5 * u));
    deepest = std::max(deepest, places.back().size());
  }
  for (std::size_t k = 0; k < data.ports.size(); ++k) {
    const double right = grid.column(k) + grid.column_width - 0.5 * u;
    grid.words(data.ports[k], {right, grid.y}, {.size = u, .bold = true}, Role::ink, Anchor::end);
    for (std::size_t i = 0; k < places.size() && i < places[k].size(); ++i) {
      grid.words(places[k][i], {right, grid.y + (1.15 + 1.05 * static_cast<double>(i)) * u}, small, Role::soft,
                 Anchor::end);
    }
  }
  grid.y += static_cast<double>(deepest) * 1.05 * u + (deepest > 0 ? 0.1 * u : 0.0);
  grid.words(data.unit, {0.0, grid.y}, plain, Role::soft, Anchor::start);
  grid.y += 0.6 * u;
  grid.rule(Role::ink, 0.075);
  grid.add(GroupEnd{});

  std::string& words = grid.figure.description;
  words = fmt::format("Readings in {}.", data.unit);
  for (const GaugeRow& row : data.rows) {
    const bool banded =
        std::any_of(row.cells.begin(), row.cells.end(), [](const GaugeCell& one) { return !one.band.empty(); });
    const bool in_both =
        std::any_of(row.cells.begin(), row.cells.end(), [](const GaugeCell& one) { return !one.other.empty(); });
    const double other_y = banded ? 3.7 : 2.55;
    const auto name = lines_of(row.name, plain, grid.name_width - 0.8 * u);
    const auto tell =
        row.tell.empty() ? std::vector<std::string>{} : lines_of(row.tell, small, grid.name_width - 0.8 * u);
    const double text_height = (static_cast<double>(name.size()) * 1.2 + static_cast<double>(tell.size()) * 1.05) * u;
    const double height = std::max((in_both ? other_y + 0.55 : banded ? 3.1 : 2.1) * u, text_height + 0.9 * u);
    grid.add(GroupBegin{.title = row.name, .description = {}});
    double y = grid.y + 1.4 * u;
    for (const std::string& one : name) {
      grid.words(one, {0.0, y}, plain, Role::ink, Anchor::start);
      y += 1.2 * u;
    }
    y -= 0.1 * u;
    for (const std::string& one : tell) {
      grid.words(one, {0.0, y}, small, Role::soft, Anchor::start);
      y += 1.05 * u;
    }
    words += fmt::format(" {}:", row.name);
    bool first = true;
    for (std::size_t k = 0; k < row.cells.size(); ++k) {
      const GaugeCell& one = row.cells[k];
      const double right = grid.column(k) + grid.column_width - 0.5 * u;
      if (one.differs) {
        grid.add(Rectangle{.corner = {grid.column(k) + 0.15 * u, grid.y + 0.15 * u},
                           .width = grid.column_width - 0.3 * u,
                           .height = height - 0.3 * u,
                           .stroke = {},
                           .fill = Role::wash});
      }
      TextStyle style = value_style;
      style.bold = one.differs;
      const bool none = one.value.empty();
      grid.words(none ? "\u2013" : one.value, {right, grid.y + 1.4 * u}, style, none ? Role::soft : Role::ink,
                 Anchor::end);
      grid.words(one.band, {right, grid.y + 2.55 * u}, small, Role::soft, Anchor::end);
      if (!one.other.empty()) grid.words(one.other, {right, grid.y + other_y * u}, small, Role::soft, Anchor::end);
      words += fmt::format("{} {} {}{}{}", first ? "" : ";", data.ports[k], none ? "no reading" : one.value,
                           one.band.empty() ? std::string() : " (" + one.band + ")", one.differs ? ", tells" : "");
      first = false;
    }
    words += row.tell.empty() ? "." : ". " + row.tell + ".";
    grid.add(GroupEnd{});
    grid.y += height;
    grid.rule(Role::hairline, 0.075);
  }
  grid.figure.width = grid.width;
  grid.figure.height = grid.y + 0.4 * u;
  grid.figure.title = data.title;
  return std::move(grid.figure);
}

}  // namespace fw::report
