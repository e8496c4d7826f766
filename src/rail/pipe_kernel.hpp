// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

/// The loops over the cells of a PipeGroup as plain data and pointers, so that they can be compiled once per
/// instruction set. Theory: docs/theory/rail.md, Waves. Every way gives the same bits.
namespace fw::rail::kernel {

constexpr std::size_t curve_terms = 8;
constexpr std::size_t widest_lane = 8;

/// Sound speed as a polynomial of the density; impedance, modulus and pressure follow from it (WaveCurve).
struct Curve {
  double scale = 0.0;  ///< t = scale rho - shift
  double shift = 0.0;
  double sound_m_per_s[curve_terms]{};  ///< c = sum sound t^k
  double modulus_Pa = 0.0;              ///< K0; p = (rho c^2 - K0)/n
  double inverse_slope = 0.0;           ///< 1/n
  double vapour_density_kg_per_m3 = 0.0;
  double vapour_sound_m_per_s = 0.0;          ///< below that density p = rho c^2
  double liquid_impedance = 0.0;              ///< rho c of the liquid at the vapour pressure [kg/(m2 s)]
  double liquid_inverse_sound_squared = 0.0;  ///< 1/c^2 of it [s2/m2]
};

/// State of a pipe's end half a step ahead, at the edge of its last cell.
struct End {
  double density = 0.0;
  double velocity = 0.0;  ///< along the pipe
  double pressure = 0.0;
};

/// Cells of all pipes side by side, one ghost at each end of each; every field may be read one cell before its begin
/// and `widest_lane` behind its end. A face i lies between the cells i and i + 1.
struct Fields {
  std::size_t size = 0;  ///< whole multiple of 2 widest_lane
  Curve curve{};
  double* density = nullptr;
  double* momentum = nullptr;
  double* velocity = nullptr;
  double* pressure = nullptr;
  double* sound = nullptr;
  double* inverse_density = nullptr;
  double* inverse_sound_squared = nullptr;  ///< d(rho)/dp of the liquid, in a void too
  double* friction = nullptr;               ///< deceleration, that of the changes left out
  double* mass_flux = nullptr;
  double* momentum_flux = nullptr;
  double* ratio = nullptr;      ///< step over cell length; 0 in ghosts and behind the end
  float* change = nullptr;      ///< of the velocity over the last step
  float* memory_sum = nullptr;  ///< deceleration by the changes
  float* memory = nullptr;  ///< [term][cell], terms `stride` apart; single precision is 1e5 finer than the sum itself
  std::size_t stride = 0;
  std::size_t terms = 0;
  const float* decay = nullptr;
  const float* gain = nullptr;
  float gain_at_once = 0.0F;              ///< of the terms that decay within a step
  End* end = nullptr;                     ///< left and right end of each pipe
  const std::size_t* end_cell = nullptr;  ///< rising; behind the last one a number beyond all cells
  double step_over_cell = 0.0;
  double half_step_s = 0.0;
  double cell_m = 0.0;
  bool viscous = false;
  double laminar_per_s = 0.0;     ///< 32 nu/D^2
  double critical_m_per_s = 0.0;  ///< above: Blasius
  double reynolds_s_per_m = 0.0;  ///< D/nu
  double turbulent_per_m = 0.0;   ///< 0.316/(2 D)
};

struct Kernel {
  /// Sound speed, pressure, velocity and friction of the cells as they stand.
  void (*refresh)(const Fields& fields);
  /// Edges half a step ahead and the fluxes between cells.
  void (*half_step)(const Fields& fields);
  /// Cells a step ahead with all that refresh() sets. Returns the largest Courant number of the new state.
  double (*finish)(const Fields& fields);
  /// Pressures of `count` densities, `count` a whole multiple of widest_lane.
  void (*pressures)(const Curve& curve, const double* density, double* pressure, std::size_t count);
};

/// Of one density; the bits of Kernel::pressures.
[[nodiscard]] double pressure_Pa(const Curve& curve, double density_kg_per_m3);

/// The widest that this processor has.
[[nodiscard]] Kernel widest_kernel();
/// One number at a time: the reference, and the only way on other processors.
[[nodiscard]] Kernel scalar_kernel();
/// Two numbers at a time, which every x86-64 has.
[[nodiscard]] Kernel baseline_kernel();
[[nodiscard]] Kernel four_lane_kernel();
[[nodiscard]] Kernel eight_lane_kernel();

}  // namespace fw::rail::kernel
