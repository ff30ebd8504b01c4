// Exact where the function is a formula: its diagram gives the probability in one walk. Elsewhere the failures that are
// examined are told apart from those that are not: the loss is at least as likely as the combinations of up to three failures
// that cause it, each taken with nothing else failed, and at most as likely as these and everything not examined together.
#include <fedfrom/study/risk.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <set>
#include <tuple>
#include <utility>

#include <fedfrom/logic/minimal_sets.hpp>
#include <fedfrom/logic/probability.hpp>
#include <fedfrom/solve/sweep.hpp>

#include "goal_formula.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int most_at_once = 3;                  // of a sweep
constexpr std::size_t most_sets_united = 1000;   // for the Fussell-Vesely importance
constexpr double most_work = 2e8;                // nodes or combinations, and failures, times flights: some seconds

const FailureMode* figures_of(const Compiled& c, FailureHandle f) {
    const FailureInfo& info = c.failures[f.index];
    const auto& written = c.elements[info.element].element->failures;
    const auto it = written.find(info.mode);
    return it == written.end() ? nullptr : &it->second;
}

class Assessor {
public:
    Assessor(const State& from, std::string_view function, const RiskOptions& options)
        : state_(from), answer_{.before = settle(state_), .function = std::string(function), .options = options}, c_(from.network().compiled()),
          function_(from.network().function(function).index) {
        if (!(options.hours > 0) || !std::isfinite(options.hours)) throw NotPossible("`hours` of a flight must be above 0.");
        check_goal(c_, function_, options.below);
        failures_ = failures_to_combine(state_, options.within);
        for (const FailureHandle f : failures_) known_.push_back(known(f));
    }

    Risk run() {
        answer_.by = already_below(answer_.before, function_, answer_.options.below);
        answer_.already = !answer_.by.empty();
        if (answer_.already) answer_.low = answer_.high = 1;
        else if (const std::string reason = why_no_formula(answer_.before, function_, failures_); reason.empty()) by_formula();
        else by_settling(reason);
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
    std::vector<bool> known_;  // by failure: it has a rate or a probability

    FailureRef ref(std::size_t i) const { return ref_of(c_, failures_[i]); }

    bool known(FailureHandle f) const {
        const FailureMode* m = figures_of(c_, f);
        return m && (m->rate || m->probability);
    }

    /// Flights from one check to the next; 1 where it does not hide.
    int interval(std::size_t i) const {
        const FailureMode* m = figures_of(c_, failures_[i]);
        if (!m || !m->hidden_for) return 1;
        const double flights = std::ceil(*m->hidden_for / answer_.options.hours);
        return static_cast<int>(std::clamp(flights, 1.0, 1e9));
    }

    /// That it is there on the n-th flight, counted from 0.
    double probability_on(std::size_t i, int flight) const {
        const FailureMode* m = figures_of(c_, failures_[i]);
        const double flights = flight % interval(i) + 1;
        if (m->probability) return -std::expm1(flights * std::log1p(-*m->probability));
        return -std::expm1(-*m->rate * answer_.options.hours * flights);
    }

    /// Until all checks fall together again: the least common multiple of the intervals that matter.
    void set_flights(const std::vector<std::size_t>& matter, double work_a_flight) {
        std::uint64_t flights = 1;
        for (const std::size_t i : matter) {
            if (!known_[i]) continue;
            flights = std::lcm(flights, static_cast<std::uint64_t>(interval(i)));
            if (static_cast<double>(flights) * (work_a_flight + static_cast<double>(failures_.size())) > most_work)
                throw NotPossible("Averaging over the flights until all checks of hidden failures fall together again is too much work for `" + answer_.function + "`; give longer flights, or leave hidden failures out with `within`.");
        }
        answer_.flights = static_cast<int>(flights);
    }

    std::vector<double> probabilities_on(int flight, double where_missing) const {
        std::vector<double> p(failures_.size());
        for (std::size_t i = 0; i < p.size(); ++i) p[i] = known_[i] ? probability_on(i, flight) : where_missing;
        return p;
    }

    void note_missing(const std::vector<std::size_t>& matter) {
        for (const std::size_t i : matter)
            if (!known_[i]) answer_.missing.push_back(ref(i));
    }

    void by_formula() {
        OrderedDiagram d = [&] {
            const Formula formula = goal_formula(answer_.before, function_, answer_.options.below, failures_);
            try {
                return ordered_diagram(formula, answer_.options.budget);
            } catch (const BudgetSpent&) {
                throw NotPossible("The budget does not suffice for the formula of `" + answer_.function + "`; a larger `nodes`, or fewer failures in `within`, may.");
            }
        }();
        answer_.by = by_its_formula;
        const std::vector<std::size_t> matter = read_by(d);
        note_missing(matter);
        set_flights(matter, static_cast<double>(d.diagrams.nodes(d.top)));
        const auto average = [&](double where_missing) {
            double sum = 0;
            for (int flight = 0; flight < answer_.flights; ++flight) sum += probability(d, probabilities_on(flight, where_missing));
            return sum / answer_.flights;
        };
        if (answer_.missing.empty()) {
            answer_.low = answer_.high = average(0);
            answer_.exact = true;
            tell_parts(d, matter);
        } else if (none_helps(d)) {
            answer_.low = average(0);
            answer_.high = average(1);
        }
    }

    /// False too where the budget does not suffice to tell.
    static bool none_helps(OrderedDiagram& d) {
        try {
            return those_that_help(d).empty();
        } catch (const BudgetSpent&) {
            return false;
        }
    }

    /// The failures whose level is in the diagram, ascending.
    static std::vector<std::size_t> read_by(const OrderedDiagram& d) {
        std::set<std::size_t> read;
        for (const std::uint32_t n : d.diagrams.walk(d.top)) read.insert(d.order[d.diagrams.node(n).level]);
        return {read.begin(), read.end()};
    }

    void tell_parts(OrderedDiagram& d, const std::vector<std::size_t>& matter) {
        std::vector<double> p(failures_.size(), 0);
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const std::vector<double> on = probabilities_on(flight, 0);
            for (std::size_t i = 0; i < p.size(); ++i) p[i] += on[i] / answer_.flights;
        }
        const double whole = probability(d, p);
        const std::vector<double> slopes = birnbaum(d, p);
        std::vector<std::vector<std::uint32_t>> listed;
        try {
            const MinimalSets sets = minimal_sets(d, {.budget = answer_.options.budget});
            bound_by(sets);
            if (sets.count() <= most_sets_united) listed = sets.sets();
        } catch (const BudgetSpent&) {
            // The probability does not hang on them: what is told of sets is then not told.
        }
        for (const std::size_t i : matter) {
            FailureRisk part{.failure = ref(i), .probability = p[i], .birnbaum = slopes[i]};
            if (whole > 0) {
                part.criticality = slopes[i] * p[i] / whole;
                part.achievement = (whole + (1 - p[i]) * slopes[i]) / whole;
                std::vector<double> without = p;
                without[i] = 0;
                const double rest = probability(d, without);
                part.reduction = rest > 0 ? whole / rest : std::numeric_limits<double>::infinity();
                if (const auto some = probability_of_any(listed, static_cast<std::uint32_t>(i), p)) part.fussell_vesely = *some / whole;
            }
            answer_.parts.push_back(std::move(part));
        }
        std::ranges::stable_sort(answer_.parts, {}, [](const FailureRisk& r) { return std::tuple(-r.criticality.value_or(0), r.failure.element, r.failure.mode); });
    }

    /// Of every flight, and their average: at the average probabilities they would be no bounds.
    void bound_by(const MinimalSets& sets) {
        constexpr double walks = 64;
        if (answer_.flights * walks * static_cast<double>(sets.families.nodes(sets.family)) > most_work) return;
        answer_.rare_event = answer_.cut_set_bound = 0;
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const std::vector<double> p = probabilities_on(flight, 0);
            *answer_.rare_event += rare_event(sets, p) / answer_.flights;
            *answer_.cut_set_bound += min_cut_upper_bound(sets, p) / answer_.flights;
        }
    }

    /// That some set with this member has happened; no value where no sets are told, or their union is beyond the budget.
    std::optional<double> probability_of_any(const std::vector<std::vector<std::uint32_t>>& listed, std::uint32_t member, const std::vector<double>& p) const {
        if (listed.empty()) return std::nullopt;
        Formula f(static_cast<std::uint32_t>(p.size()));
        std::vector<Term> any;
        for (const auto& set : listed) {
            if (std::ranges::find(set, member) == set.end()) continue;
            std::vector<Term> all;
            for (const std::uint32_t v : set) all.push_back(f.variable(v));
            any.push_back(f.all(all));
        }
        f.top = f.any(any);
        try {
            return probability(ordered_diagram(f, answer_.options.budget), p);
        } catch (const BudgetSpent&) {
            return std::nullopt;
        }
    }

    void by_settling(const std::string& reason) {
        answer_.by = "By settling every combination of up to " + std::to_string(most_at_once) + " failures, since " + reason + "; what is not examined makes the interval.";
        std::vector<std::size_t> matter(failures_.size());
        for (std::size_t i = 0; i < matter.size(); ++i) matter[i] = i;
        note_missing(matter);
        if (!answer_.missing.empty() || failures_.empty()) {
            if (failures_.empty()) answer_.low = answer_.high = 0;
            return;
        }
        SweepOptions options{.order = most_at_once, .goals = {{function_}}, .all = true, .threads = 0, .seconds = answer_.options.seconds};
        for (const FailureHandle f : failures_) options.events.push_back(Event::fail(f));
        std::vector<std::array<std::uint32_t, 3>> taking;
        const SweepResult swept = Sweep(answer_.before.state(), options).run([&](const SweepHit& hit) {
            if (hit.level > answer_.options.below) taking.push_back(hit.events);
        });
        const int order = swept.complete ? most_at_once : swept.complete_to;
        if (!swept.complete) std::erase_if(taking, [&](const auto& events) { return order == 0 || (order < 3 && events[static_cast<std::size_t>(order)] != none); });
        set_flights(matter, static_cast<double>(taking.size() + failures_.size()));
        answer_.low = answer_.high = 0;
        for (int flight = 0; flight < answer_.flights; ++flight) {
            const std::vector<double> p = probabilities_on(flight, 0);
            const double low = exactly_these(taking, p);
            answer_.low += low / answer_.flights;
            answer_.high += std::min(1.0, low + not_examined(p, order)) / answer_.flights;
        }
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

    /// Never below the probability that more than `order` elements have failed, or one of them in two modes.
    double not_examined(const std::vector<double>& p, int order) const {
        std::vector<double> count(static_cast<std::size_t>(order) + 1, 0);  // [k]: that k elements have failed, each in one mode
        count[0] = 1;
        double more = 0;
        for (std::size_t i = 0; i < p.size();) {
            double none_of = 1, one_of = 0, two_of = 0;
            const std::uint32_t element = c_.failures[failures_[i].index].element;
            for (; i < p.size() && c_.failures[failures_[i].index].element == element; ++i) {
                two_of += one_of * p[i];
                one_of = one_of * (1 - p[i]) + none_of * p[i];
                none_of *= 1 - p[i];
            }
            double sum = 0;
            for (const double x : count) sum += x;
            more += count.back() * one_of + sum * two_of;  // once more, it stays so
            for (std::size_t k = count.size(); k-- > 0;) count[k] = count[k] * none_of + (k > 0 ? count[k - 1] * one_of : 0);
        }
        return std::min(1.0, more);
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
                if (interval(l) == 1 || !known_[l] || !known_[a]) continue;
                sum_of(latent).residual += probability_on(a, 0) / answer_.options.hours;
                sum_of(active).latency += probability_on(l, interval(l) - 1);
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
