// Bodies of sweep.hpp: sizes of combination one after the other, on all threads, and their hits in order.
#pragma once

#include <atomic>
#include <chrono>
#include <exception>
#include <memory>
#include <mutex>
#include <thread>
#include <tuple>

#include <fedfrom/solve/sweep_worker.hpp>

namespace fedfrom {
namespace detail {

/// Runs the sizes of combination one after the other, each on all threads, and hands the hits on in their order.
class SweepRun {
public:
    using Visit = std::function<void(const SweepHit&)>;
    SweepRun(SweepWork& work, const Visit& visit) : work_(work), visit_(visit), begun_(std::chrono::steady_clock::now()) {}

    void run(SweepResult& result) {
        switch (work_.options.instructions) {
#if defined(__x86_64__)
            case InstructionSet::avx512: return run_on<Avx512>(result);
            case InstructionSet::avx2: return run_on<Avx2>(result);
#endif
            default: return run_on<Baseline>(result);
        }
    }

private:
    SweepWork& work_;
    const Visit& visit_;
    std::chrono::steady_clock::time_point begun_;
    std::atomic<bool> stop_{false};
    std::mutex telling_;             // guards what follows, and whom we tell
    std::vector<SweepFound> found_;  // by task
    std::uint32_t told_ = 0;         // tasks whose hits are handed on or wait in `row_`
    std::uint32_t done_ = 0;
    std::vector<SweepHit> row_;
    std::exception_ptr thrown_;

    template <class Isa>
    void run_on(SweepResult& result) {
        const int order = work_.options.order;
        const unsigned threads = work_.options.threads ? work_.options.threads : std::max(1u, std::thread::hardware_concurrency());
        std::vector<std::unique_ptr<SweepWorker<Isa>>> workers;
        for (unsigned t = 0; t < threads; ++t) workers.push_back(std::make_unique<SweepWorker<Isa>>(work_));
        for (int size = work_.options.always.empty() ? 1 : 0; size <= order && result.complete; ++size) {
            const std::uint32_t tasks = SweepWorker<Isa>::tasks(work_, size);
            found_.assign(tasks, {});
            told_ = done_ = 0;
            std::atomic<std::uint32_t> next{0};
            const auto part = [&](SweepWorker<Isa>& worker) {
                try {
                    for (std::uint32_t task; !stop_ && (task = next++) < tasks;) {
                        if (!examines(size, task)) continue;
                        SweepFound found = worker.run(size, task, size < order && !work_.options.all);
                        const std::lock_guard lock(telling_);
                        found_[task] = std::move(found);
                        hand_on(worker, size);
                        tell_progress(size);
                    }
                } catch (...) {
                    stop_ = true;
                    const std::lock_guard lock(telling_);
                    if (!thrown_) thrown_ = std::current_exception();
                }
            };
            std::vector<std::thread> running;
            for (unsigned t = 1; t < threads; ++t) running.emplace_back([&, t] { part(*workers[t]); });
            part(*workers[0]);
            for (std::thread& thread : running) thread.join();
            if (thrown_) std::rethrow_exception(thrown_);
            for (std::uint32_t task = 0; task < tasks; ++task)
                if (examines(size, task)) take(result, found_[task], mine(task));
            if (!result.complete) hand_on_rest();
            for (auto& both : work_.closures)
                for (Closure& closure : both) closure.single_done();
            if (work_.candidates && size < order && result.complete)
                work_.candidates->template gather<Wide<Isa>>(size, work_.closures, [&](std::uint32_t goal, std::uint32_t threshold) { return work_.beyond(work_.level_at(threshold), work_.at_rest(goal)); });
            if (result.complete) result.complete_to = size;
        }
    }

    bool mine(std::uint32_t task) const { return task % work_.options.shards == work_.options.shard; }
    /// Smaller combinations decide what is minimal, so every shard examines all of them and tells of its own.
    bool examines(int size, std::uint32_t task) const { return size < work_.options.order || mine(task); }

    static std::tuple<int, std::uint32_t, std::uint32_t, std::uint32_t, std::uint32_t> order_of(const SweepHit& h) {
        return {(h.events[0] != none) + (h.events[1] != none) + (h.events[2] != none), h.events[0], h.events[1], h.events[2], h.goal};
    }
    friend SweepResult fedfrom::join(const std::vector<SweepResult>&);

    /// As far as every task up to there is done, row by row.
    template <class Worker>
    void hand_on(const Worker& worker, int size) {
        for (; told_ < found_.size() && (found_[told_].done || !examines(size, told_)); ++told_) {
            keep(told_);
            if (worker.ends_row(size, told_)) hand_on_row();
        }
    }

    /// What was found before the work was broken off.
    void hand_on_rest() {
        for (; told_ < found_.size(); ++told_) keep(told_);
        hand_on_row();
    }

    void keep(std::uint32_t task) {
        if (!found_[task].on_top.comings.empty()) work_.candidates->on_top().take(std::exchange(found_[task].on_top, {}));
        if (mine(task)) row_.insert(row_.end(), found_[task].hits.begin(), found_[task].hits.end());
        found_[task].hits = {};
    }

    void hand_on_row() {
        std::ranges::sort(row_, {}, [](const SweepHit& h) { return order_of(h); });
        for (SweepHit& hit : row_) {
            for (std::uint32_t& e : hit.events)
                if (e != none) e = work_.asked[e];
            visit_(hit);
        }
        row_.clear();
    }

    void take(SweepResult& result, SweepFound& found, bool mine) {
        result.complete &= found.done;
        for (const auto& closed : found.closed) {
            Closure& closure = work_.closures[closed.goal][closed.threshold];
            if (closed.a == none) closure.add_everything();
            else if (closed.b == none) closure.add(closed.a);
            else closure.add(closed.a, closed.b);
        }
        for (const Meetings::Coming& coming : found.comings) work_.candidates->meetings().add(coming);
        for (const std::uint32_t e : found.wild) work_.candidates->meetings().add_wild(e);
        if (!mine) return;
        result.combinations += found.combinations;
        result.alone += found.alone;
        result.evaluated += found.evaluated;
    }

    void tell_progress(int size) {
        ++done_;
        if (work_.options.seconds > 0 && std::chrono::duration<double>(std::chrono::steady_clock::now() - begun_).count() > work_.options.seconds) stop_ = true;
        if (stop_ || !work_.options.progress) return;
        const auto to_do = (static_cast<std::uint32_t>(found_.size()) - work_.options.shard + work_.options.shards - 1) / work_.options.shards;
        if (!work_.options.progress(size < work_.options.order ? 0.0 : static_cast<double>(done_) / to_do)) stop_ = true;
    }
};

/// Givens are counted after the elements, then what is reset, which goes with everything, then the uses, which are one thing:
/// each writes what its stores hold after it alone.
inline std::uint32_t thing_of(const Compiled& c, const Event& e) {
    const auto elements = static_cast<std::uint32_t>(c.elements.size()), givens = static_cast<std::uint32_t>(c.givens.size());
    switch (e.kind) {
        case Event::Kind::fail: return c.failures[e.index].element;
        case Event::Kind::set: return e.index;
        case Event::Kind::given: return elements + e.index;
        case Event::Kind::reset: return elements + givens + e.index;
        default: return 2 * elements + givens;
    }
}

inline bool with_none_other(const SweepOptions& options, const Event& e) { return options.one_mode_an_element || e.kind != Event::Kind::fail; }

/// Whether an event may be combined with those that are always there.
inline bool may_come_with(const Compiled& c, const SweepOptions& options, const Event& e) {
    return std::ranges::none_of(options.always, [&](const Event& there) {
        return there == e || (thing_of(c, there) == thing_of(c, e) && (with_none_other(options, there) || with_none_other(options, e)));
    });
}

}  // namespace detail

InstructionSet best_instruction_set() {
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vl")) return InstructionSet::avx512;
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("bmi2")) return InstructionSet::avx2;
#endif
    return InstructionSet::baseline;
}

Sweep::Sweep(State from, SweepOptions options) : options_(std::move(options)), before_(settle(from)) {
    if (options_.order < 1 || options_.order > 3) throw NotPossible("A sweep combines 1, 2 or 3 events at once, not " + std::to_string(options_.order) + ".");
    if (options_.modes && !options_.all) throw NotPossible("A sweep tells modes of all combinations, not only of minimal ones.");
    if (options_.shards == 0 || options_.shard >= options_.shards)
        throw NotPossible("There is no shard " + std::to_string(options_.shard) + " of " + std::to_string(options_.shards) + "; shards count from 0.");
    if (options_.instructions > best_instruction_set()) throw NotPossible("This processor does not have the instruction set asked for.");
    for (const auto* events : {&options_.events, &options_.always})
        for (const Event& e : *events)
            if (e.kind == Event::Kind::repair || e.kind == Event::Kind::clear_all)
                throw NotPossible("A sweep combines failures, positions, givens, resets and uses.");
}

SweepResult Sweep::run() const {
    std::vector<SweepHit> hits;
    SweepResult result = run([&](const SweepHit& hit) { hits.push_back(hit); });
    result.hits = std::move(hits);
    return result;
}

SweepResult Sweep::run(const std::function<void(const SweepHit&)>& visit) const {
    const State& from = before_.state();
    const Compiled& c = from.network().compiled();
    std::vector<std::uint32_t> goals;
    for (const FunctionHandle goal : options_.goals) goals.push_back(goal.index);
    for (std::uint32_t f = 0; options_.goals.empty() && f < c.functions.size(); ++f) goals.push_back(f);
    std::ranges::sort(goals);
    goals.erase(std::unique(goals.begin(), goals.end()), goals.end());
    std::vector<Event> events = options_.events;
    for (std::uint32_t f = 0; options_.events.empty() && f < c.failures.size(); ++f)
        if (!from.failed({f})) events.push_back(Event::fail({f}));
    std::vector<std::vector<detail::Write>> writes, always;
    for (const Event& e : options_.always) always.push_back(detail::writes_of(from, e));
    for (const Event& e : events) writes.push_back(detail::writes_of(from, e));
    const detail::SweepPlan plan(c, goals, detail::faults_in(from, writes) || detail::faults_in(from, always), options_.modes);
    detail::SweepWork work{.from = from, .options = options_, .before = before_, .plan = plan, .events = {}, .asked = {}, .writes = {}, .always = std::move(always), .thing_of = {},
                           .never_together = {}, .goals = goals, .goal_at = {}, .closures = {}, .candidates = {}};
    SweepResult result{.events = events};
    for (std::uint32_t e = 0; e < events.size(); ++e) {
        if (!detail::may_come_with(c, options_, events[e])) continue;
        if (!options_.all && std::ranges::all_of(writes[e], [&](const detail::Write& w) { return plan.inert(w.variable); })) {
            ++result.inert;
            continue;
        }
        work.events.push_back(events[e]);
        work.asked.push_back(e);
        work.writes.push_back(std::move(writes[e]));
        work.thing_of.push_back(detail::thing_of(c, events[e]));
        work.never_together.push_back(detail::with_none_other(options_, events[e]));
    }
    for (const std::uint32_t f : plan.judged) {
        const auto it = std::ranges::find(goals, f);
        work.goal_at.push_back(it == goals.end() ? none : static_cast<std::uint32_t>(it - goals.begin()));
    }
    work.closures.resize(goals.size());
    for (auto& both : work.closures)
        for (detail::Closure& closure : both) closure.resize(work.count());
    for (std::uint32_t d = 0; d < c.demands.size(); ++d) work.one_by_one |= before_.worlds(d).values.size() > 1 || before_.worlds(d).all_unknown;
    // Of what is always there, or begins with a fault, coefficients would have to be counted from there; and where everything is told nothing can be left out.
    if (options_.order > 1 && !options_.all && options_.always.empty() && !work.one_by_one && !detail::faults_in(from, {}) && detail::Candidates::fit(c, work.count()))
        work.candidates.emplace(c, goals, work.count(), options_.order > 2, [&](std::uint32_t a, std::uint32_t b) { return work.together(a, b); });
    detail::SweepRun(work, visit).run(result);
    return result;
}

SweepResult join(const std::vector<SweepResult>& shards) {
    SweepResult all;
    for (const SweepResult& s : shards) {
        if (&s == &shards.front()) {
            all.events = s.events;
            all.inert = s.inert;
            all.complete_to = s.complete_to;
        }
        all.hits.insert(all.hits.end(), s.hits.begin(), s.hits.end());
        all.combinations += s.combinations;
        all.alone += s.alone;
        all.evaluated += s.evaluated;
        all.complete &= s.complete;
        all.complete_to = std::min(all.complete_to, s.complete_to);
    }
    std::ranges::sort(all.hits, {}, [](const SweepHit& h) { return detail::SweepRun::order_of(h); });
    return all;
}

}  // namespace fedfrom
