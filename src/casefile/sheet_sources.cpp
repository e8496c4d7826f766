// SPDX-License-Identifier: Apache-2.0
#include "casefile/sheet_sources.hpp"

#include <filesystem>

#include "casefile/case.hpp"

namespace fw::casefile {

catalog::SheetSources sheet_sources(const catalog::Catalog& catalog) {
  using catalog::EntryKind;
  using catalog::SheetSource;
  const auto entry = [&catalog](EntryKind kind, const std::string& id) -> Result<SheetSource> {
    const auto found = catalog.require(kind, id);
    if (!found) return fail(found.error());
    return SheetSource{.file = (*found)->file, .text = (*found)->text};
  };
  return {.sheet = [entry](const std::string& name, const std::string& asked_by) -> Result<SheetSource> {
            constexpr std::string_view scheme = "layout:";
            if (name.starts_with(scheme)) return entry(EntryKind::layout, name.substr(scheme.size()));
            const std::filesystem::path path(name);
            if (name.empty() || path.is_absolute() || name.find("..") != std::string::npos) {
              return fail(Error{.code = ErrorCode::invalid_input,
                                .where = {},
                                .found = "\"" + name + "\"",
                                .expected = "\"layout:\" and an id, or a sheet beside this one",
                                .hint = "Copy the sheet into the same folder"});
            }
            const std::string file = (std::filesystem::path(asked_by).parent_path() / path).string();
            auto text = read_file(file);
            if (!text) return fail(text.error());
            return SheetSource{.file = file, .text = std::move(*text)};
          },
          .build = [entry](const std::string& name) { return entry(EntryKind::build, name); },
          .part = [entry](const std::string& name) { return entry(EntryKind::part, name); }};
}

}  // namespace fw::casefile
