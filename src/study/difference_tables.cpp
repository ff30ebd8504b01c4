#include "difference_tables.hpp"

#include <algorithm>

#include "words.hpp"

namespace fedfrom::detail {
namespace {

std::string now_text(std::optional<bool> now) { return !now ? "unknown" : *now ? "in operation" : "not in operation"; }

std::string tripped_text(std::optional<bool> tripped) { return !tripped ? "perhaps tripped" : *tripped ? "tripped" : ""; }

/// "supplied, at open, shows LOW".
std::string element_text(Status status, const std::string& position, std::optional<bool> tripped, const std::optional<std::string>& shown, bool shows) {
    std::vector<std::string> parts{spaced(std::string(fedfrom::name_of(status)))};
    if (!position.empty()) parts.push_back(position == "unknown" ? "at an unknown position" : "at " + position);
    if (!tripped_text(tripped).empty()) parts.push_back(tripped_text(tripped));
    if (shows) parts.push_back(!shown ? "shows what is unknown" : shown->empty() ? "shows nothing" : "shows " + *shown);
    return listed(parts, ", ");
}

const ElementInfo& info(const Outcome& of, const std::string& id) { return of.network().compiled().elements[index_of(of.network().compiled().elements, id)]; }

}  // namespace

Cell level_cell(Level level, const std::string& mode_name) {
    if (level == Level::degraded && !mode_name.empty()) return {mode_name, Mark::degraded};
    return {std::string(word_of(level)), mark_of(level)};
}

Table functions_table(const Outcome& of, const Difference& d, std::string title) {
    const Compiled& c = of.network().compiled();
    Table t{.title = std::move(title), .captions = captions(of), .columns = {{"Function"}, {"Before"}, {"After"}, {"Now"}}, .rows = {}, .footnotes = {}};
    const auto operation = [&](const std::string& id) {
        const auto o = std::ranges::find(d.operation, id, &Operation::function);
        return o == d.operation.end() ? std::string() : now_text(o->after);
    };
    std::vector<std::string> told;
    for (const auto* list : {&d.gained, &d.worse, &d.other})
        for (const Change& change : *list) {
            const FunctionInfo& f = c.functions[index_of(c.functions, change.function)];
            t.rows.push_back({name_of(f), level_cell(change.before, change.mode_name_before), level_cell(change.after, change.mode_name_after), operation(change.function)});
            told.push_back(change.function);
        }
    for (const Operation& o : d.operation)
        if (std::ranges::find(told, o.function) == told.end()) t.rows.push_back({name_of(c.functions[index_of(c.functions, o.function)]), {}, {}, now_text(o.after)});
    t.footnotes.push_back("Better first, then worse. Each function is judged as if asked for now. Now: whether it is in operation as things then stand, where that differs.");
    return t;
}

Table elements_table(const Outcome& of, const Difference& d, std::string title) {
    Table t{.title = std::move(title), .captions = captions(of), .columns = {{"Element"}, {"Before"}, {"After"}}, .rows = {}, .footnotes = {}};
    for (const ElementChange& e : d.elements) {
        const bool shows = e.shown_before != e.shown_after;
        t.rows.push_back({called(info(of, e.id)), element_text(e.before, e.position_before, e.tripped_before, e.shown_before, shows),
                          element_text(e.after, e.position_after, e.tripped_after, e.shown_after, shows)});
    }
    return t;
}

Table undone_table(const Outcome& of, const Undone& undone) {
    const Compiled& c = of.network().compiled();
    Table t{.title = "What stays when it is taken back", .captions = captions(of), .columns = {{"What"}, {"Stays"}}, .rows = {}, .footnotes = {}};
    for (const Lasting& l : undone.lasting) {
        const bool function = l.why == Lasting::Why::used;
        t.rows.push_back({function ? called(c.functions[index_of(c.functions, l.id)]) : called(info(of, l.id)), l.text});
    }
    for (const auto* list : {&undone.difference.gained, &undone.difference.worse, &undone.difference.other})
        for (const Change& change : *list)
            t.rows.push_back({called(c.functions[index_of(c.functions, change.function)]), level_cell(change.after, change.mode_name_after)});
    for (const ElementChange& e : undone.difference.elements)
        if (std::ranges::find(undone.lasting, e.id, &Lasting::id) == undone.lasting.end())
            t.rows.push_back({called(info(of, e.id)), element_text(e.after, e.position_after, e.tripped_after, e.shown_after, e.shown_before != e.shown_after)});
    t.footnotes.push_back(undone.complete() ? "Everything is then as before." : "Taken back: hands where they were, a reset device where the trip had left it. What is used is not given back.");
    return t;
}

}  // namespace fedfrom::detail
