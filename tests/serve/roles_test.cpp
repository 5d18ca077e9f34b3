#include "serve/roles.h"

#include <gmock/gmock.h>

#include "fake_backend.h"

namespace handrail::serve {
namespace {

using testing::HasSubstr;
using testing::Not;

TEST(Tokens, EachTokenGivesItsRoleAndAnUnknownOneNone) {
    const Tokens tokens = test::four_tokens();
    EXPECT_EQ(tokens.role_of(test::lead_token), Role::lead);
    EXPECT_EQ(tokens.role_of(test::console_token), Role::console);
    EXPECT_EQ(tokens.role_of(test::medical_token), Role::medical);
    EXPECT_EQ(tokens.role_of(test::public_token), Role::public_view);
    EXPECT_EQ(tokens.role_of(std::string(test::lead_token) + "x"), std::nullopt);
    EXPECT_EQ(tokens.role_of(""), std::nullopt);
}

TEST(Tokens, AllErrorsOfTheFileComeAtOnceAndNeverRepeatAToken) {
    const auto tokens = Tokens::read("lead short\nboss 0123456789abcdefghijklmnop\nconsole\n", "tokens");
    ASSERT_FALSE(tokens);
    ASSERT_EQ(tokens.errors().size(), 3u);
    EXPECT_EQ(tokens.errors()[0].line, 1);
    EXPECT_EQ(tokens.errors()[1].line, 2);
    EXPECT_EQ(tokens.errors()[2].line, 3);
    EXPECT_THAT(print(tokens.errors()[1]), HasSubstr("boss"));
    for (const InputError& error : tokens.errors()) {
        EXPECT_THAT(print(error), Not(HasSubstr("short")));
        EXPECT_THAT(print(error), Not(HasSubstr("0123456789abcdefghijklmnop")));
    }
}

TEST(Tokens, ATokenGivenTwiceIsAnErrorBecauseItsRoleWouldBeUnclear) {
    const std::string line = std::string(test::lead_token) + "\n";
    const auto tokens = Tokens::read("lead " + line + "public " + line, "tokens");
    ASSERT_FALSE(tokens);
    EXPECT_EQ(tokens.errors()[0].line, 2);
}

TEST(Tokens, AFileWithoutALeadIsAnErrorBecauseNobodyCouldWrite) {
    EXPECT_FALSE(Tokens::read(std::string("console ") + test::console_token, "tokens"));
    EXPECT_FALSE(Tokens::read("", "tokens"));
}

TEST(RandomSecret, IsLongAndNeverTheSame) {
    const std::string one = random_secret(), other = random_secret();
    EXPECT_EQ(one.size(), 64u);
    EXPECT_NE(one, other);
}

}  // namespace
}  // namespace handrail::serve
