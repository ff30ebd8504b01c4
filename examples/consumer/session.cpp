// A host that runs along: tells a session what happens, by handle, and reads what changed, each change with its reason.
#include <iostream>

#include <fedfrom/solve/session.hpp>

using namespace fedfrom;

int main() {
    Model model{.name = "One bus"};
    model.elements["generator"] = {.kind = Kind::generator};
    model.elements["battery"] = {.kind = Kind::battery};
    model.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "generator"}, {.from = "battery"}}}}};
    model.elements["cb_radio"] = {.kind = Kind::breaker};
    model.elements["radio"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus", .via = {{"cb_radio"}}}}}}, .failures = {{"short", {}}}};
    model.functions["talk"] = {.name = "Talk on the radio", .modes = {{"radio", {.rank = 1, .when = "radio"}}}};

    const Network net(model);  // handles once, at the start; no text in the loop but what is printed
    const ElementHandle breaker = net.element("cb_radio");
    const FunctionHandle talk = net.function("talk");
    const Event events[]{Event::fail(net.failure("generator")), Event::fail(net.failure("radio", "short")), Event::reset(breaker), Event::reset(breaker)};

    Session session(running_state(net));
    for (const Event& event : events) {
        const Refusal refusal = session.apply(event);  // refused, it changes nothing
        if (refusal != Refusal::none) std::cout << text(refusal, event, net) << "\n";
        for (const SessionChange& change : session.settle()) std::cout << text(change, net) << "\n";
        std::cout << "talk " << name_of(session.judged(talk).level) << "\n\n";
    }
    return session.tripped(breaker) ? 0 : 1;
}
