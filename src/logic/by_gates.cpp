// Minimal sets from the variables up, as cut sets are combined by hand ("Fault Tree Handbook", NUREG-0492,
// chapter VII), with families for lists: at each gate a product or a union without supersets, cut at a limit.
//
// A set too heavy at an inner gate only gets heavier above, so that what is within the limit at the top is
// exact. Where too heavy sets are cut short in place of dropped, each gate's family goes on covering it: whenever the
// gate holds, all of some set there do. A set that was cut is heavier than the limit and so is what
// is made of it, which is how the exact ones are told from the others at the top.
//
// A `not` is pushed down as it is met: not at least k of n is at least n - k + 1 of the n negated.
#include <algorithm>

#include "logic/by_gates.hpp"

namespace fedfrom {

namespace {

class Combiner {
public:
    Combiner(const Formula& f, Families& s, std::uint32_t most, TooHeavy too_heavy) : f_(f), s_(s), most_(most), too_heavy_(too_heavy) {}

    Trimmed run() {
        std::vector<std::uint32_t> left = times_read_by_code(f_);
        became_.assign(left.size(), Families::none);
        became_[Formula::always.code] = Families::unit;
        for (std::uint32_t v = 0; v < f_.variables(); ++v)
            if (const Term t = f_.variable(v); left[t.code] != 0) became_[t.code] = variable(v);
        std::size_t tidy_at = 1 << 16;
        for (std::uint32_t g = f_.first_gate(); g < f_.nodes(); ++g)
            for (const bool negated : {false, true}) {
                const Term gate = Term{2 * g}.negated_if(negated);
                if (left[gate.code] == 0) continue;
                became_[gate.code] = combined(g, negated);
                for (const Term t : f_.operands(g))
                    if (const Term read = t.negated_if(negated); --left[read.code] == 0 && read.node() != 0) became_[read.code] = Families::none;
                if (s_.nodes() > tidy_at) {
                    s_.keep_only(became_);
                    tidy_at = std::max<std::size_t>(tidy_at, 2 * s_.nodes());
                }
            }
        Family result[] = {became_[f_.top.code]};
        s_.keep_only(result);
        return {result[0], dropped_};
    }

private:
    const Formula& f_;
    Families& s_;
    std::uint32_t most_;
    TooHeavy too_heavy_;
    std::vector<Family> became_;  // by code of a term
    bool dropped_ = false;

    Family kept(Trimmed found) {
        dropped_ = dropped_ || found.dropped;
        return found.family;
    }
    Family variable(std::uint32_t v) {
        const Family single = s_.single(v);
        return too_heavy_ == TooHeavy::dropped ? kept(s_.trim(single, most_)) : single;
    }
    Family product(Family f, Family g) { return too_heavy_ == TooHeavy::dropped ? kept(s_.product_minimal(f, g, most_)) : s_.product_cut_short(f, g, most_); }

    Family combined(std::uint32_t gate, bool negated) {
        std::vector<Family> operands;
        for (const Term t : f_.operands(gate)) operands.push_back(became_[t.negated_if(negated).code]);
        const std::size_t n = operands.size(), k = negated ? n + 1 - f_.needed(gate) : f_.needed(gate);
        // From the lowest variables up, so that what is put on top seldom disturbs what is below.
        std::ranges::stable_sort(operands, std::ranges::greater{}, [&](Family f) { return s_.node(f).level; });
        // At least j of those so far, for j from 0; whether the next one holds moves j by one.
        std::vector<Family> so_far(k + 1, Families::none);
        so_far[0] = Families::unit;
        for (std::size_t i = 0; i < n; ++i)
            for (std::size_t j = std::min(k, i + 1); j > 0 && j + (n - 1 - i) >= k; --j)
                so_far[j] = s_.unite_minimal(so_far[j], product(so_far[j - 1], operands[i]));
        return so_far[k];
    }
};

}  // namespace

std::vector<std::uint32_t> times_read_by_code(const Formula& f) {
    std::vector<std::uint32_t> count(2 * std::size_t{f.nodes()});
    count[f.top.code] = 1;
    for (std::uint32_t g = f.nodes(); g-- > f.first_gate();)
        for (const bool negated : {false, true})
            if (count[Term{2 * g}.negated_if(negated).code] != 0)
                for (const Term t : f.operands(g)) ++count[t.negated_if(negated).code];
    return count;
}

Trimmed sets_by_gates(const Formula& f, Families& s, std::uint32_t most, TooHeavy too_heavy) { return Combiner(f, s, most, too_heavy).run(); }

}  // namespace fedfrom
