/// A session: one aircraft that runs along with a host, told what happens and telling what changed.
///
///     Session session(running_state(net));
///     session.apply(Event::fail(net.failure("gen_l")));
///     for (const SessionChange& change : session.settle()) …     // only what changed, each with its reason
///     session.status(net.element("main_l"));
///
/// Handles instead of strings, nothing thrown, nothing allocated once constructed
/// (but for a step in which something hunts, and for what happens in time), nothing printed. Only what an event
/// can reach is evaluated again; the answers are those of `settle`. One session
/// belongs to one thread; networks are shared freely.
///
/// In time, what takes time waits for the host's clock (clock.hpp):
///
///     Session session(running_state(net), Timing::in_time);
///     session.apply(Event::fail(net.failure("gen_l")));
///     session.settle();                                           // at this instant
///     for (const SessionChange& change : session.advance(1.0 / 60)) …   // each frame: what moved, started or stopped meanwhile
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/solve/clock.hpp>
#include <fedfrom/solve/demand_copies.hpp>
#include <fedfrom/solve/reached.hpp>
#include <fedfrom/solve/reason.hpp>
#include <fedfrom/solve/settle.hpp>
#include <fedfrom/solve/snapshot.hpp>

namespace fedfrom {

/// What a session reports, in codes; `unknown_code` where it is unknown.
inline constexpr std::uint8_t unknown_code = 255;

/// What an element shows, as a code: an index into its `shows`, or one of these two.
inline constexpr std::uint8_t shows_unpowered = 253, shows_nothing = 254;

namespace detail {
/// The code of a text shown; equal texts have equal codes.
inline std::uint8_t show_code(const Element& e, const std::optional<std::string_view>& text) {
    if (!text) return unknown_code;
    if (text->empty()) return shows_nothing;
    const auto it = std::ranges::find_if(e.shows, [&](const Show& s) { return s.text == *text; });
    return it == e.shows.end() ? shows_unpowered : static_cast<std::uint8_t>(it - e.shows.begin());
}
}  // namespace detail

struct SessionChange {
    enum class Of : std::uint8_t {
        status,    ///< Status
        position,  ///< index of its position
        tripped,   ///< 0 or 1
        shown,     ///< a code as above
        function,  ///< Level; mode and `now` in `judged_before`, `judged_after`
    };
    Of of = Of::status;
    std::uint32_t index = none;  ///< of the element, or of the function
    std::uint8_t before = 0, after = 0;
    Judgement judged_before{}, judged_after{};
    Reason reason{};
    bool operator==(const SessionChange&) const = default;
};

/// One line: "main_l: supplied -> unsupplied, because gen_l has no supply".
std::string text(const SessionChange& change, const Network& net);

enum class Timing : std::uint8_t {
    at_once,  ///< delays, starts and stops are over as soon as they begin
    in_time,  ///< they take as long as the model says, by `Session::advance`
};

class Session {
public:
    /// Settles a copy of the state first, so that nothing waits.
    explicit Session(const State& state, Timing timing = Timing::at_once);
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    const Network& network() const noexcept { return net_; }

    /// Takes effect with the next `settle`, with all others since the last. Refused, it changes nothing.
    Refusal apply(const Event& event) noexcept;
    /// A step (of ids: `events_of` in step.hpp): repairs and resets, then failures, then the rest. Gives how many were refused; the others are applied.
    std::size_t apply(std::span<const Event> step) noexcept;

    static constexpr unsigned no_limit = std::numeric_limits<unsigned>::max();
    /// Settles in at most so many passes, and gives what changed since the last call: elements by id, then functions by
    /// id. Valid until the next call. Where the passes run out, elements are as the last pass left them, functions as they
    /// were, and the next call goes on. In time an instant is settled whole.
    std::span<const SessionChange> settle(unsigned most_passes = no_limit) noexcept;
    /// Lets time pass, and gives what changed by it, as `settle` does: what is due by then moves, starts or stops, one instant after
    /// another, each settled. Events wait for the next `settle`. Where nothing is due it costs nothing. Nothing changes at once-timing,
    /// nor for times that are not above 0 or are above `longest_advance_s`: then no time passes, as `now` shows.
    static constexpr double longest_advance_s = 1e9;
    std::span<const SessionChange> advance(double seconds) noexcept;
    bool in_time() const noexcept { return clock_.has_value(); }
    /// What waits for its time, and when it is due; by the session's clock. Empty at once-timing.
    std::span<const Waiting> waiting() const noexcept;
    /// Since the session began, or `load`.
    std::chrono::microseconds now() const noexcept { return clock_ ? clock_->now() : std::chrono::microseconds{}; }
    /// The passes ran out before everything stood still.
    bool still_moving() const noexcept { return moving_; }

    // As of the last call of `settle`. Codes of `SessionChange`.
    Status status(ElementHandle e) const noexcept { return static_cast<Status>(reported_[e.index].status); }
    std::uint8_t position(ElementHandle e) const noexcept { return reported_[e.index].position; }
    std::uint8_t tripped(ElementHandle e) const noexcept { return reported_[e.index].tripped; }
    std::uint8_t shown(ElementHandle e) const noexcept { return reported_[e.index].shown; }
    const Judgement& judged(FunctionHandle f) const noexcept { return judged_[f.index]; }
    /// Elements whose position or hold never came to rest.
    std::vector<std::uint32_t> hunting() const { return detail::hunting_elements(c_, frozen_); }

    /// What is remembered, as a state: settled unless events wait or something still moves. What waits for its time is not kept: a clock that
    /// begins from it begins with all of that done.
    State state() const;
    /// The same as bytes for `read_snapshot`, into a buffer that is kept: nothing is allocated once it is large enough.
    void snapshot(std::vector<std::uint8_t>& into);
    /// Goes on from another state of the same network, settled first; the next `settle` gives what differs. Throws NotPossible for a state of another.
    void load(const State& state);

private:
    struct Reported {
        std::uint8_t status = unknown_code, position = unknown_code, tripped = unknown_code, shown = unknown_code;
    };

    Network net_;
    const Compiled& c_;
    std::unique_ptr<const detail::Readers> readers_;
    Settler<One> settler_;
    Frozen<One> frozen_;
    State::Memory extra_;  // what a state remembers beside the variables and what is frozen
    const Fingerprint fingerprint_;
    const detail::Snapshot snapshot_;
    detail::DemandCopies demands_;
    detail::Reasons reasons_;
    std::optional<Clock> clock_;
    /// What waits to move, and why it was sent there.
    struct Sent {
        std::uint32_t position = none;
        Literal by{};
        Reason reason{};
    };
    std::map<std::uint32_t, Sent> sent_;  // by element
    bool eventful_ = false, moving_ = false;
    bool quiet_ = false;  // settled with no fault about and nothing hunting; what is put then is told to nobody yet
    bool everything_ = true, readings_forgotten_ = false;  // look at all, not only at what changed

    std::vector<Reported> reported_;   // by element
    std::vector<Judgement> judged_;    // by function
    std::vector<SessionChange> changes_;
    detail::ByVariable elements_from_, functions_from_;  // reported from it; functions by their place in the judging order
    std::vector<std::uint32_t> place_;                   // by function: in the judging order
    std::vector<bool> level_is_read_;                    // by function: others read it
    detail::AscendingSet elements_, functions_;   // to be looked at; functions by their place in the judging order
    std::optional<detail::ReachedBy> reached_;    // of what toggles alone

    /// How events write the memory.
    struct Writer {
        Session& session;
        bool bit(Variable v) const { return any(session.settler_.values()[v]); }
        void put(Variable v, bool on) {
            if (session.quiet_) session.settler_.evaluation().put_untold(v, One::filled(on));
            else session.settler_.put(v, One::filled(on));
        }
        std::uint8_t& resets_used(std::uint32_t e) { return session.extra_.resets_used[e]; }
        std::uint16_t& taken(std::uint32_t e) { return session.extra_.taken[e]; }
        void forget_readings() {
            std::ranges::fill(session.extra_.readings, State::blank);
            session.readings_forgotten_ = true;
        }
    };

    bool settle_listed();
    bool follow_in_copies();
    void settle_told(unsigned most_passes);
    void judge_settled();
    void judge_followed();
    void begin_changes();
    void report_from(const Outcome& outcome);
    void take_from_clock();
    void note_what_was_sent();
    void list_what_is_reported();
    void touch_functions(Variable v);
    void look_at_elements(const Outcome* outcome);
    void look_at(std::uint32_t e, const Outcome* outcome);
    void report_if_changed(SessionChange::Of of, std::uint32_t e, std::uint8_t& was, std::uint8_t is) {
        if (was != is) report(of, e, was, is);
    }
    void report(SessionChange::Of of, std::uint32_t e, std::uint8_t& was, std::uint8_t is);
    Reason reason(SessionChange::Of of, std::uint32_t e, std::uint8_t is) const;
    Reason reason_of_position(std::uint32_t e, std::uint8_t is, const detail::Since<One>& since) const;
    std::uint8_t shown_now(std::uint32_t e);
    void judge();
    void run_all();
    bool may_differ(const FunctionInfo& info) const;
    void judge_function(std::uint32_t f);
    void tell_level(std::uint32_t f);
    void judge_from(const Outcome& outcome);
    void report_function(std::uint32_t f, const Judgement& is, const Reason& reason);
    Judgement judged_now(const FunctionInfo& info) const;
    Reason reason(const FunctionInfo& info, const Judgement& was, const Judgement& is) const;
    template <class W>
    Reason reason(const FunctionInfo& info, const Judgement& was, const Judgement& is, const detail::Since<W>& since) const;
    bool hunts() const;
};

}  // namespace fedfrom

#include <fedfrom/solve/session.ipp>
