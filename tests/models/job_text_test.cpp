// The small tools of the reader: hash, UTF-8, nearest word.
#include <gtest/gtest.h>

#include "models/nearest_word.h"
#include "models/text_hash.h"
#include "models/utf8_check.h"

namespace holeward {
namespace {

// Source: the SHA-256 examples of NIST ("abc", the 448-bit message) and of the empty message.
TEST(Sha256, GivesTheDigestsOfTheStandardsExamples) {
  EXPECT_EQ(Sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(Sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(Sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

// Source: the SHA-256 example of NIST, a million letters a.
TEST(Sha256, GoesOverManyBlocks) {
  EXPECT_EQ(Sha256(std::string(1000000, 'a')),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(ShortHash, IsTheFirstEightDigits) { EXPECT_EQ(ShortHash("abc"), "ba7816bf"); }

TEST(EditDistance, CountsInsertRemoveReplaceAndSwap) {
  EXPECT_EQ(EditDistance("tape", "tape"), 0);
  EXPECT_EQ(EditDistance("tape", "tap"), 1);
  EXPECT_EQ(EditDistance("tape", "tapes"), 1);
  EXPECT_EQ(EditDistance("tape", "taper"), 1);
  EXPECT_EQ(EditDistance("tape", "tepa"), 2);
  EXPECT_EQ(EditDistance("tape", "atpe"), 1);
  EXPECT_EQ(EditDistance("Tape", "tape"), 0);
  EXPECT_EQ(EditDistance("", "tape"), 4);
}

TEST(NearestWord, IsFoundOnlyWhenClose) {
  const std::vector<std::string> known{"diameter", "height", "mm", "in"};
  EXPECT_EQ(NearestWord("dimeter", known), "diameter");
  EXPECT_EQ(NearestWord("hieght", known), "height");
  EXPECT_EQ(NearestWord("weight", known), "height");
  EXPECT_FALSE(NearestWord("colour", known).has_value());
  EXPECT_FALSE(NearestWord("cm", known).has_value()) << "another unit is not a slip";
  EXPECT_FALSE(NearestWord("", known).has_value());
}

// Source: RFC 3629, sections 3 and 4: overlong forms, surrogates and values past 10FFFF are not
// UTF-8.
TEST(Utf8, RefusesWhatRfc3629Refuses) {
  for (const char* good : {"a", "\xc3\xa9", "\xe2\x82\xac", "\xf0\x9f\x94\xa7", "\xed\x9f\xbf"}) {
    EXPECT_FALSE(FirstNotUtf8(good).has_value()) << good;
  }
  for (const char* bad : {"\x80", "\xc0\xaf", "\xe0\x80\xaf", "\xed\xa0\x80", "\xf4\x90\x80\x80",
                          "\xc3", "\xe2\x82", "\xff"}) {
    EXPECT_TRUE(FirstNotUtf8(bad).has_value());
  }
}

TEST(Utf8, CountsLinesAndCharacters) {
  const auto at = FirstNotUtf8("ab\n\xc3\xa9\xc3\xa9\xff");
  ASSERT_TRUE(at.has_value());
  EXPECT_EQ(at->line, 2);
  EXPECT_EQ(at->column, 3);
}

}  // namespace
}  // namespace holeward
