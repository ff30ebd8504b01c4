#include <algorithm>

#include <fedfrom/logic/node_table.hpp>

namespace fedfrom::detail {

NodeTable::NodeTable(std::uint32_t terminals, const Budget& budget)
    : terminals_(terminals),
      most_(std::min(budget.nodes, 1u << 30)),  // an edge has one bit more than a number
      most_steps_(budget.steps),
      nodes_(terminals, DecisionNode{no_level, 0, 0, 0}),
      buckets_(256) {}

std::uint32_t NodeTable::node(std::uint32_t level, Edge low, Edge high) {
    std::uint32_t& head = bucket(level, low, high);
    for (std::uint32_t n = head; n != 0; n = nodes_[n].next)
        if (const DecisionNode& d = nodes_[n]; d.level == level && d.low == low && d.high == high) return n;
    if (size() - terminals_ >= most_) throw BudgetSpent();
    nodes_.push_back({level, low, high, head});
    head = size() - 1;
    const std::uint32_t made = head;
    if (nodes_.size() > buckets_.size()) rehash(2 * buckets_.size());
    return made;
}

void NodeTable::rehash(std::size_t buckets) {
    buckets_.assign(buckets, 0);
    for (std::uint32_t n = terminals_; n < size(); ++n) {
        DecisionNode& d = nodes_[n];
        std::uint32_t& head = bucket(d.level, d.low, d.high);
        d.next = head;
        head = n;
    }
}

std::vector<std::uint32_t> NodeTable::reachable(std::span<const Edge> roots) const {
    std::uint32_t end = 0;
    for (const Edge root : roots) end = std::max(end, (root >> 1) + 1);
    std::vector<bool> reached(end);
    for (const Edge root : roots) reached[root >> 1] = true;
    std::vector<std::uint32_t> found;
    for (std::uint32_t n = end; n-- > terminals_;)
        if (reached[n]) {
            found.push_back(n);
            reached[nodes_[n].low >> 1] = reached[nodes_[n].high >> 1] = true;
        }
    std::ranges::reverse(found);
    return found;
}

std::vector<std::uint32_t> NodeTable::keep_only(std::span<const Edge> roots) {
    std::vector<std::uint32_t> renamed(size(), 0);
    for (std::uint32_t n = 0; n < terminals_; ++n) renamed[n] = n;
    const auto moved = [&](Edge e) { return renamed[e >> 1] << 1 | (e & 1); };
    std::uint32_t end = terminals_;
    for (const std::uint32_t n : reachable(roots)) {
        nodes_[end] = {nodes_[n].level, moved(nodes_[n].low), moved(nodes_[n].high), 0};
        renamed[n] = end++;
    }
    nodes_.resize(end);
    rehash(buckets_.size());
    return renamed;
}

void ComputedCache::grow(std::uint32_t nodes) {
    if (entries_.size() >= nodes || entries_.size() >= most_entries) return;
    std::vector<Entry> old(2 * entries_.size(), unused);
    old.swap(entries_);
    for (const Entry& e : old)
        if (!(e.key == unused.key)) insert(e.key, e.result);
}

}  // namespace fedfrom::detail
