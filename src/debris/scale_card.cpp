// SPDX-License-Identifier: Apache-2.0
#include "debris/scale_card.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "debris/dark_spots.hpp"
#include "numerics/dense.hpp"
#include "numerics/quantile.hpp"

namespace fw::debris {

namespace {

constexpr std::size_t most_points = 64'000'000;
constexpr std::size_t search_side = 2000;  // points on the longer side where marks are looked for
constexpr double dark_share = 0.7;         // of the surroundings: a mark
constexpr std::size_t most_candidates = 20;
constexpr double least_mark_points = 40.0;  // in the picture that is searched
constexpr double fill_tolerance = 0.08;
constexpr double least_axis_ratio = 0.45;
constexpr double place_tolerance_m = 1.5e-3;
constexpr double area_tolerance = 0.35;
constexpr double largest_pixel_m = 0.2e-3;
constexpr double largest_slant = 1.8;
constexpr double largest_misfit_m = 0.5e-3;
constexpr double largest_edge_m = 0.6e-3;
constexpr double least_contrast = 0.15;  // linear, paper less disc
constexpr int burnt_level = 253;
constexpr double most_burnt = 0.05;
constexpr double least_ground = 0.35;
constexpr double most_metal = 0.7;
constexpr double strict = 0.45, usual = 0.60, lenient = 0.75;  // of the ground's brightness
constexpr double glare_over = 1.25;
constexpr double glare_m2 = 4e-6;
constexpr double frame_inset_m = 1e-3;
constexpr double finest_pitch_m = 0.05e-3;
constexpr double smallest_speck_m = 0.2e-3;

double linear(double level) {
  const double s = level / 255.0;
  return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);  // IEC 61966-2-1
}

struct Place {
  double x = 0.0;
  double y = 0.0;
};

/// Plane map from the card to the picture.
struct Perspective {
  std::array<double, 9> h{};  ///< metres on the card to points

  [[nodiscard]] Place at(const CardPoint& p) const {
    const double w = h[6] * p.x_m + h[7] * p.y_m + h[8];
    return {.x = (h[0] * p.x_m + h[1] * p.y_m + h[2]) / w, .y = (h[3] * p.x_m + h[4] * p.y_m + h[5]) / w};
  }
  /// Points^2 of the picture for 1 m2 of the card; negative: mirrored.
  [[nodiscard]] double area_scale(const CardPoint& p) const {
    const double w = h[6] * p.x_m + h[7] * p.y_m + h[8];
    const double det =
        h[0] * (h[4] * h[8] - h[5] * h[7]) - h[1] * (h[3] * h[8] - h[5] * h[6]) + h[2] * (h[3] * h[7] - h[4] * h[6]);
    return det / (w * w * w);
  }
};

/// Least squares over the discs named, h[8] = 1 in lengths of the card's width. nullopt: they do not fix it.
std::optional<Perspective> perspective(std::span<const Place> seen, std::span<const CardDisc> discs) {
  const std::size_t n = seen.size();
  constexpr double scale = card_width_m;
  double size = 1.0;
  for (const Place& place : seen) size = std::max({size, std::abs(place.x), std::abs(place.y)});
  numerics::Matrix a(2 * n, 8);
  std::vector<double> b(2 * n);
  for (std::size_t i = 0; i < n; ++i) {
    const double x = discs[i].centre.x_m / scale;
    const double y = discs[i].centre.y_m / scale;
    const double u = seen[i].x / size;
    const double v = seen[i].y / size;
    const std::array<std::array<double, 8>, 2> rows{
        {{x, y, 1, 0, 0, 0, -u * x, -u * y}, {0, 0, 0, x, y, 1, -v * x, -v * y}}};
    for (std::size_t k = 0; k < 2; ++k) {
      for (std::size_t c = 0; c < 8; ++c) a(2 * i + k, c) = rows[k][c];
    }
    b[2 * i] = u;
    b[2 * i + 1] = v;
  }
  const numerics::LeastSquares solved = numerics::least_squares(a, b);
  if (solved.rank < 8) return std::nullopt;
  const std::vector<double>& x = solved.x;
  return Perspective{{x[0] * size / scale, x[1] * size / scale, x[2] * size, x[3] * size / scale, x[4] * size / scale,
                      x[5] * size, x[6] / scale, x[7] / scale, 1.0}};
}

/// The picture made smaller by whole factors, linear levels.
struct Light {
  std::size_t width = 0;
  std::size_t height = 0;
  std::size_t factor = 1;
  std::vector<double> of;
};

class Reader {
 public:
  explicit Reader(const Picture& picture) : picture_(picture) {
    for (std::size_t i = 0; i < 256; ++i) linear_[i] = linear(static_cast<double>(i));
  }

  Result<CardReading> read();

 private:
  static tl::unexpected<Errors> refuse(std::string found, std::string expected, std::string hint) {
    return invalid("photo", std::move(found), std::move(expected), std::move(hint));
  }

  [[nodiscard]] Light smaller() const;
  [[nodiscard]] static std::vector<Spot> candidates(const Light& light);
  [[nodiscard]] Result<Perspective> find();
  [[nodiscard]] Result<void> check_shape();
  [[nodiscard]] Result<void> check_edges();
  [[nodiscard]] Result<void> read_light();
  [[nodiscard]] Result<CardReading> measure() const;

  /// Linear level between points; nearest point outside.
  [[nodiscard]] double at(const Place& place) const {
    const double x = std::clamp(place.x, 0.0, static_cast<double>(picture_.width - 1));
    const double y = std::clamp(place.y, 0.0, static_cast<double>(picture_.height - 1));
    const auto left = std::min(static_cast<std::size_t>(x), picture_.width - 2);
    const auto top = std::min(static_cast<std::size_t>(y), picture_.height - 2);
    const double right = x - static_cast<double>(left);
    const double down = y - static_cast<double>(top);
    const std::uint8_t* row = &picture_.level[top * picture_.width + left];
    const std::uint8_t* below = row + picture_.width;
    return (1.0 - down) * ((1.0 - right) * linear_[row[0]] + right * linear_[row[1]]) +
           down * ((1.0 - right) * linear_[below[0]] + right * linear_[below[1]]);
  }
  [[nodiscard]] int raw(const Place& place) const {
    const auto x =
        static_cast<std::size_t>(std::clamp(std::round(place.x), 0.0, static_cast<double>(picture_.width - 1)));
    const auto y =
        static_cast<std::size_t>(std::clamp(std::round(place.y), 0.0, static_cast<double>(picture_.height - 1)));
    return picture_.level[y * picture_.width + x];
  }
  [[nodiscard]] double light_at(const CardPoint& p) const {
    const double x = p.x_m / card_width_m;
    const double y = p.y_m / card_width_m;
    return surface_[0] + surface_[1] * x + surface_[2] * y + surface_[3] * x * x + surface_[4] * x * y +
           surface_[5] * y * y;
  }

  const Picture& picture_;
  std::array<double, 256> linear_{};
  Perspective map_;
  std::array<double, 6> surface_{};
  double pixel_m_ = 0.0;
  double edge_m_ = 0.0;
  double misfit_m_ = 0.0;
};

Light Reader::smaller() const {
  Light light;
  light.factor = std::max<std::size_t>(1, (std::max(picture_.width, picture_.height) + search_side - 1) / search_side);
  light.width = picture_.width / light.factor;
  light.height = picture_.height / light.factor;
  light.of.assign(light.width * light.height, 0.0);
  const double share = 1.0 / static_cast<double>(light.factor * light.factor);
  for (std::size_t y = 0; y < light.height * light.factor; ++y) {
    for (std::size_t x = 0; x < light.width * light.factor; ++x) {
      light.of[(y / light.factor) * light.width + x / light.factor] +=
          share * linear_[picture_.level[y * picture_.width + x]];
    }
  }
  return light;
}

std::vector<Spot> Reader::candidates(const Light& light) {
  const std::size_t width = light.width;
  const std::size_t height = light.height;
  // Sums over rectangles, so that the mean round every point costs the same.
  std::vector<double> sum((width + 1) * (height + 1), 0.0);
  for (std::size_t y = 0; y < height; ++y) {
    double row = 0.0;
    for (std::size_t x = 0; x < width; ++x) {
      row += light.of[y * width + x];
      sum[(y + 1) * (width + 1) + x + 1] = sum[y * (width + 1) + x + 1] + row;
    }
  }
  const std::size_t reach = std::max<std::size_t>(8, std::max(width, height) / 16);
  std::vector<std::uint8_t> dark(width * height, 0);
  for (std::size_t y = 0; y < height; ++y) {
    const std::size_t top = y > reach ? y - reach : 0;
    const std::size_t bottom = std::min(height, y + reach + 1);
    for (std::size_t x = 0; x < width; ++x) {
      const std::size_t left = x > reach ? x - reach : 0;
      const std::size_t right = std::min(width, x + reach + 1);
      const double total = sum[bottom * (width + 1) + right] - sum[top * (width + 1) + right] -
                           sum[bottom * (width + 1) + left] + sum[top * (width + 1) + left];
      const double mean = total / static_cast<double>((bottom - top) * (right - left));
      if (light.of[y * width + x] < dark_share * mean) dark[y * width + x] = 1;
    }
  }
  std::vector<Spot> marks;
  for (const Spot& spot : spots(dark, width, height)) {
    const double points = static_cast<double>(spot.points);
    if (spot.at_border || points < least_mark_points) continue;
    const double det = spot.xx * spot.yy - spot.xy * spot.xy;
    if (!(det > 0.0)) continue;
    const double ellipse = 4.0 * std::numbers::pi * std::sqrt(det);
    const double middle = 0.5 * (spot.xx + spot.yy);
    const double apart = std::sqrt(std::max(0.0, middle * middle - det));
    if (std::abs(points / ellipse - 1.0) > fill_tolerance) continue;
    if (std::sqrt((middle - apart) / (middle + apart)) < least_axis_ratio) continue;
    marks.push_back(spot);
  }
  std::ranges::stable_sort(marks, std::greater<>{}, &Spot::points);
  if (marks.size() > most_candidates) marks.resize(most_candidates);
  return marks;
}

/// How badly four spots and the best fifth fit the card; nullopt: not at all.
std::optional<double> fit(const std::array<Spot, 4>& corners, std::span<const Spot> all, bool mirrored,
                          Perspective& best_map) {
  std::array<CardDisc, 5> discs = card_discs;
  if (mirrored) {
    for (CardDisc& disc : discs) disc.centre.x_m = card_width_m - disc.centre.x_m;
  }
  std::array<Place, 5> seen{};
  for (std::size_t i = 0; i < 4; ++i) seen.at(i) = {.x = corners.at(i).x, .y = corners.at(i).y};
  const auto map = perspective(std::span(seen).first(4), std::span(discs).first(4));
  if (!map) return std::nullopt;
  const auto area_error = [&](const Spot& spot, const CardDisc& disc) {
    const double scale = std::abs(map->area_scale(disc.centre));
    const double expected = std::numbers::pi * disc.radius_m * disc.radius_m * scale;
    return expected > 0.0 ? std::abs(std::log(static_cast<double>(spot.points) / expected))
                          : std::numeric_limits<double>::infinity();
  };
  double badness = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    const double error = area_error(corners.at(i), discs.at(i));
    if (error > area_tolerance) return std::nullopt;
    badness += error;
  }
  const Place expected = map->at(discs[4].centre);
  const double scale = std::sqrt(std::abs(map->area_scale(discs[4].centre)));
  std::optional<double> best;
  for (const Spot& spot : all) {
    const double away = std::hypot(spot.x - expected.x, spot.y - expected.y) / scale;
    const double error = area_error(spot, discs[4]);
    if (away > place_tolerance_m || error > area_tolerance) continue;
    const double whole = badness + error + away / place_tolerance_m;
    if (best && *best <= whole) continue;
    seen[4] = {.x = spot.x, .y = spot.y};
    const auto refined = perspective(seen, discs);
    if (!refined) continue;
    best = whole;
    best_map = *refined;
  }
  return best;
}

Result<Perspective> Reader::find() {
  const Light light = smaller();
  const std::vector<Spot> marks = candidates(light);
  std::optional<double> best;
  bool mirrored = false;
  Perspective map;
  const std::size_t n = marks.size();
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = a + 1; b < n; ++b) {
      for (std::size_t c = b + 1; c < n; ++c) {
        for (std::size_t d = c + 1; d < n; ++d) {
          std::array<Spot, 4> four{marks[a], marks[b], marks[c], marks[d]};
          // The list is ordered by size: the ends differ most.
          if (marks[a].points > 5 * marks[d].points) continue;
          const double x = 0.25 * (four[0].x + four[1].x + four[2].x + four[3].x);
          const double y = 0.25 * (four[0].y + four[1].y + four[2].y + four[3].y);
          std::ranges::sort(four, {}, [x, y](const Spot& spot) { return std::atan2(spot.y - y, spot.x - x); });
          for (std::size_t turn = 0; turn < 4; ++turn) {
            std::ranges::rotate(four, four.begin() + 1);
            for (const bool flipped : {false, true}) {
              std::array<Spot, 4> order = four;
              if (flipped) std::ranges::reverse(order);
              Perspective one;
              const auto badness = fit(order, marks, flipped, one);
              if (!badness || (best && *best <= *badness)) continue;
              best = badness;
              mirrored = flipped;
              map = one;
            }
          }
        }
      }
    }
  }
  if (!best) {
    return refuse(fmt::format("{} round dark marks, no five of which are the card's", n),
                  "the five discs of the card, all in the picture",
                  "Photograph the whole card from above, flat, in even light, with nothing over its discs");
  }
  if (mirrored) {
    return refuse("a mirrored card", "the card as printed",
                  "Turn mirroring off in the camera, or take the picture from the other side");
  }
  // From points of the smaller picture to those of the whole one, whose centres lie at whole numbers.
  const double factor = static_cast<double>(light.factor);
  const double shift = 0.5 * (factor - 1.0);
  for (std::size_t i = 0; i < 3; ++i) {
    map.h.at(i) = factor * map.h.at(i) + shift * map.h.at(6 + i);
    map.h.at(3 + i) = factor * map.h.at(3 + i) + shift * map.h.at(6 + i);
  }
  return map;
}

Result<void> Reader::check_shape() {
  double least = std::numeric_limits<double>::infinity();
  double most = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    const double scale = std::sqrt(std::abs(map_.area_scale(card_discs.at(i).centre)));
    least = std::min(least, scale);
    most = std::max(most, scale);
  }
  pixel_m_ = 1.0 / least;
  if (pixel_m_ > largest_pixel_m) {
    return refuse(fmt::format("{:.2f} mm to a point of the picture", pixel_m_ * 1e3),
                  fmt::format("{:.2f} mm or less", largest_pixel_m * 1e3),
                  "Go nearer, so that the card fills the picture");
  }
  if (most / least > largest_slant) {
    return refuse(fmt::format("a scale that varies by a factor of {:.1f} over the card", most / least),
                  fmt::format("{:.1f} or less", largest_slant), "Hold the camera straight above the card");
  }
  return {};
}

Result<void> Reader::check_edges() {
  constexpr int directions = 24;
  constexpr int steps = 200;
  double lowest_contrast = std::numeric_limits<double>::infinity();
  for (const CardDisc& disc : card_discs) {
    std::vector<double> widths;
    // Half-way points all round: the mean of their directions is the disc's shift from its place.
    double right = 0.0;
    double down = 0.0;
    for (int k = 0; k < directions; ++k) {
      const double angle = 2.0 * std::numbers::pi * k / directions;
      const auto along = [&](double share) {
        return at(map_.at({.x_m = disc.centre.x_m + share * disc.radius_m * std::cos(angle),
                           .y_m = disc.centre.y_m + share * disc.radius_m * std::sin(angle)}));
      };
      double inner = 0.0;
      double outer = 0.0;
      for (int i = 0; i < 8; ++i) {
        inner += along(0.30 + 0.03 * i) / 8.0;
        outer += along(1.35 + 0.02 * i) / 8.0;
      }
      lowest_contrast = std::min(lowest_contrast, outer - inner);
      if (!(outer - inner > 0.0)) continue;
      double low = std::numeric_limits<double>::quiet_NaN();
      double half = low;
      double high = low;
      for (int i = 0; i <= steps; ++i) {
        const double share = 0.5 + i * 0.9 / steps;
        const double level = (along(share) - inner) / (outer - inner);
        if (std::isnan(low) && level > 0.1) low = share;
        if (std::isnan(half) && level > 0.5) half = share;
        if (std::isnan(high) && level > 0.9) high = share;
      }
      if (std::isnan(half)) continue;
      // Never reaching 90 % within reach is a wide edge too.
      widths.push_back(((std::isnan(high) ? 1.4 : high) - low) * disc.radius_m);
      right += half * std::cos(angle) * 2.0 / directions;
      down += half * std::sin(angle) * 2.0 / directions;
    }
    misfit_m_ = std::max(misfit_m_, 0.5 * std::hypot(right, down) * disc.radius_m);
    if (widths.empty()) continue;
    std::ranges::sort(widths);
    edge_m_ = std::max(edge_m_, numerics::quantile_of_sorted(widths, 0.5));
  }
  if (lowest_contrast < least_contrast) {
    return refuse(fmt::format("discs only {:.0f} % darker than white against their paper", 100.0 * lowest_contrast),
                  fmt::format("{:.0f} % or more", 100.0 * least_contrast),
                  "Give more light, without shadows over the card");
  }
  if (edge_m_ > largest_edge_m) {
    return refuse(fmt::format("edges {:.2f} mm wide", edge_m_ * 1e3),
                  fmt::format("{:.2f} mm or less", largest_edge_m * 1e3),
                  "The picture is blurred: hold still, let the camera focus on the card");
  }
  if (misfit_m_ > largest_misfit_m) {
    return refuse(fmt::format("a disc {:.2f} mm from its place", misfit_m_ * 1e3),
                  fmt::format("{:.2f} mm or less", largest_misfit_m * 1e3),
                  "The card is bent: lay it flat, or stick it to a board");
  }
  return {};
}

Result<void> Reader::read_light() {
  struct Sample {
    CardPoint at;
    double level;
  };
  constexpr double off = 0.5 * card_lane_m;
  constexpr double step = 1.5e-3;
  std::vector<Sample> samples;
  std::size_t burnt = 0;
  const auto take = [&](double x_m, double y_m) {
    const CardPoint p{.x_m = x_m, .y_m = y_m};
    double level = 0.0;
    bool full = false;
    for (int i = -1; i <= 1; ++i) {
      for (int j = -1; j <= 1; ++j) {
        const Place place = map_.at({.x_m = x_m + 0.4e-3 * i, .y_m = y_m + 0.4e-3 * j});
        level += at(place) / 9.0;
        full = full || raw(place) >= burnt_level;
      }
    }
    if (full) ++burnt;
    samples.push_back({p, level});
  };
  const CardFrame& f = card_frame;
  for (double x = f.from.x_m - off; x <= f.to.x_m + off; x += step) {
    take(x, f.from.y_m - off);
    take(x, f.to.y_m + off);
  }
  for (double y = f.from.y_m; y <= f.to.y_m; y += step) {
    take(f.from.x_m - off, y);
    take(f.to.x_m + off, y);
  }
  if (static_cast<double>(burnt) > most_burnt * static_cast<double>(samples.size())) {
    return refuse(fmt::format("white paper burnt out at {:.0f} % of the frame's lane",
                              100.0 * static_cast<double>(burnt) / static_cast<double>(samples.size())),
                  fmt::format("{:.0f} % or less", 100.0 * most_burnt),
                  "Take away the glare: no flash, light from the side, a shorter exposure");
  }
  // Twice: the second time without what stands off the first surface, such as dirt on the lane.
  for (int pass = 0; pass < 2; ++pass) {
    numerics::Matrix a(samples.size(), 6);
    std::vector<double> b(samples.size());
    for (std::size_t i = 0; i < samples.size(); ++i) {
      const double x = samples[i].at.x_m / card_width_m;
      const double y = samples[i].at.y_m / card_width_m;
      const std::array<double, 6> row{1.0, x, y, x * x, x * y, y * y};
      for (std::size_t c = 0; c < 6; ++c) a(i, c) = row.at(c);
      b[i] = samples[i].level;
    }
    const numerics::LeastSquares solved = numerics::least_squares(a, b);
    std::ranges::copy(solved.x, surface_.begin());
    if (pass == 1) break;
    std::vector<Sample> kept;
    for (const Sample& sample : samples) {
      if (std::abs(sample.level - light_at(sample.at)) < 0.1 * light_at(sample.at)) kept.push_back(sample);
    }
    if (kept.size() < samples.size() / 2) {
      return refuse("light that jumps along the frame", "even light on the card",
                    "Keep the lane round the frame clean and free of shadows");
    }
    samples = std::move(kept);
  }
  return {};
}

/// Holes inside the mask that are small enough to be glints of metal are filled.
void fill_glints(std::vector<std::uint8_t>& mask, std::size_t width, std::size_t height, double largest_points) {
  std::vector<std::uint8_t> outside(mask.size());
  std::ranges::transform(mask, outside.begin(), [](std::uint8_t m) { return m == 0 ? 1 : 0; });
  const Labels holes = label(outside, width, height, false);
  std::vector<std::size_t> points(holes.count + 1, 0);
  std::vector<bool> open(holes.count + 1, false);
  for (std::size_t i = 0; i < mask.size(); ++i) {
    const std::uint32_t one = holes.of[i];
    ++points[one];
    const std::size_t x = i % width;
    const std::size_t y = i / width;
    if (x == 0 || y == 0 || x + 1 == width || y + 1 == height) open[one] = true;
  }
  for (std::size_t i = 0; i < mask.size(); ++i) {
    const std::uint32_t one = holes.of[i];
    if (one != 0 && !open[one] && static_cast<double>(points[one]) <= largest_points) mask[i] = 1;
  }
}

Result<CardReading> Reader::measure() const {
  const double pitch_m = std::max(finest_pitch_m, 0.7 * pixel_m_);
  const double from_x = card_frame.from.x_m + frame_inset_m;
  const double from_y = card_frame.from.y_m + frame_inset_m;
  const auto width = static_cast<std::size_t>((card_frame.to.x_m - frame_inset_m - from_x) / pitch_m);
  const auto height = static_cast<std::size_t>((card_frame.to.y_m - frame_inset_m - from_y) / pitch_m);
  std::vector<double> bright(width * height);
  for (std::size_t y = 0; y < height; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      const CardPoint p{.x_m = from_x + (static_cast<double>(x) + 0.5) * pitch_m,
                        .y_m = from_y + (static_cast<double>(y) + 0.5) * pitch_m};
      bright[y * width + x] = at(map_.at(p)) / light_at(p);
    }
  }
  std::vector<double> sorted = bright;
  std::ranges::sort(sorted);
  // Metal covers less than `most_metal`: the brightest 30 % are ground.
  const double ground = numerics::quantile_of_sorted(sorted, 1.0 - 0.5 * (1.0 - most_metal));
  if (ground < least_ground) {
    return refuse(fmt::format("a ground with {:.0f} % of the paper's brightness", 100.0 * ground),
                  fmt::format("{:.0f} % or more", 100.0 * least_ground),
                  "Use a white cloth, or lift the metal with clear tape and stick it into the frame");
  }
  const double cell_m2 = pitch_m * pitch_m;
  const auto darker = [&](double share) {
    std::vector<std::uint8_t> mask(bright.size());
    std::ranges::transform(bright, mask.begin(), [&](double b) { return b < share * ground ? 1 : 0; });
    fill_glints(mask, width, height, glare_m2 / cell_m2);
    return mask;
  };
  {
    std::vector<std::uint8_t> glare(bright.size());
    std::ranges::transform(bright, glare.begin(), [&](double b) { return b > glare_over * ground ? 1 : 0; });
    for (const Spot& spot : spots(glare, width, height)) {
      const double area_m2 = static_cast<double>(spot.points) * cell_m2;
      if (area_m2 > glare_m2) {
        return refuse(fmt::format("a spot of {:.0f} mm2 brighter than its ground", area_m2 * 1e6),
                      fmt::format("{:.0f} mm2 or less", glare_m2 * 1e6),
                      "Take away the glare: no flash, light from the side");
      }
    }
  }
  const double smallest_m = std::max({smallest_speck_m, 3.0 * pixel_m_, edge_m_});
  const double least_points = 0.25 * std::numbers::pi * smallest_m * smallest_m / cell_m2;
  const auto area_of = [&](const std::vector<Spot>& all) {
    double points = 0.0;
    for (const Spot& spot : all) {
      if (static_cast<double>(spot.points) >= least_points) points += static_cast<double>(spot.points);
    }
    return points * cell_m2;
  };
  const std::vector<Spot> metal = spots(darker(usual), width, height);
  const double scale_error = 2.0 * print_error + 2.0 * misfit_m_ / card_width_m;
  CardReading reading{.area_m2 = area_of(metal),
                      .area_low_m2 = area_of(spots(darker(strict), width, height)) * (1.0 - scale_error),
                      .area_high_m2 = area_of(spots(darker(lenient), width, height)) * (1.0 + scale_error),
                      .specks = {},
                      .smallest_m = smallest_m,
                      .pixel_m = pixel_m_,
                      .edge_m = edge_m_,
                      .misfit_m = misfit_m_,
                      .ground = ground};
  if (reading.area_m2 > most_metal * static_cast<double>(bright.size()) * cell_m2) {
    return refuse(fmt::format("metal on {:.0f} % of the frame",
                              100.0 * reading.area_m2 / (static_cast<double>(bright.size()) * cell_m2)),
                  fmt::format("{:.0f} % or less, so that its ground can be told", 100.0 * most_metal),
                  "Spread it thinner, or photograph a part of it");
  }
  reading.specks = {{.from_m = 0.2e-3, .to_m = 0.5e-3},
                    {.from_m = 0.5e-3, .to_m = 1e-3},
                    {.from_m = 1e-3, .to_m = 2e-3},
                    {.from_m = 2e-3, .to_m = std::numeric_limits<double>::infinity()}};
  for (const Spot& spot : metal) {
    if (static_cast<double>(spot.points) < least_points) continue;
    const double diameter_m = 2.0 * std::sqrt(static_cast<double>(spot.points) * cell_m2 / std::numbers::pi);
    for (SpeckClass& one : reading.specks) {
      if (diameter_m >= one.from_m && diameter_m < one.to_m) ++one.count;
    }
  }
  return reading;
}

Result<CardReading> Reader::read() {
  if (picture_.width < 64 || picture_.height < 64 || picture_.level.size() != picture_.width * picture_.height ||
      picture_.level.size() > most_points) {
    return refuse(fmt::format("a picture of {} x {} points", picture_.width, picture_.height),
                  "64 x 64 points or more, 64 million in all at most", "Take the photo as the telephone makes it");
  }
  auto map = find();
  if (!map) return fail(map.error());
  map_ = *map;
  if (const auto done = check_shape(); !done) return fail(done.error());
  if (const auto done = check_edges(); !done) return fail(done.error());
  if (const auto done = read_light(); !done) return fail(done.error());
  return measure();
}

}  // namespace

Result<CardReading> read_card(const Picture& picture) { return Reader(picture).read(); }

}  // namespace fw::debris
