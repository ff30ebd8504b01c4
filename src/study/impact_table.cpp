#include <fedfrom/study/impact_table.hpp>

#include <algorithm>
#include <span>
#include <tuple>

#include <fedfrom/solve/sweep.hpp>

#include "common_events.hpp"
#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// What to sort by, worst first.
auto impact_harm(const Impact& i) {
    const auto most = [](std::size_t n) { return -static_cast<std::int64_t>(n); };
    return std::tuple(i.cause == Impact::Cause::combination ? i.fails.size() : 1, i.worst ? -static_cast<int>(*i.worst) : 1, most(i.lost + i.unknown), most(i.degraded), i.id, i.mode, i.cause);
}

class ImpactExaminer {
public:
    ImpactExaminer(State from, const ImpactOptions& options) : state_(std::move(from)), before_(settle(state_)), c_(state_.network().compiled()) {
        for (const std::string& goal : options.goals) goals_.push_back(state_.network().function(goal).index);
        for (std::uint32_t f = 0; options.goals.empty() && f < c_.functions.size(); ++f) goals_.push_back(f);
        std::ranges::sort(goals_);
        goals_.erase(std::unique(goals_.begin(), goals_.end()), goals_.end());
    }

    ImpactTable run(const ImpactOptions& options) {
        ImpactTable table{.before = before_, .options = options};
        for (Impact& cause : causes(options.causes)) {
            ++table.examined;
            examine(cause);
            if (cause.changes.empty()) ++table.unchanged;
            else table.rows.push_back(std::move(cause));
        }
        if (options.order > 1) combine(table, options.order);
        std::ranges::stable_sort(table.rows, [](const Impact& a, const Impact& b) { return impact_harm(a) < impact_harm(b); });
        for (const std::uint32_t f : in_group_order(c_)) {
            const std::string& id = *c_.functions[f].id;
            const auto changes = [&](const Impact& row) { return std::ranges::find(row.changes, id, &Change::function) != row.changes.end(); };
            if (std::ranges::any_of(table.rows, changes)) table.functions.push_back(id);
        }
        return table;
    }

private:
    State state_;
    Outcome before_;
    const Compiled& c_;
    std::vector<std::uint32_t> goals_;

    std::vector<Impact> causes(bool common) const {
        std::vector<Impact> list;
        for (std::uint32_t i = 0; i < c_.failures.size(); ++i) {
            const FailureInfo& f = c_.failures[i];
            const ElementInfo& e = c_.elements[f.element];
            if (!state_.failed({i})) list.push_back({.cause = Impact::Cause::failure, .id = *e.id, .mode = f.mode, .name = e.element->name, .fails = {{.element = *e.id, .mode = f.mode}}});
        }
        if (!common) return list;
        for (CommonEvent& event : common_events(state_))
            list.push_back({.cause = event.zone ? Impact::Cause::zone : Impact::Cause::common_cause, .id = event.id, .name = event.name, .fails = std::move(event.fails)});
        return list;
    }

    /// `hits`: the only functions to tell of; empty: all examined.
    void examine(Impact& cause, std::span<const SweepHit> hits = {}) {
        State state = state_;
        for (const FailureRef& f : cause.fails) state.fail(f.element, f.mode, f.at);
        const Outcome after = settle(state);
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
            if (!only_has_position(*c_.elements[e].element))
                cause.elements_lost += before_.status(ElementHandle{e}) == Status::supplied && after.status(ElementHandle{e}) != Status::supplied;
        for (const std::uint32_t f : goals_) {
            const Judgement& was = before_.judged()[f];
            const Judgement& is = after.judged()[f];
            if (was.level == is.level && was.mode == is.mode) continue;
            if (!hits.empty() && std::ranges::find(hits, f, &SweepHit::goal) == hits.end()) continue;
            cause.changes.push_back(change_of(c_, f, was, is));
            if (is.level > was.level) count(cause, c_.functions[f], is.level);
        }
    }

    /// Combinations that take a function further down than their parts do, each settled once more for what the row says.
    void combine(ImpactTable& table, int order) {
        SweepOptions options{.order = order, .threads = 0};
        for (const std::uint32_t f : goals_) options.goals.push_back({f});
        const SweepResult swept = Sweep(state_, options).run();
        table.combinations = swept.combinations;
        table.inert = swept.inert;
        for (auto hit = swept.hits.begin(); hit != swept.hits.end();) {
            const auto same = [&](const SweepHit& other) { return other.events == hit->events; };
            const auto last = std::find_if_not(hit, swept.hits.end(), same);
            if (hit->events[1] != none) {
                Impact row{.cause = Impact::Cause::combination};
                for (const std::uint32_t e : hit->events)
                    if (e != none) row.fails.push_back(failure(swept.events[e]));
                for (const FailureRef& f : row.fails) row.id += (row.id.empty() ? "" : " + ") + f.element;
                examine(row, {hit, last});
                table.rows.push_back(std::move(row));
            }
            hit = last;
        }
    }

    FailureRef failure(const Event& e) const { return {.element = *c_.elements[c_.failures[e.index].element].id, .mode = c_.failures[e.index].mode}; }
};

std::string cause_called(const Impact& i, const Network& net) {
    if (i.cause == Impact::Cause::combination) {
        std::string text;
        for (const FailureRef& f : i.fails) text += (text.empty() ? "" : " + ") + detail::called(net.compiled(), f);
        return text;
    }
    std::string text = i.name.empty() ? i.id : i.name + " (" + i.id + ")";
    if (i.cause == Impact::Cause::failure) return text + ": " + i.mode;
    return i.cause == Impact::Cause::zone ? "Zone " + text + " lost" : text;
}

/// The names of the only functions examined, in the order of groups; empty: all were.
std::vector<std::string> chosen(const ImpactTable& impacts) {
    const Compiled& c = impacts.before.network().compiled();
    std::vector<std::string> names;
    for (const std::uint32_t f : in_group_order(c))
        if (std::ranges::find(impacts.options.goals, *c.functions[f].id) != impacts.options.goals.end()) names.push_back(detail::name_of(c.functions[f]));
    return names;
}

constexpr std::size_t most_in_title = 3;

}  // namespace

ImpactTable impact_table(const State& from, const ImpactOptions& options) {
    if (options.order < 1 || options.order > 3) throw NotPossible("`order` is 1, 2 or 3 failures at once, not " + std::to_string(options.order) + ".");
    return ImpactExaminer(from, options).run(options);
}

ImpactTable impact_table(const Network& net, const ImpactOptions& options) { return impact_table(running_state(net), options); }

Table table(const ImpactTable& impacts) {
    const Network& net = impacts.before.network();
    const std::vector<std::string> only = chosen(impacts);
    const bool one = only.size() == 1;
    const std::string these = one ? "this function" : "these " + std::to_string(only.size()) + " functions";
    Table t{.title = impacts.options.order == 1 ? "Impact of single failures" : "Impact of failures, up to " + std::to_string(impacts.options.order) + " at once", .captions = detail::captions(impacts.before), .columns = {{"Failure"}, {"Worst"}}};
    if (!only.empty()) {
        t.title += " on " + (only.size() <= most_in_title ? detail::listed(only) : std::to_string(only.size()) + " chosen functions");
        t.captions.push_back({"Functions examined", "only " + detail::listed(only)});
    }
    for (const std::string& id : impacts.functions) t.columns.push_back({detail::name_of(net.compiled().functions[net.function(id).index])});
    t.columns.push_back({"Elements off supply"});
    for (const Impact& row : impacts.rows) {
        std::vector<Cell> cells{cause_called(row, net), row.worst ? Cell(name_of(*row.worst)) : Cell()};
        for (const std::string& id : impacts.functions) {
            const auto change = std::ranges::find(row.changes, id, &Change::function);
            if (change == row.changes.end()) cells.emplace_back();
            else cells.emplace_back(change->mode_name_after, detail::mark_of(change->after));
        }
        cells.emplace_back(row.elements_lost);
        t.rows.push_back(std::move(cells));
    }
    t.footnotes.push_back("An empty cell: the function stays as it is before the failure. A word names the mode it is then in.");
    const std::string nothing = only.empty() ? "no function." : one ? "nothing in this function." : "none of " + these + ".";
    t.footnotes.push_back(std::to_string(impacts.examined) + (impacts.examined == 1 ? " cause" : " causes") + " examined, one at a time; " +
                          std::to_string(impacts.unchanged) + (impacts.unchanged == 1 ? " changes " : " change ") + nothing);
    if (impacts.options.order > 1)
        t.footnotes.push_back(std::to_string(impacts.combinations) + " combinations of failures examined, of one to " + std::to_string(impacts.options.order) + "; those of two or more are listed for what no part of them does alone. " +
                              std::to_string(impacts.inert) + " failures can reach no function examined and are in none of them.");
    if (!only.empty())
        t.footnotes.push_back("Only " + these + (one ? " was" : " were") + " examined: Worst is of " + (one ? "it" : "them") +
                              " alone, and what a cause does to other functions is not shown.");
    if (impacts.options.causes) t.footnotes.push_back("Common causes and zones are included; a zone is the loss of everything in it.");
    return t;
}

std::string text(const ImpactTable& impacts) { return to_text(table(impacts)); }

}  // namespace fedfrom
