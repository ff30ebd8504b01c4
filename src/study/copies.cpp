#include "copies.hpp"

#include <algorithm>

namespace fedfrom::detail {
namespace {

/// Copies memory variables from one network's numbering to another's.
class Carrier {
public:
    Carrier(const State& from, State::Memory& to) : from_(from.memory()), to_(to) {}
    void copy(Variable a, Variable b, std::size_t count = 1) {
        for (std::size_t i = 0; a && i < count; ++i) to_.values[b + i] = from_[a + i];
    }

private:
    std::span<const One> from_;
    State::Memory& to_;
};

/// The same memory cells and holders, by element.
void carry_frozen(const State& from, const Compiled& a, State::Memory& to, const Compiled& b) {
    const auto took = [](const Compiled& c, std::size_t cell) {
        std::size_t first = 0;
        for (std::size_t i = 0; i < cell; ++i) first += c.memory_cells[i].sent.size();
        return first;
    };
    for (std::size_t i = 0; i < a.memory_cells.size(); ++i) {
        if (!any(from.frozen().cells[i])) continue;
        const auto j = static_cast<std::size_t>(std::ranges::find(b.memory_cells, a.memory_cells[i].element, &MemoryCell::element) - b.memory_cells.begin());
        to.frozen.cells[j] = from.frozen().cells[i];
        for (std::size_t p = 0; p < a.memory_cells[i].sent.size(); ++p) to.frozen.took[took(b, j) + p] = from.frozen().took[took(a, i) + p];
    }
    for (std::size_t h = 0; h < a.holders.size(); ++h)
        to.frozen.holders[static_cast<std::size_t>(std::ranges::find(b.holders, a.holders[h]) - b.holders.begin())] = from.frozen().holders[h];
}

}  // namespace

State carried(const State& from, const Network& larger, const std::map<std::string, std::string>& copy_of) {
    const Compiled &a = from.network().compiled(), &b = larger.compiled();
    State state(larger, true);
    State::Memory memory = state.remembered();
    Carrier carrier(from, memory);
    for (std::size_t e = 0; e < a.elements.size(); ++e) {
        const ElementInfo &was = a.elements[e], &is = b.elements[e];
        for (std::uint32_t f = 0; f < was.failures.size(); ++f) carrier.copy(a.failures[was.failures.first + f].variable, b.failures[is.failures.first + f].variable);
        carrier.copy(was.held, is.held, was.positions.size());
        carrier.copy(was.at_hand, is.at_hand, was.positions.size());
        carrier.copy(was.tripped, is.tripped);
        carrier.copy(was.empty, is.empty);
        carrier.copy(was.overloaded, is.overloaded);
        carrier.copy(was.starting, is.starting);
        carrier.copy(was.running_on, is.running_on);
        carrier.copy(was.holding, is.holding);
    }
    for (std::size_t g = 0; g < a.givens.size(); ++g) carrier.copy(a.givens[g].variable, b.givens[g].variable);
    for (const OneShotInfo& is : b.one_shots) {
        const auto copied = copy_of.find(*b.functions[is.function].id);
        const std::string& function = copied == copy_of.end() ? *b.functions[is.function].id : copied->second;
        for (const OneShotInfo& was : a.one_shots) {
            if (*a.functions[was.function].id != function || *was.mode != *is.mode) continue;
            carrier.copy(was.used, is.used);
            carrier.copy(was.exhausted, is.exhausted);
        }
    }
    carry_frozen(from, a, memory, b);
    const State::Memory& old = from.remembered();
    std::ranges::copy(old.resets_used, memory.resets_used.begin());
    std::ranges::copy(old.taken, memory.taken.begin());
    std::ranges::copy(old.readings, memory.readings.begin());
    state.remember(std::move(memory));
    return state;
}

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
