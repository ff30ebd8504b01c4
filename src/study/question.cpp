// Order: the events form a set, and what matters after some of them is only which ones they were and
// which state they left. So instead of n! orders, the subsets are walked from the smallest up, each with
// the distinct states its orders can leave; most events commute, and few subsets ever hold two states.
#include <fedfrom/study/question.hpp>

#include <algorithm>

#include "copies.hpp"
#include "effect.hpp"

namespace fedfrom {

std::vector<Step> steps_of(const Question& q) {
    std::vector<Step> steps;
    Step together{.fail = q.failed, .set = q.positions, .given = q.given};
    if (together != Step{}) steps.push_back(std::move(together));
    steps.insert(steps.end(), q.steps.begin(), q.steps.end());
    return steps;
}

namespace {

State after(const Network& net, const std::vector<Step>& steps) {
    State state = running_state(net);
    Settler<One> settler(net.compiled());
    for (const Step& step : steps) {
        apply(state, step);
        detail::settle_memory(state, settler);
    }
    return state;
}

std::vector<Step> single_events(const Step& step) {
    std::vector<Step> events;
    if (step.clear_all) events.push_back({.clear_all = true});
    for (const std::string& id : step.repair) events.push_back({.repair = {id}});
    for (const std::string& id : step.reset) events.push_back({.reset = {id}});
    for (const FailureRef& f : step.fail) events.push_back({.fail = {f}});
    for (const auto& event : step.set) events.push_back({.set = {event}});
    for (const auto& event : step.given) events.push_back({.given = {event}});
    for (const UseRef& u : step.use) events.push_back({.use = {u}});
    return events;
}

constexpr std::size_t most_evaluated = 100'000'000;  // variables evaluated, a fraction of a second

}  // namespace

Outcome ask(const Network& net, const Question& question) {
    State state = after(net, steps_of(question));
    return settle(state);
}

std::optional<bool> order_matters(const Network& net, const Question& question) {
    std::vector<Step> events = steps_of(question);
    State asked = after(net, events);
    if (events.size() == 1) events = single_events(events.front());
    if (events.size() < 2) return false;
    const std::size_t most = std::min<std::size_t>(most_settles, most_evaluated / net.compiled().program.variables() + 1);
    if (events.size() > 11 || (events.size() << (events.size() - 1)) > most) return std::nullopt;

    Settler<One> settler(net.compiled());
    std::vector<std::vector<State>> left(std::size_t{1} << events.size());  // by subset, as bits
    left[0].push_back(running_state(net));
    std::size_t settles = 0;
    for (std::size_t subset = 0; subset + 1 < left.size(); ++subset) {
        for (const State& state : left[subset])
            for (std::size_t e = 0; e < events.size(); ++e) {
                if (subset >> e & 1) continue;
                if (++settles > most) return std::nullopt;
                State next = state;
                try {
                    apply(next, events[e]);
                } catch (const NotPossible&) {
                    continue;
                }
                detail::settle_memory(next, settler);
                auto& known = left[subset | std::size_t{1} << e];
                if (std::ranges::find(known, next) == known.end()) known.push_back(std::move(next));
            }
        left[subset].clear();
    }
    const Outcome outcome = settle(asked);
    return std::ranges::any_of(left.back(), [&](State& state) { return !detail::same_outcome(settle(state), outcome); });
}

}  // namespace fedfrom
