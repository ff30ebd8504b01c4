/// What changed since a moment, with what stood there before: to report it, and to undo it.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

/// A set that begins again at no cost, and allocates nothing after construction.
template <class W>
class Journal {
public:
    explicit Journal(std::size_t variables) : noted_in_(variables), before_(variables), changed_(variables) {}

    void begin() {
        count_ = 0;
        if (++time_ != 0) return;
        std::ranges::fill(noted_in_, 0);
        time_ = 1;
    }

    /// `before` is kept the first time only.
    void note(Variable v, W before) {
        if (has(v)) return;
        noted_in_[v] = time_;
        before_[v] = before;
        changed_[count_++] = v;
    }

    bool has(Variable v) const { return noted_in_[v] == time_; }
    W before(Variable v) const { return before_[v]; }
    /// In the order they changed first.
    std::span<const Variable> changed() const { return {changed_.data(), count_}; }

private:
    std::vector<std::uint32_t> noted_in_;  // by variable: which beginning it was noted after
    std::vector<W> before_;
    std::vector<Variable> changed_;
    std::uint32_t count_ = 0, time_ = 1;
};

}  // namespace fedfrom::detail
