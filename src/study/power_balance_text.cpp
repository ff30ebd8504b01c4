#include <algorithm>

#include <fedfrom/study/power_balance.hpp>

#include "difference_tables.hpp"
#include "effect.hpp"
#include "figures.hpp"
#include "power_groups.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

std::string in_unit(const Figure& f, const std::string& unit) {
    return text(f) + (!f.low && !f.high ? "" : unit == "amps" ? " A" : unit == "watts" ? " W" : " VA");
}

/// "Generator 1 and Generator 2; Standby inverter": of those that stay off line.
std::string off_line(const PowerBalance& b) {
    std::vector<std::string> groups;
    for (const BalanceRound& round : b.rounds)
        for (const Overloading& o : round.overloaded)
            if (round.stays_off) groups.push_back(listed(o.names));
    return listed(groups, "; ");
}

/// Something that feeds others and needs none itself still gives voltage, or may.
bool source_left(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const std::uint32_t port = load_port(c, e);
        if (port == none || is_machine(*c.elements[e].element)) continue;
        for (std::uint32_t f = c.ports[port].feeds.first; f < c.ports[port].feeds.last; ++f) {
            const std::uint32_t source = c.feeds[f].upstream;
            const Status status = out.status(ElementHandle{source});
            const bool gives = load_port(c, source) == none || is_machine(*c.elements[source].element);
            if (gives && (status == Status::supplied || status == Status::unknown)) return true;
        }
    }
    return false;
}

/// Nothing rests on any source.
bool nothing_drawn(const PowerBalance& b) {
    if (b.after.worlds().all_unknown) return false;
    for (std::size_t w = 0; w < b.after.worlds().values.size(); ++w) {
        const LoadGraph graph(View(b.after), w);
        if (!power_groups(graph, LoadFlow(graph, b.options.condition), b.options).list.empty()) return false;
    }
    return true;
}

std::string verdict(const PowerBalance& b) {
    std::string words;
    const bool none_left = !source_left(b.after);
    if (b.rounds.empty() && none_left) words = "no source gives voltage, so that nothing is carried";
    else if (b.rounds.empty() && nothing_drawn(b)) words = "nothing is drawn from any source";
    else if (b.rounds.empty()) words = b.decided ? "all sources carry what rests on them" : "no source is surely overloaded";
    else if (off_line(b).empty()) words = "overloaded; then voltage comes back, for what still can run";
    else words = "overloaded, and off line until reset: " + off_line(b);
    return words + (b.decided ? "." : "; whether more are is not decided.") + (!b.rounds.empty() && none_left ? " No source is left." : "");
}

std::vector<Caption> sheet_captions(const PowerBalance& b) {
    std::vector<Caption> list = captions(b.before);
    const std::string over = b.options.over == LoadWindow::continuous ? "" : b.options.over == LoadWindow::inrush ? ", with the largest inrush" : ", over " + spaced(std::string(fedfrom::name_of(b.options.over)));
    list.push_back({"Operating condition", spaced(b.options.condition) + over});
    list.push_back({"Answer", verdict(b)});
    return list;
}

/// What a round made worse: by name where it is little.
std::string worse_text(const Compiled& c, const BalanceRound& round) {
    constexpr std::size_t most = 3;
    std::vector<Change> worse = round.difference.worse;
    worse.insert(worse.end(), round.difference.other.begin(), round.difference.other.end());
    return worse.size() > most ? plural(worse.size(), "function", "functions") : changes_text(c, worse);
}

Table overloads_table(const PowerBalance& b) {
    const Compiled& c = b.before.network().compiled();
    Table t{.title = "Power balance", .captions = sheet_captions(b), .columns = {{"Round"}, {"Sources"}, {"Load on them"}, {"They give"}, {"Then"}, {"Without their voltage, worse"}}, .rows = {}, .footnotes = {}};
    for (std::size_t i = 0; i < b.rounds.size(); ++i) {
        const BalanceRound& round = b.rounds[i];
        bool first = true;
        for (const Overloading& o : round.overloaded) {
            t.rows.push_back({first ? Cell(std::to_string(i + 1)) : Cell(), listed(o.names), Cell(in_unit(o.demand, o.unit), Mark::exceeded), in_unit(o.capacity, o.unit),
                              round.stays_off ? Cell("off line until reset", Mark::lost) : Cell("voltage comes back"), first ? Cell(worse_text(c, round)) : Cell()});
            first = false;
        }
    }
    for (const Overloading& o : b.possible) t.rows.push_back({Cell("not decided", Mark::unknown), listed(o.names), in_unit(o.demand, o.unit), in_unit(o.capacity, o.unit), "nothing was dropped"});
    if (t.rows.empty()) t.rows.push_back({Cell(), b.decided ? Cell("none overloaded") : Cell("none known to be overloaded", Mark::unknown)});
    for (const std::string& m : b.missing) t.footnotes.push_back(m);
    std::string assumed = "Assumed:";
    for (const std::string& a : b.assumptions) assumed += ' ' + a;
    t.footnotes.push_back(assumed);
    return t;
}

}  // namespace

std::vector<Table> tables(const PowerBalance& b) {
    std::vector<Table> all{overloads_table(b), functions_table(b.before, b.difference, "Functions that stand otherwise in the end"), elements_table(b.before, b.difference, "Elements that stand otherwise in the end")};
    std::erase_if(all, [](const Table& t) { return t.rows.empty(); });
    for (Table& t : all) t.captions = all.front().captions;
    return all;
}

std::string text(const PowerBalance& b) {
    std::string out;
    append_wrapped(out, "Power balance: ", b.before.network().model().name, 4);
    append_captions(out, sheet_captions(b));
    append_tables(out, tables(b));
    return out;
}

}  // namespace fedfrom
