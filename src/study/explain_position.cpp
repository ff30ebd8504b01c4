// Why something stands where it does: rule M6, the first that matches, in words.
#include <algorithm>

#include "explain.hpp"
#include "words.hpp"

namespace fedfrom::detail {

std::string Explainer::where(std::uint32_t demand, std::uint32_t e) {
    const auto p = picture(demand).view.position(e);
    return std::string(p ? info(e).positions[*p] : "position unknown");
}

std::string Explainer::by_fault(std::uint32_t zone) {
    return "the " + std::string(fault_word(c_, zone)) + " of " + called(info(c_.zones[zone].element));
}

void Explainer::stand(const Task& task) {
    const std::uint32_t e = task.index;
    const ElementInfo& it = info(e);
    const View& view = picture(task.demand).view;
    if (is_one_way(*it.element)) {
        if (view.failed(e, "loss")) failure_root(e, "loss");
        if (view.failed(e, "short")) failure_root(e, "short");
        const std::string how = view.failed(e, "loss") ? " has failed (loss) and blocks." : view.failed(e, "short") ? " has failed (short) and passes both ways." : " passes one way.";
        return write(task, Role::statement, *it.id, called(it) + how);
    }
    if (everything_unknown(task)) return;
    const auto place = view.position(e);
    std::string fact = place ? called(it) + " is at " + std::string(it.positions[*place]) : "Where " + called(it) + " stands is unknown";
    if (it.passes_in) {
        const auto passes = view.truth(it.passes);
        fact += !passes ? ", and whether it passes is unknown" : *passes ? " and passes" : " and blocks";
    }
    if (const auto by = view.blanked_by(e); !by.empty()) {
        for (const std::string& mode : by) failure_root(e, mode);
        return write(task, Role::root, *it.id, fact + ": it has failed (" + listed(by) + "), so it passes nothing and makes no contact.");
    }
    Because why = because(task.demand, e);
    if (!why.under.empty() && !open(task, Task::What::stand, *it.id, fact)) return;
    write(task, Role::statement, *it.id, fact + ": " + why.text + (why.under.empty() ? "." : ":"));
    put(task, std::move(why.under));
}

void Explainer::block(const Task& task) {
    const std::uint32_t e = task.index;
    const ElementInfo& it = info(e);
    const View& view = picture(task.demand).view;
    if (is_one_way(*it.element)) return stand(task);
    const auto place = view.position(e);
    if (const auto by = view.blanked_by(e); !by.empty()) {
        for (const std::string& mode : by) failure_root(e, mode);
        return write(task, Role::root, *it.id, called(it) + " has failed (" + listed(by) + "): it passes nothing in any position.");
    }
    if (it.tripped && it.trip_position == none && view.truth(it.tripped) != std::optional(false)) {
        root(RootCause::Kind::trip, *it.id, "", called(it) + " blown");
        const std::uint32_t by = faults(task.demand).tripped_by(e);
        if (by != none) fault_root(by);
        return write(task, Role::root, *it.id, called(it) + " has blown" + (by != none ? ", on " + by_fault(by) : "") + ".");
    }
    std::vector<std::string> passing;
    for (std::uint32_t p = 0; p < it.positions.size(); ++p)
        if (task.positions >> p & 1) passing.emplace_back(it.positions[p]);
    std::string fact = place ? called(it) + " is at " + std::string(it.positions[*place]) + ", which blocks here (it passes at " + listed(passing, " or ") + ")"
                             : "Where " + called(it) + " stands, and so whether it passes, is unknown";
    Because why = because(task.demand, e);
    if (!why.under.empty() && !open(task, Task::What::stand, *it.id, fact)) return;
    const bool ends = why.under.empty();
    write(task, ends ? Role::root : Role::statement, *it.id, fact + ": " + why.text + (ends ? "." : ":"));
    put(task, std::move(why.under));
}

Explainer::Because Explainer::because(std::uint32_t demand, std::uint32_t e) {
    const ElementInfo& it = info(e);
    const View& view = picture(demand).view;
    if (view.failed(e, "stuck")) {
        failure_root(e, "stuck");
        return {"it is stuck there"};
    }
    if (it.tripped && view.truth(it.tripped).value_or(false)) {
        root(RootCause::Kind::trip, *it.id, "", called(it) + " tripped");
        const std::uint32_t by = faults(demand).tripped_by(e);
        if (by == none) return {"it has tripped"};
        fault_root(by);
        return {"it has tripped on " + by_fault(by)};
    }
    if (picture(demand).hunting.contains(e)) {
        root(RootCause::Kind::hunting, *it.id, "", called(it) + " never comes to rest");
        return {"it moves to and fro without end and never comes to rest"};
    }
    const auto without = without_of(*it.element);
    if (!without.empty() && view.failed(e, "loss")) {
        failure_root(e, "loss");
        return {std::string("it has failed (loss), and then ") + (without.front().position == stays ? "stays where it was" : "goes there")};
    }
    for (const Without& w : without)
        for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p) {
            if (c_.ports[p].name != w.port || view.surely(c_.ports[p].supplied)) continue;
            const bool known = view.truth(c_.ports[p].supplied).has_value();
            const std::string does = w.position == stays ? std::string("it stays where it was") : "it goes to " + w.position;
            return {known ? "without " + w.port + " " + does : "whether its " + w.port + " port is supplied is unknown", {{.what = Task::What::port, .index = p}}};
        }
    if (it.memory && !view.surely(it.supplied))
        return {"it cannot move while it is not supplied, and stays where it was", {{.what = Task::What::supply, .index = e}}};
    if (it.hand) {
        const std::string word = where(demand, e);
        hand_root(e, word);
        return {"selected by hand"};
    }
    return because_of_logic(demand, e);
}

Explainer::Because Explainer::because_of_logic(std::uint32_t demand, std::uint32_t e) {
    const ElementInfo& it = info(e);
    const View& view = picture(demand).view;
    if (it.element->follows) {
        const std::uint32_t leader = out_.network().element(it.element->follows->leader).index;
        if (!info(leader).fitted) return {"what it follows, " + called(info(leader)) + ", is not fitted"};
        if (const auto by = view.blanked_by(leader); !by.empty()) {
            for (const std::string& mode : by) failure_root(leader, mode);
            return {"it follows " + called(info(leader)) + ", which has failed (" + listed(by) + ") and leads it no more"};
        }
        return {"it follows " + called(info(leader)), {{.what = Task::What::stand, .index = leader}}};
    }
    Tasks against;
    for (const Move& move : it.element->goes) {
        const auto holds = view.holds(move.when);
        if (holds.value_or(false)) return {"it goes there because this holds", {{.what = Task::What::condition, .condition = &move.when, .value = true}}};
        if (const auto place = view.position(e); place && it.positions[*place] == move.to && holds) continue;
        against.push_back({.index = e, .role = Role::alternative, .text = (holds ? "it does not go to " : "it is unknown whether it goes to ") + move.to + ", because:"});
        against.push_back({.what = Task::What::condition, .condition = &move.when, .value = false, .depth = 1});
        if (!holds) return {"what sends it is unknown", std::move(against)};
    }
    return {"nothing moves it from its rest position", std::move(against)};
}

}  // namespace fedfrom::detail
