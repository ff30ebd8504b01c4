/// Which variables combinations of events ever change, and which only two of them together do.
///
/// A *trace* is told every value a variable takes while a block of lanes settles. What it keeps are
/// coefficients: over the two values, a variable's value at a moment is the sum, over sets S of events that
/// happen, of c(S). c({a}) is where a alone makes it differ from nothing happening; c({a, b}) is where a
/// and b together do something else than each of them says; c({b}) + c({a, b}) is what b does on top of a.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {

/// What is traced, by number: the program's variables; by link what comes over it, and what of that comes past its devices; by zone, for each
/// link into it, what had come to the zone in earlier rounds or comes over this link, of which only falls count.
struct Traced {
    std::uint32_t links, past, zones, count;
    explicit Traced(const Compiled& c)
        : links(c.program.variables()), past(links + static_cast<std::uint32_t>(c.links.size())), zones(past + static_cast<std::uint32_t>(c.links.size())), count(zones + static_cast<std::uint32_t>(c.zones.size())) {}
};

template <class W>
class Trace {
public:
    /// How the lanes of each word of 64 are laid. `singles`: lane 0 has no event. `tables`: lane 8·i+j has the
    /// row's event i and the column's event j; row 0 and column 0 stand for none.
    enum class Lanes : std::uint8_t { singles, tables };

    /// Of a variable: where something was ever 1.
    struct Changes {
        W together{};             ///< the coefficient of the lane's event, or of its two
        W by_row{}, by_column{};  ///< of tables: what the row's event does on top of the column's, and the other way round
    };

    /// From number `falling` on only falls count: where one event on top of the other makes it 0.
    Trace(std::size_t count, std::uint32_t falling) : changes_(count), falling_(falling) { touched_.reserve(count); }

    void begin(Lanes lanes) {
        for (const std::uint32_t v : touched_) changes_[v] = {};
        touched_.clear();
        lanes_ = lanes;
    }

    void note(std::uint32_t v, const W& value) {
        if constexpr (requires { value.bits[0]; }) {
            Changes now = changes_in(value);
            if (v >= falling_) now = {{}, now.by_row & ~value, now.by_column & ~value};
            if (!any(now.together | now.by_row | now.by_column)) return;
            Changes& ever = changes_[v];
            if (!any(ever.together | ever.by_row | ever.by_column)) touched_.push_back(v);
            ever.together |= now.together;
            ever.by_row |= now.by_row;
            ever.by_column |= now.by_column;
        }
    }

    /// Where one value is 1.
    Changes changes_in(const W& value) const {
        Changes now;
        for (std::uint32_t i = 0; i < W::words; ++i) {
            const std::uint64_t word = value.bits[i], neither = 0 - (word & 1);
            now.together.bits[i] = word ^ neither;
            if (lanes_ == Lanes::singles) continue;
            now.by_row.bits[i] = word ^ (word & 0xff) * 0x0101010101010101u;
            now.by_column.bits[i] = word ^ (word & 0x0101010101010101u) * 0xff;
            now.together.bits[i] ^= now.by_row.bits[i] ^ now.by_column.bits[i];
        }
        return now;
    }

    std::span<const std::uint32_t> touched() const { return touched_; }
    const Changes& changes(std::uint32_t v) const { return changes_[v]; }

private:
    std::vector<Changes> changes_;
    std::uint32_t falling_;
    std::vector<std::uint32_t> touched_;
    Lanes lanes_ = Lanes::singles;
};

}  // namespace fedfrom::detail
