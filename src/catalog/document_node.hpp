// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "catalog/document.hpp"

/// The tree behind Document and Table. For the files of this room that build or change documents, nobody else.
namespace fw::catalog {

/// One value of the document, copied out of the TOML library so that no header of ours knows it. Every value knows
/// its own file and line, so a document put together from several files still says where each number stands.
struct Table::Node {
  enum class Kind : std::uint8_t { table, array, text, integer, real, truth, other };
  Kind kind = Kind::table;
  std::string path;
  std::shared_ptr<const std::string> file;
  std::uint32_t line = 0;
  std::uint32_t column = 0;
  bool read = false;
  std::string text_value;  ///< text, or the number as it stands
  std::int64_t integer_value = 0;
  bool truth_value = false;
  std::vector<std::string> order;
  std::map<std::string, std::unique_ptr<Node>, std::less<>> members;
  std::vector<std::unique_ptr<Node>> items;
  std::vector<std::string> asked;  ///< keys somebody asked for, read or not: candidates for a misspelling
  std::string source;              ///< `source` of the nearest table around it that has one
  std::string catalog_id;          ///< catalog entry it was taken from
  std::unique_ptr<Node> stand_in;  ///< the text that a "?" took the place of

  /// How an error shows the value: as it stands, never as nothing.
  [[nodiscard]] std::string shown() const {
    if (kind == Kind::table) return "a table";
    if (kind == Kind::array) return "a list";
    return text_value.empty() ? "\"\"" : text_value;
  }
  [[nodiscard]] Node* find(std::string_view key) {
    asked.emplace_back(key);
    const auto found = members.find(key);
    if (found == members.end()) return nullptr;
    found->second->read = true;
    return found->second.get();
  }
  /// The member, without ticking it off.
  [[nodiscard]] Node* peek(std::string_view key) const {
    const auto found = members.find(key);
    return found == members.end() ? nullptr : found->second.get();
  }
  /// The member's text, or "".
  [[nodiscard]] std::string text_of(std::string_view key) const {
    const Node* node = peek(key);
    return node != nullptr && node->kind == Kind::text ? node->text_value : std::string();
  }
  /// Takes the member out.
  std::unique_ptr<Node> take(std::string_view key) {
    const auto found = members.find(key);
    if (found == members.end()) return nullptr;
    std::unique_ptr<Node> taken = std::move(found->second);
    members.erase(found);
    std::erase_if(order, [&](const std::string& one) { return one == key; });
    return taken;
  }
  /// Puts a member in, in place of an older one. A "?" keeps the text it takes the place of as its stand-in.
  void put(const std::string& key, std::unique_ptr<Node> node) {
    auto& place = members[key];
    if (!place) {
      order.push_back(key);
    } else if (node->kind == Kind::text && node->text_value == "?" && place->kind == Kind::text) {
      node->stand_in = place->text_value == "?" ? std::move(place->stand_in) : std::move(place);
    }
    place = std::move(node);
  }
};

struct DocumentAccess {
  using Node = Table::Node;
  static Node& root(Document& document) { return *document.root_; }
  static std::vector<Error>& faults(Document& document) { return document.faults_; }
};

}  // namespace fw::catalog
