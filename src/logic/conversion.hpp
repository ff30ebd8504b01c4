// A formula's gates as diagrams, one after the other, so that whoever tries knows how far it came.
#pragma once

#include <algorithm>
#include <vector>

#include <fedfrom/logic/diagram.hpp>

namespace fedfrom::detail {

class Conversion {
public:
    Conversion(const Formula& f, Diagrams& d) : f_(f), d_(d), readers_(f.nodes()), became_(f.nodes(), Diagrams::never), gate_(f.first_gate()) {
        readers_[f.top.node()] = 1;
        for (std::uint32_t g = f.nodes(); g-- > f.first_gate();)
            if (readers_[g] != 0)
                for (const Term t : f.operands(g)) ++readers_[t.node()];
    }

    /// The next gate to convert: where the budget was spent; the formula's number of nodes where all are.
    std::uint32_t gate() const { return gate_; }

    /// All of them, once. Throws `BudgetSpent`; with more it goes on. On the way it forgets what the store no longer needs.
    Diagram run() {
        for (; variable_ < f_.variables(); ++variable_)
            if (readers_[variable_ + 1] != 0) became_[variable_ + 1] = d_.variable(variable_);
        for (; gate_ < f_.nodes(); ++gate_)
            if (readers_[gate_] != 0) convert();
        Diagram result[] = {of(f_.top)};
        d_.keep_only(result);
        return result[0];
    }

private:
    const Formula& f_;
    Diagrams& d_;
    std::vector<std::uint32_t> readers_;  // still to come
    std::vector<Diagram> became_, operands_;
    std::uint32_t variable_ = 0, gate_;
    std::size_t tidy_at_ = 1 << 16;

    Diagram of(Term t) const { return t.negated() ? !became_[t.node()] : became_[t.node()]; }

    void convert() {
        operands_.clear();
        for (const Term t : f_.operands(gate_)) operands_.push_back(of(t));
        became_[gate_] = d_.at_least(f_.needed(gate_), operands_);
        for (const Term t : f_.operands(gate_))
            if (--readers_[t.node()] == 0) became_[t.node()] = Diagrams::never;
        if (d_.nodes() <= tidy_at_) return;
        d_.keep_only(became_);
        tidy_at_ = std::max<std::size_t>(tidy_at_, 2 * d_.nodes());
    }
};

}  // namespace fedfrom::detail
