#include <fedfrom/study/what_works.hpp>

#include <algorithm>
#include <set>

#include "copies.hpp"
#include "sources.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

bool surely_supplied(const Outcome& out, std::uint32_t e) { return out.status(ElementHandle{e}) == Status::supplied; }

FunctionLine line_of(const Outcome& out, Tracer& tracer, std::uint32_t f) {
    const Compiled& c = out.network().compiled();
    const FunctionInfo& info = c.functions[f];
    const Judgement& judged = out.judged()[f];
    FunctionLine line{.id = *info.id, .name = info.function->name, .group = info.function->group, .level = judged.level,
                      .now = judged.now, .demand = demand_text(c, info.demand)};
    if (const auto said = info.function->severity.find(judged.level); said != info.function->severity.end()) line.severity = said->second;
    if (judged.mode == none) {
        line.sources.sure = judged.level == Level::lost || judged.level == Level::not_fitted;
        return line;
    }
    const ModeInfo& mode = info.modes[judged.mode];
    line.mode = *mode.id;
    line.mode_name = mode_name(mode);
    line.crew = mode.mode->crew;
    line.effects = mode.mode->effects;
    line.supports = tracer.supports(f);
    line.sources = Tracer::joined(line.supports);
    return line;
}

ElementLine line_of(const Outcome& out, SourceFinder& finder, std::uint32_t e) {
    const ElementInfo& info = out.network().compiled().elements[e];
    ElementLine line{.id = *info.id, .name = info.element->name, .status = out.status(ElementHandle{e}), .passing = passing(out, e)};
    if (info.fitted && !info.positions.empty()) line.position = out.position(ElementHandle{e}).value_or("unknown");
    line.tripped = info.tripped && out.truth(Literal::of(info.tripped)).value_or(false);
    line.sources = finder.of(e);
    return line;
}

/// What would go with the stores, and which store each hangs on.
class StoredEnergy {
public:
    StoredEnergy(const Outcome& out, Tracer& tracer) : out_(out), c_(out.network().compiled()), tracer_(tracer), stores_(stores_left(out.state())) {}

    std::vector<StoredLine> lines() {
        std::vector<StoredLine> list;
        if (stores_.empty()) return list;
        const Outcome without = spent(out_.state(), stores_);
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f) {
            const Level now = out_.judged()[f].level, then = without.judged()[f].level;
            if (now > Level::degraded || then <= now) continue;
            std::set<std::uint32_t> stores;
            const std::uint32_t demand = c_.functions[f].demand;
            for (const Support& s : tracer_.supports(f)) add_stores(stores, tracer_.finder(demand), out_.network().element(s.element).index);
            if (stores.empty()) stores = those_that([&](const Outcome& o) { return o.judged()[f].level > now; });
            list.push_back({*c_.functions[f].id, c_.functions[f].function->name, true, now, then, ids(stores)});
        }
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            if (!surely_supplied(out_, e) || surely_supplied(without, e) || std::ranges::binary_search(stores_, e)) continue;
            std::set<std::uint32_t> stores;
            add_stores(stores, tracer_.finder(), e);
            if (stores.empty()) stores = those_that([&](const Outcome& o) { return !surely_supplied(o, e); });
            const bool unknown = without.status(ElementHandle{e}) == Status::unknown;
            list.push_back({*c_.elements[e].id, c_.elements[e].element->name, false, Level::normal, unknown ? Level::unknown : Level::lost, ids(stores)});
        }
        return list;
    }

private:
    const Outcome& out_;
    const Compiled& c_;
    Tracer& tracer_;
    std::vector<std::uint32_t> stores_;
    std::vector<Outcome> one_spent_;  // by store, once asked for

    void add_stores(std::set<std::uint32_t>& into, SourceFinder& finder, std::uint32_t e) const {
        for (const std::uint32_t s : finder.indices(e))
            if (std::ranges::binary_search(stores_, s)) into.insert(s);
    }

    /// It is not fed by a store, but something on its way is moved by one: the stores that take it along when
    /// spent alone, or any of them where no single one does.
    template <class Gone>
    std::set<std::uint32_t> those_that(Gone gone) {
        if (one_spent_.empty())
            for (const std::uint32_t s : stores_) one_spent_.push_back(spent(out_.state(), {s}));
        std::set<std::uint32_t> found;
        for (std::size_t i = 0; i < stores_.size(); ++i)
            if (gone(one_spent_[i])) found.insert(stores_[i]);
        return found.empty() ? std::set<std::uint32_t>(stores_.begin(), stores_.end()) : found;
    }

    std::vector<std::string> ids(const std::set<std::uint32_t>& stores) const {
        std::vector<std::string> list;
        for (const std::uint32_t s : stores) list.push_back(*c_.elements[s].id);
        return list;
    }
};

std::vector<FailureRef> failures_in(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    std::vector<FailureRef> list;
    for (const FailureInfo& f : c.failures) {
        if (!any(out.state().memory()[f.variable])) continue;
        FailureRef ref{.element = *c.elements[f.element].id, .mode = f.mode};
        if (f.sticks) ref.at = out.position(ElementHandle{f.element}).value_or("");
        list.push_back(std::move(ref));
    }
    return list;
}

/// Not failed itself and not surely supplied, where a healthy aircraft would supply it.
std::vector<std::string> consequences_in(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    const Outcome healthy = detail::healthy(out.state());
    std::vector<std::string> list;
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const Status status = out.status(ElementHandle{e});
        if (status != Status::supplied && status != Status::failed && surely_supplied(healthy, e)) list.push_back(*c.elements[e].id);
    }
    return list;
}

std::vector<std::string> assumptions_in(const WhatWorks& w) {
    const Outcome& out = w.outcome;
    std::vector<std::string> list;
    if (!out.network().model().given.empty()) list.push_back("Given: " + givens_text(out) + ".");
    list.push_back("Crew selections that differ from rest: " + (positions_text(out) == "all at rest" ? "none" : positions_text(out)) + ".");
    if (w.events.size() > 1) list.push_back("Settled after each of " + std::to_string(w.events.size()) + " steps.");
    if (!w.events.empty()) {
        const std::string what = w.events.size() > 1 ? "the steps" : "the events, one after another,";
        if (!w.order_matters) list.push_back("Whether another order of " + what + " would end elsewhere was not examined.");
        else if (*w.order_matters) list.push_back("Another order of " + what + " can end in another outcome: this is the outcome as asked.");
    }
    list.push_back("Each function is judged as if asked for now, with the crew action shown.");
    return list;
}

Counts counted(const Outcome& out) {
    Counts n;
    for (const Judgement& j : out.judged()) {
        switch (j.level) {
            case Level::normal: ++n.kept; break;
            case Level::degraded: ++n.degraded; break;
            case Level::lost: ++n.lost; break;
            case Level::not_fitted: ++n.not_fitted; break;
            case Level::unknown: ++n.unknown; break;
        }
    }
    return n;
}

WhatWorks sheet(const Outcome& out, std::vector<Step> events, std::optional<bool> order_matters) {
    const Compiled& c = out.network().compiled();
    Tracer tracer(out);
    WhatWorks w{.outcome = out, .events = std::move(events), .order_matters = order_matters};
    w.stored = StoredEnergy(out, tracer).lines();
    for (const std::uint32_t f : in_group_order(c)) w.functions.push_back(line_of(out, tracer, f));
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) w.elements.push_back(line_of(out, tracer.finder(), e));
    w.counts = counted(out);
    w.roots = failures_in(out);
    w.consequences = consequences_in(out);
    for (const ElementLine& line : w.elements)
        if (line.tripped) w.tripped.push_back(line.id);
    for (const std::uint32_t e : out.hunting()) w.hunting.push_back(*c.elements[e].id);
    w.assumptions = assumptions_in(w);
    return w;
}

}  // namespace

WhatWorks what_works(const Network& net, const Question& question) {
    return sheet(ask(net, question), steps_of(question), order_matters(net, question));
}

WhatWorks what_works(const Outcome& outcome) { return sheet(outcome, {}, std::nullopt); }

WhatWorks what_works(const State& state) {
    State copy = state;
    return what_works(settle(copy));
}

}  // namespace fedfrom
