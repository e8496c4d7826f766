// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "rail/closed_forms.hpp"
#include "rail/friction_memory.hpp"
#include "rail/pipe_kernel.hpp"

/// Waves in equal pipes, side by side in memory: conservative, second order, cavitation-safe.
namespace fw::rail {

enum class PipeSide : unsigned char { left, right };

/// Friction of the pipes.
enum class PipeFriction : unsigned char {
  none,
  steady,  ///< 64/Re below 2000, 0.316 Re^-0.25 above
  memory,  ///< with the friction of changes; first order in time
};

/// Instruction set of the loops over cells; all give the same bits.
enum class PipeLanes : unsigned char {
  automatic,  ///< the widest that this processor has
  scalar,
  baseline,
  four,
  eight,
};
[[nodiscard]] bool pipe_lanes_available(PipeLanes lanes);

struct PipeGroupOptions {
  std::size_t pipes = 1;
  std::size_t cells = 10;
  double step_s = required;
  double start_Pa = required;
  double viscosity_Pa = required;  ///< pressure for which the kinematic viscosity is taken
  PipeFriction friction = PipeFriction::memory;
  PipeLanes lanes = PipeLanes::automatic;  ///< precondition: pipe_lanes_available
};

/// Mass and momentum of a barotropic liquid,
///   (rho)_t + (rho u)_x = 0,  (rho u)_t + (rho u^2 + p)_x = -rho F(u),  p = p(rho)
/// by linear reconstruction with the monotonised central limiter, a half step of each cell (Hancock) and the acoustic
/// solution at each face, with the impedances of the cells at the step's start. The wall's give is a softer liquid in a
/// rigid pipe: the modulus of the closed form is fitted to 1/(1/K + psi/E) at 20 and 170 MPa (wave speed within 0.3 %
/// to 180 MPa). Below the vapour pressure p falls in proportion to rho, so no absolute pressure is negative and the
/// void is kept as missing density. Both sums are conserved to rounding, but for the ends. Second order in smooth flow
/// without memory; across fronts first order (convergence tables: docs/theory/rail.md). Source: B. van Leer, SIAM J.
/// Sci. Stat. Comput. 5 (1984) 1 (Hancock's half step); E. F. Toro, Riemann Solvers (2009). One step: half_step(), then
/// one end_... call for each end of each pipe, then finish(). No allocation after make().
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
  /// Every field lies behind the one before, each with room for a whole lane on both sides.
  enum Field : std::size_t {
    density,
    momentum,
    velocity,
    pressure,
    sound,
    inverse_density,
    inverse_sound_squared,
    friction,
    mass_flux,
    momentum_flux,
    ratio,
    field_count,
  };
  struct alignas(64) Block {
    double number[kernel::widest_lane];
  };
  struct alignas(64) SingleBlock {
    float number[2 * kernel::widest_lane];
  };
  [[nodiscard]] std::size_t first(std::size_t pipe) const { return pipe * (options_.cells + 2) + 1; }
  [[nodiscard]] double* at(std::size_t field) {
    return storage_.front().number + field * stride_ + kernel::widest_lane;
  }
  [[nodiscard]] const double* at(std::size_t field) const {
    return storage_.front().number + field * stride_ + kernel::widest_lane;
  }
  void bind();
  struct Face {
    std::size_t flux;                        // index of the face
    std::size_t cell;                        // beside it
    double density, velocity_out, pressure;  // inside state, velocity out of the pipe
    double sign;                             // +1 at the right end
  };
  [[nodiscard]] Face inside(std::size_t pipe, PipeSide side) const;
  double close_end(const Face& face, double out_m_per_s, double end_Pa, double node_density);

  PipeGroupOptions options_{};
  RailLiquid liquid_{};  // with the wall's give
  double area_m2_ = 0.0;
  double dx_m_ = 0.0;
  kernel::Kernel kernel_{};
  kernel::Fields fields_{};          // points into storage_ after bind()
  std::vector<float> decay_, gain_;  // of the terms that outlast a step; deceleration per change of velocity
  std::vector<kernel::End> ends_;
  std::vector<std::size_t> end_cell_;
  std::vector<Block> storage_;
  std::vector<SingleBlock> singles_;  // change of the velocity, sum and terms of memory
  std::size_t stride_ = 0;
  bool stale_ = true;  // cells were set and their pressures are not known
};

}  // namespace fw::rail
