#pragma once

#include <cassert>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace handrail {

/// Something in a file that we cannot take. A sentence a tired person can act on:
/// "outing.toml:12:14: task "Replace the camera", step 2, duration: expected a time such as "25 min", found 25; add the
/// unit".
struct InputError {
    std::string file, field;
    int line = 0, column = 0;  ///< from 1; 0 where the place is the whole file
    std::string expected, found, remedy;
};
std::string print(const InputError& error);

/// A value, or everything that is wrong with the file it should have come from.
template <class T>
class [[nodiscard]] Result {
public:
    Result(T value) : content_(std::move(value)) {}                         // NOLINT(google-explicit-constructor)
    Result(std::vector<InputError> errors) : content_(std::move(errors)) {  // NOLINT(google-explicit-constructor)
        assert(!std::get<1>(content_).empty());
    }
    Result(InputError error) : content_(std::vector{std::move(error)}) {}  // NOLINT(google-explicit-constructor)

    bool ok() const { return content_.index() == 0; }
    explicit operator bool() const { return ok(); }
    const T& value() const& { return std::get<0>(content_); }
    T&& value() && { return std::get<0>(std::move(content_)); }
    const std::vector<InputError>& errors() const { return std::get<1>(content_); }

private:
    std::variant<T, std::vector<InputError>> content_;
};

}  // namespace handrail
