// One pass over a formula that folds, draws together and merges, repeated until it finds nothing more.
//
// What is usual before a fault tree is analysed (constants, nested gates of one kind, gates
// written twice; Niemelä, "On simplification of large fault trees", RESS 44(2), 1994).
// Equal gates are found by their sorted operands, but the operands keep the order they were
// written in: it is what the depth-first variable order goes by.
#include <algorithm>
#include <map>
#include <optional>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

namespace {

class Pass {
public:
    explicit Pass(const Formula& from) : from_(from), readers_(from.nodes()), became_(from.nodes()), to_(from.variables()) {}

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
    std::map<std::vector<std::uint32_t>, Term> known_;  // needed and sorted operands of every gate made

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

    /// Its operands, with those of nested gates of its kind that nothing else reads in their place.
    std::vector<Term> drawn_together(std::uint32_t gate) const {
        std::vector<Term> found, todo;
        const auto push = [&](std::uint32_t g) {
            const auto operands = from_.operands(g);
            todo.insert(todo.end(), operands.rbegin(), operands.rend());
        };
        for (push(gate); !todo.empty();) {
            const Term t = todo.back();
            todo.pop_back();
            const bool nested = from_.is_gate(t.node()) && !t.negated() && readers_[t.node()] == 1 &&
                                ((is_any(gate) && is_any(t.node())) || (is_all(gate) && is_all(t.node())));
            if (nested)
                push(t.node());
            else
                found.push_back(t);
        }
        return found;
    }

    void depth_first() {
        std::vector<std::uint32_t> todo;
        if (from_.is_gate(from_.top.node())) todo.push_back(from_.top.node());
        std::vector<bool> entered(from_.nodes());
        while (!todo.empty()) {
            const std::uint32_t g = todo.back();
            const std::vector<Term> operands = drawn_together(g);
            if (entered[g]) {
                todo.pop_back();
                if (!became_[g]) became_[g] = gate(from_.needed(g), is_all(g), operands);
                continue;
            }
            entered[g] = true;
            for (auto t = operands.rbegin(); t != operands.rend(); ++t)
                if (from_.is_gate(t->node()) && !entered[t->node()]) todo.push_back(t->node());
        }
    }

    Term gate(std::uint32_t needed, bool all, const std::vector<Term>& operands) {
        std::vector<Term> left;
        std::uint64_t holding = 0;
        for (const Term t : operands) {
            const Term now = became(t);
            if (now == Formula::always)
                ++holding;
            else if (now != Formula::never)
                left.push_back(now);
            else if (all)
                return Formula::never;
        }
        const bool any = needed == 1;
        if (all) needed = static_cast<std::uint32_t>(left.size());
        if (!all) {
            if (holding >= needed) return Formula::always;
            needed -= static_cast<std::uint32_t>(holding);
        }
        if (all || any) {
            if (drop_repeated(left)) return all ? Formula::never : Formula::always;
            if (all) needed = static_cast<std::uint32_t>(left.size());
        }
        if (needed == 0) return Formula::always;
        if (needed > left.size()) return Formula::never;
        if (left.size() == 1) return left.front();

        std::vector<std::uint32_t> key{needed};
        for (const Term t : left) key.push_back(t.code);
        std::sort(key.begin() + 1, key.end());
        const auto [at, is_new] = known_.try_emplace(std::move(key));
        if (is_new) at->second = to_.at_least(needed, left);
        return at->second;
    }

    /// Keeps the first of equal terms; says whether a term and its negation are both there.
    static bool drop_repeated(std::vector<Term>& terms) {
        std::vector<Term> sorted = terms;
        std::ranges::sort(sorted);
        for (std::size_t i = 1; i < sorted.size(); ++i)
            if (sorted[i] == !sorted[i - 1]) return true;
        if (std::ranges::adjacent_find(sorted) == sorted.end()) return false;
        std::vector<bool> seen(sorted.size());
        std::erase_if(terms, [&](Term t) {
            const auto i = static_cast<std::size_t>(std::ranges::lower_bound(sorted, t) - sorted.begin());
            const bool repeated = seen[i];
            seen[i] = true;
            return repeated;
        });
        return false;
    }
};

std::size_t size(const Formula& f) {
    std::size_t sum = f.nodes();
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) sum += f.operands(g).size();
    return sum;
}

}  // namespace

Formula simplified(const Formula& formula) {
    Formula now = Pass(formula).run();
    for (;;) {
        Formula next = Pass(now).run();
        if (size(next) == size(now)) return next;
        now = std::move(next);
    }
}

}  // namespace fedfrom
