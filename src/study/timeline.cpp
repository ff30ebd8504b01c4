#include <fedfrom/study/timeline.hpp>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <utility>

#include "difference_tables.hpp"
#include "draining.hpp"
#include "effect.hpp"
#include "figures.hpp"
#include "view.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;
using std::chrono::microseconds;

constexpr std::size_t most_instants = 1000;
constexpr std::size_t most_columns = 12;  // of the table of functions over time
constexpr double longest_s = 1e9;

double seconds(microseconds t) { return std::chrono::duration<double>(t).count(); }

microseconds time_of(double s, const char* what) {
    if (!(s >= 0) || s > longest_s) throw NotPossible(std::string(what) + " must be from 0 to 1e9 seconds.");
    return std::chrono::round<microseconds>(std::chrono::duration<double>(s));
}

class TimelinePlayer {
public:
    TimelinePlayer(const State& from, const std::vector<TimedStep>& steps, double until_s, const TimelineOptions& options)
        : net_(from.network()), c_(net_.compiled()), clock_(from), until_(time_of(until_s, "The end of a timeline")), draining_(net_, options),
          answer_{.before = clock_.outcome(), .after = clock_.outcome(), .asked = steps, .until_s = until_s, .options = options} {
        std::ranges::stable_sort(answer_.asked, {}, &TimedStep::at_s);
        for (const TimedStep& step : answer_.asked) {
            if (time_of(step.at_s, "The time of a step") > until_) throw NotPossible("A step at " + digits(step.at_s) + " s is after the end at " + digits(until_s) + " s.");
            events_.push_back(events_of(step.step, net_));  // all are looked up before any is played
        }
    }

    Timeline run() {
        not_known_ = draining_.follow(answer_.before, {});
        while (goes_on()) {
            constexpr microseconds never = microseconds::max();
            const microseconds step = next_ < answer_.asked.size() ? time(next_) : never;
            const microseconds due = clock_.next().value_or(never), empty = draining_.next().value_or(never);
            if (std::min({step, due, empty}) > until_) break;
            if (step <= due && step <= empty) take(next_++);
            else if (due <= empty) move(due);
            else run_empty(empty);
        }
        answer_.after = clock_.outcome();
        answer_.difference = difference(answer_.before, answer_.after);
        for (const Waiting& w : clock_.waiting())
            answer_.on_its_way.push_back({id(w.element), name_of(c_.elements[w.element]), w.what, position(w), seconds(w.due)});
        answer_.batteries = draining_.left(c_, answer_.complete ? until_ : clock_.now());
        assume();
        list_interruptions();
        list_what_cannot_move();
        return std::move(answer_);
    }

private:
    Network net_;
    const Compiled& c_;
    Clock clock_;
    microseconds until_;
    Draining draining_;
    std::string not_known_;  // why how long a battery lasts is not
    Timeline answer_;
    std::vector<std::vector<Event>> events_;  // by step
    std::size_t next_ = 0;

    microseconds time(std::size_t step) const { return time_of(answer_.asked[step].at_s, ""); }
    const std::string& id(std::uint32_t e) const { return *c_.elements[e].id; }
    std::string position(const Waiting& w) const { return w.what == Waiting::What::moves ? std::string(c_.elements[w.element].positions[w.position]) : ""; }

    bool goes_on() {
        if (!clock_.outcome().hunting().empty()) {
            std::vector<std::string> names;
            for (const std::uint32_t e : clock_.outcome().hunting()) names.push_back(name_of(c_.elements[e]));
            answer_.open = listed(names) + (names.size() == 1 ? " does" : " do") + " not come to rest at " + time_text(seconds(clock_.now())) + " s; what follows hangs on it.";
        } else if (!not_known_.empty()) {
            answer_.open = "At " + time_text(seconds(clock_.now())) + " s: " + not_known_;
        } else if (answer_.instants.size() == most_instants) {
            answer_.open = "After " + std::to_string(most_instants) + " instants, at " + time_text(seconds(clock_.now())) + " s, something still moves.";
        }
        answer_.complete = answer_.open.empty();
        return answer_.complete;
    }

    void take(std::size_t step) {
        const Outcome before = clock_.outcome();
        clock_.go_to(time(step));
        Instant instant{.seconds = seconds(clock_.now()), .text = events_[step].empty() ? "nothing" : actions_text(answer_.asked[step].step, net_)};
        std::vector<Event> taken;
        for (const Event& e : events_[step]) {
            const Refusal refusal = clock_.apply(e);
            if (refusal == Refusal::none) taken.push_back(e);
            else instant.refused.push_back({action_text(e, net_), fedfrom::text(refusal, e, net_)});
        }
        clock_.settle();
        record(std::move(instant), before, taken);
    }

    void move(microseconds due) {
        const Outcome before = clock_.outcome();
        std::vector<std::string> words;
        for (const Waiting& w : clock_.waiting())
            if (w.due == due) words.push_back(name_of(c_.elements[w.element]) + arrived(w));
        clock_.go_to(due);
        clock_.move_due();
        record({.seconds = seconds(due), .text = listed(words)}, before, {});
    }

    std::string arrived(const Waiting& w) const {
        const Element& e = *c_.elements[w.element].element;
        switch (w.what) {
            case Waiting::What::moves: return " gets to " + position(w) + " after " + digits(e.after_s) + " s";
            case Waiting::What::starts: return " has started after " + digits(e.spin_up_s) + " s";
            case Waiting::What::runs_down: break;
        }
        return " runs on no longer";
    }

    void run_empty(microseconds when) {
        const Outcome before = clock_.outcome();
        const std::vector<std::uint32_t> stores = draining_.empty_at(when);
        std::vector<std::string> names;
        clock_.go_to(when);
        for (const std::uint32_t e : stores) {
            clock_.spend(ElementHandle{e});
            names.push_back(name_of(c_.elements[e]));
        }
        clock_.settle();
        record({.seconds = seconds(when), .text = listed(names) + (names.size() == 1 ? " is" : " are") + " empty"}, before, {});
        answer_.instants.back().fault.emptied.clear();  // used up, not drained by a leak: nothing else happened
    }

    void record(Instant instant, const Outcome& before, const std::vector<Event>& events) {
        instant.difference = difference(before, clock_.outcome());
        instant.fault = growth(before, clock_.outcome(), events);
        not_known_ = draining_.follow(clock_.outcome(), clock_.now());
        answer_.instants.push_back(std::move(instant));
        answer_.outcomes.push_back(clock_.outcome());
    }

    void assume() {
        std::vector<std::string>& list = answer_.assumptions;
        const TimelineOptions& o = answer_.options;
        if (o.condition.empty()) {
            list.push_back("No battery runs empty: no operating condition is given.");
            return;
        }
        list.push_back("Batteries begin with " + number_text(*o.charge) + " of what is usable, which is " + number_text(*o.derating) + " of the nameplate; loads are those of " + o.condition +
                       ", an intermittent one draws its duty once each time it comes on; nothing is put back by a charger.");
        list.push_back(discharge_text(o.discharge));
        for (std::string& text : assumed_texts(c_, draining_.gaps())) list.push_back(std::move(text));
    }

    void list_interruptions() {
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const auto supplied = [&](const Outcome& out) { return out.truth(c_.elements[e].supplied); };
            bool had = supplied(answer_.before) == true;
            std::optional<double> lost_at;
            for (std::size_t i = 0; i < answer_.outcomes.size(); ++i) {
                const auto now = supplied(answer_.outcomes[i]);
                const double at = answer_.instants[i].seconds;
                if (now == false && had) lost_at = at;
                if (now == true && lost_at && *lost_at < at) answer_.interruptions.push_back({id(e), name_of(c_.elements[e]), *lost_at, at});
                if (now != false) lost_at.reset();
                had = now == true;
            }
        }
        std::ranges::stable_sort(answer_.interruptions, {}, &Interruption::from_s);
    }

    /// What has memory stays where it is while it has no supply, has failed or sticks.
    bool moves(const Outcome& out, std::uint32_t e) const {
        const View view(out);
        return view.surely(c_.elements[e].supplied) && !view.failed(e, "stuck") && !view.failed(e, "loss");
    }

    void list_what_cannot_move() {
        for (const MemoryCell& cell : c_.memory_cells) {
            if (moves(answer_.after, cell.element)) continue;
            double since = 0;
            for (std::size_t i = answer_.outcomes.size(); i-- > 0;) {
                if (!moves(i > 0 ? answer_.outcomes[i - 1] : answer_.before, cell.element)) continue;
                since = answer_.instants[i].seconds;
                break;
            }
            const auto at = answer_.after.position(ElementHandle{cell.element});
            answer_.cannot_move.push_back({id(cell.element), name_of(c_.elements[cell.element]), std::string(at.value_or("unknown")), since});
        }
        std::ranges::sort(answer_.cannot_move, {}, &CannotMove::id);
    }
};

/// The level of a function at each instant that changes one, in at most so many columns.
Table over_time(const Timeline& t, std::vector<Caption> state) {
    const Compiled& c = t.before.network().compiled();
    Table table{.title = "Functions over time", .captions = std::move(state), .columns = {{"Function"}, {"Before"}}, .rows = {}, .footnotes = {}};
    std::vector<std::size_t> shown;
    for (std::size_t i = 0; i < t.outcomes.size(); ++i) {
        const bool last_of_its_time = i + 1 == t.outcomes.size() || t.instants[i + 1].seconds != t.instants[i].seconds;
        const Outcome& before = shown.empty() ? t.before : t.outcomes[shown.back()];
        if (last_of_its_time && before.judged() != t.outcomes[i].judged()) shown.push_back(i);
    }
    if (shown.size() > most_columns) {
        table.footnotes.push_back("The first " + std::to_string(most_columns) + " of " + std::to_string(shown.size()) + " times at which a function changes.");
        shown.resize(most_columns);
    }
    for (const std::size_t i : shown) table.columns.push_back({time_text(t.instants[i].seconds) + " s"});
    for (const std::uint32_t f : in_group_order(c)) {
        const auto cell = [&](const Outcome& out) {
            const Judgement& j = out.judged()[f];
            return level_cell(j.level, j.mode == none ? "" : mode_name(c.functions[f].modes[j.mode]));
        };
        const Judgement& was = t.before.judged()[f];
        if (std::ranges::all_of(shown, [&](std::size_t i) { const Judgement& is = t.outcomes[i].judged()[f]; return is.level == was.level && is.mode == was.mode; })) continue;
        std::vector<Cell> row{name_of(c.functions[f]), cell(t.before)};
        for (const std::size_t i : shown) row.push_back(cell(t.outcomes[i]));
        table.rows.push_back(std::move(row));
    }
    table.footnotes.push_back("Each as if asked for at that time, with what waits standing still. Functions that never change are left out.");
    return table;
}

Table interruptions_table(const Timeline& t, std::vector<Caption> state) {
    Table table{.title = "Without supply for a while", .captions = std::move(state), .columns = {{"From", "s"}, {"To", "s"}, {"For", "s"}, {"What"}}, .rows = {}, .footnotes = {}};
    std::map<std::pair<double, double>, std::vector<std::string>> by_time;
    for (const Interruption& i : t.interruptions) by_time[{i.from_s, i.to_s}].push_back(i.name);
    for (const auto& [time, names] : by_time) table.rows.push_back({shown_time(time.first), shown_time(time.second), shown_time(time.second - time.first), listed(names)});
    return table;
}

}  // namespace

Timeline timeline(const State& from, const std::vector<TimedStep>& steps, double until_s, const TimelineOptions& options) { return TimelinePlayer(from, steps, until_s, options).run(); }
Timeline timeline(const Network& net, const std::vector<TimedStep>& steps, double until_s, const TimelineOptions& options) { return timeline(running_state(net), steps, until_s, options); }

std::vector<Table> tables(const Timeline& t) {
    const Compiled& c = t.before.network().compiled();
    const std::vector<Caption> state = captions(t.before);
    Table instants{.title = "What happens when", .captions = state, .columns = {{"Time", "s"}, {"What"}, {"Better"}, {"Worse"}, {"Faults and trips"}, {"Refused"}}, .rows = {}, .footnotes = {}};
    for (const Instant& i : t.instants) {
        std::vector<Change> worse = i.difference.worse;
        worse.insert(worse.end(), i.difference.other.begin(), i.difference.other.end());
        std::string refused;
        for (const Refused& r : i.refused) refused += (refused.empty() ? "" : " ") + r.action + ": " + r.reason;
        instants.rows.push_back({shown_time(i.seconds), i.text, changes_text(c, i.difference.gained), changes_text(c, worse), fault_text(c, i.fault), refused});
    }
    instants.footnotes.push_back("What is sent elsewhere stands where it was until its delay is over; what starts gives nothing until it has; what runs on gives for so long yet.");
    for (const std::string& text : t.assumptions) instants.footnotes.push_back(text);
    if (!t.complete) instants.footnotes.push_back("Not complete. " + t.open);
    std::vector<Table> list{std::move(instants), over_time(t, state)};
    if (!t.interruptions.empty()) list.push_back(interruptions_table(t, state));
    if (!t.cannot_move.empty()) {
        Table stays{.title = "Cannot be moved as things stand in the end", .captions = state, .columns = {{"What"}, {"Stays at"}, {"Since", "s"}}, .rows = {}, .footnotes = {}};
        for (const CannotMove& m : t.cannot_move) stays.rows.push_back({m.name, m.position, shown_time(m.since_s)});
        list.push_back(std::move(stays));
    }
    if (!t.on_its_way.empty()) {
        Table moving{.title = "On its way when this ends", .captions = state, .columns = {{"What"}, {"Does"}, {"Due", "s"}}, .rows = {}, .footnotes = {}};
        for (const OnItsWay& w : t.on_its_way) moving.rows.push_back({w.name, w.what == Waiting::What::moves ? "moves to " + w.position : w.what == Waiting::What::starts ? "starts" : "runs down", shown_time(w.due_s)});
        list.push_back(std::move(moving));
    }
    if (!t.batteries.empty()) {
        Table left{.title = "Left in batteries in the end", .captions = state, .columns = {{"Battery"}, {"Left", "part"}, {"Left", "Ah"}}, .rows = {}, .footnotes = {}};
        for (const BatteryLeft& b : t.batteries) left.rows.push_back({b.name, b.charge, b.amp_hours});
        list.push_back(std::move(left));
    }
    return list;
}

std::string text(const Timeline& t) {
    std::string out;
    append_wrapped(out, "Timeline: ", t.before.network().model().name, 4);
    append_captions(out, captions(t.before));
    append_tables(out, tables(t));
    return out;
}

}  // namespace fedfrom
