#include <algorithm>

#include <fedfrom/study/load_sheet.hpp>

#include "figures.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

std::vector<Caption> sheet_captions(const LoadSheet& s) {
    std::vector<Caption> list = captions(s.outcome);
    list.push_back({"Operating condition", spaced(s.condition)});
    if (!s.shed.empty()) list.push_back({"Shed", names(s.outcome.network().compiled(), shed_loads(s.outcome.network(), s.shed))});
    list.push_back({"Continuous power", "sources deliver " + text(s.delivered_watts) + " W, loads take " + text(s.consumed_watts) + " W, converters lose " + text(s.lost_watts) + " W"});
    return list;
}

std::string unit_of(const LoadLine& line) { return line.rating_unit == "amps" ? " A" : line.rating_unit == "watts" ? " W" : " VA"; }

Mark overload_mark(const LoadLine& line) { return line.overload == Overload::yes ? Mark::exceeded : line.overload == Overload::possible ? Mark::unknown : Mark::none; }

Cell rating_of(const LoadLine& line) { return line.rating ? Cell(number_text(*line.rating) + unit_of(line)) : Cell("none given"); }

Cell margin_of(const LoadLine& line) {
    if (!line.rating) return {};
    return {text(line.margin) + (line.margin.low || line.margin.high ? unit_of(line) : ""), overload_mark(line)};
}

bool reactive(const std::vector<const LoadLine*>& lines) {
    return std::ranges::any_of(lines, [](const LoadLine* l) { return l->five_seconds.watts != l->five_seconds.volt_amperes || l->continuous.watts != l->continuous.volt_amperes; });
}

Table lines_table(const LoadSheet& s, std::string title, std::string head, std::initializer_list<LoadRole> roles) {
    std::vector<const LoadLine*> lines;
    for (const LoadLine& line : s.lines)
        if (std::ranges::find(roles, line.role) != roles.end() && (line.role != LoadRole::device || line.rating)) lines.push_back(&line);
    const bool loads = *roles.begin() == LoadRole::load, devices = *roles.begin() == LoadRole::device, apparent = !devices && reactive(lines);
    Table t{.title = std::move(title), .captions = sheet_captions(s), .columns = {{std::move(head)}, {"At", "V"}, {"Continuous", "A"}, {"5 min", "A"}, {"5 s", "A"}, {"With inrush", "A"}}, .rows = {}, .footnotes = {}};
    if (!devices) t.columns.push_back({"Continuous", "W"});
    if (devices) t.footnotes.push_back("Those with a rating.");
    if (apparent) t.columns.push_back({"Continuous", "VA"});
    if (!loads) t.columns.insert(t.columns.end(), {{"Rating"}, {"Margin"}});
    for (const LoadLine* line : lines) {
        const std::string status = line->status == Status::supplied ? "" : " (" + spaced(std::string(fedfrom::name_of(line->status))) + ")";
        const bool off = line->role != LoadRole::device && line->status != Status::supplied && line->status != Status::unknown;
        std::vector<Cell> row{line->name + (line->role == LoadRole::device ? "" : status)};
        if (off) {
            row.resize(apparent ? 8 : 7);  // no device is ever off
        } else {
            const Mark mark = line->rating_unit == "amps" && line->overload == Overload::yes ? Mark::exceeded : Mark::none;
            row.insert(row.end(), {line->volts ? Cell(*line->volts) : Cell(), cell_of(line->continuous.amps, mark), cell_of(line->five_minutes.amps), cell_of(line->five_seconds.amps), cell_of(line->inrush_amps)});
            if (!devices) row.push_back(cell_of(line->continuous.watts));
            if (apparent) row.push_back(cell_of(line->continuous.volt_amperes));
        }
        if (!loads) row.insert(row.end(), {rating_of(*line), off ? Cell() : margin_of(*line)});
        t.rows.push_back(std::move(row));
    }
    return t;
}

Table findings_table(const LoadSheet& s) {
    Table t{.title = "Load sheet: findings", .captions = sheet_captions(s), .columns = {{"Finding"}, {"Where"}}, .rows = {}, .footnotes = {}};
    for (const LoadFinding& f : s.findings) {
        const bool sure = f.what == LoadFinding::What::overload || f.what == LoadFinding::What::wire;
        t.rows.push_back({Cell(spaced(std::string(fedfrom::name_of(f.what))), sure ? Mark::exceeded : f.what == LoadFinding::What::possible_overload ? Mark::unknown : Mark::changed), f.text});
    }
    if (s.findings.empty()) t.rows.push_back({"none", "No continuous load above a rating, no generator above 80 percent, no wire finding, as far as figures are given."});
    for (const std::string& m : s.missing) t.footnotes.push_back(m);
    std::string assumed = "Assumed:";
    for (const std::string& a : s.assumptions) assumed += ' ' + a;
    t.footnotes.push_back(assumed);
    return t;
}

/// "galley, heater, (radio)"; the first few by name.
std::string without_text(const SourceOut& out) {
    constexpr std::size_t most = 6;
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(most, out.without_supply.size()); ++i) {
        const WithoutSupply& w = out.without_supply[i];
        words.push_back(w.status == Status::unknown ? "(" + w.name + ")" : w.name);
    }
    if (out.without_supply.size() > most) words.push_back(std::to_string(out.without_supply.size() - most) + " more");
    return listed(words, ", ");
}

Table out_table(const LoadSheet& s) {
    Table t{.title = "One source or converter out", .captions = sheet_captions(s), .columns = {{"Lost"}, {"Then carries"}, {"Continuous", "A"}, {"5 min", "A"}, {"5 s", "A"}, {"Continuous", "W"}, {"Rating"}, {"Margin"}, {"Without supply"}}, .rows = {}, .footnotes = {}};
    for (const SourceOut& out : s.one_out) {
        bool first = true;
        const std::string without = without_text(out);
        for (const LoadLine& line : out.lines) {
            if (line.status != Status::supplied && line.role == LoadRole::source) continue;
            t.rows.push_back({first ? Cell(out.name) : Cell(), line.name, cell_of(line.continuous.amps, line.overload == Overload::yes && line.rating_unit == "amps" ? Mark::exceeded : Mark::none), cell_of(line.five_minutes.amps), cell_of(line.five_seconds.amps), cell_of(line.continuous.watts), rating_of(line), margin_of(line), first ? Cell(without) : Cell()});
            first = false;
        }
        if (first) t.rows.push_back({out.name, "nothing is left", {}, {}, {}, {}, {}, {}, without});
    }
    t.footnotes.push_back("Lost in one step, settled; what is shed by the aircraft itself is shed here. All sources that are left, and whatever is, or may be, overloaded. Without supply: loads that draw as things stand; in brackets what is not known.");
    return t;
}

}  // namespace

std::vector<Table> tables(const LoadSheet& s) {
    std::vector<Table> all{findings_table(s), lines_table(s, "Sources", "Source", {LoadRole::source}), lines_table(s, "Buses and converters", "Bus or converter", {LoadRole::bus, LoadRole::converter}),
                           lines_table(s, "Breakers and other devices", "Device", {LoadRole::device}), lines_table(s, "Loads", "Load", {LoadRole::load})};
    all.back().footnotes.push_back("5 min and 5 s are averages over so long, an intermittent load counted for its duty; one that draws for more than five minutes is continuous. With inrush: the largest single inrush on top of the 5 s average.");
    if (!s.one_out.empty()) all.push_back(out_table(s));
    std::erase_if(all, [](const Table& t) { return t.rows.empty(); });
    return all;
}

std::string text(const LoadSheet& s) {
    std::string out;
    append_wrapped(out, "Load sheet: ", s.outcome.network().model().name, 4);
    append_captions(out, sheet_captions(s));
    append_tables(out, tables(s));
    return out;
}

}  // namespace fedfrom
