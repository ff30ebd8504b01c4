// The sheet of what brings functions back.
#include <algorithm>

#include <fedfrom/study/restore.hpp>

#include "difference_tables.hpp"
#include "effect.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

const Compiled& compiled(const Restore& r) { return r.before.network().compiled(); }

std::string reach_text(Reach reach) {
    return reach == Reach::cockpit ? "the cockpit" : reach == Reach::cabin ? "cockpit and cabin" : "cockpit, cabin and ground";
}

std::string actions_of(const Restore& r, const RestoringSet& set) {
    std::string text = actions_text(set.effect.actions, r.before.network());
    if (set.effect.reach > Reach::cockpit) text += " (" + std::string(fedfrom::name_of(set.effect.reach)) + ")";
    return text;
}

/// What comes back besides the goals.
std::vector<Change> besides(const RestoringSet& set) {
    std::vector<Change> list;
    for (const Change& change : set.effect.difference.gained)
        if (std::ranges::find(set.goals, change.function, &Change::function) == set.goals.end()) list.push_back(change);
    return list;
}

std::string order_text(const RestoringSet& set) {
    if (!set.order_matters && set.orders_restoring == set.orders) return {};
    if (set.orders_restoring == set.orders) return "single steps can end otherwise";
    std::string text = "in single steps, " + std::to_string(set.orders_restoring) + " of " + plural(static_cast<std::size_t>(set.orders), "order", "orders") + (set.orders_restoring == 1 ? " brings" : " bring") + " it back";
    for (std::size_t i = 0; i < set.order.size(); ++i) text += (i == 0 ? ", as: " : ", then ") + set.order[i];
    if (set.order_powers_fault && !set.effect.fault.any()) text += "; another powers a fault again";
    return text;
}

std::string next_text(const Restore& r, const RestoringSet& set) {
    const Compiled& c = compiled(r);
    std::string text = plural(set.single_failures, "single failure takes it away again", "single failures take it away again");
    std::vector<std::string> named;
    for (const NextHurt& n : set.next) {
        std::string cause = name_of(c.elements[index_of(c.elements, n.element)]) + ": " + n.mode;
        if (std::ranges::find(named, cause) == named.end()) named.push_back(std::move(cause));
    }
    if (named.empty()) return text + "; none hurts more than now";
    constexpr std::size_t most = 4;
    const std::size_t all = named.size();
    if (all > most) named.resize(most - 1), named.push_back(plural(all - most + 1, "other", "others"));
    return text + "; hurts more than now: " + listed(named);
}

Cell worse_cell(const Compiled& c, const RestoringSet& set) {
    const std::string text = changes_text(c, set.effect.difference.worse);
    return text.empty() ? Cell() : Cell(text, Mark::changed);
}

Table goals_table(const Restore& r) {
    const Compiled& c = compiled(r);
    Table t{.title = "Functions asked for", .captions = captions(r.before), .columns = {{"Function"}, {"As things stand"}, {"Asked for"}, {"Sets"}}, .rows = {}, .footnotes = {}};
    for (const RestoreGoal& g : r.goals) {
        const FunctionInfo& f = c.functions[index_of(c.functions, g.function)];
        const Judgement& judged = r.before.judged()[index_of(c.functions, g.function)];
        const std::string demand = demand_text(c, f.demand);
        t.rows.push_back({name_of(f) + (demand.empty() ? "" : ", " + demand), level_cell(g.before, judged.mode == none ? "" : mode_name(f.modes[judged.mode])),
                          g.to == Level::normal ? "normal" : "degraded or better", g.sets.empty() ? Cell("none") : Cell(g.sets.size())});
    }
    const std::string within = plural(static_cast<std::size_t>(r.options.most_actions), "action", "actions");
    t.footnotes.push_back(std::string(r.complete ? "Complete: " : "Incomplete: ") + "every smallest set of up to " +
                          (r.complete ? within : std::to_string(r.complete_to) + " of " + within) + " in reach of " + reach_text(r.options.reach) + " is here; " +
                          plural(r.actions, "action", "actions") + " possible, " + plural(r.combinations, "combination", "combinations") + " examined" +
                          (r.complete ? "." : ", more were not. What is listed holds all the same."));
    t.footnotes.push_back("What is unknown afterwards does not count as brought back. What a function's demand sets is no action for it.");
    return t;
}

std::vector<std::string> levels_named(const Compiled& c, const std::vector<Change>& changes) {
    std::vector<std::string> list;
    for (const Change& change : changes) {
        const std::string level = change.after == Level::degraded && !change.mode_name_after.empty() ? ": " + change.mode_name_after : " " + std::string(word_of(change.after));
        list.push_back(name_of(c.functions[index_of(c.functions, change.function)]) + level);
    }
    return list;
}

Table sets_table(const Restore& r) {
    const Compiled& c = compiled(r);
    Table t{.title = "What brings them back", .captions = captions(r.before),
            .columns = {{"With"}, {"Brings back"}, {"Also better"}, {"Worse"}, {"Powers a fault again"}, {"Then on stored energy alone"}, {"Taken back, what stays"}, {"Order"}}, .rows = {}, .footnotes = {}};
    if (r.options.next) t.columns.push_back({"Next single failures"});
    for (const RestoringSet& set : r.sets) {
        std::vector<Cell> row{actions_of(r, set), listed(levels_named(c, set.goals)), listed(levels_named(c, besides(set))), worse_cell(c, set),
                              fault_text(c, set.effect.fault).empty() ? Cell() : Cell(fault_text(c, set.effect.fault)),
                              stored_text(c, set.effect.stored), undone_text(c, set.effect.undone), order_text(set)};
        if (r.options.next) row.emplace_back(next_text(r, set));
        t.rows.push_back(std::move(row));
    }
    t.footnotes.push_back("Each set is what the model holds with these settings, all in one step: no procedure. Where single steps do not all end so, an order that does is named. Fewest actions first, then what costs least: no fault "
                          "powered again, the mildest severity of what gets worse, how much of it, what then hangs on stored energy alone, all of it to be taken back, how far to go.");
    t.footnotes.push_back("Taken back: hands where they were. What is not said of a set, it does not do.");
    return t;
}

/// One set, in lines: "1 With Battery switch at MAINS", then what it does.
void append_set(std::string& out, const Restore& r, std::size_t place) {
    const Compiled& c = compiled(r);
    const RestoringSet& set = r.sets[place];
    std::string head = actions_of(r, set);
    head.front() = 'W';
    out += '\n';
    append_wrapped(out, std::to_string(place + 1) + " ", head, 4);
    const auto line = [&](std::string_view label, const std::string& words) {
        if (!words.empty()) append_wrapped(out, "    " + std::string(label) + ": ", with_stop(words), 8);
    };
    line("Brings back", listed(levels_named(c, set.goals)));
    line("Also better", listed(levels_named(c, besides(set))));
    line("Worse", changes_text(c, set.effect.difference.worse));
    line("No longer known", changes_text(c, set.effect.difference.other));
    line("Powers a fault again", fault_text(c, set.effect.fault));
    line("Then on stored energy alone", stored_text(c, set.effect.stored));
    line("Taken back, what stays", undone_text(c, set.effect.undone));
    line("Order", order_text(set));
    if (r.options.next) line("Next single failures", next_text(r, set));
}

}  // namespace

std::vector<Table> tables(const Restore& r) { return {goals_table(r), sets_table(r)}; }

std::string text(const Restore& r) {
    const Compiled& c = compiled(r);
    std::string out;
    append_wrapped(out, "What brings it back: ", r.before.network().model().name, 4);
    append_captions(out, captions(r.before));
    if (r.best_single && r.options.goals.empty())
        append_wrapped(out, "Most of what is lost, by one action: ", actions_of(r, *r.best_single) + ": " + with_stop(listed(levels_named(c, r.best_single->goals))), 4);
    for (std::size_t s = 0; s < r.sets.size(); ++s) append_set(out, r, s);
    out += '\n';
    std::vector<std::string> without;
    for (const RestoreGoal& g : r.goals)
        if (g.sets.empty()) without.push_back(name_of(c.functions[index_of(c.functions, g.function)]));
    if (!without.empty()) append_wrapped(out, "Not brought back by any set: ", with_stop(listed(without)), 4);
    for (const Table& t : tables(r))
        for (const std::string& note : t.footnotes) append_wrapped(out, "", note, 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
