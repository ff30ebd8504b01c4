/// An aircraft in time: what is timed (`after_s`) moves when its delay is over, not at once.
///
///     Clock clock(running_state(net));
///     clock.apply(Event::fail(net.failure("gen_l")));
///     clock.settle();                         // at this instant: what was sent elsewhere waits
///     while (const auto next = clock.next()) {
///         clock.go_to(*next);
///         clock.move_due();
///     }
///     clock.outcome();                        // when nothing waits any more
///
/// Commands take their delay: what a crew's hand, a leader or its own logic sends elsewhere stands where it was until
/// it has been sent to the same place for `after_s` without a break. What a lost port, a trip or a failure moves, and what
/// has no delay, moves at once (rule M30). Functions are judged with what waits standing still. Nothing is left to chance: the same
/// events give the same instants. An instant costs as much as a settle.
#pragma once

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom {

/// Something timed that has been sent elsewhere and still stands.
struct Waiting {
    std::uint32_t element = none;
    std::uint32_t position = none;        ///< where it is sent
    std::chrono::microseconds due{};      ///< when it gets there, from the clock's beginning
    bool operator==(const Waiting&) const = default;
};

class Clock {
public:
    /// Begins at 0 with a settled copy of the state: nothing waits.
    explicit Clock(State state) : state_(std::move(state)), outcome_(fedfrom::settle(state_)) {}

    std::chrono::microseconds now() const { return now_; }
    /// As of the last call of `settle` or `move_due`.
    const Outcome& outcome() const { return outcome_; }
    /// In id order.
    const std::vector<Waiting>& waiting() const { return waiting_; }
    /// When the first of what waits is due, now at the earliest; no value: nothing waits.
    std::optional<std::chrono::microseconds> next() const;

    /// Takes effect with the next `settle`, with all others since the last. Refused, it changes nothing.
    Refusal apply(const Event& event) { return state_.apply(event); }
    /// All that follows at this instant, but for what waits.
    void settle();
    /// Goes on to a later instant, no later than `next`. Nothing has happened by then.
    void go_to(std::chrono::microseconds instant) { now_ = instant; }
    /// What is due by now moves, all together, and what follows is settled. What happens at an instant is settled first: it may call something off.
    void move_due();

private:
    State state_;
    Outcome outcome_;
    std::chrono::microseconds now_{};
    std::vector<Waiting> waiting_;

    const Compiled& compiled() const { return state_.network().compiled(); }
    static std::chrono::microseconds delay(const Element& e);
    bool is_timed(const MemoryCell& cell) const { return compiled().elements[cell.element].element->after_s > 0; }
    void note_what_waits(const Worlds& worlds);
    template <class Which>
    std::vector<One> cells_where(Which which) const;
};

// ---------------------------------------------------------------------------

inline std::optional<std::chrono::microseconds> Clock::next() const {
    const auto first = std::ranges::min_element(waiting_, {}, &Waiting::due);
    return first == waiting_.end() ? std::nullopt : std::optional(first->due);
}

/// At least a microsecond, so that time goes on; at most some thirty years.
inline std::chrono::microseconds Clock::delay(const Element& e) {
    constexpr double most_s = 1e9;
    return std::max(std::chrono::microseconds(1), std::chrono::round<std::chrono::microseconds>(std::chrono::duration<double>(std::min(e.after_s, most_s))));
}

template <class Which>
std::vector<One> Clock::cells_where(Which which) const {
    std::vector<One> cells;
    for (const MemoryCell& cell : compiled().memory_cells) cells.push_back(One::filled(which(cell)));
    return cells;
}

inline void Clock::settle() {
    Settler<One> settler(compiled());
    settler.hold_back(cells_where([&](const MemoryCell& cell) { return is_timed(cell); }));
    outcome_ = detail::settle_by(settler, state_, [&](const Worlds& worlds) {
        note_what_waits(worlds);
        // What a demand sends elsewhere counts as there; what waits does not.
        settler.hold_back(cells_where([&](const MemoryCell& cell) { return std::ranges::find(waiting_, cell.element, &Waiting::element) != waiting_.end(); }));
    });
}

inline void Clock::note_what_waits(const Worlds& worlds) {
    std::vector<Waiting> waiting;
    for (const MemoryCell& cell : compiled().memory_cells) {
        if (!is_timed(cell) || !worlds.read(0, cell.commanded)) continue;
        const ElementInfo& e = compiled().elements[cell.element];
        std::uint32_t to = none;
        for (std::uint32_t p = 0; p < cell.sent.size(); ++p)
            if (worlds.read(0, cell.sent[p]) && !worlds.read(0, Literal::of(e.held + p))) to = p;
        if (to == none) continue;
        const auto before = std::ranges::find(waiting_, cell.element, &Waiting::element);
        const bool goes_on = before != waiting_.end() && before->position == to;
        waiting.push_back({cell.element, to, goes_on ? before->due : now_ + delay(*e.element)});
    }
    waiting_ = std::move(waiting);
}

inline void Clock::move_due() {
    State::Memory memory = state_.remembered();
    for (const Waiting& w : waiting_) {
        if (w.due > now_) continue;
        const ElementInfo& e = compiled().elements[w.element];
        for (std::uint32_t p = 0; p < e.positions.size(); ++p) memory.values[e.held + p] = One::filled(p == w.position);
    }
    std::erase_if(waiting_, [&](const Waiting& w) { return w.due <= now_; });
    memory.frozen.clear();
    state_.remember(std::move(memory));
    settle();
}

}  // namespace fedfrom
