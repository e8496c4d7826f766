// SPDX-License-Identifier: Apache-2.0
#include "casefile/metal.hpp"

#include <filesystem>
#include <vector>

#include <fmt/format.h>

#include "casefile/case.hpp"
#include "debris/settling.hpp"

namespace fw::casefile {
namespace {

using catalog::Table;
using Dim = units::Dimension;

std::vector<std::string> place_ids() {
  std::vector<std::string> ids;
  for (const debris::Place place : debris::all_places()) ids.emplace_back(debris::id(place));
  return ids;
}

/// A number that must be there and above 0 (or a share up to 1).
double positive(Table& table, std::string_view key, Dim dimension, double otherwise) {
  const auto value = table.number(key, dimension);
  if (!value) return otherwise;
  if (!(*value > 0.0)) table.fault(key, fmt::format("{:.4g}", *value), "more than 0", "Enter it as measured");
  return *value > 0.0 ? *value : otherwise;
}

double share(Table& table, std::string_view key, double otherwise) {
  const auto value = table.number(key, Dim::ratio);
  if (!value) return otherwise;
  if (*value >= 0.0 && *value <= 1.0) return *value;
  table.fault(key, fmt::format("{:.4g}", *value), "a share from 0 to 1", "Write for example \"40 %\"");
  return otherwise;
}

std::optional<debris::Bins> filter(Table& way, std::string_view key) {
  const auto found = way.table(key);
  if (!found) return std::nullopt;
  Table table = *found;
  debris::BetaRating rating;
  const std::vector<std::string> tests{"iso-19438", "iso-16889", "iso-23369", "iso-4548-12", "older-method", "typical"};
  if (const auto test = table.choice("test", tests)) {
    rating.test = static_cast<debris::FilterTest>(*test + 1);
  } else if (!table.has("test")) {
    table.fault("", "no \"test\"", "the test behind the rating, or typical", "Add test = \"iso-19438\"");
  }
  bool sound = true;
  for (Table& point : table.tables("beta")) {
    const double size_m = positive(point, "size", Dim::length, 4e-6);
    const double beta = point.number("beta", Dim::ratio).value_or(0.0);
    if (beta < 1.0) {
      point.fault("beta", fmt::format("{:.4g}", beta), "1 or more: particles before over particles behind",
                  "A filter that stops nothing has beta 1");
      sound = false;
    }
    rating.points.push_back({.size_m = size_m, .beta = beta});
  }
  if (!sound) return std::nullopt;
  const auto efficiency = debris::efficiency_by_bin(rating);
  if (!efficiency) {
    table.fault("", efficiency.error());
    return std::nullopt;
  }
  return *efficiency;
}

StatedWay read_way(Table& table) {
  const auto amount = [&](std::string_view key, Dim dimension) -> std::optional<double> {
    if (!table.has(key)) return std::nullopt;
    return positive(table, key, dimension, 1.0);
  };
  const auto part = [&](std::string_view key) -> std::optional<double> {
    if (!table.has(key)) return std::nullopt;
    return share(table, key, 0.5);
  };
  StatedWay way{.tank_m3 = amount("tank", Dim::volume),
                .tank_floor_m2 = amount("tank_floor", Dim::area),
                .feed_m3_per_s = amount("feed", Dim::volume_flow),
                .rail_share = part("rail_share"),
                .leak_off_share = part("leak_off_share"),
                .pump = std::nullopt,
                .primary_efficiency = filter(table, "primary_filter"),
                .final_efficiency = filter(table, "final_filter")};
  if (const auto pump = table.choice("pump", {"series", "parallel"})) way.pump = static_cast<debris::PumpLayout>(*pump);
  return way;
}

void read_story(Table& table, debris::Story& story) {
  if (const auto origin = table.choice("origin", {"high-pressure-pump", "assist-pump", "tank"})) {
    story.origin = static_cast<debris::MetalOrigin>(*origin);
  }
  if (const auto reach = table.choice("reach", {"not-keyed", "keyed", "cranked", "ran", "driven"})) {
    story.reach = static_cast<debris::Reach>(*reach);
  } else if (!table.has("reach")) {
    table.fault("", "no \"reach\"", "how far it got: not-keyed, keyed, cranked, ran or driven", "Add reach = \"ran\"");
  }
  story.cranks = table.whole("cranks", 0, 1000).value_or(0);
  story.tank_share = share(table, "tank", 0.5);
  if (const auto ran = table.number("ran", Dim::time)) story.ran_s = *ran;
  const auto distance = table.number("distance", Dim::distance);
  const auto speed = table.number("mean_speed", Dim::velocity);
  if (distance) {
    const auto time = debris::drive_time_s(*distance, speed.value_or(15.6));  // 35 mph (common practice, no source)
    if (time) {
      story.ran_s += *time;
    } else {
      table.fault("distance", time.error());
    }
  }
  const bool turned = story.reach == debris::Reach::ran || story.reach == debris::Reach::driven;
  if (turned && !(story.ran_s > 0.0)) {
    table.fault("", "neither \"ran\" nor \"distance\"", "how long or how far since the first symptom",
                "Add ran = \"20 min\" or distance = \"30 mi\"");
  }
}

std::optional<debris::Finding> read_finding(Table& table) {
  debris::Finding finding;
  const auto place = table.choice("place", place_ids());
  const auto by = table.choice("by", {"eye", "magnet", "cloth", "patch", "count"});
  if (!place && !table.has("place")) table.fault("", "no \"place\"", "where it was looked", "Add place = \"rail\"");
  if (!by && !table.has("by")) table.fault("", "no \"by\"", "eye, magnet, cloth, patch or count", "Add by = \"eye\"");
  const auto grade = table.choice("grade", {"none", "few-specks", "film", "paste"});
  const auto area = table.number("area", Dim::area);
  if (!grade && !area && !table.has("grade") && !table.has("area")) {
    table.fault("", "neither \"grade\" nor \"area\"", "how much metal was seen", "Add grade = \"none\"");
  }
  // Kept in the file for those who read it; nothing is computed from them.
  for (const char* key : {"person", "time", "photo", "note"}) static_cast<void>(table.text(key));
  if (!place || !by) return std::nullopt;
  finding.place = static_cast<debris::Place>(*place);
  finding.by = static_cast<debris::Look>(*by);
  if (grade) finding.grade = static_cast<debris::Grade>(*grade);
  if (area) finding.area_m2 = *area;
  return finding;
}

std::optional<Money> money(Table& table, std::string_view key, const Currency& currency) {
  const auto text = table.text(key);
  if (!text) return std::nullopt;
  const auto amount = read_money(*text, std::string(key));
  if (!amount) {
    table.fault(key, amount.error());
    return std::nullopt;
  }
  if (amount->currency != currency) {
    table.fault(key, *text, fmt::format("an amount in {}", currency.code()), "One case, one currency");
    return std::nullopt;
  }
  return *amount;
}

std::optional<extent::PriceBand> band(Table& table, const Currency& currency) {
  const auto low = money(table, "low", currency);
  const auto high = money(table, "high", currency);
  if (!low || !high) {
    if (!table.has("low") || !table.has("high")) {
      table.fault("", "a band without both ends", "low and high", "Write { low = \"300 USD\", high = \"450 USD\" }");
    }
    return std::nullopt;
  }
  return extent::PriceBand{.low = *low, .high = *high};
}

std::optional<extent::Prices> read_prices(Table& table) {
  const std::string code = table.required_text("currency", "a currency of ISO 4217, e.g. \"USD\"");
  const auto currency = Currency::of(code);
  if (!currency) {
    if (table.has("currency")) table.fault("currency", currency.error());
    table.ignore_rest();
    return std::nullopt;
  }
  extent::Prices prices{.currency = *currency};
  const auto labour = money(table, "labour_per_hour", *currency);
  if (!labour && !table.has("labour_per_hour")) {
    table.fault("", "no \"labour_per_hour\"", "an amount with its currency", "Add labour_per_hour = \"150.00 USD\"");
  }
  prices.labour_per_hour = labour.value_or(Money{.minor = 0, .currency = *currency});
  prices.parts.assign(extent::components().size(), std::nullopt);
  for (const std::string& each : table.texts("open")) {
    const auto access = extent::access_of_id(each);
    if (access) {
      prices.open.push_back(*access);
    } else {
      table.fault("open", "\"" + each + "\"", "drained, tank-down, pump-off or pipes-off", "Strike it or mend it");
    }
  }
  prices.comeback_loss = {.low = {.minor = 0, .currency = *currency}, .high = {.minor = 0, .currency = *currency}};
  if (auto loss = table.table("comeback_loss")) {
    prices.comeback_loss = band(*loss, *currency).value_or(prices.comeback_loss);
  } else {
    table.fault("", "no \"comeback_loss\"", "what a comeback costs: low and high", "Add comeback_loss = { ... }");
  }
  if (auto upgrade = table.table("supply_upgrade")) prices.supply_upgrade = band(*upgrade, *currency);
  if (auto parts = table.table("parts")) {
    for (const std::string& key : parts->keys()) {
      const auto index = extent::component_index(key);
      auto row = parts->table(key);
      if (!index) {
        parts->fault(key, index.error());
        if (row) row->ignore_rest();
        continue;
      }
      if (row) prices.parts[*index] = band(*row, *currency);
    }
  }
  // Nothing is bought where the table has no price worth entering.
  for (const char* free : {"transfer-pump"}) {
    auto& price = prices.parts[*extent::component_index(free)];
    if (!price)
      price =
          extent::PriceBand{.low = {.minor = 0, .currency = *currency}, .high = {.minor = 0, .currency = *currency}};
  }
  return prices;
}

}  // namespace

Result<Metal> read_metal(std::string_view text, const std::string& path, const units::SourceSpreads& spreads) {
  auto document = catalog::Document::parse(text, path, spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Table root = document->root();
  Metal metal;
  metal.input.policy = extent::usual_policy();
  if (auto story = root.table("story")) {
    read_story(*story, metal.input.story);
  } else {
    root.fault("", "no [story]", "how the metal came about", "Add [story] with reach = \"ran\"");
  }
  if (auto way = root.table("way")) metal.as_found = read_way(*way);
  if (auto rebuilt = root.table("rebuilt_way")) metal.as_rebuilt = read_way(*rebuilt);
  for (Table& row : root.tables("finding")) {
    if (const auto finding = read_finding(row)) metal.input.findings.push_back(*finding);
  }
  if (const auto shape = root.choice("engine", {"inline-four", "inline-six", "vee-eight", "machine"})) {
    metal.input.shape = static_cast<extent::EngineShape>(*shape);
  }
  if (auto prices = root.table("prices")) metal.input.prices = read_prices(*prices);
  if (const auto good = document->finish(); !good) return fail(good.error());
  if (const auto good = debris::check_findings(metal.input.findings); !good) return fail(good.error().in_file(path));
  return metal;
}

Result<Metal> read_metal_of(const std::string& folder, const units::SourceSpreads& spreads) {
  const std::string path = (std::filesystem::path(folder) / "metal.toml").string();
  const auto text = read_file(path);
  if (!text) return fail(text.error());
  return read_metal(*text, path, spreads);
}

}  // namespace fw::casefile
