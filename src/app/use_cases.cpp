// SPDX-License-Identifier: Apache-2.0
#include "app/use_cases.hpp"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "app/catalog_answer.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "fuel/fuel.hpp"
#include "report/assessment_json.hpp"
#include "report/fuel_json.hpp"
#include "report/pdf.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

Error io_error(const std::string& path, std::string found) {
  return {.code = ErrorCode::io,
          .where = {.file = path, .line = 0, .column = 0, .field = {}},
          .found = std::move(found),
          .expected = "a place that can be written to",
          .hint = "Name another file with --out"};
}

Result<Answer> answer(const casefile::Case& job, const catalog::Catalog& catalog, const Request& request,
                      const std::optional<std::string>& paper, const Run& run) {
  auto assessment = assess::assess(job, catalog, {.depth = assess::Depth::nominal, .seed = request.seed}, run);
  if (!assessment) return fail(assessment.error());
  const report::PaperOptions options{
      .system = request.system, .size = report::PageSize::a4, .created = request.created};
  const auto brief = report::brief(*assessment, options);
  if (!brief) return fail(brief.error());
  const auto text = report::render_text(*brief, request.width);
  if (!text) return fail(text.error());
  Answer result;
  result.brief = *text;
  result.json = report::assessment_json(*assessment);
  if (paper) {
    const auto page = report::supply_page(*assessment, options);
    if (!page) return fail(page.error());
    const auto bytes = report::render_pdf(*page);
    if (!bytes) return fail(bytes.error());
    if (const auto written = write_file(*paper, *bytes); !written) return fail(written.error());
    result.paper = *paper;
  }
  result.assessment = std::move(*assessment);
  return result;
}

}  // namespace

Result<void> write_file(const std::string& path, const std::string& bytes) {
  const std::filesystem::path target(path);
  std::error_code error;
  if (target.has_parent_path()) {
    std::filesystem::create_directories(target.parent_path(), error);
    if (error) return fail(io_error(path, "a folder that cannot be made (" + error.message() + ")"));
  }
  const std::filesystem::path fresh(path + ".new");
  {
    std::ofstream file(fresh, std::ios::binary | std::ios::trunc);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    if (!file) {
      std::filesystem::remove(fresh, error);
      return fail(io_error(path, "a file that cannot be written"));
    }
  }
  std::filesystem::rename(fresh, target, error);
  if (error) {
    const std::string why = error.message();
    std::filesystem::remove(fresh, error);
    return fail(io_error(path, "a file that cannot be replaced (" + why + ")"));
  }
  return {};
}

Result<Answer> judge_case(const std::string& folder, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto job = casefile::read_case(folder, *catalog);
  if (!job) return fail(job.error());
  std::string name = std::filesystem::path(folder).lexically_normal().filename().string();
  if (name.empty()) name = std::filesystem::path(folder).lexically_normal().parent_path().filename().string();
  if (name.empty() || name == ".") name = "case";
  return answer(*job, *catalog, request, request.out.value_or("out/" + name + ".pdf"), run);
}

Result<Answer> judge_sheet(const std::string& path, supply::Climate climate, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  auto sheet = casefile::read_sheet_file(path, *catalog);
  if (!sheet) return fail(sheet.error());
  casefile::Case job;
  job.id = std::filesystem::path(path).stem().string();
  job.title = "Line sheet " + sheet->name;
  job.climate = climate;
  job.sheets.push_back(std::move(*sheet));
  return answer(job, *catalog, request, request.out, run);
}

Result<FuelAnswer> fuel_properties(const std::string& grade, double temperature_K, units::System system) {
  const auto fuel = fuel::grade(grade);
  if (!fuel) return fail(fuel.error());
  constexpr double sea_level_Pa = 101325.0;
  const auto liquid = fuel::liquid_at(*fuel, temperature_K, sea_level_Pa);
  if (!liquid) return fail(liquid.error());
  const fuel::Cold cold = fuel::cold_state(*fuel, temperature_K);
  using units::Dimension;
  std::string text = fmt::format("{} ({}) at {}\n", fuel->title, fuel->id,
                                 units::print(temperature_K, Dimension::temperature, system));
  const auto line = [&](const char* what, double value, Dimension dimension) {
    text += fmt::format("  {:<30}{}\n", what, units::print(value, dimension, system));
  };
  text += fmt::format("  {:<30}{:.1f} kg/m3\n", "density", liquid->density_kg_per_m3);
  line("kinematic viscosity", liquid->kinematic_viscosity_m2_per_s(), Dimension::kinematic_viscosity);
  line("dynamic viscosity", liquid->dynamic_viscosity_Pa_s, Dimension::dynamic_viscosity);
  text += fmt::format("  {:<30}{:.3g} Pa absolute\n", "vapour pressure", liquid->vapour_pressure_Pa);
  text +=
      fmt::format("  {:<30}{:.3g} of its volume at ambient\n", "dissolved air when saturated", liquid->air_solubility);
  if (std::isfinite(fuel->cloud_point_K)) line("cloud point", fuel->cloud_point_K, Dimension::temperature);
  if (std::isfinite(fuel->cfpp_K)) line("filter plugging point", fuel->cfpp_K, Dimension::temperature);
  text += "  values of the grade: " + fuel->source + "\n";
  if (liquid->range == Range::extrapolated) text += "  Beyond the range of the correlations: extrapolated.\n";
  if (cold == fuel::Cold::below_cfpp) text += "  At or below the filter plugging point: no filter passes it.\n";
  if (cold == fuel::Cold::below_cloud_point) {
    text += "  At or below the cloud point: wax; the viscosity is that of the liquid and says nothing of a filter.\n";
  }
  return FuelAnswer{.text = std::move(text), .json = report::fuel_json(*fuel, *liquid, temperature_K, cold)};
}

}  // namespace fw::app
