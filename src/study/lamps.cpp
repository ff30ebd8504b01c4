#include "lamps.hpp"

#include <algorithm>
#include <vector>

namespace fedfrom::detail {
namespace {

/// A condition that always holds, or one and its opposite.
bool always_reads(const std::vector<Show>& shows) {
    return std::ranges::any_of(shows, [&](const Show& show) {
        const auto opposite = [&](const Show& other) { return show.when == not_(other.when); };
        return (show.when.op == Condition::Op::all && show.when.of.empty()) || std::ranges::any_of(shows, opposite);
    });
}

bool reads_only(const Condition& x, const std::vector<std::string>& ids) {
    const auto inside = [&](const Condition& of) { return reads_only(of, ids); };
    return x.id.empty() ? std::ranges::all_of(x.of, inside) : std::ranges::find(ids, x.id) != ids.end();
}

}  // namespace

bool shows_as_nothing(const Element& e) {
    if (e.kind != Kind::light && e.kind != Kind::annunciator) return false;
    std::vector<std::string> own;
    for (const auto& [name, port] : e.inputs)
        for (const Feed& feed : port.feeds)
            for (const auto& [device, at] : feed.via) own.push_back(device);
    const auto reads_more = [&](const Show& show) { return !reads_only(show.when, own); };
    return !always_reads(e.shows) && std::ranges::any_of(e.shows, reads_more);
}

std::string seen_as(const Element& e, std::string text) {
    return text.empty() && e.unpowered != stays && shows_as_nothing(e) ? e.unpowered : std::move(text);
}

std::optional<std::string> seen(const Outcome& out, ElementHandle element) {
    std::optional<std::string> shown = out.shown(element);
    if (shown) shown = seen_as(*out.network().compiled().elements[element.index].element, std::move(*shown));
    return shown;
}

}  // namespace fedfrom::detail
