// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "rail/closed_forms.hpp"
#include "rail/friction_memory.hpp"

/// Waves in equal pipes, side by side in memory: conservative, second order, cavitation-safe.
namespace fw::rail {

enum class PipeSide : unsigned char { left, right };

/// Friction of the pipes.
enum class PipeFriction : unsigned char {
  none,
  steady,  ///< 64/Re below 2000, 0.316 Re^-0.25 above
  memory,  ///< with the friction of changes; first order in time
};

struct PipeGroupOptions {
  std::size_t pipes = 1;
  std::size_t cells = 10;
  double step_s = required;
  double start_Pa = required;
  double viscosity_Pa = required;  ///< pressure for which the kinematic viscosity is taken
  PipeFriction friction = PipeFriction::memory;
};

/// Mass and momentum of a barotropic liquid,
///   (rho)_t + (rho u)_x = 0,  (rho u)_t + (rho u^2 + p)_x = -rho F(u),  p = p(rho)
/// by linear reconstruction with the monotonised central limiter, a half step of each cell (Hancock) and the acoustic
/// solution at each face. The wall's give is a softer liquid in a rigid pipe: the modulus of the closed form is fitted
/// to 1/(1/K + psi/E) at 20 and 170 MPa (wave speed within 0.3 % to 180 MPa). Below the vapour pressure p falls in
/// proportion to rho, so no absolute pressure is negative and the void is kept as missing density. Both sums are
/// conserved to rounding, but for the ends. Second order in smooth flow without memory; across fronts first order
/// (convergence tables: docs/theory/rail.md). Source: B. van Leer, SIAM J. Sci. Stat. Comput. 5 (1984) 1 (Hancock's
/// half step); E. F. Toro, Riemann Solvers (2009). One step: half_step(), then one end_... call for each end of each
/// pipe, then finish(). No allocation after make().
class PipeGroup {
 public:
  /// Errors: invalid_input naming `pipe...`, `liquid...`, `options...`.
  [[nodiscard]] static Result<PipeGroup> make(const FeedPipe& pipe, const RailLiquid& liquid,
                                              const PipeGroupOptions& options);

  /// Cells half a step ahead, and the faces between them.
  void half_step();
  /// End at a node of pressure `node_Pa` through a throttle Cd A (0: none). Returns the mass flow into the pipe [kg/s].
  double end_at_pressure(std::size_t pipe, PipeSide side, double node_Pa, double throttle_m2 = 0.0);
  /// End with a mass flow into the pipe [kg/s]. Returns the pressure there [Pa].
  double end_with_flow(std::size_t pipe, PipeSide side, double into_kg_per_s);
  /// Advances by the step. Returns the largest Courant number seen.
  double finish();

  [[nodiscard]] std::size_t pipes() const { return options_.pipes; }
  [[nodiscard]] std::size_t cells() const { return options_.cells; }
  [[nodiscard]] double mass_kg() const;  ///< of all pipes
  [[nodiscard]] double momentum_kg_m_per_s() const;
  [[nodiscard]] double pressure_Pa(std::size_t pipe, std::size_t cell) const;
  [[nodiscard]] double velocity_m_per_s(std::size_t pipe, std::size_t cell) const;
  [[nodiscard]] double lowest_Pa() const;  ///< over all cells
  [[nodiscard]] const RailLiquid& effective_liquid() const { return liquid_; }
  /// For tests and starts: sets a cell.
  void set_cell(std::size_t pipe, std::size_t cell, double pressure_Pa, double velocity_m_per_s);

 private:
  PipeGroup() = default;
  [[nodiscard]] std::size_t first(std::size_t pipe) const { return pipe * (options_.cells + 2) + 1; }
  void equation_of_state();
  struct Face {
    std::size_t at;                                         // face index
    double density, velocity_out, pressure, sound_squared;  // inside state, velocity out of the pipe
    double sign;                                            // +1 at the right end
  };
  [[nodiscard]] Face inside(std::size_t pipe, PipeSide side) const;
  double close_end(const Face& face, double out_m_per_s, double end_Pa, double node_density);

  PipeGroupOptions options_{};
  RailLiquid liquid_{};  // with the wall's give
  double area_m2_ = 0.0;
  double dx_m_ = 0.0;
  double bore_m_ = 0.0;
  double kinematic_viscosity_m2_per_s_ = 0.0;
  PressureSeries series_{};
  std::vector<double> density_, momentum_;                   // per cell with one ghost each side
  std::vector<double> velocity_, pressure_, sound_squared_;  // of the step's start
  std::vector<double> half_density_, half_velocity_, half_pressure_;
  std::vector<double> slope_density_, slope_velocity_, friction_;
  std::vector<double> mass_flux_, momentum_flux_;  // face i lies between cells i and i + 1, per area
  MemoryStep memory_;
  std::vector<double> memory_terms_;  // [term][cell]
};

}  // namespace fw::rail
