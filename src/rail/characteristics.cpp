// SPDX-License-Identifier: Apache-2.0
#include "rail/characteristics.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::rail {

Result<CharacteristicLine> CharacteristicLine::make(const CharacteristicPipe& pipe) {
  InputCheck check;
  check.positive(pipe.length_m, "pipe.length_m")
      .positive(pipe.bore_m, "pipe.bore_m")
      .positive(pipe.wave_speed_m_per_s, "pipe.wave_speed_m_per_s")
      .positive(pipe.density_kg_per_m3, "pipe.density_kg_per_m3")
      .that(pipe.reaches >= 2 && pipe.reaches <= 1000000, "pipe.reaches", fmt::format("{}", pipe.reaches),
            "2 to 1000000")
      .non_negative(pipe.darcy_factor, "pipe.darcy_factor");
  if (pipe.friction == CharacteristicPipe::Friction::laminar) {
    check.positive(pipe.kinematic_viscosity_m2_per_s, "pipe.kinematic_viscosity_m2_per_s");
  }
  check.that(!pipe.memory || pipe.friction == CharacteristicPipe::Friction::laminar, "pipe.memory",
             "memory without laminar friction", "laminar friction");
  if (check.failed()) return check.fault();

  CharacteristicLine line;
  line.pipe_ = pipe;
  const double dx = pipe.length_m / pipe.reaches;
  const double area = 0.25 * std::numbers::pi * pipe.bore_m * pipe.bore_m;
  line.area_m2_ = area;
  line.step_s_ = dx / pipe.wave_speed_m_per_s;
  line.impedance_ = pipe.density_kg_per_m3 * pipe.wave_speed_m_per_s / area;
  const double rho = pipe.density_kg_per_m3;
  const double nu = pipe.kinematic_viscosity_m2_per_s;
  if (pipe.friction == CharacteristicPipe::Friction::darcy) {
    line.resistance_ = pipe.darcy_factor * rho * dx / (2.0 * pipe.bore_m * area * area);
  } else if (pipe.friction == CharacteristicPipe::Friction::laminar) {
    line.resistance_ = 32.0 * rho * nu * dx / (pipe.bore_m * pipe.bore_m * area);
  }
  const auto points = static_cast<std::size_t>(pipe.reaches) + 1;
  if (pipe.memory) {
    const double dtau = nu * line.step_s_ / (0.25 * pipe.bore_m * pipe.bore_m);
    const auto memory = friction_memory(std::min(1.0, dtau));
    if (!memory) return fail(memory.error().in_field("pipe"));
    line.memory_ = memory_step(*memory, dtau);
    line.memory_factor_ = 16.0 * rho * nu * dx / (pipe.bore_m * pipe.bore_m);
    line.terms_.assign(points * line.memory_.decay.size(), 0.0);
  }
  line.pressure_.assign(points, 0.0);
  line.flow_.assign(points, 0.0);
  line.next_pressure_.assign(points, 0.0);
  line.next_flow_.assign(points, 0.0);
  return line;
}

double CharacteristicLine::friction_slope(double flow) const {
  return pipe_.friction == CharacteristicPipe::Friction::darcy ? resistance_ * std::abs(flow) : resistance_;
}

double CharacteristicLine::memory_drop(std::size_t i) const {
  const std::size_t count = memory_.decay.size();
  double sum = 0.0;
  for (std::size_t k = 0; k < count; ++k) sum += terms_[i * count + k];
  return memory_factor_ * sum;
}

void CharacteristicLine::set_steady(double left_Pa, double flow_m3_per_s) {
  const double drop = friction_slope(flow_m3_per_s) * flow_m3_per_s;
  for (std::size_t i = 0; i < flow_.size(); ++i) {
    flow_[i] = flow_m3_per_s;
    pressure_[i] = left_Pa - drop * static_cast<double>(i);
  }
  terms_.assign(terms_.size(), 0.0);
}

void CharacteristicLine::advance() {
  const std::size_t last = flow_.size() - 1;
  // Relation carried along C+ from point i - 1, and along C- from point i + 1.
  const auto plus = [&](std::size_t a) {
    return EndRelation{.base_Pa = pressure_[a] + impedance_ * flow_[a] - memory_drop(a),
                       .slope_Pa_s_per_m3 = -(impedance_ + friction_slope(flow_[a]))};
  };
  const auto minus = [&](std::size_t b) {
    return EndRelation{.base_Pa = pressure_[b] - impedance_ * flow_[b] + memory_drop(b),
                       .slope_Pa_s_per_m3 = impedance_ + friction_slope(flow_[b])};
  };
  for (std::size_t i = 1; i < last; ++i) {
    const EndRelation p = plus(i - 1);
    const EndRelation m = minus(i + 1);
    next_flow_[i] = (p.base_Pa - m.base_Pa) / (m.slope_Pa_s_per_m3 - p.slope_Pa_s_per_m3);
    next_pressure_[i] = m.base_Pa + m.slope_Pa_s_per_m3 * next_flow_[i];
  }
  left_ = minus(1);
  right_ = plus(last - 1);
  const std::size_t count = memory_.decay.size();
  for (std::size_t i = 1; i < last; ++i) {
    const double change = (next_flow_[i] - flow_[i]) / area_m2_;
    for (std::size_t k = 0; k < count; ++k) {
      double& y = terms_[i * count + k];
      y = memory_.decay[k] * y + memory_.gain[k] * change;
    }
    flow_[i] = next_flow_[i];
    pressure_[i] = next_pressure_[i];
  }
}

void CharacteristicLine::set_left(double pressure_Pa, double flow_m3_per_s) {
  const std::size_t count = memory_.decay.size();
  for (std::size_t k = 0; k < count; ++k) {
    terms_[k] = memory_.decay[k] * terms_[k] + memory_.gain[k] * (flow_m3_per_s - flow_.front()) / area_m2_;
  }
  pressure_.front() = pressure_Pa;
  flow_.front() = flow_m3_per_s;
}

void CharacteristicLine::set_right(double pressure_Pa, double flow_m3_per_s) {
  const std::size_t count = memory_.decay.size();
  const std::size_t at = (flow_.size() - 1) * count;
  for (std::size_t k = 0; k < count; ++k) {
    terms_[at + k] = memory_.decay[k] * terms_[at + k] + memory_.gain[k] * (flow_m3_per_s - flow_.back()) / area_m2_;
  }
  pressure_.back() = pressure_Pa;
  flow_.back() = flow_m3_per_s;
}

}  // namespace fw::rail
