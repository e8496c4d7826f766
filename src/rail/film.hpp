// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"
#include "rail/pump.hpp"

/// Film between roller and cam: explains, decides nothing, stands on no owner's page.
namespace fw::rail {

/// A line contact of two bodies.
struct LineContact {
  double load_N_per_m = required;        ///< w, per length of the roller
  double radius_m = required;            ///< R of 1/R = 1/R1 + 1/R2
  double entraining_m_per_s = required;  ///< u = (u1 + u2)/2
  double modulus_Pa = 230.8e9;           ///< E' = 2/[(1 - nu1^2)/E1 + (1 - nu2^2)/E2], steel on steel
};
struct ContactOil {
  double viscosity_Pa_s = required;  ///< in the inlet of the contact
  double pressure_exponent_per_Pa = 0.0;
};
struct Film {
  double smallest_m = required;  ///< the larger of the elastic law and the rigid floor
  double central_m = required;
  double peak_Pa = required;  ///< Hertz
  double half_width_m = required;
  double lambda = required;  ///< over sqrt(Rq1^2 + Rq2^2); below 1 boundary, 1 to 3 mixed [-]
};
/// Dowson & Higginson (1966): h = 2.65 R U^0.70 G^0.54 W^-0.13; central (Dowson & Toyoda 1978)
/// 3.06 R U^0.69 G^0.56 W^-0.10; rigid floor (Martin) 4.9 eta u R/w. U = eta u/(E' R), G = alpha E', W = w/(E' R).
/// Laws from memory, standard. `roughness_m` = sqrt(Rq1^2 + Rq2^2).
/// Errors: invalid_input. Check: eta 0.04, u 2, R 0.02, w 5e5, alpha 2.2e-8: 510.5 nm, 681.1 nm, 0.9582 GPa, 332.2 um.
[[nodiscard]] Result<Film> line_film(const LineContact& contact, const ContactOil& oil, double roughness_m);

/// The cam's nose at a rail pressure and pump speed, relative to a healthy design point.
struct WearMargin {
  Film film{};
  Film design{};          ///< same contact, design fuel state
  double relative = 1.0;  ///< film over design film
  Range range = Range::fitted;
};
/// A fuel state of the contact: viscosity at the pump inlet's temperature and the exponent of its first 50 MPa.
/// Errors: as the fuel room.
[[nodiscard]] Result<ContactOil> contact_oil(const fuel::Fuel& fuel, double temperature_K);
/// Water wholly in the contact's inlet: 0.35 mPa s, no pressure exponent. A bounding case, never a function of ppm.
[[nodiscard]] ContactOil inlet_wholly_water();

/// Load: plunger area times rail pressure; radius of cam nose and roller; speed of the cam's surface there.
/// Errors: invalid_input, as cam_contact for an eccentric. `roughness_m` 0.0707 um is Rq 0.05 on both (typical).
[[nodiscard]] Result<WearMargin> wear_margin(const Pump& pump, double rail_Pa, double shaft_rev_per_s,
                                             const ContactOil& oil, const ContactOil& design,
                                             double roughness_m = 0.0707107e-6);

}  // namespace fw::rail
