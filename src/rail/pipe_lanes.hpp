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
  using Single = float;
  using Singles = float;
};
#if defined(__SSE2__)
template <>
struct Lanes<2> {
  typedef double Real __attribute__((vector_size(16)));
  typedef double Loose __attribute__((vector_size(16), aligned(8), may_alias));
  typedef float Single __attribute__((vector_size(8), aligned(4), may_alias));    // as many as Real
  typedef float Singles __attribute__((vector_size(16), aligned(4), may_alias));  // as wide as Real
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
  typedef float Single __attribute__((vector_size(16), aligned(4), may_alias));   // as many as Real
  typedef float Singles __attribute__((vector_size(32), aligned(4), may_alias));  // as wide as Real
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
  typedef float Single __attribute__((vector_size(32), aligned(4), may_alias));   // as many as Real
  typedef float Singles __attribute__((vector_size(64), aligned(4), may_alias));  // as wide as Real
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

  using Single = typename Lanes<W>::Single;
  using Singles = typename Lanes<W>::Singles;
  FW_RAIL_INLINE static Singles load_singles(const float* from) { return *reinterpret_cast<const Singles*>(from); }
  FW_RAIL_INLINE static void store_singles(float* to, Singles value) { *reinterpret_cast<Singles*>(to) = value; }
  FW_RAIL_INLINE static void store_single(float* to, Single value) { *reinterpret_cast<Single*>(to) = value; }
  FW_RAIL_INLINE static N load_single(const float* from) {
    if constexpr (W == 1) {
      return *from;
    } else {
      return __builtin_convertvector(*reinterpret_cast<const Single*>(from), N);
    }
  }
  FW_RAIL_INLINE static Single narrow(N a) {
    if constexpr (W == 1) {
      return static_cast<float>(a);
    } else {
      return __builtin_convertvector(a, Single);
    }
  }
  /// The last of `before`, then all but the last of `here`.
  FW_RAIL_INLINE static N shifted(N before, [[maybe_unused]] N here) {
    if constexpr (W == 1) {
      return before;
    } else if constexpr (W == 2) {
      return __builtin_shufflevector(before, here, 1, 2);
    } else if constexpr (W == 4) {
      return __builtin_shufflevector(before, here, 3, 4, 5, 6);
    } else {
      return __builtin_shufflevector(before, here, 7, 8, 9, 10, 11, 12, 13, 14);
    }
  }

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
  FW_RAIL_INLINE static double cells(const Fields f) {
    N fastest{};
    for (std::size_t i = 0; i < f.size; i += width) {
      N rho = load(f.density + i);
      N momentum = load(f.momentum + i);
      const N ratio = load(f.ratio + i);
      if constexpr (advance) {
        const N mass = load(f.mass_flux + i) - load(f.mass_flux + i - 1);
        const N force = load(f.momentum_flux + i) - load(f.momentum_flux + i - 1);
        N friction{};
        if (f.viscous) friction = load(f.friction + i) + load_single(f.memory_sum + i);
        const N before = rho;
        rho = rho - ratio * mass;
        const N half_rho = 0.5 * (before + rho);
        momentum = momentum - ratio * (force + f.cell_m * (half_rho * friction));
        store(f.density + i, rho);
        store(f.momentum + i, momentum);
      }
      const Sound sound = sound_of(f.curve, rho);
      const N inverse_z = 1.0 / sound.z;
      const N inverse_rho = sound.c * inverse_z;
      const N inverse_c = rho * inverse_z;
      const N u = momentum * inverse_rho;
      const N speed = magnitude(u);
      const auto wet = rho >= f.curve.vapour_density_kg_per_m3;
      if (f.viscous) {
        N friction = f.laminar_per_s * u;
        const N critical = all(f.critical_m_per_s);
        if (any_above(speed, critical)) {
          const N reynolds = larger(speed, critical) * f.reynolds_s_per_m;
          const N turbulent = (f.turbulent_per_m / square_root(square_root(reynolds))) * (speed * u);
          friction = speed > critical ? turbulent : friction;
        }
        store(f.friction + i, friction);
        if constexpr (advance) {
          if (f.terms > 0) {
            const Single change = narrow(u - load(f.velocity + i));
            store_single(f.change + i, change);
            store_single(f.memory_sum + i, f.gain_at_once * change);
          }
        }
      }
      store(f.velocity + i, u);
      store(f.pressure + i, sound.pressure);
      store(f.sound + i, sound.c);
      store(f.inverse_density + i, inverse_rho);
      store(f.inverse_sound_squared + i, wet ? inverse_c * inverse_c : all(f.curve.liquid_inverse_sound_squared));
      fastest = larger(fastest, ratio * (sound.c + speed));
    }
    if constexpr (advance) {
      if (f.terms > 0) remember_all(f);
    }
    double lane[width];
    store(lane, fastest);
    double most = 0.0;
    for (std::size_t i = 0; i < width; ++i) most = larger(most, lane[i]);
    return most;
  }

  static constexpr std::size_t singles = sizeof(Singles) / sizeof(float);

  /// `count` terms decay and take up the last change; their sum is added.
  template <std::size_t count>
  FW_RAIL_INLINE static void remember(const Fields f, std::size_t term) {
    Singles decay[count];
    Singles gain[count];
    for (std::size_t k = 0; k < count; ++k) {
      decay[k] = Singles{} + f.decay[term + k];
      gain[k] = Singles{} + f.gain[term + k];
    }
    const std::size_t stride = f.stride;
    float* y = f.memory + term * stride;
    for (std::size_t i = 0; i < f.size; i += singles) {
      const Singles change = load_singles(f.change + i);
      Singles sum = load_singles(f.memory_sum + i);
      for (std::size_t k = 0; k < count; ++k) {
        const Singles next = decay[k] * load_singles(y + k * stride + i) + gain[k] * change;
        store_singles(y + k * stride + i, next);
        sum = sum + next;
      }
      store_singles(f.memory_sum + i, sum);
    }
  }

  /// Friction of the changes.
  FW_RAIL_INLINE static void remember_all(const Fields f) {
    std::size_t term = 0;
    for (; term + 5 <= f.terms; term += 5) remember<5>(f, term);
    for (; term < f.terms; ++term) remember<1>(f, term);
  }

  /// Edges half a step ahead, and the faces by the acoustic solution between the two sides; density upwind, moved to
  /// the face's pressure.
  FW_RAIL_INLINE static void half_step(const Fields f) {
    N before_rho = all(f.density[0]);  // right edges of the lanes before
    N before_u{};
    N before_p{};
    const std::size_t* end_cell = f.end_cell;
    End* end = f.end;
    bool at_right = false;
    for (std::size_t i = 0; i < f.size; i += width) {
      const N rho = load(f.density + i);
      const N last_rho = load(f.density + i - 1);
      const N u = load(f.velocity + i);
      const N c = load(f.sound + i);
      const N c2 = c * c;
      const N push = c2 * load(f.inverse_density + i);
      const N slope_rho = half_slope(last_rho, rho, load(f.density + i + 1));
      const N slope_u = half_slope(load(f.velocity + i - 1), u, load(f.velocity + i + 1));
      const N change = -f.step_over_cell * (u * slope_rho + rho * slope_u);
      const N half_rho = rho + change;
      N friction{};
      if (f.viscous) friction = load(f.friction + i) + load_single(f.memory_sum + i);
      const N half_u = u - f.step_over_cell * (u * slope_u + push * slope_rho) - f.half_step_s * friction;
      const N half_p = load(f.pressure + i) + c2 * change;
      const N slope_p = c2 * slope_rho;
      const N next_rho = half_rho - slope_rho;
      const N next_u = half_u - slope_u;
      const N next_p = half_p - slope_p;
      const N right_rho = half_rho + slope_rho;
      const N right_u = half_u + slope_u;
      const N right_p = half_p + slope_p;
      if (*end_cell < i + width) {
        double edge[6][width];
        store(edge[0], next_rho);
        store(edge[1], next_u);
        store(edge[2], next_p);
        store(edge[3], right_rho);
        store(edge[4], right_u);
        store(edge[5], right_p);
        for (; *end_cell < i + width; ++end_cell, ++end, at_right = !at_right) {
          const std::size_t lane = *end_cell - i;
          const std::size_t side = at_right ? 3 : 0;
          *end = {edge[side][lane], edge[side + 1][lane], edge[side + 2][lane]};
        }
      }

      const N rho_ = shifted(before_rho, right_rho);
      const N u_ = shifted(before_u, right_u);
      const N p_ = shifted(before_p, right_p);
      before_rho = right_rho;
      before_u = right_u;
      before_p = right_p;
      const N z = last_rho * load(f.sound + i - 1);
      const N next_z = rho * c;
      const N share = 1.0 / (z + next_z);
      const N face_u = (next_u + (z * share) * (u_ - next_u)) + (p_ - next_p) * share;
      const N star = p_ + z * (u_ - face_u);
      const N face_p = larger(N{}, star);
      const auto right = face_u >= 0.0;
      const N from_rho = right ? rho_ : next_rho;
      const N from_p = right ? p_ : next_p;
      const N from_slope = right ? load(f.inverse_sound_squared + i - 1) : load(f.inverse_sound_squared + i);
      const N flow = larger(from_rho + (face_p - from_p) * from_slope, 0.5 * from_rho) * face_u;
      store(f.mass_flux + i - 1, flow);
      store(f.momentum_flux + i - 1, flow * face_u + face_p);
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
