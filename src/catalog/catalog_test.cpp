// SPDX-License-Identifier: Apache-2.0
#include "catalog/catalog.hpp"

#include <gtest/gtest.h>

namespace fw::catalog {
namespace {

TEST(Catalog, HasEveryLayoutBuildAndArchetypeOfThePage) {
  const auto catalog = built_in();
  ASSERT_TRUE(catalog) << to_text(catalog.error());
  for (const char* id : {"a", "b", "c-low", "c-high", "d", "e1", "e2", "e3", "f1", "f2", "f3", "f4"}) {
    EXPECT_NE(catalog->find(EntryKind::layout, id), nullptr) << id;
  }
  for (const char* id : {"g1", "g2", "g3", "g4", "g5", "g6"}) {
    EXPECT_NE(catalog->find(EntryKind::build, id), nullptr) << id;
  }
  EXPECT_EQ(catalog->ids(EntryKind::engine).size(), 9U);
  EXPECT_EQ(catalog->climates.size(), 5U);
  for (const ClimateWord& word : catalog->climates) {
    EXPECT_FALSE(word.source.empty());
    EXPECT_LT(word.coldest_K.value, word.hottest_K.value);
  }
  for (const Entry& entry : catalog->entries) EXPECT_FALSE(entry.source.empty()) << entry.id;
}

TEST(Catalog, AnUnknownIdNamesTheNearest) {
  const auto catalog = built_in();
  ASSERT_TRUE(catalog);
  const auto entry = catalog->require(EntryKind::layout, "c-lw");
  ASSERT_FALSE(entry);
  EXPECT_EQ(entry.error().front().code, ErrorCode::not_found);
  EXPECT_EQ(entry.error().front().hint, "Write \"c-low\"");
}

TEST(Catalog, TheShopTakesPrecedenceAndKeepsLines) {
  auto catalog = built_in();
  ASSERT_TRUE(catalog);
  const std::string text =
      "format = 1\n\n[[part]]\nid = \"ours\"\ntitle = \"ours\"\nsource = \"bench, 2026\"\nkind = \"filter\"\n"
      "clean_drop = \"measured 4 kPa\"\n\n[[part]]\nid = \"fine-3um\"\ntitle = \"our fine filter\"\n"
      "source = \"maker's sheet\"\nkind = \"filter\"\nclean_drop = \"datasheet 6 kPa\"\n";
  ASSERT_TRUE(add_file(*catalog, "parts/ours.toml", text, "shop/parts/ours.toml", true));
  const Entry* fine = catalog->find(EntryKind::part, "fine-3um");
  ASSERT_NE(fine, nullptr);
  EXPECT_TRUE(fine->shop);
  EXPECT_EQ(fine->title, "our fine filter");
  EXPECT_EQ(fine->line, 10U);
  // Line 14 of the file is line 14 of the entry's own text.
  std::size_t at = 0;
  for (int i = 1; i < 15; ++i) at = fine->text.find('\n', at) + 1;
  EXPECT_TRUE(fine->text.substr(at).starts_with("clean_drop = \"datasheet 6 kPa\""));
  EXPECT_EQ(catalog->find(EntryKind::part, "ours")->text.find("6 kPa"), std::string::npos);
}

TEST(Catalog, RefusesNumbersWithoutSourceOrClass) {
  auto catalog = built_in();
  ASSERT_TRUE(catalog);
  const auto no_source =
      add_file(*catalog, "parts/x.toml", "format = 1\n[[part]]\nid = \"x\"\ntitle = \"x\"\n", "x", true);
  ASSERT_FALSE(no_source);
  EXPECT_EQ(no_source.error().front().found, "no \"source\"");
  const auto no_class =
      add_file(*catalog, "parts/x.toml",
               "format = 1\n[[part]]\nid = \"x\"\ntitle = \"x\"\nsource = \"y\"\nclean_drop = \"4 kPa\"\n", "x", true);
  ASSERT_FALSE(no_class);
  EXPECT_EQ(no_class.error().front().where.line, 6U);
  const auto twice = add_file(*catalog, "parts/x.toml",
                              "format = 1\n[[part]]\nid = \"x\"\ntitle = \"x\"\nsource = \"y\"\n"
                              "[[part]]\nid = \"x\"\ntitle = \"x\"\nsource = \"y\"\n",
                              "x", true);
  ASSERT_FALSE(twice);
  EXPECT_EQ(twice.error().front().code, ErrorCode::conflict);
  EXPECT_FALSE(add_file(*catalog, "other/x.toml", "format = 1\n", "x", true));
}

}  // namespace
}  // namespace fw::catalog
