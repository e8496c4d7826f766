// SPDX-License-Identifier: Apache-2.0
#include "casefile/saver.hpp"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

Error fault(const std::string& file, const Edit& edit, std::string found, std::string expected, std::string hint,
            ErrorCode code = ErrorCode::invalid_input) {
  return {.code = code,
          .where = {.file = file, .line = 0, .column = 0, .field = edit.path},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

/// Byte of a place that the TOML library names by line and column; its columns count characters, not bytes.
std::size_t byte_of(std::string_view text, const toml::source_position& place) {
  std::size_t at = 0;
  for (toml::source_index line = 1; line < place.line && at < text.size(); ++line) {
    at = std::min(text.find('\n', at), text.size() - 1) + 1;
  }
  for (toml::source_index column = 1; column < place.column && at < text.size(); ++column) {
    ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
  }
  return at;
}

/// TOML text in quotes: what has no place in one is written as an escape.
std::string quoted(std::string_view text) {
  std::string all = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      all += '\\';
      all += c;
    } else if (c == '\n') {
      all += "\\n";
    } else if (c == '\t') {
      all += "\\t";
    } else if (byte < 0x20 || byte == 0x7f) {
      all += fmt::format("\\u{:04X}", static_cast<unsigned>(byte));
    } else {
      all += c;
    }
  }
  return all + "\"";
}

struct Span {
  std::size_t begin;
  std::size_t end;
  std::string fresh;
};

/// The node at a path, or the fault that says where the way ends.
Result<const toml::node*> find(const toml::table& root, const std::string& file, const Edit& edit) {
  const toml::node* node = &root;
  std::string_view rest = edit.path;
  while (!rest.empty()) {
    if (rest.front() == '[') {
      std::size_t index = 0;
      const std::size_t close = rest.find(']');
      const char* last = rest.data() + (close == std::string_view::npos ? rest.size() : close);
      const auto [stop, error] = std::from_chars(rest.data() + 1, last, index);
      const toml::array* list = node->as_array();
      if (error != std::errc{} || stop != last || close == std::string_view::npos || list == nullptr || index == 0 ||
          index > list->size()) {
        return fail(fault(file, edit, list == nullptr ? "no list there" : fmt::format("a list of {}", list->size()),
                          "an item of a list, counted from 1", "Check the path", ErrorCode::not_found));
      }
      node = list->get(index - 1);
      rest.remove_prefix(close + 1);
    } else {
      if (rest.front() == '.') rest.remove_prefix(1);
      const std::size_t end = std::min(rest.find_first_of(".["), rest.size());
      const std::string key(rest.substr(0, end));
      rest.remove_prefix(end);
      const toml::table* table = node->as_table();
      const toml::node* child = table == nullptr ? nullptr : table->get(key);
      if (child == nullptr) {
        std::vector<std::string> keys;
        if (table != nullptr) {
          for (const auto& [name, value] : *table) keys.emplace_back(name.str());
        }
        const std::string near = catalog::nearest(key, keys);
        return fail(fault(file, edit, "no key \"" + key + "\"", "a key of the document",
                          near.empty() ? "Check the path" : "Write \"" + near + "\"", ErrorCode::not_found));
      }
      node = child;
    }
  }
  return node;
}

}  // namespace

Result<std::string> save_in_place(std::string_view text, const std::string& file, const std::vector<Edit>& edits) {
  // The reader's own limits come first: size, encoding, depth.
  if (const auto sound = catalog::Document::parse(text, file, {}); !sound) return fail(sound.error());
  constexpr std::string_view mark = "\xEF\xBB\xBF";
  const std::size_t skipped = text.starts_with(mark) ? mark.size() : 0;
  const std::string_view body = text.substr(skipped);
  const auto parse = [&](std::string_view what) { return toml::parse(what, file); };
  toml::table root;
  try {
    root = parse(body);
  } catch (const toml::parse_error& error) {
    return fail(fault(file, {}, std::string(error.description()), "TOML", "Check the file"));
  }

  std::vector<Error> faults;
  std::vector<Span> spans;
  for (const Edit& edit : edits) {
    const auto found = find(root, file, edit);
    if (!found) {
      faults.insert(faults.end(), found.error().begin(), found.error().end());
      continue;
    }
    const toml::node& node = **found;
    std::string fresh;
    if (node.is_string()) {
      fresh = quoted(edit.value);
    } else if (node.is_boolean()) {
      if (edit.value == "true" || edit.value == "false") fresh = edit.value;
    } else if (node.is_integer()) {
      long long number = 0;
      const char* last = edit.value.data() + edit.value.size();
      const auto [stop, error] = std::from_chars(edit.value.data(), last, number);
      if (error == std::errc{} && stop == last) fresh = edit.value;
    }
    if (fresh.empty()) {
      faults.push_back(fault(file, edit, "\"" + edit.value + "\"",
                             node.is_boolean()   ? "true or false"
                             : node.is_integer() ? "a whole number"
                                                 : "the path of a single value",
                             "Give a value of the kind that stands there"));
      continue;
    }
    const std::size_t begin = byte_of(body, node.source().begin);
    std::size_t end = byte_of(body, node.source().end);
    // What is cut must be the value and nothing else.
    bool same = begin < end && end <= body.size();
    if (same) {
      try {
        const toml::table alone = parse("v = " + std::string(body.substr(begin, end - begin)));
        const toml::node* value = alone.get("v");
        same = alone.size() == 1 && value != nullptr && value->type() == node.type() &&
               toml::node_view<const toml::node>(value) == toml::node_view<const toml::node>(&node);
      } catch (const toml::parse_error&) {
        same = false;
      }
    }
    if (!same) {
      faults.push_back(fault(file, edit, "a value whose text cannot be told from its neighbours",
                             "a value on a line of its own", "Change it in the file itself", ErrorCode::outside_model));
      continue;
    }
    spans.push_back({begin, end, std::move(fresh)});
  }
  std::ranges::sort(spans, {}, &Span::begin);
  for (std::size_t i = 1; i < spans.size(); ++i) {
    if (spans[i].begin < spans[i - 1].end) {
      faults.push_back(fault(file, edits.front(), "two edits of one value", "one edit for each value",
                             "Keep one of them", ErrorCode::conflict));
    }
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  std::string saved(text.substr(0, skipped));
  std::size_t at = 0;
  for (const Span& span : spans) {
    saved += body.substr(at, span.begin - at);
    saved += span.fresh;
    at = span.end;
  }
  saved += body.substr(at);
  return saved;
}

}  // namespace fw::casefile
