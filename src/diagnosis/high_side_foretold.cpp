// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "diagnosis/foretold.hpp"
#include "numerics/draw.hpp"
#include "numerics/stream.hpp"
#include "rail/pump.hpp"
#include "system/rail_side.hpp"

namespace fw::diagnosis {

namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();
constexpr double atmosphere_Pa = 101325.0;
constexpr double lowest_Pa = 0.5e6;    // below it a rail that does not build pressure is told as this
constexpr double gap_warmer_K = 15.0;  // fuel in the gaps over the charge while cranking; assumed
constexpr double fed_Pa = 50e3;        // over ambient at a sound inlet while cranking; typical, no source
constexpr int halvings = 40;           // of the bracket of the held pressure: 1e-12 of it
constexpr int leak_down_steps = 32;
constexpr std::array<double, 3> charge_K{288.15, 308.15, 328.15};  // the fuel's temperature is not known; assumed

/// Rail, leaks and sensor as one draw has them.
struct Drawn {
  rail::HighPressureSet set;
  std::vector<double> static_factor;  ///< by injector
  double relief_m2 = 0.0;
  double offset_Pa = 0.0;
  double gas = 0.0;
  std::size_t fuel = 0;
};

class HighSideForeteller final : public Foreteller {
 public:
  HighSideForeteller(const Tables& tables, const std::vector<Reading>& readings, std::uint64_t seed)
      : tables_(tables), readings_(readings), seed_(seed) {}

  Result<void> prepare(const system::LineSheet& sheet) {
    auto side = system::rail_side(sheet);
    if (!side) return fail(side.error());
    side_ = std::move(*side);
    const auto fuel = system::fuel_of_sheet(sheet);
    if (!fuel) return fail(fuel.error());
    for (std::size_t k = 0; k < charge_K.size(); ++k) {
      const auto charge = rail::rail_liquid(*fuel, charge_K[k], side_.set.relief.open_Pa);
      if (!charge) return fail(charge.error());
      const auto gap = rail::rail_liquid(*fuel, charge_K[k] + gap_warmer_K, side_.set.relief.open_Pa);
      if (!gap) return fail(gap.error());
      charge_.push_back(charge->liquid);
      gap_.push_back(gap->liquid);
    }
    for (const Reading& reading : readings_) {
      injector_.push_back(0);
      if (reading.measure == Measure::leak_down &&
          !(reading.from_Pa.value_or(0.0) > reading.to_Pa.value_or(0.0) && reading.to_Pa.value_or(0.0) > 0.0)) {
        return fail(reading_fault(reading, ErrorCode::invalid_input, "reading.from", "no fall of pressure",
                                  "from above to above 0"));
      }
      if (reading.measure != Measure::injector_return) continue;
      int number = 0;
      const char* end = reading.at.data() + reading.at.size();
      const auto [stopped, fault] = std::from_chars(reading.at.data(), end, number);
      if (fault != std::errc{} || stopped != end || number < 1 || number > side_.set.injectors) {
        return fail(reading_fault(reading, ErrorCode::not_found, "reading.at", "\"" + reading.at + "\"",
                                  fmt::format("an injector, 1 to {}", side_.set.injectors)));
      }
      injector_.back() = static_cast<std::size_t>(number - 1);
    }
    for (int i = 0; i < side_.set.injectors; ++i) nuisances_.push_back(fmt::format("reading.injector_leak.{}", i));
    ways();
    return {};
  }

  const std::vector<TargetFaults>& targets() const override { return targets_; }
  bool known(std::size_t) const override { return true; }
  std::vector<std::string> assumed() const override { return side_.assumed; }
  std::vector<std::string> tags(std::size_t reading) const override {
    switch (readings_[reading].measure) {
      case Measure::rail_crank: return {"rail-crank"};
      case Measure::leak_down: return {"leak-down"};
      case Measure::injector_return: return {"injector-return"};
      case Measure::relief_return: return {"relief-return"};
      case Measure::rail_at_rest: return {"rail-at-rest"};
      default: return {};
    }
  }

  const std::vector<std::string>& nuisances() const override { return nuisances_; }

  Result<std::vector<Foretold>> foretell(const std::vector<Ask>& asks, const Run& run) override {
    constexpr std::size_t block = 64;
    std::vector<Foretold> told(asks.size());
    run.executor.for_each_block((asks.size() + block - 1) / block, [&](std::size_t b) {
      if (run.stop.stop_requested()) return;
      for (std::size_t a = b * block; a < std::min(asks.size(), (b + 1) * block); ++a) told[a] = numbers(asks[a]);
    });
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the readings"});
    }
    return told;
  }

 private:
  void ways() {
    for (std::size_t r = 0; r < tables_.planted.size(); ++r) {
      const PlantedRow& row = tables_.planted[r];
      if (row.side != Side::high_side) continue;
      auto at = std::find_if(targets_.begin(), targets_.end(),
                             [&](const TargetFaults& one) { return one.target == row.target; });
      if (at == targets_.end()) {
        targets_.push_back({.target = row.target, .ways = {}, .chances = {}});
        at = targets_.end() - 1;
      }
      const int places = row.fault == "leaking-injector" ? side_.set.injectors : 1;
      for (int i = 0; i < places; ++i) {
        at->ways.push_back({.row = r, .part = places > 1 ? fmt::format("{}", i) : std::string()});
        at->chances.push_back(row.share.value / places);
      }
    }
  }

  double drawn(const Stated& stated, std::size_t nuisance, const Ask& ask) const {
    for (const MovedNuisance& one : ask.moved) {
      if (one.nuisance == nuisance) return numerics::at_probability(stated, one.probability);
    }
    return numerics::at_probability(stated, uniform(nuisances_[nuisance], ask.sample));
  }
  double uniform(std::string_view what, std::uint32_t sample) const {
    return numerics::uniform(seed_, numerics::key_of(what), numerics::Purpose::input, sample);
  }

  Drawn draw(const Ask& ask) const {
    const ReadingNumbers& n = tables_.readings;
    const std::uint32_t s = ask.sample;
    Drawn d{.set = side_.set, .static_factor = {}};
    d.fuel = std::min(charge_K.size() - 1,
                      static_cast<std::size_t>(uniform("reading.rail.fuel", s) * double{charge_K.size()}));
    d.set.pump.gap.clearance_m *= drawn(n.plunger_clearance, 0, ask);
    d.set.rail_volume_m3 *= drawn(n.rail_volume, 1, ask);
    d.set.cranking_rev_per_s *= drawn(n.crank_speed, 2, ask);
    const double all = drawn(n.injector_leak, 3, ask);
    for (int i = 0; i < d.set.injectors; ++i) {
      d.static_factor.push_back(all * drawn(n.injector_leak_each, first_injector + static_cast<std::size_t>(i), ask));
    }
    for (std::size_t f = 0; f < ask.faults.size(); ++f) {
      const PlantedAt& one = ask.faults[f];
      const PlantedRow& row = tables_.planted[one.row];
      const std::string id = fmt::format("reading.{}.{}.{}", row.fault, row.target, one.part);
      const double amount = row.amount ? numerics::at_probability(*row.amount, ask.severity[f]) : 0.0;
      if (row.fault == "worn-pump") {
        d.set.pump.gap.clearance_m += amount;
      } else if (row.fault == "leaking-injector") {
        int number = 0;
        (void)std::from_chars(one.part.data(), one.part.data() + one.part.size(), number);
        d.static_factor[static_cast<std::size_t>(number)] *= amount;
      } else if (row.fault == "leaking-injectors") {
        for (double& factor : d.static_factor) factor *= amount;
      } else if (row.fault == "weeping-relief") {
        d.relief_m2 += amount;
      } else if (row.fault == "stuck-metering-valve") {
        d.set.pump.metering.largest_m2 *= amount;
      } else if (row.fault == "sensor-offset") {
        d.offset_Pa += uniform(id + ".sign", s) < 0.5 ? -amount : amount;
      } else if (row.fault == "starved-inlet") {
        d.gas = 1.0 - (1.0 - d.gas) * std::clamp(amount, 0.0, 1.0);
      }
    }
    return d;
  }

  /// Mass [kg/s] that leaves the rail at rest or cranking, at an absolute pressure.
  double leaves_kg_per_s(const Drawn& d, double rail_Pa) const {
    const rail::RailLiquid& fuel = charge_[d.fuel];
    double factors = 0.0;
    for (const double one : d.static_factor) factors += one;
    const double injectors = fuel.free_density_kg_per_m3 * factors * rail::static_m3_per_s_at(d.set.injector, rail_Pa);
    return injectors + d.relief_m2 * std::sqrt(2.0 * rail_Pa * fuel.density_at(rail_Pa));
  }

  /// Pressure [Pa] the pump holds while cranking, metering valve open, nothing injected.
  double held_Pa(const Drawn& d) const {
    const auto surplus = [&](double p) {
      const rail::PumpState state =
          rail::pump_state_unchecked(d.set.pump, charge_[d.fuel], gap_[d.fuel],
                                     {.shaft_rev_per_s = d.set.cranking_rev_per_s * d.set.pump.crank_ratio,
                                      .rail_Pa = p,
                                      .inlet = {.pressure_Pa = atmosphere_Pa + fed_Pa, .gas_fraction = d.gas}});
      return state.full_kg_per_s - state.leak_kg_per_s - leaves_kg_per_s(d, p);
    };
    double low = lowest_Pa;
    double high = d.set.relief.open_Pa;
    if (surplus(low) <= 0.0) return low;
    if (surplus(high) >= 0.0) return high;
    for (int i = 0; i < halvings; ++i) {
      const double middle = 0.5 * (low + high);
      (surplus(middle) > 0.0 ? low : high) = middle;
    }
    return low;
  }

  /// Shown pressure while cranking [Pa over ambient]: the controller lets it rise to what it asks for.
  double shown_cranking_Pa(const Drawn& d, double asked_Pa) const {
    return std::clamp(held_Pa(d) - atmosphere_Pa + d.offset_Pa, 0.0, asked_Pa);
  }

  /// Integral of V rho/K dp over what leaves, from one shown pressure to another.
  double leak_down_s(const Drawn& d, double from_Pa, double to_Pa) const {
    const rail::RailLiquid& fuel = charge_[d.fuel];
    const double first = from_Pa - d.offset_Pa + atmosphere_Pa;
    const double last = std::max(to_Pa - d.offset_Pa + atmosphere_Pa, lowest_Pa);
    if (first <= last) return no_number;
    const auto per_Pa = [&](double p) {
      const double valves =
          d.set.pump.drive.plungers * d.set.pump.delivery_leak_m2 * std::sqrt(2.0 * p * fuel.density_at(p));
      return d.set.pressed_volume_m3() * fuel.density_at(p) / (fuel.modulus_at(p) * (leaves_kg_per_s(d, p) + valves));
    };
    // Midpoints in ln p: the integrand goes as 1/p.
    const double step = std::log(first / last) / leak_down_steps;
    double time_s = 0.0;
    for (int k = 0; k < leak_down_steps; ++k) {
      const double p = last * std::exp((k + 0.5) * step);
      time_s += per_Pa(p) * p * step;
    }
    return time_s;
  }

  Foretold numbers(const Ask& ask) const {
    const Drawn d = draw(ask);
    const rail::RailLiquid& fuel = charge_[d.fuel];
    Foretold told(readings_.size(), no_number);
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      const Reading& reading = readings_[i];
      const double asked_Pa = reading.asked_Pa.value_or(d.set.idle_Pa - atmosphere_Pa);
      const bool cranking = reading.engine == system::EnginePoint::crank;
      // At idle the controller holds the shown pressure, so the true one is off by the sensor.
      const auto true_Pa = [&] {
        const double shown = cranking ? shown_cranking_Pa(d, asked_Pa) : asked_Pa;
        return std::max(shown - d.offset_Pa + atmosphere_Pa, lowest_Pa);
      };
      switch (reading.measure) {
        case Measure::rail_crank: told[i] = shown_cranking_Pa(d, asked_Pa); break;
        case Measure::leak_down: told[i] = leak_down_s(d, *reading.from_Pa, *reading.to_Pa); break;
        case Measure::rail_at_rest: told[i] = d.offset_Pa; break;
        case Measure::injector_return: {
          const double p = true_Pa();
          told[i] = d.static_factor[injector_[i]] * rail::static_m3_per_s_at(d.set.injector, p);
          if (!cranking) {
            told[i] +=
                d.set.shots_per_s(d.set.idle_rev_per_s) / d.set.cylinders * rail::control_m3_at(d.set.injector, p);
          }
          break;
        }
        case Measure::relief_return: {
          const double p = true_Pa();
          told[i] = d.relief_m2 * std::sqrt(2.0 * p * fuel.density_at(p)) / fuel.free_density_kg_per_m3;
          break;
        }
        default: break;
      }
    }
    return told;
  }

  const Tables& tables_;
  const std::vector<Reading>& readings_;
  std::uint64_t seed_;
  system::RailSide side_;
  std::vector<rail::RailLiquid> charge_;
  std::vector<rail::RailLiquid> gap_;
  std::vector<std::size_t> injector_;
  std::vector<TargetFaults> targets_;
  static constexpr std::size_t first_injector = 4;
  std::vector<std::string> nuisances_{"reading.plunger_clearance", "reading.rail_volume", "reading.crank_speed",
                                      "reading.injector_leak"};  // then one for each injector
};

}  // namespace

Result<std::unique_ptr<Foreteller>> high_side_foreteller(const Tables& tables, const std::vector<Reading>& readings,
                                                         const system::LineSheet& sheet, std::uint64_t seed) {
  auto teller = std::make_unique<HighSideForeteller>(tables, readings, seed);
  if (auto ready = teller->prepare(sheet); !ready) return fail(ready.error());
  return std::unique_ptr<Foreteller>(std::move(teller));
}

}  // namespace fw::diagnosis
