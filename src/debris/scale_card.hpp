// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

/// A printed card of known measures with metal on a pale ground inside its frame, and what one photo of it tells: area
/// of metal and specks by size. Theory: docs/theory/debris.md, section Scale card.
namespace fw::debris {

/// A grey picture, row by row from the top, sRGB levels.
struct Picture {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<std::uint8_t> level;
};

/// Lengths on the card from its upper left corner, x to the right, y down [m].
struct CardPoint {
  double x_m = required;
  double y_m = required;
};
struct CardDisc {
  CardPoint centre;
  double radius_m = required;
};
struct CardFrame {
  CardPoint from;
  CardPoint to;
};

inline constexpr double card_width_m = 0.148;
inline constexpr double card_height_m = 0.105;
/// Four discs at the corners, clockwise from the upper left, and a small one that tells which corner that is.
inline constexpr std::array<CardDisc, 5> card_discs{
    CardDisc{.centre = {.x_m = 0.010, .y_m = 0.010}, .radius_m = 0.004},
    CardDisc{.centre = {.x_m = 0.138, .y_m = 0.010}, .radius_m = 0.004},
    CardDisc{.centre = {.x_m = 0.138, .y_m = 0.095}, .radius_m = 0.004},
    CardDisc{.centre = {.x_m = 0.010, .y_m = 0.095}, .radius_m = 0.004},
    CardDisc{.centre = {.x_m = 0.026, .y_m = 0.010}, .radius_m = 0.0025}};
/// What lies inside counts.
inline constexpr CardFrame card_frame{.from = {.x_m = 0.029, .y_m = 0.022}, .to = {.x_m = 0.119, .y_m = 0.082}};
/// Round the frame a lane of this width stays blank paper: the light is read there.
inline constexpr double card_lane_m = 0.005;
/// Error of length of a printed card (assumed): the printer's scale, which the ruled line on the card tests.
inline constexpr double print_error = 0.01;

/// Specks whose circle of equal area has a diameter from `from_m` up to `to_m` (infinite: and more).
struct SpeckClass {
  double from_m = required;
  double to_m = required;
  std::size_t count = 0;
};

struct CardReading {
  double area_m2 = required;       ///< of metal inside the frame
  double area_low_m2 = required;   ///< darker than 0.45 of the ground, less the error of scale
  double area_high_m2 = required;  ///< darker than 0.75 of the ground, more the error of scale
  std::vector<SpeckClass> specks;  ///< 0.2 to 0.5, to 1, to 2 mm, and more
  double smallest_m = required;    ///< specks below this diameter are neither counted nor in the areas
  double pixel_m = required;       ///< on the card, where it is largest
  double edge_m = required;        ///< width from 10 to 90 % of the blurred edge of the discs, the worst disc
  double misfit_m = required;      ///< largest distance of a disc from where the other ones put it
  double ground = required;        ///< brightness of the ground over that of the paper [-]
};

/// Reads a photo of the card.
///
/// Discs: dark spots (below 0.7 of their surroundings) as filled as an ellipse of their second moments; the four and
/// one whose places and areas fit one perspective best. The plane map has eight coefficients, by least squares from the
/// five centres. Light: a quadratic surface through the blank lane round the frame. Metal: darker than 0.6 of the
/// ground (half-way between dark metal and cloth, so that blur moves the edge little), glints inside dark counted in.
///
/// Validity: a pale ground (above 0.35 of the paper) that fills the frame, metal on less than 0.7 of it, picture of 64
/// million points or less. All thresholds assumed.
///
/// Errors, one, invalid_input `photo`: no card (how many marks were found), mirrored, too far away (over 0.2 mm to a
/// point), too slanting (scale varies over 1.8), bent (misfit over 0.5 mm), blurred (edge over 0.6 mm), too dark, burnt
/// out (paper, or a spot over 4 mm2 brighter than its ground), ground too dark, hardly any ground visible.
///
/// Source: plane perspective by direct linear transform: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed.
/// (2004), 4.1; moments of an ellipse: area = 4 pi sqrt(det M). Check: drawn pictures of known area
/// (scale_card_test.cpp, tests of report with the printed card).
[[nodiscard]] Result<CardReading> read_card(const Picture& picture);

}  // namespace fw::debris
