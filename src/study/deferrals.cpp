#include "deferrals.hpp"

#include <algorithm>
#include <numeric>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/settle.hpp>

#include "view.hpp"
#include "words.hpp"

namespace fedfrom {

std::optional<int> repair_days(std::string_view category) {
    if (category == "A") return std::nullopt;
    if (category == "B") return 3;
    if (category == "C") return 10;
    if (category == "D") return 120;
    throw NotPossible("`" + std::string(category) + "` is not a repair category; there are A, B, C and D.");
}

std::optional<std::chrono::year_month_day> last_repair_day(std::string_view category, std::chrono::year_month_day found) {
    if (!found.ok()) throw NotPossible("The day of discovery is no day of the calendar.");
    const std::optional<int> days = repair_days(category);
    if (!days) return std::nullopt;
    return std::chrono::year_month_day(std::chrono::sys_days(found) + std::chrono::days(*days));
}

namespace detail {

std::vector<Unit> units_of(const std::string& id, const DispatchItem& item) {
    std::vector<Unit> list;
    for (const auto& [unit_id, body] : item.units) list.push_back({&id, &item, unit_id, &body});
    if (list.empty()) list.push_back({&id, &item, {}, nullptr});
    return list;
}

std::vector<Unit> units_of(const Model& m) {
    std::vector<Unit> list;
    for (const auto& [id, item] : m.dispatch)
        for (Unit& u : units_of(id, item)) list.push_back(std::move(u));
    return list;
}

std::string item_name(const Unit& u) { return u.def->name.empty() ? *u.item : u.def->name; }
std::string unit_name(const Unit& u) { return !u.body ? std::string() : u.body->name.empty() ? spaced(u.id) : u.body->name; }
std::string called(const Unit& u) { return u.def->units.size() < 2 ? item_name(u) : item_name(u) + ", " + unit_name(u); }

// ------------------------------------------------------------------- conditions in words

namespace {

std::string atom_text(const Compiled& c, const Condition& x) {
    using Op = Condition::Op;
    if (x.op == Op::given) return spaced(x.id);
    if (x.op == Op::level) {
        const std::string& name = name_of(c.functions[index_of(c.functions, x.id)]);
        return name + (x.word == fedfrom::name_of(Level::normal) ? " normal" : " normal or degraded");
    }
    const std::string& name = name_of(c.elements[index_of(c.elements, x.id)]);
    switch (x.op) {
        case Op::supplied: return name + " supplied";
        case Op::at: return name + " at " + x.word;
        case Op::passes: return name + " passing";
        case Op::tripped: return name + " tripped";
        case Op::set: return name + " set to " + x.word;
        case Op::contact: return name + " making contact " + x.word;
        default: return name + " with the failure " + spaced(x.word);
    }
}

bool is_atom(const Condition& x) {
    using Op = Condition::Op;
    return x.op != Op::all && x.op != Op::any && x.op != Op::at_least && x.op != Op::negation;
}

}  // namespace

std::string condition_text(const Compiled& c, const Condition& x) {
    using Op = Condition::Op;
    if (is_atom(x)) return atom_text(c, x);
    if (x.op == Op::negation) {
        const std::string of = condition_text(c, x.of.front());
        if (x.of.front().op == Op::supplied) return name_of(c.elements[index_of(c.elements, x.of.front().id)]) + " not supplied";
        return is_atom(x.of.front()) ? "not " + of : "not (" + of + ")";
    }
    if (x.of.empty()) return x.op == Op::all ? "always" : "never";
    std::vector<std::string> parts;
    for (const Condition& of : x.of) {
        const std::string part = condition_text(c, of);
        parts.push_back(is_atom(of) || of.op == Op::negation || x.of.size() == 1 ? part : "(" + part + ")");
    }
    if (x.op == Op::at_least) return std::to_string(x.count) + " of: " + listed(parts);
    return listed(parts, x.op == Op::all ? " and " : " or ");
}

// ------------------------------------------------------------------- out of the aircraft

namespace {

bool set_by_a_demand(const Compiled& c, std::uint32_t e) {
    return std::ranges::any_of(c.demands, [&](const DemandInfo& d) { return std::ranges::find(d.set, e, &HandSetting::element) != d.set.end(); });
}

}  // namespace

std::vector<std::uint32_t> elements_of(const Compiled& c, const Unit& u) {
    std::vector<std::uint32_t> list;
    for (const std::string& id : u.body ? u.body->elements : std::vector<std::string>()) {
        const std::uint32_t e = index_of(c.elements, id);
        if (c.elements[e].fitted) list.push_back(e);
    }
    return list;
}

bool fitted(const Compiled& c, const Unit& u) { return !u.body || u.body->elements.empty() || !elements_of(c, u).empty(); }

void defer(State& state, const Unit& u, std::vector<std::string>& not_known) {
    const Compiled& c = state.network().compiled();
    if (!u.body) {
        not_known.push_back("The model does not say which elements this item is: what it takes away is not known.");
        return;
    }
    for (const std::string& id : u.body->elements) {
        const ElementInfo& e = c.elements[index_of(c.elements, id)];
        if (!e.fitted) not_known.push_back(name_of(e) + " is not fitted.");
        else if (failure_of(c, e, "loss") == none) not_known.push_back(name_of(e) + " cannot be taken out: the model gives it no loss.");
        else if (!u.body->secured.contains(id) || !e.blanked_by_loss) state.fail(id);
    }
    for (const auto& [id, position] : u.body->secured) {
        const std::uint32_t index = index_of(c.elements, id);
        const ElementInfo& e = c.elements[index];
        if (!e.fitted) {
            not_known.push_back(name_of(e) + " is not fitted, so it is not secured.");
            continue;
        }
        if (e.at_hand) state.set(id, position);
        if (failure_of(c, e, "stuck") != none) state.fail(id, "stuck", position);
        else if (!e.at_hand) not_known.push_back("The model has nothing that holds " + name_of(e) + " at " + position + ": it is left as it is.");
        else if (set_by_a_demand(c, index)) not_known.push_back(name_of(e) + " is secured at " + position + " by hand only: functions that are judged with it elsewhere are judged so.");
    }
}

void fail(State& state, const Unit& u) {
    const Compiled& c = state.network().compiled();
    for (const std::uint32_t e : elements_of(c, u))
        if (failure_of(c, c.elements[e], "loss") != none) state.fail(*c.elements[e].id);
}

std::string secured_apart(const Compiled& c, const Unit& a, const Unit& b) {
    if (!a.body || !b.body) return {};
    for (const auto& [id, position] : a.body->secured) {
        const auto other = b.body->secured.find(id);
        if (other != b.body->secured.end() && other->second != position)
            return name_of(c.elements[index_of(c.elements, id)]) + " is secured at " + position + " for the one and at " + other->second + " for the other";
    }
    return {};
}

// ------------------------------------------------------------------- how conditions stand

namespace {

/// Reads conditions in an outcome, three-valued. What is not fitted, or supplied with another failure, leaves them open.
class ConditionReading {
public:
    explicit ConditionReading(const Outcome& out) : out_(out), c_(out.network().compiled()), view_(out) {}

    std::optional<bool> holds(const Condition& x) const {
        using Op = Condition::Op;
        if (is_atom(x)) return atom(x);
        if (x.op == Op::negation) {
            const auto of = holds(x.of.front());
            return of ? std::optional(!*of) : std::nullopt;
        }
        std::size_t sure = 0, open = 0;
        for (const Condition& part : x.of) {
            const auto value = holds(part);
            sure += value.value_or(false);
            open += !value;
        }
        const std::size_t needed = x.op == Op::all ? x.of.size() : x.op == Op::any ? 1 : static_cast<std::size_t>(std::max(x.count, 0));
        if (sure >= needed) return true;
        return sure + open >= needed ? std::nullopt : std::optional(false);
    }

    /// What keeps a condition from being `wanted`, atom by atom.
    void facts(const Condition& x, bool wanted, std::vector<std::string>& into) const {
        if (holds(x) == wanted) return;
        if (x.op == Condition::Op::negation) return facts(x.of.front(), !wanted, into);
        if (!is_atom(x)) {
            for (const Condition& part : x.of) facts(part, wanted, into);
            return;
        }
        const std::string fact = this->fact(x);
        if (std::ranges::find(into, fact) == into.end()) into.push_back(fact);
    }

private:
    const Outcome& out_;
    const Compiled& c_;
    View view_;

    const ElementInfo& element(const Condition& x) const { return c_.elements[index_of(c_.elements, x.id)]; }

    std::optional<bool> atom(const Condition& x) const {
        using Op = Condition::Op;
        if (x.op == Op::level) {
            const Level level = out_.level(x.id);
            if (level == Level::unknown || level == Level::not_fitted) return std::nullopt;
            return view_.holds(x);
        }
        if (x.op == Op::given) return view_.holds(x);
        if (!element(x).fitted) return std::nullopt;
        const auto value = view_.holds(x);
        if (x.op == Op::supplied && value.value_or(false) && !failures(x).empty()) return std::nullopt;
        return value;
    }

    std::vector<std::string> failures(const Condition& x) const {
        const ElementInfo& e = element(x);
        std::vector<std::string> list;
        for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f)
            if (any(out_.state().memory()[c_.failures[f].variable])) list.push_back(spaced(c_.failures[f].mode));
        return list;
    }

    std::string fact(const Condition& x) const {
        using Op = Condition::Op;
        if (x.op == Op::given) return spaced(x.id) + (view_.holds(x).value_or(false) ? " true" : " false");
        if (x.op == Op::level) return name_of(c_.functions[index_of(c_.functions, x.id)]) + " " + std::string(level_word(out_.level(x.id)));
        const ElementInfo& e = element(x);
        const std::string& name = name_of(e);
        if (!e.fitted) return name + " not fitted";
        const auto value = view_.holds(x);
        switch (x.op) {
            case Op::supplied:
                if (!value) return name + " unknown";
                if (!*value) return name + " " + status_word(out_.status(ElementHandle{index_of(c_.elements, x.id)}));
                return failures(x).empty() ? name + " supplied" : name + " supplied, but with the failure " + listed(failures(x));
            case Op::at: case Op::contact: case Op::set: {
                if (!value) return name + " at an unknown position";
                if (x.op == Op::contact && view_.blank(index_of(c_.elements, x.id))) return name + " making no contact";
                const auto stands = x.op == Op::set ? std::optional(out_.state().hand(x.id)) : out_.position(x.id);
                return name + (x.op == Op::set ? " set to " : " at ") + std::string(stands.value_or("an unknown position"));
            }
            case Op::passes: return name + (!value ? " passing or not, unknown" : *value ? " passing" : " not passing");
            case Op::tripped: return name + (!value ? " tripped or not, unknown" : *value ? " tripped" : " not tripped");
            default: return name + (value.value_or(false) ? " with the failure " : " without the failure ") + spaced(x.word);
        }
    }

    static std::string_view level_word(Level level) { return level == Level::not_fitted ? "not fitted" : fedfrom::name_of(level); }

    static std::string status_word(Status status) {
        return status == Status::failed ? "failed or out" : status == Status::unsupplied ? "not supplied" : spaced(std::string(fedfrom::name_of(status)));
    }
};

void collect_atoms(const Condition& x, std::vector<const Condition*>& into) {
    if (is_atom(x)) into.push_back(&x);
    for (const Condition& part : x.of) collect_atoms(part, into);
}

}  // namespace

Outcome Conditions::out(const std::vector<const Unit*>& units) const {
    State state = base_;
    std::vector<std::string> unsaid;
    for (const Unit* u : units) defer(state, *u, unsaid);
    ++settles_;
    return settle(state);
}

std::vector<Conditions::Choice> Conditions::choices(const std::vector<const Condition*>& conditions, const State& state) const {
    std::vector<const Condition*> atoms;
    for (const Condition* x : conditions) collect_atoms(*x, atoms);
    std::vector<Choice> list;
    const auto add = [&](const Choice& choice) {
        const auto same = [&](const Choice& other) { return other.is_given == choice.is_given && other.index == choice.index; };
        if (std::ranges::none_of(list, same)) list.push_back(choice);
    };
    for (const Condition* x : atoms) {
        using Op = Condition::Op;
        if (x->op == Op::given) add({true, index_of(c_.givens, x->id), state.given(x->id), 2});
        if (x->op != Op::at && x->op != Op::contact && x->op != Op::set) continue;
        std::uint32_t e = index_of(c_.elements, x->id);
        if (c_.elements[e].element->follows) e = index_of(c_.elements, c_.elements[e].element->follows->leader);
        const ElementInfo& info = c_.elements[e];
        if (!info.fitted || !info.at_hand) continue;
        const std::uint32_t stuck = failure_of(c_, info, "stuck");
        if (stuck != none && any(state.memory()[c_.failures[stuck].variable])) continue;  // secured
        const auto now = static_cast<std::uint32_t>(std::ranges::find(info.positions, state.hand(*info.id)) - info.positions.begin());
        add({false, e, now, static_cast<std::uint32_t>(info.positions.size())});
    }
    return list;
}

std::string Conditions::choice_text(const std::vector<Choice>& choices, const std::vector<std::uint32_t>& values) const {
    std::vector<std::string> parts;
    for (std::size_t i = 0; i < choices.size(); ++i) {
        if (values[i] == choices[i].now) continue;
        if (choices[i].is_given) parts.push_back(spaced(*c_.givens[choices[i].index].id) + (values[i] ? " true" : " false"));
        else parts.push_back(name_of(c_.elements[choices[i].index]) + " at " + std::string(c_.elements[choices[i].index].positions[values[i]]));
    }
    return listed(parts);
}

Standing Conditions::stand(const std::vector<const Unit*>& units, const Outcome& out) {
    std::vector<const Condition*> conditions;
    std::vector<std::size_t> owner;
    for (std::size_t u = 0; u < units.size(); ++u)
        for (const Condition& x : units[u]->def->provided) {
            conditions.push_back(&x);
            owner.push_back(u);
        }
    std::vector<std::optional<bool>> now;
    const ConditionReading as_it_stands(out);
    for (const Condition* x : conditions) now.push_back(as_it_stands.holds(*x));
    const auto all_true = [](const std::vector<std::optional<bool>>& values) { return std::ranges::all_of(values, [](auto v) { return v.value_or(false); }); };

    Standing standing{.provided = std::vector<std::vector<Provided>>(units.size()), .to_be_had = std::vector<bool>(units.size(), true)};
    std::string selection;
    std::vector<std::string> own(units.size());
    std::vector<std::optional<std::string>> single(conditions.size());  // the selection that meets one condition by itself
    bool complete = true;
    if (!all_true(now)) {
        const std::vector<Choice> options = choices(conditions, out.state());
        std::size_t combinations = 1;
        for (const Choice& choice : options) combinations = std::min(combinations * choice.values, most_choices + 1);
        complete = combinations <= most_choices;
        // Fewest changes first, so that the selection named is the smallest.
        std::vector<std::pair<std::size_t, std::vector<std::uint32_t>>> tries;
        for (std::size_t n = 0; complete && n < combinations; ++n) {
            std::vector<std::uint32_t> values;
            std::size_t rest = n, changed = 0;
            for (const Choice& choice : options) {
                values.push_back((choice.now + static_cast<std::uint32_t>(rest % choice.values)) % choice.values);
                changed += values.back() != choice.now;
                rest /= choice.values;
            }
            tries.emplace_back(changed, std::move(values));
        }
        std::ranges::stable_sort(tries, {}, [](const auto& t) { return t.first; });
        standing.together = false;
        standing.to_be_had.assign(units.size(), false);
        for (const auto& [changed, values] : tries) {
            std::vector<std::optional<bool>> then = now;
            if (changed > 0) {
                State state = out.state();
                for (std::size_t i = 0; i < options.size(); ++i) {
                    if (options[i].is_given) state.given(GivenHandle{options[i].index}, values[i] != 0);
                    else state.set(ElementHandle{options[i].index}, values[i]);
                }
                ++settles_;
                const Outcome tried = settle(state);
                const ConditionReading reading(tried);
                for (std::size_t i = 0; i < conditions.size(); ++i) then[i] = reading.holds(*conditions[i]);
            }
            for (std::size_t i = 0; i < conditions.size(); ++i)
                if (!single[i] && then[i].value_or(false)) single[i] = choice_text(options, values);
            for (std::size_t u = 0; u < units.size(); ++u) {
                if (standing.to_be_had[u]) continue;
                bool met = true;
                for (std::size_t i = 0; i < conditions.size(); ++i) met &= owner[i] != u || then[i].value_or(false);
                if (!met) continue;
                standing.to_be_had[u] = true;
                own[u] = choice_text(options, values);
            }
            if (!all_true(then)) continue;
            standing.together = true;
            selection = choice_text(options, values);
            break;
        }
    }
    for (std::size_t i = 0; i < conditions.size(); ++i) {
        const std::size_t u = owner[i];
        Provided p{.text = condition_text(c_, *conditions[i])};
        std::vector<std::string> facts;
        as_it_stands.facts(*conditions[i], true, facts);
        p.reason = listed(facts);
        if (now[i].value_or(false)) p.met = Met::met;
        else if (standing.together) p.met = Met::if_set, p.reason = "with " + selection;
        else if (!complete) p.met = Met::not_decidable, p.reason += "; more selections and givens are named than are tried";
        else if (standing.to_be_had[u]) p.met = Met::not_met, p.reason = "only with " + own[u] + ", which the other conditions rule out";
        else if (single[i]) {
            // By itself it can be met. Either another condition of the item cannot, whatever is set, or they rule each other out.
            bool each = true;
            for (std::size_t k = 0; k < conditions.size(); ++k) each &= owner[k] != u || single[k].has_value();
            p.met = each ? Met::not_met : Met::if_set;
            p.reason = each ? "only with " + *single[i] + ", which the other conditions rule out" : "with " + *single[i];
        } else p.met = now[i] ? Met::not_met : Met::not_decidable;
        standing.provided[u].push_back(std::move(p));
    }
    return standing;
}

}  // namespace detail
}  // namespace fedfrom
