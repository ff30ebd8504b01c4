/// What is wrong with a model, said so that its author can mend it.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fedfrom {

/// Base of every exception the library throws.
struct Error : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// One problem. `code` is stable and never reworded; `pointer` is an RFC 6901
/// JSON pointer into the model; `line` and `column` count from 1, 0 = not from text.
struct Diagnostic {
    std::string code{};
    std::string pointer{};
    std::string message{};
    std::string hint{};
    std::string file{};
    int line = 0, column = 0;
    bool operator==(const Diagnostic&) const = default;
};

/// `file:line:column: pointer: message hint [code]`; without a file, `line 3, column 5: …`.
inline std::string text(const Diagnostic& d) {
    std::string out = d.file;
    if (d.line && d.file.empty()) out = "line " + std::to_string(d.line) + ", column " + std::to_string(d.column);
    else if (d.line) out += ":" + std::to_string(d.line) + ":" + std::to_string(d.column);
    if (!out.empty()) out += ": ";
    if (!d.pointer.empty()) out += d.pointer + ": ";
    out += d.message;
    if (!d.hint.empty()) out += " " + d.hint;
    return out + " [" + d.code + "]";
}

/// Thrown with every problem found, not only the first.
class ModelError : public Error {
public:
    explicit ModelError(std::vector<Diagnostic> found) : Error(joined(found)), diagnostics(std::move(found)) {}
    std::vector<Diagnostic> diagnostics{};

private:
    static std::string joined(const std::vector<Diagnostic>& found) {
        std::string all{};
        for (const Diagnostic& d : found) all += (all.empty() ? "" : "\n") + text(d);
        return all;
    }
};

/// An id no collection knows, with the nearest one that exists.
class UnknownId : public Error {
public:
    using Error::Error;
};

/// An event the aircraft does not allow: a switch that has no such position, a
/// breaker with no reset left.
class NotPossible : public Error {
public:
    using Error::Error;
};

}  // namespace fedfrom
