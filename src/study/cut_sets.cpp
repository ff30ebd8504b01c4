#include <fedfrom/study/cut_sets.hpp>

#include <algorithm>
#include <array>
#include <utility>

#include <fedfrom/logic/minimal_sets.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "goal_formula.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int most_at_once = 3;  // of a sweep

class Search {
public:
    Search(const State& from, std::string_view function, const CutSetOptions& options, bool paths)
        : state_(from), answer_{.before = settle(state_), .function = std::string(function), .options = options, .paths = paths}, c_(from.network().compiled()),
          function_(from.network().function(function).index) {
        check_goal(c_, function_, options.below);
        if (options.order && *options.order < 1) throw NotPossible("`order` is at least one failure, not " + std::to_string(*options.order) + ".");
        failures_ = failures_to_combine(state_, options.within);
    }

    CutSets cuts() {
        if (already()) return std::move(answer_);
        if (const std::string reason = why_no_formula(answer_.before, function_, failures_); reason.empty()) by_formula();
        else by_settling(reason);
        return std::move(answer_);
    }

    CutSets paths() {
        if (already()) return std::move(answer_);
        const std::string cannot = "The path sets of `" + answer_.function + "` cannot be told: ";
        const std::string reason = why_no_formula(answer_.before, function_, failures_);
        if (!reason.empty()) throw NotPossible(cannot + reason + ", so that whether it works is no formula of the failures.");
        by_formula();
        if (!answer_.helping_known) throw NotPossible(cannot + "the budget does not suffice for finding out whether a failure can help.");
        if (!answer_.helping.empty()) throw NotPossible(cannot + said(answer_.helping.front()) + " can help, so that more that works can be worse.");
        return std::move(answer_);
    }

private:
    State state_;
    CutSets answer_;
    const Compiled& c_;
    std::uint32_t function_;
    std::vector<FailureHandle> failures_;  // by element, mode

    std::string said(const FailureRef& f) const { return f.mode + " of `" + f.element + "`"; }
    std::uint32_t element_of(FailureHandle f) const { return c_.failures[f.index].element; }
    FailureRef ref(FailureHandle f) const { return ref_of(c_, f); }

    bool already() {
        answer_.by = already_below(answer_.before, function_, answer_.options.below);
        return answer_.already = answer_.complete = !answer_.by.empty();
    }

    void by_formula() {
        answer_.by = by_its_formula;
        const Formula formula = goal_formula(answer_.before, function_, answer_.options.below, failures_, answer_.paths);
        Wanted wanted{.budget = answer_.options.budget};
        if (answer_.options.order) wanted.order = static_cast<std::uint32_t>(*answer_.options.order);
        try {
            OrderedDiagram diagram = ordered_diagram(formula, answer_.options.budget);
            for (const std::uint32_t v : those_that_help(diagram)) answer_.helping.push_back(ref(failures_[v]));
            answer_.helping_known = true;
            take(minimal_sets(diagram, wanted));
        } catch (const BudgetSpent&) {
            take(minimal_sets(formula, wanted));
        }
    }

    void take(MinimalSets found) {
        found.family = found.families.without(found.family, two_modes_of_one(found));
        answer_.counts = found.count_by_order();
        for (const auto& set : found.sets(answer_.options.most_sets)) {
            answer_.sets.emplace_back();
            for (const std::uint32_t v : set) answer_.sets.back().push_back(ref(failures_[v]));
        }
        answer_.complete = found.complete;
        if (found.complete_to) answer_.complete_to = static_cast<int>(std::min<std::uint32_t>(*found.complete_to, static_cast<std::uint32_t>(failures_.size())));
    }

    /// Every pair of failures of one element. (In path sets, which say what must not fail, they may well stand together.)
    Family two_modes_of_one(MinimalSets& found) const {
        Family pairs = Families::none;
        if (answer_.paths) return pairs;
        const std::vector<std::uint32_t> level = positions(found.order);
        for (std::uint32_t i = 0; i < failures_.size(); ++i)
            for (std::uint32_t j = i + 1; j < failures_.size() && element_of(failures_[j]) == element_of(failures_[i]); ++j) {
                const std::array<std::uint32_t, 2> pair{std::min(level[i], level[j]), std::max(level[i], level[j])};
                pairs = found.families.unite(pairs, found.families.set(pair));
            }
        return pairs;
    }

    void by_settling(const std::string& reason) {
        const int order = std::min(answer_.options.order.value_or(most_at_once), most_at_once);
        answer_.by = "By settling every combination of up to " + std::to_string(order) + (order == 1 ? " failure, since " : " failures, since ") + reason + ".";
        answer_.counts.assign(static_cast<std::size_t>(order) + 1, 0);
        if (failures_.empty()) {
            answer_.complete = true;
            answer_.complete_to = 0;
            return;
        }
        SweepOptions options{.order = order, .goals = {{function_}}, .threads = 0, .seconds = answer_.options.seconds, .progress = answer_.options.progress};
        for (const FailureHandle f : failures_) options.events.push_back(Event::fail(f));
        const SweepResult swept = Sweep(answer_.before.state(), options).run();
        std::vector<std::array<std::uint32_t, 3>> found;
        for (const SweepHit& hit : swept.hits) {
            // A sweep lists what no part does; of a part that already takes the function below, what takes it further is no more.
            if (hit.level <= answer_.options.below || std::ranges::any_of(found, [&](const auto& part) { return contains(hit.events, part); })) continue;
            found.push_back(hit.events);
            std::vector<FailureRef> set;
            for (const std::uint32_t e : hit.events)
                if (e != none) set.push_back(ref({swept.events[e].index}));
            ++answer_.counts[set.size()];
            if (answer_.sets.size() < answer_.options.most_sets) answer_.sets.push_back(std::move(set));
        }
        answer_.complete_to = swept.complete_to;
        if (!swept.complete) answer_.by += " The time ran out before all were.";
        answer_.complete = swept.complete && static_cast<std::size_t>(order) >= failures_.size();
    }

    static bool contains(const std::array<std::uint32_t, 3>& set, const std::array<std::uint32_t, 3>& part) {
        return std::ranges::all_of(part, [&](std::uint32_t e) { return e == none || std::ranges::find(set, e) != set.end(); });
    }
};

}  // namespace

CutSets cut_sets(const State& from, std::string_view function, const CutSetOptions& options) { return Search(from, function, options, false).cuts(); }
CutSets cut_sets(const Network& net, std::string_view function, const CutSetOptions& options) { return cut_sets(running_state(net), function, options); }
CutSets path_sets(const State& from, std::string_view function, const CutSetOptions& options) { return Search(from, function, options, true).paths(); }
CutSets path_sets(const Network& net, std::string_view function, const CutSetOptions& options) { return path_sets(running_state(net), function, options); }

}  // namespace fedfrom
