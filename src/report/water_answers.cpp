// SPDX-License-Identifier: Apache-2.0
#include "report/water_answers.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/chance_words.hpp"
#include "report/check_words.hpp"
#include "report/json_parts.hpp"
#include "report/typeset.hpp"
#include "water/liquid_water.hpp"

namespace fw::report {

namespace {

using assess::WaterBand;
using assess::WaterSheet;
using assess::WaterStage;
using assess::WaterStory;
using units::Dimension;
using water::Blindness;
using water::Sensor;
using water::StageKind;

/// By water::Blindness.
constexpr const char* blindness_ids[] = {"warns", "no_sensor", "disconnected", "below_probe", "dispersed", "too_pure"};

/// Water as a volume: "18 mL", "under 0.1 mL", "1.2 L".
std::string volume_words(double kg) {
  const double mL = 1e6 * kg / water::water_density_kg_per_m3;
  if (mL < 0.1) return "under 0.1 mL";
  if (mL < 9.95) return fmt::format("{:.1f} mL", mL);
  return mL < 999.5 ? fmt::format("{:.0f} mL", mL) : fmt::format("{:.1f} L", 1e-3 * mL);
}

/// Undissolved water in the fuel: "143 mg/kg", "20 g/kg".
std::string share_words(double share) {
  return share < 0.9995e-3 ? fmt::format("{:.0f} mg/kg", 1e6 * share) : fmt::format("{:.2g} g/kg", 1e3 * share);
}

std::string shares(const Interval& band) { return in_100(band.low, band.high); }

std::string micrometres(const Interval& band) {
  return fmt::format("{:.0f} to {:.0f} um", 1e6 * band.low, 1e6 * band.high);
}

std::string hours(double seconds) {
  const double h = seconds / 3600.0;
  if (h > 5000.0) return "over 5,000 h";
  if (h < 1.0) return fmt::format("{:.0f} min", 60.0 * h);
  return h < 9.95 ? fmt::format("{:.1f} h", h) : fmt::format("{:.0f} h", h);
}

const char* sensor_words(const WaterStage& stage) {
  if (!stage.sensor_stated) return "sensor not stated";
  switch (stage.sensor) {
    case Sensor::working: return "sensor wired";
    case Sensor::dead: return "sensor unplugged";
    case Sensor::none: break;
  }
  return "no sensor";
}

std::string stage_words(const WaterStage& stage) {
  std::string text = stage.title;
  if (stage.share < 0.995) text += fmt::format(" ({} of the feed passes it)", in_100(stage.share));
  if (stage.kind == StageKind::pump) {
    if (stage.largest_drop_m) text += fmt::format(": breaks drops to {}", micrometres(*stage.largest_drop_m));
    return text + ".";
  }
  text += stage.behind_pump ? ": behind a pump" : ": before any pump";
  if (stage.efficiency && stage.fine_efficiency) {
    text += fmt::format("; stops {} of drops as they arrive, {} of haze", shares(*stage.efficiency),
                        shares(*stage.fine_efficiency));
  }
  text += fmt::format("; {}", sensor_words(stage));
  if (!stage.bowl_stated || (stage.sensor != Sensor::none && !stage.probe_stated)) {
    text += fmt::format(
        "; not known: {}{}{}", stage.bowl_stated ? "" : "what its bowl holds",
        !stage.bowl_stated && stage.sensor != Sensor::none && !stage.probe_stated ? " and " : "",
        stage.sensor != Sensor::none && !stage.probe_stated ? "the water at which its sensor is reached" : "");
  }
  if (stage.drain_s) {
    text += fmt::format("; half full after {} to {} of running on ordinary fuel", hours(stage.drain_s->low),
                        hours(stage.drain_s->high));
  }
  return text + ".";
}

std::string chance_words(const water::WarningChance& chance) {
  if (!chance.band) return "not determined: too few of the draws end in damage";
  const std::string band = shares(*chance.band);
  if (!chance.chance) return fmt::format("not determined: {} by the assumptions", band);
  return fmt::format("{} ({})", in_100(*chance.chance), band);
}

void add(Document& document, std::string text, bool small = false) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

/// Tank and stages of a sheet, in the order of the flow.
void add_sheet(Document& document, const WaterSheet& sheet, int number, const PaperOptions& options) {
  document.blocks.emplace_back(
      Heading{.level = 1, .number = fmt::format("{}", number), .text = "System " + sheet.name});
  const auto length = [&](double m) { return units::print(m, Dimension::length, options.system); };
  Bullets bullets;
  const auto tell = [&](std::string text) { bullets.items.push_back(plain(upper_first(std::move(text)))); };
  if (sheet.sump) {
    tell(sheet.tank + ": drawn from a sump under it. Water on the floor comes first, before any fuel.");
  } else {
    tell(fmt::format(
        "{}: drawn {} over its floor{}; on level ground {} of water lie there before it is drawn as a body.",
        sheet.tank, length(sheet.pickup_height_m), sheet.pickup_stated ? "" : " (not stated, typical)",
        volume_words(sheet.under_pickup_m3 * water::water_density_kg_per_m3)));
  }
  if (!sheet.volume_stated) tell("The tank's volume is not stated: 60 to 350 L, most likely 125 L.");
  if (!sheet.flows_known) {
    tell("The flows at cruise were not found: every way takes an equal share, feed 100 L/h, burn 10 L/h.");
  }
  if (!sheet.bowl_in_flow) tell("No stage that separates water stands in the flow, so no bowl could hold a sensor.");
  for (const WaterStage& stage : sheet.stages) tell(stage_words(stage));
  document.blocks.emplace_back(std::move(bullets));
}

/// What reaches the pump inlet and what a sensor would have changed, the sheets side by side.
Table side_by_side(const assess::WaterSection& section, const PaperOptions& options) {
  Table table{.caption = "What reaches the pump inlet", .columns = {{.title = "undissolved water"}}, .rows = {}};
  for (const WaterSheet& sheet : section.sheets) table.columns.push_back({.title = sheet.name});
  struct Said {
    std::string words;
    std::string under;
  };
  const auto row = [&](const char* title, const auto& say) {
    Row cells{{.spans = plain(title)}};
    bool any = false;
    for (const WaterSheet& sheet : section.sheets) {
      const Said said = say(sheet);
      any = any || said.words != "-";
      cells.push_back({.spans = plain(said.words), .detail = said.under});
    }
    if (any) table.rows.push_back(std::move(cells));
  };
  const auto story = [&](const char* through, const char* worst, const char* wet, WaterStory WaterSheet::* which) {
    row(through, [&](const WaterSheet& sheet) {
      const WaterBand& band = (sheet.*which).free_kg;
      return Said{volume_words(band.median), from_to(volume_words(band.low), volume_words(band.high))};
    });
    row(worst, [&](const WaterSheet& sheet) {
      const WaterBand& band = (sheet.*which).worst;
      return Said{share_words(band.median), from_to(share_words(band.low), share_words(band.high))};
    });
    row(wet, [&](const WaterSheet& sheet) { return Said{in_100((sheet.*which).wet_share.median), {}}; });
  };
  story("fuel as delivered: through the inlet", "fuel as delivered: at worst",
        "fuel as delivered: running time with it", &WaterSheet::ordinary);
  story("water poured in: through the inlet", "water poured in: at worst", "water poured in: running time with it",
        &WaterSheet::slug);
  row("drawn as a body off the floor", [](const WaterSheet& sheet) { return Said{in_100(sheet.slug.body_drawn), {}}; });
  row("a bowl runs full", [](const WaterSheet& sheet) {
    return sheet.bowl_in_flow ? Said{in_100(sheet.slug.bowl_full), {}} : Said{"-", {}};
  });
  row("a start with ice at the mouth or in a bowl", [&](const WaterSheet& sheet) {
    return sheet.freezes ? Said{in_100(sheet.frozen_share),
                                "coldest " + units::print(sheet.coldest_K, Dimension::temperature, options.system)}
                         : Said{"-", {}};
  });
  row("a warning before damage", [](const WaterSheet& sheet) { return Said{warning_words(sheet), {}}; });
  row("the same with a working sensor in every bowl", [](const WaterSheet& sheet) {
    return sheet.bowl_in_flow ? Said{chance_words(sheet.with_sensor), {}} : Said{"-", {}};
  });
  for (std::size_t i = 0; i < std::size(blindness_ids); ++i) {
    const std::string title = fmt::format("the sensor as it is: {}", water::name(static_cast<Blindness>(i)));
    row(title.c_str(), [&](const WaterSheet& sheet) {
      if (!sheet.bowl_in_flow || sheet.silent.at(i) == 0) return Said{"-", {}};
      return Said{in_100(static_cast<double>(sheet.silent[i]) / static_cast<double>(section.draws)), {}};
    });
  }
  return table;
}

Json band_json(const WaterBand& band, const char* unit) {
  const std::string suffix = *unit == '\0' ? "" : std::string("_") + unit;
  return {{"low" + suffix, number_json(band.low)},
          {"median" + suffix, number_json(band.median)},
          {"high" + suffix, number_json(band.high)}};
}

Json interval_json(const std::optional<Interval>& band, const char* unit) {
  if (!band) return nullptr;
  const std::string suffix = *unit == '\0' ? "" : std::string("_") + unit;
  return {{"low" + suffix, number_json(band->low)}, {"high" + suffix, number_json(band->high)}};
}

Json story_json(const WaterStory& story) {
  return {{"free_through_inlet", band_json(story.free_kg, "kg")},
          {"worst_undissolved", band_json(story.worst, "kg_per_kg")},
          {"wet_share", band_json(story.wet_share, "")},
          {"body_drawn", number_json(story.body_drawn)},
          {"bowl_full", number_json(story.bowl_full)}};
}

Json chance_json(const water::WarningChance& chance) {
  return {{"determined", chance.chance.has_value()},
          {"chance", number_json(chance.chance)},
          {"band", interval_json(chance.band, "")},
          {"damaging_draws", chance.damaging}};
}

const char* sensor_id(const WaterStage& stage) {
  if (!stage.sensor_stated) return "not_stated";
  return stage.sensor == Sensor::working ? "working" : stage.sensor == Sensor::dead ? "dead" : "none";
}

}  // namespace

std::string warning_words(const WaterSheet& sheet) {
  const bool warns =
      std::ranges::any_of(sheet.stages, [](const WaterStage& stage) { return stage.sensor == Sensor::working; });
  return warns ? chance_words(sheet.as_it_is) : std::string("none, no sensor works in the flow");
}

Document water_page(const assess::WaterSection& section, const PaperOptions& options) {
  Document document;
  document.title = "Water from tank to pump inlet";
  document.created = options.created;
  document.size = options.size;
  add(document,
      fmt::format("{} days of work; {} draws, the same for every system, seed {}. Nine of ten draws lie in each range.",
                  section.days, grouped(section.draws), section.seed),
      true);
  add(document, fmt::format("Out of the air over a half-full tank comes {} in a night of this climate. Tens "
                            "of millilitres in a tank mean that water came in: delivery, washing, cap, flood.",
                            section.night_kg < 1e-5 ? std::string("nothing to speak of")
                                                    : fmt::format("{:.2g} g", 1e3 * section.night_kg)));
  int number = 1;
  for (const WaterSheet& sheet : section.sheets) add_sheet(document, sheet, number++, options);
  for (const assess::WaterNotJudged& one : section.not_judged) {
    add(document, fmt::format("System {}: not determined. {}", one.name, one.why));
  }
  if (!section.sheets.empty()) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number++), .text = "At the pump inlet"});
    document.blocks.emplace_back(side_by_side(section, options));
    if (std::ranges::any_of(section.sheets, &WaterSheet::freezes)) {
      add(document,
          fmt::format("Below {} free water freezes in a sump, in bowls and in screens; the starts are those of such a "
                      "month after water came in.",
                      units::print(water::freezing_point_K, Dimension::temperature, options.system)),
          true);
    }
    Bullets differences;
    for (const std::string& sentence : section.sentences) {
      differences.items.push_back(plain(upper_first(sentence)));
    }
    if (!differences.items.empty()) document.blocks.emplace_back(std::move(differences));
  }
  document.blocks.emplace_back(Heading{.level = 1, .text = "Assumed"});
  Bullets bullets;
  for (const std::string& one : section.assumptions) bullets.items.push_back(plain(one));
  document.blocks.emplace_back(std::move(bullets));
  add(document,
      "Emulsion passes a sensor unseen: drain bowls by the calendar too, every 30 days whatever the lamp says (common "
      "practice, no source). Held against no maker's limit: none is entered.",
      true);
  return document;
}

Json water_part(const assess::WaterSection& section) {
  Json sheets = Json::array();
  for (const WaterSheet& sheet : section.sheets) {
    Json stages = Json::array();
    for (const WaterStage& stage : sheet.stages) {
      const bool bowl = stage.kind == StageKind::separator;
      stages.push_back({{"part", stage.id},
                        {"title", stage.title},
                        {"kind", bowl ? "separator" : "pump"},
                        {"share_of_feed", number_json(stage.share)},
                        {"behind_pump", stage.behind_pump},
                        {"largest_drop", interval_json(stage.largest_drop_m, "m")},
                        {"efficiency", interval_json(stage.efficiency, "")},
                        {"efficiency_on_haze", interval_json(stage.fine_efficiency, "")},
                        {"sensor", bowl ? Json(sensor_id(stage)) : Json(nullptr)},
                        {"bowl_known", bowl ? Json(stage.bowl_stated) : Json(nullptr)},
                        {"sensor_height_known", bowl ? Json(stage.probe_stated) : Json(nullptr)},
                        {"half_full", interval_json(stage.drain_s, "s")}});
    }
    Json sensor;
    for (std::size_t i = 0; i < sheet.silent.size(); ++i) sensor[blindness_ids[i]] = sheet.silent[i];
    sheets.push_back({{"sheet", sheet.name},
                      {"file", sheet.file},
                      {"tank", sheet.tank},
                      {"sump", sheet.sump},
                      {"pickup_height_m", number_json(sheet.pickup_height_m)},
                      {"water_under_pickup_m3", number_json(sheet.under_pickup_m3)},
                      {"flows_known", sheet.flows_known},
                      {"feed_m3_per_s", number_json(sheet.feed_m3_per_s)},
                      {"burn_m3_per_s", number_json(sheet.burn_m3_per_s)},
                      {"bowl_in_flow", sheet.bowl_in_flow},
                      {"stages", std::move(stages)},
                      {"as_delivered", story_json(sheet.ordinary)},
                      {"poured_in", story_json(sheet.slug)},
                      {"warning_as_it_is", chance_json(sheet.as_it_is)},
                      {"warning_with_sensor", chance_json(sheet.with_sensor)},
                      {"sensor_as_it_is", std::move(sensor)},
                      {"coldest_start_K", number_json(sheet.coldest_K)},
                      {"frozen_share", number_json(sheet.frozen_share)}});
  }
  Json not_judged = Json::array();
  for (const assess::WaterNotJudged& one : section.not_judged) {
    not_judged.push_back({{"sheet", one.name}, {"why", one.why}});
  }
  return {{"draws", section.draws},
          {"days", section.days},
          {"condensed_per_night_kg", number_json(section.night_kg)},
          {"sheets", std::move(sheets)},
          {"not_judged", std::move(not_judged)},
          {"comparison", section.sentences},
          {"assumptions", section.assumptions}};
}

std::string water_json(const assess::WaterSection& section) {
  Json json{{"schema", "fuelwright.water/1.0"}, {"seed", section.seed}};
  json.update(water_part(section));
  return json.dump(2) + "\n";
}

}  // namespace fw::report
