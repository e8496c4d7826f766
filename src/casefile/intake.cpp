// SPDX-License-Identifier: Apache-2.0
#include "casefile/intake.hpp"

#include <algorithm>
#include <array>
#include <cctype>

namespace fw::casefile {

namespace {

using catalog::Table;
using Dim = units::Dimension;

/// A day as "2026-05-04": four, two and two digits, and a day the month has.
bool is_day(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  for (const std::size_t i : {0U, 1U, 2U, 3U, 5U, 6U, 8U, 9U}) {
    if (std::isdigit(static_cast<unsigned char>(text[i])) == 0) return false;
  }
  const int year = std::stoi(text.substr(0, 4));
  const int month = std::stoi(text.substr(5, 2));
  const int day = std::stoi(text.substr(8, 2));
  if (month < 1 || month > 12) return false;
  static constexpr std::array<int, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  const int last = days.at(static_cast<std::size_t>(month) - 1) + (month == 2 && leap ? 1 : 0);
  return day >= 1 && day <= last;
}

std::string date(Table& table) {
  const auto text = table.text("date");
  if (!text) return {};
  if (!text->empty() && *text != "?" && !is_day(*text)) {
    table.fault("date", "\"" + *text + "\"", "a day, or \"?\"", "Write for example date = \"2026-05-04\"");
  }
  return *text == "?" ? std::string() : *text;
}

}  // namespace

Intake read_intake(Table& table) {
  Intake intake;
  intake.odometer_m = table.optional_stated("odometer", Dim::distance, "intake.odometer");
  intake.hours_s = table.optional_stated("hours", Dim::time, "intake.hours");
  intake.idle_share = table.optional_stated("idle_share", Dim::ratio, "intake.idle_share");
  if (intake.idle_share && !(intake.idle_share->value >= 0.0 && intake.idle_share->value <= 1.0)) {
    table.fault("idle_share", "\"" + intake.idle_share->origin.as_typed + "\"", "a share from 0 to 1",
                "Write for example \"60 %\"");
  }
  intake.use = table.text("use").value_or(std::string());
  for (Table& row : table.tables("fill")) {
    Fill fill;
    fill.date = date(row);
    fill.place = row.text("place").value_or(std::string());
    fill.product = row.text("product").value_or(std::string());
    fill.volume_m3 = row.optional_stated("volume", Dim::volume, "intake.fill.volume");
    fill.receipt = row.truth("receipt");
    intake.fills.push_back(std::move(fill));
  }
  if (intake.fills.size() > 3) {
    table.fault("fill", std::to_string(intake.fills.size()) + " fills", "the last three fills",
                "Keep the newest three");
  }
  intake.tow_since_failure = table.text("tow_since_failure").value_or(std::string());
  intake.cranks_since_failure = table.whole("cranks_since_failure", 0, 10'000);
  intake.fuel_work = table.text("fuel_work").value_or(std::string());
  intake.owner = table.text("owner").value_or(std::string());
  intake.payers = table.texts("payers");
  if (auto campaign = table.table("campaign")) {
    intake.campaign.checked = campaign->truth("checked");
    intake.campaign.date = date(*campaign);
    intake.campaign.result = campaign->text("result").value_or(std::string());
    if (intake.campaign.checked.value_or(false) && intake.campaign.date.empty()) {
      campaign->fault("", "a campaign check without its date", "the day it was checked", "Add date = \"2026-05-04\"");
    }
  }
  if (auto permission = table.table("permission")) {
    intake.permission.to_look = permission->truth("to_look");
    intake.permission.cap = permission->text("cap").value_or(std::string());
    intake.permission.by = permission->text("by").value_or(std::string());
    intake.permission.date = date(*permission);
    if (intake.permission.to_look.value_or(false) && intake.permission.cap.empty()) {
      permission->fault("", "permission to look without a cap", "the most that looking may cost",
                        "Add for example cap = \"300 USD\"");
    }
  }
  if (auto consent = table.table("consent")) {
    intake.consent.samples = consent->truth("samples");
    intake.consent.photos = consent->truth("photos");
  }
  return intake;
}

}  // namespace fw::casefile
