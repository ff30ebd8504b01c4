#include "locate.hpp"

#include <algorithm>
#include <map>
#include <optional>

namespace fedfrom::io {

namespace {

/// The wanted pointers as a tree, so that one pass serves them all.
struct Wanted {
    std::map<std::string, Wanted, std::less<>> parts;
    std::optional<std::size_t> offset;
};

/// The parts of a JSON pointer, unescaped.
std::vector<std::string> parts_of(std::string_view pointer) {
    std::vector<std::string> parts;
    for (std::size_t i = 0; i < pointer.size(); ++i) {
        if (pointer[i] == '/') parts.emplace_back();
        else if (pointer[i] == '~') parts.back() += pointer[++i] == '1' ? '/' : '~';
        else parts.back() += pointer[i];
    }
    return parts;
}

void walk(Reader& r, Wanted& wanted) {
    if (wanted.offset) return r.skip();  // a duplicate key: the first one counts
    wanted.offset = r.next_offset();
    const auto enter = [&](std::string_view part) {
        if (const auto next = wanted.parts.find(part); next != wanted.parts.end()) walk(r, next->second);
        else r.skip();
    };
    if (wanted.parts.empty()) return r.skip();
    if (r.peek() == '{') {
        r.members("an object", enter);
    } else if (r.peek() == '[') {
        std::size_t index = 0;
        r.items("a list", [&] { enter(std::to_string(index++)); });
    } else {
        r.skip();
    }
}

}  // namespace

std::vector<Found> locate(std::string_view text, std::vector<Diagnostic> diagnostics) {
    Wanted root;
    for (const Diagnostic& d : diagnostics) {
        Wanted* node = &root;
        for (std::string& part : parts_of(d.pointer)) node = &node->parts[std::move(part)];
    }
    Reader r(text);
    walk(r, root);
    std::vector<Found> found;
    for (Diagnostic& d : diagnostics) {
        const Wanted* node = &root;
        std::size_t offset = root.offset.value_or(0);
        for (const std::string& part : parts_of(d.pointer)) {
            node = &node->parts.find(part)->second;
            if (node->offset) offset = *node->offset;
        }
        found.push_back({std::move(d), offset});
    }
    return found;
}

std::vector<Diagnostic> place(std::string_view text, std::string_view file, std::vector<Found> found) {
    // "There are more" stays last.
    std::ranges::stable_sort(found, {}, [](const Found& f) { return std::pair(f.diagnostic.code == "more_follow", f.offset); });
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    std::size_t at = text.starts_with(byte_order_mark) ? byte_order_mark.size() : 0;
    int line = 1, column = 1;
    std::vector<Diagnostic> out;
    for (Found& f : found) {
        if (f.diagnostic.code == "more_follow") f.offset = at;
        for (; at < std::min(f.offset, text.size()); ++at) {
            if (text[at] == '\n') ++line, column = 1;
            else if ((static_cast<unsigned char>(text[at]) & 0xC0) != 0x80) ++column;
        }
        f.diagnostic.file = file;
        f.diagnostic.line = line;
        f.diagnostic.column = column;
        out.push_back(std::move(f.diagnostic));
    }
    return out;
}

}  // namespace fedfrom::io
