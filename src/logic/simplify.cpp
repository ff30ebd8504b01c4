// One pass over a formula that folds, draws together and merges, repeated until it finds nothing more: whatever it finds makes the formula smaller.
//
// What is usual before a fault tree is analysed (constants, nested gates of one kind, gates
// written twice; Niemelä, "On simplification of large fault trees", RESS 44(2), 1994).
// Equal gates are found by their sorted operands, but the operands keep the order they were
// written in: it is what the depth-first variable order goes by.
#include <algorithm>
#include <map>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

namespace {

class Pass {
public:
    explicit Pass(const Formula& from) : from_(from), readers_(from.nodes()), became_(from.nodes()), to_(from.variables()), drawn_(from.nodes() - from.first_gate()) {}

    Formula run() {
        count_readers();
        became_[0] = Formula::never;
        for (std::uint32_t v = 0; v < from_.variables(); ++v) became_[v + 1] = to_.variable(v);
        depth_first();
        to_.top = became(from_.top);
        return std::move(to_);
    }

private:
    const Formula& from_;
    std::vector<std::uint32_t> readers_;
    std::vector<std::optional<Term>> became_;
    Formula to_;
    std::map<std::pair<std::uint32_t, std::vector<Term>>, Term> known_;  // needed and sorted operands of every gate made
    struct Range {
        std::size_t first = 0, count = 0;
    };
    std::vector<Range> drawn_;     // by gate, once it is entered: of operands_
    std::vector<Term> operands_;
    std::vector<Term> open_, left_;  // of one gate

    Term became(Term t) const { return became_[t.node()]->negated_if(t.negated()); }
    bool is_any(std::uint32_t gate) const { return from_.needed(gate) == 1; }
    bool is_all(std::uint32_t gate) const { return from_.needed(gate) == from_.operands(gate).size() && !is_any(gate); }  // one of one is any

    /// How often each node is read, from what `top` reaches.
    void count_readers() {
        readers_[from_.top.node()] = 1;
        for (std::uint32_t g = from_.nodes(); g-- > from_.first_gate();)
            if (readers_[g] != 0)
                for (const Term t : from_.operands(g)) ++readers_[t.node()];
    }

    /// Lays out its operands, with those of nested gates of its kind that nothing else reads in their place.
    void draw_together(std::uint32_t gate) {
        const auto push = [&](std::uint32_t g) {
            const auto operands = from_.operands(g);
            open_.insert(open_.end(), operands.rbegin(), operands.rend());
        };
        Range& range = drawn_[gate - from_.first_gate()];
        range.first = operands_.size();
        for (push(gate); !open_.empty();) {
            const Term t = open_.back();
            open_.pop_back();
            const bool nested = from_.is_gate(t.node()) && !t.negated() && readers_[t.node()] == 1 &&
                                ((is_any(gate) && is_any(t.node())) || (is_all(gate) && is_all(t.node())));
            if (nested)
                push(t.node());
            else
                operands_.push_back(t);
        }
        range.count = operands_.size() - range.first;
    }
    std::span<const Term> drawn_together(std::uint32_t gate) const {
        const Range& range = drawn_[gate - from_.first_gate()];
        return std::span(operands_).subspan(range.first, range.count);
    }

    void depth_first() {
        std::vector<std::uint32_t> todo;
        if (from_.is_gate(from_.top.node())) todo.push_back(from_.top.node());
        std::vector<bool> entered(from_.nodes());
        while (!todo.empty()) {
            const std::uint32_t g = todo.back();
            if (entered[g]) {
                todo.pop_back();
                if (!became_[g]) became_[g] = gate(from_.needed(g), is_all(g), drawn_together(g));
                continue;
            }
            entered[g] = true;
            draw_together(g);
            const auto operands = drawn_together(g);
            for (auto t = operands.rbegin(); t != operands.rend(); ++t)
                if (from_.is_gate(t->node()) && !entered[t->node()]) todo.push_back(t->node());
        }
    }

    Term gate(std::uint32_t needed, bool all, std::span<const Term> operands) {
        left_.clear();
        std::uint64_t holding = 0;
        for (const Term t : operands) {
            const Term now = became(t);
            if (now == Formula::always)
                ++holding;
            else if (now != Formula::never)
                left_.push_back(now);
            else if (all)
                return Formula::never;
        }
        const bool any = needed == 1;
        if (!all) {
            if (holding >= needed) return Formula::always;
            needed -= static_cast<std::uint32_t>(holding);
        }
        std::vector<Term> sorted(left_);
        std::ranges::sort(sorted);
        if (all || any) {
            if (std::ranges::adjacent_find(sorted, [](Term a, Term b) { return a == !b; }) != sorted.end()) return all ? Formula::never : Formula::always;
            if (std::ranges::adjacent_find(sorted) != sorted.end()) drop_repeated(sorted);
            if (all) needed = static_cast<std::uint32_t>(left_.size());
        }
        if (needed == 0) return Formula::always;
        if (needed > left_.size()) return Formula::never;
        if (left_.size() == 1) return left_.front();
        const auto [at, is_new] = known_.try_emplace({needed, std::move(sorted)});
        if (is_new) at->second = to_.at_least(needed, left_);
        return at->second;
    }

    /// Keeps the first of equal terms.
    void drop_repeated(std::vector<Term>& sorted) {
        sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
        std::vector<bool> seen(sorted.size());
        std::erase_if(left_, [&](Term t) {
            const auto i = static_cast<std::size_t>(std::ranges::lower_bound(sorted, t) - sorted.begin());
            const bool repeated = seen[i];
            seen[i] = true;
            return repeated;
        });
    }
};

std::size_t size(const Formula& f) {
    std::size_t sum = f.nodes();
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) sum += f.operands(g).size();
    return sum;
}

}  // namespace

Formula simplified(const Formula& formula) {
    std::size_t before = size(formula);
    Formula now = Pass(formula).run();
    while (size(now) < before) {
        before = size(now);
        now = Pass(now).run();
    }
    return now;
}

}  // namespace fedfrom
