// Orders that need no trial, by published ways and one of our own.
#include <algorithm>
#include <bit>
#include <limits>
#include <stdexcept>

#include <fedfrom/logic/order.hpp>

namespace fedfrom {

namespace {

/// How many variables stand below each node, each as often as it is read; saturating.
std::vector<std::uint64_t> sizes(const Formula& f) {
    std::vector<std::uint64_t> size(f.nodes(), 1);
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
        size[g] = 0;
        for (const Term t : f.operands(g)) size[g] = std::min(size[g] + size[t.node()], std::uint64_t{1} << 62);
    }
    return size;
}

std::vector<std::uint64_t> times_read(const Formula& f) {
    std::vector<std::uint64_t> count(f.nodes());
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g)
        for (const Term t : f.operands(g)) ++count[t.node()];
    return count;
}

/// How many gates hang on each node's variables: of those, what the least has.
std::vector<std::uint64_t> reaches(const Formula& f) {
    std::vector<std::uint64_t> least(f.nodes(), std::numeric_limits<std::uint64_t>::max()), below(f.nodes());  // below: which of 64 variables
    for (std::uint32_t first = 1; first < f.first_gate(); first += 64) {
        const std::uint32_t end = std::min(first + 64, f.first_gate());
        for (std::uint32_t v = first; v < end; ++v) {
            below[v] = std::uint64_t{1} << (v - first);
            least[v] = 0;
        }
        for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
            below[g] = 0;
            for (const Term t : f.operands(g)) below[g] |= below[t.node()];
            for (std::uint64_t rest = below[g]; rest != 0; rest &= rest - 1) ++least[first + static_cast<std::uint32_t>(std::countr_zero(rest))];
        }
        for (std::uint32_t v = first; v < end; ++v) below[v] = 0;
    }
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g)
        for (const Term t : f.operands(g)) least[g] = std::min(least[g], least[t.node()]);
    return least;
}

std::vector<std::uint64_t> keys(const Formula& f, Walk walk) {
    switch (walk) {
        case Walk::as_written: return std::vector<std::uint64_t>(f.nodes());
        case Walk::small_first:
        case Walk::large_first: return sizes(f);
        case Walk::shared_first: return times_read(f);
        case Walk::far_first: return reaches(f);
    }
    throw std::invalid_argument("no such walk");
}

/// Calls with a gate and all it reads but constants, for every gate.
template <class Call>
void each_gate(const Formula& f, Call call) {
    std::vector<std::uint32_t> pins;
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
        pins.assign(1, g);
        for (const Term t : f.operands(g))
            if (t.node() != 0) pins.push_back(t.node());
        call(pins);
    }
}

}  // namespace

// Fujita, Fujisawa and Kawato, "Evaluation and improvements of Boolean comparison method based on
// binary decision diagrams", ICCAD 1988; ways to walk of our own.
Order depth_first_order(const Formula& f, Walk walk) {
    const std::vector<std::uint64_t> key = keys(f, walk);
    Order order;
    std::vector<bool> met(f.nodes());
    std::vector<std::uint32_t> todo{f.top.node()}, operands;
    while (!todo.empty()) {
        const std::uint32_t node = todo.back();
        todo.pop_back();
        if (met[node]) continue;
        met[node] = true;
        if (f.is_variable(node)) order.push_back(f.variable_of(node));
        if (!f.is_gate(node)) continue;
        operands.clear();
        for (const Term t : f.operands(node)) operands.push_back(t.node());
        if (walk == Walk::small_first)
            std::ranges::stable_sort(operands, {}, [&](std::uint32_t n) { return key[n]; });
        else
            std::ranges::stable_sort(operands, std::ranges::greater{}, [&](std::uint32_t n) { return key[n]; });
        todo.insert(todo.end(), operands.rbegin(), operands.rend());
    }
    for (std::uint32_t v = 0; v < f.variables(); ++v)
        if (!met[v + 1]) order.push_back(v);
    return order;
}

// Minato, Ishiura and Yajima, "Shared binary decision diagram with attributed edges for efficient
// Boolean function manipulation", DAC 1990: dynamic weight assignment.
Order heaviest_first_order(const Formula& f) {
    Order order;
    std::vector<bool> placed(f.variables());
    std::vector<std::uint32_t> open(f.nodes());  // operands with a variable below that is not placed yet
    std::vector<double> weight(f.nodes());
    while (order.size() < f.variables()) {
        const auto counts = [&](Term t) { return f.is_variable(t.node()) ? !placed[f.variable_of(t.node())] : open[t.node()] != 0; };
        for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) open[g] = static_cast<std::uint32_t>(std::ranges::count_if(f.operands(g), counts));
        std::ranges::fill(weight, 0);
        weight[f.top.node()] = 1;
        for (std::uint32_t g = f.nodes(); g-- > f.first_gate();)
            for (const Term t : f.operands(g))
                if (counts(t)) weight[t.node()] += weight[g] / open[g];
        std::uint32_t heaviest = f.variables();
        for (std::uint32_t v = 0; v < f.variables(); ++v)
            if (!placed[v] && (heaviest == f.variables() || weight[v + 1] > weight[heaviest + 1])) heaviest = v;
        placed[heaviest] = true;
        order.push_back(heaviest);
    }
    return order;
}

// A way of our own: where much is shared, what most of it hangs on decides first.
Order widest_first_order(const Formula& f) {
    const std::vector<std::uint64_t> reach = reaches(f);
    Order order = depth_first_order(f, Walk::far_first);
    const auto wide = [&](std::uint32_t v) { return 4 * reach[v + 1] >= f.nodes() - f.first_gate(); };
    const auto rest = std::stable_partition(order.begin(), order.end(), wide);
    std::stable_sort(order.begin(), rest, [&](std::uint32_t a, std::uint32_t b) { return reach[a + 1] > reach[b + 1]; });
    return order;
}

// Aloul, Markov and Sakallah, "FORCE: a fast and easy-to-implement variable-ordering heuristic", GLSVLSI 2003.
// Gates have places too: what a gate reads is drawn towards it.
Order drawn_together(const Formula& f, const Order& from) {
    constexpr unsigned most_rounds = 200, patience = 20;
    std::vector<double> place(f.nodes()), sum(f.nodes());
    std::vector<std::uint32_t> count(f.nodes()), nodes;
    for (std::uint32_t n = 1; n < f.nodes(); ++n) nodes.push_back(n);
    for (std::size_t i = 0; i < from.size(); ++i) place[from[i] + 1] = static_cast<double>(i);
    const auto centre = [&](std::span<const std::uint32_t> pins) {
        double total = 0;
        for (const std::uint32_t n : pins) total += place[n];
        return total / static_cast<double>(pins.size());
    };
    each_gate(f, [&](const std::vector<std::uint32_t>& pins) {
        if (pins.size() > 1) place[pins[0]] = centre(std::span(pins).subspan(1));
    });
    Order best = from;
    double shortest = std::numeric_limits<double>::infinity();
    for (unsigned round = 0, better = 0; round < most_rounds && round - better <= patience; ++round) {
        std::ranges::fill(sum, 0);
        std::ranges::fill(count, 0);
        each_gate(f, [&](const std::vector<std::uint32_t>& pins) {
            const double c = centre(pins);
            for (const std::uint32_t n : pins) {
                sum[n] += c;
                ++count[n];
            }
        });
        for (const std::uint32_t n : nodes)
            if (count[n] != 0) place[n] = sum[n] / count[n];
        std::ranges::stable_sort(nodes, {}, [&](std::uint32_t n) { return place[n]; });
        for (std::size_t i = 0; i < nodes.size(); ++i) place[nodes[i]] = static_cast<double>(i);
        double length = 0;
        each_gate(f, [&](const std::vector<std::uint32_t>& pins) {
            const auto [first, last] = std::ranges::minmax(pins, {}, [&](std::uint32_t n) { return place[n]; });
            length += place[last] - place[first];
        });
        if (length >= shortest) continue;
        shortest = length;
        better = round;
        best.clear();
        for (const std::uint32_t n : nodes)
            if (f.is_variable(n)) best.push_back(f.variable_of(n));
    }
    return best;
}

std::vector<std::uint32_t> positions(const Order& order) {
    std::vector<std::uint32_t> position(order.size());
    for (std::uint32_t level = 0; level < order.size(); ++level) position[order[level]] = level;
    return position;
}

}  // namespace fedfrom
