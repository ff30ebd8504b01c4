/// Pulls values out of JSON text straight into the model's own members.
///
/// The reader knows JSON, the path it is at and how to complain; what a model
/// looks like is said by the tables in read_*.cpp. It is a pull reader and not a
/// handler of somebody's events because the tables then say what is expected, every
/// error has its byte offset for nothing, text without escapes is never copied
/// on the way, and 100,000 elements are scanned in a quarter of the time a general
/// parser takes to lex them. The differential test beside it holds it to the same language.
///
/// Bad shape is reported and stepped over; bad syntax ends the reading (`Stop`).
/// Recursion follows the brackets of the text, which are bounded by `deepest`.
#pragma once

#include <cstdint>
#include <deque>
#include <iterator>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/id.hpp>
#include <fedfrom/model/rare.hpp>

namespace fedfrom::io {

using model::longest_id;

/// A diagnostic and the byte it is about.
struct Found {
    Diagnostic diagnostic;
    std::size_t offset = 0;
};

/// Ends the reading; what is wrong has been reported.
struct Stop {};

class Reader;

/// One key of an object and how its value is read into a T.
template <class T>
struct Field {
    std::string_view name;
    void (*read)(Reader&, T&);
    bool required = false;
};

class Reader {
public:
    static constexpr int deepest = 64;

    explicit Reader(std::string_view text) : text_(text) {}

    // values: each reads one value into `out`, or reports and leaves `out` as it was
    void text(std::string& out);   ///< any string
    void id(std::string& out);     ///< an id
    void word(std::string& out);   ///< a word the author chose: not empty, not long
    void boolean(bool& out);
    void number(double& out);
    void whole(int& out);
    std::string choice(std::span<const std::string_view> words);  ///< one of the words; "" and reported if not
    std::string choice(std::initializer_list<std::string_view> words) { return choice(std::span(words.begin(), words.size())); }
    std::string raw();  ///< any value, checked for duplicate keys, as the text it is written in
    void skip();        ///< any value

    void number(std::optional<double>& out) { number(out.emplace()); }
    void whole(std::optional<int>& out) { whole(out.emplace()); }

    /// Calls `item()` before each item of a list, which it must read; false (and reported) if it is none.
    template <class Item>
    bool items(std::string_view what, Item item);

    /// Calls `member(key)` for each member of an object, which must read its value; false if it is none.
    template <class Member>
    bool members(std::string_view what, Member member);

    /// A list read item by item with `read(T&)`.
    template <class T, class Read>
    void list(std::vector<T>& out, std::string_view what, Read read) {
        items(what, [&] { read(out.emplace_back()); });
    }

    /// A collection keyed by id, each value read with `read(T&)`.
    template <class T, class Read>
    void keyed(std::map<std::string, T>& out, std::string_view what, Read read);
    template <class T, class Read>
    void keyed(SmallMap<T>& out, std::string_view what, Read read);

    /// An object of known keys. Returns the keys seen, one bit for each field.
    template <class T, std::size_t N>
    std::uint64_t record(T& out, const Field<T> (&fields)[N], std::string_view what);

    /// The first character of the next value; 0 at the end of the text.
    char peek() {
        skip_space();
        return at_ < text_.size() ? text_[at_] : '\0';
    }
    /// The offset of the next value.
    std::size_t next_offset() { return peek(), at_; }
    /// Nothing but white space may follow.
    void finish();

    // complaints, at the path the reader is at
    void report(std::size_t offset, std::string code, std::string message, std::string hint = {});
    void report_key(std::string_view key, std::size_t offset, std::string code, std::string message, std::string hint = {});
    /// The next value is not `what`: reports, and steps over it.
    void wrong(std::string_view what);
    void check_id(std::string_view id, std::size_t offset);

    std::string pointer() const;
    std::size_t key_offset() const { return key_offset_; }  ///< of the member last entered
    std::vector<Found> take_found() { return std::move(found_); }

private:
    /// A member or item the reader is in. Steps hang on each other on the stack, as nearly none is ever told.
    struct Step {
        const Step* up;
        std::string_view key{};  // of an item: with a null data pointer, told apart from the key ""
        std::size_t index = 0;
    };

    [[noreturn]] void fail(std::size_t offset, std::string code, std::string message, std::string hint = {});
    [[noreturn]] void fail_syntax(std::string_view needed);
    void skip_space() {
        // What follows the space is told apart by one comparison: this is asked before every token.
        while (at_ < text_.size() && text_[at_] <= ' ' && is_space(text_[at_])) ++at_;
    }
    static bool is_space(char c) { return c == ' ' || c == '\n' || c == '\t' || c == '\r'; }
    void expect(char c, std::string_view needed) {
        if (at_ >= text_.size() || text_[at_] != c) fail_syntax(needed);
        ++at_;
    }
    void open();  ///< one level of brackets deeper
    std::string_view string();
    std::string_view string_with_escapes(std::size_t start);
    void escape();
    char32_t hex4();
    std::string_view number_text();
    void literal(std::string_view word);
    std::string_view key_text();
    std::string unknown_key_hint(std::string_view key, const std::vector<std::string_view>& known) const;
    void report_missing(std::size_t offset, std::string_view name);
    void report_unknown(std::string_view key, const std::vector<std::string_view>& known);
    void report_duplicate(std::string_view key);
    void check_unique_keys();

    std::string_view text_;
    std::size_t at_ = 0;
    int depth_ = 0;
    std::size_t key_offset_ = 0;
    const Step* path_ = nullptr;         // the innermost
    std::string buffer_;                // the last string with escapes
    std::deque<std::string> key_texts_;  // keys with escapes; the path points into them
    std::vector<Found> found_;
};

/// The characters of UTF-8 text.
std::size_t characters(std::string_view text);

/// `~` and `/` escaped as in RFC 6901.
std::string pointer_token(std::string_view key);

template <class Item>
bool Reader::items(std::string_view what, Item item) {
    if (peek() != '[') return wrong(what), false;
    open();
    skip_space();
    if (at_ < text_.size() && text_[at_] == ']') return ++at_, --depth_, true;
    for (Step step{path_};; ++step.index) {
        path_ = &step;
        item();
        path_ = step.up;
        skip_space();
        if (at_ < text_.size() && text_[at_] == ']') break;
        expect(',', "`,` or `]`");
    }
    ++at_;
    --depth_;
    return true;
}

template <class Member>
bool Reader::members(std::string_view what, Member member) {
    if (peek() != '{') return wrong(what), false;
    open();
    skip_space();
    if (at_ < text_.size() && text_[at_] == '}') return ++at_, --depth_, true;
    for (Step step{path_};;) {
        skip_space();
        const std::size_t offset = at_;
        step.key = key_text();
        skip_space();
        expect(':', "`:`");
        key_offset_ = offset;
        path_ = &step;
        member(step.key);
        path_ = step.up;
        skip_space();
        if (at_ < text_.size() && text_[at_] == '}') break;
        expect(',', "`,` or `}`");
    }
    ++at_;
    --depth_;
    return true;
}

template <class T, class Read>
void Reader::keyed(std::map<std::string, T>& out, std::string_view what, Read read) {
    auto place = out.end();
    members(what, [&](std::string_view key) {
        check_id(key, key_offset_);
        const std::size_t before = out.size();
        place = out.try_emplace(place, std::string(key));
        if (out.size() == before) {
            report_duplicate(key);
            skip();
        } else {
            read(place->second);
        }
        // Files list ids in a sensible order: the next one mostly belongs here. The end is found without climbing the tree.
        place = place == std::prev(out.end()) ? out.end() : std::next(place);
    });
}

template <class T, class Read>
void Reader::keyed(SmallMap<T>& out, std::string_view what, Read read) {
    members(what, [&](std::string_view key) {
        check_id(key, key_offset_);
        const auto [place, is_new] = out.try_emplace(key);
        if (is_new) return read(place->second);
        report_duplicate(key);
        skip();
    });
}

template <class T, std::size_t N>
std::uint64_t Reader::record(T& out, const Field<T> (&fields)[N], std::string_view what) {
    static_assert(N <= 64);
    const std::size_t start = next_offset();
    std::uint64_t seen = 0;
    const bool is_object = members(what, [&](std::string_view key) {
        for (std::size_t i = 0; i < N; ++i) {
            if (fields[i].name != key) continue;
            if (seen >> i & 1) {
                report_duplicate(key);
                skip();
            } else {
                seen |= std::uint64_t{1} << i;
                fields[i].read(*this, out);
            }
            return;
        }
        std::vector<std::string_view> known;
        for (const Field<T>& f : fields) known.push_back(f.name);
        report_unknown(key, known);
        skip();
    });
    if (is_object)
        for (std::size_t i = 0; i < N; ++i)
            if (fields[i].required && !(seen >> i & 1)) report_missing(start, fields[i].name);
    return seen;
}

}  // namespace fedfrom::io
