// SPDX-License-Identifier: Apache-2.0
// whole_program_bench PROGRAM PROJECT [REPEATS]: time and memory of the whole program, reading and writing included, on
// every demo case: `judge --depth quick`, then each paper with its size. Prints the rows of docs/benchmarks.md. The
// least time and the largest memory of the repeats count. A call that fails ends the benchmark with 1.
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace {

struct Cost {
  double seconds = std::numeric_limits<double>::infinity();
  double peak_MB = 0.0;
};

/// Runs the program once with its output thrown away; nothing if it does not end with 0.
std::optional<Cost> run_once(const std::vector<std::string>& arguments) {
  std::vector<char*> argv;
  for (const std::string& argument : arguments) argv.push_back(const_cast<char*>(argument.c_str()));
  argv.push_back(nullptr);
  const auto begin = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child < 0) return std::nullopt;
  if (child == 0) {
    const int nowhere = open("/dev/null", O_WRONLY);
    dup2(nowhere, STDOUT_FILENO);
    execv(argv[0], argv.data());
    _exit(127);
  }
  int status = 0;
  rusage usage{};
  if (wait4(child, &status, 0, &usage) != child || status != 0) return std::nullopt;
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
  return Cost{.seconds = elapsed.count(), .peak_MB = static_cast<double>(usage.ru_maxrss) * 1024e-6};
}

std::optional<Cost> best_of(int repeats, const std::vector<std::string>& arguments) {
  Cost best;
  for (int i = 0; i < repeats; ++i) {
    const auto cost = run_once(arguments);
    if (!cost) return std::nullopt;
    best.seconds = std::min(best.seconds, cost->seconds);
    best.peak_MB = std::max(best.peak_MB, cost->peak_MB);
  }
  return best;
}

int fail(std::string_view what) {
  fmt::print(stderr, "whole_program_bench: {} failed\n", what);
  return 1;
}

}  // namespace

int main(int argc, char** argv) {
  namespace fs = std::filesystem;
  if (argc < 3) {
    fmt::print(stderr, "usage: whole_program_bench PROGRAM PROJECT [REPEATS]\n");
    return 2;
  }
  const std::string program = fs::absolute(argv[1]).string();
  int repeats = 5;
  if (argc > 3) {
    const std::string_view text = argv[3];
    std::from_chars(text.data(), text.data() + text.size(), repeats);
  }
  std::vector<fs::path> cases;
  for (const auto& entry : fs::directory_iterator(fs::path(argv[2]) / "cases")) {
    if (fs::exists(entry.path() / "case.toml")) cases.push_back(entry.path());
  }
  if (cases.empty() || repeats < 1) return fail("finding the cases");
  std::sort(cases.begin(), cases.end());
  const std::string paper = (fs::temp_directory_path() / fmt::format("whole-program-bench-{}.pdf", getpid())).string();

  fmt::print("| case | `judge --depth quick` | memory | without draws |\n| --- | --- | --- | --- |\n");
  for (const fs::path& one : cases) {
    const auto quick = best_of(repeats, {program, "judge", one.string(), "--depth", "quick", "--out", paper});
    const auto nominal = best_of(repeats, {program, "judge", one.string(), "--out", paper});
    if (!quick || !nominal) return fail("judging " + one.string());
    fmt::print("| {} | {:.2f} s | {:.0f} MB | {:.2f} s |\n", one.filename().string(), quick->seconds, quick->peak_MB,
               nominal->seconds);
  }
  fmt::print("\n| case | paper | time at depth quick | memory | size |\n| --- | --- | --- | --- | --- |\n");
  for (const fs::path& one : cases) {
    for (const char* kind : {"page", "owner", "technical"}) {
      const auto cost =
          best_of(repeats, {program, "judge", one.string(), "--depth", "quick", "--paper", kind, "--out", paper});
      if (!cost) return fail(std::string(kind) + " of " + one.string());
      fmt::print("| {} | {} | {:.2f} s | {:.0f} MB | {:.0f} kB |\n", one.filename().string(), kind, cost->seconds,
                 cost->peak_MB, static_cast<double>(fs::file_size(paper)) * 1e-3);
    }
  }
  fs::remove(paper);
  return 0;
}
