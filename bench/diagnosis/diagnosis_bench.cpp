// SPDX-License-Identifier: Apache-2.0
// What a user waits for in the diagnosis. Each answer is checked before it is timed: probabilities sum, looks are
// found, readings are counted. Least time of the repeats. Usage: diagnosis_bench CASES_FOLDER [REPEATS]
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "diagnosis/diagnose.hpp"
#include "diagnosis/next_look.hpp"
#include "numerics/stream.hpp"

namespace {

using namespace fw;

/// As many threads as asked for, blocks taken in turn.
class Threads final : public Executor {
 public:
  explicit Threads(std::size_t count) : count_(count) {}
  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
    std::mutex lock;
    std::size_t next = 0;
    const auto take = [&] {
      for (;;) {
        std::size_t mine = 0;
        {
          const std::scoped_lock hold(lock);
          if (next == blocks) return;
          mine = next++;
        }
        work(mine);
      }
    };
    std::vector<std::thread> others;
    for (std::size_t t = 1; t < count_; ++t) others.emplace_back(take);
    take();
    for (std::thread& one : others) one.join();
  }
  [[nodiscard]] std::size_t threads() const override { return count_; }

 private:
  std::size_t count_;
};

void fail_with(const std::string& text) {
  std::fprintf(stderr, "%s\n", text.c_str());
  std::exit(1);
}

void timed(const char* what, int repeats, double aim_s, const std::function<void()>& work) {
  double best_s = 1e9;
  for (int k = 0; k < repeats; ++k) {
    const auto start = std::chrono::steady_clock::now();
    work();
    best_s = std::min(best_s, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  std::printf("%-52s %9.2f ms  (aim %.0f ms)\n", what, 1e3 * best_s, 1e3 * aim_s);
}

diagnosis::Reading pressure(const char* at, system::EnginePoint engine, double value, const char* instrument) {
  diagnosis::Reading one;
  one.at = at;
  one.engine = engine;
  one.value = value;
  one.instrument = instrument;
  return one;
}

/// Sixty sets of 40 findings drawn from all, from one in ten to nine in ten of them present: median and worst of the
/// least processor times.
void worst_of_drawn_findings(const diagnosis::Tables& tables, int repeats) {
  std::vector<double> times_s;
  for (std::uint32_t set = 0; set < 60; ++set) {
    const double present = 0.1 + 0.1 * static_cast<double>(set % 9);
    const auto unit = [&](const std::string& what) {
      return numerics::uniform(1, numerics::key_of(what), numerics::Purpose::synthetic, set);
    };
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < tables.findings.size(); ++i) order.emplace_back(unit(tables.findings[i].id), i);
    std::sort(order.begin(), order.end());
    diagnosis::Facts facts;
    for (std::size_t i = 0; i < 40; ++i) {
      const diagnosis::FindingRow& row = tables.findings[order[i].second];
      const bool is = unit(row.id + ".seen") < present;
      facts.statements.push_back({.finding = row.id,
                                  .seen = is ? diagnosis::Seen::present : diagnosis::Seen::absent,
                                  .grade = is && !row.grades.empty() ? row.grades.front().title : std::string()});
    }
    const auto model = diagnosis::case_model(tables, facts);
    if (!model) fail_with(to_text(model.error().front()));
    const auto counted = diagnosis::counted_evidence(tables, *model, facts);
    if (!counted) fail_with(to_text(counted.error().front()));
    std::vector<std::size_t> wanted = model->causes;
    wanted.insert(wanted.end(), model->mechanisms.begin(), model->mechanisms.end());
    double best_s = 1e9;
    for (int k = 0; k < repeats; ++k) {
      const std::clock_t start = std::clock();
      const auto posterior = diagnosis::infer(model->network, counted->evidence, wanted);
      best_s = std::min(best_s, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
      if (!posterior) fail_with("no posterior");
      for (const std::size_t node : wanted) {
        const double sum = posterior->marginals[node][0] + posterior->marginals[node][1];
        if (!(std::abs(sum - 1.0) < 1e-9)) fail_with("a posterior does not sum to 1");
      }
    }
    times_s.push_back(best_s);
  }
  std::sort(times_s.begin(), times_s.end());
  std::printf("%-52s %9.2f ms, 54th %.2f, worst %.2f ms  (aim 5 ms)\n", "all posteriors, 60 drawn sets of 40: median",
              1e3 * times_s[30], 1e3 * times_s[53], 1e3 * times_s[59]);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) fail_with("usage: diagnosis_bench CASES_FOLDER [REPEATS]");
  const int repeats = argc > 2 ? std::atoi(argv[2]) : 7;
  const auto shelf = catalog::built_in();
  if (!shelf) fail_with(to_text(shelf.error().front()));
  const diagnosis::Tables& tables = shelf->diagnosis;
  const auto sheet = casefile::read_sheet_file(std::string(argv[1]) + "/alder-gap-tender/as-found.toml", *shelf);
  if (!sheet) fail_with(to_text(sheet.error().front()));
  InlineExecutor executor;
  SilentProgress progress;
  const Run run{executor, progress, {}};

  // 40 findings, every third present.
  diagnosis::Facts facts;
  for (const diagnosis::FindingRow& row : tables.findings) {
    if (facts.statements.size() == 40) break;
    if (!row.grades.empty()) continue;
    const auto seen = facts.statements.size() % 3 == 0 ? diagnosis::Seen::present : diagnosis::Seen::absent;
    facts.statements.push_back({.finding = row.id, .seen = seen});
  }
  const auto model = diagnosis::case_model(tables, facts);
  if (!model) fail_with(to_text(model.error().front()));
  const auto counted = diagnosis::counted_evidence(tables, *model, facts);
  if (!counted || counted->rows.size() != 40) fail_with("not 40 findings");
  std::vector<std::size_t> wanted = model->causes;
  wanted.insert(wanted.end(), model->mechanisms.begin(), model->mechanisms.end());
  timed("all posteriors, 40 findings", repeats, 5e-3, [&] {
    const auto posterior = diagnosis::infer(model->network, counted->evidence, wanted);
    if (!posterior) fail_with("no posterior");
    for (const std::size_t node : wanted) {
      const double sum = posterior->marginals[node][0] + posterior->marginals[node][1];
      if (!(std::abs(sum - 1.0) < 1e-9)) fail_with("a posterior does not sum to 1");
    }
  });
  worst_of_drawn_findings(tables, repeats);
  // Two causes explained: each by a diagnosis of its own, or both on one.
  const diagnosis::Draws draws{.seed = 1, .count = 0};
  const auto found = diagnosis::diagnose(tables, facts, draws, run);
  if (!found) fail_with("no diagnosis");
  const std::vector<std::string> leading{found->causes[0].id, found->causes[1].id};
  timed("two causes explained, one after the other", repeats, 1.0, [&] {
    for (const std::string& cause : leading) {
      const auto why = diagnosis::explain(tables, facts, cause, draws, run);
      if (!why || why->weights.size() != 40) fail_with("not explained");
    }
  });
  timed("two causes explained at once", repeats, 1.0, [&] {
    const auto why = diagnosis::explain(tables, facts, *found, leading, run);
    if (!why || why->size() != 2 || why->back().weights.size() != 40) fail_with("not explained");
  });
  diagnosis::Facts few;
  few.statements = {{.finding = "E19", .seen = diagnosis::Seen::present},
                    {.finding = "E13", .seen = diagnosis::Seen::present}};
  for (const std::size_t firsts : {std::size_t{0}, std::size_t{6}}) {
    timed(firsts == 0 ? "next test, one step, 2 findings" : "next test, two steps, 2 findings", repeats,
          firsts == 0 ? 0.2 : 2.0, [&] {
            const auto next = diagnosis::next_looks(tables, few, shelf->losses, {.firsts = firsts}, run);
            if (!next || next->looks.empty()) fail_with("no look");
          });
  }
  const std::vector<diagnosis::Reading> readings{pressure("inlet", system::EnginePoint::idle, 80e3, "gauge"),
                                                 pressure("V2", system::EnginePoint::rated, -20e3, "vacuum gauge")};
  for (const std::size_t threads : {std::size_t{1}, std::size_t{2}}) {
    Threads pool(threads);
    timed(threads == 1 ? "readings, singles and pairs, 2 gauges, 1 thread" : "the same, 2 threads", repeats, 1.0, [&] {
      const auto weighed = diagnosis::weigh_readings(tables, readings, *sheet, 1, {pool, progress, {}});
      if (!weighed || weighed->front().standing != diagnosis::ReadingStanding::counted) fail_with("not counted");
    });
  }
  return 0;
}
