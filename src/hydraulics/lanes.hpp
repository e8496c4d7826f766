// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#if defined(__x86_64__)
#include <immintrin.h>
#endif

/// Numbers in lanes: one running point per lane, 1, 2, 4 or 8 of them.
///
/// Everything here has internal linkage on purpose: the same text is compiled for several instruction sets, and a
/// shared symbol compiled for the widest one must never be picked by the linker for a machine that lacks it.
/// Arithmetic is +, -, *, /, sqrt and comparisons only, without contraction: all widths give the same bits.
namespace fw::hydraulics {
namespace {

#define FW_LANES_INLINE [[gnu::always_inline]] inline

/// Number type of `W` lanes; Real has arithmetic, Mask is what comparisons return, Whole is the
/// view of the bits as unsigned integers.
template <int W>
struct Lanes;

template <>
struct Lanes<1> {
  using Real = double;
  using Whole = std::uint64_t;
  using Mask = bool;
};

#if defined(__SSE2__)
template <>
struct Lanes<2> {
  typedef double Real __attribute__((vector_size(16)));
  typedef unsigned long Whole __attribute__((vector_size(16)));
  typedef long Mask __attribute__((vector_size(16)));
};
#endif
#if defined(__AVX2__)
template <>
struct Lanes<4> {
  typedef double Real __attribute__((vector_size(32)));
  typedef unsigned long Whole __attribute__((vector_size(32)));
  typedef long Mask __attribute__((vector_size(32)));
};
#endif
#if defined(__AVX512F__)
template <>
struct Lanes<8> {
  typedef double Real __attribute__((vector_size(64)));
  typedef unsigned long Whole __attribute__((vector_size(64)));
  typedef long Mask __attribute__((vector_size(64)));
};
#endif

template <class N>
struct LanesOf;
template <>
struct LanesOf<double> : Lanes<1> {
  static constexpr int width = 1;
};
#if defined(__SSE2__)
template <>
struct LanesOf<Lanes<2>::Real> : Lanes<2> {
  static constexpr int width = 2;
};
#endif
#if defined(__AVX2__)
template <>
struct LanesOf<Lanes<4>::Real> : Lanes<4> {
  static constexpr int width = 4;
};
#endif
#if defined(__AVX512F__)
template <>
struct LanesOf<Lanes<8>::Real> : Lanes<8> {
  static constexpr int width = 8;
};
#endif

template <class N>
FW_LANES_INLINE N all(double value) {
  return N{} + value;
}

template <class M, class N>
FW_LANES_INLINE N select(M mask, N yes, N no) {
  return mask ? yes : no;
}

template <class N>
FW_LANES_INLINE N larger(N a, N b) {
  return a > b ? a : b;
}

template <class N>
FW_LANES_INLINE N smaller(N a, N b) {
  return a < b ? a : b;
}

template <class N>
FW_LANES_INLINE typename LanesOf<N>::Whole bits_of(N value) {
  return __builtin_bit_cast(typename LanesOf<N>::Whole, value);
}

template <class N>
FW_LANES_INLINE N from_bits(typename LanesOf<N>::Whole bits) {
  return __builtin_bit_cast(N, bits);
}

template <class N>
FW_LANES_INLINE N magnitude(N value) {
  return from_bits<N>(bits_of(value) & 0x7fffffffffffffffUL);
}

FW_LANES_INLINE double square_root(double value) { return __builtin_sqrt(value); }
#if defined(__SSE2__)
FW_LANES_INLINE Lanes<2>::Real square_root(Lanes<2>::Real value) { return _mm_sqrt_pd(value); }
#endif
#if defined(__AVX2__)
FW_LANES_INLINE Lanes<4>::Real square_root(Lanes<4>::Real value) { return _mm256_sqrt_pd(value); }
#endif
#if defined(__AVX512F__)
// The masked form: the plain one warns of an uninitialised register in GCC 12.
FW_LANES_INLINE Lanes<8>::Real square_root(Lanes<8>::Real value) { return _mm512_maskz_sqrt_pd(0xff, value); }
#endif

/// One bit per lane.
FW_LANES_INLINE unsigned mask_bits(bool mask) { return mask ? 1U : 0U; }
#if defined(__SSE2__)
FW_LANES_INLINE unsigned mask_bits(Lanes<2>::Mask mask) {
  return static_cast<unsigned>(_mm_movemask_pd(__builtin_bit_cast(__m128d, mask)));
}
#endif
#if defined(__AVX2__)
FW_LANES_INLINE unsigned mask_bits(Lanes<4>::Mask mask) {
  return static_cast<unsigned>(_mm256_movemask_pd(__builtin_bit_cast(__m256d, mask)));
}
#endif
#if defined(__AVX512F__)
FW_LANES_INLINE unsigned mask_bits(Lanes<8>::Mask mask) {
  return static_cast<unsigned>(_mm512_movepi64_mask(__builtin_bit_cast(__m512i, mask)));
}
#endif

template <class M>
FW_LANES_INLINE bool any(M mask) {
  return mask_bits(mask) != 0U;
}

/// Natural logarithm, error below 1 ulp; exactly 0 at 1. Precondition: normal, positive, finite.
///
///   x = 2^k m, sqrt(1/2) <= m < sqrt(2), s = (m - 1)/(m + 1), ln m = 2 s + s r(s^2)
///
/// r(z) = 2 (atanh(s)/s - 1) is fitted by z times a polynomial of degree 6 on Chebyshev nodes over
/// 0 <= z <= 0.0295, error of s r below 2e-18. The sum is arranged as in W. J. Cody, W. Waite, Software Manual
/// for the Elementary Functions (1980), so that m - 1 enters exactly.
template <class N>
FW_LANES_INLINE N logarithm(N x) {
  using Whole = typename LanesOf<N>::Whole;
  constexpr std::uint64_t root_half = 0x3fe6a09e667f3bcdUL;  // bits of sqrt(1/2)
  const Whole shifted = bits_of(x) + (0x3ff0000000000000UL - root_half);
  const N k = from_bits<N>((shifted >> 52) | 0x4330000000000000UL) - (4503599627370496.0 + 1023.0);
  const N m = from_bits<N>((shifted & 0x000fffffffffffffUL) + root_half);
  const N f = m - 1.0;
  const N s = f / (m + 1.0);
  const N z = s * s;
  const N z2 = z * z;
  const N z4 = z2 * z2;
  const N low = 0x1.5555555555558p-1 + z * 0x1.99999999952d7p-2;
  const N next = 0x1.2492492df281ap-2 + z * 0x1.c71c62e3f11e6p-3;
  const N high = 0x1.7462b51cb66b1p-3 + z * 0x1.39fe51a7c18f9p-3;
  const N r = z * ((low + z2 * next) + z4 * (high + z2 * 0x1.2b5900de53b32p-3));
  const N half = 0.5 * f * f;
  return k * 0x1.62e42fee00000p-1 - ((half - (s * (half + r) + k * 0x1.a39ef35793c76p-33)) - f);
}

/// e^x, error below 1 ulp; exactly 1 at 0. Precondition: |x| <= 700.
///
///   x = k ln 2 + r, |r| <= ln(2)/2, e^r = 1 + r + r^2 p(r)
///
/// p: degree 9 on Chebyshev nodes, error of r^2 p below 2e-17.
template <class N>
FW_LANES_INLINE N exponential(N x) {
  const N rounded = x * 0x1.71547652b82fep+0 + 6755399441055744.0;  // 1.5 * 2^52: the sum rounds to whole k
  const N k = rounded - 6755399441055744.0;
  const N r = (x - k * 0x1.62e42fee00000p-1) - k * 0x1.a39ef35793c76p-33;
  const N r2 = r * r;
  const N r4 = r2 * r2;
  const N p01 = 0x1.0000000000001p-1 + r * 0x1.5555555555556p-3;
  const N p23 = 0x1.5555555553d63p-5 + r * 0x1.11111111109b3p-7;
  const N p45 = 0x1.6c16c1788bd90p-10 + r * 0x1.a01a01a7c41d5p-13;
  const N p67 = 0x1.a019b90d2ae7ap-16 + r * 0x1.71de0dae63bb3p-19;
  const N p89 = 0x1.289185613a3d6p-22 + r * 0x1.af38a9b0ec855p-26;
  const N p = (p01 + r2 * p23) + r4 * ((p45 + r2 * p67) + r4 * p89);
  const N scale = from_bits<N>((bits_of(rounded) << 52) + 0x3ff0000000000000UL);
  return scale * (1.0 + (r + r2 * p));
}

}  // namespace
}  // namespace fw::hydraulics
