// A bound on the far side of a truncated product, by the recursion of the product itself.
//
// With x the higher of the top variables, the sets of f + g that are too heavy are those
// without x, and those with it, which are too heavy for what x leaves of the limit. Once any set is too
// heavy it is a matter of f and g alone, and where those share no level, "some set of f and some
// set of g" is a product of probabilities. Sums stand for unions all along, and "some set of f" alone caps every
// sum: all of it errs upwards.
#include <algorithm>
#include <optional>

#include "logic/left_out.hpp"

namespace fedfrom {

namespace {
constexpr std::size_t most_known = std::size_t{1} << 16;  // then the cap alone is the bound
}

/// Of all nodes that are new.
void LeftOut::note_below() {
    if (below_.empty()) below_ = {{0, 0}, {1, 0}};
    for (auto n = static_cast<std::uint32_t>(below_.size()); n < s_.nodes(); ++n) {
        const detail::DecisionNode& node = s_.node(n);
        const Below &low = below_[node.low >> 1], &high = below_[node.high >> 1];
        below_.push_back({low.sum + p_[node.level] * high.sum, std::max({node.level + 1, low.deepest, high.deepest})});
    }
}

double LeftOut::least(Family f, Family g) const { return std::min({1.0, below_[f.edge >> 1].sum, below_[g.edge >> 1].sum}); }

struct LeftOut::Kernel {
    static constexpr std::uint32_t children = 4;
    LeftOut& l;

    std::optional<double> known(Call& c) const {
        const Families& s = l.s_;
        if (c.f == Families::none || c.g == Families::none) return 0;
        if (!c.all) {
            const std::uint64_t heaviest = std::uint64_t{s.heaviest(c.f)} + s.heaviest(c.g);
            if (heaviest <= c.most) return 0;
            c.all = std::max(s.lightest(c.f), s.lightest(c.g)) > c.most;
        }
        if (c.all) {
            c.most = 0;
            const Below &f = l.below_[c.f.edge >> 1], &g = l.below_[c.g.edge >> 1];
            if (f.deepest <= s.node(c.g).level || g.deepest <= s.node(c.f).level) return std::min(l.least(c.f, c.g), f.sum * g.sum);
        }
        if (c.g.edge < c.f.edge) std::swap(c.f, c.g);
        if (const auto at = l.known_.find(key(c)); at != l.known_.end()) return at->second;
        if (l.known_.size() >= most_known) return l.least(c.f, c.g);
        return std::nullopt;
    }

    Call child(const Call& c) const {
        const Families& s = l.s_;
        const std::uint32_t level = std::min(s.node(c.f).level, s.node(c.g).level);
        const bool with = c.stage > 0;
        const bool all = c.all || (with && s.weight(level) > c.most);
        const std::uint32_t most = all ? 0 : with ? c.most - s.weight(level) : c.most;
        const Family f = c.stage == 1 || c.stage == 2 ? s.high(c.f, level) : s.low(c.f, level);
        const Family g = c.stage == 1 || c.stage == 3 ? s.high(c.g, level) : s.low(c.g, level);
        return {.f = f, .g = g, .most = most, .all = all};
    }

    double finish(const Call& c) const {
        const Families& s = l.s_;
        const double x = l.p_[std::min(s.node(c.f).level, s.node(c.g).level)];
        const double sum = c.results[0] + x * std::min(1.0, c.results[1] + c.results[2] + c.results[3]);
        return l.known_[key(c)] = std::min(sum, l.least(c.f, c.g));
    }

    static Key key(const Call& c) { return {c.f.edge | static_cast<std::uint32_t>(c.all), c.g.edge, c.most}; }
};

double LeftOut::bound(Family f, Family g, std::uint32_t most) {
    note_below();
    known_.clear();
    return detail::descend(Kernel{*this}, stack_, Call{.f = f, .g = g, .most = most});
}

}  // namespace fedfrom
