#include "flow.hpp"

#include <algorithm>
#include <iterator>
#include <unordered_map>
#include <unordered_set>

#include <fedfrom/solve/spread.hpp>

namespace fedfrom::detail {

std::vector<std::uint32_t> Flow::in_use(std::uint32_t port) {
    const PortInfo& p = c_.ports[port];
    std::vector<std::uint32_t> live;
    for (std::uint32_t f = p.feeds.first; f < p.feeds.last; ++f)
        if (reads(c_.feeds[f].live)) live.push_back(f);
    if (p.join != Port::Join::priority || live.size() < 2) return live;
    for (const std::uint32_t f : live)
        if (any(live_without_itself<One>(c_, evaluator_, values_, scratch_, f))) return {f};
    return {live.front()};  // it holds itself in
}

bool Flow::is_named(std::uint32_t e) const {
    const Kind kind = c_.elements[e].element->kind;
    return c_.elements[e].ports.size() == 0 || kind == Kind::generator || kind == Kind::starter_generator || kind == Kind::alternator;
}

std::vector<std::uint32_t> Flow::upstreams(std::uint32_t e) {
    std::vector<std::uint32_t> list;
    if (!supplied(e) || is_named(e)) return list;
    for (std::uint32_t p = c_.elements[e].ports.first; p < c_.elements[e].ports.last; ++p)
        for (const std::uint32_t f : in_use(p)) list.push_back(c_.feeds[f].upstream);
    return list;
}

const std::vector<std::uint32_t>& Flow::sources(std::uint32_t e) {
    if (sets_.empty()) sets_.resize(c_.elements.size());
    if (!sets_[e]) find(e);
    return *sets_[e];
}

void Flow::find(std::uint32_t root) {
    struct Frame {
        std::uint32_t element;
        std::vector<std::uint32_t> upstream;
        std::size_t next = 0;
    };
    struct Mark {
        std::uint32_t number, low;
    };
    std::unordered_map<std::uint32_t, Mark> marks;
    std::vector<Frame> path;
    std::vector<std::uint32_t> open;
    const auto enter = [&](std::uint32_t e) {
        const auto number = static_cast<std::uint32_t>(marks.size());
        marks[e] = {number, number};
        open.push_back(e);
        path.push_back({e, upstreams(e)});
    };
    enter(root);
    while (!path.empty()) {
        Frame& frame = path.back();
        if (frame.next < frame.upstream.size()) {
            const std::uint32_t u = frame.upstream[frame.next++];
            if (sets_[u]) continue;
            if (const auto it = marks.find(u); it != marks.end())
                marks[frame.element].low = std::min(marks[frame.element].low, it->second.number);
            else
                enter(u);
            continue;
        }
        const std::uint32_t e = frame.element;
        const Mark mark = marks[e];
        path.pop_back();
        if (!path.empty()) marks[path.back().element].low = std::min(marks[path.back().element].low, mark.low);
        if (mark.low != mark.number) continue;
        const auto first = std::ranges::find(open.rbegin(), open.rend(), e).base() - 1;
        const std::vector<std::uint32_t> members(first, open.end());
        open.erase(first, open.end());
        close(members);
    }
}

/// The set of a strongly connected part, everything upstream of it being known.
void Flow::close(const std::vector<std::uint32_t>& members) {
    std::vector<Set> outside;
    for (const std::uint32_t e : members)
        for (const std::uint32_t u : upstreams(e))
            if (sets_[u] && std::ranges::find(outside, sets_[u]) == outside.end()) outside.push_back(sets_[u]);
    std::vector<std::uint32_t> all;
    for (const Set& s : outside) {
        std::vector<std::uint32_t> joined;
        std::ranges::set_union(all, *s, std::back_inserter(joined));
        all = std::move(joined);
    }
    if (outside.empty()) all = members.size() == 1 ? alone(members.front()) : all_behind(members);
    const auto same = std::ranges::find_if(outside, [&](const Set& s) { return *s == all; });
    const Set set = same != outside.end() ? *same : std::make_shared<const std::vector<std::uint32_t>>(std::move(all));
    for (const std::uint32_t e : members) sets_[e] = set;
}

std::vector<std::uint32_t> Flow::alone(std::uint32_t e) const {
    if (supplied(e) && (is_named(e) || c_.elements[e].holding)) return {e};
    return {};
}

/// Each says it lives on the other: every source that any live feed leads back to.
std::vector<std::uint32_t> Flow::all_behind(const std::vector<std::uint32_t>& members) const {
    std::unordered_set<std::uint32_t> seen(members.begin(), members.end());
    std::vector<std::uint32_t> todo = members, found;
    while (!todo.empty()) {
        const std::uint32_t e = todo.back();
        todo.pop_back();
        const ElementInfo& info = c_.elements[e];
        if (is_named(e) || info.holding) found.push_back(e);
        if (is_named(e)) continue;
        for (std::uint32_t f = c_.ports[info.ports.first].feeds.first; f < c_.ports[info.ports.last - 1].feeds.last; ++f)
            if (reads(c_.feeds[f].live) && seen.insert(c_.feeds[f].upstream).second) todo.push_back(c_.feeds[f].upstream);
    }
    std::ranges::sort(found);
    return found;
}

}  // namespace fedfrom::detail
