// SPDX-License-Identifier: Apache-2.0
#include "rail/closed_forms.hpp"

#include <cmath>
#include <limits>
#include <numbers>

#include <fmt/format.h>

#include "numerics/roots.hpp"

namespace fw::rail {

Result<double> filling_volume_m3(const RailLiquid& liquid, double volume_m3, double pressure_Pa) {
  InputCheck check;
  check_liquid(check, liquid);
  check.positive(volume_m3, "volume_m3").non_negative(pressure_Pa, "pressure_Pa");
  if (check.failed()) return check.fault();
  return volume_m3 * (liquid.density_at(pressure_Pa) / liquid.density_at(1e5) - 1.0);
}

Result<BuildUpEnd> build_up(const BuildUp& rail, double pressure_Pa) {
  InputCheck check;
  check.positive(rail.pump_m3_per_s, "rail.pump_m3_per_s")
      .non_negative(rail.leak_m3_per_s_Pa, "rail.leak_m3_per_s_Pa")
      .positive(rail.volume_m3, "rail.volume_m3")
      .positive(rail.modulus_Pa, "rail.modulus_Pa")
      .non_negative(pressure_Pa, "pressure_Pa");
  if (check.failed()) return check.fault();
  if (rail.leak_m3_per_s_Pa == 0.0) {
    return BuildUpEnd{.end_Pa = std::numeric_limits<double>::infinity(),
                      .time_s = pressure_Pa * rail.volume_m3 / (rail.modulus_Pa * rail.pump_m3_per_s)};
  }
  BuildUpEnd end{.end_Pa = rail.pump_m3_per_s / rail.leak_m3_per_s_Pa};
  if (pressure_Pa < end.end_Pa) {
    const double tau_s = rail.volume_m3 / (rail.modulus_Pa * rail.leak_m3_per_s_Pa);
    end.time_s = -tau_s * std::log1p(-pressure_Pa / end.end_Pa);
  }
  return end;
}

Result<double> gap_leak_down_Pa(const RailLiquid& liquid, double volume_m3, double leak_m3_per_s_Pa, double start_Pa,
                                double time_s) {
  InputCheck check;
  check_liquid(check, liquid);
  check.positive(volume_m3, "volume_m3")
      .non_negative(leak_m3_per_s_Pa, "leak_m3_per_s_Pa")
      .non_negative(start_Pa, "start_Pa")
      .non_negative(time_s, "time_s");
  if (check.failed()) return check.fault();
  const double k0 = liquid.modulus_Pa;
  const double e = std::exp(-leak_m3_per_s_Pa * k0 * time_s / volume_m3);
  return k0 * start_Pa * e / (k0 + liquid.modulus_slope * start_Pa * (1.0 - e));
}

Result<double> gap_leak_m3_per_s_Pa(const RailLiquid& liquid, const LeakDownReading& reading) {
  InputCheck check;
  check_liquid(check, liquid);
  check.positive(reading.volume_m3, "reading.volume_m3")
      .positive(reading.start_Pa, "reading.start_Pa")
      .positive(reading.end_Pa, "reading.end_Pa")
      .positive(reading.time_s, "reading.time_s");
  if (check.failed()) return check.fault();
  if (reading.end_Pa > reading.start_Pa) {
    return invalid("reading.end_Pa", fmt::format("{:.6g} Pa", reading.end_Pa),
                   fmt::format("at most {:.6g} Pa, the start", reading.start_Pa), "Shut the engine off first");
  }
  const double k0 = liquid.modulus_Pa;
  const double n = liquid.modulus_slope;
  const double x = reading.end_Pa * (k0 + n * reading.start_Pa) / (reading.start_Pa * (k0 + n * reading.end_Pa));
  return -reading.volume_m3 / (k0 * reading.time_s) * std::log(x);
}

Result<double> orifice_leak_down_s(const OrificeLeak& leak, double start_Pa, double end_Pa) {
  InputCheck check;
  check.positive(leak.volume_m3, "leak.volume_m3")
      .positive(leak.leak_m2, "leak.leak_m2")
      .positive(leak.modulus_Pa, "leak.modulus_Pa")
      .positive(leak.density_kg_per_m3, "leak.density_kg_per_m3")
      .non_negative(start_Pa, "start_Pa")
      .within(end_Pa, {.low = 0.0, .high = start_Pa}, "end_Pa");
  if (check.failed()) return check.fault();
  return (std::sqrt(start_Pa) - std::sqrt(end_Pa)) * leak.volume_m3 * std::sqrt(2.0 * leak.density_kg_per_m3) /
         (leak.modulus_Pa * leak.leak_m2);
}

Result<double> cooling_loss_Pa_per_K(const RailLiquid& liquid, double pressure_Pa, double steel_expansion_per_K) {
  InputCheck check;
  check_liquid(check, liquid);
  check.non_negative(pressure_Pa, "pressure_Pa").non_negative(steel_expansion_per_K, "steel_expansion_per_K");
  if (check.failed()) return check.fault();
  return liquid.modulus_at(pressure_Pa) * (liquid.expansion_per_K - 3.0 * steel_expansion_per_K);
}

double FeedPipe::area_m2() const { return 0.25 * std::numbers::pi * bore_m * bore_m; }

void check_pipe(InputCheck& check, const FeedPipe& pipe, const std::string& name) {
  check.positive(pipe.length_m, name + ".length_m")
      .positive(pipe.bore_m, name + ".bore_m")
      .positive(pipe.outer_m, name + ".outer_m")
      .positive(pipe.steel.young_Pa, name + ".steel.young_Pa")
      .within(pipe.steel.poisson, {.low = 0.0, .high = 0.5}, name + ".steel.poisson");
  if (check.failed()) return;
  check.that(pipe.outer_m > pipe.bore_m, name + ".outer_m", fmt::format("{:.6g} m", pipe.outer_m),
             fmt::format("above the bore, {:.6g} m", pipe.bore_m));
}

Result<double> pipe_wave_speed_m_per_s(const FeedPipe& pipe, const RailLiquid& liquid, double pressure_Pa) {
  InputCheck check;
  check_pipe(check, pipe, "pipe");
  check_liquid(check, liquid);
  check.non_negative(pressure_Pa, "pressure_Pa");
  if (check.failed()) return check.fault();
  const double outer = pipe.outer_m * pipe.outer_m;
  const double inner = pipe.bore_m * pipe.bore_m;
  const double psi = 2.0 * ((outer + inner) / (outer - inner) + pipe.steel.poisson);
  const double k = liquid.modulus_at(pressure_Pa);
  return std::sqrt(k / liquid.density_at(pressure_Pa) / (1.0 + psi * k / pipe.steel.young_Pa));
}

Result<double> pipe_frequency_Hz(const PipeEnd& pipe) {
  InputCheck check;
  check.positive(pipe.length_m, "pipe.length_m")
      .positive(pipe.area_m2, "pipe.area_m2")
      .positive(pipe.wave_speed_m_per_s, "pipe.wave_speed_m_per_s")
      .non_negative(pipe.volume_m3, "pipe.volume_m3");
  if (check.failed()) return check.fault();
  if (pipe.volume_m3 == 0.0) return pipe.wave_speed_m_per_s / (4.0 * pipe.length_m);
  const double ratio = pipe.area_m2 * pipe.length_m / pipe.volume_m3;
  // beta sin(beta) - ratio cos(beta) is continuous over the whole bracket, unlike beta tan(beta).
  const auto root = numerics::brent([&](double b) { return b * std::sin(b) - ratio * std::cos(b); },
                                    {.low = 0.0, .high = 0.5 * std::numbers::pi});
  return root.x * pipe.wave_speed_m_per_s / (2.0 * std::numbers::pi * pipe.length_m);
}

Result<PiGains> pi_gains(const PiAim& aim) {
  InputCheck check;
  check.positive(aim.volume_m3, "aim.volume_m3")
      .positive(aim.modulus_Pa, "aim.modulus_Pa")
      .positive(aim.omega_per_s, "aim.omega_per_s")
      .positive(aim.damping, "aim.damping");
  if (check.failed()) return check.fault();
  const double capacity = aim.volume_m3 / aim.modulus_Pa;
  return PiGains{.proportional_m3_per_s_Pa = 2.0 * aim.damping * aim.omega_per_s * capacity,
                 .integral_m3_per_s2_Pa = aim.omega_per_s * aim.omega_per_s * capacity};
}

double rail_pressure_of_scan_Pa(unsigned char high, unsigned char low) { return (256.0 * high + low) * 1e4; }

Result<double> rail_pressure_of_sensor_Pa(double full_scale_Pa, double signal_V, double supply_V) {
  InputCheck check;
  check.positive(full_scale_Pa, "full_scale_Pa").positive(supply_V, "supply_V");
  if (check.failed()) return check.fault();
  check.within(signal_V, {.low = 0.0, .high = supply_V}, "signal_V");
  if (check.failed()) return check.fault();
  return full_scale_Pa * (signal_V / supply_V - 0.1) / 0.8;
}

}  // namespace fw::rail
