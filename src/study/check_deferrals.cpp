#include <fedfrom/study/check_deferrals.hpp>

#include <algorithm>

#include "dispatch.hpp"
#include "harm.hpp"
#include "next.hpp"
#include "words.hpp"

namespace fedfrom {
namespace detail {
namespace {

Unit resolve(const Model& m, const Deferral& d) {
    const auto item = m.dispatch.find(d.item);
    if (item == m.dispatch.end()) {
        std::vector<std::string_view> known;
        for (const auto& [id, unused] : m.dispatch) known.push_back(id);
        throw UnknownId("There is no dispatch item `" + d.item + "`." + did_you_mean(d.item, known));
    }
    const std::vector<Unit> units = units_of(item->first, item->second);
    if (d.unit.empty() && units.size() == 1) return units.front();
    std::vector<std::string_view> known;
    std::vector<std::string> ids;
    for (const auto& [id, unused] : item->second.units) known.push_back(id), ids.push_back(id);
    if (d.unit.empty()) throw NotPossible("Say which unit of `" + d.item + "` is out: " + listed(ids, " or ") + ".");
    const auto unit = std::ranges::find(units, d.unit, &Unit::id);
    if (unit == units.end()) throw UnknownId("`" + d.item + "` has no unit `" + d.unit + "`." + did_you_mean(d.unit, known));
    return *unit;
}

class Checker {
public:
    Checker(const State& from, std::vector<Deferral> open, const DispatchOptions& options)
        : state_(from), before_(settle(state_)), options_(options), c_(state_.network().compiled()), open_(std::move(open)), conditions_(state_) {
        std::ranges::stable_sort(open_, {}, [](const Deferral& d) { return std::tie(d.item, d.unit); });
        for (Deferral& d : open_) {
            units_.push_back(resolve(c_.model, d));
            d.unit = units_.back().id;
            if (d.found) last_repair_day(units_.back().def->category, *d.found);  // throws for what is no day
        }
        for (std::size_t i = 1; i < units_.size(); ++i)
            if (units_[i].body && units_[i].body == units_[i - 1].body) throw NotPossible(called(units_[i]) + " is listed twice.");
        for (const Unit& u : units_) all_.push_back(&u);
    }

    DeferralCheck run() {
        for (const Unit* u : all_) {
            alone_.push_back({u, conditions_.out({u}), {}});
            alone_.back().standing = conditions_.stand({u}, alone_.back().out);
        }
        const Outcome out = conditions_.out(all_);
        const Standing standing = conditions_.stand(all_, out);
        DeferralCheck check{.before = before_, .outcome = out, .changes = worse(before_, out),
                            .next = next_failures_against(out.state(), impact_table(state_, {.causes = options_.causes}), {.causes = options_.causes})};
        for (std::size_t i = 0; i < open_.size(); ++i) check.items.push_back(item(i, standing));
        counts(check);
        for (std::size_t i = 0; i < alone_.size(); ++i)
            for (std::size_t j = i + 1; j < alone_.size(); ++j) pair(check, alone_[i], alone_[j]);
        if (open_.size() > 2) whole(check, standing);
        return check;
    }

private:
    State state_;
    Outcome before_;
    DispatchOptions options_;
    const Compiled& c_;
    std::vector<Deferral> open_;
    std::vector<Unit> units_;
    std::vector<const Unit*> all_;
    Conditions conditions_;
    std::vector<Alone> alone_;
    std::vector<Outcome> pairs_;

    OpenItem item(std::size_t i, const Standing& standing) const {
        const Unit& u = units_[i];
        OpenItem it{.deferral = open_[i], .name = item_name(u), .unit_name = unit_name(u), .ata = u.def->ata, .category = u.def->category,
                    .changes = worse(before_, alone_[i].out), .provided = standing.provided[i],
                    .maintenance = u.def->maintenance, .operational = u.def->operational, .remarks = u.def->remarks};
        if (open_[i].found) it.last_day = last_repair_day(u.def->category, *open_[i].found);
        State unsaid = state_;
        if (!fitted(c_, u)) it.not_known.push_back("Nothing of it is fitted.");
        else defer(unsaid, u, it.not_known);
        return it;
    }

    void counts(DeferralCheck& check) const {
        each_item(units_, [&](std::span<const Unit> units) {
            const DispatchItem& def = *units.front().def;
            if (static_cast<int>(units.size()) <= def.installed - def.required) return;
            Conflict conflict{.why = Conflict::Why::count};
            for (const Unit& u : units) conflict.deferrals.push_back(u.deferral());
            conflict.text = std::to_string(units.size()) + " of " + std::to_string(def.installed) + " out; the item asks for " + std::to_string(def.required) + ".";
            check.conflicts.push_back(std::move(conflict));
        });
    }

    void pair(DeferralCheck& check, const Alone& a, const Alone& b) {
        const std::vector<const Unit*> both{a.unit, b.unit};
        pairs_.push_back(conditions_.out(both));
        for (Conflict& conflict : conflicts_of(c_, before_, a, b, pairs_.back(), conditions_.stand(both, pairs_.back()))) check.conflicts.push_back(std::move(conflict));
    }

    /// What no pair shows.
    void whole(DeferralCheck& check, const Standing& standing) const {
        std::vector<Deferral> all;
        for (const Unit& u : units_) all.push_back(u.deferral());
        for (std::size_t i = 0; i < units_.size(); ++i)
            for (std::size_t p = 0; p < standing.provided[i].size(); ++p) {
                const Provided& now = standing.provided[i][p];
                const Met alone = alone_[i].standing.provided[0][p].met;
                if (now.met < Met::not_met || alone >= Met::not_met) continue;
                const auto shown = [&](const Conflict& c) {
                    if (c.why == Conflict::Why::contradiction) return std::ranges::find(c.deferrals, units_[i].deferral()) != c.deferrals.end();
                    return c.condition == now.text && c.deferrals.front() == units_[i].deferral();
                };
                if (std::ranges::any_of(check.conflicts, shown)) continue;
                std::vector<Deferral> order{units_[i].deferral()};
                for (const Deferral& d : all)
                    if (d != order.front()) order.push_back(d);
                check.conflicts.push_back({.why = now.met == Met::not_met ? Conflict::Why::condition : Conflict::Why::not_decidable, .deferrals = std::move(order),
                                           .text = asks_text(now), .condition = now.text});
            }
        std::vector<const Outcome*> fewer;
        for (const Alone& a : alone_) fewer.push_back(&a.out);
        for (const Outcome& out : pairs_) fewer.push_back(&out);
        if (std::vector<Change> changes = worse_together(before_, fewer, check.outcome); !changes.empty())
            check.conflicts.push_back(together(c_, std::move(all), std::move(changes)));
    }
};

}  // namespace
}  // namespace detail

DeferralCheck check_deferrals(const State& from, const std::vector<Deferral>& open, const DispatchOptions& options) { return detail::Checker(from, open, options).run(); }

DeferralCheck check_deferrals(const Network& net, const std::vector<Deferral>& open, const DispatchOptions& options) { return check_deferrals(running_state(net), open, options); }

}  // namespace fedfrom
