// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/filter_question.hpp"
#include "app/water_questions.hpp"
#include "assess/assess.hpp"
#include "casefile/seven_facts.hpp"
#include "casefile/six_facts.hpp"
#include "supply/judge.hpp"
#include "units/quantity.hpp"

/// The command line as plain values; the only file that knows the parser is command_line.cpp.
namespace fw::cli {

enum class Command : std::uint8_t {
  none,
  judge,
  supply,
  fuel,
  figure,
  catalog,
  gaugebook,
  faults,
  compare,
  size,
  rail_capacity,
  rail_run,
  rail_leakdown,
  heat,
  infer,
  diagnose,
  explain,
  next,
  debris,
  extent,
  card_print,
  card_read,
  water,
  fuel_report,
  flush,
  filters,
  evidence
};

struct CommandLine {
  Command command = Command::none;
  std::string target;  ///< case folder, line sheet or fuel
  units::System system = units::System::metric;
  bool json = false;
  std::uint64_t seed = 1;
  assess::Depth depth = assess::Depth::nominal;  ///< judge, supply
  bool full = false;                             ///< judge, supply: draws at every running point
  bool strict = false;                           ///< judge, supply, compare, size: status 1 when a check fails
  std::optional<std::string> out;
  supply::Climate climate = supply::Climate::temperate;  ///< supply, figure
  bool climate_given = false;
  std::vector<std::string> at{"40 C"};         ///< fuel: temperatures
  std::vector<std::string> pressure{"0 kPa"};  ///< fuel: pressures
  std::string paper = "page";                  ///< judge: page, owner, technical, all
  std::string size = "a4";                     ///< judge: a4, letter
  casefile::SevenFacts facts;                  ///< supply: what was told instead of a sheet
  std::vector<std::string> with;               ///< judge: further sections
  std::vector<std::string> faults;             ///< gaugebook, faults: as typed
  std::vector<std::string> parts;              ///< size: ids of parts
  bool all_parts = false;                      ///< size: every part that has sizes
  std::string figure;                          ///< figure: which
  std::string sheet;                           ///< figure: of a case
  double width = 482.0;                        ///< figure: points
  std::string rail_profile;                    ///< rail run: its name
  std::string rail_inlet = "60 C";             ///< rail: fuel at the pump inlet
  std::string air = "30 C";                    ///< heat
  std::string catalog_folder;                  ///< the shop's catalog, "" for none
  casefile::SixFacts six_facts;                ///< diagnose, next: what was told instead of a case
  std::string cause;                           ///< explain: id
  std::vector<std::string> evidence;           ///< evidence: KEY=VALUE of an entry to add
  std::string keep_in;                         ///< card read: case folder
  std::string zone;                            ///< card read
  std::string person;                          ///< card read
  std::string time;                            ///< card read
  bool two_steps = false;                      ///< next: look two steps ahead
  app::FilterQuestion filters;                 ///< filters: as typed
  app::FlushQuestion flush;                    ///< flush: as typed
  bool opening = false;                        ///< next: the sheet for opening the failed pump
  std::string network;                         ///< infer: which network of the file
  std::vector<std::string> given;              ///< infer: NODE=STATE
  std::vector<std::string> likelihoods;        ///< infer: NODE=w1,w2,...
  std::vector<std::string> soft;               ///< infer: NODE=p1,p2,...
};

/// What main should do at once instead of a command: print a text and leave.
struct Leave {
  int status = 0;
  std::string text;  ///< to standard output if status is 0, else to standard error
};

struct Parsed {
  CommandLine line;
  std::optional<Leave> leave;
};

/// Parses the arguments. Help and version leave with 0, a fault with 2 and one line that teaches.
[[nodiscard]] Parsed parse_command_line(int argc, const char* const* argv);

}  // namespace fw::cli
