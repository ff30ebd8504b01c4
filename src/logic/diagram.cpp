// The if-then-else of Brace, Rudell and Bryant ("Efficient implementation of a BDD package",
// 1990), on a stack of its own.
//
// Edges carry a complement bit, so that a function and its negation share their nodes and
// "not" is free. Of the two ways to write a node, the one whose high edge is plain is used;
// node 0 is the constant that never holds. Two operations do for all: that both of two hold,
// which is most of what formulas need and takes half the work, and if-then-else. Calls that mean the same are brought into
// one form before the cache is asked; `both` stands in it as if-then-else with the constant.
#include <algorithm>
#include <limits>
#include <optional>
#include <stdexcept>

#include <fedfrom/logic/diagram.hpp>

#include "logic/conversion.hpp"

namespace fedfrom {

using detail::Edge;

namespace {
constexpr Edge no = 0, yes = 1;
bool is_constant(Edge e) { return e <= 1; }

/// Of the edge to this node.
Edge cofactor(Edge e, const detail::DecisionNode& at, std::uint32_t level, bool high) {
    if (at.level != level) return e;
    return (high ? at.high : at.low) ^ (e & 1);
}

std::uint64_t sum_or_most(std::uint64_t a, std::uint64_t b) { return a + b < a ? std::numeric_limits<std::uint64_t>::max() : a + b; }
/// a · 2^shift
std::uint64_t doubled_or_most(std::uint64_t a, std::uint32_t shift) {
    if (a == 0) return 0;
    return shift >= 64 || a > std::numeric_limits<std::uint64_t>::max() >> shift ? std::numeric_limits<std::uint64_t>::max() : a << shift;
}
}  // namespace

Diagrams::Diagrams(std::uint32_t variables, const Budget& budget) : variables_(variables), table_(1, budget) {}

Diagram Diagrams::variable(std::uint32_t v) {
    if (v >= variables_) throw std::invalid_argument("the store of diagrams has no variable of this number");
    return {make(v, no, yes)};
}

Edge Diagrams::make(std::uint32_t level, Edge low, Edge high) {
    if (low == high) return low;
    const Edge negate = high & 1;  // the constant "yes" is a negated "no": a variable is a negated node with low "yes"
    return table_.node(level, low ^ negate, high ^ negate) << 1 | negate;
}

struct Diagrams::Both {
    static constexpr std::uint32_t children = 2;
    Diagrams& d;

    /// Known without a step where it is trivial or was met before; else the call learns its cofactors.
    std::optional<Edge> known(BothCall& c) const {
        auto& [f, g] = c.of;
        if (f > g) std::swap(f, g);
        if (f == no) return no;
        if (f == yes) return g;
        if (f >> 1 == g >> 1) return f == g ? f : no;
        if (const auto* result = d.cache_.find({f, g, no})) return *result;
        d.table_.count_step();
        const detail::DecisionNode &at_f = d.table_.at(f), &at_g = d.table_.at(g);
        c.level = std::min(at_f.level, at_g.level);
        for (const bool high : {false, true}) c.cofactors[high] = {cofactor(f, at_f, c.level, high), cofactor(g, at_g, c.level, high)};
        return std::nullopt;
    }

    BothCall child(const BothCall& c) const { return {.of = c.cofactors[c.stage]}; }

    Edge finish(const BothCall& c) const {
        const Edge result = d.make(c.level, c.results[0], c.results[1]);
        d.cache_.grow(d.table_.size());
        d.cache_.insert({c.of.f, c.of.g, no}, result);
        return result;
    }
};

/// Whether both hold anywhere: "no" where they do not, which is then known of `both` too. Where they do stands under a key that no other operation has.
struct Diagrams::Meet {
    static constexpr std::uint32_t children = 2;
    static constexpr Edge somewhere = 0xfffffffe;
    Diagrams& d;

    std::optional<Edge> known(BothCall& c) const {
        if (c.of.f > c.of.g) std::swap(c.of.f, c.of.g);
        if (d.cache_.find({c.of.f, c.of.g, somewhere})) return yes;
        return Both{d}.known(c);
    }

    /// Where the first has found something, the second need not look.
    BothCall child(const BothCall& c) const { return {.of = c.stage == 1 && c.results[0] != no ? Pair{yes, yes} : c.cofactors[c.stage]}; }

    Edge finish(const BothCall& c) const {
        const Edge result = c.results[1];
        d.cache_.insert({c.of.f, c.of.g, result == no ? no : somewhere}, result);
        return result;
    }
};

struct Diagrams::IfThenElse {
    static constexpr std::uint32_t children = 2;
    Diagrams& d;

    /// Brings the call into normal form. Known without a step where it is trivial or was met before.
    std::optional<Edge> known(IfThenElseCall& c) const {
        if (c.f == yes) return c.g;
        if (c.f == no) return c.h;
        if (c.g == c.f) c.g = yes;
        if (c.g == (c.f ^ 1)) c.g = no;
        if (c.h == c.f) c.h = no;
        if (c.h == (c.f ^ 1)) c.h = yes;
        if (c.g == c.h) return c.g;
        if (c.g == yes && c.h == no) return c.f;
        if (c.g == no && c.h == yes) return c.f ^ 1;
        // Symmetric in two operands: the one made first leads.
        if (c.g == yes && before(c.h, c.f)) std::swap(c.f, c.h);                                              // f or h
        else if (c.h == no && before(c.g, c.f)) std::swap(c.f, c.g);                                          // f and g
        else if (c.g == no && before(c.h, c.f)) c = {.f = c.h ^ 1, .g = no, .h = c.f ^ 1};                    // not f and h
        else if (c.h == yes && before(c.g, c.f)) c = {.f = c.g ^ 1, .g = c.f ^ 1, .h = yes};                  // not f or g
        else if (c.g == (c.h ^ 1) && before(c.g, c.f)) c = {.f = c.g, .g = c.f, .h = c.f ^ 1};                // f equals g
        if (c.f & 1) {
            c.f ^= 1;
            std::swap(c.g, c.h);
        }
        c.negate = c.g & 1;
        if (c.negate) {
            c.g ^= 1;
            c.h ^= 1;
        }
        if (const auto* result = d.cache_.find({c.f, c.g, c.h})) return *result ^ static_cast<Edge>(c.negate);
        d.table_.count_step();
        return std::nullopt;
    }

    IfThenElseCall child(const IfThenElseCall& c) const {
        const std::uint32_t level = top_level(c);
        const auto of = [&](Edge e) { return cofactor(e, d.table_.at(e), level, c.stage == 1); };
        return {.f = of(c.f), .g = of(c.g), .h = of(c.h)};
    }

    Edge finish(const IfThenElseCall& c) const {
        const Edge result = d.make(top_level(c), c.results[0], c.results[1]);
        d.cache_.grow(d.table_.size());
        d.cache_.insert({c.f, c.g, c.h}, result);
        return result ^ static_cast<Edge>(c.negate);
    }

    static bool before(Edge a, Edge b) { return a >> 1 < b >> 1; }
    std::uint32_t top_level(const IfThenElseCall& c) const { return std::min({d.table_.at(c.f).level, d.table_.at(c.g).level, d.table_.at(c.h).level}); }
};

Diagram Diagrams::all(Diagram f, Diagram g) { return {detail::descend(Both{*this}, both_, BothCall{.of = {f.edge, g.edge}})}; }

bool Diagrams::implies(Diagram f, Diagram g) { return detail::descend(Meet{*this}, both_, BothCall{.of = {f.edge, g.edge ^ 1}}) == no; }

Diagram Diagrams::if_then_else(Diagram f, Diagram g, Diagram h) {
    if (g == always) return any(f, h);
    if (g == never) return all(!f, h);
    if (h == always) return any(!f, g);
    if (h == never) return all(f, g);
    return {detail::descend(IfThenElse{*this}, if_then_else_, IfThenElseCall{.f = f.edge, .g = g.edge, .h = h.edge})};
}

Diagram Diagrams::at_least(std::uint32_t k, std::span<const Diagram> operands) {
    if (k > operands.size()) return never;
    std::vector<Diagram> sorted(operands.begin(), operands.end());
    // From the lowest variables up, so that what is put on top seldom disturbs what is below.
    std::ranges::stable_sort(sorted, std::ranges::greater{}, [&](Diagram f) { return level(f); });
    if (k == 1) {
        Diagram some = never;
        for (const Diagram f : sorted) some = any(f, some);
        return some;
    }
    if (k == sorted.size()) {
        Diagram every = always;
        for (const Diagram f : sorted) every = all(f, every);
        return every;
    }
    // at_least_j of those so far, for j from 0; whether the next one holds moves j by one.
    std::vector<Diagram> so_far(std::size_t{k} + 1, never);
    so_far[0] = always;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const std::size_t left = sorted.size() - 1 - i;
        // No more than i + 1 can hold yet; what those left cannot bring to k need not be known.
        for (std::size_t j = std::min<std::size_t>(k, i + 1); j > 0 && j + left >= k; --j) so_far[j] = if_then_else(sorted[i], so_far[j - 1], so_far[j]);
    }
    return so_far[k];
}

Diagram Diagrams::restrict(Diagram f, std::uint32_t variable, bool value) {
    if (is_constant(f.edge)) return f;
    const std::vector<std::uint32_t> nodes = walk(f);
    std::vector<Edge> became((f.edge >> 1) + 1);  // of a node's plain edge
    const auto edge = [&](Edge e) { return became[e >> 1] ^ (e & 1); };
    for (const std::uint32_t n : nodes) {
        const detail::DecisionNode node = table_[n];
        if (node.level > variable)
            became[n] = n << 1;
        else if (node.level == variable)
            became[n] = value ? node.high : node.low;
        else
            became[n] = make(node.level, edge(node.low), edge(node.high));
    }
    return {edge(f.edge)};
}

bool Diagrams::value(Diagram f, const std::vector<bool>& values) const {
    Edge e = f.edge;
    while (!is_constant(e)) {
        const detail::DecisionNode& n = table_.at(e);
        e = (values[n.level] ? n.high : n.low) ^ (e & 1);
    }
    return e == yes;
}

std::size_t Diagrams::nodes(Diagram f) const { return walk(f).size(); }

std::uint64_t Diagrams::models(Diagram f) const {
    // Of a node and of its negation, over the variables from its level on; apart, since a saturated count cannot be taken from another.
    struct Models {
        std::uint64_t of[2];
    };
    std::vector<Models> models((f.edge >> 1) + 1);
    models[0] = {{0, 1}};
    const auto depth = [&](Edge e) { return std::min(table_.at(e).level, variables_); };
    for (const std::uint32_t n : walk(f)) {
        const detail::DecisionNode& node = table_[n];
        for (const Edge negated : {0u, 1u}) {
            std::uint64_t sum = 0;
            for (const Edge e : {node.low, node.high})
                sum = sum_or_most(sum, doubled_or_most(models[e >> 1].of[(e & 1) ^ negated], depth(e) - node.level - 1));
            models[n].of[negated] = sum;
        }
    }
    return doubled_or_most(models[f.edge >> 1].of[f.edge & 1], depth(f.edge));
}

void Diagrams::keep_only(std::span<Diagram> functions) {
    std::vector<Edge> roots;
    for (const Diagram f : functions) roots.push_back(f.edge);
    const std::vector<std::uint32_t> renamed = table_.keep_only(roots);
    for (Diagram& f : functions) f.edge = renamed[f.edge >> 1] << 1 | (f.edge & 1);
    cache_.clear();
}

Diagram diagram_of(const Formula& formula, Diagrams& d) { return detail::Conversion(formula, d).run(); }

}  // namespace fedfrom
