// The sheet for a whiteboard, and the tables behind it.
#include <fedfrom/study/what_works.hpp>

#include <algorithm>
#include <map>

#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

const ElementInfo& element(const WhatWorks& w, const std::string& id) { return w.outcome.network().compiled().elements[w.outcome.network().element(id).index]; }

std::vector<std::string> names_in(const WhatWorks& w, const std::vector<std::string>& ids, bool with_ids = false) {
    std::vector<std::string> list;
    for (const std::string& id : ids) list.push_back(with_ids ? called(element(w, id)) : name_of(element(w, id)));
    return list;
}

std::string from(const WhatWorks& w, const Sources& sources) {
    const std::string list = listed(names_in(w, sources.ids));
    if (!sources.sure) return list.empty() ? "source unknown" : "from " + list + " (unknown which)";
    return list.empty() ? "" : "from " + list;
}

/// "3 others" keeps a sheet short; the table has them all.
constexpr std::size_t most_named = 40;

void append_named(std::string& out, std::string_view first, std::vector<std::string> names, std::size_t hang = 4) {
    if (names.size() > most_named) {
        const std::size_t more = names.size() - most_named;
        names.resize(most_named);
        names.push_back(std::to_string(more) + " more");
    }
    append_wrapped(out, first, with_stop(listed(names)), hang);
}

void append_stored(std::string& out, const WhatWorks& w) {
    if (w.stored.empty()) return;
    out += "\nON STORED ENERGY ALONE\n";
    std::map<std::vector<std::string>, std::vector<const StoredLine*>> by_store;
    for (const StoredLine& line : w.stored) by_store[line.stores].push_back(&line);
    for (const auto& [stores, lines] : by_store) {
        append_wrapped(out, "  ", listed(names_in(w, stores)), 4);
        std::vector<std::string> elements;
        for (const StoredLine* line : lines) {
            const std::string& name = line->name.empty() ? line->id : line->name;
            if (!line->function) elements.push_back(name);
            else
                append_wrapped(out, "    ", name + ": " + std::string(word_of(line->now)) + ", once spent " + std::string(word_of(line->without)) + ".", 6);
        }
        if (!elements.empty()) append_named(out, stores.size() == 1 ? "    On it hang: " : "    On them hang: ", elements, 6);
    }
}

std::string sentence(const WhatWorks& w, const FunctionLine& f) {
    std::string text = f.name.empty() ? f.id : f.name;
    std::string how;
    const auto add = [&](const std::string& part) {
        if (!part.empty()) how += (how.empty() ? "" : ", ") + part;
    };
    if (f.level <= Level::degraded && f.mode.empty()) add("by which mode is unknown");
    if (f.level == Level::degraded || f.mode_name != spaced(f.mode)) add(f.mode_name);  // the normal way only where it has a name
    add(from(w, f.sources));
    add(f.demand);
    if (f.level != Level::lost && f.now && !*f.now) add("not in operation now");
    if (f.severity) add("severity " + std::string(fedfrom::name_of(*f.severity)));
    if (!how.empty()) text += ": " + how;
    for (const auto& [quantity, value] : f.effects) text += "; " + quantity + " " + number_text(value);
    for (const std::string& note : f.crew) text += "; " + without_stop(note);
    return with_stop(text);
}

void append_functions(std::string& out, const WhatWorks& w) {
    constexpr std::array order{Level::normal, Level::degraded, Level::lost, Level::unknown, Level::not_fitted};
    for (std::size_t first = 0; first < w.functions.size();) {
        std::size_t last = first;
        while (last < w.functions.size() && w.functions[last].group == w.functions[first].group) ++last;
        const std::string& group = w.functions[first].group;
        const bool only = first == 0 && last == w.functions.size() && group.empty();
        append_wrapped(out, "\n", only ? "FUNCTIONS" : group.empty() ? "In no group" : group, 0);
        for (const Level level : order)
            for (std::size_t i = first; i < last; ++i) {
                if (w.functions[i].level != level) continue;
                std::string word(word_of(level));
                word.resize(11, ' ');
                append_wrapped(out, "  " + word, sentence(w, w.functions[i]), 13);
            }
        first = last;
    }
}

void append_roots(std::string& out, const WhatWorks& w) {
    out += '\n';
    std::vector<std::string> roots;
    for (const FailureRef& f : w.roots) roots.push_back(called(element(w, f.element)) + " " + f.mode + (f.at.empty() ? "" : " at " + f.at));
    append_named(out, "Failed: ", roots.empty() ? std::vector<std::string>{"nothing"} : roots);
    std::vector<std::string> dead, unknown;
    for (const std::string& id : w.consequences)
        (w.outcome.status(id) == Status::unknown ? unknown : dead).push_back(name_of(element(w, id)));
    if (!dead.empty()) append_named(out, "Not supplied in consequence: ", dead);
    if (!unknown.empty()) append_named(out, "Unknown in consequence: ", unknown);
    if (!w.tripped.empty()) append_named(out, "Tripped: ", names_in(w, w.tripped, true));
    if (!w.hunting.empty())
        append_wrapped(out, "Never comes to rest: ", listed(names_in(w, w.hunting, true)) + ". What hangs on it is unknown, not kept.", 4);
}

std::string counts_text(const Counts& n) {
    std::string text = "kept " + std::to_string(n.kept) + ", degraded " + std::to_string(n.degraded) + ", lost " + std::to_string(n.lost);
    if (n.unknown) text += ", unknown " + std::to_string(n.unknown);
    if (n.not_fitted) text += ", not fitted " + std::to_string(n.not_fitted);
    return text + ".";
}

Table all_functions_table(const WhatWorks& w) {
    Table t{.title = "Functions", .captions = captions(w.outcome),
            .columns = {{"Function"}, {"Group"}, {"Level"}, {"Mode"}, {"Live source"}, {"Judged"}, {"In operation"}, {"Severity"}, {"Crew"}, {"Effects"}}};
    for (const FunctionLine& f : w.functions) {
        std::string crew, effects;
        for (const std::string& note : f.crew) crew += (crew.empty() ? "" : "; ") + without_stop(note);
        for (const auto& [quantity, value] : f.effects) effects += (effects.empty() ? "" : "; ") + quantity + " " + number_text(value);
        std::string sources = listed(names_in(w, f.sources.ids));
        if (!f.sources.sure) sources += sources.empty() ? "unknown" : " (unknown which)";
        t.rows.push_back({f.name.empty() ? f.id : f.name, f.group, Cell(word_of(f.level), mark_of(f.level)), f.mode_name,
                          sources, f.demand, !f.now ? "unknown" : *f.now ? "yes" : "no",
                          f.severity ? std::string(fedfrom::name_of(*f.severity)) : std::string(), crew, effects});
    }
    t.footnotes = w.assumptions;
    t.footnotes.push_back("Counts: " + counts_text(w.counts));
    return t;
}

Table stored_table(const WhatWorks& w) {
    Table t{.title = "On stored energy alone", .captions = captions(w.outcome), .columns = {{"What"}, {"Is"}, {"Now"}, {"Once spent"}, {"Store"}}};
    for (const StoredLine& s : w.stored) {
        const auto level = [&](Level l) {
            if (s.function || l == Level::unknown) return Cell(word_of(l), mark_of(l));
            return Cell(l == Level::normal ? "supplied" : "unsupplied", mark_of(l));
        };
        t.rows.push_back({s.name.empty() ? s.id : s.name, s.function ? "function" : "element", level(s.now), level(s.without), listed(names_in(w, s.stores))});
    }
    return t;
}

Table all_elements_table(const WhatWorks& w) {
    Table t{.title = "Elements", .captions = captions(w.outcome), .columns = {{"Element"}, {"Name"}, {"Status"}, {"Position"}, {"Passes"}, {"Live source"}}};
    for (const ElementLine& e : w.elements) {
        const bool device_only = only_has_position(*element(w, e.id).element);
        const Mark mark = e.status == Status::supplied ? Mark::kept : e.status == Status::unknown ? Mark::unknown
                        : e.status == Status::not_fitted ? Mark::not_fitted : e.status == Status::off ? Mark::none : Mark::lost;
        Cell status(fedfrom::name_of(e.status), mark);
        if (device_only && e.status == Status::supplied) status = {};  // a switch is nowhere but somewhere
        t.rows.push_back({e.id, e.name, status, e.position + (e.tripped ? " (tripped)" : ""),
                          e.passing == "unknown" ? Cell("unknown", Mark::unknown) : Cell(e.passing),
                          device_only ? std::string() : listed(names_in(w, e.sources.ids)) + (e.sources.sure ? "" : " (unknown which)")});
    }
    return t;
}

}  // namespace

std::string text(const WhatWorks& w) {
    std::string out;
    append_wrapped(out, "What works: ", w.outcome.network().model().name, 4);
    append_captions(out, captions(w.outcome));
    append_stored(out, w);
    append_functions(out, w);
    append_roots(out, w);
    append_wrapped(out, "Functions: ", counts_text(w.counts), 4);
    out += '\n';
    for (const std::string& line : w.assumptions) append_wrapped(out, "", line, 4);
    append_wrapped(out, "", caution, 0);
    return out;
}

std::vector<Table> tables(const WhatWorks& w) {
    std::vector<Table> list;
    if (!w.stored.empty()) list.push_back(stored_table(w));
    list.push_back(all_functions_table(w));
    list.push_back(all_elements_table(w));
    return list;
}

}  // namespace fedfrom
