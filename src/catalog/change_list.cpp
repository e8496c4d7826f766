// SPDX-License-Identifier: Apache-2.0
#include "catalog/change_list.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "catalog/document_node.hpp"

namespace fw::catalog {

namespace {

using Node = DocumentAccess::Node;
using Kind = Node::Kind;

constexpr std::array<std::string_view, 6> verbs{"at", "insert", "replace", "remove", "move", "build"};

Error fault_at(const Node& node, std::string found, std::string expected, std::string hint,
               ErrorCode code = ErrorCode::invalid_input) {
  return {.code = code,
          .where = {.file = node.file ? *node.file : std::string(), .line = node.line, .column = 0, .field = node.path},
          .found = found.empty() ? node.shown() : std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

std::string quoted(std::string_view text) { return fmt::format("\"{}\"", text); }

/// Puts the members of `from` over those of `to`, tables key by key.
void merge_into(Node& to, Node& from) {
  const std::vector<std::string> keys = from.order;
  for (const std::string& key : keys) {
    auto value = from.take(key);
    Node* there = to.peek(key);
    if (there != nullptr && there->kind == Kind::table && value->kind == Kind::table) {
      merge_into(*there, *value);
    } else {
      to.put(key, std::move(value));
    }
  }
}

/// Where a part stands: its leg's list and its place in it.
struct Spot {
  std::vector<std::unique_ptr<Node>>* parts = nullptr;
  std::size_t index = 0;
};

class Sheet {
 public:
  Sheet(Node& root, std::vector<Error>& faults, const SheetSources& sources, const units::SourceSpreads& spreads)
      : root_(root), faults_(faults), sources_(sources), spreads_(spreads) {}

  void apply_all(Node& list, int depth) {
    if (list.kind != Kind::array) {
      note(list, "one table", "a list of changes", "Write [[change]]");
      return;
    }
    for (const auto& item : list.items) {
      if (item->kind != Kind::table) {
        note(*item, item->text_value, "a list of tables", "Write [[change]]");
        return;
      }
      apply(*item, depth);
    }
  }

  /// Adds the tanks, junctions and legs of a sheet to those of the sheet it starts from.
  void add_list(const std::string& key, std::unique_ptr<Node> added) {
    Node* there = root_.peek(key);
    if (there == nullptr) {
      root_.put(key, std::move(added));
      return;
    }
    make_list(key);
    there = root_.peek(key);
    if (added->kind == Kind::table) {
      if (key != "tank") {
        note(*added, "one table", "a list of tables", fmt::format("Write [[{}]]", key));
        return;
      }
      // One [tank] beside the tanks of the sheet below is the first of them, or the one it names.
      const std::string id = added->text_of("id");
      Node* same = id.empty() && !there->items.empty() ? there->items.front().get() : find_item(*there, id);
      if (same != nullptr) {
        merge_into(*same, *added);
      } else {
        there->items.push_back(std::move(added));
      }
      return;
    }
    if (added->kind != Kind::array) {
      note(*added, added->text_value, "a table", fmt::format("Write [[{}]]", key));
      return;
    }
    for (auto& item : added->items) {
      const std::string id = item->text_of("id");
      Node* same = find_item(*there, id.empty() && key == "tank" ? "tank" : id);
      if (same == nullptr) {
        there->items.push_back(std::move(item));
      } else if (key == "leg") {
        note(*item, "the leg " + quoted(id) + " again", "a leg that the sheet below has not",
             fmt::format("Change its parts with [[change]], or its ends with at = \"{}\"", id));
      } else {
        merge_into(*same, *item);
      }
    }
  }

  /// Fills the parts that name a catalog entry with what the entry says and they do not.
  void fill_from_catalog() {
    Node* legs = root_.peek("leg");
    if (legs == nullptr) return;
    for (const auto& leg : legs->items) {
      Node* parts = leg->kind == Kind::table ? leg->peek("part") : nullptr;
      if (parts == nullptr) continue;
      for (const auto& part : parts->items) {
        if (part->kind == Kind::table && part->peek("catalog") != nullptr) fill(*part);
      }
    }
  }

 private:
  void note(const Node& node, std::string found, std::string expected, std::string hint,
            ErrorCode code = ErrorCode::invalid_input) {
    faults_.push_back(fault_at(node, std::move(found), std::move(expected), std::move(hint), code));
  }
  /// A fault of a document that `node` names, told at the place that names it.
  void note_all(const Node& node, const Errors& errors) {
    for (Error error : errors) {
      if (error.where.file.empty()) {
        error.where = {.file = *node.file, .line = node.line, .column = 0, .field = node.path};
      }
      faults_.push_back(std::move(error));
    }
  }

  void fill(Node& part) {
    const auto name = part.take("catalog");
    if (name->kind != Kind::text || !sources_.part) {
      note(*name, name->text_value, "the id of a catalog part", "See fuelwright catalog");
      return;
    }
    const auto found = sources_.part(name->text_value);
    if (!found) {
      note_all(*name, found.error());
      return;
    }
    auto entry = Document::parse(found->text, found->file, spreads_);
    if (!entry) {
      note_all(*name, entry.error());
      return;
    }
    Node* table = DocumentAccess::root(*entry).peek("part");
    if (table == nullptr) return;
    for (const std::string& key : std::vector<std::string>(table->order)) {
      if (key == "id" || key == "facts" || key == "source") continue;
      auto value = table->take(key);
      value->catalog_id = name->text_value;
      for (auto& [inner, child] : value->members) child->catalog_id = name->text_value;
      Node* own = part.peek(key);
      if (own == nullptr) {
        part.put(key, std::move(value));
      } else if (own->kind == Kind::text && own->text_value == "?" && value->kind == Kind::text) {
        own->stand_in = std::move(value);
      }
    }
  }

  static Node* find_item(Node& list, const std::string& id) {
    for (const auto& item : list.items) {
      if (item->kind != Kind::table) continue;
      const std::string own = item->text_of("id");
      if (own == id) return item.get();
      if (own.empty() && id == "tank") return item.get();
    }
    return nullptr;
  }

  void make_list(const std::string& key) {
    Node* there = root_.peek(key);
    if (there->kind == Kind::array) return;
    auto list = std::make_unique<Node>();
    list->kind = Kind::array;
    list->path = key;
    list->file = there->file;
    list->line = there->line;
    list->items.push_back(root_.take(key));
    root_.put(key, std::move(list));
  }

  /// Lists of parts of all legs.
  template <class Visit>
  void each_part_list(Visit&& visit) {
    Node* legs = root_.peek("leg");
    if (legs == nullptr) return;
    for (const auto& leg : legs->items) {
      if (leg->kind != Kind::table) continue;
      if (Node* parts = leg->peek("part"); parts != nullptr && parts->kind == Kind::array) visit(parts->items);
    }
  }

  std::optional<Spot> find_part(const std::string& id) {
    std::optional<Spot> spot;
    each_part_list([&](std::vector<std::unique_ptr<Node>>& parts) {
      for (std::size_t i = 0; i < parts.size() && !spot; ++i) {
        if (parts[i]->kind == Kind::table && parts[i]->text_of("id") == id) spot = Spot{&parts, i};
      }
    });
    return spot;
  }

  std::vector<std::string> part_ids() {
    std::vector<std::string> ids;
    each_part_list([&](std::vector<std::unique_ptr<Node>>& parts) {
      for (const auto& part : parts) ids.push_back(part->text_of("id"));
    });
    return ids;
  }

  /// A table of the sheet that `at` may name beside the parts: tanks, junctions, legs, and tables that stand once.
  Node* find_table(const std::string& id) {
    for (const char* key : {"tank", "junction", "leg"}) {
      Node* list = root_.peek(key);
      if (list == nullptr) continue;
      if (list->kind == Kind::table) {
        const std::string own = list->text_of("id");
        if (own == id || (own.empty() && id == key)) return list;
      } else if (Node* item = find_item(*list, id);
                 item != nullptr && (id != "tank" || std::string_view(key) == "tank")) {
        return item;
      }
    }
    // Tables that stand once: engine, high_side, fluid, ...
    Node* table = root_.peek(id);
    return table != nullptr && table->kind == Kind::table ? table : nullptr;
  }

  std::vector<std::string> table_ids() {
    std::vector<std::string> ids;
    for (const auto& [key, value] : root_.members) {
      if (value->kind == Kind::table && key != "tank") ids.push_back(key);
    }
    for (const char* key : {"tank", "junction", "leg"}) {
      Node* list = root_.peek(key);
      if (list == nullptr) continue;
      if (list->kind == Kind::table) ids.push_back(list->text_of("id").empty() ? key : list->text_of("id"));
      for (const auto& item : list->items) ids.push_back(item->text_of("id").empty() ? key : item->text_of("id"));
    }
    return ids;
  }

  void note_unknown(const Node& where, const std::string& id, std::vector<std::string> known) {
    const std::string near = nearest(id, known);
    std::string all;
    for (const std::string& one : known) all += (all.empty() ? "" : ", ") + one;
    note(where, quoted(id) + ", which is not on the sheet",
         near.empty() ? "one of " + all : "the id " + quoted(near) + " or another of the sheet",
         near.empty() ? "Write the id as the sheet below has it" : "Write " + quoted(near), ErrorCode::not_found);
  }

  Node* legs_part_list(const std::string& leg_id) {
    Node* legs = root_.peek("leg");
    Node* leg = legs == nullptr ? nullptr : find_item(*legs, leg_id);
    if (leg == nullptr || leg_id.empty()) return nullptr;
    if (leg->peek("part") == nullptr) {
      auto list = std::make_unique<Node>();
      list->kind = Kind::array;
      list->path = leg->path + ".part";
      list->file = leg->file;
      list->line = leg->line;
      leg->put("part", std::move(list));
    }
    return leg->peek("part");
  }

  /// Takes before, after, start_of, end_of out of the change and finds the place they name.
  std::optional<Spot> place_of(Node& change) {
    std::optional<Spot> spot;
    bool named = false;
    bool bad = false;
    for (const char* key : {"before", "after", "start_of", "end_of"}) {
      auto value = change.take(key);
      if (!value) continue;
      if (named) {
        note(*value, "a second place", "one of before, after, start_of, end_of", "Keep one of them");
        return std::nullopt;
      }
      named = true;
      std::vector<std::string> choices;
      if (value->kind == Kind::text) choices.push_back(value->text_value);
      for (const auto& item : value->items) choices.push_back(item->text_value);
      const std::string_view word = key;
      for (const std::string& id : choices) {
        if (spot) break;
        if (word == "before" || word == "after") {
          spot = find_part(id);
          if (spot && word == "after") ++spot->index;
        } else if (Node* parts = legs_part_list(id); parts != nullptr && parts->kind == Kind::array) {
          spot = Spot{&parts->items, word == "start_of" ? 0 : parts->items.size()};
        }
      }
      if (!spot) {
        bad = true;
        const bool of_parts = word == "before" || word == "after";
        note_unknown(*value, choices.empty() ? std::string() : choices.front(), of_parts ? part_ids() : leg_ids());
      }
    }
    if (!named && !bad) {
      note(change, "no place", "before or after a part, or start_of or end_of a leg",
           "Add for example after = \"suction-line\"");
    }
    return spot;
  }

  std::vector<std::string> leg_ids() {
    std::vector<std::string> ids;
    if (Node* legs = root_.peek("leg"); legs != nullptr) {
      for (const auto& leg : legs->items) ids.push_back(leg->text_of("id"));
    }
    return ids;
  }

  void apply(Node& change, int depth) {
    std::string verb;
    std::unique_ptr<Node> target;
    for (const std::string_view one : verbs) {
      if (change.peek(one) == nullptr) continue;
      if (target) {
        note(*change.peek(one), fmt::format("{} beside {}", one, verb), "one thing done per [[change]]",
             "Make two [[change]] tables of it");
        return;
      }
      verb = one;
      target = change.take(one);
    }
    if (!target) {
      std::string near;
      for (const std::string& key : change.order) {
        if (near.empty()) near = nearest(key, {verbs.begin(), verbs.end()});
      }
      note(change, "a change that does nothing", "one of at, insert, replace, remove, move, build",
           near.empty() ? "Add for example at = \"suction-line\"" : "Write " + near + " = \"...\"");
      return;
    }
    if (target->kind != Kind::text || target->text_value.empty()) {
      note(*target, target->text_value.empty() ? "no id" : target->text_value, "an id in quotes",
           fmt::format("Write {} = \"engine-filter\"", verb));
      return;
    }
    const std::string id = target->text_value;
    bool may_be_missing = false;
    if (auto flag = change.take("if_there")) {
      if (flag->kind != Kind::truth) note(*flag, flag->text_value, "true or false", "Write if_there = true");
      may_be_missing = flag->truth_value;
    }
    static_cast<void>(change.take("note"));
    static_cast<void>(change.take("source"));

    if (verb == "build") {
      build(*target, change, depth);
    } else if (verb == "at") {
      at(*target, id, change, may_be_missing);
    } else if (verb == "insert") {
      const auto spot = place_of(change);
      if (!spot) return;
      if (find_part(id) || find_table(id) != nullptr) {
        note(*target, quoted(id) + ", which the sheet has already", "an id that is new",
             fmt::format("Choose another id, or change the part with at = \"{}\"", id));
        return;
      }
      spot->parts->insert(spot->parts->begin() + static_cast<std::ptrdiff_t>(spot->index),
                          part_of(change, std::move(target)));
    } else if (verb == "replace") {
      const auto spot = find_part(id);
      if (!spot) {
        if (!may_be_missing) note_unknown(*target, id, part_ids());
        return;
      }
      auto& old = (*spot->parts)[spot->index];
      auto own_id = change.take("id");
      auto part = part_of(change, own_id ? std::move(own_id) : std::move(target));
      // The new part hangs where the old one hung, unless the change says otherwise.
      for (const char* key : {"end_height", "port"}) {
        if (part->peek(key) == nullptr && old->peek(key) != nullptr) part->put(key, old->take(key));
      }
      old = std::move(part);
    } else {
      std::optional<Spot> from = find_part(id);
      if (!from) {
        if (verb == "remove" && remove_table(id)) {
          refuse_rest(change, verb);
          return;
        }
        if (!may_be_missing) note_unknown(*target, id, part_ids());
        return;
      }
      if (verb == "remove") {
        from->parts->erase(from->parts->begin() + static_cast<std::ptrdiff_t>(from->index));
        refuse_rest(change, verb);
        return;
      }
      std::unique_ptr<Node> part = std::move((*from->parts)[from->index]);
      from->parts->erase(from->parts->begin() + static_cast<std::ptrdiff_t>(from->index));
      const auto to = place_of(change);
      if (!to) return;
      // Keys beside the place belong to the part in its new place.
      merge_into(*part, change);
      to->parts->insert(to->parts->begin() + static_cast<std::ptrdiff_t>(to->index), std::move(part));
    }
  }

  bool remove_table(const std::string& id) {
    for (const char* key : {"leg", "junction", "tank"}) {
      Node* list = root_.peek(key);
      if (list == nullptr || list->kind != Kind::array) continue;
      const auto found = std::ranges::find_if(list->items, [&](const auto& item) { return item->text_of("id") == id; });
      if (found == list->items.end()) continue;
      list->items.erase(found);
      return true;
    }
    return false;
  }

  void refuse_rest(const Node& change, std::string_view verb) {
    for (const std::string& key : change.order) {
      note(*change.peek(key), fmt::format("the key \"{}\"", key), fmt::format("nothing beside {}", verb),
           "Remove the line, or use at or replace");
    }
  }

  static std::unique_ptr<Node> part_of(Node& change, std::unique_ptr<Node> id) {
    auto part = std::make_unique<Node>();
    part->kind = Kind::table;
    part->path = change.path;
    part->file = change.file;
    part->line = change.line;
    part->source = change.source;
    part->put("id", std::move(id));
    merge_into(*part, change);
    return part;
  }

  void at(const Node& target, const std::string& id, Node& change, bool may_be_missing) {
    Node* table = nullptr;
    if (const auto spot = find_part(id)) {
      table = (*spot->parts)[spot->index].get();
    } else {
      table = find_table(id);
    }
    if (table == nullptr) {
      if (may_be_missing) return;
      auto known = part_ids();
      for (std::string& one : table_ids()) known.push_back(std::move(one));
      note_unknown(target, id, std::move(known));
      return;
    }
    if (auto without = change.take("without")) {
      if (without->kind != Kind::array) {
        note(*without, without->text_value, "a list of keys", "Write without = [\"bypass_crack\"]");
      }
      for (const auto& item : without->items) {
        if (table->take(item->text_value) == nullptr) {
          const std::string near = nearest(item->text_value, table->order);
          note(*without, fmt::format("the key {}, which \"{}\" has not", quoted(item->text_value), id), "a key it has",
               near.empty() ? "Remove it from the list" : "Write " + quoted(near));
        }
      }
    }
    if (change.peek("part") != nullptr) {
      note(*change.take("part"), "parts inside a change", "one [[change]] for every part", "Use insert");
    }
    merge_into(*table, change);
  }

  void build(const Node& target, Node& change, int depth) {
    refuse_rest(change, "build");
    if (depth >= longest_chain) {
      note(target, "builds inside builds inside builds", fmt::format("at most {} deep", longest_chain),
           "Name the changes themselves");
      return;
    }
    if (!sources_.build) {
      note(target, "a build", "changes", "Builds come from the catalog only");
      return;
    }
    const auto found = sources_.build(target.text_value);
    if (!found) {
      note_all(target, found.error());
      return;
    }
    auto document = Document::parse(found->text, found->file, spreads_);
    if (!document) {
      note_all(target, document.error());
      return;
    }
    Node& root = DocumentAccess::root(*document);
    const std::size_t before = faults_.size();
    for (const char* key : {"tank", "junction", "leg"}) {
      if (auto added = root.take(key)) add_list(key, std::move(added));
    }
    // Its own tables, such as [engine], over those of the sheet.
    for (const std::string& key : std::vector<std::string>(root.order)) {
      Node* value = root.peek(key);
      if (value == nullptr || value->kind != Kind::table) continue;
      Node* there = root_.peek(key);
      if (there != nullptr && there->kind == Kind::table) {
        merge_into(*there, *value);
      } else {
        root_.put(key, root.take(key));
      }
    }
    if (auto list = root.take("change")) apply_all(*list, depth + 1);
    // What does not fit is told at the line that asks for the build, with the change that failed.
    for (std::size_t i = before; i < faults_.size(); ++i) {
      Error& error = faults_[i];
      if (error.where.file != found->file) continue;
      error.found = fmt::format("the build {} does not fit: at line {} of it {}", quoted(target.text_value),
                                error.where.line, error.found);
      error.where = {.file = *target.file, .line = target.line, .column = 0, .field = target.path};
      error.code = ErrorCode::conflict;
      error.hint = "Make its changes one by one, leaving out what does not fit";
    }
  }

  Node& root_;
  std::vector<Error>& faults_;
  const SheetSources& sources_;
  const units::SourceSpreads& spreads_;
};

void expand(Document& document, const units::SourceSpreads& spreads, const SheetSources& sources,
            std::vector<std::string>& chain) {
  Node& root = DocumentAccess::root(document);
  std::vector<Error>& faults = DocumentAccess::faults(document);
  auto from = root.take("from");
  auto changes = root.take("change");
  if (!from) {
    if (changes) {
      faults.push_back(fault_at(*changes, "changes without a sheet to change", "from = \"...\" at the head of the file",
                                "Add from = \"layout:c-low\" or the name of another sheet"));
    }
  } else if (from->kind != Kind::text) {
    faults.push_back(fault_at(*from, from->text_value.empty() ? "a table" : from->text_value,
                              "a layout or a file in quotes", "Write from = \"layout:c-low\""));
  } else if (!sources.sheet) {
    faults.push_back(
        fault_at(*from, "from = " + quoted(from->text_value), "a complete sheet", "Nothing can be looked up here"));
  } else {
    auto below = sources.sheet(from->text_value, document.file());
    if (!below) {
      for (Error error : below.error()) {
        error.where = {.file = *from->file, .line = from->line, .column = 0, .field = "from"};
        faults.push_back(std::move(error));
      }
    } else if (std::ranges::find(chain, below->file) != chain.end()) {
      std::string way;
      for (const std::string& one : chain) way += one + " -> ";
      faults.push_back(fault_at(*from, "a sheet that starts from itself (" + way + below->file + ")",
                                "a chain that ends in a complete sheet or a layout",
                                "Let one of them start from a layout", ErrorCode::conflict));
    } else if (static_cast<int>(chain.size()) >= longest_chain) {
      faults.push_back(fault_at(*from, fmt::format("more than {} sheets that start from each other", longest_chain),
                                "a short chain", "Start from the layout itself", ErrorCode::too_large));
    } else if (auto base = Document::parse(below->text, below->file, spreads); !base) {
      for (const Error& error : base.error()) faults.push_back(error);
    } else {
      chain.push_back(below->file);
      base->demand_format();
      expand(*base, spreads, sources, chain);
      Node& under = DocumentAccess::root(*base);
      // What a layout says of itself is not a part of the sheet that starts from it.
      for (const char* key : {"id", "title", "words"}) static_cast<void>(under.take(key));
      for (Error& error : DocumentAccess::faults(*base)) faults.push_back(std::move(error));
      Sheet sheet(under, faults, sources, spreads);
      for (const std::string& key : std::vector<std::string>(root.order)) {
        auto value = root.take(key);
        Node* there = under.peek(key);
        if (key == "tank" || key == "junction" || key == "leg") {
          sheet.add_list(key, std::move(value));
        } else if (there != nullptr && there->kind == Kind::table && value->kind == Kind::table) {
          merge_into(*there, *value);
        } else {
          under.put(key, std::move(value));
        }
      }
      if (changes) sheet.apply_all(*changes, 0);
      root = std::move(under);
    }
  }
}

}  // namespace

Result<Document> load_sheet_document(std::string_view text, std::string file, const units::SourceSpreads& spreads,
                                     const SheetSources& sources) {
  auto document = Document::parse(text, std::move(file), spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  std::vector<Error>& faults = DocumentAccess::faults(*document);
  const std::size_t own = faults.size();
  std::vector<std::string> chain{document->file()};
  expand(*document, spreads, sources, chain);
  Sheet(DocumentAccess::root(*document), faults, sources, spreads).fill_from_catalog();
  // A sheet that could not be put together would be blamed for what it lacks.
  if (faults.size() > own) return fail(Errors(std::move(faults)));
  return document;
}

}  // namespace fw::catalog
