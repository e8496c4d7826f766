// SPDX-License-Identifier: Apache-2.0
#include "report/scale_card_answers.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "numerics/stream.hpp"
#include "report/json_parts.hpp"
#include "report/paper_parts.hpp"

namespace fw::report {

namespace {

constexpr double points_per_m = 72.0 / 0.0254;

Point at(const debris::CardPoint& p) { return {p.x_m * points_per_m, p.y_m * points_per_m}; }

std::string area_words(double m2, units::System system) {
  if (system == units::System::us) return fmt::format("{:.2f} cm2 ({:.3f} sq in)", m2 * 1e4, m2 / (0.0254 * 0.0254));
  return fmt::format("{:.2f} cm2", m2 * 1e4);
}

std::string class_words(const debris::SpeckClass& one) {
  if (std::isinf(one.to_m)) return fmt::format("{:.1f} mm and more", one.from_m * 1e3);
  return fmt::format("{:.1f} to {:.1f} mm", one.from_m * 1e3, one.to_m * 1e3);
}

/// Specks of this class may be missed: it begins below the smallest that is counted.
bool partly_seen(const debris::SpeckClass& one, const debris::CardReading& reading) {
  return one.from_m < reading.smallest_m * (1.0 - 1e-9);
}

constexpr double cloth_m = 0.020;  // radius
constexpr double steel_kg_per_m3 = 7850.0;

/// Specks scattered over a cloth until they weigh `mass_kg`, sizes in turn.
void scatter(Figure& figure, const Point& centre, double mass_kg, const char* key) {
  constexpr std::array sizes_m{0.15e-3, 0.2e-3, 0.15e-3, 0.3e-3, 0.2e-3};
  double left_kg = mass_kg;
  for (std::uint32_t i = 0; left_kg > 0.0; ++i) {
    const double size_m = sizes_m[i % sizes_m.size()];
    const auto unit = [&](std::uint32_t which) {
      return numerics::uniform(1, numerics::key_of(key), numerics::Purpose::synthetic, 2 * i + which);
    };
    const double radius = 0.9 * cloth_m * points_per_m * std::sqrt(unit(0));
    const double angle = 2.0 * std::numbers::pi * unit(1);
    figure.primitives.emplace_back(
        Circle{.centre = {centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)},
               .radius = 0.5 * size_m * points_per_m,
               .stroke = {},
               .fill = Role::ink});
    left_kg -= std::numbers::pi / 6.0 * steel_kg_per_m3 * size_m * size_m * size_m;
  }
}

}  // namespace

Figure grades_figure() {
  constexpr double step_m = 0.043;
  Figure figure{.width = 4.0 * step_m * points_per_m,
                .height = 0.052 * points_per_m,
                .title = "Grades of metal by eye",
                .description = "Four white cloths of 40 mm: none, few specks, film and paste of metal.",
                .primitives = {}};
  const Stroke hair{.colour = Role::ink, .width = 0.4, .dash = {}};
  const char* names[] = {"none", "few specks", "film", "paste"};
  for (int i = 0; i < 4; ++i) {
    const Point centre{(0.5 + i) * step_m * points_per_m, 0.0215 * points_per_m};
    figure.primitives.emplace_back(Circle{.centre = centre, .radius = cloth_m * points_per_m, .stroke = hair});
    figure.primitives.emplace_back(Text{.at = {centre.x, 0.049 * points_per_m},
                                        .text = names[i],
                                        .style = {.size = 9.0, .bold = true},
                                        .anchor = Anchor::middle});
    if (i == 1) scatter(figure, centre, std::sqrt(0.1e-6 * 3e-6), "grades.few-specks");
    if (i == 2) scatter(figure, centre, std::sqrt(3e-6 * 100e-6), "grades.film");
    if (i == 3) {
      // A paste lies in smears that hide the cloth.
      for (const auto& [x, y, r] : {std::array{-5.0, -3.0, 7.0}, std::array{2.0, 1.0, 8.0}, std::array{6.0, -5.0, 5.0},
                                    std::array{-3.0, 6.0, 5.5}, std::array{9.0, 4.0, 4.0}}) {
        figure.primitives.emplace_back(
            Circle{.centre = {centre.x + 1e-3 * x * points_per_m, centre.y + 1e-3 * y * points_per_m},
                   .radius = 1e-3 * r * points_per_m,
                   .stroke = {},
                   .fill = Role::ink});
      }
    }
  }
  return figure;
}

Figure scale_card_figure() {
  Figure card{.width = debris::card_width_m * points_per_m,
              .height = debris::card_height_m * points_per_m,
              .title = "Scale card",
              .description =
                  "A card of 148 by 105 mm with five black discs, a frame of 90 by 60 mm in the middle, and a "
                  "ruled line of 100 mm below it.",
              .primitives = {}};
  const Stroke hair{.colour = Role::ink, .width = 0.4, .dash = {}};
  card.primitives.emplace_back(
      Rectangle{.corner = {0.2, 0.2}, .width = card.width - 0.4, .height = card.height - 0.4, .stroke = hair});
  for (const debris::CardDisc& disc : debris::card_discs) {
    card.primitives.emplace_back(
        Circle{.centre = at(disc.centre), .radius = disc.radius_m * points_per_m, .stroke = {}, .fill = Role::ink});
  }
  const Point from = at(debris::card_frame.from);
  const Point to = at(debris::card_frame.to);
  card.primitives.emplace_back(
      Rectangle{.corner = from, .width = to.x - from.x, .height = to.y - from.y, .stroke = hair});
  const TextStyle small{.size = 7.0};
  const double middle = 0.5 * card.width;
  card.primitives.emplace_back(
      Text{.at = {0.5 * (at(debris::card_discs[4].centre).x + at(debris::card_discs[1].centre).x),
                  at(debris::card_discs[0].centre).y + 2.5},
           .text = "Scale card: cloth, pleats or tape with metal inside the frame",
           .style = {.size = 8.0, .bold = true},
           .anchor = Anchor::middle});
  // The ruled line: 100 mm, a tick every 10.
  const double y = 0.0945 * points_per_m;
  const double left = middle - 0.05 * points_per_m;
  card.primitives.emplace_back(Line{.from = {left, y}, .to = {left + 0.1 * points_per_m, y}, .stroke = hair});
  for (int i = 0; i <= 10; ++i) {
    const double x = left + 0.01 * i * points_per_m;
    card.primitives.emplace_back(Line{.from = {x, y - (i % 5 == 0 ? 5.0 : 3.0)}, .to = {x, y}, .stroke = hair});
  }
  card.primitives.emplace_back(Text{.at = {middle, y + 9.5},
                                    .text = "this line must measure 100 mm (3 15/16 in)",
                                    .style = small,
                                    .anchor = Anchor::middle});
  return card;
}

Document scale_card_page(const PaperOptions& options) {
  Document document = answer_page("Scale card", options);
  document.subject = "A card of known measures that is photographed with metal to tell its area";
  document.blocks.emplace_back(
      Lead{.spans = plain("One photo of this card tells how many square centimetres of metal lie in its frame.")});
  document.blocks.emplace_back(FigureBlock{.figure = scale_card_figure(), .caption = {}});
  document.blocks.emplace_back(
      Caution{.signal = Signal::warning,
              .title = "Fuel and metal splinters",
              .spans = plain("Gloves and eye shield. Fuel on cloth burns: no flame, cloths into "
                             "a closed metal bin. Pressure is down before anything is opened.")});
  const char* steps[] = {
      "Print at 100 %, not \"fit to page\", on white paper. The ruled line must measure 100 mm; else the areas are "
      "wrong.",
      "Lay a white cloth or the cut pleats flat over the whole frame, inside its line. What sticks to a magnet is "
      "lifted with clear tape, and the tape is stuck into the frame.",
      "Keep the five discs and the blank strip round the frame free.",
      "Photograph from straight above, so that the card fills the picture. Even light from the side, no flash.",
      "The command \"fuelwright card read PHOTO\" prints the area. The photo is evidence: its help says how a case "
      "keeps it."};
  int number = 0;
  for (const char* step : steps) {
    document.blocks.emplace_back(Step{.number = std::to_string(++number), .spans = plain(step)});
  }
  document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "Grades by eye"});
  document.blocks.emplace_back(FigureBlock{
      .figure = grades_figure(),
      .caption =
          plain("What a wipe of a place may look like on a cloth of 40 mm, drawn, at true size. Film: so many specks "
                "that they cannot be counted, the cloth still shows. Paste: the cloth is hidden. None by eye is no "
                "proof of clean: cloth, patch or count is.")});
  return document;
}

Document card_reading_page(const CardAnswer& answer, const PaperOptions& options) {
  const debris::CardReading& r = answer.reading;
  Document document = answer_page("Metal in the photo " + answer.photo, options);
  document.blocks.emplace_back(Lead{
      .spans =
          plain(r.area_m2 > 0.0 || r.area_high_m2 > 0.0
                    ? fmt::format("Metal covers {}, between {} and {}.", area_words(r.area_m2, options.system),
                                  area_words(r.area_low_m2, options.system), area_words(r.area_high_m2, options.system))
                    : fmt::format("No speck of {:.2f} mm or more is seen. That does not verify the place clean: "
                                  "finer metal and what does not lie in the frame is not seen.",
                                  r.smallest_m * 1e3))});
  Table table{.caption = "Specks by size (circle of the same area)",
              .columns = {{.title = "diameter"}, {.title = "specks", .kind = ColumnKind::number}},
              .rows = {}};
  bool partly = false;
  for (const debris::SpeckClass& one : r.specks) {
    const bool some = partly_seen(one, r);
    partly = partly || some;
    table.rows.push_back(
        {{.spans = plain(class_words(one))}, {.spans = plain(std::to_string(one.count) + (some ? " *" : ""))}});
  }
  document.blocks.emplace_back(std::move(table));
  if (partly) {
    document.blocks.emplace_back(Paragraph{
        .spans = plain(fmt::format("* Specks below {:.2f} mm are not counted in this photo.", r.smallest_m * 1e3)),
        .small = true});
  }
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format("Photo: {:.3f} mm to a point, edges {:.2f} mm wide, discs within {:.2f} mm of their "
                                 "places, ground {:.0f} % as bright as the paper. Thresholds are assumed.",
                                 r.pixel_m * 1e3, r.edge_m * 1e3, r.misfit_m * 1e3, 100.0 * r.ground)),
      .small = true});
  if (r.area_m2 > 0.0) {
    document.blocks.emplace_back(Paragraph{
        .spans =
            plain(fmt::format("In metal.toml, at the place it came from: area = \"{:.2f} cm2\".", r.area_m2 * 1e4))});
  }
  if (!answer.kept.empty()) document.blocks.emplace_back(Paragraph{.spans = plain(answer.kept)});
  return document;
}

std::string card_reading_json(const CardAnswer& answer) {
  const debris::CardReading& r = answer.reading;
  Json specks = Json::array();
  for (const debris::SpeckClass& one : r.specks) {
    specks.push_back({{"from_m", one.from_m},
                      {"to_m", number_json(one.to_m)},
                      {"count", one.count},
                      {"partly_seen", partly_seen(one, r)}});
  }
  const Json json{{"schema", "fuelwright.card/1.0"},
                  {"photo", answer.photo},
                  {"area_m2", r.area_m2},
                  {"area_low_m2", r.area_low_m2},
                  {"area_high_m2", r.area_high_m2},
                  {"specks", specks},
                  {"smallest_m", r.smallest_m},
                  {"pixel_m", r.pixel_m},
                  {"edge_m", r.edge_m},
                  {"misfit_m", r.misfit_m},
                  {"ground", r.ground},
                  {"kept", answer.kept}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
