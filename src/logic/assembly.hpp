// A formula's modules, each under the order that suits it, put together.
#pragma once

#include <vector>

#include <fedfrom/logic/ordered_diagram.hpp>

#include "logic/trials.hpp"

namespace fedfrom::detail {

class Assembly {
public:
    /// Of a simplified formula, which outlives it. Tries orders.
    Assembly(const Formula&, const Budget&);

    /// Each module's variables together. What the formula does not read comes last.
    Order order() const;

    /// The whole. What a trial made is put in as it is; what none did is converted. Throws `BudgetSpent`.
    OrderedDiagram diagram() const;

private:
    /// A module as a formula of its own, whose variables stand for `leaves`: variables, and modules inside it.
    struct Part {
        std::uint32_t module;
        Formula formula;
        std::vector<std::uint32_t> leaves{};
        Tried tried{};
    };
    class Cutter;

    const Formula& f_;
    const Budget budget_;
    std::vector<Part> parts_;  // those inside others first
};

}  // namespace fedfrom::detail
