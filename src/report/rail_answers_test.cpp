// SPDX-License-Identifier: Apache-2.0
#include "report/rail_answers.hpp"

#include <gtest/gtest.h>

#include "report/paper_rail.hpp"
#include "report/text.hpp"

#include "judged_case.hpp"

namespace fw::report {
namespace {

using test::says;

RailRun run_down_to(double lowest_Pa) {
  RailRun run{.sheet = "as found", .profile = "relief-stuck", .vapour_Pa = 500.0};
  run.run.lowest_Pa = lowest_Pa;
  run.run.highest_Pa = 120e6;
  run.run.mass = {.start_kg = 0.02, .end_kg = 0.02};
  run.run.trace = {{.time_s = 0.0, .rail_Pa = 30e6, .injector_Pa = 30e6, .set_Pa = 30e6, .crank_rev_per_s = 12.0}};
  return run;
}

std::string words(const RailRun& run) {
  return render_text(rail_run_page(run, {.created = "2031-05-04T10:00:00Z"}), 400).value();
}

// A gauge can not show less than no pressure at all: what the floor is stands in words.
TEST(RailAnswers, SayWhatTheFloorOfThePressureIs) {
  const std::string torn = words(run_down_to(100.0));
  EXPECT_TRUE(says(torn, "between fuel vapour and")) << torn;
  EXPECT_TRUE(says(torn, "turns to vapour")) << torn;
  const std::string whole = words(run_down_to(20e6));
  EXPECT_FALSE(says(whole, "vapour")) << whole;
}

TEST(RailAnswers, SayWhatALargerPumpWouldChange) {
  assess::RailCapacity answer;
  answer.swap_limit = rail::Limit::injector;
  EXPECT_TRUE(says(swap_sentence(answer), "change nothing: the injectors stay the limit"));
  answer.swap_ratio = 1.08;
  answer.swap_inlet_ratio = 1.12;
  answer.swap_limit = rail::Limit::supply;
  const std::string words = swap_sentence(answer);
  EXPECT_TRUE(says(words, "+8 %")) << words;
  EXPECT_TRUE(says(words, "+12 %")) << words;
  EXPECT_TRUE(says(words, "the supply,")) << words;
}

}  // namespace
}  // namespace fw::report
