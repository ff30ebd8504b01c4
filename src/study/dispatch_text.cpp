// The sheets of dispatch items and of open items.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "dispatch.hpp"
#include "harm.hpp"
#include "next.hpp"
#include "words.hpp"

namespace fedfrom {
namespace detail {

std::string ranked_changes_text(const Compiled& c, const std::vector<Change>& changes, std::size_t most) {
    std::vector<const Change*> order;
    for (const Change& change : changes) order.push_back(&change);
    std::ranges::stable_sort(order, [&](const Change* a, const Change* b) {
        const auto severity = [&](const Change* x) { return severity_of(c.functions[index_of(c.functions, x->function)], x->after); };
        return severity(a) > severity(b);
    });
    std::string text;
    const std::size_t named = most < order.size() && order.size() - most > 1 ? most : order.size();  // one more takes no more room than saying so
    for (std::size_t i = 0; i < named; ++i) text += (i ? "; " : "") + function_text(c, order[i]->function, order[i]->after, order[i]->mode_name_after);
    if (named < order.size()) text += "; and " + std::to_string(order.size() - named) + " other functions";
    return text;
}

namespace {

constexpr std::size_t most_changes_named = 4;

/// The mark as a list has it, whether or not its author wrote it.
std::string marked(std::string_view mark, const std::string& note) { return note.starts_with(mark) ? note : std::string(mark) + " " + note; }

std::string strung(const std::vector<std::string>& parts, std::string_view between) {
    std::string text;
    for (const std::string& part : parts) text += (text.empty() ? "" : std::string(between)) + part;
    return text;
}

std::string date_text(std::chrono::year_month_day day) {
    constexpr std::array<std::string_view, 12> months{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    return std::to_string(static_cast<unsigned>(day.day())) + " " + std::string(months[static_cast<unsigned>(day.month()) - 1]) + " " + std::to_string(static_cast<int>(day.year()));
}

std::string unit_label(const DispatchRow& r, const DeferredUnit& u) { return r.units.size() < 2 ? r.name : r.name + ", " + u.name; }

std::string provided_text(const std::vector<std::string>& provided) {
    return provided.empty() ? std::string() : "Provided " + strung(provided, "; ") + ".";
}

/// "hazardous: Left engine: loss; …", by severity, a few of each.
std::string exposed_text(const Compiled& c, const DeferredUnit& u, std::size_t most) {
    if (!u.exposed_examined) return "not examined: the budget ran out";
    std::string text;
    for (std::size_t i = 0; i < u.exposed.size();) {
        const auto severity = u.exposed[i].exposed_worst;
        std::vector<std::string> causes;
        for (; i < u.exposed.size() && u.exposed[i].exposed_worst == severity; ++i) causes.push_back(cause_text(c, u.exposed[i].now));
        const std::size_t more = causes.size() > most + 1 ? causes.size() - most : 0;
        if (more) causes.resize(most);
        text += (text.empty() ? "" : "\n") + (severity ? spaced(std::string(fedfrom::name_of(*severity))) : std::string("severity not said")) + ": " + strung(causes, "; ");
        if (more) text += "; and " + std::to_string(more) + " more";
    }
    return text;
}

std::string takes_text(const Compiled& c, const Hidden& h) {
    std::string text = ranked_changes_text(c, h.cause.changes, most_changes_named);
    if (h.elements.empty()) return text;
    std::vector<std::string> names;
    for (const std::string& id : h.elements) names.push_back(name_of(c.elements[index_of(c.elements, id)]));
    constexpr std::size_t most = 6;
    const std::size_t more = names.size() > most + 1 ? names.size() - most : 0;
    if (more) names.resize(most), names.push_back(std::to_string(more) + " more");
    return text + (text.empty() ? "off supply: " : "; off supply: ") + listed(names);
}

std::string hidden_text(const Compiled& c, const DeferredUnit& u) {
    std::vector<std::string> others;
    std::string text;
    for (const Hidden& h : u.hidden) {
        const std::string takes = takes_text(c, h);
        if (takes.empty()) others.push_back(cause_text(c, h.cause));
        else text += (text.empty() ? "" : "\n") + cause_text(c, h.cause) + " also takes: " + takes;
    }
    if (!others.empty()) text += (text.empty() ? "" : "\n") + std::string("with nothing else taken: ") + strung(others, "; ");
    return text;
}

std::string conditions_text(const DeferredUnit& u) {
    std::string text;
    for (const Provided& p : u.provided) text += (text.empty() ? "" : "\n") + p.text + ": " + std::string(word_of(p.met)) + (p.reason.empty() ? "" : ", " + p.reason);
    return text;
}

/// Which other deferrals break its conditions, and which pairs cost more.
std::string conflicts_text(const DispatchTable& t, const std::string& item, const std::string& unit) {
    const Model& m = t.before.network().model();
    std::vector<std::string> lines;
    for (const Conflict& conflict : t.conflicts) {
        const auto self = std::ranges::find(conflict.deferrals, Deferral{item, unit, std::nullopt});
        if (self == conflict.deferrals.end()) continue;
        std::vector<std::string> others;
        for (const Deferral& d : conflict.deferrals)
            if (&d != &*self) others.push_back(called(m, d));
        const bool theirs = !conflict.condition.empty() && self != conflict.deferrals.begin();
        lines.push_back((theirs ? "for " : "") + listed(others) + " (" + std::string(word_of(conflict.why)) + "): " + conflict.text);
    }
    return strung(lines, "\n");
}

Table list_table(const DispatchTable& t) {
    Table table{.title = "Dispatch items", .captions = captions(t.before),
                .columns = {{"Item"}, {"Category"}, {"Number installed", "", Align::right}, {"Number required for dispatch", "", Align::right}, {"Remarks or exceptions"}}};
    for (const DispatchRow& r : t.rows)
        table.rows.push_back({heading(r.ata, r.name), interval_text(r.category), r.installed, r.required, remarks_text(r.maintenance, r.operational, r.provided, r.remarks)});
    table.footnotes = dispatch_notes();
    return table;
}

Table at_once_table(const DispatchTable& t) {
    const Compiled& c = t.before.network().compiled();
    Table table{.title = "Lost or degraded at once", .captions = captions(t.before), .columns = {{"With this out"}, {"Lost or degraded at once"}}};
    for (const DispatchRow& r : t.rows) {
        std::vector<std::pair<std::vector<Cell>, std::vector<std::string>>> groups;  // units of which the same is said
        for (const DeferredUnit& u : r.units) {
            std::string takes = !u.fitted ? "not fitted" : u.changes.empty() ? "nothing the model shows" : ranked_changes_text(c, u.changes);
            for (const std::string& unknown : u.not_known) takes += "\n" + unknown;
            const std::vector<Cell> cells{takes};
            const auto same = std::ranges::find(groups, cells, [](const auto& g) { return g.first; });
            if (same != groups.end()) same->second.push_back(u.name);
            else groups.push_back({cells, {u.name}});
        }
        for (const auto& [cells, names] : groups)
            table.rows.push_back({names.size() == r.units.size() ? r.name : r.name + ", " + listed(names), cells[0]});
    }
    return table;
}

Table exposed_units_table(const DispatchTable& t) {
    const Compiled& c = t.before.network().compiled();
    Table table{.title = "Single failures newly exposed", .captions = captions(t.before), .columns = {{"With this out"}, {"Severity"}, {"Next failure"}, {"Takes further than either alone"}}};
    std::size_t unexamined = 0;
    for (const DispatchRow& r : t.rows)
        for (const DeferredUnit& u : r.units) {
            unexamined += !u.exposed_examined;
            std::vector<std::pair<std::string, std::vector<Cell>>> rows;
            for (const NextFailure& f : u.exposed) {
                std::vector<Change> changes;
                for (const Exposed& e : f.exposed) changes.push_back({e.function, e.before, e.after, "", "", "", e.mode_after});
                std::vector<Cell> cells{severity_cell(f.exposed_worst), ranked_changes_text(c, changes, most_changes_named)};
                const auto same = std::ranges::find(rows, cells, &std::pair<std::string, std::vector<Cell>>::second);
                if (same != rows.end()) same->first += "; " + cause_text(c, f.now);
                else rows.emplace_back(cause_text(c, f.now), cells);
            }
            for (const auto& [causes, cells] : rows) table.rows.push_back({unit_label(r, u), cells[0], causes, cells[1]});
        }
    table.footnotes.push_back("With the item deferred, each single failure that takes a function further than the deferral does, and than the failure alone does.");
    if (unexamined) table.footnotes.push_back("Incomplete: of " + plural(unexamined, "unit", "units") + " the next failures were not examined; the budget ran out.");
    return table;
}

Table conditions_table(const DispatchTable& t) {
    Table table{.title = "Conditions, with the item deferred", .captions = captions(t.before), .columns = {{"Item"}, {"Provided that"}, {"In the model"}, {"Because"}, {"Broken by"}}};
    const Model& m = t.before.network().model();
    const auto breakers = [&](const DispatchRow& r, const DeferredUnit& u, const Provided& p) {
        std::vector<std::string> list;
        for (const Conflict& conflict : t.conflicts)
            if (conflict.condition == p.text && conflict.deferrals.front() == Deferral{r.id, u.id, std::nullopt}) list.push_back(called(m, conflict.deferrals.back()));
        return list.empty() ? std::string("none of the list") : strung(list, "; ");
    };
    for (const DispatchRow& r : t.rows)
        for (std::size_t i = 0; i < r.provided.size(); ++i) {
            std::vector<std::pair<std::vector<Cell>, std::vector<std::string>>> groups;  // units of which the same is said
            std::size_t units = 0;
            for (const DeferredUnit& u : r.units) {
                if (i >= u.provided.size()) continue;  // not fitted
                const Provided& p = u.provided[i];
                std::vector<Cell> cells{p.text, met_cell(p.met), p.reason, breakers(r, u, p)};
                ++units;
                const auto same = std::ranges::find(groups, cells, [](const auto& g) { return g.first; });
                if (same != groups.end()) same->second.push_back(u.name);
                else groups.push_back({std::move(cells), {u.name}});
            }
            for (const auto& [cells, names] : groups)
                table.rows.push_back({names.size() == units ? r.name : r.name + ", " + listed(names), cells[0], cells[1], cells[2], cells[3]});
        }
    table.footnotes.push_back("Judged in the state above with the unit out. Not decidable: the model does not say, as where something is supplied and has failed in another way, is unknown or is not fitted. It does not count as met.");
    table.footnotes.push_back("Broken by: with that deferral beside it the condition is no longer met, or no longer decidable.");
    return table;
}

/// One row for all pairs of units of two items of which the same is said.
Table pairs_table(const DispatchTable& t) {
    Table table{.title = "Deferrals that must not meet, as the model shows it, and why", .captions = captions(t.before), .columns = {{"Item"}, {"With"}, {"Kind"}, {"Why"}}};
    const Model& m = t.before.network().model();
    struct Group {
        std::string first, second;
        Conflict::Why why;
        std::string text;
        std::vector<std::pair<std::string, std::string>> units;
        std::optional<Severity> severity;
    };
    std::vector<Group> groups;
    for (const Conflict& conflict : t.conflicts) {
        if (conflict.deferrals.size() != 2) continue;
        const Deferral &a = conflict.deferrals[0], &b = conflict.deferrals[1];
        const auto same = std::ranges::find_if(groups, [&](const Group& g) { return g.first == a.item && g.second == b.item && g.why == conflict.why && g.text == conflict.text; });
        if (same != groups.end()) same->units.emplace_back(a.unit, b.unit);
        else groups.push_back({a.item, b.item, conflict.why, conflict.text, {{a.unit, b.unit}}, conflict.severity});
    }
    std::ranges::stable_sort(groups, [](const Group& a, const Group& b) {
        const auto weight = [](const Group& g) { return std::pair(g.why == Conflict::Why::together, g.severity ? -static_cast<int>(*g.severity) : 1); };
        return weight(a) < weight(b);
    });
    const auto name = [&](const Group& g, bool second) {
        const std::string& id = second ? g.second : g.first;
        const DispatchItem& item = m.dispatch.at(id);
        std::set<std::string> units;
        for (const auto& [a, b] : g.units) units.insert(second ? b : a);
        const std::string called = item.name.empty() ? id : item.name;
        if (item.units.size() < 2 || units.size() == item.units.size()) return called;
        std::vector<std::string> names;
        for (const std::string& u : units) names.push_back(item.units.at(u).name.empty() ? spaced(u) : item.units.at(u).name);
        return called + ", " + listed(names, " or ");
    };
    for (const Group& g : groups) {
        const std::set<std::string> firsts = [&] { std::set<std::string> s; for (const auto& [a, b] : g.units) s.insert(a); return s; }();
        const std::set<std::string> seconds = [&] { std::set<std::string> s; for (const auto& [a, b] : g.units) s.insert(b); return s; }();
        if (g.units.size() == firsts.size() * seconds.size()) {
            table.rows.push_back({name(g, false), name(g, true), why_cell(g.why), g.text});
            continue;
        }
        for (const auto& pair : g.units) {
            const Group one{g.first, g.second, g.why, g.text, {pair}, g.severity};
            table.rows.push_back({name(one, false), name(one, true), why_cell(g.why), g.text});
        }
    }
    table.footnotes.push_back("Takes more together: a function then stands worse than with either alone. A pair that is not here may still not be allowed: the list itself, its (M) and (O) notes and what is not in the model decide.");
    table.footnotes.push_back(plural(t.pairs_examined, "pair", "pairs") + " of units examined" +
                              (t.pairs_examined < t.pairs ? " of " + std::to_string(t.pairs) + ". Incomplete: the budget ran out." : "."));
    return table;
}

Table hidden_table(const DispatchTable& t) {
    const Compiled& c = t.before.network().compiled();
    Table table{.title = "What the same symptom may hide", .captions = captions(t.before), .columns = {{"Found inoperative"}, {"May be instead"}, {"Takes besides"}}};
    for (const DispatchRow& r : t.rows)
        for (const DeferredUnit& u : r.units) {
            std::vector<std::pair<std::vector<Cell>, std::string>> rows;  // causes of which the same is said share one
            for (const Hidden& h : u.hidden) {
                const std::string takes = takes_text(c, h);
                std::vector<std::string> checks;
                for (const std::string& id : h.checks) checks.push_back(c.model.checks.at(id).name.empty() ? spaced(id) : c.model.checks.at(id).name);
                std::vector<Cell> cells{(takes.empty() ? std::string("nothing the model shows") : takes) + (checks.empty() ? "" : "\nReads differently: check " + listed(checks))};
                const std::string cause = cause_text(c, h.cause) + (h.unit_works ? " (the unit itself in order)" : "");
                const auto same = std::ranges::find(rows, cells, [](const auto& r) { return r.first; });
                if (same != rows.end()) same->second += "; " + cause;
                else rows.emplace_back(std::move(cells), cause);
            }
            for (const auto& [cells, causes] : rows) table.rows.push_back({unit_label(r, u), causes, cells[0]});
        }
    table.footnotes.push_back("Other single failures with which every light, gauge and flag of the model shows the same as with the unit failed, in the state above; where nothing shows, those that stop it too.");
    table.footnotes.push_back("Taking the unit out does not take such a failure out. Where a check of the model reads differently with the one and the other, it is named.");
    return table;
}

}  // namespace

std::string remarks_text(const std::vector<std::string>& maintenance, const std::vector<std::string>& operational, const std::vector<std::string>& provided,
                         const std::vector<std::string>& remarks) {
    std::vector<std::string> parts;
    for (const std::string& note : maintenance) parts.push_back(with_stop(marked("(M)", note)));
    for (const std::string& note : operational) parts.push_back(with_stop(marked("(O)", note)));
    if (!provided.empty()) parts.push_back(provided_text(provided));
    for (const std::string& note : remarks) parts.push_back(with_stop(note));
    return strung(parts, "\n");
}

std::string interval_text(std::string_view category) {
    const auto days = repair_days(category);
    return std::string(category) + (days ? ": " + std::to_string(*days) + " days" : ": see remarks");
}

std::string heading(const std::string& ata, const std::string& name) { return ata.empty() ? name : ata + " " + name; }

std::string_view word_of(Met met) {
    constexpr std::array<std::string_view, 4> words{"met", "only if set", "not met", "not decidable"};
    return words[static_cast<std::size_t>(met)];
}

Cell met_cell(Met met) {
    return {word_of(met), met == Met::not_decidable ? Mark::unknown : Mark::none};
}

std::string_view word_of(Conflict::Why why) {
    constexpr std::array<std::string_view, 5> words{"more out than the item has", "contradiction", "breaks a condition", "not decidable", "takes more together"};
    return words[static_cast<std::size_t>(why)];
}

Cell why_cell(Conflict::Why why) { return {word_of(why), why == Conflict::Why::not_decidable ? Mark::unknown : Mark::none}; }

std::string called(const Model& m, const Deferral& d) {
    const auto item = m.dispatch.find(d.item);
    if (d.unit.empty()) return item->second.name.empty() ? d.item : item->second.name;
    const auto unit = item->second.units.find(d.unit);
    return called(Unit{&item->first, &item->second, d.unit, &unit->second});
}

std::string asks_text(const Provided& p) { return "Asks for " + p.text + (p.reason.empty() ? "." : ": " + p.reason + "."); }

std::vector<std::string> dispatch_notes() {
    return {"Repair interval: consecutive calendar days, the day of discovery excluded; of category A as the remarks say.",
            "(M), (O) and remarks are the author's words; the model does not check them. A deferral takes the elements of the unit out and holds what is secured where it is secured.",
            "Shown is what the model shows. It does not say that the aircraft may go."};
}

namespace {

Table open_table(const DeferralCheck& check) {
    const Compiled& c = check.before.network().compiled();
    Table t{.title = "Open items", .captions = captions(check.before),
            .columns = {{"Item"}, {"Category"}, {"Found"}, {"Last day"}, {"Remarks or exceptions"}}};
    for (const OpenItem& it : check.items) {
        const DispatchItem& item = c.model.dispatch.at(it.deferral.item);
        const std::string name = item.units.size() < 2 ? it.name : it.name + ", " + it.unit_name;
        std::vector<std::string> provided;
        for (const Condition& x : item.provided) provided.push_back(condition_text(c, x));
        t.rows.push_back({heading(it.ata, name), interval_text(it.category), it.deferral.found ? date_text(*it.deferral.found) : std::string("not said"),
                          it.last_day ? date_text(*it.last_day) : std::string(it.category == "A" ? "see remarks" : "not said"),
                          remarks_text(it.maintenance, it.operational, provided, it.remarks)});
    }
    t.footnotes = dispatch_notes();
    return t;
}

Table each_alone_table(const DeferralCheck& check) {
    const Compiled& c = check.before.network().compiled();
    Table t{.title = "Lost or degraded by each alone", .captions = captions(check.before), .columns = {{"Item"}, {"Lost or degraded"}}};
    for (const OpenItem& it : check.items) {
        std::string takes = it.changes.empty() ? "nothing the model shows" : ranked_changes_text(c, it.changes);
        for (const std::string& unknown : it.not_known) takes += "\n" + unknown;
        t.rows.push_back({called(c.model, {it.deferral.item, it.deferral.unit, std::nullopt}), takes});
    }
    return t;
}

Table provided_table(const DeferralCheck& check) {
    const Model& m = check.before.network().model();
    Table t{.title = "Conditions, with all of them out", .captions = captions(check.before), .columns = {{"Item"}, {"Provided that"}, {"In the model"}, {"Because"}}};
    for (const OpenItem& it : check.items)
        for (const Provided& p : it.provided) t.rows.push_back({called(m, {it.deferral.item, it.deferral.unit, std::nullopt}), p.text, met_cell(p.met), p.reason});
    t.footnotes.push_back("Not decidable: the model does not say. It does not count as met.");
    return t;
}

Table conflicts_table(const DeferralCheck& check) {
    const Model& m = check.before.network().model();
    Table t{.title = "Where they get in each other's way", .captions = captions(check.before), .columns = {{"Items"}, {"Kind"}, {"Why"}}};
    for (const Conflict& conflict : check.conflicts) {
        std::vector<std::string> names;
        for (const Deferral& d : conflict.deferrals) names.push_back(called(m, d));
        t.rows.push_back({strung(names, "; "), why_cell(conflict.why), conflict.text});
    }
    t.footnotes.push_back("Of a condition the first item is the one that asks for it. Nothing here means that the model shows nothing, and no more.");
    return t;
}

Table together_table(const DeferralCheck& check) {
    const Compiled& c = check.before.network().compiled();
    Table t{.title = "Lost or degraded with all of them out", .captions = captions(check.before), .columns = {{"Function"}, {"Level"}, {"Mode"}, {"Severity"}}};
    for (const Change& change : check.changes) {
        const FunctionInfo& f = c.functions[index_of(c.functions, change.function)];
        t.rows.push_back({name_of(f), Cell(word_of(change.after), mark_of(change.after)), change.mode_name_after, severity_cell(severity_of(f, change.after))});
    }
    return t;
}

std::string open_text(const DeferralCheck& check) {
    std::vector<std::string> names;
    for (const OpenItem& it : check.items) names.push_back(called(check.before.network().model(), {it.deferral.item, it.deferral.unit, std::nullopt}));
    return names.empty() ? "none" : strung(names, "; ");
}

}  // namespace
}  // namespace detail

using namespace detail;

Table table(const DispatchTable& t) {
    const Compiled& c = t.before.network().compiled();
    Table table{.title = "Dispatch items", .captions = captions(t.before),
                .columns = {{"Item"}, {"Category"}, {"Number installed", "", Align::right}, {"Number required for dispatch", "", Align::right}, {"Remarks or exceptions"}, {"Unit"},
                            {"Lost or degraded at once"}, {"Newly exposed single failures"}, {"Conditions"}, {"Must not meet, and why"}, {"The same symptom may hide"}, {"Not known"}}};
    for (const DispatchRow& r : t.rows)
        for (const DeferredUnit& u : r.units) {
            const auto or_nothing = [&](std::string text) { return !u.fitted ? std::string("not fitted") : text.empty() ? std::string("nothing the model shows") : text; };
            table.rows.push_back({heading(r.ata, r.name), r.category, r.installed, r.required, remarks_text(r.maintenance, r.operational, r.provided, r.remarks), u.name,
                                  or_nothing(ranked_changes_text(c, u.changes)), or_nothing(exposed_text(c, u, 1000)), conditions_text(u), conflicts_text(t, r.id, u.id),
                                  or_nothing(hidden_text(c, u)), strung(u.not_known, "\n")});
        }
    table.footnotes = dispatch_notes();
    if (t.pairs_examined < t.pairs) table.footnotes.push_back("Incomplete: " + std::to_string(t.pairs_examined) + " of " + std::to_string(t.pairs) + " pairs examined; the budget ran out.");
    return table;
}

std::vector<Table> tables(const DispatchTable& t) { return {list_table(t), at_once_table(t), exposed_units_table(t), conditions_table(t), pairs_table(t), hidden_table(t)}; }

std::string text(const DispatchTable& t) {
    std::string out;
    append_wrapped(out, "Dispatch items: ", t.before.network().model().name, 4);
    append_captions(out, captions(t.before));
    append_tables(out, tables(t));
    return out;
}

std::vector<Table> tables(const DeferralCheck& check) {
    std::vector<Table> list{open_table(check), provided_table(check), conflicts_table(check), each_alone_table(check), together_table(check), exposed_table(check.next)};
    list.back().title = "Failures that hurt more than without these deferrals";
    list.back().columns[2].name = "Alone, without the deferrals";
    list.push_back(sources_table(check.next));
    list.back().columns[2].name = "Without them";
    // What is out is named as deferred, not as failed.
    std::vector<Caption> shared = captions(check.before);
    shared.push_back({"Open items", open_text(check)});
    for (Table& t : list) t.captions = shared;
    return list;
}

std::string text(const DeferralCheck& check) {
    std::string out;
    append_wrapped(out, "Open items: ", check.before.network().model().name, 4);
    append_captions(out, tables(check).front().captions);
    const std::string counts = severities_text(check.next);
    append_wrapped(out, "Single failures that hurt more than without these deferrals: ", counts.empty() ? "none." : with_stop(counts), 4);
    append_tables(out, tables(check));
    return out;
}

}  // namespace fedfrom
