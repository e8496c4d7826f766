// SPDX-License-Identifier: Apache-2.0
#include "casefile/network_reader.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t deepest = 32;

std::uint32_t line_at(std::string_view text, std::size_t byte) {
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(std::min(byte, text.size()));
  return static_cast<std::uint32_t>(1 + std::count(text.begin(), end, '\n'));
}

std::string printable(std::string_view text) {
  std::string kept;
  for (const char c : text.substr(0, 60)) kept += c >= ' ' && c <= '~' ? c : '?';
  return kept;
}

/// Builds the tree, and stops at the first key that stands twice in one object or at too deep a nesting.
class Builder : public nlohmann::json_sax<Json> {
 public:
  explicit Builder(std::string_view text) : text_(text) {}

  bool null() override { return put(Json()); }
  bool boolean(bool value) override { return put(Json(value)); }
  bool number_integer(number_integer_t value) override { return put(Json(value)); }
  bool number_unsigned(number_unsigned_t value) override { return put(Json(value)); }
  bool number_float(number_float_t value, const string_t& /*text*/) override { return put(Json(value)); }
  bool string(string_t& value) override { return put(Json(value)); }
  bool binary(binary_t& /*value*/) override { return false; }
  bool start_object(std::size_t /*size*/) override { return open(Json::object()); }
  bool end_object() override { return close(); }
  bool start_array(std::size_t /*size*/) override { return open(Json::array()); }
  bool end_array() override { return close(); }
  bool key(string_t& value) override {
    if (open_.back()->contains(value)) {
      fault_ = Error{ErrorCode::invalid_input,
                     {.field = printable(value)},
                     "the key twice",
                     "each key once",
                     "Strike or rename one of them."};
      return false;
    }
    key_ = value;
    return true;
  }
  bool parse_error(std::size_t position, const std::string& token, const nlohmann::detail::exception& /*e*/) override {
    fault_ = Error{ErrorCode::invalid_input,
                   {.line = line_at(text_, position)},
                   token.empty() ? std::string("broken JSON") : "broken JSON near " + printable(token),
                   "a JSON document",
                   "Look for a missing comma, quote or bracket just before."};
    return false;
  }

  Json root;
  [[nodiscard]] const std::optional<Error>& fault() const { return fault_; }

 private:
  Json* place(Json value) {
    if (open_.empty()) {
      root = std::move(value);
      return &root;
    }
    Json& holder = *open_.back();
    if (holder.is_array()) {
      holder.push_back(std::move(value));
      return &holder.back();
    }
    Json& member = holder[key_];
    member = std::move(value);
    return &member;
  }
  bool put(Json value) {
    place(std::move(value));
    return true;
  }
  bool open(Json value) {
    if (open_.size() >= deepest) {
      fault_ = Error{ErrorCode::invalid_input,
                     {},
                     fmt::format("nesting deeper than {}", deepest),
                     "a flat document",
                     "A network needs five levels."};
      return false;
    }
    // A reference into an array moves when the array grows, but a holder grows only after what it holds is closed.
    open_.push_back(place(std::move(value)));
    return true;
  }
  bool close() {
    open_.pop_back();
    return true;
  }

  std::string_view text_;
  std::vector<Json*> open_;
  std::string key_;
  std::optional<Error> fault_;
};

class NetworkReader {
 public:
  NetworkReader(std::string name, std::vector<Error>& faults) : name_(std::move(name)), faults_(faults) {}

  std::optional<diagnosis::Network> read(const Json& json) {
    const std::size_t before = faults_.size();
    diagnosis::Network network;
    network.name = name_;
    unknown_keys(json, "", {"source", "nodes"});
    if (!json.contains("nodes") || !json["nodes"].is_array()) {
      add("nodes", "no list", "a list of nodes", "Write \"nodes\": [ ... ].");
      return std::nullopt;
    }
    for (const Json& entry : json["nodes"]) {
      if (!read_node(entry, network)) return std::nullopt;
    }
    if (faults_.size() > before) return std::nullopt;
    if (const auto sound = check(network); !sound) {
      const Errors named = name_.empty() ? sound.error() : sound.error().in_field(printable(name_));
      faults_.insert(faults_.end(), named.begin(), named.end());
      return std::nullopt;
    }
    return network;
  }

 private:
  void add(const std::string& field, std::string found, std::string expected, std::string hint) {
    const std::string name = printable(name_);
    faults_.push_back({ErrorCode::invalid_input,
                       {.field = name.empty() ? field : name + "." + field},
                       std::move(found),
                       std::move(expected),
                       std::move(hint)});
  }

  void unknown_keys(const Json& json, const std::string& path, const std::vector<std::string>& known) {
    for (const auto& [key, value] : json.items()) {
      if (key.starts_with("_") || std::find(known.begin(), known.end(), key) != known.end()) continue;
      const std::string near = catalog::nearest(key, known);
      add(path + printable(key), "an unknown key",
          near.empty() ? fmt::format("one of {}", fmt::join(known, ", ")) : near, "A remark's key starts with _.");
    }
  }

  bool read_node(const Json& entry, diagnosis::Network& network) {
    diagnosis::Node node;
    const std::string nth = fmt::format("nodes[{}]", network.nodes.size());
    if (!entry.is_object() || !entry.contains("name") || !entry["name"].is_string()) {
      add(nth + ".name", "no text", "the node's name", "Write \"name\": \"...\".");
      return false;
    }
    node.name = entry["name"].get<std::string>();
    const std::string path = printable(node.name) + ".";
    unknown_keys(entry, path, {"name", "states", "parents", "cpt", "noisy_or", "source"});
    if (!read_texts(entry, "states", path, node.states)) return false;
    std::vector<std::string> parents;
    if (entry.contains("parents") && !read_texts(entry, "parents", path, parents)) return false;
    for (const std::string& parent : parents) {
      const auto place = network.find(parent);
      if (!place) {
        std::vector<std::string> names;
        for (const diagnosis::Node& one : network.nodes) names.push_back(one.name);
        const std::string near = catalog::nearest(parent, names);
        add(path + "parents", printable(parent), near.empty() ? "a node that stands before it" : near,
            "Nodes stand in the order of cause before effect.");
        return false;
      }
      node.parents.push_back(*place);
    }
    if (entry.contains("cpt") == entry.contains("noisy_or")) {
      add(path + "cpt", entry.contains("cpt") ? "cpt and noisy_or" : "neither cpt nor noisy_or", "one of the two",
          "Write a table, or a leak and one p per parent.");
      return false;
    }
    const bool read =
        entry.contains("cpt") ? read_table(entry["cpt"], path, node) : read_noisy_or(entry["noisy_or"], path, node);
    if (read) network.nodes.push_back(std::move(node));
    return read;
  }

  bool read_texts(const Json& entry, const std::string& key, const std::string& path, std::vector<std::string>& into) {
    if (!entry.contains(key) || !entry[key].is_array()) {
      add(path + key, "no list", "a list of names", "Write [\"...\", \"...\"].");
      return false;
    }
    for (const Json& one : entry[key]) {
      if (!one.is_string()) {
        add(path + key, "something else than a name", "a list of names", "Put names in quotes.");
        return false;
      }
      into.push_back(one.get<std::string>());
    }
    return true;
  }

  bool read_numbers(const Json& list, const std::string& field, std::vector<double>& into) {
    if (!list.is_array()) {
      add(field, "no list", "a list of numbers", "Write [0.1, 0.9].");
      return false;
    }
    for (const Json& one : list) {
      if (!one.is_number()) {
        add(field, "something else than a number", "numbers", "Write 0.1.");
        return false;
      }
      into.push_back(one.get<double>());
    }
    return true;
  }

  bool read_table(const Json& table, const std::string& path, diagnosis::Node& node) {
    if (!table.is_array()) {
      add(path + "cpt", "no list", "a list of rows", "Write [[0.1, 0.9], ...].");
      return false;
    }
    for (std::size_t row = 0; row < table.size(); ++row) {
      const std::string field = fmt::format("{}cpt[{}]", path, row);
      const std::size_t before = node.table.size();
      if (!read_numbers(table[row], field, node.table)) return false;
      if (node.table.size() - before != node.states.size()) {
        add(field, fmt::format("{} numbers", node.table.size() - before), fmt::format("{}", node.states.size()),
            "One number for each state of the node.");
        return false;
      }
    }
    return true;
  }

  bool read_noisy_or(const Json& json, const std::string& path, diagnosis::Node& node) {
    const std::string field = path + "noisy_or";
    if (!json.is_object() || !json.contains("leak") || !json["leak"].is_number() || !json.contains("p")) {
      add(field, "no leak or no p", "\"leak\" and \"p\"", "Write {\"leak\": 0.01, \"p\": [0.4, 0.8]}.");
      return false;
    }
    unknown_keys(json, field + ".", {"leak", "p", "inhibitors"});
    diagnosis::NoisyOr either{.leak = json["leak"].get<double>(), .links = {}, .inhibitors = {}};
    if (!read_numbers(json["p"], field + ".p", either.links)) return false;
    if (json.contains("inhibitors") && !read_numbers(json["inhibitors"], field + ".inhibitors", either.inhibitors)) {
      return false;
    }
    node.noisy_or = std::move(either);
    return true;
  }

  std::string name_;
  std::vector<Error>& faults_;
};

}  // namespace

Result<std::vector<diagnosis::Network>> read_networks(std::string_view text, const std::string& file) {
  if (text.size() > catalog::largest_document_bytes) {
    return fail({ErrorCode::too_large,
                 {.file = file},
                 fmt::format("{} bytes", text.size()),
                 fmt::format("at most {}", catalog::largest_document_bytes),
                 "Split the file."});
  }
  Builder builder(text);
  const bool parsed = Json::sax_parse(text.begin(), text.end(), &builder);
  if (!parsed) {
    const Error fault = builder.fault().value_or(
        Error{ErrorCode::invalid_input, {}, "broken JSON", "a JSON document", "Look for a missing bracket."});
    return fail(Errors(fault).in_file(file));
  }
  if (!builder.root.is_object()) {
    return fail({ErrorCode::invalid_input,
                 {.file = file},
                 "no object",
                 "a network, or one per key",
                 "Start with { and a \"nodes\" list."});
  }
  std::vector<diagnosis::Network> networks;
  std::vector<Error> faults;
  const auto take = [&](const std::string& name, const Json& json) {
    if (!json.is_object()) {
      faults.push_back({ErrorCode::invalid_input,
                        {.field = printable(name)},
                        "no object",
                        "a network",
                        "Write { \"nodes\": [ ... ] }."});
      return;
    }
    if (auto network = NetworkReader(name, faults).read(json)) networks.push_back(std::move(*network));
  };
  if (builder.root.contains("nodes")) {
    take("", builder.root);
  } else {
    for (const auto& [key, value] : builder.root.items()) {
      if (!key.starts_with("_")) take(key, value);
    }
    if (networks.empty() && faults.empty()) {
      faults.push_back({ErrorCode::invalid_input,
                        {.field = "nodes"},
                        "no network",
                        "a network, or one per key",
                        "Write { \"nodes\": [ ... ] }."});
    }
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)).in_file(file));
  return networks;
}

}  // namespace fw::casefile
