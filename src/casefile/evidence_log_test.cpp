// SPDX-License-Identifier: Apache-2.0
#include "casefile/evidence_log.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include <unistd.h>

#include <gtest/gtest.h>

#include "casefile/sha256.hpp"

namespace fw::casefile {
namespace {

namespace fs = std::filesystem;

// FIPS PUB 180-4 and its examples, from memory; the same as coreutils sha256sum prints.
TEST(Sha256, MeetsThePublishedExamples) {
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(std::string(1000000, 'a')), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  Sha256 pieces;
  for (const char c : std::string(1000, 'a')) pieces.add(std::string_view(&c, 1));
  EXPECT_EQ(pieces.hex(), sha256_hex(std::string(1000, 'a')));
}

class EvidenceLog : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "fw-evidence-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override { fs::remove_all(folder_); }

  void write(const std::string& name, const std::string& text) const {
    fs::create_directories((fs::path(folder_) / name).parent_path());
    std::ofstream(fs::path(folder_) / name, std::ios::binary) << text;
  }
  [[nodiscard]] std::string read(const std::string& name) const {
    std::ifstream file(fs::path(folder_) / name, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  }
  [[nodiscard]] Result<EvidenceEntry> add(const std::string& title, const std::string& file = {},
                                          std::optional<int> corrects = {}) const {
    EvidenceEntry entry;
    entry.title = title;
    entry.time = "2026-05-04 10:20";
    entry.person = "M \"the\" D\n";
    entry.file = file;
    entry.corrects = corrects;
    return add_evidence(folder_, entry);
  }
  std::string folder_;
};

TEST_F(EvidenceLog, ChainsItsEntries) {
  write("photos/jar.jpg", "a picture");
  const auto first = add("jar from the separator", "photos/jar.jpg");
  ASSERT_TRUE(first.has_value());
  EXPECT_EQ(first->previous, std::string(64, '0'));
  EXPECT_EQ(first->file_sha256, sha256_hex("a picture"));
  EXPECT_EQ(first->sha256, sha256_hex(read("evidence/0001.toml")));
  const auto second = add("the jar was the second one", "", 1);
  ASSERT_TRUE(second.has_value());
  EXPECT_EQ(second->previous, first->sha256);
  const auto entries = read_evidence(folder_);
  ASSERT_TRUE(entries.has_value()) << to_text(entries.error());
  ASSERT_EQ(entries->size(), 2U);
  EXPECT_EQ(entries->at(0).person, "M \"the\" D\n");
  EXPECT_EQ(entries->at(1).corrects, 1);
}

// Any change of what was logged is seen, and nothing is appended to a broken log.
TEST_F(EvidenceLog, SeesEveryChange) {
  write("photos/jar.jpg", "a picture");
  for (const char* title : {"one", "two", "three"}) ASSERT_TRUE(add(title, "photos/jar.jpg").has_value());
  const auto broken = [&] {
    const auto entries = read_evidence(folder_);
    return !entries && !add("four").has_value();
  };
  ASSERT_FALSE(broken());
  fs::remove(fs::path(folder_) / "evidence/0004.toml");
  const std::string first = read("evidence/0001.toml");
  for (std::size_t i = 0; i < first.size(); ++i) {
    std::string changed = first;
    changed[i] = changed[i] == '1' ? '2' : '1';
    write("evidence/0001.toml", changed);
    EXPECT_TRUE(broken()) << "byte " << i;
  }
  write("evidence/0001.toml", first);
  write("photos/jar.jpg", "another picture");
  EXPECT_TRUE(broken());
  write("photos/jar.jpg", "a picture");
  const std::string second = read("evidence/0002.toml");
  fs::remove(fs::path(folder_) / "evidence/0002.toml");
  EXPECT_TRUE(broken());
  write("evidence/0002.toml", second);
  EXPECT_FALSE(broken());
}

TEST_F(EvidenceLog, ExportVerifiesWithSha256sum) {
  write("photos/jar.jpg", "a picture");
  ASSERT_TRUE(add("one", "photos/jar.jpg").has_value());
  ASSERT_TRUE(add("two").has_value());
  const std::string target = folder_ + "/out";
  const auto exported = export_evidence(folder_, target);
  ASSERT_TRUE(exported.has_value()) << to_text(exported.error());
  const std::string check = "cd '" + target + "' && sha256sum --quiet --strict -c SHA256SUMS >/dev/null 2>&1";
  EXPECT_EQ(std::system(check.c_str()), 0);
  std::ofstream(target + "/evidence/0001.toml", std::ios::app) << "\n";
  EXPECT_NE(std::system(check.c_str()), 0);
  EXPECT_EQ(export_evidence(folder_, target).error().front().code, ErrorCode::conflict);
}

TEST_F(EvidenceLog, SaysWhatIsWrong) {
  EXPECT_EQ(add("").error().front().where.field, "title");
  EXPECT_EQ(add("x", "photos/none.jpg").error().front().code, ErrorCode::not_found);
  EXPECT_EQ(add("x", "../x").error().front().where.field, "file");
  EXPECT_EQ(add("x", "", 1).error().front().where.field, "corrects");
  EXPECT_EQ(read_evidence(folder_ + "/none").error().front().code, ErrorCode::not_found);
  EvidenceEntry entry;
  EXPECT_EQ(set_evidence(entry, "tilte", "x").error().front().expected, "title");
  EXPECT_EQ(set_evidence(entry, "corrects", "x").error().front().where.field, "corrects");
  EXPECT_TRUE(set_evidence(entry, "seal", "0815").has_value());
  EXPECT_EQ(entry.seal, "0815");
  EXPECT_EQ(export_evidence(folder_, folder_ + "/out").error().front().code, ErrorCode::invalid_input);
}

}  // namespace
}  // namespace fw::casefile
