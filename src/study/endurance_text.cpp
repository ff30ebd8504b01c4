#include <algorithm>

#include <fedfrom/study/endurance.hpp>

#include "figures.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

std::string percent(double part) { return number_text(rounded(100 * part)) + " percent"; }

std::string verdict(const Endurance& e, const BatteryEndurance& b);

std::vector<Caption> sheet_captions(const Endurance& e) {
    std::vector<Caption> list = captions(e.outcome);
    if (!e.batteries.empty()) {
        list.push_back({"Operating condition", spaced(e.options.condition)});
        if (!e.options.shed.empty()) list.push_back({"Shed", names(e.outcome.network().compiled(), shed_loads(e.outcome.network(), e.options.shed))});
    }
    for (const BatteryEndurance& b : e.batteries) list.push_back({b.name, verdict(e, b)});
    return list;
}

std::string required_text(const Endurance& e) { return number_text(*e.options.required_min) + " min required"; }

/// "40.8 min, 30 min required: pass".
std::string verdict(const Endurance& e, const BatteryEndurance& b) {
    if (!b.in_use) return "carries no load in this state";
    if (!b.amp_hours) return "no capacity is given, so how long it lasts is not known";
    std::string words = text(b.minutes) + (b.minutes.low || b.minutes.high ? " min" : "");
    if (b.reserve_kept == false) words += ", without what is held back for the landing";
    if (e.options.required_min) words += "; " + required_text(e) + ": " + (!b.passed ? "not decided" : *b.passed ? "pass" : "fail");
    return words;
}

std::string capacity(const Endurance& e, const BatteryEndurance& b) {
    std::string words = number_text(*b.amp_hours) + " Ah nameplate";
    if (e.options.derating) words += ", derated to " + percent(*e.options.derating);
    if (e.options.charge) words += ", charged to " + percent(*e.options.charge);
    return words + ": " + number_text(rounded(*b.usable_amp_hours)) + " Ah usable";
}

std::string charger_text(const Endurance& e, const BatteryEndurance& b) {
    if (b.charger.empty()) return "no charger in the model";
    const std::string name = name_of(e.outcome.network().compiled().elements[e.outcome.network().element(b.charger).index]);
    return name + (!b.charger_supplied ? ": whether it has supply is not known" : *b.charger_supplied ? " has supply; what it puts back is not counted" : " has no supply, so nothing is put back");
}

Table batteries_table(const Endurance& e) {
    Table t{.title = "Battery endurance", .captions = sheet_captions(e), .columns = {{"Battery"}, {"Phase"}, {"Condition"}, {"Time", "min"}, {"Load", "A"}, {"Once", "A min"}, {"Verdict"}}, .rows = {}, .footnotes = {}};
    for (const BatteryEndurance& b : e.batteries) {
        const Mark mark = !b.passed ? (e.options.required_min && b.in_use ? Mark::unknown : Mark::none) : *b.passed ? Mark::kept : Mark::lost;
        const std::string passed = !e.options.required_min ? "" : !b.passed ? "not decided" : *b.passed ? "pass" : "fail";
        t.rows.push_back({b.name, b.in_use ? Cell("in all") : Cell("not in use"), Cell(), b.in_use ? cell_of(b.minutes) : Cell(), Cell(), Cell(), b.in_use ? Cell(passed, mark) : Cell()});
        if (!b.in_use) continue;
        for (const BatteryPhase& p : b.phases)
            t.rows.push_back({Cell(), spaced(std::string(fedfrom::name_of(p.what))), spaced(p.condition), b.usable_amp_hours ? cell_of(p.minutes) : Cell("unknown", Mark::unknown), cell_of(p.amps), cell_of(p.once_amp_minutes)});
        if (b.usable_amp_hours) t.footnotes.push_back(b.name + ": " + capacity(e, b) + "; " + charger_text(e, b) + ".");
    }
    for (const std::string& m : e.missing) t.footnotes.push_back(m);
    std::string assumed = "Assumed:";
    for (const std::string& a : e.assumptions) assumed += ' ' + a;
    if (!e.assumptions.empty()) t.footnotes.push_back(assumed);
    return t;
}

Table sheds_table(const Endurance& e) {
    const Compiled& c = e.outcome.network().compiled();
    Table t{.title = "What shedding buys", .captions = sheet_captions(e), .columns = {{"Load"}, {"Battery"}, {"Takes", "A"}, {"Alone buys", "min"}, {"Then in all", "min"}, {"Off by"}, {"Which also cuts"}}, .rows = {}, .footnotes = {}};
    constexpr std::size_t most = 3;
    constexpr double worth_min = 0.5;
    std::size_t left_out = 0;
    for (const BatteryEndurance& b : e.batteries)
        for (const ShedLoad& s : b.sheds) {
            if (s.bought_min.high && *s.bought_min.high < worth_min) {
                ++left_out;
                continue;
            }
            std::vector<std::string> also;
            for (std::size_t i = 0; i < std::min(most, s.also_off.size()); ++i) also.push_back(name_of(c.elements[index_of(c.elements, s.also_off[i])]));
            if (s.also_off.size() > most) also.push_back(std::to_string(s.also_off.size() - most) + " more");
            t.rows.push_back({s.name, b.name, cell_of(s.amps), cell_of(s.bought_min), s.total_min.low || s.total_min.high ? cell_of(s.total_min) : Cell("no end known"), s.off_by.empty() ? Cell("nothing in the cockpit") : Cell(name_of(c.elements[index_of(c.elements, s.off_by)])), listed(also)});
        }
    t.footnotes.push_back("Best first: each line's time in all is with every load above it shed too. Which loads may be shed is not said here." + (left_out == 0 ? "" : " " + plural(left_out, "load buys", "loads buy") + " less than half a minute each and " + (left_out == 1 ? "is" : "are") + " left out."));
    return t;
}

Cell litres_of(const std::optional<double>& litres) { return litres ? Cell(rounded(*litres)) : Cell(); }
Cell count_of(const std::optional<int>& count) { return count ? Cell(*count) : Cell(); }

Table gas_table(const Endurance& e) {
    Table t{.title = "Accumulators and bottles", .captions = captions(e.outcome), .columns = {{"Store"}, {"State"}, {"Usable, slow", "l"}, {"Usable, rapid", "l"}, {"Applications, slow"}, {"Applications, rapid"}, {"As stated"}, {"Verdict"}}, .rows = {}, .footnotes = {}};
    for (const GasEndurance& g : e.gas) {
        Cell verdict(g.missing);
        if (e.options.required_applications) verdict = !g.passed ? Cell("not decided" + (g.missing.empty() ? "" : "; " + g.missing), Mark::unknown) : Cell(std::string(*g.passed ? "pass" : "fail"), *g.passed ? Mark::kept : Mark::lost);
        t.rows.push_back({g.name, std::string(fedfrom::name_of(g.status)), litres_of(g.slow_litres), litres_of(g.rapid_litres), count_of(g.slow_applications), count_of(g.rapid_applications), count_of(g.stated), verdict});
    }
    t.footnotes.push_back("Between its highest and lowest pressure, each " + number_text(atmosphere_psi) + " psi above the gauge; slow is isothermal, rapid polytropic with n " + number_text(e.options.rapid_exponent) +
                          ". An accumulator gives fluid; a bottle gas, at its lowest pressure. Computed from full; as stated is what is left of the author's own number."
                          + (e.options.required_applications ? " " + std::to_string(*e.options.required_applications) + " applications required, by the least of the three." : ""));
    return t;
}

}  // namespace

std::vector<Table> tables(const Endurance& e) {
    std::vector<Table> all;
    if (!e.batteries.empty()) all.push_back(batteries_table(e));
    if (std::ranges::any_of(e.batteries, [](const BatteryEndurance& b) { return !b.sheds.empty(); })) all.push_back(sheds_table(e));
    if (!e.gas.empty()) all.push_back(gas_table(e));
    return all;
}

std::string text(const Endurance& e) {
    std::string out;
    append_wrapped(out, "Endurance: ", e.outcome.network().model().name, 4);
    append_captions(out, sheet_captions(e));
    append_tables(out, tables(e));
    return out;
}

}  // namespace fedfrom
