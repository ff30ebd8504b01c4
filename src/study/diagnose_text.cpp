// The sheet of a diagnosis.
#include <algorithm>
#include <cstdio>

#include <fedfrom/study/diagnose.hpp>

#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::size_t most_shown = 40;       // candidates on a sheet
constexpr std::size_t most_worse_named = 3;  // of what a result leaves

std::string formatted(double number, const char* format) {
    char text[32];
    std::snprintf(text, sizeof text, format, number);
    return text;
}

class DiagnosisSheet {
public:
    explicit DiagnosisSheet(const Diagnosis& diagnosis) : d_(diagnosis), c_(diagnosis.before.network().compiled()) {}

    Table seen() const {
        Table t = table("What was seen", {{"No."}, {"Of"}, {"Seen"}, {"When"}, {"As the aircraft stands"}});
        for (std::size_t o = 0; o < d_.observations.size(); ++o) {
            const Observation& x = d_.observations[o];
            const std::string when = demand_text(c_, x.when);
            t.rows.push_back({o + 1, name(x.id), seen_text(x), when.empty() ? "as things stand" : when, has(d_.unexpected, o) ? Cell("otherwise", Mark::changed) : has(d_.undecided, o) ? Cell("unknown", Mark::unknown) : Cell("the same")});
        }
        t.footnotes.push_back("As the aircraft stands: what it would be with no further failure.");
        return t;
    }

    Table candidates() const {
        Table t = table("What explains it", {{"No."}, {"Failed"}, {"Explains"}, {"Contradicts"}, {"Undecided"}, {"Likely"}});
        for (std::size_t i = 0; i < std::min(most_shown, d_.candidates.size()); ++i) {
            const Candidate& x = d_.candidates[i];
            const std::size_t explains = d_.observations.size() - x.contradicts.size() - x.undecided.size();
            t.rows.push_back({i + 1, failed_text(x), std::to_string(explains) + " of " + std::to_string(d_.observations.size()), numbered(x.contradicts), numbered(x.undecided),
                              x.failures.empty() ? Cell() : x.likely ? Cell(formatted(*x.likely, "%.1e")) : Cell("no rate: " + failures_text(c_, x.missing, x.missing.size()))});
        }
        for (std::size_t kind = 0; kind < 2; ++kind) {
            const auto listed_here = static_cast<std::size_t>(std::ranges::count_if(d_.candidates.begin(), d_.candidates.begin() + static_cast<std::ptrdiff_t>(t.rows.size()), [&](const Candidate& x) { return x.contradicts.size() == kind; }));
            if (d_.found[kind] > listed_here)
                t.footnotes.push_back(std::to_string(d_.found[kind] - listed_here) + (kind == 0 ? " more that contradict nothing" : " more that contradict one observation") + " are not on this sheet.");
        }
        t.footnotes.push_back("Each is smallest: no part of it explains as much. Fewest contradictions first, then what surely explains, fewest failures, most likely, ids.");
        t.footnotes.push_back("Likely: the product of the rates, per flight hour, or probabilities. A missing rate is not assumed; what has one comes first.");
        if (std::ranges::any_of(d_.candidates, [](const Candidate& x) { return !x.contradicts.empty(); }))
            t.footnotes.push_back("What contradicts one observation explains all the others: it is for the case that this one was mistaken.");
        if (std::ranges::any_of(d_.candidates, [](const Candidate& x) { return !x.undecided.empty(); }))
            t.footnotes.push_back("Undecided: with these failures something never comes to rest, and what would be seen is unknown.");
        return t;
    }

    Table looks() const {
        Table t = table("What to look at next", {{"Look at or try"}, {"With"}, {"Bits"}, {"Result, and candidates it leaves"}, {"Made worse"}});
        for (const NextLook& x : d_.looks) {
            std::string results;
            for (const NextLook::Result& r : x.results) {
                results += (results.empty() ? "" : "\n") + (r.reading.empty() ? std::string("nothing") : is_function(x.id) ? r.reading : "\"" + r.reading + "\"") + ", " + formatted(100 * r.share, "%.0f") + " %: " + leaves_text(r);
            }
            t.rows.push_back({name(x.id), demand_text(c_, x.with), formatted(x.bits, "%.2f"), results, worse_text(x)});
        }
        t.footnotes.push_back("Bits: expected information about which of the first " + plural(d_.considered, "candidate", "candidates") + " it is, weighed " +
                              (d_.by_rates ? "by their rates." : "equally, since rates are missing.") + " Percentages are of that weight.");
        t.footnotes.push_back("Made worse: functions that the setting makes worse, as things stand or with the first candidate; what makes nothing worse comes first.");
        t.footnotes.push_back("It says what the model would tell, and is no procedure: all that a selection does, `preview` shows.");
        return t;
    }

    std::vector<std::string> summary() const {
        const std::size_t n = d_.observations.size();
        std::vector<std::string> lines;
        if (d_.unexpected.empty() && d_.undecided.empty()) lines.push_back(n == 0 ? "Nothing was observed: nothing need have failed." : "The aircraft as it stands explains all that was seen: nothing more need have failed.");
        else lines.push_back(std::to_string(d_.unexpected.size()) + " of " + plural(n, "observation", "observations") + (d_.unexpected.size() == 1 ? " is" : " are") + " not as the aircraft stands.");
        lines.push_back(plural(d_.found[0], "smallest set", "smallest sets") + " of up to " + plural(static_cast<std::size_t>(d_.options.most_failures), "failure", "failures") + (d_.found[0] == 1 ? " contradicts" : " contradict") + " nothing" +
                        (d_.options.mistaken ? "; " + std::to_string(d_.found[1]) + (d_.found[1] == 1 ? " contradicts" : " contradict") + " one observation." : "."));
        lines.push_back(std::string(d_.complete ? "Complete" : "Incomplete") + ": every set of up to " + (d_.complete ? plural(static_cast<std::size_t>(d_.options.most_failures), "failure", "failures") : std::to_string(d_.complete_to) + " of " + std::to_string(d_.options.most_failures)) +
                        " was examined, " + plural(d_.combinations, "combination", "combinations") + " that can reach what was seen" + (d_.complete ? "." : "; more were not. What is listed holds all the same."));
        return lines;
    }

private:
    const Diagnosis& d_;
    const Compiled& c_;

    Table table(std::string title, std::vector<Column> columns) const {
        return {.title = std::move(title), .captions = captions(d_.before), .columns = std::move(columns), .rows = {}, .footnotes = {}};
    }

    static bool has(const std::vector<std::size_t>& list, std::size_t place) { return std::ranges::find(list, place) != list.end(); }
    bool is_function(const std::string& id) const { return index_of(c_.functions, id) != none; }
    const std::string& name(const std::string& id) const { return is_function(id) ? name_of(c_.functions[index_of(c_.functions, id)]) : name_of(c_.elements[index_of(c_.elements, id)]); }

    std::string seen_text(const Observation& o) const {
        if (o.seen.empty()) return "shows nothing";
        const auto& shows = is_function(o.id) ? std::vector<Show>{} : c_.elements[index_of(c_.elements, o.id)].element->shows;
        return shows.empty() || o.seen == "works" || o.seen == "dead" ? o.seen : "shows \"" + o.seen + "\"";
    }

    std::string failed_text(const Candidate& x) const {
        if (x.failures.empty()) return "nothing more";
        std::vector<std::string> words;
        for (const FailureRef& f : x.failures) words.push_back(name_of(c_.elements[index_of(c_.elements, f.element)]) + ": " + f.mode);
        return listed(words);
    }

    /// By number in the table before: "1 to 3, 5".
    static std::string leaves_text(const NextLook::Result& r) {
        std::string text;
        for (std::size_t i = 0; i < r.leaves.size();) {
            std::size_t last = i;
            while (last + 1 < r.leaves.size() && r.leaves[last + 1] == r.leaves[last] + 1) ++last;
            text += (text.empty() ? "" : ", ") + std::to_string(r.leaves[i] + 1) + (last == i ? "" : (last == i + 1 ? ", " : " to ") + std::to_string(r.leaves[last] + 1));
            i = last + 1;
        }
        return text;
    }

    std::string worse_text(const NextLook& x) const {
        std::vector<std::string> words;
        for (std::size_t i = 0; i < std::min(most_worse_named, x.worse.size()); ++i) words.push_back(name(x.worse[i]));
        if (x.worse.size() > most_worse_named) words.push_back(plural(x.worse.size() - most_worse_named, "other", "others"));
        return listed(words);
    }

    static std::string numbered(const std::vector<std::size_t>& observations) {
        std::vector<std::string> words;
        for (const std::size_t o : observations) words.push_back("No. " + std::to_string(o + 1));
        return listed(words);
    }
};

}  // namespace

std::vector<Table> tables(const Diagnosis& diagnosis) {
    const DiagnosisSheet sheet(diagnosis);
    std::vector<Table> list{sheet.seen(), sheet.candidates()};
    if (!diagnosis.looks.empty()) list.push_back(sheet.looks());
    return list;
}

std::string text(const Diagnosis& diagnosis) {
    std::string out;
    append_wrapped(out, "Diagnosis: ", diagnosis.before.network().model().name, 4);
    append_captions(out, captions(diagnosis.before));
    for (const std::string& line : DiagnosisSheet(diagnosis).summary()) append_wrapped(out, "", line, 4);
    append_tables(out, tables(diagnosis));
    return out;
}

}  // namespace fedfrom
