// The card for approach and landing, the effects behind it, and the distance.
#include <fedfrom/study/plan.hpp>

#include <algorithm>
#include <cmath>

#include "difference_tables.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;
using Combine = Quantity::Combine;

const std::string& shown_name(const PlannedQuantity& q) { return q.name.empty() ? q.quantity : q.name; }
const std::string& shown_name(const FunctionLine& f) { return f.name.empty() ? f.id : f.name; }

std::string function_name(const Plan& p, const std::string& id) {
    const Compiled& c = p.outcome.network().compiled();
    return detail::name_of(c.functions[index_of(c.functions, id)]);
}

std::string to_thousandths(double value) { return number_text(std::round(value * 1000) / 1000); }

/// Required is rounded up, margins down: no runway gets longer by rounding.
double up(double distance) { return std::ceil(distance - 1e-6); }
double down(double distance) { return std::floor(distance + 1e-6); }

std::string metres_and_feet(double metres) { return number_text(std::round(metres)) + " m (" + number_text(std::round(metres / metres_a_foot)) + " ft)"; }

std::string amount(const PlannedQuantity& q, double value) {
    const std::string text = to_thousandths(value);
    if (q.unit == "factor") return "factor " + text;
    return (q.combine == Combine::add && value > 0 ? "+" : "") + text + (q.unit.empty() ? "" : " " + q.unit);
}

std::string combination(const PlannedQuantity& q) {
    const std::string how = q.combine == Combine::multiply ? "multiplied" : q.combine == Combine::add ? "added" : "the greatest alone";
    return how + (q.once_per_root ? ", once per root cause" : "");
}

std::string roots_text(const PlannedEffect& e) {
    std::vector<std::string> words;
    for (const RootCause& r : e.roots) words.push_back(without_stop(r.text));
    return words.empty() ? "no failure, trip or selection" : listed(words);
}

std::string counted_text(const Plan& p, const PlannedEffect& e) { return e.counted ? "yes" : "no: one root cause with " + function_name(p, e.instead); }

std::string rules_text(const Plan& p, const PlannedQuantity& q) {
    const auto& rules = p.outcome.network().model().quantities.at(q.quantity).rules;
    std::vector<std::string> words;
    for (const std::string& id : q.rules) {
        const Rule& rule = rules.at(id);
        words.push_back((rule.name.empty() ? spaced(id) : rule.name) + " (" + amount(q, rule.value) + ")");
    }
    return listed(words);
}

std::string quantity_text(const PlannedQuantity& q) {
    if (!q.unknown.empty()) return "not known";
    return q.value ? amount(q, *q.value) : "no effect";
}

std::string margin_text(const LandingLine& l) {
    if (!l.margin_m) return {};
    if (*l.margin_m < 0) return "runway short by " + number_text(up(-*l.margin_m)) + " m (" + number_text(up(-*l.margin_ft)) + " ft)";
    return "runway longer by " + number_text(down(*l.margin_m)) + " m (" + number_text(down(*l.margin_ft)) + " ft)";
}

/// "accumulator, from Brake accumulator, with …; severity major; notes".
std::string line_text(const Plan& p, const FunctionLine& f) {
    const Compiled& c = p.outcome.network().compiled();
    std::string text(word_of(f.level));
    if (f.level <= Level::degraded && f.mode.empty()) text += ", unknown by which mode";
    else if (f.level == Level::degraded || (f.level == Level::normal && f.mode_name != spaced(f.mode))) text += ": " + f.mode_name;
    std::vector<std::string> names;
    for (const std::string& id : f.sources.ids) names.push_back(detail::name_of(c.elements[index_of(c.elements, id)]));
    if (!names.empty()) text += ", from " + listed(names) + (f.sources.sure ? "" : " (unknown which)");
    if (!f.demand.empty()) text += ", " + f.demand;
    for (const std::string& note : f.crew) text += "; " + without_stop(note);
    return text;
}

Table card_table(const Plan& p) {
    Table t{.title = "Approach and landing", .captions = captions(p.outcome), .columns = {{"For"}, {"Function"}, {"Level"}, {"How"}, {"Crew"}}, .rows = {}, .footnotes = {}};
    for (const CardLine& line : p.card) {
        Cell heading = line.heading;
        for (const FunctionLine& f : line.functions) {
            std::vector<std::string> names, notes;
            const Compiled& c = p.outcome.network().compiled();
            for (const std::string& id : f.sources.ids) names.push_back(detail::name_of(c.elements[index_of(c.elements, id)]));
            for (const std::string& note : f.crew) notes.push_back(without_stop(note));
            std::string how = names.empty() ? "" : "from " + listed(names) + (f.sources.sure ? "" : " (unknown which)");
            if (!f.demand.empty()) how += (how.empty() ? "" : ", ") + f.demand;
            std::string crew;
            for (const std::string& note : notes) crew += (crew.empty() ? "" : "; ") + note;
            t.rows.push_back({std::exchange(heading, {}), shown_name(f), level_cell(f.level, f.mode_name), how, crew});
        }
    }
    t.footnotes.push_back(p.options.card.empty() ? "Each group that has a function with an effect on a quantity." : "Groups and functions stand under the headings asked for.");
    return t;
}

Table effects_table(const Plan& p) {
    Table t{.title = "Effects", .captions = captions(p.outcome), .columns = {{"Quantity"}, {"Unit"}, {"Effect"}, {"Function"}, {"Mode"}, {"Root causes"}, {"Counted"}}, .rows = {}, .footnotes = {}};
    for (const PlannedQuantity& q : p.quantities)
        for (const PlannedEffect& e : q.effects) t.rows.push_back({shown_name(q), q.unit, e.value, function_name(p, e.function), e.mode_name, roots_text(e), counted_text(p, e)});
    return t;
}

Table quantities_table(const Plan& p) {
    Table t{.title = "Quantities", .captions = captions(p.outcome), .columns = {{"Quantity"}, {"Unit"}, {"Effects are"}, {"Effects alone"}, {"Rules that hold"}, {"Value"}, {"Not known because"}}, .rows = {}, .footnotes = {}};
    for (const PlannedQuantity& q : p.quantities) {
        const auto number = [](std::optional<double> value) { return value ? Cell(std::round(*value * 1000) / 1000) : Cell(); };
        std::string because;
        for (const std::string& sentence : q.unknown) because += (because.empty() ? "" : " ") + sentence;
        t.rows.push_back({shown_name(q), q.unit, combination(q), number(q.effects_alone), rules_text(p, q), q.unknown.empty() ? number(q.value) : Cell(Mark::unknown), because});
    }
    t.footnotes.push_back("A rule that holds replaces the effects; of several the greatest. Of effects with a root cause in common the greatest counts, where they count once.");
    return t;
}

Table landing_table(const Plan& p) {
    const LandingDistance& d = *p.landing;
    Table t{.title = "Landing distance", .captions = captions(p.outcome), .columns = {{"Rule"}, {"Factor"}, {"Required", "m"}, {"Required", "ft"}, {"Available", "m"}, {"Available", "ft"}, {"Margin", "m"}, {"Margin", "ft"}, {"Source"}}, .rows = {}, .footnotes = {}};
    for (const LandingLine& l : d.lines) {
        const auto number = [](std::optional<double> value, double (*round)(double)) { return value ? Cell(round(*value)) : Cell(); };
        Cell margin = number(l.margin_m, down);
        if (l.margin_m && *l.margin_m < 0) margin.mark = Mark::exceeded;
        t.rows.push_back({l.rule.name, std::round(l.rule.factor * 1000) / 1000, up(l.required_m), up(l.required_ft), number(d.available_m, down), number(d.available_ft, down), margin, number(l.margin_ft, down), l.rule.source});
    }
    t.footnotes.push_back("From " + metres_and_feet(d.base_m) + " with nothing failed, as asked." + (d.actual_m ? "" : " With these effects the actual distance is not known."));
    t.footnotes.push_back("Required is rounded up, margins down. A margin below zero: the runway is short.");
    t.footnotes.push_back(p.options.landing->rules.empty() ? "No operating factor was named, so none is applied." : "Only the operating factors named are applied, each for itself.");
    return t;
}

void append_landing(std::string& out, const Plan& p) {
    const LandingDistance& d = *p.landing;
    out += "\nLANDING DISTANCE\n";
    append_wrapped(out, "  ", metres_and_feet(d.base_m) + " with nothing failed, as asked.", 4);
    if (d.available_m) append_wrapped(out, "  ", "Runway available: " + metres_and_feet(*d.available_m) + ".", 4);
    if (!d.actual_m) append_wrapped(out, "  ", "With these effects the actual distance is not known, and no operating factor can be applied to it.", 4);
    for (const LandingLine& l : d.lines) {
        const bool actual = &l == &d.lines.front();
        std::string text = l.rule.name + (actual ? "" : " (factor " + to_thousandths(l.rule.factor) + ")") + ": " + number_text(up(l.required_m)) + " m (" + number_text(up(l.required_ft)) + " ft)";
        if (l.margin_m) text += "; " + margin_text(l);
        if (!l.rule.source.empty()) text += ". " + l.rule.source;
        append_wrapped(out, "  ", with_stop(text), 4);
    }
    if (p.options.landing->rules.empty()) append_wrapped(out, "  ", "No operating factor was named, so none is applied.", 4);
}

void append_quantity(std::string& out, const Plan& p, const PlannedQuantity& q) {
    append_wrapped(out, "\n", shown_name(q) + ": " + quantity_text(q) + "; effects are " + combination(q), 2);
    for (const PlannedEffect& e : q.effects)
        append_wrapped(out, "  ", amount(q, e.value) + "  " + function_name(p, e.function) + ": " + e.mode_name + ", by " + roots_text(e) + (e.counted ? "" : "; not counted, one root cause with " + function_name(p, e.instead)) + ".", 4);
    if (!q.rules.empty()) append_wrapped(out, "  ", "In place of them" + (q.effects_alone ? ", which alone come to " + amount(q, *q.effects_alone) : std::string()) + ": " + with_stop(rules_text(p, q)), 4);
    for (const std::string& sentence : q.unknown) append_wrapped(out, "  ", "Not known: " + sentence, 4);
}

}  // namespace

std::vector<Table> tables(const Plan& p) {
    std::vector<Table> list{card_table(p), effects_table(p), quantities_table(p)};
    if (p.landing) list.push_back(landing_table(p));
    return list;
}

std::string text(const Plan& p) {
    std::string out;
    append_wrapped(out, "Plan: ", p.outcome.network().model().name, 4);
    append_captions(out, captions(p.outcome));
    for (const CardLine& line : p.card) {
        std::string heading = line.heading;
        append_wrapped(out, "\n", heading, 0);
        for (const FunctionLine& f : line.functions) append_wrapped(out, "  ", shown_name(f) + " - " + with_stop(line_text(p, f)), 4);
    }
    for (const PlannedQuantity& q : p.quantities) append_quantity(out, p, q);
    if (p.landing) append_landing(out, p);
    out += '\n';
    append_wrapped(out, "", "A sum over the figures of the model and of who asked. Each function is judged as if asked for now.", 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
