// What lives through a loop does so over ways that meet no gate twice (Knaster and Tarski's least fixed point, reached by Kleene's iteration:
// nothing in it hangs on itself alone). A sweep follows a way until the way turns against it. So the number of turns a way can take gives
// the number of sweeps: in a ring of buses, each tied to the next, it is two, however many buses there are.
//
// From a gate that one other reads, ways lead only through that one. It goes right before it, forth and back, and only the last of such
// a group, its root, is a place where a way can turn: where it comes from an earlier group and leaves to another earlier one, or from a later
// to another later one. It meets every root once, and the two kinds of turns alternate. From a root back into its own group it can only end.
#include "loop_sweeps.hpp"

#include <algorithm>

#include <fedfrom/network/compiled.hpp>

namespace fedfrom::detail {
namespace {

using GateNumbers = std::vector<std::uint32_t>;

void keep_each_once(GateNumbers& list) {
    std::ranges::sort(list);
    list.erase(std::unique(list.begin(), list.end()), list.end());
}

/// The gates of a loop, numbered from 0, in groups.
class GateGroups {
public:
    GateGroups(const Program& p, const Component& loop) : reads_(loop.last - loop.first), read_by_(reads_.size()), root_(reads_.size(), none), from_(reads_.size()), to_(reads_.size()) {
        for (std::uint32_t g = 0; g < reads_.size(); ++g) {
            for (const Literal l : p.operands_of(p.gates[loop.first + g]))
                if (const Variable first = p.output(loop.first); l.variable() >= first && l.variable() < first + reads_.size()) reads_[g].push_back(l.variable() - first);
            keep_each_once(reads_[g]);
            for (const std::uint32_t read : reads_[g]) read_by_[read].push_back(g);
        }
        for (std::uint32_t g = 0; g < reads_.size(); ++g) find_root(g);
        for (std::uint32_t g = 0; g < reads_.size(); ++g)
            for (const std::uint32_t read : reads_[g]) {
                if (root_[read] != read || g == read) continue;
                if (root_[g] == read) ends_behind_a_root_ = true;
                else from_[root_[g]].push_back(read), to_[read].push_back(root_[g]);
            }
        for (GateNumbers& list : from_) keep_each_once(list);
        for (GateNumbers& list : to_) keep_each_once(list);
    }

    GateNumbers roots() const {
        GateNumbers list;
        for (std::uint32_t g = 0; g < root_.size(); ++g)
            if (root_[g] == g) list.push_back(g);
        return list;
    }

    /// As a depth-first walk meets them.
    GateNumbers roots_along_ways() const {
        GateNumbers list, todo;
        std::vector<bool> met(root_.size(), false);
        for (const std::uint32_t start : roots()) {
            todo.push_back(start);
            while (!todo.empty()) {
                const std::uint32_t r = todo.back();
                todo.pop_back();
                if (met[r]) continue;
                met[r] = true;
                list.push_back(r);
                todo.insert(todo.end(), to_[r].rbegin(), to_[r].rend());
            }
        }
        return list;
    }

    /// In sweeps that all go this way: one more than the groups that an earlier one reads.
    std::size_t sweeps_one_way(const GateNumbers& order) const {
        const GateNumbers place = places(order);
        return 1 + ends_behind_a_root_ + static_cast<std::size_t>(std::ranges::count_if(order, [&](std::uint32_t r) { return std::ranges::any_of(to_[r], [&](std::uint32_t other) { return place[other] < place[r]; }); }));
    }

    /// In sweeps forth and back: one for each stretch of a way, of which there is one more than turns; and where the first stretch goes back,
    /// which is before a turn at a first place, the sweep forth before it.
    std::size_t sweeps_in_turn(const GateNumbers& order) const {
        const GateNumbers place = places(order);
        std::size_t last = 0, first = 0;  // where ways can turn: after all they come from and leave to, or before
        for (const std::uint32_t r : order) {
            last += can_turn(r, [&](std::uint32_t other) { return place[other] < place[r]; });
            first += can_turn(r, [&](std::uint32_t other) { return place[other] > place[r]; });
        }
        return 2 * std::min(last, first) + (first > last) + 2 + ends_behind_a_root_;
    }

    /// The gates, each group's root last.
    GateNumbers gates(const GateNumbers& order) const {
        GateNumbers list;
        for (const std::uint32_t r : order) {
            GateNumbers group{r};  // a reader before what it reads
            for (std::size_t i = 0; i < group.size(); ++i)
                for (const std::uint32_t read : reads_[group[i]])
                    if (root_[read] == r && read != r) group.push_back(read);
            list.insert(list.end(), group.rbegin(), group.rend());
        }
        return list;
    }

private:
    std::vector<GateNumbers> reads_, read_by_;  // of each gate, in the loop
    GateNumbers root_;
    std::vector<GateNumbers> from_, to_;  // of each root, the others that its group reads, and in whose groups it is read
    bool ends_behind_a_root_ = false;  // some way goes on from a root into its own group, which one sweep more takes

    void find_root(std::uint32_t g) {
        GateNumbers way;
        while (root_[g] == none) {
            root_[g] = g;  // it stays so where several read it, or the way comes back to it
            if (read_by_[g].size() != 1) break;
            way.push_back(g);
            g = read_by_[g].front();
        }
        for (const std::uint32_t on_it : way) root_[on_it] = root_[g];
    }

    GateNumbers places(const GateNumbers& order) const {
        GateNumbers place(root_.size(), none);
        for (std::uint32_t i = 0; i < order.size(); ++i) place[order[i]] = i;
        return place;
    }

    /// Whether a way can come from one of these and leave to another.
    template <class OneOfThese>
    bool can_turn(std::uint32_t root, OneOfThese one_of_these) const {
        const auto come = std::ranges::find_if(from_[root], one_of_these), leave = std::ranges::find_if(to_[root], one_of_these);
        if (come == from_[root].end() || leave == to_[root].end()) return false;
        return *come != *leave || std::find_if(come + 1, from_[root].end(), one_of_these) != from_[root].end() || std::find_if(leave + 1, to_[root].end(), one_of_these) != to_[root].end();
    }
};

}  // namespace

LoopSweeps loop_sweeps(const Program& p, const Component& loop) {
    const GateGroups groups(p, loop);
    LoopSweeps best;
    const auto offer = [&](std::size_t sweeps, const GateNumbers& forth, const GateNumbers& back) {
        if (best.most == 0 || sweeps < best.most) best = {groups.gates(forth), groups.gates(back), sweeps};
    };
    for (const GateNumbers& order : {groups.roots(), groups.roots_along_ways()}) {
        offer(groups.sweeps_one_way(order), order, order);
        offer(groups.sweeps_in_turn(order), order, GateNumbers(order.rbegin(), order.rend()));
    }
    for (GateNumbers* const gates : {&best.forth, &best.back})
        for (std::uint32_t& g : *gates) g += loop.first;
    return best;
}

}  // namespace fedfrom::detail
