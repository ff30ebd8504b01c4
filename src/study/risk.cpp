// Exact where there is a diagram of all combinations: it gives the probability in one walk. Elsewhere the failures that are
// examined are told apart from those that are not: the loss is at least as likely as the combinations of up to three failures
// that cause it, each taken with nothing else failed, and at most as likely as these and everything not examined together.
#include <fedfrom/study/risk.hpp>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <tuple>
#include <utility>

#include <fedfrom/logic/all_of_some.hpp>
#include <fedfrom/logic/helping.hpp>
#include <fedfrom/logic/minimal_sets.hpp>
#include <fedfrom/logic/probability.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "common_events.hpp"
#include "failure_odds.hpp"
#include "goal_diagram.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int most_swept_at_once = 3;           // of a sweep
constexpr std::size_t most_sets_united = 1000;  // for the Fussell-Vesely importance
constexpr double most_flight_work = 2e8;        // nodes or combinations, and failures, times flights: some seconds

/// Combinations of failures that take the function below the level, by their places, examined up to an order.
struct Examined {
    std::vector<std::array<std::uint32_t, 3>> taking{};
    int order = 0;
};

class Assessor {
public:
    Assessor(const State& from, std::string_view function, const RiskOptions& options)
        : state_(from), answer_{.before = settle(state_), .function = std::string(function), .options = options}, c_(from.network().compiled()),
          function_(from.network().function(function).index), failures_(failures_to_combine(state_, options.within)), odds_(c_, failures_, options.hours) {
        check_goal(c_, function_, options.below);
        happenings_ = each_alone(failures_);
    }

    Risk run() {
        answer_.by = already_below(answer_.before, function_, answer_.options.below);
        answer_.already = !answer_.by.empty();
        if (answer_.options.causes && !answer_.options.within && !answer_.already) take_causes();
        if (answer_.already) answer_.low = answer_.high = 1;
        else assess(goal_diagram(answer_.before, function_, answer_.options.below, happenings_, Counting::all, answer_.options.budget));
        answer_.per_hour_low = answer_.low / answer_.options.hours;
        answer_.per_hour_high = answer_.high / answer_.options.hours;
        set_against_objective();
        return std::move(answer_);
    }

private:
    State state_;
    Risk answer_;
    const Compiled& c_;
    std::uint32_t function_;
    std::vector<FailureHandle> failures_;
    FailureOdds odds_;
    Happenings happenings_;                // the failures, then the common causes that have a probability
    std::vector<double> of_causes_;        // the probabilities of these
    std::vector<std::string> cause_ids_;

    FailureRef ref(std::size_t i) const { return ref_of(c_, failures_[i]); }
    bool is_failure(std::size_t i) const { return i < failures_.size(); }
    bool known(std::size_t i) const { return !is_failure(i) || odds_.known(i); }

    bool takes_it(const std::vector<Event>& events) const {
        State with = answer_.before.state();
        for (const Event& event : events) with.apply(event);
        return settle(with).judged()[function_].level > answer_.options.below;
    }

    void take_causes() {
        for (const CommonEvent& event : common_events(answer_.before.state())) {
            CauseRisk cause{.zone = event.zone, .id = event.id, .name = event.name, .fails = event.fails, .probability = event.probability};
            if (event.rate) cause.probability = -std::expm1(-*event.rate * answer_.options.hours);
            std::vector<Event> brings;
            for (const FailureRef& f : event.fails) brings.push_back(failure_event(state_.network(), f.element, f.mode, f.at));
            cause.alone = takes_it(brings);
            if (cause.probability) {
                happenings_.push_back(std::move(brings));
                of_causes_.push_back(*cause.probability);
                cause_ids_.push_back(event.id);
            }
            if (cause.alone || cause.probability) answer_.causes.push_back(std::move(cause));
        }
    }

    /// Until all checks fall together again: the least common multiple of the intervals that matter.
    void set_flights(const std::vector<std::uint32_t>& matter, double work_a_flight) {
        std::uint64_t flights = 1;
        for (const std::uint32_t i : matter) {
            if (!is_failure(i) || !known(i)) continue;
            flights = std::lcm(flights, static_cast<std::uint64_t>(odds_.interval(i)));
            if (static_cast<double>(flights) * (work_a_flight + static_cast<double>(failures_.size())) > most_flight_work)
                throw NotPossible("Averaging over the flights until all checks of hidden failures fall together again is too much work for `" + answer_.function + "`; give longer flights, or leave hidden failures out with `within`.");
        }
        answer_.flights = static_cast<int>(flights);
    }

    /// Of failures, then of common causes.
    std::vector<double> probabilities_on(int flight, double where_missing) const {
        std::vector<double> p = odds_.all_on(flight, where_missing);
        p.insert(p.end(), of_causes_.begin(), of_causes_.end());
        return p;
    }

    void note_missing(const std::vector<std::uint32_t>& matter) {
        for (const std::uint32_t i : matter)
            if (!known(i)) answer_.missing.push_back(ref(i));
    }

    void assess(GoalDiagram all) {
        if (!all.diagram && all.formula) throw NotPossible("The budget does not suffice for the formula of `" + answer_.function + "`; a larger `nodes`, or fewer failures in `within`, may.");
        if (all.diagram) by_diagram(all);
        if (!all.complete()) by_settling(all.why_open);
    }

    /// Exact, or between what is surely below and what may be.
    void by_diagram(GoalDiagram& all) {
        OrderedDiagram& d = *all.diagram;
        answer_.by = all.by;
        const Diagram surely = d.top;
        std::vector<std::uint32_t> matter = variables_read(d);
        const auto average = [&](Diagram top, double where_missing) {
            d.top = top;
            double sum = 0;
            for (int flight = 0; flight < answer_.flights; ++flight) sum += probability(d, probabilities_on(flight, where_missing));
            d.top = surely;
            return sum / answer_.flights;
        };
        d.top = all.may_be;
        for (const std::uint32_t v : variables_read(d)) matter.push_back(v);
        d.top = surely;
        std::ranges::sort(matter);
        matter.erase(std::unique(matter.begin(), matter.end()), matter.end());
        note_missing(matter);
        set_flights(matter, static_cast<double>(d.diagrams.nodes(d.top)));
        if (answer_.missing.empty()) {
            answer_.low = average(surely, 0);
            answer_.high = all.complete() ? answer_.low : average(all.may_be, 0);
            answer_.exact = all.complete();
            if (answer_.exact && answer_.options.parts) tell_parts(all, matter);
        } else if (all.complete() && none_helps(all)) {
            answer_.low = average(surely, 0);
            answer_.high = average(surely, 1);
        }
    }

    /// False too where the budget does not suffice to tell.
    static bool none_helps(GoalDiagram& all) {
        try {
            return those_that_help(all).empty();
        } catch (const BudgetSpent&) {
            return false;
        }
    }

    void tell_parts(GoalDiagram& all, const std::vector<std::uint32_t>& matter) {
        OrderedDiagram& d = *all.diagram;
        std::vector<double> p(happenings_.size(), 0);
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const std::vector<double> on = probabilities_on(flight, 0);
            for (std::size_t i = 0; i < p.size(); ++i) p[i] += on[i] / answer_.flights;
        }
        const double whole = probability(d, p);
        const std::vector<double> slopes = birnbaum(d, p);
        const std::vector<std::optional<double>> with_set_of = with_sets(all, matter, p);
        for (const std::uint32_t i : matter) {
            FailureRisk part{.probability = p[i], .birnbaum = slopes[i]};
            if (is_failure(i)) part.failure = ref(i);
            else part.cause = cause_ids_[i - failures_.size()];
            if (whole > 0) {
                part.criticality = slopes[i] * p[i] / whole;
                part.achievement = (whole + (1 - p[i]) * slopes[i]) / whole;
                const double rest = without(d, p, i, whole, slopes[i]);
                part.reduction = rest > 0 ? whole / rest : std::numeric_limits<double>::infinity();
                if (with_set_of[i]) part.fussell_vesely = *with_set_of[i] / whole;
            }
            answer_.parts.push_back(std::move(part));
        }
        using Key = std::tuple<double, const std::string&, const std::string&, const std::string&>;
        std::ranges::stable_sort(answer_.parts, {}, [](const FailureRisk& r) { return Key(-r.criticality.value_or(0), r.cause, r.failure.element, r.failure.mode); });
    }

    /// The probability where one cannot happen: the whole less that one's part. What is summed up on the way to the part is of the whole or of the rest,
    /// so that the rest has its digits where it is not far less than the whole. Elsewhere a walk tells.
    static double without(const OrderedDiagram& d, const std::vector<double>& p, std::size_t i, double whole, double slope) {
        const double rest = whole - p[i] * slope;
        if (rest >= whole / 2) return rest;
        std::vector<double> never_this = p;
        never_this[i] = 0;
        return probability(d, never_this);
    }

    /// By variable, of those that matter, the probability that the function is below the level and all of some minimal set with this member has happened; no value
    /// where no sets are told. Notes what bounds the sets give.
    std::vector<std::optional<double>> with_sets(GoalDiagram& all, const std::vector<std::uint32_t>& matter, const std::vector<double>& p) {
        std::vector<std::optional<double>> found(p.size());
        OrderedDiagram& d = *all.diagram;
        const Diagram top = d.top;
        try {
            const MinimalSets sets = minimal_sets(d, {.budget = answer_.options.budget});
            bound_by(sets);
            if (sets.count() > most_sets_united) return found;
            const bool coherent = all.formula && is_coherent(*all.formula);
            AllOfSome all_of_some(sets.families, sets.family, d.diagrams);
            const std::vector<std::uint32_t> level = positions(d.order);
            for (const std::uint32_t i : matter) {
                const Diagram some = all_of_some.with(level[i]);
                d.top = coherent ? some : d.diagrams.all(some, top);  // of a coherent function the first implies the second
                found[i] = probability(d, p);
            }
        } catch (const BudgetSpent&) {
            // The probability does not hang on them: what is told of sets is then not told.
        }
        d.top = top;
        return found;
    }

    /// Of every flight, and their average: at the average probabilities they would be no bounds.
    void bound_by(const MinimalSets& sets) {
        constexpr double walks = 64;
        if (answer_.flights * walks * static_cast<double>(sets.families.nodes(sets.family)) > most_flight_work) return;
        answer_.rare_event = answer_.cut_set_bound = 0;
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const std::vector<double> p = probabilities_on(flight, 0);
            *answer_.rare_event += rare_event(sets, p) / answer_.flights;
            *answer_.cut_set_bound += min_cut_upper_bound(sets, p) / answer_.flights;
        }
    }

    void by_settling(const std::string& reason) {
        if (!answer_.by.empty()) answer_.by += " ";
        answer_.by += "By settling every combination of up to " + std::to_string(most_swept_at_once) + " failures, since " + reason + "; what is not examined makes the interval.";
        std::vector<std::uint32_t> matter(failures_.size());
        std::iota(matter.begin(), matter.end(), 0u);
        answer_.missing.clear();
        note_missing(matter);
        if (!answer_.missing.empty()) return;
        const auto begun = std::chrono::steady_clock::now();
        const auto left = [&] { return answer_.options.seconds - std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count(); };
        std::vector<Examined> after;  // with nothing, then with each common cause
        double work = static_cast<double>(happenings_.size());
        for (std::size_t i = failures_.size(); i <= happenings_.size(); ++i) {
            after.push_back(examined(i == failures_.size() ? std::vector<Event>{} : happenings_[i - 1], left()));
            work += static_cast<double>(after.back().taking.size());
        }
        set_flights(matter, work);
        double low = 0, high = 0;
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const auto [least, most] = interval_on(flight, after);
            low += least / answer_.flights;
            high += most / answer_.flights;
        }
        // Both intervals hold, where there is one already.
        answer_.low = std::max(answer_.low, low);
        answer_.high = std::min(answer_.high, high);
    }

    /// Every combination of failures that may come on top of these events, in the same step.
    Examined examined(const std::vector<Event>& always, double seconds) const {
        SweepOptions options{.order = most_swept_at_once, .always = always, .goals = {{function_}}, .all = true, .threads = 0};
        if (answer_.options.seconds > 0) options.seconds = std::max(seconds, 1e-9);
        for (const FailureHandle f : failures_) options.events.push_back(Event::fail(f));
        Examined found;
        if (options.events.empty()) {
            // A sweep of no events would take every failure there is.
            if (takes_it(always)) found.taking.push_back({none, none, none});
            return found;
        }
        const SweepResult swept = Sweep(answer_.before.state(), options).run([&](const SweepHit& hit) {
            if (hit.level > answer_.options.below) found.taking.push_back(hit.events);
        });
        found.order = swept.complete ? most_swept_at_once : swept.complete_to;
        std::erase_if(found.taking, [&](const auto& events) { return found.order < 3 && events[static_cast<std::size_t>(found.order)] != none; });
        return found;
    }

    /// By which of the common causes have happened: none, one of them, or more, of which nothing is known.
    std::pair<double, double> interval_on(int flight, const std::vector<Examined>& after) const {
        const std::vector<double> p = odds_.all_on(flight, 0);
        double low = 0, high = 0, counted = 0;
        for (std::size_t with = 0; with < after.size(); ++with) {
            double here = 1;
            for (std::size_t k = 0; k < of_causes_.size(); ++k) here *= k + 1 == with ? of_causes_[k] : 1 - of_causes_[k];
            const auto [least, most] = with == 0 ? interval_with(after[0], p, {}) : interval_with(after[with], p, happenings_[failures_.size() + with - 1]);
            low += here * least;
            high += here * most;
            counted += here;
        }
        return {low, std::min(1.0, high + std::max(0.0, 1 - counted))};
    }

    /// What is brought already changes nothing when it happens by itself too; another failure of its element was not examined.
    std::pair<double, double> interval_with(const Examined& examined, std::vector<double> p, const std::vector<Event>& brought) const {
        std::vector<bool> set_apart(c_.elements.size(), false);
        for (const Event& event : brought) set_apart[c_.failures[event.index].element] = true;
        for (std::size_t i = 0; i < p.size(); ++i)
            if (std::ranges::find(brought, Event::fail(failures_[i])) != brought.end()) p[i] = 0;
        const double low = exactly_these(examined.taking, p);
        return {low, std::min(1.0, low + probability_of_more(c_, failures_, p, examined.order, set_apart))};
    }

    /// That one of the combinations has happened, and nothing else. What is certain to fail is in all that can happen.
    static double exactly_these(const std::vector<std::array<std::uint32_t, 3>>& taking, const std::vector<double>& p) {
        const auto certain = std::ranges::count(p, 1.0);
        double nothing_else = 1;
        for (const double x : p) nothing_else *= x == 1 ? 1 : 1 - x;
        double sum = 0;
        for (const auto& events : taking) {
            double odds = 1;
            std::ptrdiff_t certain_here = 0;
            for (const std::uint32_t e : events) {
                if (e == none) continue;
                if (p[e] == 1) ++certain_here;
                else odds *= p[e] / (1 - p[e]);
            }
            if (certain_here == certain) sum += odds;
        }
        return sum * nothing_else;
    }

    void set_against_objective() {
        const FunctionInfo& info = c_.functions[function_];
        const auto has = [&](Level level) { return info.function->severity.contains(level); };
        const bool falls_back = std::ranges::any_of(info.modes, [](const ModeInfo& m) { return m.mode->rank != 1; });
        const Level level = answer_.options.below == Level::degraded || !falls_back ? Level::lost : Level::degraded;
        if (has(level)) answer_.severity = info.function->severity.at(level);
        if (!answer_.severity) return;
        const bool part_25 = answer_.options.objectives == Objectives::ac_25_1309_1b;
        double tolerance = 1;
        if (part_25) {
            // AC 25.1309-1B, Table 4-1; what is "on the order of" them, 3.3.1.4. Of minor no proof in numbers is asked.
            constexpr double per_hour[]{0, 0, 1e-5, 1e-7, 1e-9};
            if (*answer_.severity > Severity::minor) answer_.objective = per_hour[static_cast<std::size_t>(*answer_.severity)];
            tolerance = *answer_.severity == Severity::major ? 2 : 3;
        } else if (answer_.options.objectives == Objectives::ac_23_1309_1e_class_1) {
            constexpr double per_hour[]{0, 1e-3, 1e-4, 1e-5, 1e-6};  // AC 23.1309-1E, Figure 2, class I
            if (*answer_.severity > Severity::no_effect) answer_.objective = per_hour[static_cast<std::size_t>(*answer_.severity)];
        }
        if (*answer_.severity == Severity::catastrophic) {
            const CutSets small = cut_sets(answer_.before.state(), answer_.function, {.below = answer_.options.below, .order = 2, .within = answer_.options.within, .most_sets = std::numeric_limits<std::size_t>::max(), .budget = answer_.options.budget});
            answer_.single_failure = small.counts.size() > 1 && small.counts[1] != 0;
            if (part_25) find_latent(small);
        }
        if (!answer_.objective) return;
        answer_.limit = *answer_.objective * tolerance;
        if (answer_.per_hour_low > *answer_.limit || answer_.single_failure) answer_.meets = false;
        else if (answer_.per_hour_high <= *answer_.limit) answer_.meets = true;
    }

    void find_latent(const CutSets& small) {
        struct Sum {
            FailureRef failure;
            double residual = 0, latency = 0;
        };
        std::vector<Sum> sums;
        const auto sum_of = [&](const FailureRef& f) -> Sum& {
            const auto it = std::ranges::find(sums, f, &Sum::failure);
            return it != sums.end() ? *it : sums.emplace_back(Sum{f});
        };
        for (const auto& set : small.sets) {
            if (set.size() != 2) continue;
            for (const auto& [latent, active] : {std::pair(set[0], set[1]), std::pair(set[1], set[0])}) {
                const std::size_t l = place(latent), a = place(active);
                if (odds_.interval(l) == 1 || !known(l) || !known(a)) continue;
                sum_of(latent).residual += odds_.on(a, 0) / answer_.options.hours;
                sum_of(active).latency += odds_.at_most(l);
            }
        }
        for (const Sum& s : sums) {
            if (s.residual > 1e-5) answer_.latent.push_back({LatentFinding::Rule::residual, s.failure, s.residual, 1e-5});
            if (s.latency > 1e-3) answer_.latent.push_back({LatentFinding::Rule::latency, s.failure, s.latency, 1e-3});
        }
        std::ranges::sort(answer_.latent, {}, [](const LatentFinding& f) { return std::tuple(f.rule, f.failure.element, f.failure.mode); });
    }

    std::size_t place(const FailureRef& f) const {
        for (std::size_t i = 0; i < failures_.size(); ++i)
            if (ref(i) == f) return i;
        return failures_.size();
    }
};

}  // namespace

Risk risk(const State& from, std::string_view function, const RiskOptions& options) { return Assessor(from, function, options).run(); }
Risk risk(const Network& net, std::string_view function, const RiskOptions& options) { return risk(running_state(net), function, options); }

}  // namespace fedfrom
