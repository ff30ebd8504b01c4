// Sets of losses are tried by size, 1 to 3; the first size at which a function is lost is its number. Losses may
// also help (what goes because something is lost), so a set is never judged by its parts.
//
// A smallest set lies within the function's *cone*: what it depends on, however indirectly. Without what lies outside,
// the function would stand the same, and the set would not be the smallest. So a set is tried only if the cone
// of some function not yet cut holds all of it. Where a fault is spreading or something hunts, what depends on what is
// not that plain, and every set is tried.
#include "sources_left.hpp"

#include <algorithm>
#include <array>
#include <span>
#include <utility>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/cone.hpp>

#include "goal_formula.hpp"
#include "variations.hpp"

namespace fedfrom::detail {
namespace {

bool counts(const Compiled& c, const ElementInfo& e) {
    if (!e.fitted || only_has_position(*e.element)) return false;
    if (failure_of(c, e, "loss") == none) return false;
    switch (e.element->kind) {
        case Kind::generator: case Kind::starter_generator: case Kind::alternator:
        case Kind::inverter: case Kind::transformer_rectifier: case Kind::charger:
        case Kind::pump: case Kind::motor: case Kind::controller: return true;
        default: return row(e.element->kind).source || e.ports.size() == 0;
    }
}

Variable loss_of(const Compiled& c, std::uint32_t e) { return c.failures[failure_of(c, c.elements[e], "loss")].variable; }

/// A set of small numbers, as words of 64 bits.
class Bits {
public:
    explicit Bits(std::size_t size) : words_((size + 63) / 64) {}
    void insert(std::size_t i) { words_[i / 64] |= std::uint64_t{1} << (i % 64); }
    void erase(std::size_t i) { words_[i / 64] &= ~(std::uint64_t{1} << (i % 64)); }
    bool contains(std::size_t i) const { return (words_[i / 64] >> (i % 64) & 1) != 0; }
    Bits operator&(const Bits& other) const {
        Bits both = *this;
        for (std::size_t w = 0; w < words_.size(); ++w) both.words_[w] &= other.words_[w];
        return both;
    }
    bool empty() const {
        return std::ranges::all_of(words_, [](std::uint64_t w) { return w == 0; });
    }

private:
    std::vector<std::uint64_t> words_;
};

/// What may be gone: a function lost or unknown, or an element not surely supplied.
struct Goal {
    std::uint32_t function = none, element = none;
};

class Counter {
public:
    Counter(const Outcome& from, std::vector<Goal> goals, std::size_t most)
        : from_(from), c_(from.network().compiled()), goals_(std::move(goals)), most_(most), trials_(from.state(), functions()), counts_(goals_.size()), open_(goals_.size()) {
        for (const std::uint32_t e : sources_controllers_drives(c_))
            if (!any(from.state().memory()[loss_of(c_, e)])) candidates_.push_back(e);
        if (goals_.size() == 1) std::erase(candidates_, goals_.front().element);
        find_cones();
    }

    std::vector<SourceCount> run() {
        for (std::size_t g = 0; g < goals_.size(); ++g) {
            if (!gone_now(goals_[g])) open_.insert(g);
        }
        note_kept_without();
        for (int size = 1; size <= most_sources_counted && !open_.empty(); ++size)
            if (!search(size)) {
                finish(size, false);
                return std::move(counts_);
            }
        finish(most_sources_counted + 1, true);
        return std::move(counts_);
    }

private:
    const Outcome& from_;
    const Compiled& c_;
    const std::vector<Goal> goals_;
    std::size_t most_;
    Variations trials_;
    bool hunts_ = false;       // something has hunted in a trial
    std::vector<std::uint32_t> candidates_;
    std::vector<Bits> cones_;  // by candidate: the goals whose cone it is in
    std::vector<SourceCount> counts_;  // by goal
    Bits open_;  // goals not yet cut

    std::vector<std::uint32_t> functions() const {
        std::vector<std::uint32_t> list;
        for (const Goal& g : goals_)
            if (g.function != none) list.push_back(g.function);
        return list;
    }

    static bool gone(const Judgement& j) { return j.level != Level::normal && j.level != Level::degraded; }
    bool gone_now(const Goal& g) const {
        if (g.function == none) return !from_.truth(c_.elements[g.element].supplied).value_or(false);
        return gone(from_.judged()[g.function]);
    }
    bool gone_in(const Goal& g, std::size_t trial) const {
        if (g.function == none) return !trials_.truth(c_.elements[g.element].supplied, trial).value_or(false);
        return gone(trials_.judged(g.function, trial));
    }

    Writes losses(std::span<const std::uint32_t> lost) const {
        Writes writes;
        for (const std::uint32_t e : lost) writes.push_back({loss_of(c_, e), true});
        return writes;
    }

    void find_cones() {
        cones_.assign(candidates_.size(), Bits(goals_.size()));
        const auto faulty = [&](const ZoneInfo& z) { return z.seed != never && from_.truth(z.seed).value_or(true); };
        const bool all = !from_.hunting().empty() || std::ranges::any_of(c_.zones, faulty);
        for (std::size_t g = 0; g < goals_.size(); ++g) {
            const bool function = goals_[g].function != none;
            const Cone cone = function ? cone_of(c_, with_those_read(c_, goals_[g].function), false)
                                       : cone_of(c_, {}, false, std::array{c_.elements[goals_[g].element].supplied.variable()});
            for (std::size_t i = 0; i < candidates_.size(); ++i)
                if (all || cone.inputs[loss_of(c_, candidates_[i])]) cones_[i].insert(g);
        }
    }

    void note_kept_without() {
        trials_.settle(std::array{losses(candidates_)});
        hunts_ |= trials_.hunts(0);
        for (std::size_t g = 0; g < goals_.size(); ++g) counts_[g].kept_without = !gone_in(goals_[g], 0);
    }

    /// Calls with every set of this size that may matter; stops where the call says so.
    template <class Call>
    bool each_set(int size, const Call& call) {
        std::vector<std::uint32_t> set;
        const std::size_t n = candidates_.size();
        const bool everything = hunts_;
        for (std::size_t i = 0; i < n; ++i) {
            const Bits one = cones_[i] & open_;
            if (!everything && one.empty()) continue;
            set = {candidates_[i]};
            if (size == 1 && !call(set)) return false;
            for (std::size_t j = i + 1; size > 1 && j < n; ++j) {
                const Bits two = one & cones_[j];
                if (!everything && two.empty()) continue;
                set = {candidates_[i], candidates_[j]};
                if (size == 2 && !call(set)) return false;
                for (std::size_t k = j + 1; size > 2 && k < n; ++k) {
                    if (!everything && (two & cones_[k]).empty()) continue;
                    set = {candidates_[i], candidates_[j], candidates_[k]};
                    if (!call(set)) return false;
                }
            }
        }
        return true;
    }

    /// Whether every set of this size could be tried.
    bool search(int size) {
        std::size_t sets = 0;
        const std::size_t left = most_ - std::min(most_, trials_.settled());
        if (!each_set(size, [&](const auto&) { return ++sets <= left; })) return false;
        const bool hunted = hunts_;
        std::vector<std::vector<std::vector<std::string>>> found(goals_.size());
        std::vector<std::vector<std::uint32_t>> waiting;
        const auto look = [&] {
            std::vector<Writes> writes;
            for (const auto& set : waiting) writes.push_back(losses(set));
            trials_.settle(writes);
            for (std::size_t i = 0; i < waiting.size(); ++i) {
                hunts_ |= trials_.hunts(i);
                for (std::size_t g = 0; g < goals_.size(); ++g) {
                    if (!open_.contains(g) || !gone_in(goals_[g], i)) continue;
                    std::vector<std::string> ids;
                    for (const std::uint32_t e : waiting[i]) ids.push_back(*c_.elements[e].id);
                    found[g].push_back(std::move(ids));
                }
            }
            waiting.clear();
            return hunts_ == hunted;  // from the first that hunts on, every set must be tried: begin again
        };
        const auto collect = [&](const std::vector<std::uint32_t>& set) {
            waiting.push_back(set);
            return waiting.size() < Variations::at_once || look();
        };
        if (!each_set(size, collect) || (!waiting.empty() && !look())) return search(size);
        for (std::size_t g = 0; g < goals_.size(); ++g)
            if (!found[g].empty()) {
                counts_[g].count = size;
                counts_[g].sets = std::move(found[g]);
                open_.erase(g);
            }
        return true;
    }

    void finish(int count, bool exact) {
        for (std::size_t g = 0; g < goals_.size(); ++g)
            if (open_.contains(g)) {
                counts_[g].count = count;
                counts_[g].exact = exact;
            }
    }
};

}  // namespace

std::vector<std::uint32_t> sources_controllers_drives(const Compiled& c) {
    std::vector<std::uint32_t> list;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (counts(c, c.elements[e])) list.push_back(e);
    return list;
}

std::vector<SourceCount> count_sources(const Outcome& from, const std::vector<std::uint32_t>& goals, std::size_t most_settles) {
    std::vector<Goal> list;
    for (const std::uint32_t f : goals) list.push_back({.function = f});
    std::vector<SourceCount> found = Counter(from, list, most_settles).run(), by_function(from.network().compiled().functions.size());
    for (std::size_t g = 0; g < goals.size(); ++g) by_function[goals[g]] = std::move(found[g]);
    return by_function;
}

SourceCount count_sources_of(const Outcome& from, std::uint32_t element, std::size_t most_settles) {
    return Counter(from, {{.element = element}}, most_settles).run().front();
}

}  // namespace fedfrom::detail
