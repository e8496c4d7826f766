// SPDX-License-Identifier: Apache-2.0
#include "report/water_answers.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/probability.hpp"
#include "report/json_parts.hpp"
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

/// Water as a volume: "18 mL", "under 0.1 mL", "1.2 L".
std::string volume_words(double kg) {
  const double mL = 1e6 * kg / water::water_density_kg_per_m3;
  if (mL < 0.1) return "under 0.1 mL";
  if (mL < 9.95) return fmt::format("{:.1f} mL", mL);
  return mL < 999.5 ? fmt::format("{:.0f} mL", mL) : fmt::format("{:.1f} L", 1e-3 * mL);
}

std::string band_words(const WaterBand& band) {
  return fmt::format("likely {}, nine in ten {} to {}", volume_words(band.median), volume_words(band.low),
                     volume_words(band.high));
}

std::string in_100(double share) {
  if (share > 0.0 && share < 0.01) return "under 1 in 100";
  if (share < 1.0 && share > 0.99) return "over 99 in 100";
  return fmt::format("{:.0f} in 100", 100.0 * share);
}

std::string shares(const Interval& band) {
  return fmt::format("{:.0f} to {:.0f} in 100", 100.0 * band.low, 100.0 * band.high);
}

std::string micrometres(const Interval& band) {
  return fmt::format("{:.0f} to {:.0f} um", 1e6 * band.low, 1e6 * band.high);
}

std::string hours(double seconds) {
  const double h = seconds / 3600.0;
  if (h > 5000.0) return "over 5000 h";
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

std::string story_words(const WaterStory& story) {
  return fmt::format(
      "{}; at worst {:.0f} mg/kg undissolved (nine in ten {:.0f} to {:.0f}); wet {} of the running time.",
      band_words(story.free_kg), 1e6 * story.worst.median, 1e6 * story.worst.low, 1e6 * story.worst.high,
      in_100(story.wet_share.median));
}

std::string chance_words(const water::WarningChance& chance) {
  if (!chance.band) return "not determined: too few of the draws end in damage";
  const std::string band =
      fmt::format("{} to {} in 100", std::lround(100.0 * chance.band->low), std::lround(100.0 * chance.band->high));
  if (!chance.chance) return fmt::format("not determined: {} by the assumptions", band);
  return fmt::format("{} ({})", in_100(*chance.chance), band);
}

std::string silent_words(const WaterSheet& sheet, std::size_t draws) {
  std::string text;
  for (std::size_t i = 0; i < sheet.silent.size(); ++i) {
    if (sheet.silent[i] == 0) continue;
    text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", water::name(static_cast<Blindness>(i)),
                        in_100(static_cast<double>(sheet.silent[i]) / static_cast<double>(draws)));
  }
  return text;
}

void add(Document& document, std::string text, bool small = false) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

void add_sheet(Document& document, const WaterSheet& sheet, std::size_t draws, int number,
               const PaperOptions& options) {
  document.blocks.emplace_back(Heading{.level = 1, .number = fmt::format("{}", number), .text = sheet.name});
  const auto length = [&](double m) { return units::print(m, Dimension::length, options.system); };
  if (sheet.sump) {
    add(document, sheet.tank + ": drawn from a sump under it. Water on the floor comes first, before any fuel.");
  } else {
    add(document,
        fmt::format(
            "{}: drawn {} over its floor{}; on level ground {} of water lie there before it is drawn as a body.",
            sheet.tank, length(sheet.pickup_height_m), sheet.pickup_stated ? "" : " (not stated, typical)",
            volume_words(sheet.under_pickup_m3 * water::water_density_kg_per_m3)));
  }
  if (!sheet.volume_stated) add(document, "The tank's volume is not stated: 60 to 350 L, most likely 125 L.", true);
  if (!sheet.flows_known) {
    add(document, "The flows at cruise were not found: every way takes an equal share, feed 100 L/h, burn 10 L/h.",
        true);
  }
  if (!sheet.bowl_in_flow) add(document, "No stage that separates water stands in the flow.");
  for (const WaterStage& stage : sheet.stages) add(document, stage_words(stage));
  if (sheet.freezes) {
    add(document,
        fmt::format("Coldest start {}: free water freezes in a sump, in bowls and in screens. Starts of such a "
                    "month with ice at the mouth or in a bowl, after water came in: {}.",
                    units::print(sheet.coldest_K, Dimension::temperature, options.system), in_100(sheet.frozen_share)));
  }
  add(document, "Through the inlet, fuel as delivered: " + story_words(sheet.ordinary));
  add(document, "Through the inlet, water poured in: " + story_words(sheet.slug));
  add(document, fmt::format("Drawn as a body from the floor: {} of the draws; a bowl runs full: {}.",
                            in_100(sheet.slug.body_drawn), in_100(sheet.slug.bowl_full)));
  add(document, "A warning before the damage, where such water does damage: " + warning_words(sheet) + ".");
  if (sheet.bowl_in_flow) {
    add(document, "With a working sensor in every bowl in the flow: " + chance_words(sheet.with_sensor) + ".");
    add(document, "What the sensor as it is does with it: " + silent_words(sheet, draws) + ".");
  } else {
    add(document, "There is no bowl in the flow that a sensor could stand in.");
  }
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

constexpr const char* blindness_ids[] = {"warns", "no_sensor", "disconnected", "below_probe", "dispersed", "too_pure"};

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
      fmt::format("{} days of work; {} draws, the same for every sheet, seed {}. Nine of ten draws lie in each range.",
                  section.days, section.draws, section.seed),
      true);
  add(document, fmt::format("Out of the air over a half-full tank comes {} in a night of this climate. Tens "
                            "of millilitres in a tank mean that water came in: delivery, washing, cap, flood.",
                            section.night_kg < 1e-5 ? std::string("nothing to speak of")
                                                    : fmt::format("{:.2g} g", 1e3 * section.night_kg)));
  int number = 1;
  for (const WaterSheet& sheet : section.sheets) add_sheet(document, sheet, section.draws, number++, options);
  for (const assess::WaterNotJudged& one : section.not_judged) {
    add(document, fmt::format("{}: not determined. {}", one.name, one.why));
  }
  if (!section.sentences.empty()) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number), .text = "From sheet to sheet"});
    for (const std::string& sentence : section.sentences) add(document, sentence);
  }
  document.blocks.emplace_back(Heading{.level = 1, .text = "Assumed"});
  Bullets bullets;
  for (const std::string& one : section.assumptions) bullets.items.push_back(plain(one));
  document.blocks.emplace_back(std::move(bullets));
  add(document,
      "Emulsion passes a sensor unseen: drain bowls by the calendar too, every 30 days whatever the lamp says (common "
      "practice, no source). Against no maker's limit: maker's limit not entered.",
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
