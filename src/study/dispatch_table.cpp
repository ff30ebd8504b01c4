#include <fedfrom/study/dispatch_table.hpp>

#include <algorithm>
#include <map>
#include <memory>
#include <set>

#include <fedfrom/model/resolve.hpp>

#include "dispatch.hpp"
#include "harm.hpp"
#include "next.hpp"
#include "words.hpp"

namespace fedfrom {
namespace detail {

std::vector<Change> worse_together(const Outcome& before, const std::vector<const Outcome*>& alone, const Outcome& together) {
    const Compiled& c = before.network().compiled();
    std::vector<Change> list;
    for (std::uint32_t f = 0; f < c.functions.size(); ++f) {
        const FunctionInfo& info = c.functions[f];
        const Judgement* worst = &before.judged()[f];
        for (const Outcome* out : alone)
            if (badness(info, out->judged()[f]) > badness(info, *worst)) worst = &out->judged()[f];
        if (badness(info, together.judged()[f]) > badness(info, *worst)) list.push_back(change_of(c, f, *worst, together.judged()[f]));
    }
    return list;
}

Conflict together(const Compiled& c, std::vector<Deferral> deferrals, std::vector<Change> changes) {
    Conflict conflict{.why = Conflict::Why::together, .deferrals = std::move(deferrals), .text = with_stop(ranked_changes_text(c, changes, 5))};
    for (const Change& change : changes) raise(conflict.severity, severity_of(c.functions[index_of(c.functions, change.function)], change.after));
    conflict.changes = std::move(changes);
    return conflict;
}

namespace {

/// Whether a condition hangs on what somebody may choose.
bool names_a_choice(const Condition& x) {
    using Op = Condition::Op;
    return x.op == Op::given || x.op == Op::set || x.op == Op::at || x.op == Op::contact || std::ranges::any_of(x.of, names_a_choice);
}

std::string asked_of_choices(const Compiled& c, const DispatchItem& item) {
    std::vector<std::string> list;
    for (const Condition& x : item.provided)
        if (names_a_choice(x)) list.push_back(condition_text(c, x));
    return listed(list);
}

bool fine(Met met) { return met == Met::met || met == Met::if_set; }

}  // namespace

std::vector<Conflict> conflicts_of(const Compiled& c, const Outcome& before, const Alone& a, const Alone& b, const Outcome& both, const Standing& standing) {
    std::vector<Conflict> list;
    const std::vector<Deferral> pair{a.unit->deferral(), b.unit->deferral()};
    if (const std::string apart = secured_apart(c, *a.unit, *b.unit); !apart.empty())
        list.push_back({.why = Conflict::Why::contradiction, .deferrals = pair, .text = with_stop(apart)});
    const bool rule_out = !standing.together && standing.to_be_had[0] && standing.to_be_had[1];
    if (rule_out) {
        list.push_back({.why = Conflict::Why::contradiction, .deferrals = pair,
                        .text = "They cannot be had at once: the first asks for " + asked_of_choices(c, *a.unit->def) + ", the other for " + asked_of_choices(c, *b.unit->def) + "."});
    } else {
        for (std::size_t u = 0; u < 2; ++u) {
            const Alone& own = u == 0 ? a : b;
            for (std::size_t i = 0; i < standing.provided[u].size(); ++i) {
                const Met alone = own.standing.provided[0][i].met, now = standing.provided[u][i].met;
                if (fine(now) || !(fine(alone) || (alone == Met::not_decidable && now == Met::not_met))) continue;
                const Provided& p = standing.provided[u][i];
                list.push_back({.why = now == Met::not_met ? Conflict::Why::condition : Conflict::Why::not_decidable,
                                .deferrals = u == 0 ? pair : std::vector<Deferral>{pair[1], pair[0]},
                                .text = asks_text(p), .condition = p.text});
            }
        }
    }
    if (std::vector<Change> changes = worse_together(before, {&a.out, &b.out}, both); !changes.empty()) list.push_back(together(c, pair, std::move(changes)));
    return list;
}

namespace {

/// What a single failure shows, and what hangs on it.
struct Picture {
    Impact cause;
    Outcome out;
    std::optional<std::vector<std::vector<std::optional<std::string>>>> checks{};  ///< what every check reads, once asked for
};

class DispatchTabulator {
public:
    DispatchTabulator(const State& from, const DispatchOptions& options)
        : state_(from), before_(settle(state_)), options_(options), c_(state_.network().compiled()), units_(units_of(c_.model)),
          conditions_(state_), impact_(impact_table(state_, {.causes = options.causes})) {
        spent_ += impact_.examined;
    }

    DispatchTable run() {
        DispatchTable t{.before = before_, .options = options_};
        each_item(units_, [&](std::span<const Unit> units) { t.rows.push_back(row(units)); });
        std::ranges::stable_sort(t.rows, {}, [](const DispatchRow& r) { return std::pair(r.ata.empty(), r.ata); });
        pairs(t);
        return t;
    }

private:
    State state_;
    Outcome before_;
    DispatchOptions options_;
    const Compiled& c_;
    std::vector<Unit> units_;
    Conditions conditions_;
    ImpactTable impact_;
    std::vector<Picture> pictures_;
    std::vector<Alone> alone_;  // of the fitted units
    std::size_t spent_ = 0;     // settles, beside those of the conditions

    std::size_t settles() const { return spent_ + conditions_.settles(); }
    bool can_spend(std::size_t n) const { return settles() + n <= options_.most_settles; }

    DispatchRow row(std::span<const Unit> units) {
        const Unit& u = units.front();
        DispatchRow r{.id = *u.item, .name = item_name(u), .ata = u.def->ata, .category = u.def->category, .installed = u.def->installed, .required = u.def->required,
                      .maintenance = u.def->maintenance, .operational = u.def->operational, .remarks = u.def->remarks};
        for (const Condition& x : u.def->provided) r.provided.push_back(condition_text(c_, x));
        for (const Unit& unit : units) r.units.push_back(examine(unit));
        return r;
    }

    DeferredUnit examine(const Unit& u) {
        DeferredUnit d{.id = u.id, .name = unit_name(u), .fitted = fitted(c_, u)};
        if (!d.fitted) return d;
        State unsaid = state_;
        defer(unsaid, u, d.not_known);
        Alone alone{&u, conditions_.out({&u}), {}};
        alone.standing = conditions_.stand({&u}, alone.out);
        d.changes = worse(before_, alone.out);
        d.provided = alone.standing.provided.front();
        if (can_spend(impact_.examined)) {
            NextFailures next = next_failures_against(alone.out.state(), impact_, {.causes = options_.causes, .sources = false});
            spent_ += next.examined;
            for (NextFailure& f : next.rows)
                if (!f.exposed.empty()) d.exposed.push_back(std::move(f));
            std::ranges::stable_sort(d.exposed, [](const NextFailure& x, const NextFailure& y) { return x.exposed_worst > y.exposed_worst; });
        } else {
            d.exposed_examined = false;
        }
        if (u.body) look_alike(u, d);
        alone_.push_back(std::move(alone));
        return d;
    }

    // ------------------------------------------------------------------- what the symptom may hide

    void take_pictures() {
        if (!pictures_.empty()) return;
        const auto take = [&](Impact cause) {
            State state = state_;
            for (const FailureRef& f : cause.fails) state.fail(f.element, f.mode, f.at);
            pictures_.push_back({std::move(cause), settle(state), {}});
            ++spent_;
        };
        for (const FailureInfo& f : c_.failures) {
            if (any(state_.memory()[f.variable])) continue;
            const ElementInfo& e = c_.elements[f.element];
            take({.cause = Impact::Cause::failure, .id = *e.id, .mode = f.mode, .name = e.element->name, .fails = {{.element = *e.id, .mode = f.mode}}});
        }
    }

    /// The same, as far as it is known.
    bool look_the_same(const Outcome& a, const Outcome& b) const {
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            if (!c_.elements[e].fitted || c_.elements[e].element->shows.empty()) continue;
            const auto x = a.shown(ElementHandle{e}), y = b.shown(ElementHandle{e});
            if (x && y && *x != *y) return false;
        }
        return true;
    }

    void look_alike(const Unit& u, DeferredUnit& d) {
        const std::vector<std::uint32_t> elements = elements_of(c_, u);
        State failed_state = state_;
        fail(failed_state, u);
        const Outcome failed = settle(failed_state);
        ++spent_;
        const bool shows = !look_the_same(before_, failed);
        std::vector<std::uint32_t> work;  // those that work now, so that it is seen when they stop
        for (const std::uint32_t e : elements)
            if (!only_has_position(*c_.elements[e].element) && before_.status(ElementHandle{e}) == Status::supplied) work.push_back(e);
        const std::vector<Change> stops = worse(before_, failed);  // what does not work when it is asked for
        if (!shows && work.empty() && stops.empty()) {
            d.not_known.push_back("Nothing the model shows tells that it has failed.");
            return;
        }
        take_pictures();
        const std::vector<Readings> readings = read_all(failed.state());
        for (Picture& p : pictures_) {
            const bool own = std::ranges::any_of(elements, [&](std::uint32_t e) { return *c_.elements[e].id == p.cause.id; });
            if ((own && p.cause.mode == "loss") || !look_the_same(failed, p.out)) continue;
            const auto works = [&](std::uint32_t e) { return p.out.status(ElementHandle{e}) == Status::supplied; };
            const auto as_bad = [&](const Change& change) {
                const std::uint32_t f = index_of(c_.functions, change.function);
                return badness(c_.functions[f], p.out.judged()[f]) >= badness(c_.functions[f], failed.judged()[f]);
            };
            if (!shows && (work.empty() ? !std::ranges::all_of(stops, as_bad) : std::ranges::any_of(work, works))) continue;
            Hidden hidden{.cause = p.cause, .unit_works = !work.empty() && std::ranges::all_of(work, works)};
            hidden.cause.changes = worse(failed, p.out);
            for (const Change& change : hidden.cause.changes) count(hidden.cause, c_.functions[index_of(c_.functions, change.function)], change.after);
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
                if (!only_has_position(*c_.elements[e].element) && *c_.elements[e].id != p.cause.id && failed.status(ElementHandle{e}) == Status::supplied &&
                    p.out.status(ElementHandle{e}) != Status::supplied)
                    hidden.elements.push_back(*c_.elements[e].id);
            hidden.cause.elements_lost = hidden.elements.size();
            if (!p.checks) p.checks = read_all(p.out.state());
            std::size_t check = 0;
            for (const auto& [id, unused] : c_.model.checks) {
                if (differ(readings[check], (*p.checks)[check])) hidden.checks.push_back(id);
                ++check;
            }
            d.hidden.push_back(std::move(hidden));
        }
        const auto takes = [](const Hidden& h) {
            return std::tuple(h.cause.worst ? -static_cast<int>(*h.cause.worst) : 1, -static_cast<std::int64_t>(h.cause.changes.size()), -static_cast<std::int64_t>(h.elements.size()));
        };
        std::ranges::stable_sort(d.hidden, [&](const Hidden& x, const Hidden& y) { return takes(x) < takes(y); });
    }

    /// What the steps of a check that look at something read, one after another; no value where unknown.
    using Readings = std::vector<std::optional<std::string>>;

    Readings read(const Check& check, State state) {
        Readings list;
        for (const CheckStep& step : check.steps) {
            for (const auto& [id, position] : step.act.set)
                if (c_.elements[index_of(c_.elements, id)].at_hand) state.set(id, position);
            for (const auto& [id, value] : step.act.given) state.given(id, value);
            const Outcome out = settle(state);
            ++spent_;
            if (!step.look_at.empty()) list.push_back(out.shown(state_.network().element(step.look_at)));
        }
        return list;
    }

    std::vector<Readings> read_all(const State& state) {
        std::vector<Readings> list;
        for (const auto& [id, check] : c_.model.checks) list.push_back(read(check, state));
        return list;
    }

    static bool differ(const Readings& a, const Readings& b) {
        return std::ranges::mismatch(a, b, [](const auto& x, const auto& y) { return !x || !y || *x == *y; }).in1 != a.end();
    }

    // ------------------------------------------------------------------- pairs

    void pairs(DispatchTable& t) {
        for (std::size_t i = 0; i < alone_.size(); ++i)
            for (std::size_t j = i + 1; j < alone_.size(); ++j) {
                const Alone &a = alone_[i], &b = alone_[j];
                const bool same_item = a.unit->item == b.unit->item;
                if (same_item && a.unit->def->installed - a.unit->def->required < 2) continue;
                ++t.pairs;
                if (!can_spend(1)) continue;
                ++t.pairs_examined;
                const std::vector<const Unit*> both{a.unit, b.unit};
                const Outcome out = conditions_.out(both);
                for (Conflict& conflict : conflicts_of(c_, before_, a, b, out, conditions_.stand(both, out))) t.conflicts.push_back(std::move(conflict));
            }
    }
};

}  // namespace
}  // namespace detail

std::optional<Severity> DeferredUnit::exposed_worst() const { return exposed.empty() ? std::nullopt : exposed.front().exposed_worst; }

DispatchTable dispatch_table(const State& from, const DispatchOptions& options) { return detail::DispatchTabulator(from, options).run(); }

DispatchTable dispatch_table(const Network& net, const DispatchOptions& options) { return dispatch_table(running_state(net), options); }

}  // namespace fedfrom
