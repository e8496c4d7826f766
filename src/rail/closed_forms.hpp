// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "rail/gap.hpp"

/// Closed forms of rail and pipe: what a workshop reckons with, and what the transient model is held against.
namespace fw::rail {

/// Fuel [m3 at 0.1 MPa] to press a volume: V (rho(p)/rho(0.1 MPa) - 1). Errors: invalid_input.
/// Check: 80 cm3, 20 C, 25 MPa -> 1.211 cm3.
[[nodiscard]] Result<double> filling_volume_m3(const RailLiquid& liquid, double volume_m3, double pressure_Pa);

/// Build-up from a constant pump flow against a leak proportional to the pressure:
///   p = p_inf (1 - exp(-t/tau)), p_inf = Q/G, tau = V/(K G)
/// No time is given where the pressure is never reached. Errors: invalid_input.
/// Check: 2.124 cm3/s, 1.6 cm3/s at 25 MPa, 80 cm3, K 1.66 GPa: p_inf 33.2 MPa, 1.054 s to 25 MPa.
struct BuildUp {
  double pump_m3_per_s = required;
  double leak_m3_per_s_Pa = required;  ///< G
  double volume_m3 = required;
  double modulus_Pa = required;
};
struct BuildUpEnd {
  double end_Pa = required;  ///< p_inf; infinite without a leak
  std::optional<double> time_s;
};
[[nodiscard]] Result<BuildUpEnd> build_up(const BuildUp& rail, double pressure_Pa);

/// Leak-down of a shut rail through a gap (laminar, K = K0 + n p):
///   p = K0 p0 E/(K0 + n p0 (1 - E)), E = exp(-G K0 t/V)
/// Errors: invalid_input. Source: separation of dp/dt = -(G/V)(K0 + n p) p. Check: 60 cm3, 60 C, 40 -> 20 MPa in 10 s:
/// G 2.8075e-15 m3/s/Pa, then 10.67 MPa at 20 s.
[[nodiscard]] Result<double> gap_leak_down_Pa(const RailLiquid& liquid, double volume_m3, double leak_m3_per_s_Pa,
                                              double start_Pa, double time_s);
/// G [m3/s/Pa] from two readings. Errors: invalid_input, end above start.
struct LeakDownReading {
  double volume_m3 = required;
  double start_Pa = required;
  double end_Pa = required;
  double time_s = required;
};
[[nodiscard]] Result<double> gap_leak_m3_per_s_Pa(const RailLiquid& liquid, const LeakDownReading& reading);

/// Time [s] of a leak-down through an orifice at constant K and rho: (sqrt p0 - sqrt p1) V sqrt(2 rho)/(K CdA).
/// Errors: invalid_input. Check: 60 cm3, 1e-10 m2, K 1.5 GPa, 815 kg/m3, 40 -> 20 MPa: 29.92 s; empty: 102.1 s.
struct OrificeLeak {
  double volume_m3 = required;
  double leak_m2 = required;  ///< Cd A
  double modulus_Pa = required;
  double density_kg_per_m3 = required;
};
[[nodiscard]] Result<double> orifice_leak_down_s(const OrificeLeak& leak, double start_Pa, double end_Pa);

/// Pressure [Pa/K] that a shut rail loses by cooling: K (a_fuel - 3 a_steel). a_steel 11.5e-6 1/K (from memory).
/// Errors: invalid_input. Check: 60 C, 30 MPa: 1.0 MPa/K (3 %).
[[nodiscard]] Result<double> cooling_loss_Pa_per_K(const RailLiquid& liquid, double pressure_Pa,
                                                   double steel_expansion_per_K = 11.5e-6);

/// A thick pipe of steel.
struct FeedPipe {
  double length_m = required;
  double bore_m = required;
  double outer_m = required;
  Steel steel{};
  [[nodiscard]] double area_m2() const;
};
void check_pipe(InputCheck& check, const FeedPipe& pipe, const std::string& name);

/// Wave speed [m/s]: sqrt(K/rho)/sqrt(1 + psi K/E), psi = 2 [(ro^2 + ri^2)/(ro^2 - ri^2) + nu]. Errors: invalid_input.
/// Check: 100 MPa, 40 C, 2.4 x 6 mm: 1625.4 m/s.
[[nodiscard]] Result<double> pipe_wave_speed_m_per_s(const FeedPipe& pipe, const RailLiquid& liquid,
                                                     double pressure_Pa);

/// First natural frequency [Hz] of a pipe open to the rail and shut by a volume: beta tan(beta) = A L/V,
/// f = beta a/(2 pi L); without a volume a/(4 L). Errors: invalid_input.
/// Check: 0.4 m, 1500 m/s: 937.5 Hz; 0.25 m, 2.4 mm, 2 cm3: 657.0 Hz.
struct PipeEnd {
  double length_m = required;
  double area_m2 = required;
  double wave_speed_m_per_s = required;
  double volume_m3 = 0.0;
};
[[nodiscard]] Result<double> pipe_frequency_Hz(const PipeEnd& pipe);

/// Gains of a PI controller of rail pressure that commands a flow: Kp = 2 zeta omega V/K, Ki = omega^2 V/K.
/// Check: 60 cm3, 1.8 GPa, 10 1/s, 0.9: 0.060 cm3/s/bar, 0.333 cm3/s/(bar s). Errors: invalid_input.
struct PiGains {
  double proportional_m3_per_s_Pa = required;
  double integral_m3_per_s2_Pa = required;
};
struct PiAim {
  double volume_m3 = required;
  double modulus_Pa = required;
  double omega_per_s = 10.0;
  double damping = 0.9;
};
[[nodiscard]] Result<PiGains> pi_gains(const PiAim& aim);

/// Rail pressure [Pa] of two bytes of a scan reading, 10 kPa per bit (SAE J1979 PID 0x23, from memory).
/// Check: 0x46 0x50 -> 180 MPa.
[[nodiscard]] double rail_pressure_of_scan_Pa(unsigned char high, unsigned char low);

/// Rail pressure [Pa] of a ratiometric sensor, 10 to 90 % of its supply: FS (V/Vs - 0.1)/0.8. Errors: invalid_input
/// outside the supply. Check: FS 220 MPa, 2.0 of 5 V: 82.5 MPa.
[[nodiscard]] Result<double> rail_pressure_of_sensor_Pa(double full_scale_Pa, double signal_V, double supply_V = 5.0);

}  // namespace fw::rail
