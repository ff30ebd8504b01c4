// Why something is not supplied: what is wrong with itself, then every way in and what blocks it.
#include <algorithm>

#include "explain.hpp"
#include "words.hpp"

namespace fedfrom::detail {

bool Explainer::is_a_way(std::uint32_t demand, std::uint32_t f) {
    const FeedInfo& feed = c_.feeds[f];
    if (feed.origin != FeedInfo::Origin::backwards) return true;
    const View& view = picture(demand).view;
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
        const std::uint32_t e = c_.devices[d].element;
        if (is_one_way(*info(e).element) && !view.failed(e, "short")) return false;
    }
    return true;
}

bool Explainer::in_fault(std::uint32_t demand, std::uint32_t e, std::uint32_t medium) {
    for (std::uint32_t z = info(e).zones.first; z < info(e).zones.last; ++z)
        if (c_.zones[z].medium == medium && picture(demand).view.truth(c_.zones[z].variable) != std::optional(false)) return true;
    return false;
}

/// Nothing on the way blocks.
bool Explainer::clear(std::uint32_t demand, std::uint32_t f) {
    const FeedInfo& feed = c_.feeds[f];
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d)
        if (!picture(demand).view.surely(c_.devices[d].passes) || in_fault(demand, c_.devices[d].element, c_.ports[feed.port].medium)) return false;
    return true;
}

/// The one feed whose upstream being dead is all there is to say of `e`; none where there is more.
std::uint32_t Explainer::only_way(std::uint32_t demand, std::uint32_t e) {
    const ElementInfo& it = info(e);
    if (it.ports.size() != 1 || !it.fitted || picture(demand).view.status(e) != Status::unsupplied) return none;
    if (it.element->needs && !picture(demand).view.surely(it.needs)) return none;
    std::uint32_t only = none;
    for (std::uint32_t f = c_.ports[it.ports.first].feeds.first; f < c_.ports[it.ports.first].feeds.last; ++f) {
        if (!is_a_way(demand, f)) continue;
        if (only != none) return none;
        only = f;
    }
    return only != none && clear(demand, only) ? only : none;
}

std::string Explainer::way(std::uint32_t demand, std::uint32_t f) {
    const FeedInfo& feed = c_.feeds[f];
    std::string text = called(info(feed.upstream));
    if (feed.origin == FeedInfo::Origin::tie) {
        const TieInfo& tie = c_.ties[feed.tie];
        text += " over the tie " + (tie.tie->name.empty() ? *tie.id : tie.tie->name + " (" + *tie.id + ")");
    }
    if (feed.origin == FeedInfo::Origin::backwards) text += " backwards";
    std::vector<std::string> devices;
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
        const DeviceAt& device = c_.devices[d];
        const ElementInfo& it = info(device.element);
        const auto passes = picture(demand).view.truth(device.passes);
        const std::string at = it.positions.empty() ? "" : " at " + where(demand, device.element);
        devices.push_back(called(it) + at + (!passes ? " (unknown)" : *passes ? " (passes)" : " (blocks)"));
    }
    if (!devices.empty()) text += " through " + listed(devices);
    return text;
}

std::string Explainer::not_supplied(const Task& task) {
    const std::string name = called(info(task.index));
    switch (picture(task.demand).view.status(task.index)) {
        case Status::supplied: return name + " is supplied";
        case Status::off: return name + " is off";
        case Status::failed: return name + " has failed";
        case Status::dragged_down: return name + " is dragged down";
        case Status::spent: return name + " is empty";
        case Status::overloaded: return name + " is overloaded";
        case Status::starting: return name + " has not started yet";
        case Status::not_fitted: return name + " is not fitted";
        case Status::unknown:
            if (picture(task.demand).view.truth(info(task.index).supplied)) break;  // only what keeps it so is unknown
            return "Whether " + name + " is supplied is unknown";
        case Status::unsupplied: break;
    }
    return name + " is not supplied";
}

Explainer::Tasks Explainer::reasons(const Task& task) {
    const std::uint32_t e = task.index, demand = task.demand;
    const ElementInfo& it = info(e);
    const View& view = picture(demand).view;
    Tasks under;
    if (picture(demand).hunting.contains(e) && it.holding) {
        root(RootCause::Kind::hunting, *it.id, "", called(it) + " never comes to rest");
        under.push_back({.index = e, .role = Role::root, .text = "It takes hold and lets go without end, so what hangs on it is unknown."});
    }
    if (it.element->needs && !view.surely(it.needs)) {
        under.push_back({.index = e, .text = std::string("What it needs ") + (view.truth(it.needs) ? "does not hold, because:" : "is not known to hold, because:")});
        under.push_back({.what = Task::What::condition, .condition = &*it.element->needs, .value = false, .depth = 1});
    }
    // What is dragged down would be supplied but for the fault, so its ports have nothing to add.
    if (view.status(e) == Status::dragged_down) return under;
    for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p)
        if (!view.surely(c_.ports[p].supplied)) under.push_back({.what = Task::What::port, .index = p});
    return under;
}

void Explainer::supply(const Task& task) {
    const std::uint32_t e = task.index, demand = task.demand;
    const ElementInfo& it = info(e);
    const View& view = picture(demand).view;
    const std::string fact = not_supplied(task);
    if (!it.fitted) return write(task, Role::statement, *it.id, fact + ".");
    if (everything_unknown(task)) return;

    std::vector<std::string> own;  // what is wrong with itself
    for (std::uint32_t f = it.failures.first; f < it.failures.last; ++f) {
        const std::string& mode = c_.failures[f].mode;
        const bool counts = mode == "loss" || std::any_of(c_.zones.begin() + it.zones.first, c_.zones.begin() + it.zones.last,
                                                          [&](const ZoneInfo& z) { return z.seed == Literal::of(c_.failures[f].variable); });
        if (!counts || !view.failed(e, mode)) continue;
        own.push_back(mode);
        failure_root(e, mode);
    }
    std::string text = fact;
    if (!own.empty()) {
        text += (view.status(e) == Status::failed ? ": " : " and has failed: ") + listed(own);
    } else if (const auto seeds = faults(demand).behind(e); !seeds.empty() && view.truth(it.supplied)) {
        std::vector<std::string> by;
        for (const std::uint32_t z : seeds) {
            by.push_back(by_fault(z));
            fault_root(z);
        }
        text += " by " + listed(by, " or ");
        own.push_back({});
    }
    if (it.empty && view.truth(it.empty).value_or(false)) {
        root(RootCause::Kind::empty, *it.id, "", called(it) + " empty");
        const std::uint32_t leak = faults(demand).emptied_by(e);
        if (leak != none) {
            text += ", drained by " + by_fault(leak);
            fault_root(leak);
        }
        own.push_back({});
    }

    if (it.overloaded && view.truth(it.overloaded).value_or(false)) {
        root(RootCause::Kind::overloaded, *it.id, "", called(it) + " overloaded");
        own.push_back({});
    }
    if (it.starting && view.truth(it.starting).value_or(false)) {
        root(RootCause::Kind::starting, *it.id, "", called(it) + " not started yet");
        own.push_back({});
    }

    Tasks under = reasons(task);
    if (under.empty()) return write(task, own.empty() ? Role::statement : Role::root, *it.id, text + ".");
    if (!open(task, Task::What::supply, *it.id, fact)) return;

    const std::uint32_t first = own.empty() ? only_way(demand, e) : none;
    if (first == none) {
        write(task, own.empty() ? Role::statement : Role::root, *it.id, text + (own.empty() ? ":" : "; and besides:"));
        return put(task, std::move(under));
    }
    // A chain with one way in at every link.
    std::vector<std::string> chain{way(demand, first)};
    std::size_t left_out = 0;
    std::uint32_t next = c_.feeds[first].upstream;
    std::vector<std::uint64_t>& opened = stack_.back().open;  // of the `close` that open() put there
    for (std::uint32_t f = only_way(demand, next); f != none; f = only_way(demand, next)) {
        if (!marks_.try_emplace(key(task, Task::What::supply, next), Mark{Seen::open, task.section}).second) break;
        opened.push_back(key(task, Task::What::supply, next));
        next = c_.feeds[f].upstream;
        if (chain.size() < 6) chain.push_back(way(demand, f));
        else ++left_out, chain.back() = way(demand, f);
    }
    if (left_out) chain[4] = std::to_string(left_out + 1) + " more in turn";
    text += chain.size() == 1 ? ": its only way in is from " + chain.front() + "." : ": it hangs on " + listed(chain) + ", one behind the other.";
    write(task, Role::statement, *it.id, std::move(text));
    put(task, {{.what = Task::What::supply, .index = next}});
}

void Explainer::port(const Task& task) {
    const PortInfo& p = c_.ports[task.index];
    const View& view = picture(task.demand).view;
    Tasks under;
    std::size_t live = 0, unsure = 0;
    for (std::uint32_t f = p.feeds.first; f < p.feeds.last; ++f) {
        if (!is_a_way(task.demand, f)) continue;
        under.push_back({.what = Task::What::feed, .index = f});
        const auto truth = view.truth(c_.feeds[f].live);
        live += truth.value_or(false);
        unsure += !truth;
    }
    const std::string& id = *info(p.element).id;
    std::string text = "Its " + p.name + " port ";
    if (under.empty()) return write(task, Role::statement, id, text + "has no way in: nothing that is fitted feeds it.");
    const std::string ways = std::to_string(under.size());
    if (p.join == Port::Join::at_least) text += "needs " + std::to_string(p.count) + " of " + ways + " ways in, of which " + std::to_string(live) + (live == 1 ? " is" : " are") + " live";
    else if (under.size() == 1) {
        const std::uint32_t only = under.front().index;
        write(task, Role::alternative, id, text + "has one way in, " + (unsure ? "and whether it is live is unknown: " : "") + "from " + way(task.demand, only) + ":");
        return put(task, blocked(task.demand, only));
    } else text += "has " + ways + " ways in, " + (unsure ? "none surely live" : "none live");
    write(task, Role::statement, id, text + ":");
    put(task, std::move(under));
}

void Explainer::feed(const Task& task) {
    const FeedInfo& feed = c_.feeds[task.index];
    const bool live = picture(task.demand).view.surely(feed.live);
    write(task, Role::alternative, *info(feed.upstream).id, "from " + way(task.demand, task.index) + (live ? ": live." : ""));
    if (!live) put(task, blocked(task.demand, task.index));
}

/// Every device that does not surely pass, and the upstream if it is not surely supplied.
Explainer::Tasks Explainer::blocked(std::uint32_t demand, std::uint32_t f) {
    const FeedInfo& feed = c_.feeds[f];
    const std::uint32_t medium = c_.ports[feed.port].medium;
    const View& view = picture(demand).view;
    Tasks under;
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
        const DeviceAt& device = c_.devices[d];
        if (!view.surely(device.passes)) under.push_back({.what = Task::What::block, .index = device.element, .positions = device.positions});
        else if (in_fault(demand, device.element, medium)) {
            std::vector<std::string> by;
            for (const std::uint32_t z : faults(demand).behind(device.element)) {
                fault_root(z);
                by.push_back(by_fault(z));
            }
            under.push_back({.index = device.element, .role = Role::root, .text = called(info(device.element)) + " is in the fault: " + listed(by, " or ") + "."});
        }
    }
    if (!view.surely(info(feed.upstream).supplied)) under.push_back({.what = Task::What::supply, .index = feed.upstream});
    return under;
}

}  // namespace fedfrom::detail
