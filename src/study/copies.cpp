#include "copies.hpp"

namespace fedfrom::detail {

Outcome healthy(const State& state) {
    const Compiled& c = state.network().compiled();
    State copy = running_state(state.network());
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const ElementInfo& info = c.elements[e];
        for (std::uint32_t p = 0; info.at_hand && p < info.positions.size(); ++p)
            if (any(state.memory()[info.at_hand + p])) copy.set(ElementHandle{e}, p);
    }
    for (std::uint32_t g = 0; g < c.givens.size(); ++g) copy.given(GivenHandle{g}, any(state.memory()[c.givens[g].variable]));
    return settle(copy);
}

std::vector<std::uint32_t> stores_left(const State& state) {
    const Compiled& c = state.network().compiled();
    std::vector<std::uint32_t> left;
    for (const std::uint32_t e : c.storing)
        if (row(c.elements[e].element->kind).stores_energy && !any(state.memory()[c.elements[e].empty])) left.push_back(e);
    return left;
}

Outcome spent(const State& state, const std::vector<std::uint32_t>& stores) {
    State copy = state;
    for (const std::uint32_t e : stores) copy.spend(ElementHandle{e});
    return settle(copy);
}

void settle_memory(State& state, Settler<One>& settler) {
    const Compiled& c = state.network().compiled();
    std::vector<One> memory(state.memory().begin(), state.memory().end());
    Frozen<One> frozen = state.frozen();
    const Worlds worlds = settle_worlds(c, settler, memory, frozen);
    state.remember(memory, std::move(frozen));
    remember_readings(state, worlds);
}

}  // namespace fedfrom::detail
