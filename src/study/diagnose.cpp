// Candidates are what takes a goal up: a function that is normal where all observations are as predicted, and one for each observation
// that may be mistaken. The sweep that finds what restores a function finds them, every combination, minimal ones only.
//
// A set that contradicts one observation alone is a hit of that observation's goal that is none of the first goal: were it to
// explain everything, it would be the smallest that does, since a part that explains everything explains the rest too.
#include <fedfrom/study/diagnose.hpp>

#include <algorithm>
#include <set>
#include <tuple>

#include <fedfrom/solve/sweep.hpp>

#include "goal_formula.hpp"
#include "next_looks.hpp"
#include "observed.hpp"

namespace fedfrom {
namespace {

using namespace detail;

using Places = std::vector<std::uint32_t>;  // of events, ascending

constexpr std::size_t most_unknown = 20'000;  // sets in which something hunts and that are settled once more: some seconds

/// A candidate as it is searched for and ranked.
struct Found {
    Places failures;
    std::size_t contradicts = none_contradicted;
    std::vector<std::size_t> undecided{};
    std::optional<double> likely{};  ///< no value: a rate is missing
    static constexpr std::size_t none_contradicted = static_cast<std::size_t>(-1);

    bool has_contradiction() const { return contradicts != none_contradicted; }
    bool operator<(const Found& other) const {
        const auto key = [](const Found& f) { return std::tuple(f.has_contradiction(), !f.undecided.empty(), f.failures.size(), f.likely ? -*f.likely : 0.0); };
        const auto mine = key(*this), theirs = key(other);
        return mine != theirs ? mine < theirs : std::tie(failures, contradicts) < std::tie(other.failures, other.contradicts);
    }
};

class Diagnoser {
public:
    Diagnoser(const State& from, const std::vector<Observation>& observations, const DiagnoseOptions& options)
        : state_(from), result_{.before = settle(state_), .observations = observations, .options = options}, net_(state_.network()), c_(net_.compiled()), observed_(state_, observations) {
        if (options.most_failures < 1 || options.most_failures > 3) throw NotPossible("`most_failures` is 1, 2 or 3 at once, not " + std::to_string(options.most_failures) + ".");
        if (options.reach == Reach::nobody) throw NotPossible("`reach` is cockpit, cabin or ground.");
        for (const auto& [failure, how] : options.prior) {
            net_.failure(failure.first, failure.second);
            if (!(how > 0)) throw NotPossible("What is thought of `" + failure.first + "` beforehand must be above 0.");
        }
        failures_ = failures_to_combine(state_, options.within);
        for (const FailureHandle f : failures_) likely_.push_back(likely(f));
    }

    Diagnosis run() {
        const Outcome as_it_stands = outcome_with({});
        for (std::size_t o = 0; o < result_.observations.size(); ++o) {
            const auto predicted = observed_.predicts(as_it_stands, o);
            if (!predicted) result_.undecided.push_back(o);
            else if (!*predicted) result_.unexpected.push_back(o);
        }
        search();
        list();
        if (result_.options.next && result_.candidates.size() > 1) look_further();
        return std::move(result_);
    }

private:
    State state_;
    Diagnosis result_;
    const Network net_;
    const Compiled& c_;
    Observed observed_;
    std::vector<FailureHandle> failures_;         // that are combined
    std::vector<std::optional<double>> likely_;   // by failure
    std::vector<Found> found_;

    /// What was said beforehand, else the author's figure.
    std::optional<double> likely(FailureHandle f) const {
        const FailureInfo& info = c_.failures[f.index];
        const ElementInfo& e = c_.elements[info.element];
        const auto said = result_.options.prior.find({*e.id, info.mode});
        if (said != result_.options.prior.end()) return said->second;
        const auto written = e.element->failures.find(info.mode);
        if (written == e.element->failures.end()) return std::nullopt;
        return written->second.rate ? written->second.rate : written->second.probability;
    }

    Outcome outcome_with(const Places& failures) const {
        State state = observed_.state();
        for (const std::uint32_t f : failures) state.fail(failures_[f]);
        return settle(state);
    }

    // ------------------------------------------------------------------- the search

    void search() {
        const bool mistaken = result_.options.mistaken;
        const std::size_t n = result_.observations.size();
        const std::vector<std::size_t>& unexpected = result_.unexpected;
        // Nothing more need have failed.
        if (unexpected.empty()) found_.push_back({.failures = {}, .undecided = result_.undecided});
        else if (mistaken && unexpected.size() == 1 && result_.undecided.empty()) found_.push_back({.failures = {}, .contradicts = unexpected.front()});

        SweepOptions options{.order = result_.options.most_failures, .restoring = true, .unknown = true, .seconds = result_.options.seconds, .progress = result_.options.progress};
        for (const FailureHandle f : failures_) options.events.push_back(Event::fail(f));
        options.goals.push_back(observed_.all());
        for (std::size_t o = 0; mistaken && o < n; ++o) options.goals.push_back(observed_.all_but(o));
        if (failures_.empty() || n == 0) {
            result_.complete_to = result_.options.most_failures;
            return;
        }
        std::set<Places> explaining, unknown;
        std::vector<Found> contradicting;
        const SweepResult swept = Sweep(observed_.state(), std::move(options)).run([&](const SweepHit& hit) {
            Places places;
            for (const std::uint32_t e : hit.events)
                if (e != none) places.push_back(e);
            if (hit.goal == observed_.all().index) {
                if (hit.level == Level::unknown) unknown.insert(std::move(places));
                else if (hit.level == Level::normal) explaining.insert(std::move(places));
                return;
            }
            if (hit.level != Level::normal) return;
            std::size_t o = 0;
            while (observed_.all_but(o).index != hit.goal) ++o;
            contradicting.push_back({.failures = std::move(places), .contradicts = o});
        });
        result_.combinations = swept.combinations;
        result_.complete = swept.complete;
        result_.complete_to = swept.complete_to;
        for (Found& f : contradicting)
            if (!explaining.contains(f.failures) && !unknown.contains(f.failures)) found_.push_back(std::move(f));
        for (const Places& places : explaining) found_.push_back({.failures = places});
        add_undecided(explaining, unknown);
    }

    /// Sets that contradict nothing for sure, and no part of which does.
    void add_undecided(const std::set<Places>& explaining, const std::set<Places>& unknown) {
        if (result_.unexpected.empty()) return;  // as things stand already
        if (unknown.size() > most_unknown) {
            result_.complete = false;
            result_.complete_to = 0;
        }
        std::vector<Places> by_size(unknown.begin(), unknown.end());
        std::ranges::stable_sort(by_size, {}, &Places::size);
        if (by_size.size() > most_unknown) by_size.resize(most_unknown);
        std::vector<Places> kept;
        for (const Places& places : by_size) {
            const auto has = [&](const Places& part) { return std::ranges::includes(places, part); };
            if (std::ranges::any_of(kept, has) || std::ranges::any_of(explaining, has)) continue;
            const Outcome out = outcome_with(places);
            Found found{.failures = places};
            bool contradicted = false;
            for (std::size_t o = 0; o < result_.observations.size(); ++o) {
                const auto predicted = observed_.predicts(out, o);
                if (!predicted) found.undecided.push_back(o);
                contradicted |= predicted == std::optional(false);
            }
            if (contradicted) continue;
            kept.push_back(places);
            found_.push_back(std::move(found));
        }
    }

    // ------------------------------------------------------------------- the list

    /// No value where a rate is missing.
    std::optional<double> likely(const Places& failures) const {
        double product = 1;
        for (const std::uint32_t f : failures) {
            if (!likely_[f]) return std::nullopt;
            product *= *likely_[f];
        }
        return product;
    }

    void list() {
        for (Found& f : found_) f.likely = likely(f.failures);
        std::sort(found_.begin(), found_.end());
        for (std::size_t i = 0; i < found_.size(); ++i) {
            const Found& f = found_[i];
            ++result_.found[f.has_contradiction()];
            if (i >= result_.options.most_listed) continue;
            Candidate candidate{.undecided = f.undecided, .likely = f.likely};
            if (f.has_contradiction()) candidate.contradicts = {f.contradicts};
            for (const std::uint32_t e : f.failures) {
                candidate.failures.push_back(ref_of(c_, failures_[e]));
                if (!likely_[e]) candidate.missing.push_back(candidate.failures.back());
            }
            result_.candidates.push_back(std::move(candidate));
        }
    }

    /// What tells those with fewest contradictions apart.
    void look_further() {
        std::vector<std::vector<FailureHandle>> sets;
        std::vector<double> weights;
        result_.by_rates = true;
        for (const Found& f : found_) {
            if (sets.size() == std::min(most_considered, result_.candidates.size())) break;
            if (f.has_contradiction() != found_.front().has_contradiction()) break;
            sets.emplace_back();
            for (const std::uint32_t e : f.failures) sets.back().push_back(failures_[e]);
            result_.by_rates &= f.likely.has_value();
            weights.push_back(f.likely.value_or(1));
        }
        result_.considered = sets.size();
        if (!result_.by_rates) std::ranges::fill(weights, 1.0);
        double sum = 0;
        for (const double w : weights) sum += w;
        for (double& w : weights) w /= sum;
        result_.looks = next_looks(state_, sets, weights, result_.options.reach);
    }
};

}  // namespace

Diagnosis diagnose(const State& from, const std::vector<Observation>& observations, const DiagnoseOptions& options) { return Diagnoser(from, observations, options).run(); }

Diagnosis diagnose(const Network& net, const std::vector<Observation>& observations, const DiagnoseOptions& options) { return diagnose(running_state(net), observations, options); }

}  // namespace fedfrom
