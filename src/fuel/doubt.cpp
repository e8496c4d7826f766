// SPDX-License-Identifier: Apache-2.0
#include "fuel/doubt.hpp"

namespace fw::fuel {

std::string_view sentence(Doubt doubt) {
  switch (doubt) {
    case Doubt::density_temperature:
      return "The temperature is outside the range of the density law; the law is continued.";
    case Doubt::density_hot: return "Above 120 C the density law is far from its data.";
    case Doubt::stiffness_density:
      return "The density at 15 C is outside 790 to 880 kg/m3, for which bulk modulus and sound speed are derived.";
    case Doubt::stiffness_temperature:
      return "The temperature is outside the range of bulk modulus and sound speed; the law is continued.";
    case Doubt::stiffness_paraffinic: return "The bulk modulus of paraffinic fuel is an estimate.";
    case Doubt::pressure_above_fit:
      return "The pressure is above the range of the density law (250 MPa; 50 MPa with methyl ester).";
    case Doubt::pressure_freezing:
      return "Below 40 C and above 200 MPa a fuel may freeze under pressure; the liquid is assumed to last.";
    case Doubt::viscosity_temperature:
      return "The temperature is outside -20 to 100 C, the range of the tabulated viscosities; the law is continued.";
    case Doubt::viscosity_pressure:
      return "The rise of viscosity with pressure is borrowed from n-dodecane below 200 MPa.";
    case Doubt::viscosity_blend:
      return "The viscosity of this blend follows a rule for petroleum pairs; no source was found for these partners.";
    case Doubt::viscosity_stand_in: return "n-heptane stands in for the viscosity of petrol.";
    case Doubt::below_cloud_point:
      return "The fuel is at or below its cloud point: the viscosity is that of the wax-free liquid and not valid.";
    case Doubt::below_cfpp: return "The fuel is at or below its cold filter plugging point.";
    case Doubt::cold_by_blending:
      return "The cloud point of this blend is a first guess (linear in volume); no reliable rule exists, so wax is "
             "taken "
             "to be possible from the highest cloud point of its parts down.";
    case Doubt::vapour_temperature: return "The vapour pressure is extrapolated from 4 to 38 C.";
    case Doubt::vapour_stand_in: return "No vapour pressure of this fuel was found; No. 2 distillate stands in.";
    case Doubt::vapour_by_raoult:
      return "The vapour pressure of the petrol share assumes an ideal solution that has lost no light ends.";
    case Doubt::air_temperature: return "The temperature is outside -45 to 150 C, the scope of the air solubility law.";
    case Doubt::air_density: return "The density is outside 0.63 to 0.90 kg/L, the scope of the air solubility law.";
    case Doubt::air_ester: return "No air solubility of methyl ester was found; the density law is used unverified.";
    case Doubt::heat_temperature: return "The temperature is outside 0 to 200 C, the range of the heat capacity law.";
    case Doubt::heat_ester:
      return "Sources of the heat capacity of methyl ester differ by 13 %, and none gives its rise with temperature.";
    case Doubt::heat_light: return "The heat capacity law is meant for petroleum oils; petrol is outside its data.";
    case Doubt::conductivity_stand_in:
      return "The thermal conductivity law is for petroleum; none was found for this fuel.";
    case Doubt::water_temperature: return "The water solubility is extrapolated from 4 to 35 C.";
    case Doubt::water_stand_in: return "No water solubility of this fuel was found; No. 2 diesel stands in.";
    case Doubt::tension_temperature: return "The surface tension is known at 20 C only.";
    case Doubt::freezing_for_cloud: return "The freezing point stands for the cloud point.";
  }
  return "";
}

std::string to_text(Doubts doubts) {
  std::string text;
  for (unsigned i = 0; i < doubt_count; ++i) {
    const auto doubt = static_cast<Doubt>(i);
    if (!doubts.has(doubt)) continue;
    if (!text.empty()) text += ' ';
    text += sentence(doubt);
  }
  return text;
}

}  // namespace fw::fuel
