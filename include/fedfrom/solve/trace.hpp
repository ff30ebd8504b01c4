/// Which variables combinations of events ever change, and which only two of them together do.
///
/// A *trace* is told every value a variable takes while a block of lanes settles. What it keeps are
/// coefficients: over the two values, a variable's value at a moment is the sum, over sets S of events that
/// happen, of c(S). c({a}) is where a alone makes it differ from nothing happening; c({a, b}) is where a
/// and b together do something else than each of them says.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace fedfrom::detail {

template <class W>
class Trace {
public:
    /// How the lanes of each word of 64 are laid. `singles`: lane 0 has no event. `tables`: lane 8·i+j has the
    /// row's event i and the column's event j; row 0 and column 0 stand for none.
    enum class Lanes : std::uint8_t { singles, tables };

    explicit Trace(std::size_t variables) : changed_(variables) { touched_.reserve(variables); }

    void begin(Lanes lanes) {
        for (const std::uint32_t v : touched_) changed_[v] = W::filled(false);
        touched_.clear();
        lanes_ = lanes;
    }

    void note(std::uint32_t v, const W& value) {
        if constexpr (requires { value.bits[0]; }) {
            W coefficients;
            for (std::uint32_t i = 0; i < W::words; ++i) coefficients.bits[i] = lanes_ == Lanes::singles ? of_singles(value.bits[i]) : of_table(value.bits[i]);
            if (!any(coefficients)) return;
            if (!any(changed_[v])) touched_.push_back(v);
            changed_[v] |= coefficients;
        }
    }

    std::span<const std::uint32_t> touched() const { return touched_; }
    /// Where a coefficient was ever 1: of the lane's event, or of its pair.
    const W& changed(std::uint32_t v) const { return changed_[v]; }

private:
    std::vector<W> changed_;
    std::vector<std::uint32_t> touched_;
    Lanes lanes_ = Lanes::singles;

    static std::uint64_t of_singles(std::uint64_t word) { return word ^ (0 - (word & 1)); }
    static std::uint64_t of_table(std::uint64_t word) {
        const std::uint64_t row = (word & 0xff) * 0x0101010101010101u, column = (word & 0x0101010101010101u) * 0xff;
        return word ^ row ^ column ^ (0 - (word & 1));
    }
};

}  // namespace fedfrom::detail
