// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

#include "rail/pipe_kernel.hpp"

#if defined(__SSE2__)
#include <immintrin.h>
#endif

/// The loops of pipe_kernel.hpp as templates on the number type, compiled once per instruction set. Internal linkage
/// and always inlined: no function for a wider instruction set may be picked by the linker for a narrower machine. The
/// same operations in the same order for every width, and nothing is contracted: same bits.
namespace fw::rail::kernel {
namespace {

#define FW_RAIL_INLINE [[gnu::always_inline]] inline

template <int W>
struct Lanes;
template <>
struct Lanes<1> {
  using Real = double;
  using Loose = double;
};
#if defined(__SSE2__)
template <>
struct Lanes<2> {
  typedef double Real __attribute__((vector_size(16)));
  typedef double Loose __attribute__((vector_size(16), aligned(8), may_alias));
};
FW_RAIL_INLINE Lanes<2>::Real larger(Lanes<2>::Real a, Lanes<2>::Real b) { return _mm_max_pd(a, b); }
FW_RAIL_INLINE Lanes<2>::Real smaller(Lanes<2>::Real a, Lanes<2>::Real b) { return _mm_min_pd(a, b); }
FW_RAIL_INLINE Lanes<2>::Real square_root(Lanes<2>::Real a) { return _mm_sqrt_pd(a); }
FW_RAIL_INLINE bool any_above(Lanes<2>::Real a, Lanes<2>::Real b) { return _mm_movemask_pd(_mm_cmpgt_pd(a, b)) != 0; }
#endif
#if defined(__AVX2__)
template <>
struct Lanes<4> {
  typedef double Real __attribute__((vector_size(32)));
  typedef double Loose __attribute__((vector_size(32), aligned(8), may_alias));
};
FW_RAIL_INLINE Lanes<4>::Real larger(Lanes<4>::Real a, Lanes<4>::Real b) { return _mm256_max_pd(a, b); }
FW_RAIL_INLINE Lanes<4>::Real smaller(Lanes<4>::Real a, Lanes<4>::Real b) { return _mm256_min_pd(a, b); }
FW_RAIL_INLINE Lanes<4>::Real square_root(Lanes<4>::Real a) { return _mm256_sqrt_pd(a); }
FW_RAIL_INLINE bool any_above(Lanes<4>::Real a, Lanes<4>::Real b) {
  return _mm256_movemask_pd(_mm256_cmp_pd(a, b, _CMP_GT_OS)) != 0;
}
#endif
#if defined(__AVX512F__)
template <>
struct Lanes<8> {
  typedef double Real __attribute__((vector_size(64)));
  typedef double Loose __attribute__((vector_size(64), aligned(8), may_alias));
};
// The masked forms: the plain ones warn of an uninitialised register in GCC 12.
FW_RAIL_INLINE Lanes<8>::Real larger(Lanes<8>::Real a, Lanes<8>::Real b) { return _mm512_maskz_max_pd(0xff, a, b); }
FW_RAIL_INLINE Lanes<8>::Real smaller(Lanes<8>::Real a, Lanes<8>::Real b) { return _mm512_maskz_min_pd(0xff, a, b); }
FW_RAIL_INLINE Lanes<8>::Real square_root(Lanes<8>::Real a) { return _mm512_maskz_sqrt_pd(0xff, a); }
FW_RAIL_INLINE bool any_above(Lanes<8>::Real a, Lanes<8>::Real b) { return _mm512_cmp_pd_mask(a, b, _CMP_GT_OS) != 0; }
#endif
FW_RAIL_INLINE double larger(double a, double b) { return a > b ? a : b; }
FW_RAIL_INLINE double smaller(double a, double b) { return a < b ? a : b; }
FW_RAIL_INLINE double square_root(double a) { return __builtin_sqrt(a); }
FW_RAIL_INLINE bool any_above(double a, double b) { return a > b; }

template <int W>
struct Loops {
  using N = typename Lanes<W>::Real;
  using Loose = typename Lanes<W>::Loose;
  static constexpr std::size_t width = W;

  FW_RAIL_INLINE static N load(const double* from) { return *reinterpret_cast<const Loose*>(from); }
  FW_RAIL_INLINE static void store(double* to, N value) { *reinterpret_cast<Loose*>(to) = value; }
  FW_RAIL_INLINE static N all(double value) { return N{} + value; }
  FW_RAIL_INLINE static N magnitude(N a) { return larger(a, -a); }

  struct Sound {
    N c, z, modulus, pressure;
  };
  FW_RAIL_INLINE static Sound sound_of(const Curve& curve, N rho) {
    const double* s = curve.sound_m_per_s;
    const N t = rho * curve.scale - curve.shift;
    const N t2 = t * t;
    const N low = (s[0] + s[1] * t) + t2 * (s[2] + s[3] * t);
    const N high = (s[4] + s[5] * t) + t2 * (s[6] + s[7] * t);
    const N wet_c = low + (t2 * t2) * high;
    const auto wet = rho >= curve.vapour_density_kg_per_m3;
    Sound sound;
    sound.c = wet ? wet_c : all(curve.vapour_sound_m_per_s);
    sound.z = rho * sound.c;
    sound.modulus = sound.z * sound.c;
    sound.pressure = wet ? (sound.modulus - curve.modulus_Pa) * curve.inverse_slope : sound.modulus;
    return sound;
  }

  FW_RAIL_INLINE static N pressure_of(const Curve& curve, N rho) {
    return larger(N{}, sound_of(curve, larger(N{}, rho)).pressure);
  }

  /// Half of the monotonised central slope of three neighbours.
  FW_RAIL_INLINE static N half_slope(N before, N here, N after) {
    const N a = here - before;
    const N b = after - here;
    const N middle = 0.25 * (after - before);
    return larger(N{}, smaller(smaller(a, b), middle)) + smaller(N{}, larger(larger(a, b), middle));
  }

  template <bool advance>
  FW_RAIL_INLINE static double cells(const Fields& f) {
    N fastest{};
    for (std::size_t i = 0; i < f.size; i += width) {
      N rho = load(f.density + i);
      N momentum = load(f.momentum + i);
      const N ratio = load(f.ratio + i);
      if constexpr (advance) {
        const N half_rho = 0.5 * (load(f.left_density + i) + load(f.right_density + i));
        const N mass = load(f.mass_flux + i) - load(f.mass_flux + i - 1);
        const N force = load(f.momentum_flux + i) - load(f.momentum_flux + i - 1);
        rho = rho - ratio * mass;
        momentum = momentum - ratio * (force + f.cell_m * (half_rho * load(f.friction + i)));
        store(f.density + i, rho);
        store(f.momentum + i, momentum);
      }
      const Sound sound = sound_of(f.curve, rho);
      const N inverse_z = 1.0 / sound.z;
      const N inverse_rho = sound.c * inverse_z;
      const N inverse_c = rho * inverse_z;
      const N u = momentum * inverse_rho;
      const N c2 = sound.c * sound.c;
      const N speed = magnitude(u);
      N friction{};
      if (f.viscous) {
        friction = f.laminar_per_s * u;
        const N critical = all(f.critical_m_per_s);
        if (any_above(speed, critical)) {
          const N reynolds = larger(speed, critical) * f.reynolds_s_per_m;
          const N turbulent = (f.turbulent_per_m / square_root(square_root(reynolds))) * (speed * u);
          friction = speed > critical ? turbulent : friction;
        }
        if constexpr (advance) {
          const N change = u - load(f.velocity + i);
          friction = friction + f.gain_at_once * change;
          double* y = f.memory + i;
          for (std::size_t k = 0; k < f.terms; ++k, y += f.stride) {
            const N term = f.decay[k] * load(y) + f.gain[k] * change;
            store(y, term);
            friction = friction + term;
          }
        }
      }
      store(f.velocity + i, u);
      store(f.pressure + i, sound.pressure);
      store(f.sound_squared + i, c2);
      const auto wet = rho >= f.curve.vapour_density_kg_per_m3;
      store(f.inverse_sound_squared + i, wet ? inverse_c * inverse_c : all(f.curve.liquid_inverse_sound_squared));
      store(f.impedance + i, sound.z);
      store(f.push + i, c2 * inverse_rho);
      store(f.friction + i, friction);
      fastest = larger(fastest, ratio * (sound.c + speed));
    }
    double lane[width];
    store(lane, fastest);
    double most = 0.0;
    for (std::size_t i = 0; i < width; ++i) most = larger(most, lane[i]);
    return most;
  }

  FW_RAIL_INLINE static void half_step(const Fields& f) {
    for (std::size_t i = 0; i < f.size; i += width) {
      const N rho = load(f.density + i);
      const N u = load(f.velocity + i);
      const N c2 = load(f.sound_squared + i);
      const N slope_rho = half_slope(load(f.density + i - 1), rho, load(f.density + i + 1));
      const N slope_u = half_slope(load(f.velocity + i - 1), u, load(f.velocity + i + 1));
      const N change = -f.step_over_cell * (u * slope_rho + rho * slope_u);
      const N half_rho = rho + change;
      const N half_u =
          u - f.step_over_cell * (u * slope_u + load(f.push + i) * slope_rho) - f.half_step_s * load(f.friction + i);
      const N half_p = load(f.pressure + i) + c2 * change;
      const N slope_p = c2 * slope_rho;
      store(f.left_density + i, half_rho - slope_rho);
      store(f.left_velocity + i, half_u - slope_u);
      store(f.left_pressure + i, half_p - slope_p);
      store(f.right_density + i, half_rho + slope_rho);
      store(f.right_velocity + i, half_u + slope_u);
      store(f.right_pressure + i, half_p + slope_p);
    }
    // Faces by the acoustic solution between the two sides; density upwind, moved to the face's pressure.
    for (std::size_t i = 0; i < f.size; i += width) {
      const N z = load(f.impedance + i);
      const N next_z = load(f.impedance + i + 1);
      const N rho = load(f.right_density + i);
      const N next_rho = load(f.left_density + i + 1);
      const N left_u = load(f.right_velocity + i);
      const N next_u = load(f.left_velocity + i + 1);
      const N left_p = load(f.right_pressure + i);
      const N next_p = load(f.left_pressure + i + 1);
      const N share = 1.0 / (z + next_z);
      const N u = (z * left_u + next_z * next_u + (left_p - next_p)) * share;
      const N star = (next_z * left_p + z * next_p + (z * next_z) * (left_u - next_u)) * share;
      const N p = larger(N{}, star);
      const auto right = u >= 0.0;
      const N from_rho = right ? rho : next_rho;
      const N from_p = right ? left_p : next_p;
      const N from_c2 = right ? load(f.inverse_sound_squared + i) : load(f.inverse_sound_squared + i + 1);
      const N flow = larger(from_rho + (p - from_p) * from_c2, 0.5 * from_rho) * u;
      store(f.mass_flux + i, flow);
      store(f.momentum_flux + i, flow * u + p);
    }
  }

  FW_RAIL_INLINE static void pressures(const Curve& curve, const double* density, double* pressure, std::size_t count) {
    for (std::size_t i = 0; i < count; i += width) {
      store(pressure + i, pressure_of(curve, load(density + i)));
    }
  }
};

/// The functions of one width under names of this object.
#define FW_RAIL_KERNEL(W)                                                                              \
  void refresh_##W(const Fields& fields) { (void)Loops<W>::cells<false>(fields); }                     \
  void half_step_##W(const Fields& fields) { Loops<W>::half_step(fields); }                            \
  double finish_##W(const Fields& fields) { return Loops<W>::cells<true>(fields); }                    \
  void pressures_##W(const Curve& curve, const double* density, double* pressure, std::size_t count) { \
    Loops<W>::pressures(curve, density, pressure, count);                                              \
  }                                                                                                    \
  constexpr Kernel kernel_##W{                                                                         \
      .refresh = refresh_##W, .half_step = half_step_##W, .finish = finish_##W, .pressures = pressures_##W};

}  // namespace
}  // namespace fw::rail::kernel
