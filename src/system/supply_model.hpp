// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <map>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "base/stated.hpp"
#include "fuel/fuel.hpp"
#include "hydraulics/network.hpp"
#include "hydraulics/relief.hpp"
#include "system/engine_law.hpp"
#include "system/line_sheet.hpp"
#include "system/running_point.hpp"

namespace fw::system {

/// How the unknown facts of the pumps are taken in one branch of the answer, by part id.
struct PumpFacts {
  Stopped stopped = Stopped::blocks;
  Surplus surplus = Surplus::to_own_inlet;
};
struct Branch {
  std::string title;  ///< "chassis pump blocks when stopped", "" if nothing is unknown
  std::map<std::string, PumpFacts> pumps;
  /// Which set the reliefs and regulators with hysteresis take.
  hydraulics::ReliefSet relief_set = hydraulics::ReliefSet::opening;
};

/// All combinations of the facts that are unknown and can matter: surplus of running pumps, what stopped pumps do, and,
/// where hysteresis is stated, whether the pressure has risen to the sets or fallen to them: a steady answer does not
/// say which. At most 8; the first is the most usual.
[[nodiscard]] std::vector<Branch> branches(const LineSheet& sheet);

/// Assumptions that hold for the whole sheet, each one draw for all parts.
struct Laws {
  Stated fitting_loss;  ///< factor on every fitting, bend, joint, entrance and exit loss [-]
  Stated density;       ///< factor on the fuel's density [-]
  Stated viscosity;     ///< factor on the fuel's viscosity [-]
  Stated release;       ///< share of the equilibrium gas that is released on the way, x_rel [-]
};
/// fitting loss lognormal 1.3 (common practice, no source), density 1 +/- 1 %, viscosity 1 +/- 15 % (assumed: grades
/// differ within their standard), x_rel log-uniform 0.02 to 1, median 0.14 (assumed, no rate is published).
[[nodiscard]] Laws default_laws();

/// One place along the fuel's way: the boundary after a part.
struct PlaceAt {
  std::string leg;
  std::string part;            ///< id of the part before; "" at the start of the leg
  std::string title;           ///< for people: title of the part, of the tank, "pump inlet"
  std::string port;            ///< test port, if any
  std::size_t part_index = 0;  ///< index in the leg, 0 = start of leg
};

/// What an air leak does at one running point.
struct AirLeak {
  std::string part;
  double air_m3_per_s = 0.0;   ///< drawn in, at ambient pressure; 0 where the place is above ambient
  double fuel_m3_per_s = 0.0;  ///< pressed out where the place is above ambient; reported, not taken from the flow
};

/// What a pump does at one running point.
struct PumpAnswer {
  std::string part;
  bool turning = true;
  double inlet_over_ambient_Pa = 0.0;
  double rise_Pa = 0.0;        ///< of static pressure from its inlet to its outlet
  double flow_m3_per_s = 0.0;  ///< liquid through the rotor, surplus included
  double inlet_void = 0.0;     ///< free gas by volume at its inlet, nominal release and leaks [-]
  double supply_V = 0.0;       ///< electric: at the battery
  double connector_V = 0.0;    ///< electric: at the motor, supply - current x harness
  double current_A = 0.0;      ///< electric: by the motor's law, or as stated; 0 where neither is known
  double tip_in_sag_Pa = 0.0;  ///< see tip_in_sag of the point
};

/// What a medium does at one running point.
struct MediumAnswer {
  std::string part;
  double flow_m3_per_s = 0.0;     ///< through it, its leak and its bypass
  double drop_Pa = 0.0;           ///< of hydraulic pressure: heights taken out
  double unfiltered_share = 0.0;  ///< of that flow, past the medium by a leak or an open bypass [-]
};

/// Fuel state and answers of one running point under one draw.
struct PointState {
  hydraulics::SolveStatus status = hydraulics::SolveStatus::converged;
  std::string trouble;  ///< names the element when not converged
  int iterations = 0;
  fuel::Liquid liquid;
  double ambient_Pa = 0.0;       ///< absolute
  double speed_per_s = 0.0;      ///< of the crank
  double demand_m3_per_s = 0.0;  ///< asked by the engine at its inlet
  double taken_m3_per_s = 0.0;   ///< liquid that reached it
  double well_fed_m3_per_s =
      0.0;  ///< what it would take from a good inlet: less than asked where the pump is too small
  double burned_m3_per_s = 0.0;
  double return_m3_per_s = 0.0;
  double inlet_over_ambient_Pa = 0.0;   ///< at the high-pressure pump's inlet
  double inlet_void = 0.0;              ///< free gas by volume at the inlet, nominal release [-]
  double inlet_void_equilibrium = 0.0;  ///< with full release: the bound [-]
  /// Liquid that reached the inlet less what the free gas there displaces: taken x (1 - void), nominal release.
  double delivered_liquid_m3_per_s = 0.0;
  std::vector<AirLeak> leaks;       ///< by leak, in the order of the sheet
  std::vector<PumpAnswer> pumps;    ///< by pump that is not bypassed, in the order of the sheet
  std::vector<MediumAnswer> media;  ///< by medium that is not bypassed, in the order of the sheet
  /// Sag [Pa] of the engine's inlet while the draw rises from 50 to 100 % in 0.3 s (assumed) in the line from the tank
  /// or the last turning pump: sum(rho L/A) dQ/dt, stiff bound.
  double inlet_tip_in_sag_Pa = 0.0;
  int passes = 1;                             ///< outer passes over gas at the pumps and crossed reliefs
  bool starved = false;                       ///< vapour-limited suction somewhere
  std::string starved_at;                     ///< title of the place
  bool unfilled = false;                      ///< the inlet lets the pump fill less than it could
  std::vector<double> place_over_ambient_Pa;  ///< by place
  std::vector<double> place_flow_m3_per_s;    ///< flow through the part before the place; start: first part
};

struct CaseContext;

/// A line sheet compiled once: network, slots for every stated number, and how to fill them.
class SupplyModel {
 public:
  struct Body;  ///< supply_body.hpp; for the files of this class only

  /// Errors: those of validate(); a required number that was not stated, by field; an unknown fuel or fitting.
  [[nodiscard]] static Result<SupplyModel> build(const LineSheet& sheet, const Branch& branch, const Laws& laws);

  /// Every stated number the model uses, each once; slot i of a draw is inputs()[i].
  [[nodiscard]] std::span<const Stated> inputs() const;
  [[nodiscard]] std::span<const PlaceAt> places() const;
  [[nodiscard]] const LineSheet& sheet() const;
  [[nodiscard]] const Branch& branch() const;
  /// Most likely values of all slots.
  [[nodiscard]] std::vector<double> nominal() const;
  /// All slots of one sample: numerics::draw of each input, but a share (quadratic share, pores or bore left, leak-off,
  /// release, eccentricity, level) is drawn from its spread cut to what is physical, by the same uniform number: u goes
  /// to F(least) + u (F(most) - F(least)). Use this, not numerics::draw: a draw out of range is refused by the laws.
  [[nodiscard]] std::vector<double> drawn(std::uint64_t seed, std::uint32_t sample) const;
  /// Physical range of an input; infinite where any size is.
  struct PhysicalRange {
    double least = -std::numeric_limits<double>::infinity();
    double most = std::numeric_limits<double>::infinity();
  };
  [[nodiscard]] PhysicalRange range_of(std::size_t input) const;
  /// Index of the place after a part; of the engine's inlet for "engine". not_found otherwise.
  [[nodiscard]] Result<std::size_t> place_of(std::string_view part) const;

  struct Case {
    RunningPoint point;
    std::span<const double> slots;                            ///< as inputs()
    double transition_reynolds = 0.0;                         ///< sampled transition of the friction law, 0: Churchill
    const std::vector<std::string>* stopped_pumps = nullptr;  ///< part ids that do not turn, beside the sheet's own
    /// Which set a relief or regulator with hysteresis takes: rising pressure, or falling.
    hydraulics::ReliefSet relief_set = hydraulics::ReliefSet::opening;
    /// Place of an outer temperature loop: fuel temperature by leg of the sheet. Its laws then use the liquid of its
    /// leg; flows stay volumes, and rho g z that of the point's temperature. Not given: the point's everywhere.
    const std::vector<double>* leg_temperature_K = nullptr;
    /// Not given: ConstantDemand.
    const EngineLaw* engine_law = nullptr;
  };
  /// Solves all cases in one batch. States come back in the order of the cases. Errors: cancelled; outside_model for
  /// a fuel temperature that no property covers; invalid_input for a draw that breaks a law.
  [[nodiscard]] Result<std::vector<PointState>> solve(std::span<const Case> cases, const Run& run) const;

 private:
  friend struct ModelBuild;
  struct Prepared;
  [[nodiscard]] Result<void> prepare(const Case& one, Prepared& prepared) const;
  [[nodiscard]] Result<void> answer(const CaseContext& context, const hydraulics::PointResults& solved, std::size_t row,
                                    PointState& state) const;
  [[nodiscard]] Result<std::vector<AirLeak>> leaks_of(const CaseContext& context,
                                                      const hydraulics::PointResults& solved, std::size_t row) const;
  [[nodiscard]] std::vector<double> carried_air(const hydraulics::PointResults& solved, std::size_t row,
                                                const std::vector<AirLeak>& leaks) const;
  std::shared_ptr<const Body> body_;
};

}  // namespace fw::system
