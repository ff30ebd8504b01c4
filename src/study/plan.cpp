// Which effects count: greatest first, each unless one that counts already shares a root cause. So a chain of effects,
// the first sharing with the second and the second with the third, still counts its two ends.
#include <fedfrom/study/plan.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fedfrom/model/nearest.hpp>

#include "view.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;
using Combine = Quantity::Combine;

/// A condition with unknown kept: a level that is unknown, or what is not the same in every world.
std::optional<bool> truth(const View& view, const Condition& x) {
    using Op = Condition::Op;
    switch (x.op) {
        case Op::negation: {
            const auto part = truth(view, x.of.front());
            return part ? std::optional(!*part) : std::nullopt;
        }
        case Op::all:
        case Op::any:
        case Op::at_least: {
            const auto wanted = x.op == Op::all ? static_cast<std::int64_t>(x.of.size()) : x.op == Op::any ? 1 : static_cast<std::int64_t>(x.count);
            std::int64_t sure = 0, perhaps = 0;
            for (const Condition& part : x.of) {
                const auto t = truth(view, part);
                sure += t == true;
                perhaps += t != false;
            }
            return sure >= wanted ? std::optional(true) : perhaps < wanted ? std::optional(false) : std::nullopt;
        }
        case Op::level:
            if (view.outcome().level(x.id) == Level::unknown) return std::nullopt;
            return view.holds(x);
        default: return view.holds(x);
    }
}

bool share(const std::vector<RootCause>& a, const std::vector<RootCause>& b) {
    return std::ranges::any_of(a, [&](const RootCause& root) {
        return std::ranges::any_of(b, [&](const RootCause& other) { return std::tie(root.kind, root.id, root.word) == std::tie(other.kind, other.id, other.word); });
    });
}

class Planner {
public:
    Planner(const Outcome& out, const PlanOptions& options) : out_(out), options_(options), c_(out.network().compiled()) {}

    Plan run() {
        Plan result{.outcome = out_, .options = options_};
        for (const auto& [id, quantity] : c_.model.quantities) result.quantities.push_back(planned(id, quantity));
        if (options_.landing) result.landing = landing(*options_.landing, result.quantities);
        result.card = card();
        return result;
    }

private:
    const Outcome& out_;
    const PlanOptions& options_;
    const Compiled& c_;

    PlannedQuantity planned(const std::string& id, const Quantity& quantity) const {
        PlannedQuantity q{.quantity = id, .name = quantity.name, .unit = quantity.unit, .combine = quantity.combine, .once_per_root = quantity.once_per_root};
        std::vector<std::string> silent;  // why the effects alone have no value
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f) {
            const FunctionInfo& info = c_.functions[f];
            const Judgement& judged = out_.judged()[f];
            if (std::ranges::none_of(info.modes, [&](const ModeInfo& m) { return m.mode->effects.contains(id); })) continue;
            if (judged.level == Level::lost) silent.push_back(called(info) + " is lost, and the model has no figure for that.");
            else if (judged.mode == none) silent.push_back(judged.level == Level::unknown ? "Whether " + called(info) + " works is unknown." : "In which mode " + called(info) + " is, is unknown.");
            else if (const auto effect = info.modes[judged.mode].mode->effects.find(id); effect != info.modes[judged.mode].mode->effects.end())
                q.effects.push_back({.function = *info.id, .mode = *info.modes[judged.mode].id, .mode_name = mode_name(info.modes[judged.mode]), .value = effect->second, .roots = roots_of(*info.id)});
        }
        std::ranges::stable_sort(q.effects, [](const PlannedEffect& a, const PlannedEffect& b) { return a.value > b.value; });
        if (q.once_per_root) count_once(q.effects);
        if (silent.empty()) q.effects_alone = combined(q);
        std::optional<double> replaced;
        for (const auto& [rule_id, rule] : quantity.rules) {
            const auto holds = truth(View(out_), rule.when);
            if (!holds) q.unknown.push_back("Whether the rule " + rule_name(rule_id, rule) + " holds is unknown.");
            else if (*holds) {
                q.rules.push_back(rule_id);
                replaced = std::max(replaced.value_or(rule.value), rule.value);
            }
        }
        if (!replaced) q.unknown.insert(q.unknown.end(), silent.begin(), silent.end());
        if (q.unknown.empty()) q.value = replaced ? replaced : q.effects_alone;
        return q;
    }

    static std::string rule_name(const std::string& id, const Rule& rule) { return rule.name.empty() ? spaced(id) : rule.name; }

    std::vector<RootCause> roots_of(const std::string& function) const {
        std::vector<RootCause> roots = why(out_, function).roots;
        std::erase_if(roots, [](const RootCause& r) { return could_help(r.kind); });
        return roots;
    }

    /// Greatest first, so that what counts already is no smaller.
    static void count_once(std::vector<PlannedEffect>& effects) {
        for (auto e = effects.begin(); e != effects.end(); ++e) {
            const auto greater = std::find_if(effects.begin(), e, [&](const PlannedEffect& other) { return other.counted && share(other.roots, e->roots); });
            if (greater == e) continue;
            e->counted = false;
            e->instead = greater->function;
        }
    }

    static std::optional<double> combined(const PlannedQuantity& q) {
        std::optional<double> all;
        if (q.combine != Combine::max) all = q.combine == Combine::multiply ? 1 : 0;
        for (const PlannedEffect& e : q.effects) {
            if (!e.counted) continue;
            switch (q.combine) {
                case Combine::multiply: all = *all * e.value; break;
                case Combine::add: all = *all + e.value; break;
                case Combine::max: all = std::max(all.value_or(e.value), e.value); break;
            }
        }
        return all;
    }

    // ------------------------------------------------------------- the distance

    static double distance(double metres, const char* what) {
        if (!std::isfinite(metres) || metres <= 0) throw NotPossible(std::string("The ") + what + " is a distance above zero.");
        return metres;
    }

    LandingDistance landing(const Landing& asked, const std::vector<PlannedQuantity>& quantities) const {
        const auto q = std::ranges::find(quantities, asked.quantity, &PlannedQuantity::quantity);
        if (q == quantities.end()) {
            std::vector<std::string_view> known;
            for (const PlannedQuantity& each : quantities) known.push_back(each.quantity);
            throw UnknownId("There is no quantity `" + asked.quantity + "`." + did_you_mean(asked.quantity, known));
        }
        LandingDistance d{.base_m = distance(asked.base_m, "landing distance"), .base_ft = asked.base_m / metres_a_foot};
        if (asked.available_m) {
            d.available_m = distance(*asked.available_m, "runway available");
            d.available_ft = *d.available_m / metres_a_foot;
        }
        for (const OperatingRule& rule : asked.rules)
            if (!std::isfinite(rule.factor) || rule.factor < 1) throw NotPossible("The operating rule `" + rule.name + "` makes a distance no longer: a factor is at least 1.");
        d.actual_m = changed(asked.base_m, *q);
        if (!d.actual_m) return d;
        if (!std::isfinite(*d.actual_m) || *d.actual_m <= 0) throw NotPossible("With `" + asked.quantity + "` the landing distance is no distance above zero: see the model's effects.");
        d.actual_ft = *d.actual_m / metres_a_foot;
        const auto line = [&](OperatingRule rule) {
            LandingLine l{.rule = std::move(rule)};
            l.required_m = *d.actual_m * l.rule.factor;
            l.required_ft = l.required_m / metres_a_foot;
            if (d.available_m) {
                l.margin_m = *d.available_m - l.required_m;
                l.margin_ft = *l.margin_m / metres_a_foot;
            }
            d.lines.push_back(std::move(l));
        };
        line({.name = "actual distance, no operating factor"});
        for (const OperatingRule& rule : asked.rules) line(rule);
        return d;
    }

    /// The base distance with the quantity's value; no value where it has none because something is unknown.
    std::optional<double> changed(double base, const PlannedQuantity& q) const {
        const bool factor = q.unit == "factor";
        if (!factor && q.unit != "percent" && q.unit != "%" && q.unit != "m" && q.unit != "ft")
            throw NotPossible("`" + q.quantity + "` is in `" + q.unit + "`; what changes a distance is in factor, percent, m or ft.");
        if (factor != (q.combine == Combine::multiply) && q.combine != Combine::max)
            throw NotPossible("`" + q.quantity + "` is in `" + q.unit + "`: factors are multiplied, or the greatest is taken; percent, m and ft are added, or the greatest is taken.");
        if (!q.unknown.empty()) return std::nullopt;
        if (!q.value) return base;  // no effect to take the greatest of
        if (factor) return base * *q.value;
        if (q.unit == "m") return base + *q.value;
        return q.unit == "ft" ? base + *q.value * metres_a_foot : base * (1 + *q.value / 100);
    }

    // ------------------------------------------------------------- the card

    bool has_effect(const FunctionInfo& f) const {
        return std::ranges::any_of(f.modes, [](const ModeInfo& m) { return !m.mode->effects.empty(); });
    }

    std::vector<CardLine> card() const {
        const std::vector<std::uint32_t> order = in_group_order(c_);
        const std::vector<FunctionLine> lines = what_works(out_).functions;  // in the same order
        std::vector<CardHeading> headings = options_.card;
        for (std::size_t i = 0; options_.card.empty() && i < order.size(); ++i) {
            const std::string& group = c_.functions[order[i]].function->group;
            if (!group.empty() && has_effect(c_.functions[order[i]]) && std::ranges::find(headings, group, &CardHeading::heading) == headings.end()) headings.push_back({group, {group}});
        }
        std::vector<CardLine> card;
        for (const CardHeading& heading : headings) {
            CardLine line{.heading = heading.heading};
            for (const std::string& id : heading.of) {
                bool found = false;
                for (const FunctionLine& f : lines)
                    if (f.id == id || (!f.group.empty() && f.group == id)) {
                        found = true;
                        if (std::ranges::find(line.functions, f.id, &FunctionLine::id) == line.functions.end()) line.functions.push_back(f);
                    }
                if (!found) unknown_heading(id);
            }
            card.push_back(std::move(line));
        }
        return card;
    }

    [[noreturn]] void unknown_heading(const std::string& id) const {
        std::vector<std::string_view> known(c_.model.groups.begin(), c_.model.groups.end());
        for (const FunctionInfo& f : c_.functions) known.push_back(*f.id);
        throw UnknownId("There is no function, and no group with one, `" + id + "`." + did_you_mean(id, known));
    }
};

}  // namespace

std::vector<OperatingRule> operating_rules() {
    return {
        {"60 percent", 1 / 0.6, "14 CFR 121.195(b), 135.385(b), 91.1037(b): a full stop within 60 percent of the effective length"},
        {"70 percent", 1 / 0.7, "14 CFR 121.195(c), 135.387(a), 135.395: within 70 percent"},
        {"80 percent", 1 / 0.8, "14 CFR 135.387(b): eligible on-demand operations, within 80 percent"},
        {"60 percent wet", 1.15 / 0.6, "14 CFR 121.195(d): at least 115 percent of the length of 121.195(b)"},
        {"115 percent at arrival", 1.15, "FAA SAFO 06012: a margin of 15 percent at the time of arrival"},
    };
}

OperatingRule operating_rule(std::string_view name) {
    const std::vector<OperatingRule> rules = operating_rules();
    if (const auto rule = std::ranges::find(rules, name, &OperatingRule::name); rule != rules.end()) return *rule;
    std::vector<std::string_view> known;
    for (const OperatingRule& rule : rules) known.push_back(rule.name);
    throw UnknownId("There is no operating rule `" + std::string(name) + "`." + did_you_mean(name, known));
}

Plan plan(const Outcome& outcome, const PlanOptions& options) { return Planner(outcome, options).run(); }

Plan plan(const State& state, const PlanOptions& options) {
    State copy = state;
    return plan(settle(copy), options);
}

}  // namespace fedfrom
