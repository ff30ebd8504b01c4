#include "next.hpp"

#include <algorithm>
#include <map>
#include <tuple>

#include "copies.hpp"
#include "harm.hpp"
#include "sources_left.hpp"
#include "words.hpp"

namespace fedfrom {
namespace detail {
namespace {

auto key(const Impact& i) { return std::tie(i.cause, i.id, i.mode); }

/// Functions a row makes worse, with the severity it takes each to.
std::optional<Severity> worst_of(const Compiled& c, const Impact& row) {
    std::optional<Severity> worst;
    for (const Change& change : row.changes)
        if (worsens(c, change)) raise(worst, severity_of(c.functions[index_of(c.functions, change.function)], change.after));
    return worst;
}

bool makes_worse(const Compiled& c, const Impact& row) {
    return std::ranges::any_of(row.changes, [&](const Change& change) { return worsens(c, change); });
}

class AgainstClean {
public:
    AgainstClean(const ImpactTable& clean) : clean_(clean), c_(clean.before.network().compiled()) {
        for (const Impact& row : clean.rows) alone_.emplace(key(row), &row);
    }

    NextFailure compare(const Impact& row) const {
        NextFailure next{.now = row, .worst = worst_of(c_, row)};
        const auto it = alone_.find(key(row));
        const Impact* alone = it == alone_.end() ? nullptr : it->second;
        if (alone) next.clean_worst = worst_of(c_, *alone);
        for (const Change& change : row.changes) {
            if (!worsens(c_, change)) continue;
            const std::uint32_t f = index_of(c_.functions, change.function);
            const FunctionInfo& info = c_.functions[f];
            const Judgement& healthy = clean_.before.judged()[f];
            Change clean = change_of(c_, f, healthy, healthy);
            if (alone)
                if (const auto changed = std::ranges::find(alone->changes, change.function, &Change::function); changed != alone->changes.end()) clean = *changed;
            if (badness(info, change.after, change.mode_after) <= badness(info, clean.after, clean.mode_after)) continue;
            next.exposed.push_back({change.function, change.before, change.after, clean.after, change.mode_name_after, clean.mode_name_after});
            raise(next.exposed_worst, severity_of(info, change.after));
        }
        return next;
    }

private:
    const ImpactTable& clean_;
    const Compiled& c_;
    std::map<std::tuple<const Impact::Cause&, const std::string&, const std::string&>, const Impact*> alone_;
};

auto failure_harm(const NextFailure& f) {
    const auto most = [](std::size_t n) { return -static_cast<std::int64_t>(n); };
    return std::tuple(f.worst ? -static_cast<int>(*f.worst) : 1, most(f.now.lost + f.now.unknown), most(f.now.degraded), f.now.id, f.now.mode, f.now.cause);
}

}  // namespace

NextFailures next_failures_against(const State& from, const ImpactTable& clean, const NextOptions& options) {
    const ImpactTable now = impact_table(from, {.causes = options.causes, .goals = options.goals});
    NextFailures next{.before = now.before, .clean = clean.before, .options = options, .examined = now.examined};
    const Compiled& c = next.before.network().compiled();
    for (Change& change : worse(next.clean, next.before))
        if (options.goals.empty() || std::ranges::find(options.goals, change.function) != options.goals.end()) next.changes.push_back(std::move(change));
    const AgainstClean comparison(clean);
    for (const Impact& row : now.rows)
        if (makes_worse(c, row)) next.rows.push_back(comparison.compare(row));
    std::ranges::stable_sort(next.rows, [](const NextFailure& a, const NextFailure& b) { return failure_harm(a) < failure_harm(b); });
    if (!options.sources) return next;
    std::vector<std::uint32_t> goals;
    for (const std::uint32_t f : in_group_order(c))
        if (!c.functions[f].modes.empty() && (options.goals.empty() || std::ranges::find(options.goals, *c.functions[f].id) != options.goals.end())) goals.push_back(f);
    for (const std::uint32_t e : sources_controllers_drives(c)) next.counted.push_back(*c.elements[e].id);
    std::vector<SourceCount> left = count_sources(next.before, goals, options.most_settles);
    const bool same = next.before.state() == next.clean.state();
    std::vector<SourceCount> of_clean = same ? left : count_sources(next.clean, goals, options.most_settles);
    for (const std::uint32_t f : goals) next.sources.push_back({*c.functions[f].id, std::move(left[f]), std::move(of_clean[f])});
    return next;
}

}  // namespace detail

std::size_t NextFailures::newly_exposed(std::optional<Severity> severity) const {
    return static_cast<std::size_t>(std::ranges::count_if(rows, [&](const NextFailure& f) { return !f.exposed.empty() && f.exposed_worst == severity; }));
}

NextFailures next_failures(const State& from, const NextOptions& options) {
    State settled = from;
    settle(settled);
    const Outcome clean = detail::healthy(settled);
    return detail::next_failures_against(settled, impact_table(clean.state(), {.causes = options.causes, .goals = options.goals}), options);
}

NextFailures next_failures(const Network& net, const NextOptions& options) { return next_failures(running_state(net), options); }

}  // namespace fedfrom
