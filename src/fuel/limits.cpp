// SPDX-License-Identifier: Apache-2.0
#include "fuel/limits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include "base/contract.hpp"

namespace fw::fuel {

namespace {

constexpr double none = required;
constexpr double celsius(double value) { return value + 273.15; }

struct Source {
  Mark mark;
  std::string_view text;

  [[nodiscard]] constexpr Limit row(std::string_view standard, LimitedQuantity quantity, double min, double max,
                                    std::string_view variant = {}) const {
    return {.standard = standard,
            .quantity = quantity,
            .min = min,
            .max = max,
            .variant = variant,
            .mark = mark,
            .source = text};
  }
};

constexpr Source d975{.mark = Mark::published, .text = "ASTM D975 as adopted in US state rules"};
constexpr Source d975_memory{.mark = Mark::from_memory, .text = "ASTM D975 (from memory, as ASTM D7467)"};
constexpr Source en590_temperate{.mark = Mark::published, .text = "EN 590, temperate table"};
constexpr Source en590_memory{.mark = Mark::from_memory, .text = "EN 590 (from memory)"};
constexpr Source en590_arctic{.mark = Mark::published, .text = "EN 590, arctic table, edition not identified"};
constexpr Source en14214{.mark = Mark::published, .text = "EN 14214:2012"};
constexpr Source d7467{.mark = Mark::published, .text = "ASTM D7467-09, table 1"};
constexpr Source en15940{.mark = Mark::published, .text = "EN 15940, trade reproductions"};
constexpr Source en15940_memory{.mark = Mark::from_memory, .text = "EN 15940 (from memory)"};
constexpr Source jp8{.mark = Mark::published, .text = "MIL-DTL-83133 / Jet A-1 check list"};
constexpr Source iso4113{.mark = Mark::published, .text = "ISO 4113:2010 (KS R ISO 4113:2012)"};

constexpr std::array<Limit, 142> table{{
    d975.row("d975_1d", LimitedQuantity::kinematic_viscosity_40, 1.3e-6, 2.4e-6),
    d975.row("d975_1d", LimitedQuantity::flash_point, celsius(38.0), none),
    d975.row("d975_1d", LimitedQuantity::water_and_sediment, none, 0.05e-2),
    d975_memory.row("d975_1d", LimitedQuantity::lubricity_scar, none, 520e-6),
    d975.row("d975_1d", LimitedQuantity::cetane_number, 40.0, none),
    d975.row("d975_1d", LimitedQuantity::ester_volume, none, 0.05),
    d975.row("d975_1d", LimitedQuantity::sulfur, none, 15e-6),
    d975.row("d975_1d", LimitedQuantity::ash, none, 0.01e-2),
    d975.row("d975_2d", LimitedQuantity::kinematic_viscosity_40, 1.9e-6, 4.1e-6),
    d975.row("d975_2d", LimitedQuantity::kinematic_viscosity_40, 1.7e-6, 4.1e-6, "cloud point below -12 C"),
    d975.row("d975_2d", LimitedQuantity::flash_point, celsius(52.0), none),
    d975.row("d975_2d", LimitedQuantity::water_and_sediment, none, 0.05e-2),
    d975_memory.row("d975_2d", LimitedQuantity::lubricity_scar, none, 520e-6),
    d975.row("d975_2d", LimitedQuantity::cetane_number, 40.0, none),
    d975.row("d975_2d", LimitedQuantity::ester_volume, none, 0.05),
    d975.row("d975_2d", LimitedQuantity::sulfur, none, 15e-6),
    d975.row("d975_2d", LimitedQuantity::distilled_90, celsius(282.0), celsius(338.0)),
    en590_temperate.row("en590", LimitedQuantity::density_15, 820.0, 845.0),
    en590_memory.row("en590", LimitedQuantity::density_15, 815.0, 845.0, "edition 2022"),
    en590_temperate.row("en590", LimitedQuantity::kinematic_viscosity_40, 2.0e-6, 4.5e-6),
    en590_temperate.row("en590", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(5.0), "class A"),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(0.0), "class B"),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(-5.0), "class C"),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(-10.0), "class D"),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(-15.0), "class E"),
    en590_temperate.row("en590", LimitedQuantity::cfpp, none, celsius(-20.0), "class F"),
    en590_temperate.row("en590", LimitedQuantity::water, none, 200e-6),
    en590_temperate.row("en590", LimitedQuantity::total_contamination, none, 24e-6),
    en590_temperate.row("en590", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_temperate.row("en590", LimitedQuantity::cetane_number, 51.0, none),
    en590_temperate.row("en590", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590", LimitedQuantity::sulfur, none, 10e-6),
    en590_arctic.row("en590_arctic0", LimitedQuantity::density_15, 800.0, 845.0),
    en590_arctic.row("en590_arctic0", LimitedQuantity::kinematic_viscosity_40, 1.5e-6, 4.0e-6),
    en590_arctic.row("en590_arctic0", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_arctic.row("en590_arctic0", LimitedQuantity::cloud_point, none, celsius(-10.0)),
    en590_arctic.row("en590_arctic0", LimitedQuantity::cfpp, none, celsius(-20.0)),
    en590_arctic.row("en590_arctic0", LimitedQuantity::water, none, 200e-6),
    en590_arctic.row("en590_arctic0", LimitedQuantity::total_contamination, none, 24e-6),
    en590_arctic.row("en590_arctic0", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_arctic.row("en590_arctic0", LimitedQuantity::cetane_number, 49.0, none),
    en590_arctic.row("en590_arctic0", LimitedQuantity::cetane_index, 46.0, none),
    en590_arctic.row("en590_arctic0", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590_arctic0", LimitedQuantity::sulfur, none, 10e-6),
    en590_arctic.row("en590_arctic1", LimitedQuantity::density_15, 800.0, 845.0),
    en590_arctic.row("en590_arctic1", LimitedQuantity::kinematic_viscosity_40, 1.5e-6, 4.0e-6),
    en590_arctic.row("en590_arctic1", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_arctic.row("en590_arctic1", LimitedQuantity::cloud_point, none, celsius(-16.0)),
    en590_arctic.row("en590_arctic1", LimitedQuantity::cfpp, none, celsius(-26.0)),
    en590_arctic.row("en590_arctic1", LimitedQuantity::water, none, 200e-6),
    en590_arctic.row("en590_arctic1", LimitedQuantity::total_contamination, none, 24e-6),
    en590_arctic.row("en590_arctic1", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_arctic.row("en590_arctic1", LimitedQuantity::cetane_number, 49.0, none),
    en590_arctic.row("en590_arctic1", LimitedQuantity::cetane_index, 46.0, none),
    en590_arctic.row("en590_arctic1", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590_arctic1", LimitedQuantity::sulfur, none, 10e-6),
    en590_arctic.row("en590_arctic2", LimitedQuantity::density_15, 800.0, 840.0),
    en590_arctic.row("en590_arctic2", LimitedQuantity::kinematic_viscosity_40, 1.5e-6, 4.0e-6),
    en590_arctic.row("en590_arctic2", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_arctic.row("en590_arctic2", LimitedQuantity::cloud_point, none, celsius(-22.0)),
    en590_arctic.row("en590_arctic2", LimitedQuantity::cfpp, none, celsius(-32.0)),
    en590_arctic.row("en590_arctic2", LimitedQuantity::water, none, 200e-6),
    en590_arctic.row("en590_arctic2", LimitedQuantity::total_contamination, none, 24e-6),
    en590_arctic.row("en590_arctic2", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_arctic.row("en590_arctic2", LimitedQuantity::cetane_number, 48.0, none),
    en590_arctic.row("en590_arctic2", LimitedQuantity::cetane_index, 46.0, none),
    en590_arctic.row("en590_arctic2", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590_arctic2", LimitedQuantity::sulfur, none, 10e-6),
    en590_arctic.row("en590_arctic3", LimitedQuantity::density_15, 800.0, 840.0),
    en590_arctic.row("en590_arctic3", LimitedQuantity::kinematic_viscosity_40, 1.4e-6, 4.0e-6),
    en590_arctic.row("en590_arctic3", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_arctic.row("en590_arctic3", LimitedQuantity::cloud_point, none, celsius(-28.0)),
    en590_arctic.row("en590_arctic3", LimitedQuantity::cfpp, none, celsius(-38.0)),
    en590_arctic.row("en590_arctic3", LimitedQuantity::water, none, 200e-6),
    en590_arctic.row("en590_arctic3", LimitedQuantity::total_contamination, none, 24e-6),
    en590_arctic.row("en590_arctic3", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_arctic.row("en590_arctic3", LimitedQuantity::cetane_number, 47.0, none),
    en590_arctic.row("en590_arctic3", LimitedQuantity::cetane_index, 43.0, none),
    en590_arctic.row("en590_arctic3", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590_arctic3", LimitedQuantity::sulfur, none, 10e-6),
    en590_arctic.row("en590_arctic4", LimitedQuantity::density_15, 800.0, 840.0),
    en590_arctic.row("en590_arctic4", LimitedQuantity::kinematic_viscosity_40, 1.2e-6, 4.0e-6),
    en590_arctic.row("en590_arctic4", LimitedQuantity::flash_point, celsius(55.0), none),
    en590_arctic.row("en590_arctic4", LimitedQuantity::cloud_point, none, celsius(-34.0)),
    en590_arctic.row("en590_arctic4", LimitedQuantity::cfpp, none, celsius(-44.0)),
    en590_arctic.row("en590_arctic4", LimitedQuantity::water, none, 200e-6),
    en590_arctic.row("en590_arctic4", LimitedQuantity::total_contamination, none, 24e-6),
    en590_arctic.row("en590_arctic4", LimitedQuantity::lubricity_scar, none, 460e-6),
    en590_arctic.row("en590_arctic4", LimitedQuantity::cetane_number, 47.0, none),
    en590_arctic.row("en590_arctic4", LimitedQuantity::cetane_index, 43.0, none),
    en590_arctic.row("en590_arctic4", LimitedQuantity::ester_volume, none, 0.07),
    en590_temperate.row("en590_arctic4", LimitedQuantity::sulfur, none, 10e-6),
    en14214.row("en14214", LimitedQuantity::density_15, 860.0, 900.0),
    en14214.row("en14214", LimitedQuantity::kinematic_viscosity_40, 3.5e-6, 5.0e-6),
    en14214.row("en14214", LimitedQuantity::flash_point, celsius(101.0), none),
    en14214.row("en14214", LimitedQuantity::water, none, 500e-6),
    en14214.row("en14214", LimitedQuantity::total_contamination, none, 24e-6),
    en14214.row("en14214", LimitedQuantity::cetane_number, 51.0, none),
    en14214.row("en14214", LimitedQuantity::ester_mass, 0.965, none),
    en14214.row("en14214", LimitedQuantity::oxidation_stability, 8.0 * 3600.0, none),
    d7467.row("d7467", LimitedQuantity::kinematic_viscosity_40, 1.9e-6, 4.1e-6),
    d7467.row("d7467", LimitedQuantity::kinematic_viscosity_40, 1.3e-6, 4.1e-6, "with No. 1-D"),
    d7467.row("d7467", LimitedQuantity::flash_point, celsius(52.0), none),
    d7467.row("d7467", LimitedQuantity::water_and_sediment, none, 0.05e-2),
    d7467.row("d7467", LimitedQuantity::lubricity_scar, none, 520e-6),
    d7467.row("d7467", LimitedQuantity::cetane_number, 40.0, none),
    d7467.row("d7467", LimitedQuantity::ester_volume, 0.06, 0.20),
    d7467.row("d7467", LimitedQuantity::oxidation_stability, 6.0 * 3600.0, none),
    d7467.row("d7467", LimitedQuantity::sulfur, none, 15e-6),
    d7467.row("d7467", LimitedQuantity::acid_number, none, 0.3e-3),
    d7467.row("d7467", LimitedQuantity::distilled_90, none, celsius(343.0)),
    en15940.row("en15940", LimitedQuantity::density_15, 765.0, 800.0, "class A"),
    en15940.row("en15940", LimitedQuantity::kinematic_viscosity_40, 2.0e-6, 4.5e-6, "class A"),
    en15940_memory.row("en15940", LimitedQuantity::flash_point, celsius(55.0), none, "class A"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(5.0), "climate class A"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(0.0), "climate class B"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(-5.0), "climate class C"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(-10.0), "climate class D"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(-15.0), "climate class E"),
    en15940.row("en15940", LimitedQuantity::cfpp, none, celsius(-20.0), "climate class F"),
    en15940.row("en15940", LimitedQuantity::water, none, 200e-6, "class A"),
    en15940_memory.row("en15940", LimitedQuantity::total_contamination, none, 24e-6, "class A"),
    en15940.row("en15940", LimitedQuantity::lubricity_scar, none, 460e-6, "class A, 2016"),
    en15940_memory.row("en15940", LimitedQuantity::lubricity_scar, none, 400e-6, "class A, later edition"),
    en15940.row("en15940", LimitedQuantity::cetane_number, 70.0, none, "class A"),
    en15940.row("en15940", LimitedQuantity::ester_volume, none, 0.07, "class A"),
    en15940.row("en15940", LimitedQuantity::sulfur, none, 5e-6, "class A"),
    jp8.row("jp8", LimitedQuantity::density_15, 775.0, 840.0),
    jp8.row("jp8", LimitedQuantity::kinematic_viscosity_minus_20, none, 8.0e-6),
    jp8.row("jp8", LimitedQuantity::flash_point, celsius(38.0), none),
    jp8.row("jp8", LimitedQuantity::freezing_point, none, celsius(-47.0)),
    jp8.row("jp8", LimitedQuantity::particulates, none, 1.0e-3),
    jp8.row("jp8", LimitedQuantity::heating_value, 42.8e6, none),
    iso4113.row("iso4113", LimitedQuantity::density_15, 820.0, 830.0),
    iso4113.row("iso4113_cv", LimitedQuantity::density_15, 823.5, 826.5),
    iso4113.row("iso4113", LimitedQuantity::kinematic_viscosity_40, 2.45e-6, 2.75e-6),
    iso4113.row("iso4113_cv", LimitedQuantity::kinematic_viscosity_40, 2.50e-6, 2.55e-6),
    iso4113.row("iso4113", LimitedQuantity::flash_point, celsius(75.0), none),
    iso4113.row("iso4113_cv", LimitedQuantity::flash_point, celsius(75.0), none),
    iso4113.row("iso4113", LimitedQuantity::ester_volume, none, 0.0),
    iso4113.row("iso4113_cv", LimitedQuantity::ester_volume, none, 0.0),
}};

}  // namespace

std::string_view name(LimitedQuantity quantity) {
  switch (quantity) {
    case LimitedQuantity::density_15: return "density at 15 C";
    case LimitedQuantity::kinematic_viscosity_40: return "kinematic viscosity at 40 C";
    case LimitedQuantity::kinematic_viscosity_minus_20: return "kinematic viscosity at -20 C";
    case LimitedQuantity::flash_point: return "flash point";
    case LimitedQuantity::cloud_point: return "cloud point";
    case LimitedQuantity::freezing_point: return "freezing point";
    case LimitedQuantity::cfpp: return "cold filter plugging point";
    case LimitedQuantity::water: return "water";
    case LimitedQuantity::water_and_sediment: return "water and sediment";
    case LimitedQuantity::total_contamination: return "total contamination";
    case LimitedQuantity::particulates: return "particulates";
    case LimitedQuantity::lubricity_scar: return "lubricity, wear scar at 60 C";
    case LimitedQuantity::cetane_number: return "cetane number";
    case LimitedQuantity::cetane_index: return "cetane index";
    case LimitedQuantity::ester_volume: return "methyl ester by volume";
    case LimitedQuantity::ester_mass: return "methyl ester by mass";
    case LimitedQuantity::sulfur: return "sulfur";
    case LimitedQuantity::oxidation_stability: return "oxidation stability";
    case LimitedQuantity::heating_value: return "net heating value";
    case LimitedQuantity::ash: return "ash";
    case LimitedQuantity::distilled_90: return "temperature of 90 % distilled";
    case LimitedQuantity::acid_number: return "acid number";
  }
  return "";
}

std::span<const Limit> limits() { return table; }

std::vector<Limit> limits_of(std::string_view standard) {
  std::vector<Limit> found;
  std::copy_if(table.begin(), table.end(), std::back_inserter(found),
               [&](const Limit& limit) { return limit.standard == standard; });
  return found;
}

std::string_view standard_of(std::string_view grade_id) {
  if (grade_id == "d975_1d") return "d975_1d";
  if (grade_id == "d975_2d") return "d975_2d";
  if (grade_id == "en590") return "en590";
  if (grade_id == "en590_arctic2") return "en590_arctic2";
  if (grade_id == "fame_b100") return "en14214";
  if (grade_id == "b20") return "d7467";
  if (grade_id == "hvo") return "en15940";
  if (grade_id == "jp8") return "jp8";
  if (grade_id == "iso4113") return "iso4113";
  return {};
}

Against against(const Limit& limit, double value) {
  FW_EXPECTS(std::isfinite(value));
  if (std::isfinite(limit.min) && value < limit.min) return Against::below;
  if (std::isfinite(limit.max) && value > limit.max) return Against::above;
  return Against::inside;
}

}  // namespace fw::fuel
