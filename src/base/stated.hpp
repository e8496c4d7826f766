// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw {

/// Where a number comes from, best first. Default spreads per class stand in catalog/source-classes.toml.
enum class SourceClass : std::uint8_t { measured, datasheet, catalog, typical, assumed };

[[nodiscard]] std::string_view name(SourceClass source);
[[nodiscard]] std::optional<SourceClass> source_class_named(std::string_view text);

/// Shape of the doubt about a number. All lengths are in the SI unit of the value.
enum class SpreadKind : std::uint8_t {
  exact,        ///< no doubt
  normal,       ///< value +/- half_width covers 90 %
  lognormal,    ///< value / factor to value * factor covers 90 %
  uniform,      ///< all of [low, high] alike
  log_uniform,  ///< all of [ln low, ln high] alike; 0 < low
  triangular,   ///< low, most likely = value, high
};

[[nodiscard]] std::string_view name(SpreadKind kind);

struct Spread {
  SpreadKind kind = SpreadKind::exact;
  double half_width = 0.0;  ///< normal: 90 % half-width, SI
  double factor = 1.0;      ///< lognormal: 90 % factor [-], > 1
  double low = 0.0;         ///< uniform, log_uniform, triangular: SI
  double high = 0.0;        ///< uniform, log_uniform, triangular: SI

  friend bool operator==(const Spread&, const Spread&) = default;
};

/// Where a stated number was read, for papers and for errors.
struct Origin {
  std::string file;        ///< as the user named it; empty for built-in
  std::uint32_t line = 0;  ///< from 1, 0 unknown
  std::string catalog_id;  ///< "" if the number stands in the case itself
  std::string source;      ///< source line of a catalog number, e.g. "part data 1.2, G1"
  std::string as_typed;    ///< the text as it stands, e.g. "11 psi +/- 1 psi"

  friend bool operator==(const Origin&, const Origin&) = default;
};

/// One number as somebody stated it. The field that holds it names the unit: `Stated bore_m`.
///
/// `id` is the stable input id ("hose-2.length"): it names the random draw, so parts that share a name in two
/// sheets share their draw, and inserting a part shifts no other. Physics never sees a Stated.
struct Stated {
  double value = required;  ///< SI; most likely value (normal, triangular), median (lognormal), middle (uniform)
  Spread spread;
  SourceClass source = SourceClass::assumed;
  std::string id;
  Origin origin;
  bool unknown = false;  ///< typed "?": a range of the layout or the catalog stands in

  [[nodiscard]] bool given() const { return value == value; }

  friend bool operator==(const Stated& a, const Stated& b) {
    return ((a.value == b.value) || (!a.given() && !b.given())) && a.spread == b.spread && a.source == b.source &&
           a.id == b.id && a.origin == b.origin && a.unknown == b.unknown;
  }
};

/// An exact number made by the program itself (constants of an example, tests).
[[nodiscard]] Stated exactly(double value, std::string id = {});

}  // namespace fw
