/// What changed since a moment, with what stood there before: to report it, and to undo it.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

/// A sparse set, so that beginning again costs nothing and nothing is allocated after construction.
template <class W>
class Journal {
public:
    explicit Journal(std::size_t variables) : slot_(variables), changed_(variables), before_(variables) {}

    void begin() { count_ = 0; }

    /// `before` is kept the first time only.
    void note(Variable v, W before) {
        if (has(v)) return;
        slot_[v] = count_;
        changed_[count_] = v;
        before_[count_++] = before;
    }

    bool has(Variable v) const { return slot_[v] < count_ && changed_[slot_[v]] == v; }
    W before(Variable v) const { return before_[slot_[v]]; }
    /// In the order they changed first.
    std::span<const Variable> changed() const { return {changed_.data(), count_}; }

private:
    std::vector<std::uint32_t> slot_;
    std::vector<Variable> changed_;
    std::vector<W> before_;
    std::uint32_t count_ = 0;
};

}  // namespace fedfrom::detail
