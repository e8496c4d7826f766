// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "casefile/seven_facts.hpp"
#include "report/papers.hpp"
#include "units/quantity.hpp"

/// One function per use case, shared by all faces.
namespace fw::app {

/// Which papers a judgement writes.
enum class Papers : std::uint8_t {
  page,           ///< the supply on one page
  owner,          ///< one page in plain words
  technical,      ///< body and annexes
  authorisation,  ///< options and permissions to sign; of a case with a metal.toml
  all,            ///< NAME-page.pdf, NAME-owner.pdf, ... beside each other, those that the case has facts for
};

struct Request {
  units::System system = units::System::metric;
  std::uint64_t seed = 1;
  assess::Depth depth = assess::Depth::nominal;
  bool all_points = false;         ///< draws at every running point
  std::optional<std::string> out;  ///< where the PDF goes; not given: judge writes out/<case>.pdf, supply writes none
  int width = 80;                  ///< columns of the brief
  std::string catalog_folder;      ///< the shop's catalog over the built-in one, "" for none
  std::string created;             ///< creation time of papers, "2026-05-04T10:00:00Z"
  Papers papers = Papers::page;
  report::PageSize size = report::PageSize::a4;
  /// What is worked out of a case; not given: assess::quick_sections(). Of a single sheet: the supply alone.
  std::optional<assess::SectionSet> sections;
  /// Where sections are looked for and kept; nullptr: nowhere. Whoever judges a case again and again owns one
  /// (section_cache.hpp).
  assess::SectionStore* store = nullptr;
};

struct Answer {
  assess::Assessment assessment;
  std::string brief;                ///< text for a terminal
  std::string json;                 ///< schema fuelwright.assessment/2.2
  std::string paper;                ///< path of the first PDF that was written, "" if none
  std::vector<std::string> papers;  ///< paths of all
};

/// Judges a case folder, or one line sheet as a case of its own, and writes the page. A run that is stopped before the
/// papers are drawn writes none of them.
/// Errors: those of the readers, the judge and the writer; cancelled.
[[nodiscard]] Result<Answer> judge_case(const std::string& folder, const Request& request, const Run& run);
[[nodiscard]] Result<Answer> judge_sheet(const std::string& path, supply::Climate climate, const Request& request,
                                         const Run& run);

/// A supply judged from what a customer can tell; the brief ends with what stands in for facts not told.
/// Errors: those of sheet_from_facts, judge and writer.
[[nodiscard]] Result<Answer> judge_facts(const casefile::SevenFacts& facts, const Request& request, const Run& run);

struct FuelQuestion {
  std::string fuel;  ///< "en590", "d975_2d + 5 % petrol" (docs/reference/fuels.md)
  std::vector<double> temperatures_K;
  std::vector<double> pressures_Pa;  ///< absolute
  units::System system = units::System::metric;
  int width = 80;       ///< columns of the text
  std::string created;  ///< as in Request
};
struct FuelAnswer {
  std::string text;  ///< tables for a technician
  std::string json;  ///< schema fuelwright.fuel/2.0
};
/// Every property of a grade or blend at every temperature and pressure asked.
/// Errors: those of the fuel's text and of its laws; too_large above 48 states.
[[nodiscard]] Result<FuelAnswer> fuel_properties(const FuelQuestion& question);

/// Some check of some sheet fails: what --strict asks.
[[nodiscard]] bool any_check_fails(const std::vector<supply::SheetJudgement>& sheets);

/// Writes a file whole or not at all: a new file beside it takes its place. Errors: io.
[[nodiscard]] Result<void> write_file(const std::string& path, const std::string& bytes);

}  // namespace fw::app
