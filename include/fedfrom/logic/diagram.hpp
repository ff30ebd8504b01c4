/// Boolean functions as reduced ordered binary decision diagrams.
///
/// Two functions of one store are equal exactly where their `Diagram`s are, and what is
/// asked of one (its probability, its models) costs its number of nodes, however many
/// models it has. What it costs to get there depends on the order of the variables; order.hpp.
///
///     Diagrams d(3);
///     const Diagram f = d.any(d.all(d.variable(0), d.variable(1)), !d.variable(2));
///     d.models(f);                                       // 5
///
/// Variable i stands at level i, above all higher ones. Not thread safe: one store, one thread.
/// Every operation throws `BudgetSpent` where the store's budget does not suffice.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/logic/budget.hpp>
#include <fedfrom/logic/formula.hpp>
#include <fedfrom/logic/node_table.hpp>

namespace fedfrom {

/// A function of the store that gave it; good until that store is told to forget it.
struct Diagram {
    detail::Edge edge = 0;  ///< the low bit means "not"
    Diagram operator!() const { return {edge ^ 1}; }
    bool operator==(const Diagram&) const = default;
};

class Diagrams {
public:
    static constexpr Diagram never{0}, always{1};

    explicit Diagrams(std::uint32_t variables, const Budget& = {});

    Diagram variable(std::uint32_t);
    Diagram if_then_else(Diagram condition, Diagram then, Diagram otherwise);
    Diagram all(Diagram f, Diagram g);
    Diagram any(Diagram f, Diagram g) { return !all(!f, !g); }
    /// At least k of them; one that is there twice counts twice.
    Diagram at_least(std::uint32_t k, std::span<const Diagram>);
    /// Whether g holds wherever f does. Makes no node.
    bool implies(Diagram f, Diagram g);
    /// f where the variable has this value; it no longer depends on it. O(nodes of f).
    Diagram restrict(Diagram f, std::uint32_t variable, bool value);

    bool value(Diagram, const std::vector<bool>& values) const;
    /// Assignments of all variables for which f holds; 2^64 - 1 stands for that many or more. O(nodes of f).
    std::uint64_t models(Diagram f) const;

    std::uint32_t variables() const { return variables_; }
    std::size_t nodes() const { return table_.size(); }           ///< in the store
    std::size_t nodes(Diagram f) const;                           ///< of f; the constant not counted
    std::uint64_t steps() const { return table_.steps(); }        ///< done so far, as the budget counts them
    void allow(const Budget& budget) { table_.allow(budget); }    ///< another budget from here on; what was done so far counts

    /// Forgets all but these functions, and writes what they are now into the span. Every other `Diagram` is void.
    void keep_only(std::span<Diagram>);

    /// The nodes of f, each after those it reads, for walks in one loop. Their `low` and `high` are edges.
    std::vector<std::uint32_t> walk(Diagram f) const { return table_.reachable({&f.edge, 1}); }
    const detail::DecisionNode& node(std::uint32_t number) const { return table_[number]; }
    std::uint32_t level(Diagram f) const { return table_.at(f.edge).level; }

private:
    struct Pair {
        detail::Edge f, g;
    };
    struct BothCall {
        Pair of;
        std::uint32_t level = 0, stage = 0;
        Pair cofactors[2] = {};
        detail::Edge results[2] = {};
    };
    struct Both;
    struct Meet;
    struct IfThenElseCall {
        detail::Edge f, g, h;
        bool negate = false;
        std::uint32_t stage = 0;
        detail::Edge results[2] = {};
    };
    struct IfThenElse;

    std::uint32_t variables_;
    detail::NodeTable table_;
    detail::ComputedCache cache_;
    std::vector<BothCall> both_;
    std::vector<IfThenElseCall> if_then_else_;

    detail::Edge make(std::uint32_t level, detail::Edge low, detail::Edge high);
};

/// The function of `formula.top`. On the way it forgets what the store no longer needs: every earlier `Diagram` of the store is void.
Diagram diagram_of(const Formula&, Diagrams&);

}  // namespace fedfrom
