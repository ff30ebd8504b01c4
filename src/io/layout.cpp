#include "layout.hpp"

#include <cstdint>
#include <vector>

namespace fedfrom::io {

namespace {

constexpr std::size_t widest = 100;

/// For each bracket that opens, in order: how wide its one-line form is, in bytes.
std::vector<std::size_t> widths_of(std::string_view compact) {
    std::vector<std::size_t> widths;
    struct Open {
        std::size_t number, start, spaces_before;
    };
    std::vector<Open> open;
    std::size_t spaces = 0;  // one after each `,` and `:`
    bool in_text = false;
    for (std::size_t i = 0; i < compact.size(); ++i) {
        const char c = compact[i];
        if (in_text) {
            if (c == '\\') ++i;
            else if (c == '"') in_text = false;
        } else if (c == '"') {
            in_text = true;
        } else if (c == '{' || c == '[') {
            open.push_back({widths.size(), i, spaces});
            widths.push_back(0);
        } else if (c == '}' || c == ']') {
            widths[open.back().number] = i + 1 - open.back().start + spaces - open.back().spaces_before;
            open.pop_back();
        } else if (c == ',' || c == ':') {
            ++spaces;
        }
    }
    return widths;
}

}  // namespace

std::string lay_out(std::string_view compact) {
    const std::vector<std::size_t> widths = widths_of(compact);
    std::string out;
    out.reserve(compact.size() * 3 / 2);
    std::vector<bool> broken;  // for each open bracket, whether its items have lines of their own
    std::size_t bracket = 0, line_start = 0;
    const auto new_line = [&] {
        out += '\n';
        line_start = out.size();
        for (std::size_t i = 0; i < broken.size(); ++i)
            if (broken[i]) out += "  ";
    };
    for (std::size_t i = 0; i < compact.size(); ++i) {
        const char c = compact[i];
        switch (c) {
            case '"': {
                const std::size_t start = i;
                while (compact[++i] != '"')
                    if (compact[i] == '\\') ++i;
                out.append(compact.substr(start, i + 1 - start));
                break;
            }
            case '{':
            case '[': {
                const std::size_t width = widths[bracket++];
                const bool top = broken.empty() || (broken.size() == 1 && c == '{');
                const bool breaks = width > 2 && (top || out.size() - line_start + width > widest);
                broken.push_back(breaks);
                out += c;
                if (breaks) new_line();
                break;
            }
            case '}':
            case ']': {
                const bool breaks = broken.back();
                broken.pop_back();
                if (breaks) new_line();
                out += c;
                break;
            }
            case ',':
                out += c;
                if (broken.back()) new_line();
                else out += ' ';
                break;
            case ':': out += ": "; break;
            default: out += c;
        }
    }
    out += '\n';
    return out;
}

}  // namespace fedfrom::io
