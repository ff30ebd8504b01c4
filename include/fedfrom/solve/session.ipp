// Bodies of session.hpp: how what changed is found, judged and reported.
#pragma once

namespace fedfrom {

inline Session::Session(const State& state, Timing timing)
    : net_(state.network()), c_(net_.compiled()), readers_(std::make_unique<detail::Readers>(c_)), settler_(c_, readers_.get()), frozen_(state.frozen()),
      extra_(c_), fingerprint_(fingerprint(net_)), snapshot_(net_), demands_(c_), reasons_(c_), reported_(c_.elements.size()), judged_(c_.functions.size()), place_(c_.functions.size()), level_is_read_(c_.functions.size()),
      elements_(static_cast<std::uint32_t>(c_.elements.size())), functions_(static_cast<std::uint32_t>(c_.functions.size())) {
    constexpr std::size_t reported_of_an_element = 4;
    changes_.reserve(reported_of_an_element * c_.elements.size() + c_.functions.size());
    list_what_is_reported();
    reached_.emplace(c_, *readers_, demands_.followed(), elements_from_, functions_from_, level_is_read_);
    if (timing == Timing::in_time) clock_.emplace(state);
    load(state);
    settle();
}

inline void Session::load(const State& state) {
    if (!(state.network() == net_)) throw NotPossible("This state is of another network; `read_snapshot` says what differs.");
    if (clock_) clock_.emplace(state);
    sent_.clear();
    extra_ = clock_ ? clock_->outcome().state().remembered() : state.remembered();
    frozen_ = extra_.frozen;
    settler_.load(extra_.values);
    settler_.begin(frozen_);
    eventful_ = everything_ = true;
    moving_ = quiet_ = false;
}

inline State Session::state() const {
    if (clock_) return clock_->state();
    State state(net_, false);
    State::Memory memory = extra_;
    memory.values.assign(settler_.values().begin(), settler_.values().begin() + c_.memory_end);
    memory.frozen = frozen_;
    state.remember(std::move(memory));
    return state;
}

inline void Session::snapshot(std::vector<std::uint8_t>& into) {
    if (clock_) return detail::write_snapshot(net_, fingerprint_, snapshot_, clock_->state().remembered(), into);
    std::copy(settler_.values().begin(), settler_.values().begin() + c_.memory_end, extra_.values.begin());
    extra_.frozen = frozen_;
    detail::write_snapshot(net_, fingerprint_, snapshot_, extra_, into);
}

inline Refusal Session::apply(const Event& event) noexcept {
    if (clock_) {
        const Refusal refusal = clock_->apply(event);
        eventful_ |= refusal == Refusal::none;
        return refusal;
    }
    Writer writer{*this};
    const Refusal refusal = detail::Happening(c_, writer).apply(event);
    if (refusal != Refusal::none) return refusal;
    settler_.free_frozen(frozen_);
    settler_.begin(frozen_);
    eventful_ = true;
    return refusal;
}

inline std::size_t Session::apply(std::span<const Event> step) noexcept {
    const auto round = [](const Event& e) {
        if (e.kind == Event::Kind::clear_all) return 0;
        if (e.kind == Event::Kind::repair || e.kind == Event::Kind::reset) return 1;
        return e.kind == Event::Kind::fail ? 2 : 3;
    };
    std::size_t refused = 0;
    for (int r = 0; r < 4; ++r)
        for (const Event& e : step)
            if (round(e) == r) refused += apply(e) != Refusal::none;
    return refused;
}

inline std::span<const SessionChange> Session::settle(unsigned most_passes) noexcept {
    changes_.clear();
    if (!eventful_) return changes_;
    if (clock_) {
        clock_->settle();
        take_from_clock();
        return changes_;
    }
    if (std::exchange(quiet_, false)) {
        if (most_passes > 0 && settle_listed()) return changes_;
        settler_.evaluation().tell_of_changes();
    }
    settle_told(most_passes);
    return changes_;
}

/// Where one thing was put whose reach is listed, and nothing moves by it. False: the rest is open, and `tell_of_changes` says what there is to do.
/// In one piece: it runs for almost every event, and its calls were a third of its time.
[[gnu::flatten]] inline bool Session::settle_listed() {
    detail::Evaluation<One>& now = settler_.evaluation();
    const auto changed = now.changes().changed();
    const detail::Reached* reached = changed.size() == 1 && !readings_forgotten_ ? reached_->of(changed.front()) : nullptr;
    if (!reached) return false;
    now.run_listed(reached_->in(reached->gates));
    for (const std::uint32_t cell : reached_->in(reached->cells))
        if (settler_.sent_elsewhere(cell)) return false;
    bool remembered = false;
    for (const std::uint32_t sticking : reached_->in(reached->standing)) remembered |= settler_.remember_position(sticking);
    if (remembered) now.run_listed(reached_->in(reached->gates_after));
    for (const std::uint32_t e : reached_->in(reached->elements)) look_at(e, nullptr);
    if (!remembered && reached->cells.size() == 0) demands_.follow_listed(settler_, changed.front(), reached_->in(reached->gates_in_copies));
    else if (!follow_in_copies()) return true;
    for (const std::uint32_t f : reached_->in(reached->functions))  // none reads the level of another of them
        if (may_differ(c_.functions[f])) judge_function(f);
    begin_changes();
    quiet_ = true;
    return true;
}

/// What moved nothing here may move something in a copy; then false, and all is judged.
[[gnu::noinline]] inline bool Session::follow_in_copies() {
    if (demands_.follow(settler_)) {
        run_all();
        return true;
    }
    judge_followed();
    return false;
}

/// From what was told to its readers.
inline void Session::settle_told(unsigned most_passes) {
    moving_ = true;
    for (unsigned pass = 0; moving_ && pass < most_passes; ++pass) moving_ = settler_.pass(frozen_);
    if (!moving_) settler_.finish(frozen_);
    settler_.report();
    if (!moving_ && hunts()) {
        State settled = state();
        report_from(fedfrom::settle(settled));
        begin_changes();
    } else {
        look_at_elements(nullptr);
        if (!moving_) judge_settled();
    }
}

inline void Session::judge_settled() {
    if (everything_) demands_.load(settler_);
    else demands_.follow(settler_);
    judge_followed();
}

inline void Session::judge_followed() {
    const bool unknown = demands_.hunting();
    if (unknown) {
        State settled = state();
        judge_from(fedfrom::settle(settled));
    } else {
        judge();
    }
    everything_ = unknown;
    quiet_ = !unknown && !settler_.faulty() && !settler_.may_hunt();
    begin_changes();
}

inline void Session::begin_changes() {
    eventful_ = false;
    settler_.evaluation().begin_changes();
    demands_.begin_changes();
}

inline void Session::report_from(const Outcome& outcome) {
    look_at_elements(&outcome);
    judge_from(outcome);
    everything_ = true;  // what is unknown now may be known next time, though nothing it hangs on changes
    std::copy(outcome.state().readings().begin(), outcome.state().readings().end(), extra_.readings.begin());
}

inline std::span<const SessionChange> Session::advance(double seconds) noexcept {
    changes_.clear();
    if (!clock_ || !(seconds > 0) || seconds > longest_advance_s) return changes_;
    const std::chrono::microseconds until = clock_->now() + std::chrono::round<std::chrono::microseconds>(std::chrono::duration<double>(seconds));
    bool happened = false;
    for (auto next = clock_->next(); next && *next <= until && clock_->outcome().hunting().empty(); next = clock_->next()) {
        clock_->go_to(*next);
        clock_->move_due();
        happened = true;
    }
    clock_->go_to(until);
    if (happened) take_from_clock();
    return changes_;
}

inline std::span<const Waiting> Session::waiting() const noexcept { return clock_ ? std::span<const Waiting>(clock_->waiting()) : std::span<const Waiting>(); }

/// What the clock settled, as changes against what was there: its memory is put in and evaluated, for their reasons; nothing moves by itself.
inline void Session::take_from_clock() {
    const Outcome& outcome = clock_->outcome();
    extra_ = clock_->state().remembered();
    frozen_ = extra_.frozen;
    for (Variable v = 0; v < c_.memory_end; ++v) settler_.put(v, extra_.values[v]);
    settler_.evaluate();
    settler_.finish(frozen_);
    settler_.report();
    if (!outcome.hunting().empty()) {
        report_from(outcome);
    } else {
        look_at_elements(nullptr);
        const detail::Since<One> since(settler_.evaluation());
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f)
            report_function(f, outcome.judged()[f], everything_ ? Reason{} : reason(c_.functions[f], judged_[f], outcome.judged()[f], since));
        everything_ = false;
    }
    note_what_was_sent();
    eventful_ = false;
    settler_.evaluation().begin_changes();
}

/// When its delay is over, nothing changes that sends it there.
inline void Session::note_what_was_sent() {
    const detail::Since<One> since(settler_.evaluation());
    std::map<std::uint32_t, Sent> sent;
    for (const Waiting& w : clock_->waiting()) {
        if (w.what != Waiting::What::moves) continue;
        const auto before = sent_.find(w.element);
        if (before != sent_.end() && before->second.position == w.position) {
            sent.insert(*before);
            continue;
        }
        Reason reason = reasons_.of_position(c_.elements[w.element], w.position, since);
        if (reason.kind == Reason::Kind::none) reason = {Reason::Kind::delay, w.element};
        else reason.late = true;
        const auto cell = std::ranges::find(c_.memory_cells, w.element, &MemoryCell::element);
        sent.emplace(w.element, Sent{w.position, cell->sent[w.position], reason});
    }
    sent_ = std::move(sent);
}

inline bool Session::hunts() const {
    return any(settler_.hunting(frozen_));
}

/// Of every variable, the elements and functions that are reported from it.
inline void Session::list_what_is_reported() {
    std::vector<std::pair<Variable, std::uint32_t>> elements, functions;
    const auto from = [](auto& list, Literal l, std::uint32_t what) {
        if (l.variable() != 0) list.emplace_back(l.variable(), what);
    };
    for (std::uint32_t i = 0; i < c_.elements.size(); ++i) {
        const ElementInfo& e = c_.elements[i];
        from(elements, e.supplied, i);
        for (const Variable v : {e.empty, e.tripped, e.overloaded, e.starting}) from(elements, Literal::of(v), i);
        for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f) from(elements, Literal::of(c_.failures[f].variable), i);
        for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z) from(elements, Literal::of(c_.zones[z].variable), i);
        for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p) from(elements, c_.ports[p].supplied, i);
        for (const Literal l : e.stands) from(elements, l, i);
        for (const Literal l : e.shows) from(elements, l, i);
    }
    for (std::uint32_t place = 0; place < c_.judging_order.size(); ++place) {
        place_[c_.judging_order[place]] = place;
        for (const ModeInfo& mode : c_.functions[c_.judging_order[place]].modes) from(functions, mode.when, place);
    }
    for (auto* list : {&elements, &functions}) {
        std::ranges::sort(*list);
        list->erase(std::unique(list->begin(), list->end()), list->end());
    }
    elements_from_ = {elements, c_.program.variables()};
    functions_from_ = {functions, c_.program.variables()};
    for (const LevelInput& in : c_.level_inputs) level_is_read_[in.function] = true;
}

inline void Session::touch_functions(Variable v) {
    for (const std::uint32_t place : functions_from_.of(v)) functions_.insert(place);
}

inline void Session::look_at_elements(const Outcome* outcome) {
    const auto count = static_cast<std::uint32_t>(c_.elements.size());
    if (everything_ || outcome || readings_forgotten_) elements_.insert_range(0, count);
    if (!moving_) readings_forgotten_ = false;
    for (const Variable v : settler_.evaluation().changes().changed())
        for (const std::uint32_t e : elements_from_.of(v)) elements_.insert(e);
    elements_.drain(0, count, [&](std::uint32_t e) { look_at(e, outcome); });
}

inline void Session::look_at(std::uint32_t e, const Outcome* outcome) {
    using Of = SessionChange::Of;
    const ElementInfo& info = c_.elements[e];
    Reported& was = reported_[e];
    const auto holds = [&](Literal l) { return any(settler_.value(l)); };
    const ElementHandle handle{e};
    const Status status = !info.fitted ? Status::not_fitted : outcome ? outcome->status(handle) : detail::status_by(c_, info, holds);
    report_if_changed(Of::status, e, was.status, static_cast<std::uint8_t>(status));
    if (!info.fitted) return;
    const auto code_of = [&](Literal l) { return outcome ? static_cast<std::uint8_t>(outcome->truth(l).value_or(false)) : static_cast<std::uint8_t>(holds(l)); };
    if (!info.positions.empty()) {
        std::uint8_t at = unknown_code;
        for (std::uint8_t p = 0; p < info.stands.size() && at == unknown_code; ++p)
            if (code_of(info.stands[p])) at = p;
        report_if_changed(Of::position, e, was.position, at);
    }
    if (info.tripped) report_if_changed(Of::tripped, e, was.tripped, outcome && !outcome->truth(Literal::of(info.tripped)) ? unknown_code : code_of(Literal::of(info.tripped)));
    if (!info.shows.empty()) report_if_changed(Of::shown, e, was.shown, outcome ? detail::show_code(*info.element, outcome->shown(handle)) : shown_now(e));
}

inline std::uint8_t Session::shown_now(std::uint32_t e) {
    const ElementInfo& info = c_.elements[e];
    std::uint8_t reading = extra_.readings[e];
    if (any(settler_.value(info.supplied))) {
        std::uint32_t show = 0;
        while (show < info.shows.size() && !any(settler_.value(info.shows[show]))) ++show;
        reading = detail::text_index(*info.element, show < info.shows.size() ? show : none);
    } else if (info.element->unpowered != stays) {
        return detail::show_code(*info.element, info.element->unpowered);
    }
    if (info.element->unpowered == stays && !moving_) extra_.readings[e] = reading;
    if (reading == State::blank) return shows_nothing;
    return reading == State::not_known ? unknown_code : reading;
}

inline void Session::report(SessionChange::Of of, std::uint32_t e, std::uint8_t& was, std::uint8_t is) {
    changes_.push_back({.of = of, .index = e, .before = was, .after = is, .reason = everything_ ? Reason{} : reason(of, e, is)});
    was = is;
}

inline Reason Session::reason_of_position(std::uint32_t e, std::uint8_t is, const detail::Since<One>& since) const {
    const auto sent = sent_.find(e);
    const bool late = sent != sent_.end() && sent->second.position == is && !since.changed(sent->second.by);
    return late ? sent->second.reason : reasons_.of_position(c_.elements[e], is, since);
}

inline Reason Session::reason(SessionChange::Of of, std::uint32_t index, std::uint8_t is) const {
    const detail::Since<One> since(settler_.evaluation());
    const ElementInfo& e = c_.elements[index];
    switch (of) {
        case SessionChange::Of::status: return reasons_.of_supply(e, since);
        case SessionChange::Of::tripped: return reasons_.of_trip(e, since);
        case SessionChange::Of::position: return is == unknown_code ? Reason{} : reason_of_position(index, is, since);
        case SessionChange::Of::shown:
            if (since.changed(e.supplied)) return reasons_.of(e.supplied, since);
            for (const Literal l : e.shows)
                if (since.changed(l)) return reasons_.of(l, since);
            return {};
        case SessionChange::Of::function: return {};
    }
    return {};
}

/// Functions in the order in which they read each other's level.
inline void Session::judge() {
    const auto count = static_cast<std::uint32_t>(c_.functions.size());
    const std::size_t first = changes_.size();
    run_all();
    if (everything_) functions_.insert_range(0, count);
    for (const Variable v : settler_.evaluation().changes().changed()) touch_functions(v);
    demands_.each_change([&](Variable v) { touch_functions(v); });
    functions_.drain(0, count, [&](std::uint32_t place) {
        judge_function(c_.judging_order[place]);
        if (level_is_read_[c_.judging_order[place]]) tell_level(c_.judging_order[place]);
    });
    std::ranges::sort(changes_.begin() + static_cast<std::ptrdiff_t>(first), changes_.end(), {}, &SessionChange::index);
}

inline void Session::run_all() {
    const auto all_gates = static_cast<std::uint32_t>(c_.program.gates.size());
    settler_.evaluation().run(all_gates);
    demands_.run(all_gates);
}

/// Whether anything changed that it is judged by.
inline bool Session::may_differ(const FunctionInfo& info) const {
    const auto in = [&](const auto& changes) { return std::ranges::any_of(info.modes, [&](const ModeInfo& m) { return changes.has(m.when.variable()); }); };
    return in(settler_.evaluation().changes()) || (info.demand != 0 && in(demands_.of(info.demand).changes()));
}

inline void Session::judge_function(std::uint32_t f) {
    const Judgement is = judged_now(c_.functions[f]);
    if (judged_[f] == is) return;  // before a reason is looked for
    report_function(f, is, everything_ ? Reason{} : reason(c_.functions[f], judged_[f], is));
}

/// To the functions that read it, which are looked at later.
inline void Session::tell_level(std::uint32_t f) {
    for (const LevelInput& in : c_.level_inputs) {
        if (in.function != f) continue;
        settler_.put(in.variable, One::filled(judged_[f].level <= in.at_least));
        demands_.put(in.variable, judged_[f].level <= in.at_least);
    }
    run_all();
    for (std::uint32_t other = 0; other < c_.functions.size(); ++other)
        if (std::ranges::find(c_.functions[other].reads, f) != c_.functions[other].reads.end()) functions_.insert(place_[other]);
}

inline void Session::judge_from(const Outcome& outcome) {
    for (std::uint32_t f = 0; f < c_.functions.size(); ++f) report_function(f, outcome.judged()[f], {});
}

inline void Session::report_function(std::uint32_t f, const Judgement& is, const Reason& reason) {
    if (judged_[f] == is) return;
    SessionChange& change = changes_.emplace_back();
    change.of = SessionChange::Of::function;
    change.index = f;
    change.before = static_cast<std::uint8_t>(judged_[f].level);
    change.after = static_cast<std::uint8_t>(is.level);
    change.judged_before = judged_[f];
    change.judged_after = judged_[f] = is;
    change.reason = reason;
}

inline Judgement Session::judged_now(const FunctionInfo& info) const {
    if (info.modes.empty()) return {};
    Judgement is{Level::lost, none, false};
    const auto best = [&](const auto& since) {
        for (std::uint32_t m = 0; m < info.modes.size(); ++m)
            if (since.now(info.modes[m].when)) return m;
        return none;
    };
    is.mode = info.demand == 0 ? best(detail::Since<One>(settler_.evaluation())) : best(detail::Since<Lanes>(demands_.of(info.demand), detail::DemandCopies::lane_of(info.demand)));
    if (is.mode != none) is.level = info.modes[is.mode].level;
    is.now = (info.demand == 0 ? is.mode : best(detail::Since<One>(settler_.evaluation()))) != none;
    return is;
}

inline Reason Session::reason(const FunctionInfo& info, const Judgement& was, const Judgement& is) const {
    if (info.demand == 0 || (was.level == is.level && was.mode == is.mode)) return reason(info, was, is, detail::Since<One>(settler_.evaluation()));
    return reason(info, was, is, detail::Since<Lanes>(demands_.of(info.demand), detail::DemandCopies::lane_of(info.demand)));
}

/// Of the mode that was in use, else of the one that now is.
template <class W>
Reason Session::reason(const FunctionInfo& info, const Judgement& was, const Judgement& is, const detail::Since<W>& since) const {
    for (const std::uint32_t mode : {was.mode, is.mode})
        if (mode != none && since.changed(info.modes[mode].when)) return reasons_.of(info.modes[mode].when, since);
    for (const ModeInfo& mode : info.modes)
        if (since.changed(mode.when)) return reasons_.of(mode.when, since);
    return {};
}

inline std::string text(const SessionChange& change, const Network& net) {
    const Compiled& c = net.compiled();
    std::string line;
    const auto arrow = [&](std::string_view before, std::string_view after) { line += std::string(before) + " -> " + std::string(after); };
    if (change.of == SessionChange::Of::function) {
        const FunctionInfo& f = c.functions[change.index];
        const auto said = [&](const Judgement& j) {
            std::string words(name_of(j.level));
            if (j.mode != none) words += " (" + *f.modes[j.mode].id + ")";
            return words + (j.now.value_or(false) ? "" : j.now ? ", not now" : ", now unknown");
        };
        line = *f.id + ": ";
        arrow(said(change.judged_before), said(change.judged_after));
    } else {
        const ElementInfo& e = c.elements[change.index];
        const auto code = [&](std::uint8_t value) -> std::string_view {
            if (change.of == SessionChange::Of::status) return value == unknown_code ? "unknown" : name_of(static_cast<Status>(value));
            if (value == unknown_code) return "unknown";
            if (change.of == SessionChange::Of::position) return e.positions[value];
            if (change.of == SessionChange::Of::tripped) return value ? "tripped" : "not tripped";
            if (value == shows_nothing) return "nothing";
            return value == shows_unpowered ? std::string_view(e.element->unpowered) : std::string_view(e.element->shows[value].text);
        };
        line = *e.id + (change.of == SessionChange::Of::shown ? " shows: " : ": ");
        arrow(code(change.before), code(change.after));
    }
    const std::string because = text(change.reason, net);
    return because.empty() ? line : line + ", because " + because;
}

}  // namespace fedfrom
