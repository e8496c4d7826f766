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

// Monotonised central slope of two differences, without a division: a division would trap in lanes that are not used.
double limited(double a, double b) {
  const double magnitude = std::min(std::min(2.0 * std::abs(a), 2.0 * std::abs(b)), 0.5 * std::abs(a + b));
  return a * b > 0.0 ? std::copysign(magnitude, a) : 0.0;
}

}  // namespace

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

  PipeGroup group;
  group.options_ = options;
  group.area_m2_ = pipe.area_m2();
  group.bore_m_ = pipe.bore_m;
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
  group.kinematic_viscosity_m2_per_s_ =
      liquid.viscosity_at(options.viscosity_Pa) / liquid.density_at(options.viscosity_Pa);
  group.series_ = PressureSeries(group.liquid_);

  const std::size_t size = options.pipes * (options.cells + 2);
  const double start_density = group.liquid_.density_at(options.start_Pa);
  group.density_.assign(size, start_density);
  for (auto* field : {&group.momentum_, &group.velocity_, &group.pressure_, &group.sound_squared_,
                      &group.half_velocity_, &group.half_pressure_, &group.slope_density_, &group.slope_velocity_,
                      &group.friction_, &group.mass_flux_, &group.momentum_flux_}) {
    field->assign(size, 0.0);
  }
  group.half_density_.assign(size, start_density);
  if (options.friction == PipeFriction::memory) {
    const double radius = 0.5 * pipe.bore_m;
    const double dtau = group.kinematic_viscosity_m2_per_s_ * options.step_s / (radius * radius);
    const auto memory = friction_memory(std::min(1.0, dtau));
    if (!memory) return fail(memory.error().in_field("options.step_s"));
    group.memory_ = memory_step(*memory, dtau);
    group.memory_terms_.assign(size * group.memory_.decay.size(), 0.0);
  }
  group.equation_of_state();
  return group;
}

void PipeGroup::equation_of_state() {
  const std::size_t size = density_.size();
  const double inverse = 1.0 / liquid_.density_kg_per_m3;
  const double k0 = liquid_.modulus_Pa;
  const double n = liquid_.modulus_slope;
  const double vapour = series_.vapour_density_kg_per_m3();
  const double vapour_slope = series_.vapour_slope_m2_per_s2();
  const auto series = series_.coefficients();
  const double* density = density_.data();
  const double* momentum = momentum_.data();
  double* velocity = velocity_.data();
  double* pressure = pressure_.data();
  double* sound_squared = sound_squared_.data();
  for (std::size_t i = 0; i < size; ++i) {
    const double rho = density[i];
    const double y = rho * inverse - 1.0;
    double sum = 0.0;
    for (std::size_t k = PressureSeries::terms; k-- > 0;) sum = (sum + series[k]) * y;
    const double reciprocal = 1.0 / rho;
    const bool wet = rho >= vapour;
    pressure[i] = wet ? sum : vapour_slope * rho;
    sound_squared[i] = wet ? (k0 + n * sum) * reciprocal : vapour_slope;
    velocity[i] = momentum[i] * reciprocal;
  }
}

void PipeGroup::half_step() {
  const std::size_t size = density_.size();
  const std::size_t stride = options_.cells + 2;
  // Ghosts continue the last difference, so that the end cells keep a central slope.
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    const std::size_t a = first(pipe);
    const std::size_t b = a + options_.cells - 1;
    density_[a - 1] = std::max(0.5 * density_[a], 2.0 * density_[a] - density_[a + 1]);
    density_[b + 1] = std::max(0.5 * density_[b], 2.0 * density_[b] - density_[b - 1]);
    momentum_[a - 1] = 2.0 * momentum_[a] - momentum_[a + 1];
    momentum_[b + 1] = 2.0 * momentum_[b] - momentum_[b - 1];
  }
  equation_of_state();

  // Deceleration by friction [m/s2].
  std::fill(friction_.begin(), friction_.end(), 0.0);
  if (options_.friction != PipeFriction::none) {
    const double nu = kinematic_viscosity_m2_per_s_;
    const double laminar = 32.0 * nu / (bore_m_ * bore_m_);
    const double critical = turbulent_reynolds * nu / bore_m_;
    const double* velocity = velocity_.data();
    double* friction = friction_.data();
    for (std::size_t i = 0; i < size; ++i) friction[i] = laminar * velocity[i];
    for (std::size_t i = 0; i < size; ++i) {
      const double speed = std::abs(velocity[i]);
      if (speed > critical) {
        const double reynolds = speed * bore_m_ / nu;
        friction[i] = 0.316 / std::sqrt(std::sqrt(reynolds)) * velocity[i] * speed / (2.0 * bore_m_);
      }
    }
    if (options_.friction == PipeFriction::memory) {
      const double factor = 16.0 * nu / (bore_m_ * bore_m_);
      for (std::size_t k = 0; k < memory_.decay.size(); ++k) {
        const double* y = memory_terms_.data() + k * size;
        for (std::size_t i = 0; i < size; ++i) friction[i] += factor * y[i];
      }
    }
  }

  const double half = 0.5 * options_.step_s / dx_m_;
  const double half_s = 0.5 * options_.step_s;
  {
    const double* rho = density_.data();
    const double* u = velocity_.data();
    const double* p = pressure_.data();
    const double* c2 = sound_squared_.data();
    const double* friction = friction_.data();
    double* slope_rho = slope_density_.data();
    double* slope_u = slope_velocity_.data();
    double* half_rho = half_density_.data();
    double* half_u = half_velocity_.data();
    double* half_p = half_pressure_.data();
    for (std::size_t i = 1; i + 1 < size; ++i) {
      const double sr = limited(rho[i] - rho[i - 1], rho[i + 1] - rho[i]);
      const double su = limited(u[i] - u[i - 1], u[i + 1] - u[i]);
      const double dr = -half * (u[i] * sr + rho[i] * su);
      slope_rho[i] = sr;
      slope_u[i] = su;
      half_rho[i] = rho[i] + dr;
      half_u[i] = u[i] - half * (u[i] * su + c2[i] / rho[i] * sr) - half_s * friction[i];
      half_p[i] = p[i] + c2[i] * dr;
    }
  }

  // Faces by the acoustic solution between the two sides.
  {
    const double* half_rho = half_density_.data();
    const double* half_u = half_velocity_.data();
    const double* half_p = half_pressure_.data();
    const double* slope_rho = slope_density_.data();
    const double* slope_u = slope_velocity_.data();
    const double* c2 = sound_squared_.data();
    double* mass = mass_flux_.data();
    double* momentum = momentum_flux_.data();
    for (std::size_t i = 1; i + 2 < size; ++i) {
      const double left_rho = half_rho[i] + 0.5 * slope_rho[i];
      const double left_u = half_u[i] + 0.5 * slope_u[i];
      const double left_p = half_p[i] + 0.5 * c2[i] * slope_rho[i];
      const double right_rho = half_rho[i + 1] - 0.5 * slope_rho[i + 1];
      const double right_u = half_u[i + 1] - 0.5 * slope_u[i + 1];
      const double right_p = half_p[i + 1] - 0.5 * c2[i + 1] * slope_rho[i + 1];
      const double left_z = left_rho * std::sqrt(c2[i]);
      const double right_z = right_rho * std::sqrt(c2[i + 1]);
      const double sum = 1.0 / (left_z + right_z);
      const double u = (left_z * left_u + right_z * right_u + left_p - right_p) * sum;
      const double star = (right_z * left_p + left_z * right_p + left_z * right_z * (left_u - right_u)) * sum;
      const double p = std::max(0.0, star);
      // Density upwind, moved to the face's pressure along the side's own line.
      const double from_left = left_rho + (p - left_p) / c2[i];
      const double from_right = right_rho + (p - right_p) / c2[i + 1];
      const double upwind = u >= 0.0 ? from_left : from_right;
      const double floor = u >= 0.0 ? 0.5 * left_rho : 0.5 * right_rho;
      const double flow = std::max(upwind, floor) * u;
      mass[i] = flow;
      momentum[i] = flow * u + p;
    }
  }
  FW_EXPECTS(stride * options_.pipes == size);
}

PipeGroup::Face PipeGroup::inside(std::size_t pipe, PipeSide side) const {
  const std::size_t cell = side == PipeSide::left ? first(pipe) : first(pipe) + options_.cells - 1;
  const double sign = side == PipeSide::left ? -1.0 : 1.0;
  return {.at = side == PipeSide::left ? cell - 1 : cell,
          .density = half_density_[cell] + sign * 0.5 * slope_density_[cell],
          .velocity_out = sign * (half_velocity_[cell] + sign * 0.5 * slope_velocity_[cell]),
          .pressure = half_pressure_[cell] + sign * 0.5 * sound_squared_[cell] * slope_density_[cell],
          .sound_squared = sound_squared_[cell],
          .sign = sign};
}

double PipeGroup::close_end(const Face& face, double out_m_per_s, double end_Pa, double node_density) {
  const double own = std::max(0.5 * face.density, face.density + (end_Pa - face.pressure) / face.sound_squared);
  const double density = out_m_per_s >= 0.0 ? own : node_density;
  const double flow = density * out_m_per_s;
  mass_flux_[face.at] = face.sign * flow;
  momentum_flux_[face.at] = flow * out_m_per_s + end_Pa;
  return -flow * area_m2_;
}

double PipeGroup::end_at_pressure(std::size_t pipe, PipeSide side, double node_Pa, double throttle_m2) {
  const Face face = inside(pipe, side);
  const double z = face.density * std::sqrt(face.sound_squared);
  // p_end = p + z (u - w) and p_end - node = zeta w |w|: w z + zeta w |w| = p + z u - node.
  const double head = face.pressure + z * face.velocity_out - node_Pa;
  double out = head / z;
  if (throttle_m2 > 0.0) {
    const double ratio = area_m2_ / throttle_m2;
    const double zeta = 0.5 * face.density * ratio * ratio;
    out = std::copysign(2.0 * std::abs(head) / (z + std::sqrt(z * z + 4.0 * zeta * std::abs(head))), head);
  }
  const double end_Pa = std::max(0.0, face.pressure + z * (face.velocity_out - out));
  return close_end(face, out, end_Pa, face.density + (end_Pa - face.pressure) / face.sound_squared);
}

double PipeGroup::end_with_flow(std::size_t pipe, PipeSide side, double into_kg_per_s) {
  const Face face = inside(pipe, side);
  const double c = std::sqrt(face.sound_squared);
  const double z = face.density * c;
  const double out = -into_kg_per_s / (area_m2_ * face.density);
  const double end_Pa = std::max(0.0, face.pressure + z * (face.velocity_out - out));
  // The mass asked for crosses the face exactly; only the momentum rests on the density there.
  mass_flux_[face.at] = -face.sign * into_kg_per_s / area_m2_;
  momentum_flux_[face.at] = into_kg_per_s * into_kg_per_s / (area_m2_ * area_m2_ * face.density) + end_Pa;
  return end_Pa;
}

double PipeGroup::finish() {
  const std::size_t size = density_.size();
  const double ratio = options_.step_s / dx_m_;
  const bool memory = options_.friction == PipeFriction::memory;
  double fastest = 0.0;
  {
    const double* mass = mass_flux_.data();
    const double* flux = momentum_flux_.data();
    const double* half_rho = half_density_.data();
    const double* friction = friction_.data();
    double* rho = density_.data();
    double* momentum = momentum_.data();
    for (std::size_t i = 1; i + 1 < size; ++i) {
      rho[i] -= ratio * (mass[i] - mass[i - 1]);
      momentum[i] -= ratio * (flux[i] - flux[i - 1]) + options_.step_s * half_rho[i] * friction[i];
    }
  }
  {
    // The ghosts' numbers take part and are worth nothing; they are rebuilt before use.
    for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
      const std::size_t a = first(pipe);
      const std::size_t b = a + options_.cells - 1;
      density_[a - 1] = density_[a];
      density_[b + 1] = density_[b];
      momentum_[a - 1] = momentum_[a];
      momentum_[b + 1] = momentum_[b];
    }
    const double* sound_squared = sound_squared_.data();
    const double* velocity = velocity_.data();
    for (std::size_t i = 0; i < size; ++i) {
      fastest = std::max(fastest, sound_squared[i] + 2.0 * std::abs(velocity[i]) * 2000.0);
    }
    // (c + |u|)^2 <= c^2 + 2 |u| c + u^2; with c at most 2000 m/s and |u| far below, this bounds it from above.
    fastest = std::sqrt(fastest);
  }
  if (memory) {
    double* half_u = half_velocity_.data();  // free for the change of velocity
    const double* rho = density_.data();
    const double* momentum = momentum_.data();
    const double* velocity = velocity_.data();
    for (std::size_t i = 0; i < size; ++i) half_u[i] = momentum[i] / rho[i] - velocity[i];
    for (std::size_t k = 0; k < memory_.decay.size(); ++k) {
      const double decay = memory_.decay[k];
      const double gain = memory_.gain[k];
      double* y = memory_terms_.data() + k * size;
      for (std::size_t i = 0; i < size; ++i) y[i] = decay * y[i] + gain * half_u[i];
    }
  }
  return fastest * ratio;
}

double PipeGroup::mass_kg() const {
  double sum = 0.0;
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i) sum += density_[first(pipe) + i];
  }
  return sum * area_m2_ * dx_m_;
}

double PipeGroup::momentum_kg_m_per_s() const {
  double sum = 0.0;
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i) sum += momentum_[first(pipe) + i];
  }
  return sum * area_m2_ * dx_m_;
}

double PipeGroup::pressure_Pa(std::size_t pipe, std::size_t cell) const {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  return series_.pressure_Pa(density_[first(pipe) + cell]);
}

double PipeGroup::velocity_m_per_s(std::size_t pipe, std::size_t cell) const {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  return momentum_[first(pipe) + cell] / density_[first(pipe) + cell];
}

double PipeGroup::lowest_Pa() const {
  double lowest = std::numeric_limits<double>::infinity();
  for (std::size_t pipe = 0; pipe < options_.pipes; ++pipe) {
    for (std::size_t i = 0; i < options_.cells; ++i)
      lowest = std::min(lowest, series_.pressure_Pa(density_[first(pipe) + i]));
  }
  return lowest;
}

void PipeGroup::set_cell(std::size_t pipe, std::size_t cell, double pressure_Pa, double velocity_m_per_s) {
  FW_EXPECTS(pipe < options_.pipes && cell < options_.cells);
  const std::size_t i = first(pipe) + cell;
  density_[i] = liquid_.density_at(pressure_Pa);
  momentum_[i] = density_[i] * velocity_m_per_s;
}

}  // namespace fw::rail
