// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/size_scale.hpp"

/// ISO 4406:2021 codes: from counts, from text, and back to bounds of counts.
namespace fw::debris {

/// Largest scale number of the table; above it a code is written ">28".
inline constexpr int last_scale_number = 28;

/// Bounds of a scale number: lower < N <= upper. [1/m3]
struct ScaleBounds {
  double lower_per_m3 = required;
  double upper_per_m3 = required;
};

/// Precondition: 0 <= scale_number <= 28. The lower bound of 0 is 0 (and 0 itself belongs to it).
[[nodiscard]] ScaleBounds bounds(int scale_number);

/// Scale number of a concentration [1/m3]; 29 stands for ">28".
///
/// From the rounded table of ISO 4406, never by a logarithm: 1.29/mL -> 7, 2.52 -> 9, 5.1 -> 10, 0 -> 0, 40 -> 12,
/// 40.1 -> 13, 2500 -> 18, 2500.1 -> 19, 2.6e6 -> ">28". A count at a bound belongs to the lower number; bounds are
/// compared with a slack of 1e-12 of their value, so that 2500/mL typed in any unit is 18.
/// Source: table of scale numbers, several independent copies agree. Errors: invalid_input `number_per_m3`.
[[nodiscard]] Result<int> scale_number(double number_per_m3);

enum class ScaleState : std::uint8_t {
  number,       ///< a scale number
  above_table,  ///< ">28"
  too_many,     ///< "*": too many to count at this size
  not_counted,  ///< "-": not counted, or no requirement
};

/// One of the three places of a code.
struct ScaleEntry {
  ScaleState state = ScaleState::not_counted;
  int number = 0;          ///< when `number`
  bool low_count = false;  ///< written ">=": fewer than 20 raw particles stand behind it

  friend bool operator==(const ScaleEntry&, const ScaleEntry&) = default;
};

/// What a code stands for: counter codes at 4, 6, 14 um(c); microscope codes at 5 and 15 um, written "-/x/y".
enum class CodeKind : std::uint8_t { counter, microscope };

/// Whether water could have been counted as particles.
enum class Wetness : std::uint8_t {
  not_stated,  ///< no water result stands beside the code
  dry,         ///< water below saturation, clear
  wet,         ///< free or dispersed water, or hazy
};

struct IsoCode {
  std::array<ScaleEntry, 3> entries{};  ///< sizes rising
  CodeKind kind = CodeKind::counter;

  friend bool operator==(const IsoCode&, const IsoCode&) = default;
};

/// Sizes of the entries [m]: 4, 6, 14 um(c), or -, 5, 15 um by microscope (the first is then empty).
[[nodiscard]] std::array<std::optional<ParticleSize>, 3> sizes(CodeKind kind);

/// One count at one size.
struct SizeCount {
  double number_per_m3 = required;
  /// Particles really counted; below 20 the entry is written with ">=". Not given: enough.
  std::optional<double> raw_count;
};

/// Counts at the three sizes; an empty one is "not counted".
struct CodeCounts {
  std::array<std::optional<SizeCount>, 3> at;
  CodeKind kind = CodeKind::counter;
};

/// Code of counts. Errors: invalid_input `counts.at[i]...`; cumulative counts that rise with size; a count at the
/// first size of a microscope code; nothing counted at all.
[[nodiscard]] Result<IsoCode> code_of(const CodeCounts& counts);

/// Code as written, e.g. "18/16/13", "*/19/14", "-/19/14", "14/12/>=7", ">28/22/18". "~" and other marks are refused.
///
/// Scale numbers must not rise from left to right where they are numbers: "18/19/13" is an error. A code of two
/// numbers is one of the first edition (5 and 15 um): it must be entered as "-/x/y".
/// Source: writing rules of ISO 4406 clause 4 (from memory). Errors: invalid_input `code`, with the text.
[[nodiscard]] Result<IsoCode> parse_code(std::string_view text, CodeKind kind = CodeKind::counter);

[[nodiscard]] std::string to_text(const IsoCode& code);

/// The sentence that must stand beside a code, empty when none must: water and agglomerates are counted as particles
/// (ASTM D7619), so a code of wet fuel is an upper bound on solids; without a water result it may be one.
[[nodiscard]] std::string_view water_note(Wetness wetness);

/// Whether the differences between two codes of one place are more than noise. Single samples that differ by one
/// number at every size are noise (common practice, no source). Empty where no size can be compared.
[[nodiscard]] std::optional<bool> differs(const IsoCode& a, const IsoCode& b);

/// Exact interval of a Poisson mean behind `raw_count` counted particles, by chi-squared quantiles.
///   low = chi2(a/2; 2n)/2 (0 for n = 0),  high = chi2(1 - a/2; 2n + 2)/2,  a = 1 - confidence
/// Source: F. Garwood, Biometrika 28 (1936) 437 (from memory). Check: n = 20, 0.95 -> 12.217 to 30.888.
/// Preconditions: raw_count is a whole number >= 0, 0 < confidence < 1.
struct CountInterval {
  double low = required;
  double high = required;
};
[[nodiscard]] CountInterval poisson_interval(double raw_count, double confidence = 0.95);

/// Volume [m3] in which `raw_count` particles are expected: 20 at 0.64/mL -> 31.25 mL. Errors: invalid_input.
[[nodiscard]] Result<double> sample_volume_m3(double number_per_m3, double raw_count = 20.0);

/// Class of NAS 1638 in ISO 4406 numbers at 6 and 14 um(c), by summing the class limits. An approximation: the two
/// codes have no exact mapping (secondary literature); it must be shown as one.
struct ApproximateCode {
  IsoCode code;  ///< first entry not counted
  double at_6_um_per_m3 = required;
  double at_14_um_per_m3 = required;
};
/// Limits of class 6: 16000, 2850, 506, 90, 16 per 100 mL in 6-14, 14-21, 21-38, 38-70, above 70 um(c), doubled per
/// class (from memory). Classes 0 to 12. Check: 6 -> 194.62 and 34.62/mL, "-/15/12". Errors: invalid_input `class`.
[[nodiscard]] Result<ApproximateCode> code_of_nas_class(int nas_class);

}  // namespace fw::debris
