// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "units/quantity.hpp"

/// Reading of our TOML documents: every key that is read is ticked off, every fault is kept with its line, and the
/// keys that nobody read come back as faults that name the nearest key that would have been read. Every table may carry
/// `source`, a text that says where its numbers come from; it goes into their origins.
namespace fw::catalog {

inline constexpr std::size_t largest_document_bytes = 8U << 20U;

class Document;

/// What stands in for a number that is not there or is "?".
struct Fallback {
  double value = required;  ///< SI; NaN: none
  double low = required;    ///< SI; NaN: the class's default spread
  double high = required;
  SourceClass source = SourceClass::assumed;
  const char* why = "";  ///< source line of the number
  bool log_uniform = false;
};

/// A table of a document: a handle, valid as long as the document. Reading methods note faults in the document and
/// return a harmless value, so one pass finds all of them.
class Table {
 public:
  [[nodiscard]] bool has(std::string_view key) const;
  /// Whether the key holds a list ([[key]] or [ ... ]).
  [[nodiscard]] bool is_list(std::string_view key) const;
  [[nodiscard]] std::uint32_t line() const;
  [[nodiscard]] std::uint32_t line_of(std::string_view key) const;
  /// File the key (or the table when empty) stands in: a sheet that starts from another has numbers of several files.
  [[nodiscard]] const std::string& file_of(std::string_view key = {}) const;
  [[nodiscard]] const std::string& path() const;
  /// Keys as they stand, in the order of the file.
  [[nodiscard]] std::vector<std::string> keys() const;

  /// Text; std::nullopt if absent. A value of another type is a fault.
  [[nodiscard]] std::optional<std::string> text(std::string_view key);
  /// Text that must be there; blanks alone are a fault.
  [[nodiscard]] std::string required_text(std::string_view key, std::string_view expected);
  /// One of `choices`; a fault names them all. std::nullopt if absent.
  [[nodiscard]] std::optional<std::size_t> choice(std::string_view key, const std::vector<std::string>& choices);
  [[nodiscard]] std::optional<bool> truth(std::string_view key);
  /// Whole number within [low, high].
  [[nodiscard]] std::optional<int> whole(std::string_view key, int low, int high);
  [[nodiscard]] std::vector<std::string> texts(std::string_view key);

  /// A number with its unit as a Stated of id `id`; `fallback` stands in when it is absent or "?".
  /// A missing number without fallback value leaves the Stated without value.
  [[nodiscard]] Stated stated(std::string_view key, units::Dimension dimension, std::string id,
                              const Fallback& fallback = {});
  /// As stated(), absent: std::nullopt.
  [[nodiscard]] std::optional<Stated> optional_stated(std::string_view key, units::Dimension dimension, std::string id,
                                                      const Fallback& fallback = {});
  /// A bore: a length, or a dash size with its kind.
  [[nodiscard]] Stated bore(std::string_view key, std::string id, const Fallback& fallback = {});
  /// Plain number with its unit, no spread (SI).
  [[nodiscard]] std::optional<double> number(std::string_view key, units::Dimension dimension);

  [[nodiscard]] std::optional<Table> table(std::string_view key);
  /// Array of tables ([[key]]); empty if absent.
  [[nodiscard]] std::vector<Table> tables(std::string_view key);

  /// Ticks off every key: for a table whose kind is not known, so that one fault is enough.
  void ignore_rest();

  /// A fault at `key` (or at the table when empty).
  void fault(std::string_view key, std::string found, std::string expected, std::string hint);
  void fault(std::string_view key, const Errors& errors);

 private:
  friend class Document;
  friend struct DocumentAccess;
  struct Node;
  Table(Document& document, Node& node) : document_(&document), node_(&node) {}
  Document* document_;
  Node* node_;
};

class Document {
 public:
  /// Parses `text`. Byte order mark and Windows line ends are accepted. Errors: too_large over 8 MiB;
  /// invalid_input with line for broken TOML, NUL bytes, invalid UTF-8, nesting deeper than 32.
  [[nodiscard]] static Result<Document> parse(std::string_view text, std::string file,
                                              const units::SourceSpreads& spreads);
  Document(Document&&) noexcept;
  Document& operator=(Document&&) noexcept;
  ~Document();

  [[nodiscard]] Table root();
  [[nodiscard]] const std::string& file() const { return file_; }
  /// Demands `format = 1`.
  void demand_format();
  /// Faults noted so far plus every key that was never asked for.
  [[nodiscard]] Result<void> finish();

 private:
  friend class Table;
  friend struct DocumentAccess;
  Document() = default;
  std::string file_;
  units::SourceSpreads spreads_;
  std::unique_ptr<Table::Node> root_;
  std::vector<Error> faults_;
};

/// The candidate nearest to `word` by edit distance (Levenshtein), if within a third of its length, else "".
[[nodiscard]] std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace fw::catalog
