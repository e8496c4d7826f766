// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "base/required.hpp"
#include "rail/friction_memory.hpp"

/// One pipe at constant wave speed by the method of characteristics: the oracle of the conservative scheme.
namespace fw::rail {

struct CharacteristicPipe {
  enum class Friction { none, darcy, laminar };
  double length_m = required;
  double bore_m = required;
  double wave_speed_m_per_s = required;
  double density_kg_per_m3 = required;
  int reaches = 20;
  Friction friction = Friction::none;
  double darcy_factor = 0.0;                  ///< darcy: constant f
  double kinematic_viscosity_m2_per_s = 0.0;  ///< laminar
  bool memory = false;                        ///< laminar: with the friction of changes
};

/// What a pipe end says of its pressure: p = base + slope Q with Q into the pipe's direction (left to right).
struct EndRelation {
  double base_Pa = required;
  double slope_Pa_s_per_m3 = required;  ///< positive at the left end, negative at the right end
};

/// p_t + rho a^2 u_x = 0, rho u_t + p_x + friction = 0 on C+ and C- with dx = a dt:
///   p_P = p_A + Z Q_A - (Z + R|Q_A|) Q_P and its mirror, Z = rho a/A; laminar: R|Q| becomes 32 rho nu dx/(D^2 A).
/// Second order without the memory, first order with it. No cavitation, no change of the wave speed.
/// Source: Wylie & Streeter, Fluid Transients in Systems (1993). Check: exact step of the high-pressure page, tables of
/// valve closure, Allievi and the laminar line (characteristics_test.cpp).
class CharacteristicLine {
 public:
  /// Errors: invalid_input naming `pipe...`.
  [[nodiscard]] static Result<CharacteristicLine> make(const CharacteristicPipe& pipe);

  [[nodiscard]] double time_step_s() const { return step_s_; }
  /// Steady flow from the left; pressures fall by the friction.
  void set_steady(double left_Pa, double flow_m3_per_s);
  /// Advances the inside and gives the relations of the new ends; then set_left and set_right finish the step.
  void advance();
  [[nodiscard]] EndRelation left() const { return left_; }
  [[nodiscard]] EndRelation right() const { return right_; }
  void set_left(double pressure_Pa, double flow_m3_per_s);
  void set_right(double pressure_Pa, double flow_m3_per_s);

  [[nodiscard]] const std::vector<double>& pressure_Pa() const { return pressure_; }
  [[nodiscard]] const std::vector<double>& flow_m3_per_s() const { return flow_; }

 private:
  CharacteristicLine() = default;
  [[nodiscard]] double friction_slope(double flow) const;
  [[nodiscard]] double memory_drop(std::size_t i) const;

  CharacteristicPipe pipe_;
  double step_s_ = 0.0;
  double impedance_ = 0.0;
  double resistance_ = 0.0;     // R of darcy, or the laminar slope
  double memory_factor_ = 0.0;  // Pa per (m/s) of the sum of the memory
  double area_m2_ = 0.0;
  MemoryStep memory_;
  std::vector<double> pressure_, flow_, next_pressure_, next_flow_;
  std::vector<double> terms_;  // [point][term]
  EndRelation left_{}, right_{};
};

}  // namespace fw::rail
