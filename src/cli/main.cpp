// SPDX-License-Identifier: Apache-2.0
#include <cstdio>
#include <exception>

#include <fmt/format.h>

#include "cli/command_line.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

int main(int argc, char** argv) {
  using namespace fw::cli;
  try {
    const Parsed parsed = parse_command_line(argc, argv);
    if (parsed.leave) {
      std::fwrite(parsed.leave->text.data(), 1, parsed.leave->text.size(), parsed.leave->status == 0 ? stdout : stderr);
      return parsed.leave->status;
    }
    switch (parsed.line.command) {
      case Command::judge: return run_judge(parsed.line);
      case Command::supply: return run_supply(parsed.line);
      case Command::figure: return run_figure(parsed.line);
      case Command::fuel: return run_fuel(parsed.line);
      case Command::catalog: return run_catalog(parsed.line);
      case Command::gaugebook: return run_gaugebook(parsed.line);
      case Command::faults: return run_faults(parsed.line);
      case Command::compare: return run_compare(parsed.line);
      case Command::size: return run_size(parsed.line);
      case Command::rail_capacity:
      case Command::rail_run:
      case Command::rail_leakdown:
      case Command::heat: return run_rail(parsed.line);
      case Command::infer: return run_infer(parsed.line);
      case Command::diagnose: return run_diagnose(parsed.line);
      case Command::explain: return run_explain(parsed.line);
      case Command::next: return run_next(parsed.line);
      case Command::debris: return run_debris(parsed.line);
      case Command::extent: return run_extent(parsed.line);
      case Command::card_print:
      case Command::card_read: return run_card(parsed.line);
      case Command::water: return run_water(parsed.line);
      case Command::fuel_report: return run_fuel_report(parsed.line);
      case Command::flush: return run_flush(parsed.line);
      case Command::filters: return run_filters(parsed.line);
      case Command::evidence: return run_evidence(parsed.line);
      case Command::none: break;
    }
    return bad_input;
  } catch (const std::exception& fault) {
    fmt::print(stderr, "fuelwright: a fault of the program: {}. Please report it with the files that led to it.\n",
               fault.what());
    return could_not_compute;
  }
}
