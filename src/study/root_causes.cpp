#include <fedfrom/study/root_causes.hpp>

#include <algorithm>
#include <map>

#include "causes.hpp"
#include "difference_tables.hpp"
#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;
using Of = Consequence::Of;
using RootPlaces = std::vector<std::size_t>;

const Compiled& compiled(const RootCauses& r) { return r.outcome.network().compiled(); }

Consequence consequence_of(const Outcome& out, const Outcome& running, const Plight& plight) {
    const Compiled& c = out.network().compiled();
    Consequence q;
    if (plight.of == Plight::Of::function) {
        const FunctionInfo& f = c.functions[plight.index];
        q.id = *f.id;
        q.name = f.function->name;
        q.change = change_of(c, plight.index, running.judged()[plight.index], out.judged()[plight.index]);
        q.severity = severity_of(f, q.change.after);
        return q;
    }
    const ElementInfo& e = c.elements[plight.index];
    q.of = plight.of == Plight::Of::supply ? Of::element : plight.of == Plight::Of::trip ? Of::trip : Of::empty;
    q.id = *e.id;
    q.name = e.element->name;
    q.status = out.status(ElementHandle{plight.index});
    return q;
}

/// The single causes where any is enough alone, else every smallest set.
std::vector<RootPlaces> roots_of(const CauseSets& sets, const std::vector<RootCause>& causes) {
    std::vector<RootPlaces> list;
    const bool single = !sets.sets.empty() && sets.sets.front().size() == 1;
    for (const auto& set : sets.sets) {
        if (single && set.size() > 1) continue;
        RootPlaces& places = list.emplace_back();
        for (const RootCause& cause : set) places.push_back(static_cast<std::size_t>(std::ranges::find(causes, cause) - causes.begin()));
    }
    return list;
}

/// By set of roots, fewest first: its consequences.
std::vector<std::pair<RootPlaces, std::vector<const Consequence*>>> by_roots(const RootCauses& r) {
    std::map<std::pair<std::size_t, RootPlaces>, std::vector<const Consequence*>> map;
    for (const Consequence& q : r.consequences)
        for (const RootPlaces& places : q.roots) map[{places.size(), places}].push_back(&q);
    std::vector<std::pair<RootPlaces, std::vector<const Consequence*>>> list;
    for (auto& [key, consequences] : map) list.emplace_back(key.second, std::move(consequences));
    return list;
}

std::string roots_text(const RootCauses& r, const RootPlaces& places) {
    std::vector<RootCause> set;
    for (const std::size_t i : places) set.push_back(r.causes[i]);
    return detail::set_text(set);
}

std::string consequence_name(const Consequence& q) { return q.name.empty() ? q.id : q.name; }

std::string what(const RootCauses& r, const Consequence& q) {
    if (q.of == Of::function) return function_text(compiled(r), q.id, q.change.after, q.change.mode_name_after);
    return consequence_name(q) + (q.of == Of::element && q.status != Status::unsupplied ? " (" + spaced(std::string(fedfrom::name_of(q.status))) + ")" : "");
}

/// " (also by 2 alone)", where it is listed under several.
std::string also(const Consequence& q, const RootPlaces& here) {
    if (q.roots.size() < 2) return {};
    std::vector<std::string> others;
    for (const RootPlaces& places : q.roots) {
        if (places == here) continue;
        std::vector<std::string> numbers;
        for (const std::size_t i : places) numbers.push_back(std::to_string(i + 1));
        others.push_back(listed(numbers, " with "));
    }
    return " [also by " + listed(others, ", ") + "]";
}

void append_consequences(std::string& out, const RootCauses& r, const std::vector<const Consequence*>& list, const RootPlaces& under) {
    const std::array<std::pair<Of, std::string>, 4> headings{{{Of::function, "Functions: "}, {Of::element, "Without supply: "}, {Of::trip, "Tripped: "}, {Of::empty, "Empty: "}}};
    for (const auto& [of, heading] : headings) {
        std::vector<std::string> words;
        for (const Consequence* q : list)
            if (q->of == of) words.push_back(what(r, *q) + also(*q, under));
        if (!words.empty()) append_wrapped(out, "    " + heading, with_stop(listed(words)), 8);
    }
}

std::vector<std::string> without_consequence(const RootCauses& r) {
    std::vector<std::string> list;
    for (std::size_t i = 0; i < r.causes.size(); ++i)
        if (std::ranges::none_of(r.consequences, [&](const Consequence& q) { return std::ranges::any_of(q.roots, [&](const RootPlaces& p) { return std::ranges::find(p, i) != p.end(); }); })) list.push_back(r.causes[i].text);
    return list;
}

std::vector<std::string> notes(const RootCauses& r) {
    std::vector<std::string> list;
    if (const auto idle = without_consequence(r); !idle.empty()) list.push_back("Present, and the root of nothing here: " + listed(idle) + ".");
    if (!r.remembered.empty()) list.push_back("What the aircraft remembers beside these causes: " + listed(r.remembered) + ".");
    if (!r.complete) list.push_back("Incomplete: of " + plural(r.causes.size(), "cause", "causes") + " present, every set of up to " + std::to_string(r.complete_to) + " was tried.");
    list.push_back("A root alone, or the set together, put into the running aircraft in one step, leaves the consequence no better than it stands. Worse than in the running aircraft: " +
                   plural(r.consequences.size(), "consequence", "consequences") + ".");
    return list;
}

const char* order_note(const RootCauses& r) { return r.complete ? "By no set of causes in one step; it hangs on the order of what happened, or on what is there no more" : "By no set of causes that was tried"; }

}  // namespace

RootCauses root_causes(const Outcome& outcome) {
    const Causes causes(outcome);
    RootCauses r{.outcome = outcome, .running = causes.running(), .causes = causes.present()};
    std::vector<Plight> plights = causes.consequences();
    const auto in_groups = in_group_order(compiled(r));
    std::ranges::stable_sort(plights, {}, [&](const Plight& p) {
        return std::pair(p.of, p.of == Plight::Of::function ? static_cast<std::uint32_t>(std::ranges::find(in_groups, p.index) - in_groups.begin()) : p.index);
    });
    const std::vector<CauseSets> sets = causes.explain(plights);
    for (std::size_t i = 0; i < plights.size(); ++i) {
        Consequence q = consequence_of(outcome, r.running, plights[i]);
        q.roots = roots_of(sets[i], r.causes);
        r.consequences.push_back(std::move(q));
        if (!sets[i].remembered.empty()) r.remembered = sets[i].remembered;
        r.complete = sets[i].complete;
        r.complete_to = sets[i].complete_to;
    }
    return r;
}

RootCauses root_causes(const State& state) {
    State copy = state;
    return root_causes(settle(copy));
}

Table table(const RootCauses& r) {
    Table t{.title = "Root causes and consequences", .captions = captions(r.outcome), .columns = {{"Root cause"}, {"Consequence"}, {"Kind"}, {"Stands"}, {"Severity"}}, .rows = {}, .footnotes = notes(r)};
    const auto add = [&](const std::string& root, const Consequence& q) {
        const bool function = q.of == Of::function;
        const Cell stands = function ? level_cell(q.change.after, q.change.mode_name_after) : Cell(q.of == Of::trip ? "tripped" : spaced(std::string(fedfrom::name_of(q.status))));
        t.rows.push_back({root, consequence_name(q), std::string(fedfrom::name_of(q.of)), stands, function ? severity_cell(q.severity) : Cell()});
    };
    for (const auto& [places, consequences] : by_roots(r))
        for (const Consequence* q : consequences) add(roots_text(r, places), *q);
    for (const Consequence& q : r.consequences)
        if (q.roots.empty()) add(order_note(r), q);
    return t;
}

std::string text(const RootCauses& r) {
    std::string out;
    append_wrapped(out, "Root causes and consequences: ", r.outcome.network().model().name, 4);
    append_captions(out, captions(r.outcome));
    for (const auto& [places, consequences] : by_roots(r)) {
        std::vector<std::string> numbers;
        for (const std::size_t i : places) numbers.push_back(std::to_string(i + 1));
        out += '\n';
        append_wrapped(out, listed(numbers, " with ") + "  ", roots_text(r, places) + (places.size() > 1 ? ", only together" : ""), 4);
        append_consequences(out, r, consequences, places);
    }
    std::vector<const Consequence*> rootless;
    for (const Consequence& q : r.consequences)
        if (q.roots.empty()) rootless.push_back(&q);
    if (!rootless.empty()) {
        out += '\n';
        append_wrapped(out, "", order_note(r), 4);
        append_consequences(out, r, rootless, {});
    }
    out += '\n';
    for (const std::string& note : notes(r)) append_wrapped(out, "", note, 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
