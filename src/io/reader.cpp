#include "reader.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <set>

#include <fedfrom/model/diagnostic_codes.hpp>
#include <fedfrom/model/nearest.hpp>

#include "eight_bytes.hpp"
#include "utf8.hpp"

namespace fedfrom::io {

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string in_backquotes(std::string_view s) { return "`" + std::string(s) + "`"; }

/// What a value that starts with this character is, for "not a number".
std::string_view kind_of_value(char first) {
    switch (first) {
        case '{': return "an object";
        case '[': return "a list";
        case '"': return "a text";
        case 't': case 'f': return "true or false";
        case 'n': return "null";
        default: return "a number";
    }
}

/// Whether a JSON number is above one in magnitude, however long its digits and its exponent are.
bool is_above_one(std::string_view number) {
    const std::size_t e = number.find_first_of("eE");
    const std::string_view digits = number.substr(0, e);
    long long power = 0;  // of ten, of the first digit that is not zero
    const std::size_t point = std::min(digits.find('.'), digits.size());
    const std::size_t first = digits.find_first_of("123456789");
    if (first == std::string_view::npos) return false;
    power = static_cast<long long>(point) - static_cast<long long>(first) - (first < point ? 1 : 0);
    if (e == std::string_view::npos) return power >= 0;
    std::string_view exponent = number.substr(e + 1);
    if (exponent.front() == '+') exponent.remove_prefix(1);
    long long added = 0;
    if (std::from_chars(exponent.data(), exponent.data() + exponent.size(), added).ec != std::errc{})
        return exponent.front() != '-';  // beyond any number of digits a text can hold
    return added >= -power;
}

/// How many characters of a string, up to its end, stand for themselves.
std::size_t plain_characters(std::string_view text) {
    std::size_t n = 0;
    for (; n + sizeof(EightBytes) <= text.size(); n += sizeof(EightBytes)) {
        const EightBytes eight = eight_bytes_at(text.data() + n);
        const EightBytes controls = zero_bytes(eight & eight_times(0xE0));
        const EightBytes marks = controls | zero_bytes(eight ^ eight_times('"')) | zero_bytes(eight ^ eight_times('\\'));
        if (marks != 0) return n + before_first(marks);
    }
    while (n < text.size() && text[n] != '"' && text[n] != '\\' && static_cast<unsigned char>(text[n]) >= 0x20) ++n;
    return n;
}

std::string sentence_start(std::string_view what) {
    std::string s(what);
    if (!s.empty() && s[0] >= 'a' && s[0] <= 'z') s[0] = static_cast<char>(s[0] - 'a' + 'A');
    return s;
}

}  // namespace

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string pointer_token(std::string_view key) {
    std::string out;
    for (const char c : key) {
        if (c == '~') out += "~0";
        else if (c == '/') out += "~1";
        else out += c;
    }
    return out;
}

// --- complaints ---

std::string Reader::pointer() const {
    std::string out;
    for (const Step* step = path_; step; step = step->up)
        out.insert(0, "/" + (step->key.data() == nullptr ? std::to_string(step->index) : pointer_token(step->key)));
    return out;
}

void Reader::report(std::size_t offset, std::string code, std::string message, std::string hint) {
    if (found_.size() == most_diagnostics) fail(offset, "more_follow", "There are more problems; they are not listed.");
    found_.push_back({{std::move(code), pointer(), std::move(message), std::move(hint), {}, 0, 0}, offset});
}

void Reader::report_key(std::string_view key, std::size_t offset, std::string code, std::string message, std::string hint) {
    const Step step{path_, key};
    path_ = &step;
    report(offset, std::move(code), std::move(message), std::move(hint));
    path_ = step.up;
}

void Reader::fail(std::size_t offset, std::string code, std::string message, std::string hint) {
    found_.push_back({{std::move(code), pointer(), std::move(message), std::move(hint), {}, 0, 0}, offset});
    throw Stop{};
}

void Reader::fail_syntax(std::string_view needed) {
    if (at_ >= text_.size())
        fail(text_.size(), "truncated", "The text ends here, in the middle: " + std::string(needed) + " is needed.");
    std::string there(1, text_[at_]);
    const auto byte = static_cast<unsigned char>(text_[at_]);
    if (byte >= 0x80) {  // show the whole character; the text is known to be UTF-8
        std::size_t end = at_ + 1;
        while (end < text_.size() && (static_cast<unsigned char>(text_[end]) & 0xC0) == 0x80) ++end;
        there = text_.substr(at_, end - at_);
    }
    std::string message = sentence_start(needed) + " is needed here, not ";
    if (byte < 0x20) message += "a control character.";
    else message += in_backquotes(there) + ".";
    fail(at_, "syntax", std::move(message));
}

void Reader::wrong(std::string_view what) {
    const char first = peek();
    if (first == 0 || std::string_view("{[\"tfn-0123456789").find(first) == std::string_view::npos) fail_syntax(what);
    const std::size_t offset = at_;
    skip();  // first: a value with broken syntax is reported as that, and ends the reading
    report(offset, "wrong_type", sentence_start(what) + " is needed here, not " + std::string(kind_of_value(first)) + ".");
}

void Reader::check_id(std::string_view id, std::size_t offset) {
    if (model::is_id(id)) return;
    if (id.size() > longest_id)
        report(offset, "bad_id", "An id of " + std::to_string(id.size()) + " characters is too long.",
               "At most " + std::to_string(longest_id) + " are allowed.");
    else
        report(offset, "bad_id", in_backquotes(id) + " is not an id.",
               "An id is a lower-case letter followed by lower-case letters, digits and underscores.");
}

void Reader::report_missing(std::size_t offset, std::string_view name) {
    report(offset, "missing_key", "The key " + in_backquotes(name) + " is missing.");
}

std::string Reader::unknown_key_hint(std::string_view key, const std::vector<std::string_view>& known) const {
    if (const std::string near = nearest(key, known); !near.empty()) return "Did you mean " + in_backquotes(near) + "?";
    if (known.size() > 8) return {};
    std::string list;
    for (const std::string_view k : known) list += (list.empty() ? "" : ", ") + in_backquotes(k);
    return "Known here: " + list + ".";
}

void Reader::report_unknown(std::string_view key, const std::vector<std::string_view>& known) {
    report(key_offset_, "unknown_key", "The key " + in_backquotes(key) + " means nothing here.", unknown_key_hint(key, known));
}

void Reader::report_duplicate(std::string_view key) {
    report(key_offset_, "duplicate_key", "The key " + in_backquotes(key) + " is here twice.", "The first one is used; remove one.");
}

// --- JSON ---

void Reader::open() {
    if (depth_ == deepest)
        fail(at_, "too_deep", "More than " + std::to_string(deepest) + " levels of brackets.", "No model needs as many.");
    ++depth_;
    ++at_;
}

void Reader::finish() {
    skip_space();
    if (at_ < text_.size()) fail_syntax("the end of the text");
}

std::string_view Reader::key_text() {
    if (at_ >= text_.size() || text_[at_] != '"') fail_syntax("a key in double quotes");
    const std::string_view key = string();
    if (key.data() != buffer_.data()) return key;
    return key_texts_.emplace_back(key);
}

/// The string whose opening quote is next: a view of the text, or of the buffer where there are escapes.
std::string_view Reader::string() {
    const std::size_t start = ++at_;
    at_ += plain_characters(text_.substr(at_));
    if (at_ >= text_.size() || text_[at_] != '"') return string_with_escapes(start);
    const std::size_t end = at_++;
    return text_.substr(start, end - start);
}

/// Goes on from the first character of a string that does not stand for itself.
std::string_view Reader::string_with_escapes(std::size_t start) {
    buffer_.clear();
    for (std::size_t run = start;;) {  // the stretch not yet copied
        if (at_ >= text_.size()) fail_syntax("a closing double quote");
        buffer_.append(text_.substr(run, at_ - run));
        if (text_[at_] == '"') return ++at_, buffer_;
        if (text_[at_] != '\\') fail_syntax("an escape for a control character, or a closing double quote,");
        ++at_;
        escape();
        run = at_;
        at_ += plain_characters(text_.substr(at_));
    }
}

void Reader::escape() {
    if (at_ >= text_.size()) fail_syntax("a closing double quote");
    switch (text_[at_]) {
        case '"': buffer_ += '"'; break;
        case '\\': buffer_ += '\\'; break;
        case '/': buffer_ += '/'; break;
        case 'b': buffer_ += '\b'; break;
        case 'f': buffer_ += '\f'; break;
        case 'n': buffer_ += '\n'; break;
        case 'r': buffer_ += '\r'; break;
        case 't': buffer_ += '\t'; break;
        case 'u': {
            ++at_;
            char32_t code = hex4();
            if (code >= 0xDC00 && code <= 0xDFFF) fail(at_ - 6, "syntax", "The second half of a character stands alone.");
            if (code >= 0xD800 && code <= 0xDBFF) {
                const std::size_t first = at_ - 6;
                if (text_.substr(at_, 2) != "\\u") fail(first, "syntax", "The first half of a character stands alone.");
                at_ += 2;
                const char32_t low = hex4();
                if (low < 0xDC00 || low > 0xDFFF) fail(first, "syntax", "The first half of a character stands alone.");
                code = 0x10000 + ((code - 0xD800) << 10) + (low - 0xDC00);
            }
            append_utf8(buffer_, code);
            return;
        }
        default: fail_syntax("one of \" \\ / b f n r t u");
    }
    ++at_;
}

char32_t Reader::hex4() {
    char32_t code = 0;
    for (int i = 0; i < 4; ++i, ++at_) {
        const char c = at_ < text_.size() ? text_[at_] : '\0';
        char32_t digit = 0;
        if (is_digit(c)) digit = static_cast<char32_t>(c - '0');
        else if (c >= 'a' && c <= 'f') digit = static_cast<char32_t>(c - 'a' + 10);
        else if (c >= 'A' && c <= 'F') digit = static_cast<char32_t>(c - 'A' + 10);
        else fail_syntax("a hexadecimal digit");
        code = code << 4 | digit;
    }
    return code;
}

std::string_view Reader::number_text() {
    const std::size_t start = at_;
    const auto digits = [&] {
        if (at_ >= text_.size() || !is_digit(text_[at_])) fail_syntax("a digit");
        while (at_ < text_.size() && is_digit(text_[at_])) ++at_;
    };
    if (text_[at_] == '-') ++at_;
    if (at_ < text_.size() && text_[at_] == '0') ++at_;  // and no further digit
    else digits();
    if (at_ < text_.size() && text_[at_] == '.') ++at_, digits();
    if (at_ < text_.size() && (text_[at_] == 'e' || text_[at_] == 'E')) {
        ++at_;
        if (at_ < text_.size() && (text_[at_] == '+' || text_[at_] == '-')) ++at_;
        digits();
    }
    return text_.substr(start, at_ - start);
}

void Reader::literal(std::string_view word) {
    const std::size_t start = at_;
    while (at_ < text_.size() && text_[at_] >= 'a' && text_[at_] <= 'z') ++at_;
    const std::string_view there = text_.substr(start, at_ - start);
    if (there == word) return;
    if (at_ == text_.size() && word.starts_with(there)) fail_syntax(in_backquotes(word));
    fail(start, "syntax", in_backquotes(there) + " means nothing here.", "A text stands in double quotes.");
}

void Reader::skip() {
    switch (peek()) {
        case '{': members("an object", [&](std::string_view) { skip(); }); break;
        case '[': items("a list", [&] { skip(); }); break;
        case '"': string(); break;
        case 't': literal("true"); break;
        case 'f': literal("false"); break;
        case 'n': literal("null"); break;
        case '-': case '0': case '1': case '2': case '3': case '4':
        case '5': case '6': case '7': case '8': case '9': number_text(); break;
        default: fail_syntax("a value");
    }
}

/// Steps over a value, reporting keys that occur twice in one object of it.
void Reader::check_unique_keys() {
    if (peek() == '{') {
        std::set<std::string, std::less<>> keys;
        members("an object", [&](std::string_view key) {
            if (!keys.emplace(key).second) report_duplicate(key);
            check_unique_keys();
        });
    } else if (peek() == '[') {
        items("a list", [&] { check_unique_keys(); });
    } else {
        skip();
    }
}

std::string Reader::raw() {
    const std::size_t start = next_offset();
    check_unique_keys();
    return std::string(text_.substr(start, at_ - start));
}

// --- values ---

void Reader::text(std::string& out) {
    if (peek() != '"') return wrong("a text");
    out = string();
}

void Reader::id(std::string& out) {
    if (peek() != '"') return wrong("an id");
    const std::size_t offset = at_;
    const std::string_view text = string();
    check_id(text, offset);
    out = text;
}

void Reader::word(std::string& out) {
    if (peek() != '"') return wrong("a word");
    const std::size_t offset = at_;
    const std::string_view text = string();
    if (text.empty()) report(offset, "bad_word", "A word is needed here; this text is empty.");
    else if (const auto length = characters(text); length > longest_id)
        report(offset, "bad_word", "A word of " + std::to_string(length) + " characters is too long.",
               "At most " + std::to_string(longest_id) + " are allowed.");
    out = text;
}

std::string Reader::choice(std::span<const std::string_view> words) {
    if (peek() != '"') return wrong("a word"), std::string();
    const std::size_t offset = at_;
    std::string text(string());
    for (const std::string_view word : words)
        if (word == text) return text;
    std::string hint;
    if (const std::string near = nearest(text, words); !near.empty()) {
        hint = "Did you mean " + in_backquotes(near) + "?";
    } else if (words.size() <= 8) {
        for (const std::string_view word : words) hint += (hint.empty() ? "Known here: " : ", ") + in_backquotes(word);
        hint += '.';
    }
    report(offset, "bad_word", in_backquotes(text) + " is not a word known here.", std::move(hint));
    return {};
}

void Reader::boolean(bool& out) {
    const char first = peek();
    if (first == 't') literal("true"), out = true;
    else if (first == 'f') literal("false"), out = false;
    else wrong("true or false");
}

void Reader::number(double& out) {
    if (const char first = peek(); first != '-' && !is_digit(first)) return wrong("a number");
    const std::size_t offset = at_;
    const std::string_view digits = number_text();
    double value = 0;
    const std::errc error = std::from_chars(digits.data(), digits.data() + digits.size(), value).ec;
    // from_chars says the same of a number too large and of one too near to zero, which is zero.
    if (error == std::errc::result_out_of_range && is_above_one(digits))
        return report(offset, "out_of_range", "The number " + std::string(digits) + " is too large.");
    out = error == std::errc::result_out_of_range ? 0 : value;
}

void Reader::whole(int& out) {
    if (const char first = peek(); first != '-' && !is_digit(first)) return wrong("a whole number");
    const std::size_t offset = at_;
    double value = 0;
    const std::size_t before = found_.size();
    number(value);
    if (found_.size() != before) return;
    const std::string digits(text_.substr(offset, at_ - offset));
    if (value != std::floor(value)) report(offset, "wrong_type", "A whole number is needed here, not " + digits + ".");
    else if (std::abs(value) > std::numeric_limits<int>::max())
        report(offset, "out_of_range", "The number " + digits + " is too large.");
    else out = static_cast<int>(value);
}

}  // namespace fedfrom::io
