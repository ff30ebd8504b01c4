/// Model texts for tests, with the place of the expected complaint marked in them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/io/read.hpp>

namespace marked {

/// A text without its mark, and where the mark stood.
struct Text {
    std::string json;
    int line = 0, column = 0;
};

/// The mark is `@`; it counts nothing itself.
inline Text unmarked(std::string_view text) {
    const std::size_t at = text.find('@');
    Text out{std::string(text), 0, 0};
    if (at == std::string_view::npos) return out;
    out.json.erase(at, 1);
    out.line = out.column = 1;
    for (const char c : text.substr(0, at)) {
        if (c == '\n') ++out.line, out.column = 1;
        else if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) ++out.column;
    }
    return out;
}

/// A good model of a few parts, with further elements and further members of the model.
inline std::string model_with(std::string_view elements, std::string_view members = {}) {
    std::string json = R"({"format": "fedfrom/1", "name": "Small",
"given": {"airborne": true}, "groups": ["power"],
"elements": {
  "bat": {"kind": "battery", "store": {"applications": 2}},
  "main": {"kind": "bus", "inputs": {"power": ["bat"]}},
  "sw": {"kind": "switch", "positions": ["A", "B"]},
  "cb": {"kind": "breaker"},
  "dio": {"kind": "diode"},
  "vlv": {"kind": "valve"},
  "lamp": {"kind": "light", "inputs": {"power": ["main"]}, "shows": [{"text": "lit", "when": {"at": {"sw": "A"}}}], "unpowered": "out"})";
    if (!elements.empty()) json += ",\n  " + std::string(elements);
    json += "}";
    if (!members.empty()) json += ",\n" + std::string(members);
    return json + "}";
}

/// A text with one problem, at its mark.
struct Case {
    std::string_view code;
    std::string pointer, text;
};

}  // namespace marked
