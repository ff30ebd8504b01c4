// Set families with subsumption, after Minato ("Zero-suppressed BDDs for set manipulation in
// combinatorial problems", DAC 1993) and Rauzy ("New algorithms for fault trees analysis",
// RESS 40, 1993; mathematical foundation RESS 71, 2001), who calls `without` the same.
//
// Here products can be told the most a set may weigh. A truncated result is true for its limit only,
// and whether something was left out is part of it: the limit is in the cache's key and that bit in
// its value. A limit that the operands cannot exceed is taken off first, so that most of the work
// is shared between limits.
//
// `product_cut_short` has no counterpart there. It gives up a set's tail in place of the set, so that
// the family goes on covering all that it stood for, and what truncation may have lost can be bounded at the end.
#include <algorithm>
#include <limits>
#include <optional>
#include <stdexcept>

#include <fedfrom/logic/family.hpp>

namespace fedfrom {

using detail::Edge;

namespace {
std::uint32_t weight_sum(std::uint32_t a, std::uint32_t b) { return a + b < a ? no_limit : a + b; }
std::uint64_t count_sum(std::uint64_t a, std::uint64_t b) { return a + b < a ? std::numeric_limits<std::uint64_t>::max() : a + b; }

Family family(Edge result) { return {result & ~1u}; }
Edge dropped(Edge result) { return result & 1; }
}  // namespace

Families::Families(std::uint32_t levels, const Budget& budget, std::vector<std::uint32_t> weights)
    : table_(2, budget), weights_(weights.empty() ? std::vector<std::uint32_t>(levels, 1) : std::move(weights)), bounds_{{no_limit, 0}, {0, 0}} {
    if (weights_.size() != levels) throw std::invalid_argument("one weight for every level, please");
}

Family Families::make(std::uint32_t level, Family low, Family high) {
    if (high == none) return low;
    const Family made{table_.node(level, low.edge, high.edge) << 1};
    note_bounds();
    return made;
}

/// Of the nodes that are new, in the order they were made.
void Families::note_bounds() {
    for (auto n = static_cast<std::uint32_t>(bounds_.size()); n < table_.size(); ++n) {
        const Bounds low = bounds_[table_[n].low >> 1], high = bounds_[table_[n].high >> 1];
        const std::uint32_t weight = weights_[table_[n].level];
        bounds_.push_back({std::min(low.lightest, weight_sum(high.lightest, weight)), std::max(low.heaviest, weight_sum(high.heaviest, weight))});
    }
}

Family Families::single(std::uint32_t member) { return set({&member, 1}); }

Family Families::set(std::span<const std::uint32_t> members) {
    Family made = unit;
    std::uint32_t above = no_limit;
    for (std::size_t i = members.size(); i-- > 0; above = members[i]) {
        if (members[i] >= levels() || members[i] >= above) throw std::invalid_argument("the members of a set are below `levels` and ascend");
        made = make(members[i], none, made);
    }
    return made;
}

std::uint32_t Families::least_level(Family f, Family g) const { return std::min(node(f).level, node(g).level); }

/// Each operation by the cofactors of its operands at the higher of their levels: the sets without that member, and those with.
template <detail::FamilyOperation operation>
struct Families::Kernel {
    static constexpr bool multiplies = operation == Operation::product || operation == Operation::cut_short;
    static constexpr std::uint32_t children = operation == Operation::without || multiplies ? 3 : 2;
    Families& s;

    std::optional<Edge> known(Call& c) const {
        if (const auto result = trivial(c)) return result;
        if (const auto* result = s.cache_.find(key(c))) return *result;
        s.table_.count_step();
        return std::nullopt;
    }

    /// Also brings the call into normal form.
    std::optional<Edge> trivial(Call& c) const {
        if constexpr (operation == Operation::unite || operation == Operation::unite_minimal) {
            if (c.f == none || c.f == c.g) return c.g.edge;
            if (c.g == none) return c.f.edge;
            if (operation == Operation::unite_minimal && (c.f == unit || c.g == unit)) return unit.edge;
            if (c.g.edge < c.f.edge) std::swap(c.f, c.g);
        } else if constexpr (operation == Operation::without) {
            // Of g, a set with a member that no set of f has cannot matter.
            while (s.node(c.g).level < s.node(c.f).level) c.g = {s.node(c.g).low};
            if (c.f == none || c.g == unit || c.f == c.g) return none.edge;
            if (c.g == none || s.lightest(c.g) > s.heaviest(c.f)) return c.f.edge;
        } else if constexpr (multiplies) {
            if (c.f == none || c.g == none) return none.edge;
            if (operation == Operation::product && std::max(s.lightest(c.f), s.lightest(c.g)) > c.most) return none.edge | 1;
            if (weight_sum(s.heaviest(c.f), s.heaviest(c.g)) <= c.most) c.most = no_limit;
            if (c.most == no_limit) {
                if (c.f == unit || c.f == c.g) return c.g.edge;
                if (c.g == unit) return c.f.edge;
            }
            if (c.g.edge < c.f.edge) std::swap(c.f, c.g);
        } else {
            if (s.heaviest(c.f) <= c.most) return c.f.edge;
            if (s.lightest(c.f) > c.most) return none.edge | 1;
        }
        return std::nullopt;
    }

    Call child(const Call& c) const {
        const std::uint32_t level = s.least_level(c.f, c.g);
        const Family f0 = s.low(c.f, level), f1 = s.high(c.f, level), g0 = s.low(c.g, level), g1 = s.high(c.g, level);
        if constexpr (operation == Operation::without) {
            // With the member: less those that contain a set of g with it, then those that contain one without.
            if (c.stage == 0) return {f0, g0};
            return c.stage == 1 ? Call{f1, g1} : Call{family(c.results[1]), g0};
        } else if constexpr (multiplies) {
            // With the member: f1 with all of g, and f0 with g1.
            if (c.stage == 0) return {f0, g0, c.most};
            if (overweight(c, level)) return {none, none};  // `finish` knows
            const std::uint32_t left = c.most == no_limit ? no_limit : c.most - s.weights_[level];
            if (c.stage == 2) return {f0, g1, left};
            return f1 == none ? Call{none, none} : Call{f1, s.unite_minimal(g0, g1), left};
        } else if constexpr (operation == Operation::trim) {
            if (c.stage == 0) return {f0, unit, c.most};
            if (overweight(c, level)) return {none, unit};
            return {f1, unit, c.most - s.weights_[level]};
        } else {
            return c.stage == 0 ? Call{f0, g0} : Call{f1, g1};
        }
    }

    Edge finish(const Call& c) const {
        const std::uint32_t level = s.least_level(c.f, c.g);
        const Family low = family(c.results[0]);
        Edge result = 0;
        // Where a member is overweight, one operand at least has sets with it, and the other is not empty: there is something to leave out, or to cut short.
        if constexpr (operation == Operation::without)
            result = s.make(level, low, family(c.results[2])).edge;
        else if constexpr (operation == Operation::unite || operation == Operation::trim)
            result = s.make(level, low, family(c.results[1])).edge;
        else if constexpr (operation == Operation::unite_minimal)
            result = s.make(level, low, s.without(family(c.results[1]), low)).edge;
        else if (operation == Operation::cut_short && overweight(c, level))
            result = s.make(level, low, s.without(unit, low)).edge;
        else
            result = s.make(level, low, s.without(s.unite_minimal(family(c.results[1]), family(c.results[2])), low)).edge;
        if constexpr (operation == Operation::product || operation == Operation::trim) {
            result |= dropped(c.results[0]) | dropped(c.results[1]) | static_cast<Edge>(overweight(c, level));
            if constexpr (operation == Operation::product) result |= dropped(c.results[2]);
        }
        s.cache_.grow(s.table_.size());
        s.cache_.insert(key(c), result);
        return result;
    }

    bool overweight(const Call& c, std::uint32_t level) const { return s.weights_[level] > c.most; }

    /// Edges are even here and below 2^31: the operation goes into the bits they leave.
    static detail::ComputedCache::Key key(const Call& c) {
        constexpr auto number = static_cast<std::uint32_t>(operation);
        return {c.f.edge | (number & 1), c.g.edge | (number >> 1 & 1) | (number >> 2) << 31, c.most};
    }
};

template <detail::FamilyOperation operation>
Edge Families::run(Family f, Family g, std::uint32_t most) {
    return detail::descend(Kernel<operation>{*this}, stacks_[static_cast<std::uint32_t>(operation)], Call{f, g, most});
}

Family Families::unite(Family f, Family g) { return family(run<Operation::unite>(f, g)); }
Family Families::unite_minimal(Family f, Family g) { return family(run<Operation::unite_minimal>(f, g)); }
Family Families::without(Family f, Family g) { return family(run<Operation::without>(f, g)); }

Trimmed Families::product_minimal(Family f, Family g, std::uint32_t most) {
    const Edge result = run<Operation::product>(f, g, most);
    return {family(result), dropped(result) != 0};
}

Family Families::product_cut_short(Family f, Family g, std::uint32_t most) { return family(run<Operation::cut_short>(f, g, most)); }

Trimmed Families::trim(Family f, std::uint32_t most) {
    const Edge result = run<Operation::trim>(f, unit, most);
    return {family(result), dropped(result) != 0};
}

std::uint64_t Families::count(Family f) const {
    std::vector<std::uint64_t> counts(std::max<std::size_t>(2, (f.edge >> 1) + 1));
    counts[unit.edge >> 1] = 1;
    for (const std::uint32_t n : walk(f)) counts[n] = count_sum(counts[table_[n].low >> 1], counts[table_[n].high >> 1]);
    return counts[f.edge >> 1];
}

std::vector<std::uint64_t> Families::count_by_order(Family f) const {
    std::vector<std::vector<std::uint64_t>> counts(std::max<std::size_t>(2, (f.edge >> 1) + 1));
    counts[unit.edge >> 1] = {1};
    for (const std::uint32_t n : walk(f)) {
        const auto &low = counts[table_[n].low >> 1], &high = counts[table_[n].high >> 1];
        auto& here = counts[n];
        here = low;
        here.resize(std::max(low.size(), high.size() + 1));
        for (std::size_t k = 0; k < high.size(); ++k) here[k + 1] = count_sum(here[k + 1], high[k]);
    }
    return counts[f.edge >> 1];
}

void Families::for_each(Family f, const std::function<bool(std::span<const std::uint32_t>)>& call) const {
    // What is still to visit: a family, and how many members of `set` were chosen above it.
    std::vector<std::pair<Family, std::size_t>> todo{{f, 0}};
    std::vector<std::uint32_t> set;
    while (!todo.empty()) {
        const auto [here, chosen] = todo.back();
        todo.pop_back();
        set.resize(chosen);
        if (here == none) continue;
        if (here == unit) {
            if (!call(set)) return;
            continue;
        }
        const detail::DecisionNode& n = node(here);
        todo.push_back({{n.low}, chosen});
        // The high branch comes next, so the member can be put in place now.
        set.push_back(n.level);
        todo.push_back({{n.high}, chosen + 1});
    }
}

void Families::keep_only(std::span<Family> families) {
    std::vector<Edge> roots;
    for (const Family f : families) roots.push_back(f.edge);
    const std::vector<std::uint32_t> renamed = table_.keep_only(roots);
    for (Family& f : families) f.edge = renamed[f.edge >> 1] << 1;
    cache_.clear();
    bounds_.resize(2);
    note_bounds();
}

}  // namespace fedfrom
