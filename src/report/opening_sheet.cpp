// SPDX-License-Identifier: Apache-2.0
#include "report/opening_sheet.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "report/text.hpp"

namespace fw::report {

namespace {

using Json = nlohmann::ordered_json;
using diagnosis::FindingRow;
using diagnosis::Seen;

constexpr std::array<std::string_view, 6> cautions{
    "WARNING: stored pressure. Engine off, wait the maker's time, read the rail; a zero reading is no proof. Wrap the "
    "union and crack it slowly.",
    "WARNING: fire. No flame, spills caught, tank and container bonded; a mix of petrol and diesel is petrol.",
    "NOTICE: core, claim and evidence. A pump that is opened may lose core value and warranty; nothing is washed, "
    "polished or turned before its photo.",
    "NOTICE: every port is capped as it comes free; caps are photographed, lines are not blown out.",
    "NOTICE: the fuel in the pump is a sample: caught in a clean jar, sealed, numbered, a duplicate kept.",
    "NOTICE: parts go back into one labelled box in the order they came out; nothing is thrown away."};

// In the order in which the places come free.
constexpr std::array<std::string_view, 9> photo_places{"pump on the engine, lines in place, plate and serial number",
                                                       "drive: phasing mark, key, coupling, before the pump is drawn",
                                                       "inlet union and screen, cloth with a scale beside it",
                                                       "metering valve seat and bore",
                                                       "outlet unions and delivery valves",
                                                       "low-pressure chamber before anything is wiped",
                                                       "tappets and rollers as they stand to the cam",
                                                       "cam track all round, with a scale",
                                                       "plungers and barrels, ends and sealing land"};

struct Measurement {
  std::string_view what;
  std::string_view unit;
};
constexpr std::array<Measurement, 6> measurements{{{"shaft end play", "mm"},
                                                   {"shaft radial play", "mm"},
                                                   {"roller diameter, largest and smallest", "mm"},
                                                   {"tappet turned from its guide", "degrees"},
                                                   {"plunger clearance, where it can be measured", "um"},
                                                   {"magnet patch from the chamber's fuel", "cm2"}}};

struct Agreed {
  std::string_view who;
  bool given;
};
std::array<Agreed, 3> agreed(const diagnosis::Agreement& agreement) {
  return {{{"owner", agreement.owner}, {"payer", agreement.payer}, {"maker", agreement.maker}}};
}

std::vector<const FindingRow*> openers(const diagnosis::Tables& tables) {
  std::vector<const FindingRow*> rows;
  for (const FindingRow& row : tables.findings) {
    if (row.opens == diagnosis::Opens::pump) rows.push_back(&row);
  }
  return rows;
}

const diagnosis::Statement* stated(const diagnosis::Facts& facts, const std::string& id) {
  const auto found = std::find_if(facts.statements.begin(), facts.statements.end(),
                                  [&](const diagnosis::Statement& one) { return one.finding == id; });
  return found == facts.statements.end() ? nullptr : &*found;
}

}  // namespace

std::string opening_sheet(const std::string& title, const diagnosis::Facts& facts, const diagnosis::Tables& tables,
                          int width) {
  std::string text = fmt::format("Pump-opening sheet: {}\n", title);
  text += "\nAgreement first\n";
  for (const Agreed& one : agreed(facts.agreement)) {
    text += fmt::format("  [{}] {:<6} {}\n", one.given ? 'x' : ' ', one.who,
                        one.given ? facts.agreement.date : std::string("name ______________  date ____________"));
  }
  if (!facts.agreement.complete()) {
    text += "  " + hung("The pump stays shut until all three have agreed in writing.", width, 2, 2) + "\n";
  }
  text += "\nCautions\n";
  for (const std::string_view one : cautions) text += "  - " + hung(one, width, 4, 4) + "\n";
  text += "\nPhoto places, in this order, each with a scale and its number\n";
  for (const std::string_view one : photo_places) {
    text += "  [ ] " + hung(fmt::format("{}  Photo ______", one), width, 6, 6) + "\n";
  }
  text += "\nMeasurements\n";
  for (const Measurement& one : measurements) {
    text += "  " + hung(fmt::format("{}: ________ {}  Tool __________", one.what, one.unit), width, 4, 4) + "\n";
  }
  text += "\nFindings\n";
  for (const FindingRow* row : openers(tables)) {
    text += "  " + hung(fmt::format("{} {} ({})", row->id, row->title, row->how), width, 4, 4) + "\n";
    const diagnosis::Statement* said = stated(facts, row->id);
    const auto box = [&](Seen seen) { return said != nullptr && said->seen == seen ? 'x' : ' '; };
    if (row->grades.empty()) {
      text += fmt::format("    [{}] present  [{}] absent  [{}] could not tell\n", box(Seen::present), box(Seen::absent),
                          box(Seen::could_not_tell));
    } else {
      text += "   ";
      for (const diagnosis::Grade& grade : row->grades) {
        const bool mine = said != nullptr && said->seen == Seen::present && said->grade == grade.title;
        text += fmt::format(" [{}] {} ", mine ? 'x' : ' ', grade.title);
      }
      text += fmt::format(" [{}] absent  [{}] could not tell\n", box(Seen::absent), box(Seen::could_not_tell));
    }
    text += "    Evidence no. ______  Person ____________  Time ________  Photo ________\n";
  }
  text += "\n" +
          hung(
              "Places, measurements and cautions: common practice, no source; the maker's service "
              "information goes before them.",
              width, 0, 0) +
          "\n";
  return text;
}

std::string opening_json(const std::string& title, const diagnosis::Facts& facts, const diagnosis::Tables& tables) {
  Json json{{"schema", "fuelwright.opening/1.0"}, {"case", title}, {"may_open", facts.agreement.complete()}};
  json["agreement"] = Json::array();
  for (const Agreed& one : agreed(facts.agreement)) {
    json["agreement"].push_back({{"who", std::string(one.who)}, {"given", one.given}});
  }
  json["cautions"] = cautions;
  json["photo_places"] = photo_places;
  json["measurements"] = Json::array();
  for (const Measurement& one : measurements) {
    json["measurements"].push_back({{"what", std::string(one.what)}, {"unit", std::string(one.unit)}});
  }
  json["findings"] = Json::array();
  for (const FindingRow* row : openers(tables)) {
    json["findings"].push_back({{"finding", row->id}, {"title", row->title}, {"how", row->how}});
  }
  return json.dump(2) + "\n";
}

}  // namespace fw::report
