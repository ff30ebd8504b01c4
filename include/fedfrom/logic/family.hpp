/// Families of sets as zero-suppressed decision diagrams: millions of cut sets in thousands of nodes.
///
///     Families s(3);
///     const Family ab_c = s.unite_minimal(s.product_minimal(s.single(0), s.single(1)), s.single(2));   // {0,1} {2}
///     s.count(ab_c);                                      // 2
///
/// A family of one store is equal to another exactly where their `Family`s are. Members are
/// numbers below `levels`; member i stands above all higher ones. Every member has a weight
/// (1 unless said), and the weight of a set is the sum of its members': with the weights left
/// alone it is the set's order.
///
/// What can leave sets out because they weigh too much gives a `Trimmed`, which says whether it
/// did. Operations called minimal want operands without a set that contains another and give such a family.
/// Not thread safe. Every operation throws `BudgetSpent` where the store's budget does not suffice.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include <fedfrom/logic/budget.hpp>
#include <fedfrom/logic/node_table.hpp>

namespace fedfrom {

/// A family of the store that gave it; good until that store is told to forget it.
struct Family {
    detail::Edge edge = 0;
    bool operator==(const Family&) const = default;
};

constexpr std::uint32_t no_limit = 0xffffffff;

/// Sets no heavier than a limit, and whether a heavier one was left out on the way. Where it was not, the
/// family is the whole. Where it was, what was left out may contain a set that is there.
struct Trimmed {
    Family family;
    bool dropped = false;
};

namespace detail {
enum class FamilyOperation : std::uint32_t { unite, unite_minimal, without, product, cut_short, trim };
}

class Families {
public:
    static constexpr Family none{0};  ///< no set at all
    static constexpr Family unit{2};  ///< one set, the empty one

    explicit Families(std::uint32_t levels, const Budget& = {}, std::vector<std::uint32_t> weights = {});

    Family single(std::uint32_t member);                ///< {{member}}
    Family set(std::span<const std::uint32_t> members);  ///< {members}, in ascending order

    Family unite(Family, Family);
    Family unite_minimal(Family, Family);                                           ///< without supersets
    Trimmed product_minimal(Family, Family, std::uint32_t most_weight);             ///< the unions of one of each, without supersets
    Family product_minimal(Family f, Family g) { return product_minimal(f, g, no_limit).family; }
    /// As `product_minimal`, but in place of a set that is too heavy stands its beginning, up to and with the member that makes it so. Every
    /// union contains a set that is there, and those no heavier than the limit are the ones of `product_minimal`.
    Family product_cut_short(Family, Family, std::uint32_t most_weight);
    Family without(Family f, Family g);                                             ///< f less every set that contains one of g
    Trimmed trim(Family, std::uint32_t most_weight);

    std::uint64_t count(Family) const;  ///< 2^64 - 1 stands for that many or more. O(nodes).
    /// [k] is the number of sets of order k, saturating as `count`. O(nodes · highest order).
    std::vector<std::uint64_t> count_by_order(Family) const;
    /// Calls with every set, its members ascending, until that returns false. The order is that of the words
    /// the members spell, the empty word last.
    void for_each(Family, const std::function<bool(std::span<const std::uint32_t>)>&) const;

    std::uint32_t levels() const { return static_cast<std::uint32_t>(weights_.size()); }
    std::uint32_t weight(std::uint32_t member) const { return weights_[member]; }
    std::uint32_t lightest(Family f) const { return bounds_[f.edge >> 1].lightest; }  ///< weight of a set; no_limit for `none`
    std::uint32_t heaviest(Family f) const { return bounds_[f.edge >> 1].heaviest; }  ///< weight of a set; 0 for `none`
    std::size_t nodes() const { return table_.size(); }                                ///< in the store
    std::size_t nodes(Family f) const { return walk(f).size(); }

    /// Forgets all but these families, and writes what they are now into the span. Every other `Family` is void.
    void keep_only(std::span<Family>);

    // The inside, for walks in one loop: the family of a node is its `low` and, with the level's member added, its `high`.
    Family make(std::uint32_t level, Family low, Family high);
    std::vector<std::uint32_t> walk(Family f) const { return table_.reachable({&f.edge, 1}); }  ///< each after those it reads
    const detail::DecisionNode& node(std::uint32_t number) const { return table_[number]; }
    const detail::DecisionNode& node(Family f) const { return table_.at(f.edge); }
    Family low(Family f, std::uint32_t level) const { return node(f).level == level ? Family{node(f).low} : f; }
    Family high(Family f, std::uint32_t level) const { return node(f).level == level ? Family{node(f).high} : none; }

private:
    /// A call of any of the operations; results have the `dropped` of a Trimmed in the edge's low bit.
    struct Call {
        Family f, g;
        std::uint32_t most = no_limit;
        std::uint32_t stage = 0;
        detail::Edge results[3] = {};
    };
    struct Bounds {
        std::uint32_t lightest, heaviest;
    };
    using Operation = detail::FamilyOperation;
    template <Operation>
    struct Kernel;

    detail::NodeTable table_;
    detail::ComputedCache cache_;
    std::vector<std::uint32_t> weights_;
    std::vector<Bounds> bounds_;    // by node
    std::vector<Call> stacks_[6];  // by operation: one calls another, never itself

    std::uint32_t least_level(Family f, Family g) const;
    void note_bounds();
    template <Operation>
    detail::Edge run(Family f, Family g, std::uint32_t most = no_limit);
};

}  // namespace fedfrom
