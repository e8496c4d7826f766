// SPDX-License-Identifier: Apache-2.0
#include "catalog/document.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <sstream>
#include <tuple>
#include <variant>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "base/contract.hpp"
#include "catalog/document_node.hpp"

namespace fw::catalog {

namespace {
constexpr int deepest = 32;
}

namespace {

std::string join(std::string_view path, std::string_view key) {
  return path.empty() ? std::string(key) : fmt::format("{}.{}", path, key);
}

}  // namespace

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
  std::string best;
  std::size_t best_distance = std::max<std::size_t>(2, (word.size() + 2) / 3) + 1;
  for (const std::string& candidate : candidates) {
    std::vector<std::size_t> row(candidate.size() + 1);
    std::iota(row.begin(), row.end(), 0U);
    for (std::size_t i = 1; i <= word.size(); ++i) {
      std::size_t diagonal = row[0];
      row[0] = i;
      for (std::size_t j = 1; j <= candidate.size(); ++j) {
        const std::size_t above = row[j];
        const std::size_t cost = word[i - 1] == candidate[j - 1] ? 0U : 1U;
        row[j] = std::min({above + 1, row[j - 1] + 1, diagonal + cost});
        diagonal = above;
      }
    }
    if (row.back() < best_distance) {
      best_distance = row.back();
      best = candidate;
    }
  }
  return best;
}

// ---- building the tree ------------------------------------------------------------------------------------------

Document::Document(Document&&) noexcept = default;
Document& Document::operator=(Document&&) noexcept = default;
Document::~Document() = default;

namespace {

template <class NodeType>
bool copy_node(const toml::node& from, NodeType& to, const std::string& path, int depth,
               const std::shared_ptr<const std::string>& file, const std::string& source) {
  using Kind = typename NodeType::Kind;
  if (depth > deepest) return false;
  to.path = path;
  to.file = file;
  to.source = source;
  to.line = static_cast<std::uint32_t>(from.source().begin.line);
  to.column = static_cast<std::uint32_t>(from.source().begin.column);
  if (const toml::table* table = from.as_table()) {
    to.kind = Kind::table;
    if (const auto* own = table->get_as<std::string>("source")) to.source = own->get();
    std::vector<std::pair<toml::source_position, std::string>> order;
    for (const auto& [key, value] : *table) {
      const std::string name(key.str());
      auto child = std::make_unique<NodeType>();
      if (!copy_node(value, *child, join(path, name), depth + 1, file, to.source)) return false;
      if (key.source().begin.line != 0) {
        child->line = static_cast<std::uint32_t>(key.source().begin.line);
        child->column = static_cast<std::uint32_t>(key.source().begin.column);
      }
      order.emplace_back(key.source().begin, name);
      to.members.emplace(name, std::move(child));
    }
    std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (auto& [position, name] : order) to.order.push_back(name);
  } else if (const toml::array* array = from.as_array()) {
    to.kind = Kind::array;
    std::size_t index = 1;
    for (const toml::node& item : *array) {
      auto child = std::make_unique<NodeType>();
      if (!copy_node(item, *child, fmt::format("{}[{}]", path, index), depth + 1, file, to.source)) return false;
      to.items.push_back(std::move(child));
      ++index;
    }
  } else if (const auto* text = from.as_string()) {
    to.kind = Kind::text;
    to.text_value = text->get();
  } else if (const auto* integer = from.as_integer()) {
    to.kind = Kind::integer;
    to.integer_value = integer->get();
    to.text_value = fmt::format("{}", integer->get());
  } else if (const auto* real = from.as_floating_point()) {
    to.kind = Kind::real;
    to.text_value = fmt::format("{}", real->get());
  } else if (const auto* truth = from.as_boolean()) {
    to.kind = Kind::truth;
    to.truth_value = truth->get();
    to.text_value = truth->get() ? "true" : "false";
  } else {
    to.kind = Kind::other;
    std::ostringstream shown;
    shown << toml::node_view<const toml::node>(&from);
    to.text_value = shown.str();
  }
  return true;
}

Error at_line(const std::string& file, std::uint32_t line, std::string field, std::string found, std::string expected,
              std::string hint, ErrorCode code = ErrorCode::invalid_input) {
  return {.code = code,
          .where = {.file = file, .line = line, .column = 0, .field = std::move(field)},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

/// Line of the first byte that is not UTF-8 or is NUL; 0 if all is well.
std::uint32_t first_bad_line(std::string_view text) {
  std::uint32_t line = 1;
  for (std::size_t i = 0; i < text.size();) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == 0) return line;
    if (byte == '\n') ++line;
    std::size_t length = 1;
    if (byte >= 0xF0 && byte < 0xF5) {
      length = 4;
    } else if (byte >= 0xE0) {
      length = 3;
    } else if (byte >= 0xC2) {
      length = 2;
    } else if (byte >= 0x80) {
      return line;
    }
    if (byte >= 0xF5 || i + length > text.size()) return line;
    for (std::size_t k = 1; k < length; ++k) {
      if ((static_cast<unsigned char>(text[i + k]) & 0xC0U) != 0x80U) return line;
    }
    i += length;
  }
  return 0;
}

/// Depth of brackets outside strings and comments: the parser recurses, so a hostile file is stopped before it.
bool nested_too_deep(std::string_view text) {
  int depth = 0;
  char quote = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quote != 0) {
      if (c == '\\' && quote == '"') {
        ++i;
      } else if (c == quote || c == '\n') {
        quote = 0;
      }
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '#') {
      while (i < text.size() && text[i] != '\n') ++i;
    } else if (c == '[' || c == '{') {
      if (++depth > deepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

}  // namespace

Result<Document> Document::parse(std::string_view text, std::string file, const units::SourceSpreads& spreads) {
  if (text.size() > largest_document_bytes) {
    return fail(at_line(file, 0, {}, fmt::format("{} bytes", text.size()),
                        fmt::format("at most {} bytes", largest_document_bytes),
                        "Split the file or drop what is not needed", ErrorCode::too_large));
  }
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  if (const std::uint32_t line = first_bad_line(text); line != 0) {
    return fail(at_line(file, line, {}, "bytes that are not text", "UTF-8 text", "Save the file as UTF-8"));
  }
  if (nested_too_deep(text)) {
    return fail(at_line(file, 0, {}, fmt::format("brackets nested deeper than {}", deepest), "flat tables",
                        "Close the brackets"));
  }
  Document document;
  document.file_ = std::move(file);
  document.spreads_ = spreads;
  document.root_ = std::make_unique<Table::Node>();
  try {
    const toml::table parsed = toml::parse(text, document.file_);
    const auto name = std::make_shared<const std::string>(document.file_);
    if (!copy_node(parsed, *document.root_, {}, 0, name, {})) {
      return fail(at_line(document.file_, 0, {}, fmt::format("tables nested deeper than {}", deepest), "flat tables",
                          "Move the inner tables out"));
    }
  } catch (const toml::parse_error& error) {
    return fail(at_line(document.file_, static_cast<std::uint32_t>(error.source().begin.line), {},
                        fmt::format("text that is not TOML ({})", error.description()), "key = \"value\" lines",
                        "Check quotes and brackets on this line and the one before"));
  }
  document.root_->line = 1;
  return document;
}

Table Document::root() { return Table(*this, *root_); }

void Document::demand_format() {
  Table top = root();
  const bool present = top.has("format");
  const std::optional<int> format = top.whole("format", 0, 1'000'000);
  if (!present) {
    top.fault("", "no format line", "format = 1", "Write format = 1 at the head of the file");
  } else if (format && *format != 1) {
    top.fault("format", fmt::format("format {}", *format), "format = 1",
              "This file was written by another version of the program: use that version, or correct the line");
  }
}

Result<void> Document::finish() {
  const auto visit = [this](const auto& self, Table::Node& node) -> void {
    for (const std::string& key : node.order) {
      Table::Node& child = *node.members.at(key);
      if (key == "source" && child.kind == Table::Node::Kind::text) continue;
      if (!child.read) {
        const std::string near = nearest(key, node.asked);
        std::string expected = near.empty() ? std::string("a key of this table") : "the key \"" + near + "\"";
        faults_.push_back(at_line(*child.file, child.line, child.path, "the key \"" + key + "\"", std::move(expected),
                                  near.empty() ? "Remove it, or see docs/reference for the keys of this table"
                                               : "Write \"" + near + "\", or remove the line"));
        continue;
      }
      if (child.kind == Table::Node::Kind::table) self(self, child);
      for (const auto& item : child.items) {
        if (item->kind == Table::Node::Kind::table) self(self, *item);
      }
    }
  };
  visit(visit, *root_);
  if (faults_.empty()) return {};
  std::stable_sort(faults_.begin(), faults_.end(), [](const Error& a, const Error& b) {
    return std::tie(a.where.file, a.where.line) < std::tie(b.where.file, b.where.line);
  });
  return fail(Errors(std::move(faults_)));
}

// ---- reading ----------------------------------------------------------------------------------------------------

bool Table::has(std::string_view key) const { return node_->members.contains(key); }

bool Table::is_list(std::string_view key) const {
  const auto found = node_->members.find(key);
  return found != node_->members.end() && found->second->kind == Node::Kind::array;
}

std::uint32_t Table::line() const { return node_->line; }

std::uint32_t Table::line_of(std::string_view key) const {
  const auto found = node_->members.find(key);
  return found == node_->members.end() ? node_->line : found->second->line;
}

const std::string& Table::file_of(std::string_view key) const {
  const auto found = node_->members.find(key);
  return found == node_->members.end() ? *node_->file : *found->second->file;
}

const std::string& Table::path() const { return node_->path; }

std::vector<std::string> Table::keys() const { return node_->order; }

void Table::ignore_rest() {
  const auto tick = [](const auto& self, Node& node) -> void {
    node.read = true;
    for (auto& [key, child] : node.members) self(self, *child);
    for (auto& item : node.items) self(self, *item);
  };
  tick(tick, *node_);
}

void Table::fault(std::string_view key, std::string found, std::string expected, std::string hint) {
  document_->faults_.push_back(at_line(file_of(key), line_of(key), key.empty() ? path() : join(path(), key),
                                       std::move(found), std::move(expected), std::move(hint)));
}

void Table::fault(std::string_view key, const Errors& errors) {
  for (Error error : errors) {
    error.where.file = file_of(key);
    error.where.line = line_of(key);
    error.where.field = join(path(), key);
    document_->faults_.push_back(std::move(error));
  }
}

std::optional<std::string> Table::text(std::string_view key) {
  const Node* node = node_->find(key);
  if (node == nullptr) return std::nullopt;
  if (node->kind != Node::Kind::text) {
    fault(key, node->shown(), "text in quotes", fmt::format("Write {} = \"...\"", key));
    return std::nullopt;
  }
  return node->text_value;
}

std::string Table::required_text(std::string_view key, std::string_view expected) {
  if (!has(key)) {
    static_cast<void>(node_->find(key));
    fault("", fmt::format("no \"{}\"", key), std::string(expected), fmt::format("Add {} = \"...\"", key));
    return {};
  }
  const auto typed = text(key);
  if (typed && typed->find_first_not_of(" \t\r\n") == std::string::npos) {
    fault(key, "an empty text", std::string(expected), fmt::format("Write {} = \"...\"", key));
  }
  return typed.value_or(std::string{});
}

std::optional<std::size_t> Table::choice(std::string_view key, const std::vector<std::string>& choices) {
  const std::optional<std::string> word = text(key);
  if (!word) return std::nullopt;
  for (std::size_t i = 0; i < choices.size(); ++i) {
    if (choices[i] == *word) return i;
  }
  std::string all;
  for (const std::string& one : choices) all += (all.empty() ? "\"" : ", \"") + one + "\"";
  const std::string near = nearest(*word, choices);
  fault(key, "\"" + *word + "\"", "one of " + all, near.empty() ? "Choose one of them" : "Write \"" + near + "\"");
  return std::nullopt;
}

std::optional<bool> Table::truth(std::string_view key) {
  const Node* node = node_->find(key);
  if (node == nullptr) return std::nullopt;
  if (node->kind != Node::Kind::truth) {
    fault(key, node->shown(), "true or false", "Write true or false without quotes");
    return std::nullopt;
  }
  return node->truth_value;
}

std::optional<int> Table::whole(std::string_view key, int low, int high) {
  const Node* node = node_->find(key);
  if (node == nullptr) return std::nullopt;
  if (node->kind != Node::Kind::integer || node->integer_value < low || node->integer_value > high) {
    fault(key, node->shown(), fmt::format("a whole number from {} to {}", low, high),
          "Write the number without quotes");
    return std::nullopt;
  }
  return static_cast<int>(node->integer_value);
}

std::vector<std::string> Table::texts(std::string_view key) {
  Node* node = node_->find(key);
  std::vector<std::string> all;
  if (node == nullptr) return all;
  if (node->kind != Node::Kind::array) {
    fault(key, node->shown(), "a list of texts", fmt::format("Write {} = [\"...\", \"...\"]", key));
    return all;
  }
  for (const auto& item : node->items) {
    if (item->kind != Node::Kind::text) {
      fault(key, item->text_value, "texts in quotes", "Put every item in quotes");
      return {};
    }
    all.push_back(item->text_value);
  }
  return all;
}

namespace {

void stand_in(Stated& stated, const Fallback& fallback, units::Dimension dimension,
              const units::SourceSpreads& spreads) {
  stated.value = fallback.value;
  stated.source = fallback.source;
  stated.origin.source = fallback.why;
  if (!std::isfinite(fallback.value)) return;
  if (std::isfinite(fallback.low) && std::isfinite(fallback.high)) {
    stated.spread = fallback.log_uniform
                        ? Spread{.kind = SpreadKind::log_uniform, .low = fallback.low, .high = fallback.high}
                        : Spread{.kind = SpreadKind::triangular, .low = fallback.low, .high = fallback.high};
  } else {
    stated.spread = units::default_spread(fallback.value, fallback.source, dimension, spreads);
  }
}

/// The number that a "?" took the place of, now as assumed or typical: false where it cannot be read.
template <class NodeType>
bool stand_in_by_text(Stated& stated, const NodeType& node, units::Dimension dimension,
                      const units::SourceSpreads& spreads) {
  const auto parsed = dimension == units::Dimension::bore && units::looks_like_dash(node.text_value)
                          ? units::parse_bore(node.text_value, {.spreads = spreads})
                          : units::parse_stated(node.text_value, dimension, {.spreads = spreads});
  if (!parsed || !parsed->given()) return false;
  stated.value = parsed->value;
  stated.source = parsed->source == SourceClass::typical ? SourceClass::typical : SourceClass::assumed;
  // A range that was typed stands; the doubt of a class does not survive its class.
  const bool ranged = parsed->spread.kind == SpreadKind::triangular || parsed->spread.kind == SpreadKind::uniform ||
                      parsed->spread.kind == SpreadKind::log_uniform;
  stated.spread = ranged ? parsed->spread : units::default_spread(parsed->value, stated.source, dimension, spreads);
  stated.origin.source = fmt::format("\"{}\" of {}:{} stands in{}{}", node.text_value, *node.file, node.line,
                                     node.source.empty() ? "" : ": ", node.source);
  stated.origin.catalog_id = node.catalog_id;
  return true;
}

}  // namespace

Stated Table::stated(std::string_view key, units::Dimension dimension, std::string id, const Fallback& fallback) {
  Node* node = node_->find(key);
  Stated stated;
  stated.id = id;
  stated.origin.file = file_of(key);
  stated.origin.line = line_of(key);
  if (node == nullptr) {
    stand_in(stated, fallback, dimension, document_->spreads_);
    return stated;
  }
  if (node->kind != Node::Kind::text) {
    const std::string shown = node->shown();
    // A bare number goes through the same parser: its error names the units that are legal here.
    if (node->kind == Node::Kind::integer || node->kind == Node::Kind::real) {
      const auto parsed = units::parse_stated(shown, dimension, {.spreads = document_->spreads_});
      if (!parsed) {
        fault(key, parsed.error());
        stand_in(stated, fallback, dimension, document_->spreads_);
        return stated;
      }
      stated = *parsed;
    } else {
      fault(key, shown, "text in quotes with a number and its unit", fmt::format("Write {} = \"...\"", key));
      return stated;
    }
  } else {
    const auto parsed = units::parse_stated(node->text_value, dimension, {.spreads = document_->spreads_});
    if (!parsed) {
      fault(key, parsed.error());
      stand_in(stated, fallback, dimension, document_->spreads_);
      return stated;
    }
    stated = *parsed;
  }
  stated.id = std::move(id);
  stated.origin.file = file_of(key);
  stated.origin.line = line_of(key);
  stated.origin.as_typed = node->text_value;
  stated.origin.source = node->source;
  stated.origin.catalog_id = node->catalog_id;
  if (stated.unknown) {
    if (node->stand_in && stand_in_by_text(stated, *node->stand_in, dimension, document_->spreads_)) return stated;
    if (!std::isfinite(fallback.value)) {
      fault(key, "\"?\"", "a number: no usual range is known for this",
            "Measure it, or give a range such as \"a to b unit\"");
    }
    const bool unknown = true;
    const std::string typed = stated.origin.as_typed;
    stand_in(stated, fallback, dimension, document_->spreads_);
    stated.unknown = unknown;
    stated.origin.as_typed = typed;
  }
  return stated;
}

std::optional<Stated> Table::optional_stated(std::string_view key, units::Dimension dimension, std::string id,
                                             const Fallback& fallback) {
  if (!has(key)) {
    static_cast<void>(node_->find(key));
    return std::nullopt;
  }
  Stated value = stated(key, dimension, std::move(id), fallback);
  if (!value.given()) return std::nullopt;
  return value;
}

Stated Table::bore(std::string_view key, std::string id, const Fallback& fallback) {
  const auto found = node_->members.find(key);
  if (found != node_->members.end() && found->second->kind == Node::Kind::text &&
      units::looks_like_dash(found->second->text_value)) {
    static_cast<void>(node_->find(key));
    const auto parsed = units::parse_bore(found->second->text_value, {.spreads = document_->spreads_});
    Stated stated;
    if (!parsed) {
      fault(key, parsed.error());
      stand_in(stated, fallback, units::Dimension::length, document_->spreads_);
    } else {
      stated = *parsed;
    }
    stated.id = std::move(id);
    stated.origin.file = file_of(key);
    stated.origin.line = line_of(key);
    stated.origin.as_typed = found->second->text_value;
    stated.origin.source = found->second->source;
    stated.origin.catalog_id = found->second->catalog_id;
    return stated;
  }
  return stated(key, units::Dimension::bore, std::move(id), fallback);
}

std::optional<double> Table::number(std::string_view key, units::Dimension dimension) {
  const std::optional<std::string> typed = text(key);
  if (!typed) return std::nullopt;
  const auto parsed = units::parse(*typed, dimension);
  if (!parsed) {
    fault(key, parsed.error());
    return std::nullopt;
  }
  return *parsed;
}

std::optional<Table> Table::table(std::string_view key) {
  Node* node = node_->find(key);
  if (node == nullptr) return std::nullopt;
  if (node->kind != Node::Kind::table) {
    fault(key, node->shown(), "a table", fmt::format("Write [{}]", key));
    return std::nullopt;
  }
  return Table(*document_, *node);
}

std::vector<Table> Table::tables(std::string_view key) {
  Node* node = node_->find(key);
  std::vector<Table> all;
  if (node == nullptr) return all;
  if (node->kind != Node::Kind::array) {
    fault(key, node->kind == Node::Kind::table ? "one table" : node->shown(), "a list of tables",
          fmt::format("Write [[{}]]", join(path(), key)));
    return all;
  }
  for (const auto& item : node->items) {
    if (item->kind != Node::Kind::table) {
      fault(key, item->text_value, "a list of tables", fmt::format("Write [[{}]]", join(path(), key)));
      return {};
    }
    all.push_back(Table(*document_, *item));
  }
  return all;
}

}  // namespace fw::catalog
