#pragma once

#include <cstdlib>
#include <string>

#include "journal_under_test.h"
#include "store/journals.h"

namespace handrail::store {

/// The PostgreSQL server the tests may use, or empty: a socket folder, started by throwaway-postgres.
inline std::string postgres_folder() {
    const char* folder = std::getenv("HANDRAIL_TEST_POSTGRES");
    return folder == nullptr ? "" : folder;
}

/// A place for one test's journals.
class Shelf {
public:
    explicit Shelf(bool postgres) : postgres_(postgres) {
        const auto* test = testing::UnitTest::GetInstance()->current_test_info();
        prefix_ = std::to_string(::getpid()) + "-" + std::to_string(test->result()->start_timestamp()) + "-";
    }
    std::string address(const std::string& name) const {
        if (!postgres_) return (folder_ / name.c_str()).string();
        return "postgresql://handrail@/postgres?host=" + postgres_folder() + "#" + prefix_ + name;
    }

private:
    bool postgres_;
    TestFolder folder_;
    std::string prefix_;
};

inline std::unique_ptr<Journal> made(const std::string& address) {
    auto made = create_journal(address);
    if (const auto* error = std::get_if<StoreError>(&made)) {
        ADD_FAILURE() << error->what;
        std::abort();
    }
    return std::get<0>(std::move(made));
}
inline std::unique_ptr<Journal> reopened(const std::string& address) {
    auto made = open_journal(address);
    if (const auto* error = std::get_if<StoreError>(&made)) {
        ADD_FAILURE() << error->what;
        std::abort();
    }
    return std::get<0>(std::move(made));
}

}  // namespace handrail::store
