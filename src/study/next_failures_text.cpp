// The sheet of next failures: what hurts more than on the clean aircraft, the sources left, and the rest.
#include <algorithm>

#include "harm.hpp"
#include "next.hpp"
#include "words.hpp"

namespace fedfrom {
namespace detail {
namespace {

const Compiled& compiled(const NextFailures& next) { return next.before.network().compiled(); }

std::vector<Caption> captions_of(const NextFailures& next) {
    std::vector<Caption> list = captions(next.before);
    if (!next.options.goals.empty()) {
        std::vector<std::string> names;
        const Compiled& c = compiled(next);
        for (const std::string& id : next.options.goals) names.push_back(name_of(c.functions[index_of(c.functions, id)]));
        list.push_back({"Functions examined", "only " + listed(names)});
    }
    return list;
}

constexpr std::size_t most_sets_named = 3;

std::string named_set(const Compiled& c, const std::vector<std::string>& set) {
    std::vector<std::string> names;
    for (const std::string& id : set) names.push_back(name_of(c.elements[index_of(c.elements, id)]));
    return listed(names);
}

/// One function taken to a level.
struct Taken {
    std::string function{};
    Level level = Level::unknown;
    std::string mode_name{};
};

constexpr std::size_t most_taken_named = 4;

/// The worst first; the rest is a number.
std::string taken_text(const Compiled& c, std::vector<Taken> taken) {
    std::ranges::stable_sort(taken, [&](const Taken& a, const Taken& b) {
        const auto weight = [&](const Taken& t) { return std::pair(severity_of(c.functions[index_of(c.functions, t.function)], t.level), t.level != Level::degraded); };
        return weight(a) > weight(b);
    });
    std::string text;
    for (std::size_t i = 0; i < taken.size() && i < most_taken_named; ++i)
        text += (i ? "; " : "") + function_text(c, taken[i].function, taken[i].level, taken[i].mode_name);
    if (taken.size() > most_taken_named) text += "; and " + plural(taken.size() - most_taken_named, "other function", "other functions");
    return text;
}

/// A row by its cause; causes that do the same share one.
struct CauseRow {
    std::string cause{};
    std::vector<Cell> cells{};
};

void append(Table& t, const std::vector<CauseRow>& rows) {
    for (const CauseRow& row : rows) {
        const auto same = std::ranges::find_if(t.rows, [&](const std::vector<Cell>& r) { return std::equal(r.begin() + 1, r.end(), row.cells.begin(), row.cells.end()); });
        if (same != t.rows.end()) {
            auto& causes = std::get<std::string>(same->front().value);
            causes += "; " + row.cause;
            continue;
        }
        t.rows.push_back({row.cause});
        t.rows.back().insert(t.rows.back().end(), row.cells.begin(), row.cells.end());
    }
}

Cell count_cell(const SourceCount& n, Mark mark) {
    if (n.kept_without && n.count > most_sources_counted) return Cell("kept without any");
    if (n.count > most_sources_counted) return Cell(std::to_string(n.count) + " or more", mark);
    if (!n.exact) return Cell(std::to_string(n.count) + " or more, not counted further", Mark::unknown);
    return Cell(std::to_string(n.count), mark);
}

std::string named_sets(const Compiled& c, const SourceCount& n) {
    std::string text;
    for (std::size_t i = 0; i < n.sets.size() && i < most_sets_named; ++i) text += (i ? "; or " : "") + named_set(c, n.sets[i]);
    if (n.sets.size() > most_sets_named) text += "; and " + plural(n.sets.size() - most_sets_named, "other set", "other sets");
    return text;
}

}  // namespace

std::string severities_text(const NextFailures& next) {
    std::vector<std::string> parts;
    for (int s = static_cast<int>(Severity::catastrophic); s >= 0; --s)
        if (const std::size_t n = next.newly_exposed(static_cast<Severity>(s))) parts.push_back(std::to_string(n) + " " + spaced(std::string(fedfrom::name_of(static_cast<Severity>(s)))));
    if (const std::size_t n = next.newly_exposed(std::nullopt)) parts.push_back(std::to_string(n) + " without a severity");
    return listed(parts);
}

Table exposed_table(const NextFailures& next) {
    const Compiled& c = compiled(next);
    Table t{.title = "Failures that hurt more than on the clean aircraft", .captions = captions_of(next),
            .columns = {{"Next failure"}, {"Severity"}, {"Alone, on the clean aircraft"}, {"Takes further than before, and than alone"}}};
    std::vector<const NextFailure*> rows;
    for (const NextFailure& f : next.rows)
        if (!f.exposed.empty()) rows.push_back(&f);
    std::ranges::stable_sort(rows, [](const NextFailure* a, const NextFailure* b) { return a->exposed_worst > b->exposed_worst; });
    std::vector<CauseRow> lines;
    for (const NextFailure* f : rows) {
        std::vector<Taken> taken;
        for (const Exposed& e : f->exposed) taken.push_back({e.function, e.after, e.mode_after});
        lines.push_back({cause_text(c, f->now), {severity_cell(f->exposed_worst), f->clean_worst ? severity_cell(f->clean_worst) : Cell("nothing said"), taken_text(c, std::move(taken))}});
    }
    append(t, lines);
    t.footnotes.push_back("Listed is each failure that takes a function further, on top of what is present, than either does alone: to a worse level, or to a mode further down. "
                          "Severity is the worst of these functions.");
    t.footnotes.push_back(plural(next.examined, "cause", "causes") + " examined, one at a time" +
                          (next.options.causes ? ", common causes and zones among them. " : ". ") + "What the model does not have can fail too, and is not here.");
    return t;
}

Table sources_table(const NextFailures& next) {
    const Compiled& c = compiled(next);
    Table t{.title = "Independent sources left", .captions = captions_of(next), .columns = {{"Function"}, {"Left now"}, {"Clean aircraft"}, {"Now lost altogether by the loss of"}}};
    bool budget = false;
    for (const SourcesLeft& s : next.sources) {
        const bool fewer = s.now.count < s.clean.count;
        const Mark mark = s.now.count == 0 ? Mark::lost : fewer ? Mark::changed : Mark::none;
        budget |= !s.now.exact || !s.clean.exact;
        const FunctionInfo& f = c.functions[index_of(c.functions, s.function)];
        const Judgement& judged = next.before.judged()[index_of(c.functions, s.function)];
        std::string taken = named_sets(c, s.now);
        if (s.now.count == 0) taken = "already " + std::string(word_of(judged.level));
        t.rows.push_back({name_of(f), count_cell(s.now, mark), count_cell(s.clean, Mark::none), taken});
    }
    t.footnotes.push_back("Counted is the smallest number of losses among sources, converters, controllers, pumps and motors that takes the function altogether: exact up to three. Two behind one controller count as one.");
    t.footnotes.push_back("Buses, lines, ducts and devices are not counted: where one of them carries everything, its loss stands among the single failures. Kept without any: not lost even with all of them lost.");
    if (budget) t.footnotes.push_back("Incomplete: the search stopped at " + plural(next.options.most_settles, "trial", "trials") + ". Where a number says \"not counted further\" there are that many at least.");
    return t;
}

Table remaining_table(const NextFailures& next) {
    const Compiled& c = compiled(next);
    const bool some = std::ranges::any_of(next.rows, [](const NextFailure& f) { return !f.exposed.empty(); });
    Table t{.title = some ? "Failures that hurt no more than on the clean aircraft" : "Next failures by harm", .captions = captions_of(next),
            .columns = {{"Next failure"}, {"Severity"}, {"Takes"}}};
    std::vector<CauseRow> lines;
    for (const NextFailure& f : next.rows) {
        if (!f.exposed.empty()) continue;
        std::vector<Taken> taken;
        for (const Change& change : f.now.changes)
            if (worsens(c, change)) taken.push_back({change.function, change.after, change.mode_name_after});
        lines.push_back({cause_text(c, f.now), {severity_cell(f.worst), taken_text(c, std::move(taken))}});
    }
    append(t, lines);
    t.footnotes.push_back("Worst severity first, then the most functions lost, then degraded. A severity is of the level a function is taken to; an unknown level counts as lost. "
                          "Not said: the author gave none.");
    return t;
}

}  // namespace detail

std::vector<Table> tables(const NextFailures& next) {
    std::vector<Table> list{detail::exposed_table(next)};
    if (next.options.sources) list.push_back(detail::sources_table(next));
    list.push_back(detail::remaining_table(next));
    return list;
}

std::string text(const NextFailures& next) {
    using namespace detail;
    const Compiled& c = compiled(next);
    std::string out;
    append_wrapped(out, "Next failures: ", next.before.network().model().name, 4);
    append_captions(out, captions_of(next));
    std::vector<std::string> already;
    for (const Change& change : next.changes) already.push_back(function_text(c, change.function, change.after, change.mode_name_after));
    append_wrapped(out, "Already, against the clean aircraft: ", already.empty() ? "nothing lost or degraded." : with_stop(listed(already)), 4);
    const std::string counts = severities_text(next);
    append_wrapped(out, "Single failures that hurt more than on the clean aircraft: ", counts.empty() ? "none." : with_stop(counts), 4);
    append_tables(out, tables(next));
    return out;
}

}  // namespace fedfrom
