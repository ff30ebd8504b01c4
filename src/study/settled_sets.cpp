#include "settled_sets.hpp"

#include <algorithm>
#include <chrono>
#include <optional>

#include <fedfrom/solve/sweep.hpp>
#include <fedfrom/solve/sweeper.hpp>

namespace fedfrom::detail {
namespace {

class SettlingSearch {
public:
    SettlingSearch(const State& from, std::uint32_t function, Level below, const std::vector<FailureHandle>& failures, double seconds, const std::function<bool(double)>& progress)
        : from_(from), function_(function), below_(below), failures_(failures), seconds_(seconds), progress_(progress) {}

    SettledSets run(int order) && {
        if (failures_.empty()) return {};
        found_.complete_to = up_to_three(order);
        if (order == 4 && found_.complete_to == 3 && of_four()) found_.complete_to = 4;
        return std::move(found_);
    }

private:
    const State& from_;
    const std::uint32_t function_;
    const Level below_;
    const std::vector<FailureHandle>& failures_;
    const double seconds_;
    const std::function<bool(double)>& progress_;
    const std::chrono::steady_clock::time_point begun_ = std::chrono::steady_clock::now();
    SettledSets found_;

    /// Nothing where no time is left.
    std::optional<SweepOptions> sweep_options(int order) const {
        SweepOptions options{.order = order, .goals = {{function_}}, .threads = 0, .seconds = seconds_};
        if (seconds_ > 0) options.seconds -= std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count();
        return seconds_ > 0 && options.seconds <= 0 ? std::nullopt : std::optional(options);
    }

    /// To which order it got.
    int up_to_three(int order) {
        auto options = sweep_options(std::min(order, 3));
        if (!options) return 0;
        for (const FailureHandle f : failures_) options->events.push_back(Event::fail(f));
        if (order <= 3) options->progress = progress_;  // else those of four tell it
        const SweepResult swept = Sweep(from_, *options).run();
        for (const SweepHit& hit : swept.hits) take_if_minimal(hit, {});
        return swept.complete ? options->order : swept.complete_to;
    }

    /// With each failure in all of them, combinations of three of those after it. Whether it got through.
    bool of_four() {
        const SetOfPlaces places = may_stand_with_others();
        for (std::size_t i = 0; i + 3 < places.size(); ++i) {
            auto options = sweep_options(3);
            if (!options) return false;
            options->always = {Event::fail(failures_[places[i]])};
            const SetOfPlaces after(places.begin() + static_cast<std::ptrdiff_t>(i) + 1, places.end());
            for (const std::uint32_t place : after) options->events.push_back(Event::fail(failures_[place]));
            if (progress_)
                options->progress = [&](double part) { return progress_(done(i, part, places.size())); };
            const SweepResult swept = Sweep(from_, *options).run();
            for (const SweepHit& hit : swept.hits)
                if (hit.events[2] != none) take_if_minimal({{after[hit.events[0]], after[hit.events[1]], after[hit.events[2]]}, hit.goal, hit.level}, {places[i]});
            if (!swept.complete) return false;
        }
        return true;
    }

    /// The part of all combinations of four of n that is done, with part of those that begin with the i-th.
    static double done(std::size_t i, double part, std::size_t n) {
        const auto fours = [](double k) { return k * (k - 1) * (k - 2) * (k - 3); };
        const double all = fours(static_cast<double>(n)), left = fours(static_cast<double>(n - i)), left_after = fours(static_cast<double>(n - i - 1));
        return 1 - (left + part * (left_after - left)) / all;
    }

    /// Failures that reach the function and do not take it below by themselves.
    SetOfPlaces may_stand_with_others() const {
        std::vector<std::vector<Write>> writes;
        for (const FailureHandle f : failures_) writes.push_back(writes_of(from_, Event::fail(f)));
        const SweepPlan plan(from_.network().compiled(), {function_}, faults_in(from_, writes), false);
        SetOfPlaces list;
        for (std::uint32_t i = 0; i < failures_.size(); ++i)
            if (!found_.sets.contains({i}) && !std::ranges::all_of(writes[i], [&](const Write& w) { return plan.inert(w.variable); })) list.push_back(i);
        return list;
    }

    /// A sweep lists what no part does; of a part that already takes the function below, what takes it further is no more.
    void take_if_minimal(const SweepHit& hit, SetOfPlaces set) {
        if (hit.level <= below_) return;
        for (const std::uint32_t e : hit.events)
            if (e != none) set.push_back(e);
        for (std::uint32_t part = 1; part + 1 < 1u << set.size(); ++part) {
            SetOfPlaces some;
            for (std::size_t i = 0; i < set.size(); ++i)
                if (part >> i & 1) some.push_back(set[i]);
            if (found_.sets.contains(some)) return;
        }
        found_.sets.insert(std::move(set));
    }
};

}  // namespace

SettledSets sets_by_settling(const State& from, std::uint32_t function, Level below, const std::vector<FailureHandle>& failures, int order, double seconds, const std::function<bool(double)>& progress) {
    return SettlingSearch(from, function, below, failures, seconds, progress).run(order);
}

}  // namespace fedfrom::detail
