#include <fedfrom/study/sweep_table.hpp>

#include <algorithm>

#include "words.hpp"

namespace fedfrom {
namespace {

constexpr std::size_t most_combinations_in_text = 100;
constexpr std::size_t most_goals_named = 12;

std::string event_called(const Event& e, const Network& net, bool with_name) {
    const Compiled& c = net.compiled();
    const auto called = [&](std::uint32_t element) { return with_name ? detail::called(c.elements[element]) : *c.elements[element].id; };
    const auto at = [&](std::uint32_t element) { return " at " + std::string(c.elements[element].positions[e.value]); };
    if (e.kind == Event::Kind::given) return *c.givens[e.index].id + (e.value ? " true" : " false");
    if (e.kind == Event::Kind::set) return called(e.index) + at(e.index);
    const FailureInfo& f = c.failures[e.index];
    return called(f.element) + (with_name ? ": " : " ") + f.mode + (e.value == none ? "" : at(f.element));
}

std::string combination_text(const SweepHit& hit, const SweepResult& result, const Network& net) {
    std::string text;
    for (const std::uint32_t e : hit.events)
        if (e != none) text += (text.empty() ? "" : " + ") + event_called(result.events[e], net, true);
    return text;
}

std::string count_text(std::uint64_t n, const char* what) { return std::to_string(n) + " " + what + (n == 1 ? "" : "s"); }

std::string goals_text(const SweepOptions& asked, const Network& net) {
    if (asked.goals.size() > most_goals_named) return "only " + std::to_string(asked.goals.size()) + " chosen functions";
    std::vector<std::string> names;
    for (const FunctionHandle goal : asked.goals) names.push_back(detail::name_of(net.compiled().functions[goal.index]));
    return "only " + detail::listed(names);
}

}  // namespace

std::string event_text(const Event& event, const Network& net) { return event_called(event, net, false); }

Table table(const SweepResult& result, const Outcome& before, const SweepOptions& asked, std::size_t most) {
    const Network& net = before.network();
    Table t{.title = asked.order == 1 ? "Sweep of single events" : "Sweep of combinations of up to " + std::to_string(asked.order) + " events",
            .captions = detail::captions(before), .columns = {{"Added"}, {"Function"}, {"Before"}, {"After"}}};
    if (!asked.goals.empty()) t.captions.push_back({"Functions examined", goals_text(asked, net)});
    for (std::size_t i = 0; i < std::min(most, result.hits.size()); ++i) {
        const SweepHit& hit = result.hits[i];
        t.rows.push_back({combination_text(hit, result, net), detail::name_of(net.compiled().functions[hit.goal]), detail::mark_of(before.judged()[hit.goal].level), detail::mark_of(hit.level)});
    }
    if (result.hits.size() > most) t.footnotes.push_back("The first " + std::to_string(most) + " of " + std::to_string(result.hits.size()) + " rows.");
    t.footnotes.push_back(count_text(result.combinations, "combination") + " of " + count_text(result.events.size(), "event") + " examined, each added in one step. " +
                          (asked.all ? "Listed is every one that changes a function." : "Listed is what no part of a combination does alone."));
    if (result.inert) t.footnotes.push_back(count_text(result.inert, "event") + " can reach no function examined and " + (result.inert == 1 ? "is" : "are") + " in none of them.");
    if (!result.complete)
        t.footnotes.push_back("Not complete: it was broken off. " + (result.complete_to == 0 ? std::string("Of no size was everything examined.") : "Every combination of up to " + count_text(static_cast<std::uint64_t>(result.complete_to), "event") + " was examined."));
    return t;
}

std::string text(const SweepResult& result, const Outcome& before, const SweepOptions& asked) { return to_text(table(result, before, asked, most_combinations_in_text)); }

}  // namespace fedfrom
