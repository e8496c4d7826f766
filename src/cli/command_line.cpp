// SPDX-License-Identifier: Apache-2.0
#include "cli/command_line.hpp"

#include <map>

#include <CLI/CLI.hpp>

namespace fw::cli {

namespace {
#ifndef FW_VERSION
#define FW_VERSION "unknown"
#endif
}  // namespace

Parsed parse_command_line(int argc, const char* const* argv) {
  Parsed parsed;
  CommandLine& line = parsed.line;
  CLI::App app{
      "Fuelwright judges the fuel supply of a diesel engine whose high-pressure pump died: as designed, as found, as "
      "rebuilt.",
      "fuelwright"};
  app.set_version_flag("--version", std::string("fuelwright ") + FW_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Exit status: 0 computed, 2 bad input, 3 could not compute.\n"
      "Example: fuelwright judge cases/alder-gap-tender --units us");

  std::string system = "metric";
  const auto common = [&](CLI::App* command) {
    command->add_option("--units", system, "Units of the answer: us, metric or si")
        ->check(CLI::IsMember({"us", "metric", "si"}));
    command->add_flag("--json", line.json, "Print JSON instead of the brief");
  };
  const auto judging = [&](CLI::App* command) {
    command->add_option("--seed", line.seed, "Seed of every random draw");
    command->add_option("--out", line.out, "Where the PDF page goes");
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  };

  CLI::App* judge = app.add_subcommand("judge", "Judge a case folder and write its page");
  judge->add_option("FOLDER", line.target, "Folder with a case.toml")->required();
  common(judge);
  judging(judge);
  judge->footer("Example: fuelwright judge cases/alder-gap-tender --units us");

  std::string climate = "temperate";
  CLI::App* supply = app.add_subcommand("supply", "Judge one line sheet");
  supply->add_option("SHEET", line.target, "Line sheet (docs/reference/line-sheet.md)")->required();
  supply->add_option("--climate", climate, "arctic, cold, temperate, hot or tropical")
      ->check(CLI::IsMember({"arctic", "cold", "temperate", "hot", "tropical"}));
  common(supply);
  judging(supply);
  supply->footer("Example: fuelwright supply cases/alder-gap-tender/as-found.toml --climate cold");

  CLI::App* fuel = app.add_subcommand("fuel", "Properties of a fuel at one temperature");
  fuel->add_option("GRADE", line.target, "Id of a grade, e.g. d975_2d or en590")->required();
  fuel->add_option("--at", line.at, "Temperature with its unit, e.g. \"-10 C\"");
  common(fuel);
  fuel->footer("Example: fuelwright fuel en590 --at \"-10 C\"");

  CLI::App* catalog = app.add_subcommand("catalog", "List layouts, builds, parts and engines, or show one");
  catalog->add_option("ID", line.target, "Id of an entry; nothing lists all");
  catalog->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  catalog->add_flag("--json", line.json, "Print JSON instead of text");
  catalog->footer("Example: fuelwright catalog c-low");

  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    const auto chosen = app.get_subcommands();
    parsed.leave = Leave{.status = 0, .text = chosen.empty() ? app.help() : chosen.front()->help()};
    return parsed;
  } catch (const CLI::CallForVersion& version) {
    parsed.leave = Leave{.status = 0, .text = std::string(version.what()) + "\n"};
    return parsed;
  } catch (const CLI::ParseError& error) {
    parsed.leave = Leave{.status = 2, .text = "fuelwright: " + std::string(error.what()) + ". See fuelwright --help\n"};
    return parsed;
  }
  if (judge->parsed()) line.command = Command::judge;
  if (supply->parsed()) line.command = Command::supply;
  if (fuel->parsed()) line.command = Command::fuel;
  if (catalog->parsed()) line.command = Command::catalog;
  line.system = system == "us" ? units::System::us : system == "si" ? units::System::si : units::System::metric;
  line.climate = supply::climate_named(climate).value_or(supply::Climate::temperate);
  return parsed;
}

}  // namespace fw::cli
