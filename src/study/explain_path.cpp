// On what something lives: the path in use, consumer to source, and what stands behind it.
#include <algorithm>

#include "explain.hpp"
#include "words.hpp"

namespace fedfrom::detail {

std::string Explainer::stands_behind(std::uint32_t demand, std::uint32_t f) {
    const FeedInfo& feed = c_.feeds[f];
    const View& view = picture(demand).view;
    const auto live = view.truth(feed.live);
    if (live.value_or(false)) return "live";
    std::vector<std::string> blocks;
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
        const auto passes = view.truth(c_.devices[d].passes);
        if (passes.value_or(false)) continue;
        blocks.push_back(called(info(c_.devices[d].element)) + (passes ? " blocks" : " is unknown"));
    }
    const auto supplied = view.truth(info(feed.upstream).supplied);
    if (!supplied.value_or(false)) blocks.push_back(called(info(feed.upstream)) + (supplied ? " is not supplied" : " is unknown"));
    if (blocks.empty()) blocks.push_back("a fault lies on it");
    return (live ? "not live: " : "unknown: ") + listed(blocks);
}

void Explainer::path(const Task& task) {
    const std::uint32_t demand = task.demand;
    const View& view = picture(demand).view;
    const ElementInfo& it = info(task.index);
    if (!view.surely(it.supplied)) return supply(task);
    std::string fact = called(it) + " is supplied";
    if (it.ports.size() == 0) return write(task, Role::in_use, *it.id, called(it) + " is a source.");
    if (!open(task, Task::What::path, *it.id, fact)) return;
    std::vector<std::uint64_t>& opened = stack_.back().open;
    Flow& flow = this->flow(demand);
    const bool sure = view.worlds().values.size() == 1;

    // A chain with one way in at every link is one line.
    const auto only = [&](std::uint32_t e) {
        const ElementInfo& link = info(e);
        if (link.ports.size() != 1) return none;
        std::uint32_t found = none;
        for (std::uint32_t f = c_.ports[link.ports.first].feeds.first; f < c_.ports[link.ports.first].feeds.last; ++f) {
            if (!is_a_way(demand, f)) continue;
            if (found != none) return none;
            found = f;
        }
        return found;
    };
    if (const std::uint32_t first = only(task.index); first != none) {
        std::vector<std::string> chain{way(demand, first)};
        std::size_t left_out = 0;
        std::uint32_t next = c_.feeds[first].upstream;
        for (std::uint32_t f = only(next); f != none; f = only(next)) {
            if (!marks_.try_emplace(key(task, Task::What::path, next), Mark{Seen::open, task.section}).second) break;
            opened.push_back(key(task, Task::What::path, next));
            next = c_.feeds[f].upstream;
            if (chain.size() < 6) chain.push_back(way(demand, f));
            else ++left_out, chain.back() = way(demand, f);
        }
        if (left_out) chain[4] = std::to_string(left_out + 1) + " more in turn";
        const std::string& port = c_.ports[it.ports.first].name;
        write(task, Role::in_use, *it.id, fact + ": " + port + " from " + listed(chain) + (chain.size() > 1 ? ", one behind the other; no other way in." : "; no other way in."));
        return put(task, {{.what = Task::What::path, .index = next}});
    }
    write(task, Role::in_use, *it.id, fact + ":");
    Tasks under;
    for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p) {
        const PortInfo& port = c_.ports[p];
        const std::vector<std::uint32_t> used = flow.in_use(p);
        for (const std::uint32_t f : used) {
            const std::string what = sure ? "" : view.truth(c_.feeds[f].live).value_or(false) ? "" : " (unknown whether it stays so)";
            under.push_back({.index = c_.feeds[f].upstream, .role = Role::in_use, .text = port.name + " from " + way(demand, f) + what + "."});
        }
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f)
            if (is_a_way(demand, f) && std::ranges::find(used, f) == used.end())
                under.push_back({.index = c_.feeds[f].upstream, .role = Role::behind, .text = "behind it " + way(demand, f) + ": " + stands_behind(demand, f) + "."});
        for (const std::uint32_t f : used) under.push_back({.what = Task::What::path, .index = c_.feeds[f].upstream});
    }
    put(task, std::move(under));
}

}  // namespace fedfrom::detail
