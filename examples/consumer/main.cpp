// A battery, its bus and a radio: what is left when the battery fails?
#include <iostream>

#include <fedfrom/io/read.hpp>
#include <fedfrom/solve/settle.hpp>

int main() {
    const fedfrom::Network net(fedfrom::parse_model(R"({"format": "fedfrom/1", "name": "One bus", "elements": {
        "battery": {"kind": "battery"},
        "bus":     {"kind": "bus", "inputs": {"power": ["battery"]}},
        "radio":   {"kind": "consumer", "inputs": {"power": ["bus"]}}},
        "functions": {"talk": {"name": "Talk on the radio", "modes": {"radio": {"rank": 1, "when": "radio"}}}}})"));
    fedfrom::State state = fedfrom::running_state(net);
    state.fail("battery");
    const fedfrom::Outcome out = fedfrom::settle(state);
    std::cout << "talk: " << fedfrom::name_of(out.level("talk")) << "\n";
    return out.level("talk") == fedfrom::Level::lost ? 0 : 1;
}
