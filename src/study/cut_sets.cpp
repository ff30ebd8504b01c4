#include <fedfrom/study/cut_sets.hpp>

#include <algorithm>
#include <array>
#include <chrono>
#include <numeric>
#include <set>
#include <tuple>
#include <utility>

#include <fedfrom/logic/helping.hpp>
#include <fedfrom/logic/minimal_sets.hpp>

#include "failure_odds.hpp"
#include "goal_diagram.hpp"
#include "settled_sets.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int usually_settled = 3;  // failures in a combination

class CutSetSearch {
public:
    CutSetSearch(const State& from, std::string_view function, const CutSetOptions& options, bool paths)
        : state_(from), answer_{.before = settle(state_), .function = std::string(function), .options = options, .paths = paths}, c_(from.network().compiled()),
          function_(from.network().function(function).index) {
        check_goal(c_, function_, options.below);
        if (options.order && *options.order < 1) throw NotPossible("`order` is at least one failure, not " + std::to_string(*options.order) + ".");
        if (!(options.at_least >= 0 && options.at_least <= 1)) throw NotPossible("`at_least` is a probability, from 0 to 1.");
        if (options.at_least > 0 && options.hours == 0) throw NotPossible("`at_least` needs the `hours` of a flight.");
        if (options.at_least > 0 && options.order) throw NotPossible("A limit on `order` or on probability, not both.");
        if (paths && options.hours != 0) throw NotPossible("Path sets are not failures that happen: leave `hours` out.");
        failures_ = failures_to_combine(state_, options.within);
        if (options.hours == 0) return;
        const FailureOdds odds(c_, failures_, options.hours);
        for (std::size_t i = 0; i < failures_.size(); ++i) {
            odds_.push_back(odds.at_most(i));
            if (!odds.known(i)) unknown_.insert(static_cast<std::uint32_t>(i));
        }
    }

    CutSets cuts() {
        if (already() || to_order()) return std::move(answer_);
        GoalDiagram all = goal_diagram(answer_.before, function_, answer_.options.below, each_alone(failures_), Counting::one_mode_an_element, answer_.options.budget);
        if (all.complete() || all.formula) by_diagram(all);
        else by_settling(all);
        return std::move(answer_);
    }

    CutSets paths() {
        if (already() || to_order()) return std::move(answer_);
        const std::string cannot = "The path sets of `" + answer_.function + "` cannot be told: ";
        GoalDiagram all = goal_diagram(answer_.before, function_, answer_.options.below, each_alone(failures_), Counting::one_mode_an_element, answer_.options.budget, true);
        if (!all.complete() && !all.formula) throw NotPossible(cannot + all.why_open + ", so that not every combination is decided.");
        by_diagram(all);
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
    std::vector<double> odds_;             // by failure: on the worst flight; empty where none are asked for
    std::set<std::uint32_t> unknown_;      // failures taken as certain
    std::chrono::steady_clock::time_point begun_ = std::chrono::steady_clock::now();

    std::string said(const FailureRef& f) const { return f.mode + " of `" + f.element + "`"; }
    FailureRef ref(FailureHandle f) const { return ref_of(c_, f); }

    bool already() {
        answer_.by = already_below(answer_.before, function_, answer_.options.below);
        return answer_.already = answer_.complete = !answer_.by.empty();
    }

    /// Of a coherent formula those to an order are known sooner than a diagram of all.
    bool to_order() {
        if (!answer_.options.order || answer_.options.hours != 0) return false;
        const Happenings happenings = each_alone(failures_);
        if (!why_one_by_one(answer_.before, happenings).empty() || !why_no_formula(answer_.before, function_, happenings).empty()) return false;
        const Formula formula = goal_formula(answer_.before, function_, answer_.options.below, happenings, answer_.paths);
        if (!is_coherent(formula)) return false;
        answer_.by = by_its_formula;
        answer_.helping_known = true;
        take_from_formula(formula);
        return true;
    }

    void by_diagram(GoalDiagram& all) {
        answer_.by = all.by;
        if (!all.diagram) return take_from_formula(*all.formula);
        for (const std::uint32_t v : variables_read(*all.diagram))
            if (unknown_.contains(v)) answer_.missing.push_back(ref(failures_[v]));
        try {
            for (const std::uint32_t v : those_that_help(all)) answer_.helping.push_back(ref(failures_[v]));
            answer_.helping_known = true;
        } catch (const BudgetSpent&) {
            answer_.helping.clear();
        }
        try {
            take(minimal_sets(*all.diagram, wanted()));
        } catch (const BudgetSpent&) {
            if (all.formula) return take_from_formula(*all.formula);
            answer_.helping.clear();
            answer_.helping_known = false;
            by_settling({.why_open = "the budget does not suffice for the sets of all combinations at once"});
        }
    }

    void take_from_formula(const Formula& formula) {
        tell_all_missing();
        if (!odds_.empty()) answer_.dropped = 1;
        try {
            take(minimal_sets(formula, wanted()));
        } catch (const BudgetSpent&) {
            // Not even those with two modes of one element could be left out: nothing is known of any.
        }
    }

    Wanted wanted() const {
        Wanted wanted{.at_least = answer_.options.at_least, .p = odds_, .budget = answer_.options.budget};
        if (answer_.options.order) wanted.order = static_cast<std::uint32_t>(*answer_.options.order);
        return wanted;
    }

    void tell_all_missing() {
        answer_.missing.clear();
        for (const std::uint32_t i : unknown_) answer_.missing.push_back(ref(failures_[i]));
    }

    void take(MinimalSets found) {
        without_two_modes(found);
        take_listed(found);
        answer_.complete = found.complete;
        answer_.complete_from = found.complete_from;
        if (!odds_.empty()) answer_.dropped = found.dropped;
        if (found.complete_to) answer_.complete_to = static_cast<int>(std::min<std::uint32_t>(*found.complete_to, static_cast<std::uint32_t>(failures_.size())));
    }

    void take_listed(const MinimalSets& found) {
        answer_.counts = found.count_by_order();
        for (const auto& set : found.sets(answer_.options.most_sets)) {
            answer_.sets.emplace_back();
            for (const std::uint32_t v : set) answer_.sets.back().push_back(ref(failures_[v]));
        }
    }

    void without_two_modes(MinimalSets& found) const { found.family = found.families.without(found.family, two_modes_of_one(found)); }

    /// Every pair of failures of one element. (In path sets, which say what must not fail, they may well stand together.)
    Family two_modes_of_one(MinimalSets& found) const {
        Family pairs = Families::none;
        if (answer_.paths) return pairs;
        const std::vector<std::uint32_t> level = positions(found.order);
        for (const auto& [i, j] : of_one_element(c_, failures_)) {
            const std::array<std::uint32_t, 2> pair{std::min(level[i], level[j]), std::max(level[i], level[j])};
            pairs = found.families.unite(pairs, found.families.set(pair));
        }
        return pairs;
    }

    /// Every combination to an order; and what a diagram decides beyond that.
    void by_settling(GoalDiagram all) {
        static constexpr std::array in_words{"one failure", "two failures", "three failures", "four failures"};
        const int order = std::min(answer_.options.order.value_or(usually_settled), most_settled);
        answer_.by = "By settling every combination of up to " + std::string(in_words[static_cast<std::size_t>(order) - 1]) + ", since " + all.why_open + ".";
        tell_all_missing();
        double seconds = answer_.options.seconds;
        if (seconds > 0) seconds = std::max(1e-9, seconds - std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count());
        auto [found, complete_to] = sets_by_settling(answer_.before.state(), function_, answer_.options.below, failures_, order, seconds, answer_.options.progress);
        answer_.complete_to = complete_to;
        if (!failures_.empty() && answer_.complete_to < order) answer_.by += " The time ran out, or it was cancelled, before all were.";
        answer_.complete = static_cast<std::size_t>(*answer_.complete_to) >= failures_.size();
        keep_probable(found);
        const bool wanted_beyond = !answer_.options.order || *answer_.options.order > answer_.complete_to;
        if (all.diagram && !all.hunts && !answer_.complete && wanted_beyond) take_beyond(all, found);
        list(found);
    }

    /// Sets that a diagram decides replace those found one by one: with nothing doubtful in them there is nothing doubtful below them.
    void take_beyond(GoalDiagram& all, SetsOfPlaces& found) {
        std::vector<bool> spreads(failures_.size(), false), doubtful(failures_.size(), false);
        for (const std::uint32_t i : those_that_spread(c_, each_alone(failures_))) spreads[i] = true;
        for (const std::uint32_t i : all.doubtful) doubtful[i] = true;
        try {
            OrderedDiagram& d = *all.diagram;
            const std::vector<std::uint32_t> level = positions(d.order);
            for (const std::uint32_t i : all.doubtful) d.top = d.diagrams.all(d.top, !d.diagrams.variable(level[i]));
            MinimalSets sets = minimal_sets(d, wanted());
            without_two_modes(sets);
            std::erase_if(found, [&](const SetOfPlaces& set) {
                return std::ranges::count_if(set, [&](std::uint32_t i) { return spreads[i]; }) < 2 && std::ranges::none_of(set, [&](std::uint32_t i) { return doubtful[i]; });
            });
            take_listed(sets);
        } catch (const BudgetSpent&) {
            return;
        }
        answer_.spreading_to = 1;
        for (const std::uint32_t i : all.doubtful) answer_.doubtful.push_back(ref(failures_[i]));
        answer_.by += " Beyond, by settling all at once in which at most one of the failures spreads.";
    }

    /// By size, then by places; with those that are listed already.
    void list(const SetsOfPlaces& found) {
        for (const SetOfPlaces& set : found) {
            if (answer_.counts.size() <= set.size()) answer_.counts.resize(set.size() + 1, 0);
            ++answer_.counts[set.size()];
            std::vector<FailureRef> failures;
            for (const std::uint32_t i : set) failures.push_back(ref(failures_[i]));
            answer_.sets.push_back(std::move(failures));
        }
        std::ranges::stable_sort(answer_.sets, [](const auto& a, const auto& b) {
            const auto key = [](const FailureRef& f) { return std::tie(f.element, f.mode); };
            if (a.size() != b.size()) return a.size() < b.size();
            return std::ranges::lexicographical_compare(a, b, {}, key, key);
        });
        if (answer_.sets.size() > answer_.options.most_sets) answer_.sets.resize(answer_.options.most_sets);
    }

    /// Whenever the function is below the level, all of a minimal set has happened, or more than was examined.
    void keep_probable(SetsOfPlaces& found) {
        if (odds_.empty()) return;
        double dropped = answer_.complete ? 0 : probability_of_more(c_, failures_, odds_, *answer_.complete_to);
        std::erase_if(found, [&](const SetOfPlaces& set) {
            const double p = std::accumulate(set.begin(), set.end(), 1.0, [&](double so_far, std::uint32_t i) { return so_far * odds_[i]; });
            if (p >= answer_.options.at_least) return false;
            answer_.complete = false;
            dropped += p;
            return true;
        });
        answer_.dropped = std::min(1.0, dropped);
    }
};

}  // namespace

CutSets cut_sets(const State& from, std::string_view function, const CutSetOptions& options) { return CutSetSearch(from, function, options, false).cuts(); }
CutSets cut_sets(const Network& net, std::string_view function, const CutSetOptions& options) { return cut_sets(running_state(net), function, options); }
CutSets path_sets(const State& from, std::string_view function, const CutSetOptions& options) { return CutSetSearch(from, function, options, true).paths(); }
CutSets path_sets(const Network& net, std::string_view function, const CutSetOptions& options) { return path_sets(running_state(net), function, options); }

}  // namespace fedfrom
