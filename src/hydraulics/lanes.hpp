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

/// True where a lane is no number or not in [lower, upper]. Raises no flag.
template <class N>
FW_LANES_INLINE bool any_outside(N value, N lower, N upper) {
  const auto endless = (bits_of(value) & 0x7ff0000000000000UL) == 0x7ff0000000000000UL;
  const N safe = select(endless, lower, value);
  return any(endless | (safe < lower) | (safe > upper));
}
#if defined(__AVX2__)
FW_LANES_INLINE bool any_outside(Lanes<4>::Real value, Lanes<4>::Real lower, Lanes<4>::Real upper) {
  return _mm256_movemask_pd(
             _mm256_or_pd(_mm256_cmp_pd(value, lower, _CMP_NGE_UQ), _mm256_cmp_pd(value, upper, _CMP_NLE_UQ))) != 0;
}
#endif
#if defined(__AVX512F__)
FW_LANES_INLINE bool any_outside(Lanes<8>::Real value, Lanes<8>::Real lower, Lanes<8>::Real upper) {
  return (_mm512_cmp_pd_mask(value, lower, _CMP_NGE_UQ) | _mm512_cmp_pd_mask(value, upper, _CMP_NLE_UQ)) != 0;
}
#endif

/// Sixteen numbers from which every lane picks its own.
struct alignas(64) Table {
  double entry[16];
};

/// table[index mod 16] in every lane.
FW_LANES_INLINE double pick(const Table& table, std::uint64_t index) { return table.entry[index & 15U]; }
#if defined(__SSE2__)
FW_LANES_INLINE Lanes<2>::Real pick(const Table& table, Lanes<2>::Whole index) {
  return Lanes<2>::Real{table.entry[index[0] & 15U], table.entry[index[1] & 15U]};
}
#endif
#if defined(__AVX2__)
FW_LANES_INLINE Lanes<4>::Real pick(const Table& table, Lanes<4>::Whole index) {
  return _mm256_i64gather_pd(table.entry, __builtin_bit_cast(__m256i, index & 15UL), 8);
}
#endif
#if defined(__AVX512F__)
FW_LANES_INLINE Lanes<8>::Real pick(const Table& table, Lanes<8>::Whole index) {
  return _mm512_permutex2var_pd(_mm512_load_pd(table.entry), __builtin_bit_cast(__m512i, index),
                                _mm512_load_pd(table.entry + 8));
}
#endif

/// Middles c of sixteen parts of [11/16, 11/8): 1/c rounded, and -ln of what is rounded.
constexpr Table logarithm_reciprocal = {
    {0x1.6c16c16c16c17p+0, 0x1.5c9882b931057p+0, 0x1.4e5e0a72f0539p+0, 0x1.4141414141414p+0, 0x1.3521cfb2b78c1p+0,
     0x1.29e4129e4129ep+0, 0x1.1f7047dc11f70p+0, 0x1.15b1e5f75270dp+0, 0x1.0c9714fbcda3bp+0, 0x1.0410410410410p+0,
     0x1.f07c1f07c1f08p-1, 0x1.d41d41d41d41dp-1, 0x1.bacf914c1bad0p-1, 0x1.a41a41a41a41ap-1, 0x1.8f9c18f9c18fap-1,
     0x1.7d05f417d05f4p-1}};
constexpr Table logarithm_middle = {
    {-0x1.68ac83e9c6a15p-2, -0x1.3c25277333183p-2, -0x1.1178e8227e47ap-2, -0x1.d1037f2655e7bp-3, -0x1.823c16551a3c0p-3,
     -0x1.365fcb0159014p-3, -0x1.da7276384469ep-4, -0x1.4d3115d207eacp-4, -0x1.894aa149fb34bp-5, -0x1.0205658935837p-6,
     0x1.f829b0e7832f8p-6, 0x1.6f0d28ae56b4ep-4, 0x1.29552f81ff521p-3, 0x1.9525a9cf456b6p-3, 0x1.fb9186d5e3e29p-3,
     0x1.2e8e2bae11d31p-2}};
/// 2^(j/16).
constexpr Table exponential_root = {
    {0x1.0000000000000p+0, 0x1.0b5586cf9890fp+0, 0x1.172b83c7d517bp+0, 0x1.2387a6e756238p+0, 0x1.306fe0a31b715p+0,
     0x1.3dea64c123422p+0, 0x1.4bfdad5362a27p+0, 0x1.5ab07dd485429p+0, 0x1.6a09e667f3bcdp+0, 0x1.7a11473eb0187p+0,
     0x1.8ace5422aa0dbp+0, 0x1.9c49182a3f090p+0, 0x1.ae89f995ad3adp+0, 0x1.c199bdd85529cp+0, 0x1.d5818dcfba487p+0,
     0x1.ea4afa2a490dap+0}};

/// c^(1/12) and c^(-9/10) of the same middles; 2^(j/12), j < 12; 2^(-9 j/10), j < 32.
constexpr Table twelfth_middle = {
    {0x1.f130b969f4503p-1, 0x1.f2fecbb2cd59ep-1, 0x1.f4bb2eb3a5ea1p-1, 0x1.f6673e3f7564cp-1, 0x1.f8042f0ecbc4ep-1,
     0x1.f993146f26a23p-1, 0x1.fb14e4f226c1ep-1, 0x1.fc8a7e5105e2dp-1, 0x1.fdf4a8ac92249p-1, 0x1.ff541948f3269p-1,
     0x1.00a8451ad58dfp+0, 0x1.01eb3bd8a9abep+0, 0x1.031db40008a72p+0, 0x1.044158cba61ecp+0, 0x1.055796f7a5044p+0,
     0x1.0661a872bc97ep+0}};
constexpr Table twelfth_root_of_two = {{0x1.0000000000000p+0, 0x1.0f38f92d97963p+0, 0x1.1f59ac3c7d6c0p+0,
                                        0x1.306fe0a31b715p+0, 0x1.428a2f98d728bp+0, 0x1.55b8108f0ec5ep+0,
                                        0x1.6a09e667f3bcdp+0, 0x1.7f910d768cfb0p+0, 0x1.965fea53d6e3dp+0,
                                        0x1.ae89f995ad3adp+0, 0x1.c823e074ec129p+0, 0x1.e3437e7101344p+0}};
constexpr Table tenths_middle = {
    {0x1.5f7cf6f41aebdp+0, 0x1.51ff6fa13ba74p+0, 0x1.458e4a85fcfddp+0, 0x1.3a0af237c8c95p+0, 0x1.2f5b53cd43cebp+0,
     0x1.256910c460325p+0, 0x1.1c20dba7262fbp+0, 0x1.1371f56b268f3p+0, 0x1.0b4dc420d2b7cp+0, 0x1.03a77d64f5655p+0,
     0x1.f203d4ecb3ffbp-1, 0x1.d853f882e542dp-1, 0x1.c1495974e068cp-1, 0x1.ac7efb57b3ac4p-1, 0x1.99a3249368a95p-1,
     0x1.8872f7dc84bf2p-1}};
constexpr Table tenths_low = {{0x1.0000000000000p+0, 0x1.125fbee250664p-1, 0x1.2611186bae675p-2, 0x1.3b2c47bff8329p-3,
                               0x1.51cb453b9536cp-4, 0x1.6a09e667f3bcdp-5, 0x1.8406003b2ae5cp-6, 0x1.9fdf8bcce533dp-7,
                               0x1.bdb8cdadbe120p-8, 0x1.ddb680117ab12p-9, 0x1.0000000000000p-9, 0x1.125fbee250664p-10,
                               0x1.2611186bae675p-11, 0x1.3b2c47bff8329p-12, 0x1.51cb453b9536cp-13,
                               0x1.6a09e667f3bcdp-14}};
constexpr Table tenths_high = {
    {0x1.8406003b2ae5cp-15, 0x1.9fdf8bcce533dp-16, 0x1.bdb8cdadbe120p-17, 0x1.ddb680117ab12p-18, 0x1.0000000000000p-18,
     0x1.125fbee250664p-19, 0x1.2611186bae675p-20, 0x1.3b2c47bff8329p-21, 0x1.51cb453b9536cp-22, 0x1.6a09e667f3bcdp-23,
     0x1.8406003b2ae5cp-24, 0x1.9fdf8bcce533dp-25, 0x1.bdb8cdadbe120p-26, 0x1.ddb680117ab12p-27, 0x1.0000000000000p-27,
     0x1.125fbee250664p-28}};

/// c^(-1/8) and c^(-11/12) of the same middles; 2^(-j/8), j < 16; 2^(-11 j/12), j < 12.
constexpr Table eighth_middle = {
    {0x1.0b85da1e6755ep+0, 0x1.0a1298fab37ecp+0, 0x1.08b0b48a4fe1fp+0, 0x1.075eb3cd23894p+0, 0x1.061b4afcbe0d8p+0,
     0x1.04e554a6a3dbfp+0, 0x1.03bbcc0945bb8p+0, 0x1.029dc86f96ac5p+0, 0x1.018a7957572f3p+0, 0x1.0081233a1750ep+0,
     0x1.fe08ce36bee93p-1, 0x1.fa4bfca1a203cp-1, 0x1.f6cacaaa30930p-1, 0x1.f37e91a9c7adep-1, 0x1.f061b466e4a1bp-1,
     0x1.ed6f6b0d1939cp-1}};
constexpr Table eighth_root_of_half = {
    {0x1.0000000000000p+0, 0x1.d5818dcfba487p-1, 0x1.ae89f995ad3adp-1, 0x1.8ace5422aa0dbp-1, 0x1.6a09e667f3bcdp-1,
     0x1.4bfdad5362a27p-1, 0x1.306fe0a31b715p-1, 0x1.172b83c7d517bp-1, 0x1.0000000000000p-1, 0x1.d5818dcfba487p-2,
     0x1.ae89f995ad3adp-2, 0x1.8ace5422aa0dbp-2, 0x1.6a09e667f3bcdp-2, 0x1.4bfdad5362a27p-2, 0x1.306fe0a31b715p-2,
     0x1.172b83c7d517bp-2}};
constexpr Table eleven_twelfths_middle = {
    {0x1.618ebcbd1f830p+0, 0x1.53bdd17f2f37cp+0, 0x1.4702140cd4d78p+0, 0x1.3b3bc2aa53b2bp+0, 0x1.304fcf211598bp+0,
     0x1.2627073c03dc0p+0, 0x1.1cad6a132c36fp+0, 0x1.13d19fa118e33p+0, 0x1.0b848ad86e3d3p+0, 0x1.03b8f06611dabp+0,
     0x1.f1c276819e2aap-1, 0x1.d79f83604c32ep-1, 0x1.c03360dd76c05p-1, 0x1.ab15e70c8d534p-1, 0x1.97f2df2b270cep-1,
     0x1.868571c889d03p-1}};
constexpr Table eleven_twelfths_octave = {{0x1.0000000000000p+0, 0x1.0f38f92d97963p-1, 0x1.1f59ac3c7d6c0p-2,
                                           0x1.306fe0a31b715p-3, 0x1.428a2f98d728bp-4, 0x1.55b8108f0ec5ep-5,
                                           0x1.6a09e667f3bcdp-6, 0x1.7f910d768cfb0p-7, 0x1.965fea53d6e3dp-8,
                                           0x1.ae89f995ad3adp-9, 0x1.c823e074ec129p-10, 0x1.e3437e7101344p-11}};

/// x = 2^k c (1 + r) with 11/16 <= c (1 + r) < 11/8, c the middle of one of sixteen parts, |r| <= 1/33.
template <class N>
struct Split {
  using Whole = typename LanesOf<N>::Whole;
  Whole biased;  ///< k + 1023
  Whole part;    ///< its last four bits
  N r;
};

template <class N>
FW_LANES_INLINE Split<N> split(N x) {
  using Whole = typename LanesOf<N>::Whole;
  constexpr std::uint64_t first = 0x3fe6000000000000UL;  // bits of 11/16
  const Whole shifted = bits_of(x) + (0x3ff0000000000000UL - first);
  const N m = from_bits<N>((shifted & 0x000fffffffffffffUL) + first);
  const Whole part = shifted >> 48;
  return {shifted >> 52, part, m * pick(logarithm_reciprocal, part) - 1.0};
}

/// A small whole number as it stands in the bits.
template <class N>
FW_LANES_INLINE N to_real(typename LanesOf<N>::Whole whole) {
  return from_bits<N>(whole | 0x4330000000000000UL) - 4503599627370496.0;  // 2^52
}

/// Natural logarithm, absolute error below 1e-14 + 4e-16 |ln x|. Precondition: normal, positive, finite.
///
///   x = 2^k m, 11/16 <= m < 11/8, m (1/c) = 1 + r with |r| <= 1/33:  ln x = k ln 2 + ln c + r + r^2 p(r)
///
/// p: degree 5 on Chebyshev nodes, error of r^2 p below 3e-15. No division: the lanes' divider is their narrowest
/// place, and 1e-14 is far inside what a friction law is known to.
template <class N>
FW_LANES_INLINE N logarithm(N x) {
  const Split<N> parts = split(x);
  const N k = to_real<N>(parts.biased) - 1023.0;
  const N r = parts.r;
  const N r2 = r * r;
  const N low = -0x1.0000000006a8ap-1 + r * 0x1.55555555612bdp-2;
  const N mid = -0x1.fffff808ab64fp-3 + r * 0x1.99999284d16bep-3;
  const N high = -0x1.55afad8f43231p-3 + r * 0x1.24e297f3dad65p-3;
  const N p = low + r2 * (mid + r2 * high);
  return (k * 0x1.62e42fefa39efp-1 + pick(logarithm_middle, parts.part)) + (r + r2 * p);
}

/// e^x, relative error below 2e-14 + 2e-16 |x|. Precondition: |x| <= 700.
///
///   16 x / ln 2 = 16 k + j + 16 r / ln 2, |r| <= ln(2)/32:  e^x = 2^k 2^(j/16) (1 + r + r^2 p(r))
///
/// p: degree 3 on Chebyshev nodes, error of r^2 p below 2e-14.
template <class N>
FW_LANES_INLINE N exponential(N x) {
  using Whole = typename LanesOf<N>::Whole;
  const N rounded = x * 0x1.71547652b82fep+4 + 6755399441055744.0;  // 1.5 * 2^52: the sum rounds to whole 16 k + j
  const N whole = rounded - 6755399441055744.0;
  const N r = x - whole * 0x1.62e42fefa39efp-5;
  const N r2 = r * r;
  const N p =
      (0x1.ffffffff57d7ap-2 + r * 0x1.555555552549dp-3) + r2 * (0x1.5556b342d640ep-5 + r * 0x1.1111d90669f41p-7);
  const Whole bits = bits_of(rounded);
  const N scale = from_bits<N>(((bits >> 4) << 52) + 0x3ff0000000000000UL);
  const N root = pick(exponential_root, bits);
  return scale * (root + root * (r + r2 * p));
}

/// x^(1/12), relative error below 2e-14. Precondition: 11/16 <= x, finite.
template <class N>
FW_LANES_INLINE N twelfth_root(N x) {
  const Split<N> parts = split(x);
  const N k = to_real<N>(parts.biased) - 1023.0;
  const N rounded = (k - 5.5) * (1.0 / 12.0) + 6755399441055744.0;  // 1.5 * 2^52: the sum rounds to floor(k/12)
  const N whole = rounded - 6755399441055744.0;
  const N scale = from_bits<N>((bits_of(rounded) << 52) + 0x3ff0000000000000UL);
  const N root = pick(twelfth_root_of_two, bits_of(k - 12.0 * whole + 4503599627370496.0));
  const N r = parts.r;
  const N r2 = r * r;
  const N p = (-0x1.38e38e38e38e4p-5 + r * 0x1.8fcd6be228a4bp-6) +
              r2 * ((-0x1.2385c8f61e0bdp-6 + r * 0x1.c91507da89d40p-7) - r2 * 0x1.7691e0e447cf3p-7);
  return (scale * root) * (pick(twelfth_middle, parts.part) * (1.0 + (r * (1.0 / 12.0) + r2 * p)));
}

/// x^(-9/10), relative error below 3e-14. Precondition: 1 <= x < 2^31.
template <class N>
FW_LANES_INLINE N minus_nine_tenths_power(N x) {
  const Split<N> parts = split(x);
  const typename LanesOf<N>::Whole k = parts.biased - 1023UL;
  const N octave = select(k > 15UL, pick(tenths_high, k), pick(tenths_low, k));
  const N r = parts.r;
  const N r2 = r * r;
  const N p =
      (0x1.b5c28f5c513c8p-1 - r * 0x1.a72b020c718e9p-1) +
      r2 * ((0x1.9c96af8cf9357p-1 - r * 0x1.94563b4ae4f02p-1) + r2 * (0x1.8e21b7157c7c6p-1 - r * 0x1.88721fe777905p-1));
  return octave * (pick(tenths_middle, parts.part) * (1.0 + (r2 * p - 0.9 * r)));
}

// The four functions of the table law of friction: as above, with polynomials that err by some 1e-12.

/// Natural logarithm, absolute error below 5e-13 + 4e-16 |ln x|. Precondition: normal, positive, finite.
template <class N>
FW_LANES_INLINE N short_logarithm(N x) {
  const Split<N> parts = split(x);
  const N k = to_real<N>(parts.biased) - 1023.0;
  const N r = parts.r;
  const N r2 = r * r;
  const N p = (-0.5 + r * 0x1.555552ce092dbp-2) +
              r2 * ((-0x1.fffffb9333545p-3 + r * 0x1.99efa2024b192p-3) - r2 * 0x1.55a09d15a8b84p-3);
  return (k * 0x1.62e42fefa39efp-1 + pick(logarithm_middle, parts.part)) + (r + r2 * p);
}

/// x^(-9/10), relative error below 3e-12. Precondition: 1 <= x < 2^31.
template <class N>
FW_LANES_INLINE N short_minus_nine_tenths_power(N x) {
  const Split<N> parts = split(x);
  const typename LanesOf<N>::Whole k = parts.biased - 1023UL;
  const N octave = select(k > 15UL, pick(tenths_high, k), pick(tenths_low, k));
  const N r = parts.r;
  const N r2 = r * r;
  const N p = (0x1.b5c28f5c28f5cp-1 - r * 0x1.a72afb45b316ap-1) +
              r2 * ((0x1.9c96b4e7deaefp-1 - r * 0x1.94c98bb1c9e27p-1) + r2 * 0x1.8e0aef0d17615p-1);
  return (octave * pick(tenths_middle, parts.part)) * (1.0 + (r2 * p - 0.9 * r));
}

/// x^(-1/8), relative error below 6e-12. Precondition: 11/16 <= x < 2^1000.
template <class N>
FW_LANES_INLINE N minus_eighth_power(N x) {
  const Split<N> parts = split(x);
  const typename LanesOf<N>::Whole k = parts.biased - 1023UL;
  const N scale = from_bits<N>(0x3ff0000000000000UL - ((k >> 4) << 53));
  const N r = parts.r;
  const N r2 = r * r;
  const N p =
      (0x1.1fffff3940a04p-4 - r * 0x1.97fffea42f127p-5) + r2 * (0x1.3ef4d60b9d769p-5 - r * 0x1.07263b866a9b5p-5);
  return (scale * pick(eighth_root_of_half, k)) * (pick(eighth_middle, parts.part) * (1.0 + (r2 * p - 0.125 * r)));
}

/// x^(-11/12), relative error below 3e-12. Precondition: 11/16 <= x < 2^1000.
template <class N>
FW_LANES_INLINE N minus_eleven_twelfths_power(N x) {
  const Split<N> parts = split(x);
  const N k = to_real<N>(parts.biased) - 1023.0;
  const N whole = ((k - 5.5) * (1.0 / 12.0) + 6755399441055744.0) - 6755399441055744.0;  // floor(k/12), see above
  const N scale = from_bits<N>((bits_of(6755399441055744.0 - 11.0 * whole) << 52) + 0x3ff0000000000000UL);
  const N octave = pick(eleven_twelfths_octave, bits_of(k - 12.0 * whole + 4503599627370496.0));
  const N r = parts.r;
  const N r2 = r * r;
  const N p = (0x1.c1c71c71c71c7p-1 - r * 0x1.b548a9e51ed7dp-1) +
              r2 * ((0x1.ac2c7b9d6ddc0p-1 - r * 0x1.a5824b3ae70ebp-1) + r2 * 0x1.9fa803b7b6fc8p-1);
  return (scale * octave) * (pick(eleven_twelfths_middle, parts.part) * (1.0 + (r2 * p - (11.0 / 12.0) * r)));
}

}  // namespace
}  // namespace fw::hydraulics
