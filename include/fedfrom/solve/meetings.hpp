/// Where events of one step meet, so that only what meets need be settled together.
///
/// Everything that decides something is a *place*: a gate, a memory cell, a holder, a link a fault can
/// run along, a zone, a trip, a store that empties, and each function with all that only judges it. What
/// a place gives at a moment it decides from what it reads at that moment.
///
/// Write a variable's value at a moment as a sum over sets of events (trace.hpp). An event *comes to* a place if
/// it is in a set whose coefficient is 1, at any moment, for something the place reads. Then: *of a combination
/// that comes to no place whole, every place gives at every moment what it gives with those of its events alone that
/// come to it.* By induction over the moments: with these, the place reads the same as with all, since no other has a
/// coefficient there; so its own output has no coefficient for the whole combination, and for no set of events
/// that do not all come to it. A function then stands at the level at which a smaller combination has it, and what
/// crosses no threshold in a part crosses none here: nothing new is minimal, nothing hunts. Where three events come whole to goals alone,
/// each variable that a goal is judged by is in the end the sum of its coefficients, which are all of fewer events, so that they need not be settled either.
///
/// Moments. Passes are in step whatever the combination, since memory moves together, after the pass. Within a pass
/// a trip (or a store that empties) somewhere begins the faults anew everywhere; but that only repeats what
/// was, from an empty zone with the same memory, up to where something else trips. So each set of events goes through
/// the same stages with others about as without, some of them more than once, and moments are
/// counted by stage. Traced blocks begin anew in all lanes together, so that their stages fall together. A loop is swept gate by gate, in step
/// whatever the combination, and the trace told of every value on the way: each sweep is a moment, and a lane that rests stays as it is in
/// those to come; where a holder drops out the loop begins anew in all lanes, which again only repeats what was. So does a loop swept anew because something changed
/// in another lane, unless positions in it now stay as they stand, which makes other ways: traced, every trial sweeps such a loop, changed or not. Where a zone
/// comes back (rule M12) the whole of it is compared, and what hunts is frozen by its whole story: such events are
/// *wild*, and meet everything.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/compiled.hpp>
#include <fedfrom/solve/by_variable.hpp>
#include <fedfrom/solve/place_sets.hpp>
#include <fedfrom/solve/trace.hpp>

namespace fedfrom::detail {

/// Who reads what: places by variable, and beyond the variables by link, for the fault that arrives over it.
class Places {
public:
    /// `leaves`: as many things besides that are no places, but of which it is kept likewise which events change them in the end.
    Places(const Compiled& c, std::span<const std::uint32_t> goals, std::uint32_t leaves = 0) : c_(c), traced_(c) {
        gates();
        memory();
        faults();
        first_goal_ = count_;
        for (const std::uint32_t goal : goals) judging(goal);
        first_leaf_ = (count_ + 63) / 64 * 64;
        count_ = first_leaf_ + leaves;
        readers_ = ByVariable(reads_, traced_.count);
        reads_ = {};
    }

    std::uint32_t count() const { return count_; }
    /// From here on places are goals.
    std::uint32_t first_goal() const { return first_goal_; }
    /// Where another event has to come to so that the two meet here on top of a third (on_top.hpp): here too, but at a zone. That is two places, where
    /// something comes to it at all and where it comes against it.
    std::uint32_t partner(std::uint32_t place) const { return place < first_zone_ || place >= last_zone_ ? place : first_zone_ + ((place - first_zone_) ^ 1); }
    /// From here on they are leaves; it is a multiple of 64.
    std::uint32_t first_leaf() const { return first_leaf_; }
    std::span<const std::uint32_t> of(std::uint32_t traced) const { return readers_.of(traced); }

private:
    const Compiled& c_;
    const Traced traced_;
    std::uint32_t count_ = 0, first_zone_ = 0, last_zone_ = 0, first_goal_ = 0, first_leaf_ = 0;
    std::vector<std::pair<Variable, std::uint32_t>> reads_;
    ByVariable readers_;

    void reads(Variable v) { reads_.emplace_back(v, count_); }
    void reads(Literal l) { reads(l.variable()); }
    void reads_operands(std::uint32_t g) {
        for (const Literal l : c_.program.operands_of(c_.program.gates[g])) reads(l);
    }
    void reads_loop(const Component& loop) {
        for (std::uint32_t g = loop.first; g < loop.last; ++g) reads_operands(g);
        for (std::uint32_t h = loop.first_holder; h < loop.last_holder; ++h) reads(c_.program.holders[h].holding);
    }

    /// What comes after the commands only judges.
    void gates() {
        for (; count_ < c_.command_gates.last; ++count_) reads_operands(count_);
        for (const Holder& h : c_.program.holders) reads_.emplace_back(h.holding, h.gate);
    }

    void memory() {
        for (const MemoryCell& cell : c_.memory_cells) {
            for (std::uint32_t p = 0; p < cell.sent.size(); ++p) {
                reads(cell.sent[p]);
                reads(c_.elements[cell.element].held + p);
            }
            ++count_;
        }
        for (const std::uint32_t h : c_.holders) {
            reads(c_.elements[h].supplied);
            reads(c_.elements[h].holding);
            ++count_;
        }
        for (const std::uint32_t e : c_.storing) {
            reads(c_.elements[e].empty);
            for (std::uint32_t z = c_.elements[e].zones.first; z < c_.elements[e].zones.last; ++z) reads(c_.zones[z].variable);
            ++count_;
        }
    }

    /// A link decides what arrives over it. What that then trips hangs on all that arrives at a device, and so does what comes past the devices of a
    /// link, which reads no more than their trips do. What is dragged down hangs on all that comes to it.
    void faults() {
        std::vector<std::vector<std::uint32_t>> into(c_.zones.size()), past(c_.elements.size());
        for (std::uint32_t l = 0; l < c_.links.size(); ++l, ++count_) {
            const Link& link = c_.links[l];
            reads(c_.zones[link.from_zone].variable);
            reads(c_.zones[link.from_zone].seed);
            reads(c_.elements[link.to].supplied);
            for (std::uint32_t i = link.conducts.first; i < link.conducts.last; ++i) reads(c_.link_literals[i]);
            if (link.feed != none) reads_port(c_.ports[c_.feeds[link.feed].port]);
            into[link.to_zone].push_back(l);
            for (std::uint32_t i = link.devices.first; i < link.devices.last; ++i) past[c_.link_devices[i]].push_back(l);
        }
        first_zone_ = count_;
        for (std::uint32_t z = 0; z < c_.zones.size(); ++z)
            for (const bool against : {false, true}) {
                reads(c_.zones[z].variable);
                reads(c_.zones[z].seed);
                if (against) reads(traced_.zones + z);
                else
                    for (const std::uint32_t l : into[z]) reads(traced_.past + l);
                ++count_;
            }
        last_zone_ = count_;
        for (const std::uint32_t e : c_.protecting) {
            reads(c_.elements[e].tripped);
            for (const std::uint32_t l : past[e]) {
                reads(traced_.links + l);
                for (std::uint32_t i = c_.links[l].devices.first; i < c_.links[l].devices.last; ++i) reads(c_.elements[c_.link_devices[i]].works);
            }
            ++count_;
        }
    }

    /// Which of its alternatives is live (rule M9), which may take evaluating its loop without it.
    void reads_port(const PortInfo& port) {
        if (!port.changeover) return;
        const ElementInfo& e = c_.elements[port.element];
        reads(e.supplied);
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
            reads(c_.feeds[f].path);
            reads(c_.elements[c_.feeds[f].upstream].supplied);
        }
        const Component& loop = c_.program.components[e.component];
        if (loop.cyclic) reads_loop(loop);
    }

    /// A function, with the functions whose level it reads.
    void judging(std::uint32_t goal) {
        const Program& p = c_.program;
        std::vector<Variable> todo;
        std::vector<bool> seen(p.variables(), false);
        const auto judge = [&](std::uint32_t function) {
            for (const ModeInfo& m : c_.functions[function].modes) todo.push_back(m.when.variable());
        };
        judge(goal);
        while (!todo.empty()) {
            const Variable v = todo.back();
            todo.pop_back();
            if (seen[v]) continue;
            seen[v] = true;
            reads(v);
            for (const LevelInput& in : c_.level_inputs)
                if (in.variable == v) judge(in.function);
            if (v >= p.output(c_.command_gates.last))
                for (const Literal l : p.operands_of(p.gates[v - p.inputs])) todo.push_back(l.variable());
        }
        ++count_;
    }
};

/// A set of events, as words.
using EventSet = std::vector<std::uint64_t>;

inline bool has(const EventSet& set, std::uint32_t e) { return set[e / 64] >> (e % 64) & 1; }
inline std::uint64_t size_of(const EventSet& set) {
    std::uint64_t n = 0;
    for (const std::uint64_t word : set) n += static_cast<std::uint64_t>(std::popcount(word));
    return n;
}
template <class Call>
void each_of(const EventSet& set, Call call) {
    for (std::uint32_t w = 0; w < set.size(); ++w)
        for (std::uint64_t rest = set[w]; rest; rest &= rest - 1) call(64 * w + static_cast<std::uint32_t>(std::countr_zero(rest)));
}

/// Which events come to which places, as far as it is known.
class Meetings {
public:
    /// An event that comes to a place.
    struct Coming {
        std::uint32_t place, event;
    };

    Meetings(const Compiled& c, std::span<const std::uint32_t> goals, std::uint32_t events, std::uint32_t leaves)
        : places_(c, goals, leaves), words_((events + 63) / 64), wild_(words_), row_(places_.count(), none), at_(events) {}

    const Places& places() const { return places_; }
    bool comes(std::uint32_t event, std::uint32_t place) const { return row_[place] != none && has(rows_[row_[place]], event); }

    void add(const Coming& coming) {
        if (row_[coming.place] == none) {
            row_[coming.place] = static_cast<std::uint32_t>(rows_.size());
            rows_.emplace_back(words_);
        }
        rows_[row_[coming.place]][coming.event / 64] |= std::uint64_t{1} << (coming.event % 64);
    }
    /// Where an event comes to: a bit a place.
    std::vector<std::uint64_t> where(std::uint32_t event) const {
        std::vector<std::uint64_t> set(places_.count() / 64 + 1);
        for (std::uint32_t place = 0; place < places_.count(); ++place)
            if (comes(event, place)) set[place / 64] |= std::uint64_t{1} << (place % 64);
        return set;
    }
    /// Where more than one does, likewise.
    std::vector<std::uint64_t> shared() const {
        std::vector<std::uint64_t> set(places_.count() / 64 + 1);
        for (std::uint32_t place = 0; place < places_.first_leaf(); ++place)
            if (row_[place] != none && size_of(rows_[row_[place]]) > 1)
                for (const std::uint32_t p : {place, places_.partner(place)}) set[p / 64] |= std::uint64_t{1} << (p % 64);
        return set;
    }
    void add_wild(std::uint32_t event) { wild_[event / 64] |= std::uint64_t{1} << (event % 64); }

    /// After what was added: the sets of events that come together somewhere, each once and without those that are part of another.
    void gather() {
        together_.clear();
        for (std::uint32_t place = 0; place < places_.first_goal(); ++place)
            if (row_[place] != none) together_.push_back(rows_[row_[place]]);
        std::ranges::sort(together_);
        together_.erase(std::unique(together_.begin(), together_.end()), together_.end());
        const auto within = [](const EventSet& part, const EventSet& whole) { return std::ranges::equal(part, whole, [](std::uint64_t p, std::uint64_t w) { return (p & ~w) == 0; }); };
        std::vector<EventSet> greatest;
        for (const EventSet& set : together_)
            if (std::ranges::none_of(together_, [&](const EventSet& other) { return &other != &set && within(set, other); })) greatest.push_back(set);
        together_ = std::move(greatest);
        for (auto& list : at_) list.clear();
        for (std::uint32_t i = 0; i < together_.size(); ++i)
            for (std::uint32_t e = 0; e < at_.size(); ++e)
                if (has(together_[i], e)) at_[e].push_back(i);
    }

    /// Calls with each set of events that come together somewhere, `e` among them.
    template <class Call>
    void each_with(std::uint32_t e, Call call) const {
        for (const std::uint32_t i : at_[e]) call(together_[i]);
    }
    std::uint32_t together() const { return static_cast<std::uint32_t>(together_.size()); }
    std::span<const std::uint32_t> with(std::uint32_t e) const { return at_[e]; }
    /// Those that come to a place; none: null.
    const EventSet* at(std::uint32_t place) const { return row_[place] == none ? nullptr : &rows_[row_[place]]; }
    const EventSet* at_goal(std::uint32_t goal) const { return at(places_.first_goal() + goal); }
    const EventSet& wild() const { return wild_; }
    bool any_wild() const { return std::ranges::any_of(wild_, [](std::uint64_t w) { return w != 0; }); }

private:
    Places places_;
    std::size_t words_;
    EventSet wild_;
    std::vector<std::uint32_t> row_;           // by place: in `rows_`
    std::vector<EventSet> rows_;
    std::vector<EventSet> together_;
    std::vector<std::vector<std::uint32_t>> at_;  // by event: in `together_`
};

}  // namespace fedfrom::detail
