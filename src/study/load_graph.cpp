#include <algorithm>
#include <iterator>
#include <map>

#include "load_flow.hpp"

namespace fedfrom::detail {

namespace {

bool is_electrical(const Compiled& c, const PortInfo& p) { return p.medium != none && c.media[p.medium] == "electrical"; }
bool is_control(const PortInfo& p) { return p.name == "control" || p.name == "field"; }

/// Volt-amperes (or amperes) its author rates it at.
std::optional<double> rated(const Element& e, bool in_amps) {
    const auto figure = [&](std::string_view name) {
        const auto found = e.rating.find(name);
        return found == e.rating.end() ? std::nullopt : std::optional(found->second);
    };
    if (in_amps) return figure("amps");
    if (const auto va = figure("volt_amperes")) return va;
    if (const auto amps = figure("amps"), volts = figure("volts"); amps && volts) return *amps * *volts;
    return figure("watts");
}

}  // namespace

bool is_converter(const Element& e) {
    return e.kind == Kind::inverter || e.kind == Kind::transformer_rectifier || e.kind == Kind::charger || e.rating.contains("efficiency");
}

bool is_machine(const Element& e) {
    return row(e.kind).source || e.kind == Kind::generator || e.kind == Kind::starter_generator || e.kind == Kind::alternator;
}

std::uint32_t load_port(const Compiled& c, std::uint32_t e) {
    const auto rank = [](const PortInfo& p) { return p.name == "power" ? 0 : p.name == "control" ? 2 : p.name == "field" ? 3 : 1; };
    std::uint32_t best = none;
    for (std::uint32_t p = c.elements[e].ports.first; p < c.elements[e].ports.last; ++p)
        if (is_electrical(c, c.ports[p]) && (best == none || rank(c.ports[p]) < rank(c.ports[best]))) best = p;
    return best;
}

const Load* load_in(const Element& e, std::string_view condition) {
    auto found = e.loads.find(condition);
    if (found == e.loads.end()) found = e.loads.find(other_conditions);
    return found == e.loads.end() ? nullptr : &found->second;
}

bool draws(const Compiled& c, std::uint32_t e) {
    const Element& element = *c.elements[e].element;
    if (!c.elements[e].fitted || row(element.kind).conductor || is_machine(element)) return false;
    if (is_converter(element) && element.kind != Kind::charger) return false;
    return load_port(c, e) != none;
}

LoadGraph::LoadGraph(const View& view, std::size_t world, Floating floating) : c_(view.compiled()), flow_(view, world), floating_(floating), edges_(c_.elements.size()), part_(c_.elements.size(), none), volts_(c_.elements.size()), volts_in_(c_.elements.size()), sources_(c_.elements.size()) {
    for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
        const std::uint32_t port = load_port(c_, e);
        if (port == none || !takes(e) || is_machine(*c_.elements[e].element)) continue;
        for (const std::uint32_t f : flow_.in_use(port)) edges_[e].push_back({f, c_.feeds[f].upstream, e});
        const auto ports = std::ranges::count_if(c_.ports.begin() + c_.elements[e].ports.first, c_.ports.begin() + c_.elements[e].ports.last,
                                                 [&](const PortInfo& p) { return is_electrical(c_, p) && !is_control(p); });
        if (ports > 1) gaps_.several_ports.insert(e);
    }
    find_parts();
}

/// Strongly connected parts of the feeds in use, those upstream first (Tarjan, with a stack of its own).
void LoadGraph::find_parts() {
    struct Frame {
        std::uint32_t element;
        std::size_t next = 0;
    };
    std::vector<std::uint32_t> number(c_.elements.size(), none), low(c_.elements.size(), none), open;
    std::vector<Frame> path;
    std::uint32_t count = 0;
    const auto enter = [&](std::uint32_t e) {
        number[e] = low[e] = count++;
        open.push_back(e);
        path.push_back({e});
    };
    for (std::uint32_t root = 0; root < c_.elements.size(); ++root) {
        if (number[root] != none) continue;
        enter(root);
        while (!path.empty()) {
            Frame& frame = path.back();
            const std::uint32_t e = frame.element;
            if (frame.next < edges_[e].size()) {
                const std::uint32_t u = edges_[e][frame.next++].upstream;
                if (number[u] == none) enter(u);
                else if (part_[u] == none) low[e] = std::min(low[e], number[u]);
                continue;
            }
            path.pop_back();
            if (!path.empty()) low[path.back().element] = std::min(low[path.back().element], low[e]);
            if (low[e] != number[e]) continue;
            const auto first = std::ranges::find(open.rbegin(), open.rend(), e).base() - 1;
            std::vector<std::uint32_t> members(first, open.end());
            open.erase(first, open.end());
            std::ranges::sort(members);
            close(std::move(members));
        }
    }
}

void LoadGraph::close(std::vector<std::uint32_t> members) {
    const auto index = static_cast<std::uint32_t>(parts_.size());
    for (const std::uint32_t e : members) part_[e] = index;
    Part part{.members = std::move(members)};
    std::set<std::uint32_t> ties;
    for (const std::uint32_t e : part.members)
        for (const Edge& edge : edges_[e]) {
            const std::uint32_t tie = c_.feeds[edge.feed].tie;
            if (edge.upstream == e) continue;  // it holds itself in
            if (part_[edge.upstream] != index) part.from.push_back(edge);
            else if (tie == none || ties.insert(tie).second) part.within.push_back(edge);
        }
    share(part);
    voltages(part);
    std::vector<std::uint32_t> behind;
    if (part.from.empty() || (part.members.size() == 1 && is_converter(*c_.elements[part.members.front()].element))) {
        behind = part.members;
    } else {
        for (const Edge& edge : part.from) {
            std::vector<std::uint32_t> joined;
            std::ranges::set_union(behind, *sources_[edge.upstream], std::back_inserter(joined));
            behind = std::move(joined);
        }
    }
    const auto same = std::ranges::find_if(part.from, [&](const Edge& edge) { return *sources_[edge.upstream] == behind; });
    const Sources sources = same != part.from.end() ? sources_[same->upstream] : std::make_shared<const std::vector<std::uint32_t>>(std::move(behind));
    for (const std::uint32_t e : part.members) sources_[e] = sources;
    parts_.push_back(std::move(part));
}

/// By the ratings of the sources behind each feed. A battery beside another source floats.
void LoadGraph::share(Part& part) {
    const auto only_batteries = [&](const Edge& edge) {
        return std::ranges::all_of(*sources_[edge.upstream], [&](std::uint32_t s) { return c_.elements[s].element->kind == Kind::battery; });
    };
    const bool batteries_alone = std::ranges::all_of(part.from, only_batteries);
    std::vector<Edge*> carrying;
    for (Edge& edge : part.from) {
        edge.floats = !batteries_alone && only_batteries(edge);
        if (edge.floats) gaps_.floating.insert(sources_[edge.upstream]->begin(), sources_[edge.upstream]->end());
        if (edge.floats && floating_ == Floating::carries_nothing) edge.share = Span::exactly(0);
        else carrying.push_back(&edge);
    }
    if (carrying.size() < 2) return;
    for (const bool in_amps : {false, true}) {
        std::vector<double> weights;
        for (const Edge* edge : carrying) {
            double weight = 0;
            for (const std::uint32_t s : *sources_[edge->upstream]) {
                const auto rating = rated(*c_.elements[s].element, in_amps);
                weight = rating && *rating > 0 ? weight + *rating : std::numeric_limits<double>::quiet_NaN();
            }
            if (weight > 0) weights.push_back(weight);
        }
        if (weights.size() != carrying.size()) continue;
        double all = 0;
        for (const double w : weights) all += w;
        for (std::size_t i = 0; i < carrying.size(); ++i) carrying[i]->share = Span::exactly(weights[i] / all);
        return;
    }
    bool not_in_amps = false;
    std::set<std::uint32_t> without_volts;
    for (Edge* edge : carrying) {
        edge->share = {0, 1};
        for (const std::uint32_t s : *sources_[edge->upstream]) {
            const bool in_amps = rated(*c_.elements[s].element, true).has_value(), in_va = rated(*c_.elements[s].element, false).has_value();
            if (!in_amps && !in_va) gaps_.ratings.insert(s);
            if (in_amps && !in_va) without_volts.insert(s);
            not_in_amps = not_in_amps || (in_va && !in_amps);
        }
    }
    if (not_in_amps) gaps_.rated_volts.merge(without_volts);
}

void LoadGraph::voltages(const Part& part) {
    std::optional<double> in;
    bool alike = true;
    for (const Edge& edge : part.from) {
        if (edge.floats) continue;
        const auto volts = volts_[edge.upstream];
        if (!volts || (in && *in != *volts)) alike = false;
        in = volts;
    }
    if (!alike) in.reset();
    for (const std::uint32_t e : part.members) {
        const Element& element = *c_.elements[e].element;
        const auto own = element.rating.find("volts");
        if (own != element.rating.end() && own->second > 0) volts_[e] = own->second;
        else if (!is_converter(element)) volts_[e] = in;
        volts_in_[e] = part.from.empty() ? volts_[e] : in;
    }
}

bool LoadGraph::shares() const {
    return std::ranges::any_of(parts_, [](const Part& part) { return std::ranges::count_if(part.from, [](const Edge& e) { return !e.share.nothing(); }) > 1; });
}

std::set<std::uint32_t> LoadGraph::upstream_of(std::uint32_t e) const {
    std::set<std::uint32_t> seen{e};
    std::vector<std::uint32_t> todo{e};
    while (!todo.empty()) {
        const std::uint32_t here = todo.back();
        todo.pop_back();
        for (const std::uint32_t m : parts_[part_[here]].members)
            if (seen.insert(m).second) todo.push_back(m);
        for (const Edge& edge : parts_[part_[here]].from)
            if (!edge.share.nothing() && seen.insert(edge.upstream).second) todo.push_back(edge.upstream);
    }
    return seen;
}

}  // namespace fedfrom::detail
