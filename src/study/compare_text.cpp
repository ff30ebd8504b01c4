// The hand-out: as the two stand, then difference by difference with what brings it about.
#include <fedfrom/study/compare.hpp>

#include <algorithm>

#include "difference_tables.hpp"
#include "effect.hpp"
#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

const Compiled& compiled(const Comparison& r) { return r.a.network().compiled(); }

const FunctionInfo& function(const Comparison& r, const std::string& id) { return compiled(r).functions[index_of(compiled(r).functions, id)]; }
const ElementInfo& element(const Comparison& r, const std::string& id) { return compiled(r).elements[index_of(compiled(r).elements, id)]; }

/// As the first calls it, and the second too where that is another name.
std::string both_names(const Comparison& r, const std::string& a, const std::string& b) { return a == b ? a : a + " (" + r.names[1] + ": " + b + ")"; }

std::string named_in_both(const Comparison& r, const ElementInfo& e) {
    const Compiled& other = r.b.network().compiled();
    return both_names(r, name_of(e), name_of(other.elements[index_of(other.elements, *e.id)]));
}
std::string named_in_both(const Comparison& r, const FunctionInfo& f) {
    const Compiled& other = r.b.network().compiled();
    return both_names(r, name_of(f), name_of(other.functions[index_of(other.functions, *f.id)]));
}

/// Captions of both, those that say the same of both once.
std::vector<Caption> captions_of(const Comparison& r) {
    std::vector<Caption> list;
    const std::vector<Caption> a = captions(r.a), b = captions(r.b);
    const auto text_in = [](const std::vector<Caption>& of, const std::string& label) {
        const auto it = std::ranges::find(of, label, &Caption::label);
        return it == of.end() ? std::string("none") : it->text;
    };
    const auto add = [&](const std::string& label) {
        if (std::ranges::any_of(list, [&](const Caption& c) { return c.label == label || c.label.starts_with(label + ", "); })) return;
        if (text_in(a, label) == text_in(b, label)) list.push_back({label, text_in(a, label)});
        else list.insert(list.end(), {{label + ", " + r.names[0], text_in(a, label)}, {label + ", " + r.names[1], text_in(b, label)}});
    };
    for (const auto* of : {&a, &b})
        for (const Caption& c : *of) add(c.label);
    return list;
}

std::string failure_text(const Comparison& r, const FailureRef& f) { return named_in_both(r, element(r, f.element)) + ": " + f.mode; }

/// A scenario, without the modes of what has failed: "Left main bus", "airborne false"; failures of one element are then put together.
std::string subject(const Comparison& r, const Step& step) {
    if (step.fail.size() == 1) return named_in_both(r, element(r, step.fail.front().element)) + ": ";
    if (step.fail.size() > 1) return failure_text(r, step.fail[0]) + " with ";
    if (!step.set.empty()) return named_in_both(r, element(r, step.set.begin()->first)) + " at ";
    return step.given.begin()->first + " ";
}

std::string rest(const Comparison& r, const Step& step) {
    if (step.fail.size() == 1) return step.fail.front().mode;
    if (step.fail.size() > 1) return failure_text(r, step.fail[1]);
    if (!step.set.empty()) return step.set.begin()->second;
    return step.given.begin()->second ? "true" : "false";
}

/// "Left main bus: loss or short; Gear handle at DOWN"; of a long list the first `most`, and how many more.
std::string first_scenarios_text(const Comparison& r, const DifferenceGroup& group, std::size_t most) {
    std::string text;
    const std::size_t named = std::min(most, group.scenarios.size());
    for (std::size_t i = 0; i < named;) {
        const std::string about = subject(r, group.scenarios[i]);
        std::vector<std::string> words;
        for (; i < named && subject(r, group.scenarios[i]) == about; ++i) words.push_back(rest(r, group.scenarios[i]));
        text += (text.empty() ? "" : "; ") + about + listed(words, " or ");
    }
    if (const std::size_t more = group.scenarios.size() - named) text += "; or " + plural(more, "other", "others");
    return text;
}

/// "degraded (hand pump)"; a normal mode only where it has a name.
bool named(const FunctionStanding& s) { return !s.mode.empty() && (s.level == Level::degraded || s.mode_name != spaced(s.mode)); }

std::string standing_text(const FunctionStanding& s) {
    const std::string level(name_of(s.level));
    if (s.level <= Level::degraded && s.mode.empty()) return level + ", unknown by which mode";
    return named(s) ? level + " (" + s.mode_name + ")" : level;
}

Cell standing_cell(const FunctionStanding& s) { return {named(s) ? s.mode_name : standing_text(s), mark_of(s.level)}; }

std::string both(const Comparison& r, const std::string& a, const std::string& b) {
    return a == b ? a + " in both" : r.names[0] + ": " + a + "; " + r.names[1] + ": " + b;
}

/// A sentence each, without its stop.
std::vector<std::string> difference_sentences(const Comparison& r, const std::vector<FunctionPair>& functions, const std::vector<ElementPair>& elements) {
    std::vector<std::string> list;
    for (const FunctionPair& p : functions) list.push_back(named_in_both(r, function(r, p.function)) + " - " + both(r, standing_text(p.a), standing_text(p.b)));
    for (const ElementPair& p : elements) list.push_back(called(element(r, p.element)) + " - " + both(r, spaced(std::string(name_of(p.a))), spaced(std::string(name_of(p.b)))));
    return list;
}

void append_pairs(std::string& out, const Comparison& r, const std::vector<FunctionPair>& functions, const std::vector<ElementPair>& elements) {
    for (const std::string& sentence : difference_sentences(r, functions, elements)) append_wrapped(out, "  ", with_stop(sentence), 6);
}

void append_alike(std::string& out, const Comparison& r, const DifferenceGroup& g) {
    std::string all;
    for (const std::string& sentence : difference_sentences(r, g.alike, g.elements_alike)) all += (all.empty() ? "" : "; ") + sentence;
    if (!all.empty()) append_wrapped(out, "  no longer different: ", with_stop(all), 6);
}

constexpr std::size_t most_in_text = 24, most_in_table = 60;

void append_groups(std::string& out, const Comparison& r, const std::vector<DifferenceGroup>& groups) {
    for (const DifferenceGroup& g : groups) {
        append_wrapped(out, "\nWith ", first_scenarios_text(r, g, most_in_text), 4);
        append_pairs(out, r, g.functions, g.elements);
        append_alike(out, r, g);
    }
}

std::string only_text(const OnlyOne& o) {
    const std::string name = o.name.empty() ? o.id : o.name + " (" + o.id + ")";
    switch (o.what) {
        case OnlyOne::What::element: return name;
        case OnlyOne::What::failure: return name + ": " + o.word;
        case OnlyOne::What::control: return name + ", set by the crew";
        case OnlyOne::What::position: return name + " at " + o.word;
        case OnlyOne::What::given:
        case OnlyOne::What::function: return name;
        case OnlyOne::What::mode: return o.name;
    }
    return name;
}

/// "Wheel brakes by accumulator" and the like, with whether the other has it unfitted.
std::string only_line(const Comparison& r, const OnlyOne& o) {
    std::string text = only_text(o);
    if (o.what == OnlyOne::What::mode) text = name_of(function(r, o.id)) + " by " + text;
    return o.not_fitted ? text + " [not fitted in the other]" : text;
}

std::string what_text(OnlyOne::What what) {
    constexpr std::array words{"Elements", "Failures of what both have", "Controls", "Positions of what both have", "Givens", "Functions", "Modes of what both have"};
    return words[static_cast<std::size_t>(what)];
}

void append_only(std::string& out, const Comparison& r) {
    for (const bool in_a : {true, false}) {
        bool first = true;
        for (std::size_t i = 0; i < r.only.size();) {
            const OnlyOne::What what = r.only[i].what;
            std::vector<std::string> words;
            for (; i < r.only.size() && r.only[i].what == what; ++i)
                if (r.only[i].in_a == in_a) words.push_back(only_line(r, r.only[i]));
            if (words.empty()) continue;
            if (first) append_wrapped(out, "\n", "Only in " + r.names[in_a ? 0 : 1] + ", which is no difference of outcome", 0);
            first = false;
            append_wrapped(out, "  ", what_text(what) + ": " + with_stop(listed(words)), 4);
        }
    }
}

std::vector<std::string> notes(const Comparison& r) {
    std::vector<std::string> list;
    list.push_back(plural(r.scenarios, "scenario", "scenarios") + " examined beside the two as they stand, one at a time: each failure both can have, each position of the crew's controls, each given. " +
                   plural(r.unchanged, "leaves", "leave") + " the two exactly as different as they stand.");
    if (r.options.order > 1)
        list.push_back(std::string(r.complete ? "Complete: " : "Incomplete: ") + std::to_string(r.combinations) + " failures and pairs of failures examined" + (r.complete ? "" : ", more were not; what is listed holds all the same") +
                       ". A pair is listed for what differs with neither failure alone.");
    if (!r.options.goals.empty()) {
        std::vector<std::string> words;
        for (const std::string& id : r.options.goals) words.push_back(index_of(compiled(r).functions, id) == none ? id : name_of(function(r, id)));
        list.push_back("Only these functions were compared: " + with_stop(listed(words)));
    }
    list.push_back("Each function is judged as if asked for. The same mode is one of the same name, notes and effects. Unknown in both is listed: whether they differ is not known.");
    return list;
}

std::string title(const Comparison& r) {
    const std::string &a = r.a.network().model().name, &b = r.b.network().model().name;
    return "Differences between " + r.names[0] + " and " + r.names[1] + ": " + (a == b ? a : a + " and " + b);
}

Table as_they_stand(const Comparison& r) {
    Table t{.title = "As the two stand", .captions = captions_of(r), .columns = {{"What"}, {r.names[0]}, {r.names[1]}}, .rows = {}, .footnotes = {}};
    for (const FunctionPair& p : r.functions) t.rows.push_back({named_in_both(r, function(r, p.function)), standing_cell(p.a), standing_cell(p.b)});
    for (const ElementPair& p : r.elements) t.rows.push_back({called(element(r, p.element)), spaced(std::string(name_of(p.a))), spaced(std::string(name_of(p.b)))});
    t.footnotes.push_back("What differs so differs so in every scenario, but where something else is said of it.");
    return t;
}

Table difference_groups_table(const Comparison& r, const std::vector<DifferenceGroup>& groups, std::string heading) {
    Table t{.title = std::move(heading), .captions = captions_of(r), .columns = {{"With"}, {"What"}, {r.names[0]}, {r.names[1]}, {"Worst"}}, .rows = {}, .footnotes = {}};
    for (const DifferenceGroup& g : groups) {
        Cell with = first_scenarios_text(r, g, most_in_table), worst = g.worst ? severity_cell(g.worst) : Cell();
        const auto add = [&](const std::string& what, Cell a, Cell b) {
            t.rows.push_back({std::exchange(with, {}), what, std::move(a), std::move(b), std::exchange(worst, {})});
        };
        for (const FunctionPair& p : g.functions) add(named_in_both(r, function(r, p.function)), standing_cell(p.a), standing_cell(p.b));
        for (const ElementPair& p : g.elements) add(called(element(r, p.element)), spaced(std::string(name_of(p.a))), spaced(std::string(name_of(p.b))));
        for (const FunctionPair& p : g.alike) add("no longer different: " + named_in_both(r, function(r, p.function)), standing_cell(p.a), standing_cell(p.b));
        for (const ElementPair& p : g.elements_alike) add("no longer different: " + called(element(r, p.element)), spaced(std::string(name_of(p.a))), spaced(std::string(name_of(p.b))));
    }
    return t;
}

Table only_table(const Comparison& r) {
    Table t{.title = "What only one has", .captions = captions_of(r), .columns = {{"What"}, {"Kind"}, {"In"}, {"In the other"}}, .rows = {}, .footnotes = {}};
    for (const OnlyOne& o : r.only) {
        std::string text = only_text(o);
        if (o.what == OnlyOne::What::mode) text = name_of(function(r, o.id)) + " by " + text;
        t.rows.push_back({text, std::string(name_of(o.what)), r.names[o.in_a ? 0 : 1], o.not_fitted ? Cell(Mark::not_fitted) : Cell("not there")});
    }
    t.footnotes.push_back("This is no difference of outcome: what it does to functions both have is among the scenarios.");
    return t;
}

}  // namespace

std::string scenarios_text(const Comparison& r, const DifferenceGroup& group) { return first_scenarios_text(r, group, group.scenarios.size()); }

std::vector<Table> tables(const Comparison& r) {
    std::vector<Table> list{as_they_stand(r), difference_groups_table(r, r.groups, "With one thing added")};
    if (r.options.order > 1) list.push_back(difference_groups_table(r, r.pairs, "With two failures"));
    for (std::string& note : notes(r)) list[1].footnotes.push_back(std::move(note));
    list.push_back(only_table(r));
    return list;
}

std::string text(const Comparison& r) {
    std::string out;
    append_wrapped(out, "", title(r), 4);
    append_captions(out, captions_of(r));
    out += "\nAs the two stand, and with everything below but where it says otherwise\n";
    if (r.functions.empty() && r.elements.empty()) out += "  no difference\n";
    append_pairs(out, r, r.functions, r.elements);
    append_groups(out, r, r.groups);
    if (r.options.order > 1) out += "\nWITH TWO FAILURES: what differs with neither alone\n";
    append_groups(out, r, r.pairs);
    append_only(out, r);
    out += '\n';
    for (const std::string& note : notes(r)) append_wrapped(out, "", note, 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
