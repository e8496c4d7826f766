// SPDX-License-Identifier: Apache-2.0
#include "rail/pipe_group.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::rail {

namespace {

constexpr double turbulent_reynolds = 2000.0;
constexpr double forgotten = 1e-12;  // a term that keeps less than this of itself over a step has no memory

PipeLanes widest_lanes() {
#if defined(__x86_64__)
  if (__builtin_cpu_supports("x86-64-v4") != 0) return PipeLanes::eight;
  if (__builtin_cpu_supports("x86-64-v3") != 0) return PipeLanes::four;
  return PipeLanes::baseline;
#else
  return PipeLanes::scalar;
#endif
}

kernel::Kernel kernel_of(PipeLanes lanes) {
  switch (lanes) {
    case PipeLanes::automatic: return kernel_of(widest_lanes());
    case PipeLanes::scalar: break;
#if defined(__x86_64__)
    case PipeLanes::baseline: return kernel::baseline_kernel();
    case PipeLanes::four: return kernel::four_lane_kernel();
    case PipeLanes::eight: return kernel::eight_lane_kernel();
#else
    case PipeLanes::baseline:
    case PipeLanes::four:
    case PipeLanes::eight: break;
#endif
  }
  return kernel::scalar_kernel();
}

}  // namespace

kernel::Kernel kernel::widest_kernel() { return kernel_of(PipeLanes::automatic); }

bool pipe_lanes_available(PipeLanes lanes) {
  switch (lanes) {
    case PipeLanes::automatic:
    case PipeLanes::scalar: return true;
#if defined(__x86_64__)
    case PipeLanes::baseline: return true;
    case PipeLanes::four: return __builtin_cpu_supports("x86-64-v3") != 0;
    case PipeLanes::eight: return __builtin_cpu_supports("x86-64-v4") != 0;
#else
    case PipeLanes::baseline:
    case PipeLanes::four:
    case PipeLanes::eight: break;
#endif
  }
  return false;
}

Result<PipeGroup> PipeGroup::make(const FeedPipe& pipe, const RailLiquid& liquid, const PipeGroupOptions& options) {
  InputCheck check;
  check_pipe(check, pipe, "pipe");
  check_liquid(check, liquid);
  check.positive(options.step_s, "options.step_s")
      .positive(options.start_Pa, "options.start_Pa")
      .positive(options.viscosity_Pa, "options.viscosity_Pa")
      .that(options.pipes >= 1 && options.pipes <= 64, "options.pipes", fmt::format("{}", options.pipes), "1 to 64")
      .that(options.cells >= 3 && options.cells <= 100000, "options.cells", fmt::format("{}", options.cells),
            "3 to 100000");
  if (check.failed()) return check.fault();
  FW_EXPECTS(pipe_lanes_available(options.lanes));

  PipeGroup group;
  group.options_ = options;
  group.area_m2_ = pipe.area_m2();
  group.dx_m_ = pipe.length_m / static_cast<double>(options.cells);
  group.liquid_ = liquid;
  constexpr double low_Pa = 20e6;
  constexpr double high_Pa = 170e6;
  const auto soft = [&](double pressure_Pa) {
    const auto speed = pipe_wave_speed_m_per_s(pipe, liquid, pressure_Pa);
    return *speed * *speed * liquid.density_at(pressure_Pa);
  };
  group.liquid_.modulus_slope = (soft(high_Pa) - soft(low_Pa)) / (high_Pa - low_Pa);
  group.liquid_.modulus_Pa = soft(low_Pa) - group.liquid_.modulus_slope * low_Pa;
  group.kernel_ = kernel_of(options.lanes);

  kernel::Fields& fields = group.fields_;
  fields.curve = WaveCurve(group.liquid_).curve();
  fields.step_over_cell = options.step_s / group.dx_m_;
  fields.half_step_s = 0.5 * options.step_s;
  fields.cell_m = group.dx_m_;
  const double nu = liquid.viscosity_at(options.viscosity_Pa) / liquid.density_at(options.viscosity_Pa);
  const double bore_m = pipe.bore_m;
  if (options.friction != PipeFriction::none) {
    fields.viscous = true;
    fields.laminar_per_s = 32.0 * nu / (bore_m * bore_m);
    fields.critical_m_per_s = turbulent_reynolds * nu / bore_m;
    fields.reynolds_s_per_m = bore_m / nu;
    fields.turbulent_per_m = 0.316 / (2.0 * bore_m);
  }
  if (options.friction == PipeFriction::memory) {
    const double dtau = nu * options.step_s / (0.25 * bore_m * bore_m);
    const auto memory = friction_memory(std::min(1.0, dtau));
    if (!memory) return fail(memory.error().in_field("options.step_s"));
    const MemoryStep step = memory_step(*memory, dtau);
    const double factor = 16.0 * nu / (bore_m * bore_m);
    double at_once = 0.0;
    for (std::size_t k = 0; k < step.decay.size(); ++k) {
      if (step.decay[k] < forgotten) {
        at_once += factor * step.gain[k];
        continue;
      }
      group.decay_.push_back(static_cast<float>(step.decay[k]));
      group.gain_.push_back(static_cast<float>(factor * step.gain[k]));
    }
    fields.gain_at_once = static_cast<float>(at_once);
  }

  constexpr std::size_t lane = kernel::widest_lane;
  const std::size_t cells = options.pipes * (options.cells + 2);
  fields.size = (cells + 2 * lane - 1) / (2 * lane) * (2 * lane);
  group.stride_ = fields.size + 2 * lane;
  group.storage_.assign(field_count * group.stride_ / lane, Block{});
  group.singles_.assign((2 + group.decay_.size()) * fields.size / (2 * lane), SingleBlock{});
  // Behind the end stands liquid at rest, so that whole lanes can be reckoned.
  const auto fill = [&](Field field, double value) { std::fill_n(group.at(field) - lane, group.stride_, value); };
  fill(density, group.liquid_.density_at(options.start_Pa));
  fill(sound, 1.0);
  fill(inverse_density, 1.0);
  fill(inverse_sound_squared, 1.0);
  for (std::size_t i = 0; i < options.pipes; ++i) {
    std::fill_n(group.at(ratio) + group.first(i), options.cells, fields.step_over_cell);
    group.end_cell_.push_back(group.first(i));
    group.end_cell_.push_back(group.first(i) + options.cells - 1);
  }
  group.end_cell_.push_back(std::numeric_limits<std::size_t>::max());
  group.ends_.resize(2 * options.pipes);
  return group;
}

void PipeGroup::bind() {
  kernel::Fields& f = fields_;
  if (f.density == at(density)) return;
  f.density = at(density);
  f.momentum = at(momentum);
  f.velocity = at(velocity);
  f.pressure = at(pressure);
  f.sound = at(sound);
  f.inverse_density = at(inverse_density);
  f.inverse_sound_squared = at(inverse_sound_squared);
  f.friction = at(friction);
  f.mass_flux = at(mass_flux);
  f.momentum_flux = at(momentum_flux);
  f.ratio = at(ratio);
  f.change = singles_.front().number;
  f.memory_sum = f.change + f.size;
  f.memory = f.memory_sum + f.size;
  f.stride = f.size;
  f.terms = decay_.size();
  f.decay = decay_.data();
  f.gain = gain_.data();
  f.end = ends_.data();
  f.end_cell = end_cell_.data();
}

void PipeGroup::half_step() {
  bind();
  if (stale_) {
    kernel_.refresh(fields_);
    stale_ = false;
  }
  // Ghosts continue the last difference, so that the end cells keep a central slope; beside a void they repeat the
  // cell.
  double* rho = fields_.density;
  double* u = fields_.velocity;
  const double wet = fields_.curve.vapour_density_kg_per_m3;
  const auto continue_to = [&](std::size_t ghost, std::size_t end, std::size_t inner) {
    const double share = rho[end] >= wet && rho[inner] >= wet ? 1.0 : 0.0;
    rho[ghost] = rho[end] + share * (rho[end] - rho[inner]);
    u[ghost] = u[end] + share * (u[end] - u[inner]);
  };
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    const std::size_t a = first(pipe);
    const std::size_t b = a + options_.cells - 1;
    continue_to(a - 1, a, a + 1);
    continue_to(b + 1, b, b - 1);
  }
  kernel_.half_step(fields_);
}

PipeGroup::Face PipeGroup::inside(std::size_t pipe, PipeSide side) const {
  const bool left = side == PipeSide::left;
  const std::size_t cell = left ? first(pipe) : first(pipe) + options_.cells - 1;
  const double sign = left ? -1.0 : 1.0;
  const kernel::End& end = ends_[2 * pipe + (left ? 0 : 1)];
  return {.flux = left ? cell - 1 : cell,
          .cell = cell,
          .density = end.density,
          .velocity_out = sign * end.velocity,
          .pressure = end.pressure,
          .sign = sign};
}

double PipeGroup::close_end(const Face& face, double out_m_per_s, double end_Pa, double node_density) {
  const double own =
      std::max(0.5 * face.density, face.density + (end_Pa - face.pressure) * fields_.inverse_sound_squared[face.cell]);
  const double carried = out_m_per_s >= 0.0 ? own : node_density;
  const double flow = carried * out_m_per_s;
  fields_.mass_flux[face.flux] = face.sign * flow;
  fields_.momentum_flux[face.flux] = flow * out_m_per_s + end_Pa;
  return -flow * area_m2_;
}

double PipeGroup::end_at_pressure(std::size_t pipe, PipeSide side, double node_Pa, double throttle_m2) {
  const Face face = inside(pipe, side);
  // Into a void the node's liquid comes against its own impedance.
  const kernel::Curve& curve = fields_.curve;
  const bool wet = fields_.density[face.cell] >= curve.vapour_density_kg_per_m3;
  const double z = wet ? fields_.density[face.cell] * fields_.sound[face.cell] : curve.liquid_impedance;
  // p_end = p + z (u - w) and p_end - node = zeta w |w|: w z + zeta w |w| = p + z u - node.
  const double head = face.pressure + z * face.velocity_out - node_Pa;
  double out = head / z;
  if (throttle_m2 > 0.0) {
    const double narrowing = area_m2_ / throttle_m2;
    const double zeta = 0.5 * face.density * narrowing * narrowing;
    out = std::copysign(2.0 * std::abs(head) / (z + std::sqrt(z * z + 4.0 * zeta * std::abs(head))), head);
  }
  const double end_Pa = std::max(0.0, face.pressure + z * (face.velocity_out - out));
  return close_end(face, out, end_Pa,
                   face.density + (end_Pa - face.pressure) * fields_.inverse_sound_squared[face.cell]);
}

double PipeGroup::end_with_flow(std::size_t pipe, PipeSide side, double into_kg_per_s) {
  const Face face = inside(pipe, side);
  const double out = -into_kg_per_s / (area_m2_ * face.density);
  const double z = fields_.density[face.cell] * fields_.sound[face.cell];
  const double end_Pa = std::max(0.0, face.pressure + z * (face.velocity_out - out));
  // The mass asked for crosses the face exactly; only the momentum rests on the density there.
  fields_.mass_flux[face.flux] = -face.sign * into_kg_per_s / area_m2_;
  fields_.momentum_flux[face.flux] = into_kg_per_s * into_kg_per_s / (area_m2_ * area_m2_ * face.density) + end_Pa;
  return end_Pa;
}

double PipeGroup::finish() { return kernel_.finish(fields_); }

double PipeGroup::mass_kg() const {
  double sum = 0.0;
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i) sum += at(density)[first(pipe) + i];
  }
  return sum * area_m2_ * dx_m_;
}

double PipeGroup::momentum_kg_m_per_s() const {
  double sum = 0.0;
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i) sum += at(momentum)[first(pipe) + i];
  }
  return sum * area_m2_ * dx_m_;
}

double PipeGroup::pressure_Pa(std::size_t pipe, std::size_t cell) const {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  return kernel::pressure_Pa(fields_.curve, at(density)[first(pipe) + cell]);
}

double PipeGroup::velocity_m_per_s(std::size_t pipe, std::size_t cell) const {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  return at(momentum)[first(pipe) + cell] / at(density)[first(pipe) + cell];
}

double PipeGroup::lowest_Pa() const {
  double lowest = std::numeric_limits<double>::infinity();
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i) lowest = std::min(lowest, at(density)[first(pipe) + i]);
  }
  return kernel::pressure_Pa(fields_.curve, lowest);
}

void PipeGroup::set_cell(std::size_t pipe, std::size_t cell, double pressure_Pa, double velocity_m_per_s) {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  const std::size_t i = first(pipe) + cell;
  at(density)[i] = liquid_.density_at(pressure_Pa);
  at(momentum)[i] = at(density)[i] * velocity_m_per_s;
  stale_ = true;
}

}  // namespace fw::rail
