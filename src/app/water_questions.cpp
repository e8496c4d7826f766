// SPDX-License-Identifier: Apache-2.0
#include "app/water_questions.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "app/catalog_answer.hpp"
#include "app/open_case.hpp"
#include "assess/kept_sections.hpp"
#include "assess/water_section.hpp"
#include "casefile/fuel_report.hpp"
#include "debris/beta.hpp"
#include "fuel/fuel_text.hpp"
#include "report/flush_answers.hpp"
#include "report/fuel_report_answers.hpp"
#include "report/text.hpp"
#include "report/water_answers.hpp"

namespace fw::app {

Result<SupplyAnswer> water_answer(const std::string& target, supply::Climate climate, const Request& request,
                                  const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto job = open_case_or_sheet(target, *catalog);
  if (!job) return fail(job.error());
  assess::WaterFacts facts = assess::water_facts(*job, request.seed);
  if (job->folder.empty()) facts.climate = climate;  // a sheet alone has none of its own
  assess::NoStore nowhere;
  const auto section = assess::kept_water(job->sheets, facts, run, request.store == nullptr ? nowhere : *request.store);
  if (!section) return fail(section.error());
  auto text = report::render_text(
      report::water_page(*section, {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::water_json(*section)};
}

Result<SupplyAnswer> fuel_report_answer(const std::string& target, const Request& request) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto report = casefile::read_fuel_report_of(target, catalog->spreads);
  if (!report) return fail(report.error());
  const auto verdict = diagnosis::read_together(*report);
  if (!verdict) return fail(verdict.error().in_file(report->origin.file));
  auto text = report::render_text(
      report::fuel_report_page(*report, *verdict,
                               {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  SupplyAnswer answer{.text = std::move(*text), .json = report::fuel_report_json(*report, *verdict)};
  answer.fails = std::ranges::any_of(verdict->lines, [](const diagnosis::ReportLine& line) {
    return line.outcome == diagnosis::ReportOutcome::beyond;
  });
  return answer;
}

namespace {

/// Numbers of a clean-up as typed; keeps the first fault, named by its option.
class Typed {
 public:
  double number(const std::string& text, units::Dimension dimension, const char* option) {
    const auto parsed = units::parse(text, dimension);
    if (!parsed) keep(parsed.error().in_field(option));
    return parsed.value_or(required);
  }
  debris::IsoCode code(const std::string& text, const char* option) {
    const auto parsed = debris::parse_code(text);
    if (!parsed) keep(renamed(parsed.error(), option));
    return parsed.value_or(debris::IsoCode{});
  }
  void keep(const Errors& errors) {
    if (!fault_) fault_ = errors;
  }
  static Errors renamed(const Errors& errors, const char* option) {
    Error first = errors.front();
    first.where.field = option;
    return Errors(std::move(first));
  }
  [[nodiscard]] const std::optional<Errors>& fault() const { return fault_; }

 private:
  std::optional<Errors> fault_;
};

}  // namespace

Result<SupplyAnswer> flush_answer(const FlushQuestion& question, const Request& request) {
  using units::Dimension;
  Typed typed;
  report::FlushAnswer answer;
  answer.loop.volume_m3 = typed.number(question.tank, Dimension::volume, "--tank");
  answer.loop.flow_m3_per_s = typed.number(question.flow, Dimension::volume_flow, "--flow");
  answer.from = typed.code(question.from, "--from");
  answer.to = typed.code(question.to, "--to");
  std::vector<double> efficiencies;
  for (const std::string& text : question.beta) {
    const double beta = typed.number(text, Dimension::ratio, "--beta");
    if (typed.fault()) break;
    const auto share = debris::efficiency(beta);
    if (share) {
      efficiencies.push_back(*share);
    } else {
      typed.keep(Typed::renamed(share.error(), "--beta"));
    }
  }
  if (typed.fault()) return fail(*typed.fault());
  if (efficiencies.size() == 1) efficiencies.assign(3, efficiencies.front());
  if (efficiencies.size() != 3) {
    return invalid("--beta", fmt::format("{} numbers", efficiencies.size()),
                   "one, at 4 um(c), or three, at 4, 6 and 14", "Write for example --beta 1000");
  }
  answer.loop.efficiency = efficiencies.front();
  if (!question.ingress.empty()) {
    answer.loop.source_per_s = typed.number(question.ingress, Dimension::ratio, "--ingress") / 60.0;
  }
  debris::FlushPlan plan{.flow_m3_per_s = answer.loop.flow_m3_per_s,
                         .equipment_rated_for_petrol = question.rated_for_petrol};
  if (!question.flash.empty()) plan.flash_point_K = typed.number(question.flash, Dimension::temperature, "--flash");
  const double temperature_K = typed.number(question.at, Dimension::temperature, "--at");
  const auto fuel = fuel::fuel_of_text(question.fuel);
  if (!fuel) typed.keep(Typed::renamed(fuel.error(), "--fuel"));
  if (!question.bore.empty()) plan.bore_m = typed.number(question.bore, Dimension::bore, "--bore");
  if (!question.service.empty()) {
    plan.service_flow_m3_per_s = typed.number(question.service, Dimension::volume_flow, "--service");
  }
  if (typed.fault()) return fail(*typed.fault());
  if (question.bore.empty() != question.service.empty()) {
    return invalid(question.bore.empty() ? "--bore" : "--service", "nothing",
                   "a line needs its bore and its service flow",
                   "Write for example --bore \"8 mm\" --service \"150 L/h\"");
  }
  const auto viscosity = fuel::kinematic_viscosity_m2_per_s(*fuel, temperature_K);
  if (!viscosity) return fail(Typed::renamed(viscosity.error(), "--at"));
  plan.kinematic_viscosity_m2_per_s = viscosity->value;
  const bool line = !question.bore.empty();
  // Fire and static charge concern the tank alone too: any bore that is turbulent and has no service flow stands in.
  debris::FlushPlan judged = plan;
  if (!line) {
    judged.bore_m = answer.loop.flow_m3_per_s / (viscosity->value * 1e4);
    judged.service_flow_m3_per_s = 0.0;
  }
  auto cautions = debris::judge_flush(judged);
  if (!cautions) return fail(cautions.error());
  answer.cautions = std::move(*cautions);
  if (line) {
    const auto needed = debris::flush_flow(plan.bore_m, plan.kinematic_viscosity_m2_per_s);
    if (!needed) return fail(needed.error());
    const auto at = debris::reynolds(plan.flow_m3_per_s, plan.bore_m, plan.kinematic_viscosity_m2_per_s);
    const auto service = debris::reynolds(plan.service_flow_m3_per_s, plan.bore_m, plan.kinematic_viscosity_m2_per_s);
    if (!at) return fail(at.error());
    if (!service) return fail(service.error());
    answer.line = report::FlushAnswer::Line{.bore_m = plan.bore_m,
                                            .service_m3_per_s = plan.service_flow_m3_per_s,
                                            .needed = *needed,
                                            .reynolds = *at,
                                            .service_reynolds = *service};
  }
  const auto clean = debris::time_to_code(answer.loop, efficiencies, answer.from, answer.to);
  if (!clean) return fail(clean.error());
  answer.clean_up = *clean;
  if (!question.dead.empty()) {
    debris::StirredTanks tanks{.loop = answer.loop};
    tanks.dead_share = typed.number(question.dead, Dimension::ratio, "--dead");
    if (!question.exchange.empty()) {
      tanks.exchange_m3_per_s = typed.number(question.exchange, Dimension::volume_flow, "--exchange");
    }
    if (typed.fault()) return fail(*typed.fault());
    const auto entry = static_cast<std::size_t>(clean->governing_entry);
    tanks.loop.efficiency = efficiencies[entry];
    const auto time =
        debris::time_with_dead_volume_s(tanks, debris::bounds(answer.from.entries[entry].number).upper_per_m3,
                                        debris::bounds(answer.to.entries[entry].number).upper_per_m3);
    if (!time) return fail(time.error());
    answer.dead_share = tanks.dead_share;
    answer.with_dead_volume_s = *time;
  }
  if (!question.extracted.empty()) {
    std::vector<double> masses;
    for (const std::string& text : question.extracted) {
      masses.push_back(typed.number(text, Dimension::mass, "--extracted"));
    }
    if (typed.fault()) return fail(*typed.fault());
    const auto decay = debris::judge_decay(masses);
    if (!decay) return fail(Typed::renamed(decay.error(), "--extracted"));
    answer.decay = *decay;
  }
  std::vector<debris::IsoCode> samples;
  for (const std::string& text : question.samples) samples.push_back(typed.code(text, "--sample"));
  if (typed.fault()) return fail(*typed.fault());
  answer.samples = samples.size();
  if (samples.size() >= 2) {
    const auto verified = debris::two_samples_at_target(samples, answer.to);
    if (!verified) return fail(Typed::renamed(verified.error(), "--sample"));
    answer.verified = *verified;
  }
  auto text = report::render_text(
      report::flush_page(answer, {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{
      .text = std::move(*text), .json = report::flush_json(answer), .fails = !answer.verified.value_or(false)};
}

}  // namespace fw::app
