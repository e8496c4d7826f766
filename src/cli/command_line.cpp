// SPDX-License-Identifier: Apache-2.0
#include "cli/command_line.hpp"

#include <map>

#include <CLI/CLI.hpp>

#include "app/figures.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {
#ifndef FW_VERSION
#define FW_VERSION "unknown"
#endif
}  // namespace

Parsed parse_command_line(int argc, const char* const* argv) {
  Parsed parsed;
  CommandLine& line = parsed.line;
  CLI::App parser{
      "Fuelwright judges the fuel supply of a diesel engine whose high-pressure pump died: as designed, as found, as "
      "rebuilt.",
      "fuelwright"};
  parser.set_version_flag("--version", std::string("fuelwright ") + FW_VERSION);
  parser.require_subcommand(1);
  parser.footer(
      "Exit status: 0 computed, 1 a check fails under --strict, 2 bad input, 3 could not compute, 130 stopped.\n"
      "Ctrl-C stops long work; nothing half-done is written. NO_COLOR=1 turns colours off.\n"
      "Example: fuelwright judge cases/alder-gap-tender --units us");

  std::string system = "metric";
  std::string depth;
  const auto common = [&](CLI::App* command) {
    command->add_option("--units", system, "Units of the answer: us, metric or si")
        ->check(CLI::IsMember({"us", "metric", "si"}));
    command->add_flag("--json", line.json, "Print JSON (schema/) instead of text");
  };
  const auto with_strict = [&](CLI::App* command, const char* when) {
    command->add_flag("--strict", line.strict, std::string("End with status 1 when ") + when);
  };
  const auto judging = [&](CLI::App* command) {
    command->add_option("--seed", line.seed, "Seed of every random draw");
    command
        ->add_option("--depth", depth,
                     "nominal: most likely values; quick: with bands from 256 draws; paper: from 2,000 draws. Not "
                     "given: paper where a paper for the owner or the technical one is written, else nominal")
        ->check(CLI::IsMember({"nominal", "quick", "paper"}));
    command->add_flag("--full", line.full, "Draw at every running point, not only where a check can be governed");
    with_strict(command, "a check fails");
    command->add_option("--out", line.out, "Where the PDF goes");
    command
        ->add_option("--paper", line.paper,
                     "page: the supply on one page; owner: in plain words; technical: with annexes; authorisation: "
                     "options and permissions to sign; all")
        ->check(CLI::IsMember({"page", "owner", "technical", "authorisation", "all"}));
    command->add_option("--size", line.size, "Page size: a4 or letter")->check(CLI::IsMember({"a4", "letter"}));
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  };

  CLI::App* judge = parser.add_subcommand("judge", "Judge a case folder and write its page");
  judge->add_option("FOLDER", line.target, "Folder with a case.toml")->required();
  common(judge);
  judging(judge);
  judge->add_option("--with", line.with, "Sections that take longer: debris, extent, heat, water; rail is always there")
      ->delimiter(',')
      ->check(CLI::IsMember({"debris", "extent", "rail", "heat", "water"}));
  judge->footer("Example: fuelwright judge cases/alder-gap-tender --units us");

  std::string climate = "temperate";
  CLI::App* supply = parser.add_subcommand("supply", "Judge one line sheet");
  supply->add_option("SHEET", line.target, "Line sheet (docs/reference/line-sheet.md); or tell the facts instead");
  supply->add_option("--layout", line.facts.layout,
                     "Fact 1: layout of the catalog, e.g. c-low, or \"?\" for all of them");
  supply->add_option("--engine", line.facts.engine, "Fact 1: engine archetype of the catalog, e.g. i6");
  supply->add_option("--power", line.facts.rated_power, "Fact 2: rated power, e.g. \"230 kW\"");
  supply->add_option("--assist", line.facts.assist, "Fact 3: none, or g1 to g6");
  supply->add_option("--assist-set", line.facts.assist_set, "Fact 3: its set pressure, e.g. \"11 psi\"");
  supply->add_option("--filters", line.facts.filters, "Fact 4: in order, e.g. separator,pump,fine")->delimiter(',');
  supply->add_option("--hose", line.facts.main_hose, "Fact 5: main hose, e.g. \"-8 J30 hose\"");
  supply->add_option("--bypassed", line.facts.bypassed, "Fact 6: none, or e.g. separator,sensor")->delimiter(',');
  supply->add_option("--climate", climate, "arctic, cold, temperate, hot or tropical")
      ->check(CLI::IsMember({"arctic", "cold", "temperate", "hot", "tropical"}));
  common(supply);
  judging(supply);
  supply->footer(
      "Example: fuelwright supply cases/alder-gap-tender/as-found.toml --climate cold\n"
      "Example: fuelwright supply --layout c-low --power \"230 kW\" --assist g1 --assist-set \"11 psi\"\n"
      "Example: fuelwright supply --layout \"?\" --power \"230 kW\" --depth quick");

  const auto drawing = [&](CLI::App* command) {
    common(command);
    command->add_option("--seed", line.seed, "Seed of every random draw");
    command->add_option("--depth", depth, "nominal: most likely values; quick: 256 draws; paper: 2,000 draws")
        ->check(CLI::IsMember({"nominal", "quick", "paper"}));
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  };
  CLI::App* gaugebook = parser.add_subcommand("gaugebook", "What gauges read, healthy and under planted faults");
  gaugebook->add_option("SHEET", line.target, "Line sheet")->required();
  gaugebook->add_option("--fault", line.faults, "KIND:PART, joined by + to plant several; otherwise every single one")
      ->allow_extra_args(false);
  drawing(gaugebook);
  gaugebook->footer(
      "Example: fuelwright gaugebook cases/alder-gap-tender/as-rebuilt.toml --fault plugged-filter:engine-filter");

  CLI::App* faults = parser.add_subcommand("faults", "What each planted fault does and which reading shows it");
  faults->add_option("SHEET", line.target, "Line sheet")->required();
  faults->add_option("--fault", line.faults, "KIND:PART, joined by + to plant several; otherwise every single one")
      ->allow_extra_args(false);
  drawing(faults);
  faults->footer("Example: fuelwright faults cases/alder-gap-tender/as-found.toml --depth quick");

  CLI::App* compare = parser.add_subcommand("compare", "What changed from each sheet of a case to the next");
  compare->add_option("FOLDER", line.target, "Folder with a case.toml")->required();
  drawing(compare);
  with_strict(compare, "a check of any sheet fails");
  compare->footer("Example: fuelwright compare cases/alder-gap-tender --depth quick");

  CLI::App* size =
      parser.add_subcommand("size", "Power that the supply carries, and the smallest hose, pump or filter");
  size->add_option("SHEET", line.target, "Line sheet")->required();
  CLI::Option* size_parts =
      size->add_option("--part", line.parts, "Id of a tube, hose, electric pump or filter to size; several times")
          ->allow_extra_args(false);
  size->add_flag("--all", line.all_parts, "Every part that has sizes, one at a time, best first")->excludes(size_parts);
  size->add_option("--climate", climate, "arctic, cold, temperate, hot or tropical")
      ->check(CLI::IsMember({"arctic", "cold", "temperate", "hot", "tropical"}));
  common(size);
  with_strict(size, "the rated power is not carried, or no size of a --part makes the supply hold");
  size->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  size->footer("Example: fuelwright size cases/alder-gap-tender/as-found.toml --part suction-line");

  CLI::App* fuel = parser.add_subcommand("fuel", "All properties of a fuel or blend");
  fuel->add_option("FUEL", line.target, "A grade or a blend by volume, e.g. en590 or \"d975_2d + 5 % petrol\"")
      ->required();
  fuel->add_option("--at", line.at, "Temperature with its unit, e.g. \"-10 C\"; may be given several times")
      ->allow_extra_args(false);
  fuel->add_option("--pressure", line.pressure,
                   "Gauge pressure, e.g. \"4 bar\", or \"180 MPa abs\"; may be given several times")
      ->allow_extra_args(false);
  common(fuel);
  fuel->footer(
      "Fuels: docs/reference/fuels.md\n"
      "Example: fuelwright fuel \"d975_2d + 5 % petrol\" --at \"20 C\" --at \"60 C\" --units us");

  CLI::App* figure = parser.add_subcommand("figure", "Draw one figure of a case folder or a line sheet");
  std::string kinds;
  for (const auto& kind : app::figure_kinds()) kinds += (kinds.empty() ? "" : ", ") + std::string(kind);
  figure->add_option("KIND", line.figure, "What to draw: " + kinds)
      ->required()
      ->check(CLI::IsMember(app::figure_kinds()).description(""));
  figure->add_option("CASE_OR_SHEET", line.target, "Case folder or line sheet")->required();
  figure->add_option("--sheet", line.sheet, "Which sheet of a case, e.g. as-found; otherwise its last");
  figure->add_option("--cause", line.cause, "why: id of the cause, e.g. C08; otherwise the most probable");
  figure->add_option("--out", line.out, "File to write, .svg, .pdf or .png; otherwise SVG goes to standard output");
  figure->add_option("--width", line.width, "Width in points (72 to the inch)")->check(CLI::Range(260.0, 2000.0));
  CLI::Option* figure_climate =
      figure->add_option("--climate", climate, "arctic, cold, temperate, hot or tropical; otherwise the case's")
          ->check(CLI::IsMember({"arctic", "cold", "temperate", "hot", "tropical"}));
  figure->add_option("--units", system, "Units of the answer: us, metric or si")
      ->check(CLI::IsMember({"us", "metric", "si"}));
  figure->footer("Example: fuelwright figure schematic cases/alder-gap-tender --sheet as-found --out out/found.svg");

  CLI::App* catalog = parser.add_subcommand("catalog", "List layouts, builds, parts and engines, or show one");
  catalog->add_option("ID", line.target, "Id of an entry; nothing lists all");
  catalog->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  catalog->add_flag("--json", line.json, "Print JSON (schema/) instead of text");
  catalog->footer("Example: fuelwright catalog c-low");

  CLI::App* rail = parser.add_subcommand("rail", "The high-pressure side: what it holds, and what it does over time");
  rail->require_subcommand(1);
  rail->footer("Example: fuelwright rail capacity cases/alder-gap-tender/as-rebuilt.toml");
  const auto rail_question = [&](CLI::App* command) {
    command->add_option("SHEET", line.target, "Line sheet with a [high_side]")->required();
    command->add_option("--at", line.rail_inlet, "Fuel at the pump inlet, e.g. \"60 C\"");
    common(command);
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  };
  CLI::App* rail_capacity = rail->add_subcommand("capacity", "Rail pressure held, delivery margin, power ceiling");
  rail_question(rail_capacity);
  rail_capacity->footer("Example: fuelwright rail capacity cases/alder-gap-tender/as-rebuilt.toml");
  CLI::App* rail_run = rail->add_subcommand("run", "Play a profile: rail and injectors over time");
  rail_run
      ->add_option("PROFILE", line.rail_profile,
                   "start, idle, step, pull, supply-loss, air-slug, relief-stuck, metering-sticks or stop")
      ->required()
      ->check(CLI::IsMember(
          {"start", "idle", "step", "pull", "supply-loss", "air-slug", "relief-stuck", "metering-sticks", "stop"}));
  rail_question(rail_run);
  rail_run->footer("Example: fuelwright rail run pull cases/alder-gap-tender/as-rebuilt.toml");
  CLI::App* rail_start = rail->add_subcommand("start", "Crank from an empty rail to idle");
  rail_question(rail_start);
  rail_start->footer("Example: fuelwright rail start cases/alder-gap-tender/as-rebuilt.toml");
  CLI::App* rail_leakdown = rail->add_subcommand("leakdown", "How the standing rail loses its pressure");
  rail_question(rail_leakdown);
  rail_leakdown->footer("Example: fuelwright rail leakdown cases/alder-gap-tender/as-rebuilt.toml");

  CLI::App* heat = parser.add_subcommand("heat", "Fuel temperatures of a long run and of a work day");
  heat->add_option("SHEET", line.target, "Line sheet with a [high_side]")->required();
  heat->add_option("--air", line.air, "Temperature of the air, e.g. \"35 C\"");
  common(heat);
  heat->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  heat->footer("Example: fuelwright heat cases/alder-gap-tender/as-rebuilt.toml --air \"35 C\"");
  const auto diagnosing = [&](CLI::App* command) {
    command->add_option("--layout", line.six_facts.layout, "Fact 1: layout of the catalog, e.g. c-low, or \"?\"");
    command->add_option("--power", line.six_facts.rated_power, "Fact 2: rated power, e.g. \"230 kW\"");
    command->add_option("--life", line.six_facts.life, "Fact 3: distance or hours, e.g. \"140000 km\"");
    command->add_option("--stopped", line.six_facts.stopped, "Fact 4: suddenly, fading, \"out of fuel\" or runs");
    command
        ->add_option("--metal", line.six_facts.metal,
                     "Fact 5: none, or where it was seen: metering-valve, filter, magnet, return, tank")
        ->delimiter(',');
    command->add_option("--fill", line.six_facts.fill, "Fact 6: last fill, \"just before\" or \"long before\"");
    command->add_option("--lamp", line.six_facts.lamp, "Fact 6: water lamp before, on or off");
  };
  const auto diagnosis_common = [&](CLI::App* command) {
    command->add_option("--seed", line.seed, "Seed of every random draw");
    command->add_option("--depth", depth, "nominal, quick: 100 draws of the tables; paper: 400")
        ->check(CLI::IsMember({"nominal", "quick", "paper"}));
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
    command->add_flag("--json", line.json, "Print JSON instead of text");
  };
  CLI::App* diagnose = parser.add_subcommand("diagnose", "What happened and why, how sure, and what to look at next");
  diagnose->add_option("CASE", line.target, "Case folder with findings; or tell the facts instead");
  diagnosing(diagnose);
  diagnosis_common(diagnose);
  diagnose->footer(
      "Example: fuelwright diagnose cases/alder-gap-tender\n"
      "Example: fuelwright diagnose --layout c-low --life \"140000 km\" --stopped suddenly --metal metering-valve");
  CLI::App* explain =
      parser.add_subcommand("explain", "What speaks for and against a cause and what would overturn it");
  explain->add_option("CASE", line.target, "Case folder with findings")->required();
  explain->add_option("CAUSE", line.cause, "Id of a cause, e.g. C01")->required();
  diagnosis_common(explain);
  explain->footer("Example: fuelwright explain cases/alder-gap-tender C01");
  CLI::App* next = parser.add_subcommand("next", "The looks worth most, as a sheet to print");
  next->add_option("CASE", line.target, "Case folder with findings; or tell the facts instead");
  next->add_flag("--two-steps", line.two_steps, "Look two steps ahead");
  next->add_flag("--opening", line.opening, "Print the sheet for opening the failed pump");
  diagnosing(next);
  diagnosis_common(next);
  next->footer("Example: fuelwright next cases/alder-gap-tender --two-steps");

  const auto metal = [&](CLI::App* command) {
    command->add_option("CASE", line.target, "Case folder with a metal.toml (docs/reference/case-folder.md)")
        ->required();
    command->add_option("--seed", line.seed, "Seed of every random draw");
    command->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
    command->add_flag("--json", line.json, "Print JSON instead of text");
  };
  CLI::App* debris = parser.add_subcommand("debris", "Where metal lies, from what was found");
  metal(debris);
  debris->footer("Example: fuelwright debris cases/alder-gap-tender");
  CLI::App* extent = parser.add_subcommand("extent", "What must be replaced: options, comebacks, cost, what decides");
  metal(extent);
  extent->footer("Example: fuelwright extent cases/alder-gap-tender");

  CLI::App* card = parser.add_subcommand("card", "The scale card: print it, and read the area of metal from a photo");
  card->require_subcommand(1);
  card->footer("Example: fuelwright card print --out card.pdf");
  CLI::App* card_print = card->add_subcommand("print", "The card as a PDF, to print at 100 %");
  card_print->add_option("--out", line.out, "PDF file; scale-card.pdf if not given");
  card_print->add_option("--size", line.size, "a4 or letter")->check(CLI::IsMember({"a4", "letter"}));
  card_print->footer("Example: fuelwright card print --out card.pdf");
  CLI::App* card_read = card->add_subcommand("read", "Area of metal and specks by size from one photo of the card");
  card_read->add_option("PHOTO", line.target, "JPEG or PNG as the telephone made it")->required();
  card_read->add_option("--keep-in", line.keep_in, "Case folder: copies the photo there and logs it as evidence");
  card_read->add_option("--zone", line.zone, "Where the metal came from, for the photo index");
  card_read->add_option("--person", line.person, "Who took the photo, with --keep-in");
  card_read->add_option("--time", line.time, "When it was taken, with --keep-in");
  card_read->add_flag("--json", line.json, "Print JSON instead of text");
  card_read->footer(
      "Example: fuelwright card read photo.jpg --keep-in cases/alder-gap-tender --zone \"engine filter\" --person "
      "\"first mechanic\" --time \"2026-05-04 10:20\"");
  CLI::App* water =
      parser.add_subcommand("water", "Water from tank to pump inlet, and what a sensor would have changed");
  water->add_option("CASE_OR_SHEET", line.target, "Case folder or line sheet")->required();
  water->add_option("--climate", climate, "arctic, cold, temperate, hot or tropical; a case has its own")
      ->check(CLI::IsMember({"arctic", "cold", "temperate", "hot", "tropical"}));
  common(water);
  water->add_option("--seed", line.seed, "Seed of every random draw");
  water->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  water->footer("Example: fuelwright water cases/alder-gap-tender");

  CLI::App* fuel_report =
      parser.add_subcommand("fuelreport", "A laboratory's fuel report: limits, tests together, sample");
  fuel_report->add_option("CASE_OR_FILE", line.target, "Case folder with a fuel-report.toml, or the file")->required();
  common(fuel_report);
  with_strict(fuel_report, "a test is beyond its fuel standard");
  fuel_report->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  fuel_report->footer(
      "The file: docs/reference/case-folder.md\n"
      "Example: fuelwright fuelreport cases/quarry-vee");

  CLI::App* filters = parser.add_subcommand("filters", "How long the filters last, and what a year of them costs");
  filters->add_option("CASE_OR_SHEET", line.target, "Case folder or line sheet")->required();
  filters
      ->add_option("--use", line.filters.use,
                   "How the vehicle is used: private, parcel, towing, long-haul, tender, tractor")
      ->required()
      ->check(CLI::IsMember({"private", "parcel", "towing", "long-haul", "tender", "tractor"}));
  filters->add_option("--hours", line.filters.hours, "Running time of a year instead, e.g. \"650 h\"");
  filters->add_option("--distance", line.filters.distance, "Distance of a year instead, e.g. \"45000 km\"");
  filters->add_option("--burn", line.filters.burn, "Mean burn instead, e.g. \"20 L/h\"");
  filters->add_option("--dirt", line.filters.dirt, "Dirt in the fuel as filled instead, e.g. \"5 mg/kg\"");
  filters->add_option("--interval", line.filters.interval, "Change after \"15000 mi\", \"500 h\" or none");
  common(filters);
  filters->add_option("--seed", line.seed, "Seed of every random draw");
  filters->add_option("--catalog", line.catalog_folder, "Catalog folder of the shop; its entries take precedence");
  filters->footer("Example: fuelwright filters cases/alder-gap-tender --use tender");

  CLI::App* flush = parser.add_subcommand("flush", "Clean a tank to a code, flush a line, verify both");
  flush->add_option("--tank", line.flush.tank, "Volume that is circulated, e.g. \"100 L\"")->required();
  flush->add_option("--flow", line.flush.flow, "Flow of the cart, e.g. \"5 L/min\"")->required();
  flush->add_option("--beta", line.flush.beta, "Beta of its filter at 4 um(c), or at 4,6,14: e.g. 75,1000,1000")
      ->required()
      ->delimiter(',');
  flush->add_option("--from", line.flush.from, "ISO 4406 code at the start, e.g. 22/20/17")->required();
  flush->add_option("--to", line.flush.to, "Code to reach, e.g. 14/13/11")->required();
  flush->add_option("--ingress", line.flush.ingress, "Particles from 4 um(c) that come in per minute, e.g. 100000");
  flush->add_option("--dead", line.flush.dead, "Share of the tank off the flow, e.g. \"10 %\"");
  flush->add_option("--exchange", line.flush.exchange, "Flow between that part and the rest, e.g. \"0.2 L/min\"");
  flush->add_option("--bore", line.flush.bore, "Bore of a line to flush, e.g. \"8 mm\"");
  flush->add_option("--service", line.flush.service, "Its flow in service, e.g. \"150 L/h\"");
  flush->add_option("--fuel", line.flush.fuel, "Grade or blend of the flush");
  flush->add_option("--at", line.flush.at, "Its temperature");
  flush->add_option("--flash", line.flush.flash, "Measured flash point, e.g. \"63 C\"; unknown counts as petrol");
  flush->add_flag("--rated-for-petrol", line.flush.rated_for_petrol, "Cart and pump are rated for petrol");
  flush->add_option("--extracted", line.flush.extracted, "Masses of repeated extractions, e.g. \"9 mg\"; several times")
      ->allow_extra_args(false);
  flush->add_option("--sample", line.flush.samples, "Code counted at the draw-off, oldest first; several times")
      ->allow_extra_args(false);
  common(flush);
  with_strict(flush, "it is not verified by two samples at the target");
  flush->footer(
      "Example: fuelwright flush --tank \"100 L\" --flow \"5 L/min\" --beta 1000 --from 22/20/17 --to 14/13/11 "
      "--flash \"63 C\"");

  CLI::App* evidence = parser.add_subcommand("evidence", "The evidence log of a case: check, add, export");
  evidence->add_option("CASE", line.target, "Case folder; alone: checks the log and prints it")->required();
  evidence
      ->add_option("--add", line.evidence, "KEY=VALUE of a new entry, several times: title, time and person at least")
      ->allow_extra_args(false);
  evidence->add_option("--out", line.out, "New folder to export to; there sha256sum -c SHA256SUMS verifies it");
  evidence->footer(
      "Keys: docs/reference/evidence-log.md\n"
      "Example: fuelwright evidence cases/alder-gap-tender");

  // For whoever checks or writes networks; not on the first page of help.
  CLI::App* infer =
      parser.add_subcommand("infer", "All marginals of a Bayesian network given what was seen")->group("");
  infer->add_option("NETWORK", line.target, "JSON file (docs/reference/network.md)")->required();
  infer->add_option("--network", line.network, "Which network of a file that holds several");
  infer->add_option("--given", line.given, "NODE=STATE that was seen; may be given several times")
      ->allow_extra_args(false);
  infer->add_option("--likelihood", line.likelihoods, "NODE=w1,w2,...: weights of its states; several times")
      ->allow_extra_args(false);
  infer->add_option("--soft", line.soft, "NODE=p1,p2,...: what its posterior shall be; several times")
      ->allow_extra_args(false);
  infer->add_flag("--json", line.json, "Print JSON instead of text");
  infer->footer("Example: fuelwright infer network.json --given rain=yes --likelihood grass=0.8,0.2");

  try {
    parser.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    const auto chosen = parser.get_subcommands();
    const CLI::App* asked = chosen.empty() ? &parser : chosen.front();
    std::string before = "fuelwright";
    while (!asked->get_subcommands().empty()) {
      before += " " + asked->get_name();
      asked = asked->get_subcommands().front();
    }
    const std::string help = chosen.empty() ? parser.help() : asked->help(before);
    parsed.leave = Leave{.status = 0, .text = wrapped_help(help, terminal_columns())};
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
  if (figure->parsed()) line.command = Command::figure;
  line.climate_given = figure_climate->count() > 0;
  if (catalog->parsed()) line.command = Command::catalog;
  if (gaugebook->parsed()) line.command = Command::gaugebook;
  if (faults->parsed()) line.command = Command::faults;
  if (compare->parsed()) line.command = Command::compare;
  if (size->parsed()) line.command = Command::size;
  if (rail_capacity->parsed()) line.command = Command::rail_capacity;
  if (rail_run->parsed() || rail_start->parsed()) line.command = Command::rail_run;
  if (rail_start->parsed()) line.rail_profile = "start";
  if (rail_leakdown->parsed()) line.command = Command::rail_leakdown;
  if (heat->parsed()) line.command = Command::heat;
  if (infer->parsed()) line.command = Command::infer;
  if (debris->parsed()) line.command = Command::debris;
  if (extent->parsed()) line.command = Command::extent;
  if (water->parsed()) line.command = Command::water;
  if (fuel_report->parsed()) line.command = Command::fuel_report;
  if (flush->parsed()) line.command = Command::flush;
  if (filters->parsed()) line.command = Command::filters;
  if (diagnose->parsed()) line.command = Command::diagnose;
  if (explain->parsed()) line.command = Command::explain;
  if (next->parsed()) line.command = Command::next;
  if (card_print->parsed()) line.command = Command::card_print;
  if (card_read->parsed()) line.command = Command::card_read;
  if (evidence->parsed()) line.command = Command::evidence;
  if (supply->count("--climate") > 0) line.facts.climate = climate;
  if (depth.empty()) {
    // What is handed over shows its bands. A sheet's papers are written only where --out says so.
    // The permissions hold no check of the supply.
    const bool handed_over =
        line.paper != "page" && line.paper != "authorisation" && (judge->parsed() || (supply->parsed() && line.out));
    depth = handed_over ? "paper" : "nominal";
  }
  if (supply->parsed()) {
    // With a sheet, the climate is an option of its own and no fact.
    const casefile::SevenFacts& facts = line.facts;
    const bool sheet = !line.target.empty();
    const bool told = !facts.layout.empty() || !facts.engine.empty() || !facts.rated_power.empty() ||
                      !facts.assist.empty() || !facts.assist_set.empty() || !facts.filters.empty() ||
                      !facts.main_hose.empty() || !facts.bypassed.empty();
    if (sheet == told) {
      parsed.leave = Leave{.status = 2,
                           .text =
                               "fuelwright: supply: expected either a line sheet or facts. Write for example "
                               "fuelwright supply --layout c-low, or --layout \"?\" where it is not known\n"};
      return parsed;
    }
  }
  line.depth = assess::depth_named(depth).value_or(assess::Depth::nominal);
  line.system = system == "us" ? units::System::us : system == "si" ? units::System::si : units::System::metric;
  line.climate = supply::climate_named(climate).value_or(supply::Climate::temperate);
  return parsed;
}

}  // namespace fw::cli
