// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/figure.hpp"

struct _cairo;  // NOLINT(bugprone-reserved-identifier): Cairo's own name

namespace fw::report {

/// Draws a figure at the current origin and scale of a Cairo context. Precondition: check(figure) succeeded.
void paint(::_cairo* cairo, const Figure& figure);
void paint(::_cairo* cairo, const Primitive& primitive);

/// Sets the source to the light colour of a role. Precondition: not Role::none.
void set_colour(::_cairo* cairo, Role role);

}  // namespace fw::report
