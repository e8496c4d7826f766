// SPDX-License-Identifier: Apache-2.0
#include "app/card_questions.hpp"

#include <filesystem>

#include <fmt/format.h>

#include "casefile/evidence_log.hpp"
#include "casefile/photo.hpp"
#include "report/pdf.hpp"
#include "report/scale_card_answers.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

report::PaperOptions options_of(const Request& request) {
  return {.system = request.system, .size = request.size, .created = request.created};
}

Result<std::string> keep(const CardQuestion& question, const std::string& bytes, const debris::CardReading& reading) {
  for (const auto& [field, text] : {std::pair{"--person", question.person}, std::pair{"--time", question.time}}) {
    if (text.empty()) {
      return invalid(field, "nothing", "who took the photo, and when",
                     "Add for example --person \"J. Doe\" --time \"2026-05-04 10:20\"");
    }
  }
  // A broken log is told before a photo is copied.
  if (const auto log = casefile::read_evidence(question.keep_in); !log) return fail(log.error());
  const std::filesystem::path inside =
      std::filesystem::path("photos") / std::filesystem::path(question.photo).filename();
  const std::filesystem::path target = std::filesystem::path(question.keep_in) / inside;
  std::error_code error;
  if (std::filesystem::exists(target, error)) {
    const auto there = casefile::read_photo_bytes(target.string());
    if (!there || *there != bytes) {
      return fail(Error{.code = ErrorCode::conflict,
                        .where = {.file = target.string()},
                        .found = "another file of that name",
                        .expected = "a name of its own for every photo",
                        .hint = "Rename the photo and read it again"});
    }
  } else {
    std::filesystem::create_directories(target.parent_path(), error);
    if (const auto written = write_file(target.string(), bytes); !written) return fail(written.error());
  }
  casefile::EvidenceEntry entry;
  entry.title = "scale card photo";
  entry.zone = question.zone;
  entry.person = question.person;
  entry.time = question.time;
  entry.instrument = "scale card";
  entry.value = fmt::format("{:.2f} cm2 of metal ({:.2f} to {:.2f})", reading.area_m2 * 1e4, reading.area_low_m2 * 1e4,
                            reading.area_high_m2 * 1e4);
  entry.file = inside.generic_string();
  const auto added = casefile::add_evidence(question.keep_in, entry);
  if (!added) return fail(added.error());
  return fmt::format("Kept as evidence {} of {}: {}, SHA-256 {}.", added->number, question.keep_in, entry.file,
                     added->file_sha256);
}

}  // namespace

Result<std::string> print_card(const Request& request) {
  const auto pdf = report::render_pdf(report::scale_card_page(options_of(request)));
  if (!pdf) return fail(pdf.error());
  const std::string path = request.out.value_or("scale-card.pdf");
  if (const auto written = write_file(path, *pdf); !written) return fail(written.error());
  return path;
}

Result<std::string> read_card_text(const CardQuestion& question, const Request& request) {
  const auto bytes = casefile::read_photo_bytes(question.photo);
  if (!bytes) return fail(bytes.error());
  const auto picture = casefile::decode_photo(*bytes, question.photo);
  if (!picture) return fail(picture.error());
  auto reading = debris::read_card(*picture);
  if (!reading) return fail(reading.error().in_file(question.photo));
  report::CardAnswer answer{
      .photo = std::filesystem::path(question.photo).filename().string(), .reading = std::move(*reading), .kept = {}};
  if (!question.keep_in.empty()) {
    auto kept = keep(question, *bytes, answer.reading);
    if (!kept) return fail(kept.error());
    answer.kept = std::move(*kept);
  }
  if (question.json) return report::card_reading_json(answer);
  return report::render_text(report::card_reading_page(answer, options_of(request)), request.width);
}

}  // namespace fw::app
