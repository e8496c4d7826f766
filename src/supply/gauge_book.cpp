// SPDX-License-Identifier: Apache-2.0
#include "supply/gauge_book.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>

#include "hydraulics/demand.hpp"
#include "numerics/quantile.hpp"
#include "supply/fuel_way.hpp"
#include "supply/sampling.hpp"
#include "system/rail_side.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::PointState;
using system::RunningPoint;
using system::SupplyModel;
using units::Dimension;

constexpr double kPa = 1e3;
constexpr double highest_Pa = 200e6;  // of the tables of compressed fuel

bool converged(const PointState& state) { return state.status == hydraulics::SolveStatus::converged; }

const std::vector<RunningPoint>& book_points() {
  static const std::vector<RunningPoint> points{
      {.engine = EnginePoint::idle}, {.engine = EnginePoint::raised}, {.engine = EnginePoint::rated}};
  return points;
}

/// What is read, and where it stands in a solved state.
struct Probe {
  enum class Kind { pressure, return_flow, volts, current } kind = Kind::pressure;
  std::string leg;        ///< pressure
  std::size_t index = 0;  ///< pressure: in the leg
  std::string pump;       ///< volts, current
  Channel channel;
};

std::vector<Probe> probes_of(const SupplyModel& model) {
  std::vector<Probe> probes;
  for (const system::PlaceAt& place : model.places()) {
    if (place.port.empty()) continue;
    probes.push_back({.kind = Probe::Kind::pressure,
                      .leg = place.leg,
                      .index = place.part_index,
                      .pump = {},
                      .channel = {.title = place.port + ", " + place.title, .port = place.port}});
  }
  probes.push_back({.kind = Probe::Kind::return_flow,
                    .leg = {},
                    .index = 0,
                    .pump = {},
                    .channel = {.title = "return flow", .port = {}, .dimension = Dimension::volume_flow}});
  for (const system::Leg& leg : model.sheet().legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.pump || part.bypassed || part.pump->drive != system::Drive::electric) continue;
      probes.push_back(
          {.kind = Probe::Kind::volts,
           .leg = {},
           .index = 0,
           .pump = part.id,
           .channel = {.title = "volts at the " + title_of(part), .port = {}, .dimension = Dimension::voltage}});
      probes.push_back(
          {.kind = Probe::Kind::current,
           .leg = {},
           .index = 0,
           .pump = part.id,
           .channel = {.title = "current of the " + title_of(part), .port = {}, .dimension = Dimension::current}});
    }
  }
  return probes;
}

/// Value of a probe in a state; nothing where the model knows none (no current law, no harness).
std::optional<double> value_of(const Probe& probe, const SupplyModel& model, const PointState& state) {
  switch (probe.kind) {
    case Probe::Kind::pressure:
      for (std::size_t i = 0; i < model.places().size(); ++i) {
        const system::PlaceAt& place = model.places()[i];
        if (place.leg == probe.leg && place.part_index == probe.index) return state.place_over_ambient_Pa[i];
      }
      return std::nullopt;
    case Probe::Kind::return_flow: return state.return_m3_per_s;
    case Probe::Kind::volts:
    case Probe::Kind::current: {
      const auto pump = std::ranges::find(state.pumps, probe.pump, &system::PumpAnswer::part);
      if (pump == state.pumps.end()) return std::nullopt;
      const double value = probe.kind == Probe::Kind::volts ? pump->connector_V : pump->current_A;
      if (pump->turning && value <= 0.0) return std::nullopt;
      return value;
    }
  }
  return std::nullopt;
}

/// 90 % half-width of the instrument one would take for a healthy reading.
double error_of(const Channel& channel, double healthy) {
  switch (channel.dimension) {
    case Dimension::volume_flow: return 0.05 * std::abs(healthy);
    case Dimension::voltage: return 0.005 * std::abs(healthy);
    case Dimension::current: return 0.02 * std::abs(healthy) + 0.2;
    default: break;
  }
  if (healthy < 0.0) return 0.025 * 100 * kPa;
  for (const double full_scale : {200 * kPa, 600 * kPa}) {
    if (healthy < full_scale) return 0.016 * full_scale;
  }
  return 0.016 * 1600 * kPa;
}

double speed_of(const system::Engine& engine, EnginePoint point) {
  if (point == EnginePoint::idle) return engine.idle_speed_per_s.value;
  const double rated_per_s = engine.rated_speed_per_s.value;
  return point == EnginePoint::raised ? hydraulics::raised_speed_per_s(rated_per_s) : rated_per_s;
}

/// Index of the way of the healthy supply that takes the same for every fact that is unknown there.
std::size_t healthy_way(const system::LineSheet& sheet, const std::vector<system::Branch>& ways,
                        const system::Branch& planted) {
  const auto agrees = [&](const system::Branch& way) {
    if (way.relief_set != planted.relief_set) return false;
    return std::ranges::all_of(way.pumps, [&](const auto& entry) {
      const auto& [id, facts] = entry;
      const auto other = planted.pumps.find(id);
      if (other == planted.pumps.end()) return true;
      const system::Pump& pump = *sheet.find_part(id)->pump;
      const bool rests = !pump.running && pump.stopped == system::Stopped::unknown;
      return (pump.surplus != system::Surplus::unknown || facts.surplus == other->second.surplus) &&
             (!rests || facts.stopped == other->second.stopped);
    });
  };
  const auto found = std::ranges::find_if(ways, agrees);
  return found == ways.end() ? 0 : static_cast<std::size_t>(found - ways.begin());
}

Result<BookState> read_state(const system::LineSheet& sheet, const system::Branch& way,
                             const std::vector<Probe>& probes, const system::EngineLaw* engine,
                             const BookState* healthy, const Sampling& sampling, const Run& run) {
  const auto model = SupplyModel::build(sheet, way, system::default_laws());
  if (!model) return fail(model.error());
  BookState result;
  result.way = way.title;
  const std::vector<double> nominal = model->nominal();
  const std::size_t draws = std::max<std::size_t>(sampling.samples, 1);
  std::vector<Draw> drawn;
  for (std::size_t s = 0; s < sampling.samples; ++s) {
    drawn.push_back(draw_of(*model, sampling.seed, static_cast<std::uint32_t>(s)));
  }
  for (std::size_t k = 0; k < book_points().size(); ++k) {
    const RunningPoint& point = book_points()[k];
    std::vector<SupplyModel::Case> cases{{.point = point, .slots = nominal, .engine_law = engine}};
    for (const Draw& draw : drawn) {
      cases.push_back(
          {.point = point, .slots = draw.slots, .transition_reynolds = draw.transition_reynolds, .engine_law = engine});
    }
    const auto states = model->solve(cases, run);
    if (!states) return fail(states.error());
    BookPoint at{.point = point,
                 .speed_per_s = speed_of(sheet.engine, point.engine),
                 .readings = {},
                 .fed = converged(states->front()) && !states->front().starved};
    for (std::size_t c = 0; c < probes.size(); ++c) {
      std::vector<double> values;
      const std::size_t first = drawn.empty() ? 0 : 1;
      for (std::size_t i = first; i < states->size(); ++i) {
        if (!converged((*states)[i])) continue;
        if (const auto value = value_of(probes[c], *model, (*states)[i])) values.push_back(*value);
      }
      if (values.size() * 2 < draws) {
        at.readings.emplace_back();
        continue;
      }
      std::ranges::sort(values);
      Reading reading{.median = numerics::quantile_of_sorted(values, 0.5),
                      .band = {.low = numerics::quantile_of_sorted(values, 0.05),
                               .high = numerics::quantile_of_sorted(values, 0.95)},
                      .error = 0.0};
      const auto& usual = healthy != nullptr ? healthy->points[k].readings[c] : std::nullopt;
      reading.error = error_of(probes[c].channel, usual ? usual->median : reading.median);
      at.readings.emplace_back(reading);
    }
    result.points.push_back(std::move(at));
  }
  return result;
}

/// What the plungers can fill with, where the sheet states them; else the engine takes what it asks for, as in a
/// judgement.
std::unique_ptr<const system::EngineLaw> engine_of(const system::LineSheet& sheet) {
  if (sheet.high_side.cylinders <= 0 || sheet.fuel == "constant") return nullptr;
  const auto side = system::rail_side(sheet);
  const auto fuel = system::fuel_of_sheet(sheet);
  if (!side || !side->filling_stated || !fuel) return nullptr;
  const auto liquid = rail::rail_liquid(*fuel, book_points().front().fuel_temperature_K, highest_Pa);
  if (!liquid) return nullptr;
  return std::make_unique<const system::RailDemand>(side->set, liquid->liquid);
}

double half_width(const Reading& reading) { return 0.5 * (reading.band.high - reading.band.low); }

/// The reading that tells two states apart best.
Separation clearest(const BookState& a, const BookState& b) {
  Separation best;
  for (std::size_t k = 0; k < a.points.size(); ++k) {
    for (std::size_t c = 0; c < a.points[k].readings.size(); ++c) {
      const auto& one = a.points[k].readings[c];
      const auto& other = b.points[k].readings[c];
      if (!one || !other) continue;
      const double width = std::hypot(half_width(*one), half_width(*other), one->error);
      const double strength = std::abs(one->median - other->median) / std::max(width, 1e-300);
      if (strength > best.strength) best = {.channel = c, .point = k, .strength = strength};
    }
  }
  return best;
}

}  // namespace

Result<GaugeBook> gauge_book(const system::LineSheet& sheet, std::vector<std::vector<system::Fault>> faults,
                             const Sampling& sampling, const Run& run) {
  GaugeBook book;
  book.sheet = sheet.name;
  book.samples = sampling.samples;
  if (faults.empty()) {
    for (const system::Fault& fault : system::faults_possible(sheet)) faults.push_back({fault});
  }
  const std::vector<system::Branch> ways = system::branches(sheet);
  const auto model = SupplyModel::build(sheet, ways.front(), system::default_laws());
  if (!model) return fail(model.error());
  const std::vector<Probe> probes = probes_of(*model);
  for (const Probe& probe : probes) book.channels.push_back(probe.channel);

  const std::unique_ptr<const system::EngineLaw> demand = engine_of(sheet);
  for (const system::Branch& way : ways) {
    auto healthy = read_state(sheet, way, probes, demand.get(), nullptr, sampling, run);
    if (!healthy) return fail(healthy.error());
    healthy->title = "healthy";
    healthy->healthy = book.states.size();
    book.states.push_back(std::move(*healthy));
  }
  book.ways = ways.size();
  for (std::size_t first = 0; first < book.ways; ++first) {
    for (std::size_t second = first + 1; second < book.ways; ++second) {
      book.ways_apart.push_back(
          {.first = first, .second = second, .best = clearest(book.states[first], book.states[second])});
    }
  }
  for (std::size_t f = 0; f < faults.size(); ++f) {
    run.progress.at("faults", f, faults.size());
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the gauge book"});
    }
    system::LineSheet broken = sheet;
    std::string title;
    for (const system::Fault& fault : faults[f]) {
      title += (title.empty() ? "" : " and ") + system::describe(fault, sheet);
      auto planted = system::apply(fault, std::move(broken));
      if (!planted) return fail(planted.error());
      broken = std::move(*planted);
    }
    for (const system::Branch& way : system::branches(broken)) {
      const std::size_t healthy = healthy_way(sheet, ways, way);
      auto state = read_state(broken, way, probes, demand.get(), &book.states[healthy], sampling, run);
      if (!state) return fail(state.error());
      state->faults = faults[f];
      state->title = title;
      state->healthy = healthy;
      book.states.push_back(std::move(*state));
    }
  }
  run.progress.at("faults", faults.size(), faults.size());

  for (const BookState& state : book.states) {
    book.from_healthy.push_back(clearest(state, book.states[state.healthy]));
    std::vector<std::size_t> alike;
    for (std::size_t other = 0; other < book.states.size(); ++other) {
      if (book.states[other].title == state.title) continue;
      if (clearest(state, book.states[other]).strength <= 1.0) alike.push_back(other);
    }
    book.like.push_back(std::move(alike));
  }
  return book;
}

}  // namespace fw::supply
