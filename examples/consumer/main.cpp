// A radio on a bus with two sources: does it live on when the generator fails, and why not with its breaker pulled?
#include <iostream>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/study/why.hpp>

using namespace fedfrom;

int main() {
    Model model{.name = "One bus"};
    model.elements["generator"] = {.kind = Kind::generator};
    model.elements["battery"] = {.kind = Kind::battery};
    model.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "generator"}, {.from = "battery"}}}}};
    model.elements["cb_radio"] = {.kind = Kind::breaker};
    model.elements["radio"] = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus", .via = {{"cb_radio"}}}}}}};
    model.functions["talk"] = {.name = "Talk on the radio", .modes = {{"radio", {.rank = 1, .when = "radio"}}}};

    State state = running_state(Network(model));  // of a file: Network(read_model("my.json")), fedfrom/io/read.hpp
    std::cout << "generator lost, talk " << name_of(settle(state.fail("generator")).level("talk")) << "\n\n";
    std::cout << text(why(state.set("cb_radio", "pulled"), "talk"));
    return settle(state).level("talk") == Level::lost ? 0 : 1;
}
