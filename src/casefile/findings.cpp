// SPDX-License-Identifier: Apache-2.0
#include "casefile/findings.hpp"

#include <algorithm>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

using catalog::Table;

void check_file_name(Table& table, const char* key, const std::string& name) {
  if (name.empty()) return;
  if (name.front() == '/' || name.find("..") != std::string::npos) {
    table.fault(key, "\"" + name + "\"", "a file inside the case folder", "Copy it into the folder");
  }
}

diagnosis::Statement read_statement(Table& table, const diagnosis::Tables& tables) {
  diagnosis::Statement one;
  one.finding = table.required_text("id", "the id of a finding, e.g. \"E46\"");
  const diagnosis::FindingRow* row = tables.finding(one.finding);
  if (row == nullptr && !one.finding.empty()) {
    std::vector<std::string> ids;
    for (const diagnosis::FindingRow& each : tables.findings) ids.push_back(each.id);
    const std::string near = catalog::nearest(one.finding, ids);
    table.fault("id", "\"" + one.finding + "\"", near.empty() ? "a finding of catalog/diagnosis/findings.toml" : near,
                "See catalog/diagnosis/findings.toml");
  }
  if (const auto seen = table.choice("seen", {"present", "absent", "not looked", "could not tell"})) {
    one.seen = static_cast<diagnosis::Seen>(*seen);
  } else if (!table.has("seen")) {
    table.fault("", "no \"seen\"", "present, absent, not looked or could not tell", "Add seen = \"present\"");
  }
  one.grade = table.text("grade").value_or(std::string());
  if (row != nullptr && one.seen == diagnosis::Seen::present) {
    std::vector<std::string> titles;
    for (const diagnosis::Grade& grade : row->grades) titles.push_back(grade.title);
    const bool known = std::find(titles.begin(), titles.end(), one.grade) != titles.end();
    if (!titles.empty() && !known) {
      table.fault(table.has("grade") ? "grade" : "", one.grade.empty() ? "no grade" : "\"" + one.grade + "\"",
                  fmt::format("one of \"{}\"", fmt::join(titles, "\", \"")), "Say how much was found");
    }
    if (titles.empty() && !one.grade.empty()) {
      table.fault("grade", "\"" + one.grade + "\"", "no grade: it is there or not", "Strike the grade");
    }
  }
  one.person = table.text("person").value_or(std::string());
  one.time = table.text("time").value_or(std::string());
  one.photo = table.text("photo").value_or(std::string());
  one.clip = table.text("clip").value_or(std::string());
  one.note = table.text("note").value_or(std::string());
  check_file_name(table, "photo", one.photo);
  check_file_name(table, "clip", one.clip);
  return one;
}

/// A text in quotes that TOML reads back.
std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (c == '\t') {
      out += "\\t";
    } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      out += c;
    }
  }
  return out + "\"";
}

}  // namespace

Result<diagnosis::Facts> read_findings(std::string_view text, const std::string& file,
                                       const catalog::Catalog& catalog) {
  auto document = catalog::Document::parse(text, file, catalog.spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Table top = document->root();
  diagnosis::Facts facts;
  if (auto agreement = top.table("agreement_to_open_pump")) {
    facts.agreement = {.owner = agreement->truth("owner").value_or(false),
                       .payer = agreement->truth("payer").value_or(false),
                       .maker = agreement->truth("maker").value_or(false),
                       .date = agreement->text("date").value_or(std::string())};
    const bool any = facts.agreement.owner || facts.agreement.payer || facts.agreement.maker;
    if (any && facts.agreement.date.empty()) {
      agreement->fault("", "an agreement without its date", "the day it was given", "Add date = \"2026-05-04\"");
    }
  }
  facts.tools_away = top.texts("tools_not_at_hand");
  std::set<std::string> seen;
  for (Table& row : top.tables("finding")) {
    diagnosis::Statement one = read_statement(row, catalog.diagnosis);
    if (!one.finding.empty() && !seen.insert(one.finding).second) {
      row.fault("id", "\"" + one.finding + "\" twice", "each finding once", "Keep the statement that holds");
    }
    facts.statements.push_back(std::move(one));
  }
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  return facts;
}

std::string findings_text(const diagnosis::Facts& facts) {
  std::string text = "# SPDX-License-Identifier: Apache-2.0\nformat = 1\n";
  if (!facts.tools_away.empty()) {
    std::vector<std::string> tools;
    for (const std::string& tool : facts.tools_away) tools.push_back(quoted(tool));
    text += fmt::format("tools_not_at_hand = [{}]\n", fmt::join(tools, ", "));
  }
  const diagnosis::Agreement& agreed = facts.agreement;
  if (agreed.owner || agreed.payer || agreed.maker) {
    text += fmt::format("\n[agreement_to_open_pump]\nowner = {}\npayer = {}\nmaker = {}\ndate = {}\n", agreed.owner,
                        agreed.payer, agreed.maker, quoted(agreed.date));
  }
  for (const diagnosis::Statement& one : facts.statements) {
    text += fmt::format("\n[[finding]]\nid = {}\nseen = {}\n", quoted(one.finding), quoted(diagnosis::name(one.seen)));
    const auto put = [&](const char* key, const std::string& value) {
      if (!value.empty()) text += fmt::format("{} = {}\n", key, quoted(value));
    };
    put("grade", one.grade);
    put("person", one.person);
    put("time", one.time);
    put("photo", one.photo);
    put("clip", one.clip);
    put("note", one.note);
  }
  return text;
}

}  // namespace fw::casefile
