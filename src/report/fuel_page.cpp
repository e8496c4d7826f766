// SPDX-License-Identifier: Apache-2.0
#include "report/fuel_page.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include <fmt/format.h>

namespace fw::report {

namespace {

using fuel::FuelQuantity;
using fuel::StateQuantity;
using units::Dimension;
using units::System;

constexpr std::size_t states_per_table = 4;
constexpr double psi_Pa = 6894.757293168361;
constexpr double btu_per_lb_J_per_kg = 2326.0;

struct Shown {
  std::string number;
  std::string unit;

  [[nodiscard]] std::string text() const { return unit.empty() ? number : number + " " + unit; }
};

/// Three significant digits, whole numbers in full.
std::string three_digits(double value) {
  return std::abs(value) >= 100.0 ? fmt::format("{:.0f}", value) : fmt::format("{:#.3g}", value);
}

Shown in_units(double si, Dimension dimension, System system) {
  return {.number = units::print_number(si, dimension, system), .unit = units::unit_name(dimension, system)};
}

Shown density(double si) { return {.number = fmt::format("{:.1f}", si), .unit = "kg/m3"}; }

Shown shown(double si, StateQuantity quantity, System system) {
  switch (quantity) {
    case StateQuantity::density: return density(si);
    case StateQuantity::kinematic_viscosity: return in_units(si, Dimension::kinematic_viscosity, system);
    case StateQuantity::dynamic_viscosity: return in_units(si, Dimension::dynamic_viscosity, system);
    case StateQuantity::isothermal_modulus:
    case StateQuantity::isentropic_modulus: return in_units(si, Dimension::modulus, system);
    case StateQuantity::sound_speed: return in_units(si, Dimension::velocity, system);
    case StateQuantity::expansion:
      if (system == System::metric) return {.number = three_digits(si * 1000.0), .unit = "% per 10 C"};
      if (system == System::us) return {.number = three_digits(si * 1000.0 / 1.8), .unit = "% per 10 F"};
      return in_units(si, Dimension::temperature_coefficient, system);
    case StateQuantity::heat_capacity: return in_units(si, Dimension::specific_heat, system);
    case StateQuantity::thermal_conductivity: return in_units(si, Dimension::thermal_conductivity, system);
    case StateQuantity::vapour_pressure:
      // The tenths of kPa of other pressures would hide it.
      if (system == System::us) return {.number = three_digits(si / psi_Pa), .unit = "psi abs"};
      return {.number = three_digits(si), .unit = "Pa abs"};
    case StateQuantity::dissolved_air:
    case StateQuantity::air_solubility: return {.number = three_digits(100.0 * si), .unit = "% of volume"};
    case StateQuantity::water_solubility: return in_units(si, Dimension::concentration_mass, system);
    case StateQuantity::surface_tension: return in_units(si, Dimension::surface_tension, system);
  }
  return density(si);
}

Shown shown(double si, FuelQuantity quantity, System system) {
  switch (quantity) {
    case FuelQuantity::density_15: return density(si);
    case FuelQuantity::kinematic_viscosity_40: return in_units(si, Dimension::kinematic_viscosity, system);
    case FuelQuantity::heating_value:
      if (system == System::us) return {.number = three_digits(si / btu_per_lb_J_per_kg), .unit = "BTU/lb"};
      return {.number = fmt::format("{:.4g}", si * 1e-6), .unit = "MJ/kg"};
    case FuelQuantity::cloud_point:
    case FuelQuantity::cfpp:
    case FuelQuantity::flash_point: return in_units(si, Dimension::temperature, system);
    case FuelQuantity::cetane_number: return {.number = fmt::format("{:.3g}", si), .unit = ""};
  }
  return density(si);
}

/// Reasons that marks lead to, each once.
class Notes {
 public:
  /// "", " [2]" or " [1,3]".
  std::string marks(const Result<fuel::Property>& value) {
    std::string numbers;
    const auto add = [&](std::string text) {
      numbers += fmt::format("{}{}", numbers.empty() ? "" : ",", number_of(std::move(text)));
    };
    if (!value) {
      const Error& error = value.error().front();
      add(fmt::format("{}: {}. {}.", error.code == ErrorCode::not_found ? "Not known" : "Refused", error.found,
                      error.hint));
    } else {
      for (unsigned i = 0; i < fuel::doubt_count; ++i) {
        const auto doubt = static_cast<fuel::Doubt>(i);
        if (value->doubts.has(doubt)) add(std::string(fuel::sentence(doubt)));
      }
    }
    return numbers.empty() ? "" : " [" + numbers + "]";
  }
  [[nodiscard]] KeyValues list() const {
    KeyValues all;
    for (std::size_t i = 0; i < texts_.size(); ++i) {
      all.pairs.push_back({.key = fmt::format("[{}]", i + 1), .value = plain(texts_[i])});
    }
    return all;
  }
  [[nodiscard]] bool empty() const { return texts_.empty(); }

 private:
  std::size_t number_of(std::string text) {
    const auto found = std::find(texts_.begin(), texts_.end(), text);
    const auto number = static_cast<std::size_t>(found - texts_.begin()) + 1;
    if (found == texts_.end()) texts_.push_back(std::move(text));
    return number;
  }
  std::vector<std::string> texts_;
};

std::string wax_word(fuel::Cold cold) {
  switch (cold) {
    case fuel::Cold::liquid: return "none";
    case fuel::Cold::below_cloud_point: return "wax";
    case fuel::Cold::below_cfpp: return "plugs filters";
    case fuel::Cold::not_stated: return "not known";
  }
  return "";
}

System other(System system) { return system == System::us ? System::metric : System::us; }
std::string title_of(System system) { return system == System::us ? "US" : system == System::metric ? "metric" : "SI"; }

std::string place(const fuel::FuelState& state, System system) {
  return units::print(state.temperature_K, Dimension::temperature, system) + ", " +
         units::print(state.pressure_Pa, Dimension::absolute_pressure, system);
}

Cell cell(std::string text) { return {.spans = plain(std::move(text)), .mark = {}, .detail = {}}; }

std::string good_to(const Result<fuel::Property>& value) {
  if (!value || value->relative_uncertainty == 0.0) return "";
  return fmt::format("{:.2g} %", 100.0 * value->relative_uncertainty);
}

/// One value in both systems: name, `system`, the other, marks, how far it is good.
template <class Quantity>  // the two enumerations of quantities
Row both_systems(const Result<fuel::Property>& value, Quantity quantity, System system, Notes& notes) {
  const std::string marks = notes.marks(value);
  const auto text = [&](System in) { return value ? shown(value->value, quantity, in).text() : std::string("-"); };
  const std::string first = text(system);
  const std::string second = text(other(system));
  return {cell(std::string(name(quantity)) + marks), cell(first), cell(second == first ? "" : second),
          cell(good_to(value))};
}

std::vector<Column> columns_of_both(System system, const std::string& first) {
  return {{.title = first, .kind = ColumnKind::text},
          {.title = title_of(system), .kind = ColumnKind::number},
          {.title = title_of(other(system)), .kind = ColumnKind::number},
          {.title = "good to", .kind = ColumnKind::number}};
}

Table one_state(const fuel::StateSheet& at, System system, Notes& notes) {
  Table table{.caption = "At " + place(at.state, system) + " (" + place(at.state, other(system)) + ")",
              .columns = columns_of_both(system, "property"),
              .rows = {}};
  for (std::size_t i = 0; i < fuel::state_quantities; ++i) {
    table.rows.push_back(both_systems(at.values[i], static_cast<StateQuantity>(i), system, notes));
  }
  table.rows.push_back({cell("wax"), cell(wax_word(at.cold)), cell(""), cell("")});
  return table;
}

/// States of one pressure, a column each.
Table several_states(std::span<const fuel::StateSheet> states, System system, Notes& notes) {
  const double pressure_Pa = states.front().state.pressure_Pa;
  Table table{.caption = "At " + units::print_both(pressure_Pa, Dimension::absolute_pressure, system),
              .columns = {{.title = "property", .kind = ColumnKind::text}, {.title = "unit", .kind = ColumnKind::text}},
              .rows = {}};
  for (const fuel::StateSheet& at : states) {
    table.columns.push_back(
        {.title = units::print(at.state.temperature_K, Dimension::temperature, system), .kind = ColumnKind::number});
  }
  for (std::size_t i = 0; i < fuel::state_quantities; ++i) {
    const auto quantity = static_cast<StateQuantity>(i);
    Row row{cell(std::string(name(quantity))), cell(shown(1.0, quantity, system).unit)};
    for (const fuel::StateSheet& at : states) {
      const auto& value = at.values[i];
      const std::string marks = notes.marks(value);
      row.push_back(cell((value ? shown(value->value, quantity, system).number : "-") + marks));
    }
    table.rows.push_back(std::move(row));
  }
  Row wax{cell("wax"), cell("")};
  for (const fuel::StateSheet& at : states) wax.push_back(cell(wax_word(at.cold)));
  table.rows.push_back(std::move(wax));
  return table;
}

std::string warning_of(const fuel::PropertySheet& sheet) {
  const auto any = [&](fuel::Cold cold) {
    return std::ranges::any_of(sheet.states, [&](const fuel::StateSheet& at) { return at.cold == cold; });
  };
  std::string text;
  if (any(fuel::Cold::below_cfpp)) text += "At or below the filter plugging point no filter is taken to pass. ";
  if (any(fuel::Cold::below_cloud_point)) {
    text += "Where there is or may be wax, the viscosity is that of the wax-free liquid and says nothing of a filter. ";
  }
  if (any(fuel::Cold::not_stated)) text += "Whether there is wax is not known: no cloud point of this fuel is stated. ";
  return text;
}

}  // namespace

Document fuel_page(const fuel::PropertySheet& sheet, const PaperOptions& options) {
  const System system = options.system;
  Document page;
  page.created = options.created;
  page.size = options.size;
  page.title = sheet.fuel.title;
  page.subtitle = sheet.fuel.id;
  page.subject = "Fuel properties";
  Notes notes;
  if (sheet.states.size() == 1) {
    page.blocks.emplace_back(one_state(sheet.states.front(), system, notes));
  } else {
    const std::span<const fuel::StateSheet> all(sheet.states);
    for (std::size_t i = 0; i < all.size();) {
      std::size_t end = i + 1;
      while (end < all.size() && end - i < states_per_table && all[end].state.pressure_Pa == all[i].state.pressure_Pa) {
        ++end;
      }
      page.blocks.emplace_back(several_states(all.subspan(i, end - i), system, notes));
      i = end;
    }
  }
  Table facts{.caption = "", .columns = columns_of_both(system, "the fuel itself"), .rows = {}};
  for (std::size_t i = 0; i < fuel::fuel_quantities; ++i) {
    facts.rows.push_back(both_systems(sheet.values[i], static_cast<FuelQuantity>(i), system, notes));
  }
  page.blocks.emplace_back(std::move(facts));
  if (const std::string warning = warning_of(sheet); !warning.empty()) {
    page.blocks.emplace_back(Paragraph{.spans = plain(warning), .small = false});
  }
  if (!notes.empty()) {
    page.blocks.emplace_back(
        Paragraph{.spans = plain("Marked numbers are extrapolated, estimated or not known:"), .small = false});
    page.blocks.emplace_back(notes.list());
  }
  std::string source = "Values of the fuel: " + sheet.fuel.source;
  for (const fuel::Share& share : sheet.fuel.shares)
    source += fmt::format("; {}: {}", share.fuel.id, share.fuel.source);
  page.blocks.emplace_back(
      Paragraph{.spans = plain(source + ". \"Good to\" is judged, 95 cases in 100."), .small = true});
  return page;
}

}  // namespace fw::report
