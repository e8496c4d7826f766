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
  double speed_per_s = 0.0;                      ///< of the crank
  std::vector<std::optional<Reading>> readings;  ///< by channel; none: not solved, or nothing there to read
  bool fed = false;                              ///< the engine gets what it asks for, at the most likely values
};

/// The healthy supply, or one with planted faults, one way that unknown pump facts leave open.
struct BookState {
  std::vector<system::Fault> faults;  ///< none: healthy
  std::string title;                  ///< "healthy", "engine filter: plugged filter, 20 times its clean drop"
  std::string way;                    ///< "chassis pump returns its surplus to the tank"; "" where nothing is unknown
  std::size_t healthy = 0;            ///< the healthy state of its way
  std::vector<BookPoint> points;
};

/// How well one reading tells a state from another: difference of the middles over the root of the squared 90 %
/// half-widths of both bands and of the instrument; over 1 they are told apart nine times in ten (assumed normal).
struct Separation {
  std::size_t channel = 0;
  std::size_t point = 0;
  double strength = 0.0;
};

/// What tells two ways of the healthy supply apart: whichever reading it is settles the unknown fact.
struct WaysApart {
  std::size_t first = 0, second = 0;  ///< healthy states
  Separation best;
};

struct GaugeBook {
  std::string sheet;
  std::vector<Channel> channels;
  std::vector<BookState> states;         ///< the healthy ones first, one for each way
  std::size_t ways = 1;                  ///< healthy states
  std::vector<WaysApart> ways_apart;     ///< every pair of them
  std::vector<Separation> from_healthy;  ///< by state: its clearest reading against the healthy state of its way
  std::vector<std::vector<std::size_t>>
      like;  ///< by state: others that no reading tells it from, not of its own faults
  std::size_t samples = 0;
};

/// Readings at every test port, of the return's flow and of every electric pump's volts and current, healthy and under
/// each set of faults, at idle, without load at the raised speed, and at rated power, on fuel of 20 C with clean
/// filters. Where pump facts are unknown every way is read (system::branches). Where the sheet states what the
/// plungers of the high-pressure pump take, the engine takes what they can fill with (system::RailDemand), as in
/// judge_sheet; legs all have 20 C.
///
/// Instruments (assumed): gauge of 1.6 % of 200, 600 or 1600 kPa, the least that holds the healthy reading; vacuum
/// gauge 2.5 % of 100 kPa; jar 5 %; voltmeter 0.5 %; clamp 2 % + 0.2 A. Draws are those of judge_sheet. `faults` empty:
/// every single fault that the sheet has a place for. A fault whose sheet cannot be built is an error. Errors: those of
/// system::apply and of SupplyModel; cancelled.
[[nodiscard]] Result<GaugeBook> gauge_book(const system::LineSheet& sheet,
                                           std::vector<std::vector<system::Fault>> faults, const Sampling& sampling,
                                           const Run& run);

}  // namespace fw::supply
