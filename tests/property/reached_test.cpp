// What a failure or a trip reaches as it comes or goes, as it is listed, against all gates evaluated before and after.
#include <algorithm>
#include <cstdint>
#include <random>
#include <vector>

#include <fedfrom/solve/reached.hpp>
#include <fedfrom/solve/settle.hpp>

#include "catch.hpp"
#include "networks.hpp"

using namespace fedfrom;

TEST_CASE("What a failure changes at once is in its list", "[property]") {
    std::size_t listed = 0, changed = 0, by_index = 0;
    for (const Network& net : networks()) {
        const Compiled& c = net.compiled();
        const detail::Readers readers(c);
        const detail::ByVariable nothing({}, c.program.variables());
        const detail::ReachedBy reached_by(c, readers, std::vector<bool>(c.program.gates.size(), true), nothing, nothing, std::vector<bool>(c.functions.size(), false));
        const auto gates = static_cast<std::uint32_t>(c.program.gates.size());
        const auto has = [&](Range range, std::uint32_t what) { return std::ranges::binary_search(reached_by.in(range), what); };
        detail::Evaluation<One> by_list(c, &readers);
        std::mt19937_64 random(11);
        for (int i = 0; i < 40; ++i) {
            State state = running_state(net);
            for (int f = 0; f < 3; ++f) state.apply(Event::fail({static_cast<std::uint32_t>(random() % c.failures.size())}));
            settle(state);
            detail::Evaluation<One> evaluation(c);
            evaluation.load(state.memory());
            evaluation.run(gates);
            by_list.load(state.memory());
            by_list.run(gates);
            for (const FailureInfo& f : c.failures) {
                const detail::Reached* reached = reached_by.of(f.variable);
                if (!reached) continue;
                ++listed;
                const std::vector<One> before(evaluation.values().begin(), evaluation.values().end());
                evaluation.put(f.variable, ~before[f.variable]);
                evaluation.run(gates);
                const auto differs = [&](Literal l) { return !(evaluation.values()[l.variable()] == before[l.variable()]); };
                INFO(net.model().name << ", " << *c.elements[f.element].id << " " << f.mode);
                for (std::uint32_t g = 0; g < gates; ++g) changed += differs(Literal::of(c.program.output(g)));
                detail::each_listed(reached_by.in(reached->gates), [&](const detail::ListedGate& gate) { by_index += gate.index != none; });
                by_list.begin_changes();
                by_list.put_untold(f.variable, ~before[f.variable]);
                by_list.run_listed(reached_by.in(reached->gates));
                REQUIRE(std::ranges::equal(by_list.values(), evaluation.values()));
                for (const Variable v : by_list.changes().changed()) REQUIRE(differs(Literal::of(v)));
                by_list.undo();
                REQUIRE(std::ranges::equal(by_list.values(), before));
                for (std::uint32_t cell = 0; cell < c.memory_cells.size(); ++cell)
                    if (std::ranges::any_of(c.memory_cells[cell].sent, differs)) REQUIRE(has(reached->cells, cell));
                for (std::uint32_t s = 0; s < c.sticking.size(); ++s)
                    if (std::ranges::any_of(c.elements[c.sticking[s]].stands, differs)) REQUIRE(has(reached->standing, s));
                for (const std::uint32_t h : c.holders) REQUIRE(!differs(c.elements[h].supplied));
                evaluation.put(f.variable, before[f.variable]);
                evaluation.run(gates);
            }
        }
    }
    CHECK(listed > 10'000);
    CHECK(changed > listed);
    CHECK(by_index > 1'000);
}
