// Zip archives from elsewhere: what is refused before a byte of it is used.

#include "files/zip.h"

#include <gtest/gtest.h>

#include <optional>

namespace fretloom {
namespace {

constexpr std::size_t k_limit = std::size_t{1} << 30U;

/// The archive with one byte of each header with this signature set (APPNOTE 4.3.7, 4.3.12).
std::string with_byte(std::string bytes, const std::string& signature, std::size_t at, char value) {
  for (auto found = bytes.find(signature); found != std::string::npos; found = bytes.find(signature, found + 4))
    bytes[found + at] = value;
  return bytes;
}

const std::string k_file_header = "PK\x03\x04";
const std::string k_list_header = "PK\x01\x02";

std::string two_files() { return zip_bytes({{"a/one", "1", false}, {"a/two", "2", false}}).value(); }

std::optional<ErrorKind> kind_of(const std::string& bytes) {
  const auto entries = unzip(bytes, k_limit);
  return entries ? std::nullopt : std::optional(entries.error().kind);
}

TEST(Unzip, ReadsBackWhatWasZipped) {
  const auto entries = unzip(two_files(), k_limit).value();
  ASSERT_EQ(entries.size(), 2U);
  EXPECT_EQ(entries[1].name, "a/two");
  EXPECT_EQ(entries[1].bytes, "2");
}

TEST(Unzip, RefusesNamesThatLeaveTheFolder) {
  for (const char* name : {"../x", "/x", "a/../x", "a//x", "./x", "a\\x", "C:x", "..", "../up/"})
    EXPECT_EQ(kind_of(zip_bytes({{name, "", false}}).value()), ErrorKind::range) << name;
}

TEST(Unzip, RefusesOneNameTwice) {
  std::string bytes = two_files();
  for (auto at = bytes.find("a/two"); at != std::string::npos; at = bytes.find("a/two")) bytes.replace(at, 5, "a/one");
  EXPECT_TRUE(kind_of(bytes).has_value());
}

TEST(Unzip, RefusesALink) {
  constexpr char k_link_mode = '\xa1';  // 0120000, the upper byte of the external attributes
  std::string bytes = with_byte(two_files(), k_list_header, 5, 3);  // made by: Unix
  EXPECT_EQ(kind_of(with_byte(bytes, k_list_header, 41, k_link_mode)), ErrorKind::range);
}

TEST(Unzip, RefusesAnEncryptedEntry) {
  const std::string bytes = with_byte(two_files(), k_file_header, 6, 1);
  EXPECT_EQ(kind_of(with_byte(bytes, k_list_header, 8, 1)), ErrorKind::range);
}

TEST(Unzip, RefusesAListThatDisagreesWithTheFiles) {
  std::string bytes = two_files();
  bytes.replace(bytes.find("a/two"), 5, "a/tow");  // in the file's header only
  EXPECT_EQ(kind_of(bytes), ErrorKind::syntax);
}

TEST(Unzip, RefusesWhatBurstsAReader) {
  EXPECT_EQ(kind_of(zip_bytes({{"a/zeros", std::string(std::size_t{16} << 20U, '\0'), false}}).value()),
            ErrorKind::limit);
  EXPECT_TRUE(unzip(zip_bytes({{"a/zeros", std::string(std::size_t{1} << 20U, '\0'), false}}).value(), k_limit).ok());
}

}  // namespace
}  // namespace fretloom
