/// Where the nodes of diagrams and set families are kept, each only once.
///
/// The unique table of Brace, Rudell and Bryant ("Efficient implementation of a BDD
/// package", 1990). Two things differ from theirs. Nodes live in one array in the order
/// they were made, so that a node always stands behind what it reads: a walk over a
/// function is a loop over that array, up or down, with neither stack nor marks. And
/// there are no reference counts: `keep_only` throws away all that some roots do not
/// reach, whenever the owner says so, and closes the gaps without changing that order.
///
/// An edge is twice the number of a node plus one bit, which is the owner's to give a meaning.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/logic/budget.hpp>

namespace fedfrom::detail {

using Edge = std::uint32_t;
constexpr std::uint32_t no_level = 0xffffffff;  ///< of the terminals: below every variable

struct DecisionNode {
    std::uint32_t level;
    Edge low, high;
    std::uint32_t next;  // in the bucket
};

/// Words into one well-mixed word.
inline std::uint32_t mixed(std::uint32_t a, std::uint32_t b, std::uint32_t c) {
    std::uint64_t h = (std::uint64_t{a} << 32 | b) * 0x9e3779b97f4a7c15u;
    h = (h ^ h >> 29 ^ c) * 0xbf58476d1ce4e5b9u;
    return static_cast<std::uint32_t>(h >> 32);
}

class NodeTable {
public:
    /// The first `terminals` nodes are there from the start.
    NodeTable(std::uint32_t terminals, const Budget&);

    const DecisionNode& operator[](std::uint32_t node) const { return nodes_[node]; }
    const DecisionNode& at(Edge edge) const { return nodes_[edge >> 1]; }
    std::uint32_t size() const { return static_cast<std::uint32_t>(nodes_.size()); }

    /// The one node of this content; made where there is none yet.
    std::uint32_t node(std::uint32_t level, Edge low, Edge high);

    /// From here on. What was done so far counts.
    void allow(const Budget& budget) {
        most_ = budget.nodes;
        most_steps_ = budget.steps;
    }
    void count_step() {
        if (steps_ >= most_steps_) throw BudgetSpent();
        ++steps_;
    }
    std::uint64_t steps() const { return steps_; }

    /// The nodes that these edges reach, terminals left out, in ascending order.
    std::vector<std::uint32_t> reachable(std::span<const Edge> roots) const;

    /// Forgets every node that these edges do not reach. Gives the new number of every old node that is left.
    std::vector<std::uint32_t> keep_only(std::span<const Edge> roots);

private:
    std::uint32_t terminals_, most_;
    std::uint64_t most_steps_, steps_ = 0;
    std::vector<DecisionNode> nodes_;
    std::vector<std::uint32_t> buckets_;  // heads of chains; 0, a terminal, ends one

    std::uint32_t& bucket(std::uint32_t level, Edge low, Edge high) { return buckets_[mixed(level, low, high) & (buckets_.size() - 1)]; }
    void rehash(std::size_t buckets);
};

/// Results of earlier operations: direct mapped, forgets what is overwritten. Grows with the nodes.
class ComputedCache {
public:
    struct Key {
        std::uint32_t a, b, c;
        bool operator==(const Key&) const = default;
    };

    ComputedCache() : entries_(256, unused) {}

    /// Null where nothing is known. The pointer is good until the next `insert`.
    const std::uint32_t* find(const Key& key) const {
        const Entry& e = entries_[mixed(key.a, key.b, key.c) & (entries_.size() - 1)];
        return e.key == key ? &e.result : nullptr;
    }
    void insert(const Key& key, std::uint32_t result) { entries_[mixed(key.a, key.b, key.c) & (entries_.size() - 1)] = {key, result}; }

    /// To at least as many entries as there are nodes, up to a limit; what is known stays known.
    void grow(std::uint32_t nodes);
    void clear() { entries_.assign(entries_.size(), unused); }

private:
    struct Entry {
        Key key;
        std::uint32_t result;
    };
    static constexpr Entry unused{{0xffffffff, 0xffffffff, 0xffffffff}, 0};
    // More seldom find anything that these forgot, and are seldom near the processor.
    static constexpr std::size_t most_entries = std::size_t{1} << 19;
    std::vector<Entry> entries_;
};

/// Runs a recursive operation on a stack of its own: as deep as there are variables, which no thread's stack need bear.
///
/// A kernel says of a call whether its result is `known` (it may rewrite the call into a
/// normal form), what its `child` calls are, each of which may depend on the results of those before it, and
/// how to `finish` it from their results. A call carries `stage`, the number of results it has, and `results`.
template <class Kernel, class Call>
auto descend(Kernel kernel, std::vector<Call>& stack, Call first) {
    stack.clear();
    if (const auto result = kernel.known(first)) return *result;
    stack.push_back(first);
    for (;;) {
        Call& call = stack.back();
        if (call.stage < Kernel::children) {
            Call child = kernel.child(call);
            if (const auto result = kernel.known(child))
                call.results[call.stage++] = *result;
            else
                stack.push_back(child);
        } else {
            const auto result = kernel.finish(call);
            stack.pop_back();
            if (stack.empty()) return result;
            Call& reader = stack.back();
            reader.results[reader.stage++] = result;
        }
    }
}

}  // namespace fedfrom::detail
