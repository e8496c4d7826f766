// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "numerics/draw.hpp"
#include "supply/judge.hpp"
#include "system/planted_fault.hpp"
#include "units/dimension.hpp"

namespace fw::supply {

/// What an instrument at one place reads.
struct Channel {
  std::string title;  ///< "V1, suction line", "return flow", "volts at the chassis pump"
  std::string port;   ///< "" where it is no pressure port
  units::Dimension dimension = units::Dimension::gauge_pressure;
};

/// One reading: the draws' middle and band, and the instrument's own error (90 % half-width, SI).
struct Reading {
  double median = required;
  numerics::Band band;
  double error = required;
};

/// One engine point of a state.
struct BookPoint {
  system::RunningPoint point;
  std::vector<std::optional<Reading>> readings;  ///< by channel; none: not solved, or nothing there to read
  bool fed = false;                              ///< the engine gets what it asks for, at the most likely values
};

/// The healthy supply, or one with planted faults.
struct BookState {
  std::vector<system::Fault> faults;  ///< none: healthy
  std::string title;                  ///< "healthy", "engine filter: plugged filter, 20 times its clean drop"
  std::vector<BookPoint> points;
};

/// How well one reading tells a state from another: difference of the middles over the root of the squared 90 %
/// half-widths of both bands and of the instrument; over 1 they are told apart nine times in ten (assumed normal).
struct Separation {
  std::size_t channel = 0;
  std::size_t point = 0;
  double strength = 0.0;
};

struct GaugeBook {
  std::string sheet;
  std::vector<Channel> channels;
  std::vector<BookState> states;               ///< the healthy one first
  std::vector<Separation> from_healthy;        ///< by state: its clearest reading
  std::vector<std::vector<std::size_t>> like;  ///< by state: states that no reading tells it from
  std::size_t samples = 0;
};

/// Readings at every test port, of the return's flow and of every electric pump's volts and current, healthy and under
/// each set of faults, at idle, no load at 2,500 rpm and rated power, on fuel of 20 C with clean filters.
///
/// Instruments (assumed): gauge of 1.6 % of 200, 600 or 1600 kPa, the least that holds the healthy reading; vacuum
/// gauge 2.5 % of 100 kPa; jar 5 %; voltmeter 0.5 %; clamp 2 % + 0.2 A. Draws are those of judge_sheet. `faults` empty:
/// every single fault that the sheet has a place for. A fault whose sheet cannot be built is an error. Errors: those of
/// system::apply and of SupplyModel; cancelled.
[[nodiscard]] Result<GaugeBook> gauge_book(const system::LineSheet& sheet,
                                           std::vector<std::vector<system::Fault>> faults, const Sampling& sampling,
                                           const Run& run);

}  // namespace fw::supply
