// SPDX-License-Identifier: Apache-2.0
#include "app/figures.hpp"

#include "project_file.hpp"

#include <gtest/gtest.h>

namespace fw::app {
namespace {

Result<std::string> drawn(const FigureRequest& request) {
  InlineExecutor executor;
  SilentProgress progress;
  return make_figure(request, {executor, progress, {}});
}

FigureRequest demo(FigureKind kind) {
  return {.kind = kind, .target = test::project_file("cases/alder-gap-tender"), .created = "2031-05-04T10:00:00Z"};
}

TEST(MakeFigure, DrawsEveryKindOfEverySheetAtDeskAndPhoneWidth) {
  for (const std::string& kind : figure_kinds()) {
    for (const char* sheet : {"as-designed", "as found", "as_rebuilt"}) {
      for (const double width : {482.0, 293.0}) {
        FigureRequest request = demo(figure_kind_named(kind).value());
        request.sheet = sheet;
        request.width = width;
        const auto svg = drawn(request);
        ASSERT_TRUE(svg) << kind << " " << sheet << ": " << to_text(svg.error());
        EXPECT_TRUE(svg->starts_with("<svg")) << svg->substr(0, 40);
        EXPECT_EQ(svg, drawn(request)) << "same figure, same bytes";
      }
    }
  }
}

TEST(MakeFigure, WritesThreeFormats) {
  FigureRequest request = demo(FigureKind::schematic);
  request.format = FigureFormat::pdf;
  EXPECT_TRUE(drawn(request).value().starts_with("%PDF-1.5"));
  request.format = FigureFormat::png;
  EXPECT_TRUE(drawn(request).value().starts_with("\x89PNG"));
}

TEST(MakeFigure, SpeaksTheUnitsOfTheReader) {
  FigureRequest request = demo(FigureKind::grade_line);
  request.system = units::System::us;
  EXPECT_NE(drawn(request).value().find(">psi<"), std::string::npos);
}

TEST(MakeFigure, NamesWhatIsWrong) {
  FigureRequest request = demo(FigureKind::schematic);
  request.sheet = "as dreamt";
  const auto unknown = drawn(request);
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().front().code, ErrorCode::not_found);
  EXPECT_NE(unknown.error().front().expected.find("as rebuilt"), std::string::npos);

  request = demo(FigureKind::comparison);
  request.target += "/as-found.toml";
  const auto single = drawn(request);
  ASSERT_FALSE(single);
  EXPECT_EQ(single.error().front().where.field, "comparison");

  request = demo(FigureKind::schematic);
  request.target = test::project_file("cases/nowhere");
  EXPECT_FALSE(drawn(request));
}

}  // namespace
}  // namespace fw::app
