#include "utf8.hpp"

#include "eight_bytes.hpp"

namespace fedfrom::io {

namespace {

/// The length of the well-formed sequence at the start of `rest`, which is not ASCII; 0 if it is none.
std::size_t sequence_length(std::string_view rest) {
    const auto byte = [&](std::size_t i) { return i < rest.size() ? static_cast<unsigned char>(rest[i]) : 0u; };
    const auto within = [&](std::size_t i, unsigned low, unsigned high) { return byte(i) >= low && byte(i) <= high; };
    const unsigned lead = byte(0);
    // The second byte's narrower ranges keep out overlong forms, surrogates and what is above U+10FFFF.
    if (lead >= 0xC2 && lead <= 0xDF) return within(1, 0x80, 0xBF) ? 2 : 0;
    if (lead >= 0xE0 && lead <= 0xEF) {
        const unsigned low = lead == 0xE0 ? 0xA0 : 0x80, high = lead == 0xED ? 0x9F : 0xBF;
        return within(1, low, high) && within(2, 0x80, 0xBF) ? 3 : 0;
    }
    if (lead >= 0xF0 && lead <= 0xF4) {
        const unsigned low = lead == 0xF0 ? 0x90 : 0x80, high = lead == 0xF4 ? 0x8F : 0xBF;
        return within(1, low, high) && within(2, 0x80, 0xBF) && within(3, 0x80, 0xBF) ? 4 : 0;
    }
    return 0;
}

}  // namespace

std::size_t find_invalid_utf8(std::string_view text) {
    std::size_t i = 0;
    while (i < text.size()) {
        // Many ASCII bytes at a time: models are nearly all ASCII.
        constexpr std::size_t many = 4 * sizeof(EightBytes);
        if (i + many <= text.size()) {
            const char* at = text.data() + i;
            const EightBytes all = eight_bytes_at(at) | eight_bytes_at(at + 8) | eight_bytes_at(at + 16) | eight_bytes_at(at + 24);
            if ((all & eight_times(0x80)) == 0) {
                i += many;
                continue;
            }
        }
        if (static_cast<unsigned char>(text[i]) < 0x80) {
            ++i;
            continue;
        }
        const std::size_t length = sequence_length(text.substr(i, 4));
        if (length == 0) return i;
        i += length;
    }
    return std::string_view::npos;
}

void append_utf8(std::string& out, char32_t code) {
    const auto put = [&](char32_t byte) { out += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (code < 0x80) {
        put(code);
    } else if (code < 0x800) {
        put(0xC0 | (code >> 6));
        put(0x80 | (code & 0x3F));
    } else if (code < 0x10000) {
        put(0xE0 | (code >> 12));
        put(0x80 | ((code >> 6) & 0x3F));
        put(0x80 | (code & 0x3F));
    } else {
        put(0xF0 | (code >> 18));
        put(0x80 | ((code >> 12) & 0x3F));
        put(0x80 | ((code >> 6) & 0x3F));
        put(0x80 | (code & 0x3F));
    }
}

}  // namespace fedfrom::io
