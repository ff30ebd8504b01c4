#include "validator.hpp"

namespace fedfrom::model {

void Validator::condition(const At& at, const Condition& c, Levels levels, int depth) {
    using Op = Condition::Op;
    if (depth > deepest_condition)
        return report(at, "too_deep", "Conditions are nested more than " + std::to_string(deepest_condition) + " deep.", "Give a part of it an element of its own.");
    const auto parts = [&](std::string_view key_text) {
        const At list{at, key_text};
        for (std::size_t i = 0; i < c.of.size(); ++i) condition(At{list, i}, c.of[i], levels, depth + 1);
    };
    // The element a form is about, unless nothing more can be said of it.
    const auto subject = [&](const At& here) -> const Element* {
        const Element* e = known_element(here, c.id);
        return e && sure(c.id) ? e : nullptr;
    };
    switch (c.op) {
        case Op::supplied: {
            const Index::Entry* entry = index_.find(c.id, conditions_trail_);
            if (entry && entry->collection == Collection::given)
                return report(at, "wrong_collection", in_ticks(c.id) + " is a given, an element is needed.", "Say {\"given\": \"" + c.id + "\"}.");
            if (entry && entry->collection == Collection::function && levels == Levels::allowed)
                return report(at, "wrong_collection", in_ticks(c.id) + " is a function, an element is needed.", "Say {\"level\": {\"" + c.id + "\": \"degraded\"}}.");
            if (!entry || entry->collection != Collection::element) {
                known(at, c.id, Collection::element);  // says what is wrong
                return;
            }
            if (!entry->only_has_position || !sure(c.id)) return;
            std::string hint = "Say {\"passes\": \"" + c.id + "\"}.";
            if (!entry->one_way) {
                hint = "Say {\"at\": {\"" + c.id + "\": \"" + rest_of(*entry->element()) + "\"}}";
                if (entry->passes_somewhere) hint += " or {\"passes\": \"" + c.id + "\"}";
                hint += ".";
            }
            return report(at, "bare_position", in_ticks(c.id) + (entry->one_way ? " only lets supply through" : " only has a position") + "; it is never supplied.", hint);
        }
        case Op::all: return parts("all");
        case Op::any: return parts("any");
        case Op::at_least: {
            const At count{at, "at_least"};
            range(count, c.count, 1, largest);
            if (c.count > 0 && static_cast<std::size_t>(c.count) > c.of.size())
                report(count, "too_few", "At least " + std::to_string(c.count) + " are asked for, of " + std::to_string(c.of.size()) + ".");
            return parts("of");
        }
        case Op::negation:
            if (c.of.size() != 1) return report(at, "wrong_type", "`not` takes one condition.");
            return condition(At{at, "not"}, c.of[0], levels, depth + 1);
        case Op::at:
        case Op::contact: {
            const At form{at, c.op == Op::at ? "at" : "contact"};
            const At here{form, c.id};
            if (const Element* e = subject(here)) position_word(here, c.id, *e, c.word);
            return;
        }
        case Op::set: {
            const At form{at, "set"};
            return settable(At{form, c.id}, c.id, c.word);
        }
        case Op::passes: {
            const At here{at, "passes"};
            const Element* e = subject(here);
            if (e && !is_one_way(*e) && !passes_somewhere(*e))
                report(here, "passes_nothing", in_ticks(c.id) + " does not say in which positions it passes.", "Say `passes_in` on the element.");
            return;
        }
        case Op::tripped: {
            const At here{at, "tripped"};
            const Element* e = subject(here);
            if (e && !protects(*e)) report(here, "no_protection", in_ticks(c.id) + " does not trip.", "Breakers, fuses and what says `protects` do.");
            return;
        }
        case Op::given: known(At{at, "given"}, c.id, Collection::given); return;
        case Op::failure: {
            const At form{at, "failure"};
            return failure_of(At{form, c.id}, c.id, c.word);
        }
        case Op::level: {
            const At form{at, "level"};
            const At here{form, c.id};
            if (levels == Levels::forbidden)
                report(here, "level_in_logic", "The level of a function cannot be used here: no wire carries a judgement.", "Sense the elements themselves.");
            if (c.word != "normal" && c.word != "degraded")
                report(here, "bad_word", in_ticks(c.word) + " is not a level that can be asked for.", "Say `normal` or `degraded`.");
            known(here, c.id, Collection::function);
            return;
        }
    }
}

void Validator::demand(const At& at, const Demand& d) {
    const At set{at, "set"}, given{at, "given"};
    for (const auto& [id, word_text] : d.set) settable(At{set, id}, id, word_text);
    for (const auto& [id, unused] : d.given) known(At{given, id}, id, Collection::given);
}

}  // namespace fedfrom::model
