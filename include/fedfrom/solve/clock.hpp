/// An aircraft in time: what is timed moves, starts and stops when its time is over, not at once.
///
///     Clock clock(running_state(net));
///     clock.apply(Event::fail(net.failure("gen_l")));
///     clock.settle();                         // at this instant: what takes time waits
///     while (const auto next = clock.next()) {
///         clock.go_to(*next);
///         clock.move_due();
///     }
///     clock.outcome();                        // when nothing waits any more
///
/// Commands take their delay: what a crew's hand, a leader or its own logic sends elsewhere stands where it was until
/// it has been sent to the same place for `after_s` without a break. What a lost port, a trip or a failure moves, and what
/// has no delay, moves at once (rule M30). What has `spin_up_s` gives nothing until it could have for so long without a break
/// (rule M45); what has `run_down_s`, or `runs_without_s` for the port that is gone, gives for so long yet (rule M46).
/// Functions are judged with what waits standing still. Nothing is left to chance: the same
/// events give the same instants. An instant costs as much as a settle, and two more for each wave of what starts or runs on.
#pragma once

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom {

/// Something that takes time and is on its way.
struct Waiting {
    enum class What : std::uint8_t {
        moves,      ///< sent elsewhere, and still stands
        starts,     ///< could supply, and does not yet
        runs_down,  ///< works on though something it needs is gone
    };
    std::uint32_t element = none;
    What what = What::moves;
    std::uint32_t position = none;        ///< where it is sent
    std::chrono::microseconds due{};      ///< when it is there, from the clock's beginning
    bool operator==(const Waiting&) const = default;
};

inline constexpr std::string_view name_of(Waiting::What what) {
    constexpr std::array<std::string_view, 3> names{"moves", "starts", "runs_down"};
    return names[static_cast<std::size_t>(what)];
}

class Clock {
public:
    /// Begins at 0 with a settled copy of the state: what is sent anywhere is there, what ran on is out, what was starting starts from now.
    explicit Clock(State state) : state_(with_none_running_on(std::move(state))), outcome_(fedfrom::settle(state_)) {
        for (std::uint32_t e = 0; e < compiled().elements.size(); ++e) {
            if (compiled().elements[e].starting) starters_.push_back(e);
            if (compiled().elements[e].running_on) runners_.push_back(e);
        }
        // What was starting in the state begins its start anew.
        for (const std::uint32_t e : starters_)
            if (any(state_.memory()[info(e).starting])) waiting_.push_back({.element = e, .what = Waiting::What::starts, .due = delay(info(e).element->spin_up_s)});
        if (!waiting_.empty()) settle();
    }

    std::chrono::microseconds now() const { return now_; }
    /// As of the last call of `settle` or `move_due`.
    const Outcome& outcome() const { return outcome_; }
    /// As it stands now, with events that wait for `settle`.
    const State& state() const { return state_; }
    /// Positions, starts, stops; each in id order.
    const std::vector<Waiting>& waiting() const { return waiting_; }
    /// When the first of what waits is due, now at the earliest; no value: nothing waits.
    std::optional<std::chrono::microseconds> next() const;

    /// Takes effect with the next `settle`, with all others since the last. Refused, it changes nothing.
    Refusal apply(const Event& event);
    /// Takes a store as used up, likewise.
    void spend(ElementHandle store) { state_.spend(store); }
    /// All that follows at this instant, but for what waits.
    void settle();
    /// Goes on to a later instant, no later than `next`. Nothing has happened by then.
    void go_to(std::chrono::microseconds instant) { now_ = instant; }
    /// What is due by now moves, all together, and what follows is settled. What happens at an instant is settled first: it may call something off.
    void move_due();

private:
    using Elements = std::vector<std::uint32_t>;  // in order

    State state_;
    Outcome outcome_;
    std::chrono::microseconds now_{};
    std::vector<Waiting> waiting_;
    Elements starters_, runners_;  // what has a time to spin up, to run down
    /// Of what has run on: when that is over; and since when it has all it needs again. Only what has had it for longer than an instant begins anew.
    struct Stop {
        std::chrono::microseconds at{};
        std::optional<std::chrono::microseconds> fed_since{};
    };
    std::map<std::uint32_t, Stop> stops_;
    Elements up_, over_;           // at this instant: what has spun up, what runs on no longer

    const Compiled& compiled() const { return state_.network().compiled(); }
    const ElementInfo& info(std::uint32_t e) const { return compiled().elements[e]; }
    static State with_none_running_on(State state);
    static std::chrono::microseconds delay(double seconds);
    bool is_timed(const MemoryCell& cell) const { return info(cell.element).element->after_s > 0; }
    Elements waiting_for(Waiting::What what) const;
    std::chrono::microseconds due(const Waiting& w, double seconds) const;

    void start_and_run_on();
    void mark(std::span<One> memory, const Elements& starting, const Elements& running_on) const;
    Worlds tried(Settler<One>& settler, const Elements& starting, const Elements& running_on) const;
    bool surely_supplied_before(std::uint32_t e) const { return outcome_.truth(info(e).supplied).value_or(false); }
    bool has_run_down(std::uint32_t e) const {
        const auto stop = stops_.find(e);
        return stop != stops_.end() && stop->second.at < now_;
    }
    bool sound(std::uint32_t e, const Worlds& worlds) const;
    bool fed(std::uint32_t e, const Worlds& worlds) const;
    double runs_on_s(std::uint32_t e, const Worlds& worlds) const;
    void note_what_waits(const Worlds& worlds);
    template <class Which>
    std::vector<One> cells_where(Which which) const;
};

// ---------------------------------------------------------------------------

namespace detail {
inline bool is_in(std::span<const std::uint32_t> list, std::uint32_t e) { return std::ranges::binary_search(list, e); }
inline void add_to(std::vector<std::uint32_t>& list, std::span<const std::uint32_t> more) {
    list.insert(list.end(), more.begin(), more.end());
    std::ranges::sort(list);
}
}  // namespace detail

inline State Clock::with_none_running_on(State state) {
    State::Memory memory = state.remembered();
    for (const ElementInfo& e : state.network().compiled().elements)
        if (e.running_on) memory.values[e.running_on] = One::filled(false);
    state.remember(std::move(memory));
    return state;
}

inline std::optional<std::chrono::microseconds> Clock::next() const {
    const auto first = std::ranges::min_element(waiting_, {}, &Waiting::due);
    return first == waiting_.end() ? std::nullopt : std::optional(first->due);
}

/// At least a microsecond, so that time goes on; at most some thirty years.
inline std::chrono::microseconds Clock::delay(double seconds) {
    constexpr double most_s = 1e9;
    return std::max(std::chrono::microseconds(1), std::chrono::round<std::chrono::microseconds>(std::chrono::duration<double>(std::min(seconds, most_s))));
}

template <class Which>
std::vector<One> Clock::cells_where(Which which) const {
    std::vector<One> cells;
    for (const MemoryCell& cell : compiled().memory_cells) cells.push_back(One::filled(which(cell)));
    return cells;
}

inline Clock::Elements Clock::waiting_for(Waiting::What what) const {
    Elements list;
    for (const Waiting& w : waiting_)
        if (w.what == what) list.push_back(w.element);
    return list;
}

/// When it is over: what waited for the same before goes on, anything else begins now.
inline std::chrono::microseconds Clock::due(const Waiting& w, double seconds) const {
    for (const Waiting& before : waiting_)
        if (before.element == w.element && before.what == w.what && before.position == w.position) return before.due;
    return now_ + delay(seconds);
}

/// What nothing ever failed in has long started.
inline Refusal Clock::apply(const Event& event) {
    if (event.kind == Event::Kind::clear_all) up_ = starters_;
    return state_.apply(event);
}

inline void Clock::settle() {
    start_and_run_on();
    Settler<One> settler(compiled());
    settler.hold_back(cells_where([&](const MemoryCell& cell) { return is_timed(cell); }));
    outcome_ = detail::settle_by(settler, state_, [&](const Worlds& worlds) {
        note_what_waits(worlds);
        // What a demand sends elsewhere counts as there; what waits does not.
        const Elements moving = waiting_for(Waiting::What::moves);
        settler.hold_back(cells_where([&](const MemoryCell& cell) { return detail::is_in(moving, cell.element); }));
    });
    up_.clear();
    over_.clear();
}

/// Finds what has to spin up and what runs on at this instant, in waves: what starts or stops changes what others have. Of
/// what is lost, those run on that would be without what they need even if all others ran on; where each is
/// fed by the others, all do.
inline void Clock::start_and_run_on() {
    if (starters_.empty() && runners_.empty()) return;
    std::erase_if(stops_, [&](const auto& stop) { return stop.second.fed_since && *stop.second.fed_since < now_; });
    Settler<One> settler(compiled());
    settler.hold_back(cells_where([&](const MemoryCell& cell) { return is_timed(cell); }));
    Elements starting = waiting_for(Waiting::What::starts), running_on;
    std::map<std::uint32_t, double> for_s;  // by what runs on: as found when it was lost
    Worlds worlds;
    for (;;) {
        worlds = tried(settler, starting, running_on);
        Elements fresh, lost;
        for (const std::uint32_t e : starters_)
            if (worlds.read(0, info(e).supplied) && !surely_supplied_before(e) && !detail::is_in(up_, e)) fresh.push_back(e);
        if (!fresh.empty()) {
            detail::add_to(starting, fresh);
            continue;
        }
        Elements stopped;  // what is gone by now is more than it can do without
        for (const std::uint32_t e : running_on)
            if (!(runs_on_s(e, worlds) > 0)) stopped.push_back(e);
        if (!stopped.empty()) {
            std::erase_if(running_on, [&](std::uint32_t e) { return detail::is_in(stopped, e); });
            detail::add_to(over_, stopped);
            continue;
        }
        for (const std::uint32_t e : runners_)
            if (surely_supplied_before(e) && !worlds.read(0, info(e).supplied) && !detail::is_in(over_, e) && !has_run_down(e) && runs_on_s(e, worlds) > 0) lost.push_back(e);
        if (lost.empty()) break;
        Elements all = running_on;
        detail::add_to(all, lost);
        const Worlds with_all = tried(settler, starting, all);
        Elements first;
        for (const std::uint32_t e : lost)
            if (!fed(e, with_all)) first.push_back(e);
        for (const std::uint32_t e : lost) for_s[e] = runs_on_s(e, worlds);
        detail::add_to(running_on, first.empty() ? lost : first);
    }
    // What has all it needs after all need not run on, unless it has it through itself.
    Elements needed;
    for (const std::uint32_t e : running_on)
        if (!fed(e, worlds)) needed.push_back(e);
    if (needed.size() < running_on.size()) {
        Worlds without = tried(settler, starting, needed);
        if (std::ranges::all_of(running_on, [&](std::uint32_t e) { return without.read(0, info(e).supplied); })) {
            running_on = needed;
            worlds = std::move(without);
        }
    }
    // Fed by what runs on it is not out of its own time: two that run down would keep each other alive.
    const Worlds alone = running_on.empty() ? worlds : tried(settler, starting, {});
    for (auto& [e, stop] : stops_) {
        if (!alone.read(0, info(e).supplied)) stop.fed_since.reset();
        else if (!stop.fed_since) stop.fed_since = now_;
    }
    std::erase_if(starting, [&](std::uint32_t e) { return !sound(e, worlds) || !fed(e, worlds); });

    State::Memory memory = state_.remembered();
    mark(memory.values, starting, running_on);
    state_.remember(std::move(memory));
    std::vector<Waiting> waiting;
    for (const Waiting& w : waiting_)
        if (w.what == Waiting::What::moves) waiting.push_back(w);
    for (const std::uint32_t e : starting) {
        Waiting w{.element = e, .what = Waiting::What::starts};
        w.due = due(w, info(e).element->spin_up_s);
        waiting.push_back(w);
    }
    for (const std::uint32_t e : running_on) {
        const std::chrono::microseconds from_now = now_ + delay(fed(e, worlds) ? for_s[e] : runs_on_s(e, worlds));
        Stop& stop = stops_.try_emplace(e, Stop{.at = from_now}).first->second;
        stop.at = std::min(stop.at, from_now);
        waiting.push_back({.element = e, .what = Waiting::What::runs_down, .due = stop.at});
    }
    waiting_ = std::move(waiting);
}

inline void Clock::mark(std::span<One> memory, const Elements& starting, const Elements& running_on) const {
    for (const std::uint32_t e : starters_) memory[info(e).starting] = One::filled(detail::is_in(starting, e));
    for (const std::uint32_t e : runners_) memory[info(e).running_on] = One::filled(detail::is_in(running_on, e));
}

/// The state settled with these starting and running on; nothing of it is kept.
inline Worlds Clock::tried(Settler<One>& settler, const Elements& starting, const Elements& running_on) const {
    std::vector<One> memory(state_.memory().begin(), state_.memory().end());
    mark(memory, starting, running_on);
    Frozen<One> frozen = state_.frozen();
    return detail::settle_worlds(compiled(), settler, memory, frozen);
}

/// Nothing but its needs and its ports can keep it from supplying.
inline bool Clock::sound(std::uint32_t e, const Worlds& worlds) const {
    const auto holds = [&](Literal l) { return worlds.read(0, l); };
    const ElementInfo& it = info(e);
    for (std::uint32_t f = it.failures.first; f < it.failures.last; ++f)
        if (compiled().failures[f].mode == "loss" && holds(Literal::of(compiled().failures[f].variable))) return false;
    for (std::uint32_t z = it.zones.first; z < it.zones.last; ++z)
        if (holds(Literal::of(compiled().zones[z].variable))) return false;
    return !(it.empty && holds(Literal::of(it.empty))) && !(it.overloaded && holds(Literal::of(it.overloaded)));
}

inline bool Clock::fed(std::uint32_t e, const Worlds& worlds) const {
    for (std::uint32_t p = info(e).ports.first; p < info(e).ports.last; ++p)
        if (!worlds.read(0, compiled().ports[p].supplied)) return false;
    return worlds.read(0, info(e).needs);
}

/// How long it runs on without what it lacks; 0: not at all.
inline double Clock::runs_on_s(std::uint32_t e, const Worlds& worlds) const {
    const ElementInfo& it = info(e);
    if (!sound(e, worlds)) return 0;
    double least = std::numeric_limits<double>::infinity();
    if (!worlds.read(0, it.needs)) least = it.element->run_down_s;
    for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p) {
        if (worlds.read(0, compiled().ports[p].supplied)) continue;
        least = std::min(least, runs_without_s(*it.element, compiled().ports[p].name));
    }
    return least;
}

inline void Clock::note_what_waits(const Worlds& worlds) {
    std::vector<Waiting> waiting;
    for (const MemoryCell& cell : compiled().memory_cells) {
        if (!is_timed(cell) || !worlds.read(0, cell.commanded)) continue;
        const ElementInfo& e = info(cell.element);
        Waiting w{.element = cell.element};
        for (std::uint32_t p = 0; p < cell.sent.size(); ++p)
            if (worlds.read(0, cell.sent[p]) && !worlds.read(0, Literal::of(e.held + p))) w.position = p;
        if (w.position == none) continue;
        w.due = due(w, e.element->after_s);
        waiting.push_back(w);
    }
    for (const Waiting& w : waiting_)
        if (w.what != Waiting::What::moves) waiting.push_back(w);
    waiting_ = std::move(waiting);
}

inline void Clock::move_due() {
    State::Memory memory = state_.remembered();
    for (const Waiting& w : waiting_) {
        if (w.due > now_) continue;
        const ElementInfo& e = info(w.element);
        if (w.what == Waiting::What::starts) up_.push_back(w.element);
        if (w.what == Waiting::What::runs_down) over_.push_back(w.element);
        for (std::uint32_t p = 0; w.what == Waiting::What::moves && p < e.positions.size(); ++p) memory.values[e.held + p] = One::filled(p == w.position);
    }
    std::erase_if(waiting_, [&](const Waiting& w) { return w.due <= now_; });
    memory.frozen.clear();
    state_.remember(std::move(memory));
    settle();
}

}  // namespace fedfrom
