// Modules by the dates of a depth-first walk (Dutuit and Rauzy, "A linear-time algorithm to find
// modules of fault trees", IEEE Trans. Reliability 45(3), 1996).
//
// A node has a date each time the walk meets it, a gate also when the walk leaves it. A gate is a module where
// all that it reaches is met between the first time it is entered and the time it is left, and never else. The walk
// has a stack of its own; the earliest and latest dates below a gate are a loop, since gates stand in order.
#include <algorithm>
#include <utility>

#include <fedfrom/logic/modules.hpp>

namespace fedfrom {

std::vector<std::uint32_t> modules(const Formula& f) {
    struct Dates {
        std::uint64_t entered = 0, left = 0, last = 0;  // last met
    };
    std::vector<Dates> dates(f.nodes());
    std::uint64_t now = 0;
    std::vector<std::pair<std::uint32_t, bool>> todo{{f.top.node(), false}};
    while (!todo.empty()) {
        const auto [node, leaving] = todo.back();
        todo.pop_back();
        Dates& at = dates[node];
        at.last = ++now;
        if (leaving) {
            at.left = now;
        } else if (at.entered == 0) {
            at.entered = now;
            if (!f.is_gate(node)) continue;
            todo.push_back({node, true});
            for (const Term t : f.operands(node)) todo.push_back({t.node(), false});
        }
    }
    std::vector<std::uint32_t> found;
    std::vector<Dates> below(f.nodes());  // the earliest entered and the last met of what a gate reaches
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g) {
        if (dates[g].entered == 0) continue;
        below[g].entered = now;
        for (const Term t : f.operands(g)) {
            const std::uint32_t n = t.node();
            if (n == 0) continue;
            below[g].entered = std::min({below[g].entered, dates[n].entered, f.is_gate(n) ? below[n].entered : now});
            below[g].last = std::max({below[g].last, dates[n].last, below[n].last});
        }
        if (below[g].entered > dates[g].entered && below[g].last < dates[g].left) found.push_back(g);
    }
    return found;
}

}  // namespace fedfrom
