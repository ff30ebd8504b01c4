// Builds, fails and settles with nothing linked; a bad model is refused all the same.
#include <fedfrom/bodies.ipp>
#include <fedfrom/solve/settle.hpp>

int main() {
    using namespace fedfrom;
    Model m{.name = "One bus"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["bus"] = {.kind = Kind::bus, .inputs = {{"power", {{.from = "battery"}}}}};
    State state = running_state(Network(m));
    if (settle(state).status("bus") != Status::supplied) return 1;
    state.fail("battery");
    if (settle(state).status("bus") != Status::unsupplied) return 2;
    m.elements["bus"].inputs["power"].feeds[0].from = "batery";
    try {
        Network bad(m);
        return 3;
    } catch (const ModelError& e) {
        return e.diagnostics.size() == 1 && e.diagnostics[0].code == "dangling_id" ? 0 : 4;
    }
}
