// The sheet of what hangs on a bus, breaker or source.
#include <algorithm>
#include <utility>

#include <fedfrom/study/supply_list.hpp>

#include "difference_tables.hpp"
#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

const Compiled& compiled(const SupplyList& s) { return s.outcome.network().compiled(); }
const ElementInfo& info(const SupplyList& s, const std::string& id) { return compiled(s).elements[index_of(compiled(s).elements, id)]; }

std::string title(const SupplyList& s) { return "Supply list: " + called(info(s, s.id)); }

std::vector<std::string> names_in(const SupplyList& s, const std::vector<std::string>& ids) {
    std::vector<std::string> list;
    for (const std::string& id : ids) list.push_back(name_of(info(s, id)));
    return list;
}

std::string status_text(const SupplyList& s) {
    const ElementInfo& it = info(s, s.id);
    const ElementHandle e = s.outcome.network().element(s.id);
    if (!it.fitted) return "Not fitted.";
    const std::string passes = passing(s.outcome, e.index);
    std::string text;
    if (!it.positions.empty()) text = "At " + std::string(s.outcome.position(e).value_or("an unknown position")) + (passes.empty() ? "" : ", " + passes);
    if (it.ports.size() > 0 || it.positions.empty()) {
        const std::string status = spaced(std::string(fedfrom::name_of(s.outcome.status(e))));
        text += (text.empty() ? "" : ", ") + status;
    }
    text.front() = static_cast<char>(text.front() >= 'a' && text.front() <= 'z' ? text.front() - 'a' + 'A' : text.front());
    return text + ".";
}

std::string line_text(const SupplyLine& line) { return (line.name.empty() ? line.id : line.name) + (line.without == Status::unknown ? " (unknown)" : ""); }

void append_lines(std::string& out, const std::string& heading, const std::vector<SupplyLine>& lines) {
    if (lines.empty()) return;
    std::vector<std::string> direct, further;
    for (const SupplyLine& line : lines) (line.direct ? direct : further).push_back(line_text(line));
    out += "\n" + heading + " (" + std::to_string(lines.size()) + ")\n";
    if (!direct.empty()) append_wrapped(out, "  Directly: ", with_stop(listed(direct)), 4);
    if (!further.empty()) append_wrapped(out, direct.empty() ? "  Through others: " : "  Further on: ", with_stop(listed(further)), 4);
}

/// What takes over, and what of: those with the same sources together.
void append_taken_over(std::string& out, const SupplyList& s) {
    if (s.uses.empty()) return;
    out += "\nUses it now, and another feed would take over (" + std::to_string(s.uses.size()) + ")\n";
    std::vector<std::pair<std::vector<std::string>, std::vector<std::string>>> groups;  // sources, what lives on them
    for (const SupplyLine& line : s.uses) {
        auto group = std::ranges::find(groups, line.sources, [](const auto& g) { return g.first; });
        if (group == groups.end()) group = groups.insert(groups.end(), {line.sources, {}});
        group->second.push_back(line_text(line) + (line.direct ? " (directly)" : ""));
    }
    for (const auto& [sources, lines] : groups)
        append_wrapped(out, "  Then from " + (sources.empty() ? "what is not sure" : listed(names_in(s, sources))) + ": ", with_stop(listed(lines)), 4);
}

Table ways_table(const SupplyList& s) {
    const bool device = std::ranges::any_of(s.ways, [&](const SupplyWay& way) { return way.into != s.id; });
    Table t{.title = device ? "The ways it stands in" : "What feeds it", .captions = captions(s.outcome), .columns = {{"Port"}, {"From"}, {"Stands"}}, .rows = {}, .footnotes = {}};
    if (device) t.columns.insert(t.columns.begin(), {"Into"});
    for (const SupplyWay& way : s.ways) {
        std::vector<Cell> row{way.port, way.text, Cell(way.stands, way.in_use ? Mark::kept : Mark::none)};
        if (device) row.insert(row.begin(), name_of(info(s, way.into)));
        t.rows.push_back(std::move(row));
    }
    if (!s.path.empty()) t.footnotes.push_back("All the way, nearest first: " + listed(names_in(s, s.path)) + ".");
    if (!s.sources.empty()) t.footnotes.push_back("Sources in use: " + listed(names_in(s, s.sources)) + ".");
    if (!s.others.empty()) t.footnotes.push_back("Sources from which some way leads, not in use for it: " + listed(names_in(s, s.others)) + ".");
    return t;
}

Table hanging_table(const SupplyList& s) {
    Table t{.title = "What hangs on it", .captions = captions(s.outcome), .columns = {{"Element"}, {"Hangs on it"}, {"Directly"}, {"With it lost"}, {"Then from"}}, .rows = {}, .footnotes = {s.lost_as}};
    const auto add = [&](const std::vector<SupplyLine>& lines, const char* how, Mark mark) {
        for (const SupplyLine& line : lines)
            t.rows.push_back({line.name.empty() ? line.id : line.name, Cell(how, mark), line.direct ? "yes" : "no", spaced(std::string(fedfrom::name_of(line.without))), listed(names_in(s, line.sources))});
    };
    add(s.needs, "needs it", Mark::lost);
    add(s.uses, "uses it now", Mark::none);
    add(s.could, "could use it", Mark::none);
    add(s.unknown, "unknown as things stand", Mark::unknown);
    t.footnotes.push_back("Needs it: loses supply, or may, with it alone lost. Uses it now: stays supplied, by another feed. Could use it: some way leads there from it, open or not.");
    if (!s.sure) t.footnotes.push_back("Something never comes to rest, with it or without: which feed is in use is not sure.");
    return t;
}

Table changes_table(const SupplyList& s) {
    Table t{.title = "Functions that change with it", .captions = captions(s.outcome), .columns = {{"Function"}, {"As things stand"}, {"With it lost"}, {"Severity"}}, .rows = {}, .footnotes = {}};
    for (const Change& change : s.functions) {
        const FunctionInfo& f = compiled(s).functions[index_of(compiled(s).functions, change.function)];
        t.rows.push_back({name_of(f), level_cell(change.before, change.mode_name_before), level_cell(change.after, change.mode_name_after), severity_cell(severity_of(f, change.after))});
    }
    return t;
}

}  // namespace

std::vector<Table> tables(const SupplyList& s) { return {ways_table(s), hanging_table(s), changes_table(s)}; }

std::string text(const SupplyList& s) {
    std::string out;
    append_wrapped(out, "", title(s) + ". " + status_text(s), 4);
    append_captions(out, captions(s.outcome));
    const Table ways = ways_table(s);
    if (!s.ways.empty()) out += "\n" + ways.title + "\n";
    else if (info(s, s.id).fitted) out += only_has_position(*info(s, s.id).element) ? "\nIt stands in no way.\n" : "\nIt is a source.\n";
    for (const SupplyWay& way : s.ways)
        append_wrapped(out, "  " + (way.into == s.id ? way.port : name_of(info(s, way.into)) + ", " + way.port) + " from ", way.text + ": " + with_stop(way.stands), 6);
    for (const std::string& note : ways.footnotes) append_wrapped(out, "  ", note, 4);
    append_lines(out, "Needs it", s.needs);
    append_taken_over(out, s);
    append_lines(out, "Could use it, and does not now", s.could);
    append_lines(out, "Whether it is supplied is unknown", s.unknown);
    if (s.needs.empty() && s.uses.empty() && !s.lost_already) out += "\nNothing needs it or uses it as things stand.\n";
    if (!s.functions.empty()) out += "\nFunctions that change with it (" + std::to_string(s.functions.size()) + ")\n";
    for (const Change& change : s.functions) {
        std::string line = function_text(compiled(s), change.function, change.after, change.mode_name_after);
        append_wrapped(out, "  ", with_stop(std::move(line)), 4);
    }
    out += '\n';
    for (const std::string& note : hanging_table(s).footnotes) append_wrapped(out, "", note, 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
