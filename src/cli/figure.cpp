// SPDX-License-Identifier: Apache-2.0
#include "app/figures.hpp"
#include "app/use_cases.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_figure(const CommandLine& line) {
  app::FigureRequest request{.kind = app::figure_kind_named(line.figure).value_or(app::FigureKind::schematic),
                             .target = line.target,
                             .sheet = line.sheet,
                             .cause = line.cause,
                             .system = line.system,
                             .width = line.width,
                             .created = creation_time()};
  if (line.climate_given) request.climate = line.climate;
  if (line.out) {
    if (line.out->ends_with(".pdf")) {
      request.format = app::FigureFormat::pdf;
    } else if (line.out->ends_with(".png")) {
      request.format = app::FigureFormat::png;
    } else if (!line.out->ends_with(".svg")) {
      return report_errors(Error{.code = ErrorCode::invalid_input,
                                 .where = {.file = {}, .line = 0, .column = 0, .field = "--out"},
                                 .found = "\"" + *line.out + "\"",
                                 .expected = "a name that ends in .svg, .pdf or .png",
                                 .hint = "Write for example --out figure.svg"});
    }
  }
  const auto bytes = in_long_work([&](const Run& run) -> Result<std::string> {
    auto drawn = app::make_figure(request, run);
    if (!drawn || !line.out) return drawn;
    if (const auto written = app::write_file(*line.out, *drawn); !written) return fail(written.error());
    return drawn;
  });
  if (!bytes) return report_errors(bytes.error());
  if (!line.out) {
    print(*bytes);
    return computed;
  }
  print("Figure written: " + *line.out + "\n");
  return computed;
}

}  // namespace fw::cli
