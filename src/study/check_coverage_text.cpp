// The sheet of what checks reveal.
#include <algorithm>

#include <fedfrom/study/check_coverage.hpp>

#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::size_t most_failures_named = 6;

class CoverageSheet {
public:
    explicit CoverageSheet(const Coverage& coverage) : x_(coverage), c_(coverage.before.network().compiled()) {}

    Table steps() const {
        Table t = table("What each step proves", {{"Check and step"}, {"Look at"}, {"Expected"}, {"Wrong reading, and with which failure"}, {"Paths proved"}});
        for (const CoverageStep& s : x_.steps) {
            std::string wrong;
            for (const WrongReading& w : s.wrong) wrong += (wrong.empty() ? "" : "\n") + quoted(w.reading) + ": " + failures_text(c_, refs(w.failures), most_failures_named);
            std::vector<std::string> paths;
            for (const std::size_t p : s.proves) paths.push_back(fed_text(x_.paths[p]) + " " + path_text(x_.paths[p]));
            t.rows.push_back({step_text(s), s.look_at.empty() ? "" : name(s.look_at), s.look_at.empty() ? Cell() : Cell(quoted(s.expect)), expectation(s, wrong), listed(paths)});
        }
        t.footnotes.push_back("A step proves a path where its reading would be wrong with that path alone cut, everything else in order.");
        if (std::ranges::any_of(x_.steps, [](const CoverageStep& s) { return !s.met; }))
            t.footnotes.push_back("A step that does not read as expected in the aircraft as it stands proves nothing: its expectation, or the model, is not right.");
        if (std::ranges::any_of(x_.steps, [](const CoverageStep& s) { return !s.unknown.empty(); }))
            t.footnotes.push_back("Readings that are unknown, since something never comes to rest, reveal nothing.");
        return t;
    }

    Table paths() const {
        Table t = table("Paths side by side", {{"Fed"}, {"Path"}, {"Proved by"}, {"Shows by itself where it is cut"}});
        for (const Path& p : x_.paths) {
            std::vector<std::string> steps;
            for (const std::size_t s : p.proved_by) steps.push_back(check_name(x_.steps[s].check) + ", step " + std::to_string(x_.steps[s].number));
            t.rows.push_back({fed_text(p), path_text(p), steps.empty() ? Cell("unproved", Mark::unknown) : Cell(listed(steps)), names(p.shows)});
        }
        t.footnotes.push_back("Unproved: no step would read otherwise were that path gone. While another path feeds it, normal use does not tell either.");
        return t;
    }

    Table hidden() const {
        Table t = table("What no check reveals", {{"Failure"}, {"Shows by itself"}});
        const std::vector<std::size_t> hidden = x_.hidden();
        for (std::size_t first = 0, last = 0; first < hidden.size(); first = last) {
            const CoverageFailure& f = x_.failures[hidden[first]];
            std::vector<FailureRef> together;  // modes of one element that show the same
            for (; last < hidden.size() && x_.failures[hidden[last]].element == f.element && x_.failures[hidden[last]].shows == f.shows; ++last) together.push_back(ref(hidden[last]));
            t.rows.push_back({failures_text(c_, together, 1), f.shows.empty() ? Cell("nowhere", Mark::unknown) : Cell(names(f.shows))});
        }
        t.footnotes.push_back("Shows by itself: indications that then change as things stand. Nowhere: no check and no indication tells; it hides until something else fails or is asked for.");
        return t;
    }

    Table alike() const {
        Table t = table("What looks alike in every step", {{"Group"}, {"Failures"}});
        std::size_t number = 0;
        for (const auto& group : x_.alike) t.rows.push_back({++number, failures_text(c_, refs(group), group.size())});
        t.footnotes.push_back("Revealed failures that give the same reading in every step of every check: these checks do not tell them apart.");
        return t;
    }

    Table matrix() const {
        Table t = table("Failures and checks", {{"Failure"}});
        std::vector<std::string> ids;
        for (const auto& [id, check] : x_.checks) {
            ids.push_back(id);
            t.columns.push_back({check_name(id)});
        }
        for (std::size_t f = 0; f < x_.failures.size(); ++f) {
            if (x_.failures[f].checks.empty()) continue;
            std::vector<Cell> row{failures_text(c_, {ref(f)}, 1)};
            for (const std::string& id : ids) row.emplace_back(first_wrong(id, f));
            t.rows.push_back(std::move(row));
        }
        t.footnotes.push_back("In a cell: the first step that reads wrong, and what it reads. Failures that no check reveals are in a table of their own.");
        return t;
    }

    std::vector<std::string> summary() const {
        const std::size_t hidden = x_.hidden().size(), silent = x_.silent().size(), revealed = x_.failures.size() - hidden;
        std::vector<std::string> lines{plural(x_.checks.size(), "check", "checks") + " " + (x_.checks.size() == 1 ? "reveals " : "reveal ") + std::to_string(revealed) + " of " +
                                       plural(x_.failures.size(), "single failure", "single failures") + ". Of the other " + std::to_string(hidden) + ", " +
                                       std::to_string(hidden - silent) + (hidden - silent == 1 ? " changes" : " change") + " an indication by " + (hidden - silent == 1 ? "itself" : "themselves") + " and " + std::to_string(silent) + (silent == 1 ? " shows" : " show") + " nowhere."};
        for (const CoverageStep& s : x_.steps)
            if (!s.met) lines.push_back("Not as expected: " + check_name(s.check) + ", step " + std::to_string(s.number) + ": " + name(s.look_at) + " is expected to show " + quoted(s.expect) + " and shows " + (s.reads ? quoted(*s.reads) : "what is unknown") + " in the aircraft as it stands.");
        const auto unproved = static_cast<std::size_t>(std::ranges::count_if(x_.paths, [](const Path& p) { return p.proved_by.empty(); }));
        if (!x_.paths.empty()) lines.push_back(std::to_string(unproved) + " of " + plural(x_.paths.size(), "path", "paths") + " that stand side by side " + (unproved == 1 ? "stays" : "stay") + " unproved.");
        if (!x_.adds_nothing.empty()) lines.push_back("Each adds nothing to the others: " + listed(check_names(x_.adds_nothing)) + ".");
        if (x_.smallest.size() < x_.checks.size())
            lines.push_back(std::string(x_.smallest_exact ? "As few checks as reveal the same: " : "Fewer checks that reveal the same (there may be fewer still): ") + (x_.smallest.empty() ? "none" : listed(check_names(x_.smallest))) + ".");
        lines.push_back("One failure at a time: a second one may hide what a check reveals of the first. It shows what the model holds, and is no maintenance instruction.");
        return lines;
    }

private:
    const Coverage& x_;
    const Compiled& c_;

    Table table(std::string title, std::vector<Column> columns) const {
        return {.title = std::move(title), .captions = captions(x_.before), .columns = std::move(columns), .rows = {}, .footnotes = {}};
    }

    static std::string quoted(const std::string& text) { return text.empty() ? "nothing" : "\"" + text + "\""; }
    const std::string& name(const std::string& element) const { return name_of(c_.elements[index_of(c_.elements, element)]); }
    std::string names(const std::vector<std::string>& elements) const {
        std::vector<std::string> list;
        for (const std::string& id : elements) list.push_back(name(id));
        return listed(list);
    }
    std::string check_name(const std::string& id) const {
        const std::string& name = x_.checks.at(id).name;
        return name.empty() ? spaced(id) : name;
    }
    std::vector<std::string> check_names(const std::vector<std::string>& ids) const {
        std::vector<std::string> list;
        for (const std::string& id : ids) list.push_back(check_name(id));
        return list;
    }
    FailureRef ref(std::size_t f) const { return {.element = x_.failures[f].element, .mode = x_.failures[f].mode}; }
    std::vector<FailureRef> refs(const std::vector<std::size_t>& failures) const {
        std::vector<FailureRef> list;
        for (const std::size_t f : failures) list.push_back(ref(f));
        return list;
    }

    std::string step_text(const CoverageStep& s) const {
        const std::string act = demand_text(c_, s.act);
        return check_name(s.check) + ", step " + std::to_string(s.number) + (act.empty() ? "" : ": " + act);
    }

    Cell expectation(const CoverageStep& s, const std::string& wrong) const {
        if (s.met) return wrong.empty() && !s.look_at.empty() ? Cell("with no single failure") : Cell(wrong);
        return Cell((s.reads ? quoted(*s.reads) : "Unknown") + " as the aircraft stands: proves nothing", Mark::unknown);
    }

    /// "Standby bus"; where its ports matter, "Fuel valve (power)".
    std::string fed_text(const Path& p) const {
        const ElementInfo& e = c_.elements[index_of(c_.elements, p.element)];
        return name_of(e) + (e.ports.size() > 1 ? " (" + p.port + ")" : "");
    }

    std::string path_text(const Path& p) const {
        return (p.tie ? "tied to " : "from ") + name(p.upstream) + (p.through.empty() ? "" : " through " + names(p.through));
    }

    std::string first_wrong(const std::string& check, std::size_t failure) const {
        for (const CoverageStep& s : x_.steps) {
            if (s.check != check) continue;
            for (const WrongReading& w : s.wrong)
                if (std::ranges::binary_search(w.failures, failure)) return std::to_string(s.number) + ": " + quoted(w.reading);
        }
        return {};
    }
};

}  // namespace

std::vector<Table> tables(const Coverage& coverage) {
    const CoverageSheet sheet(coverage);
    std::vector<Table> list{sheet.steps(), sheet.paths(), sheet.hidden(), sheet.alike(), sheet.matrix()};
    list.front().captions.push_back({"Summary", sheet.summary().front()});
    return list;
}

std::string text(const Coverage& coverage) {
    std::string out;
    append_wrapped(out, "What the checks reveal: ", coverage.before.network().model().name, 4);
    append_captions(out, captions(coverage.before));
    for (const std::string& line : CoverageSheet(coverage).summary()) append_wrapped(out, "", line, 4);
    append_tables(out, tables(coverage));
    return out;
}

}  // namespace fedfrom
