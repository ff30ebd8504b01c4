#include "load_flow.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace fedfrom::detail {

namespace {

Span hypot(Span a, Span b) { return {std::hypot(a.low, b.low), std::hypot(a.high, b.high)}; }
Span over(Span a, double divisor) { return {a.low / divisor, a.high / divisor}; }

/// Reactive volt-amperes of watts at a power factor.
double reactive(double power_factor) { return std::sqrt(1 - power_factor * power_factor) / power_factor; }

/// The larger, by power and then by current.
const Power& larger(const Power& a, const Power& b) {
    return std::pair(hypot(a.watts, a.vars).high, a.amps.high) < std::pair(hypot(b.watts, b.vars).high, b.amps.high) ? b : a;
}

Power as_current(const Power& p, std::optional<double> volts) { return {.amps = amps_of(p, volts)}; }
Draw as_current(const Draw& d, std::optional<double> volts) {
    return {as_current(d.continuous, volts), as_current(d.five_minutes, volts), as_current(d.five_seconds, volts), as_current(d.inrush, volts)};
}

/// How much of a load counts on average over so many seconds. What draws for longer than five minutes is continuous.
constexpr double five_minutes_s = 300, five_seconds_s = 5;
double part_of(const Load& load, double seconds) {
    if (!load.duty_s || *load.duty_s > five_minutes_s) return 1;
    return std::min(1.0, *load.duty_s / seconds);
}
double continuous_part(const Load& load) { return !load.duty_s || *load.duty_s > five_minutes_s ? 1 : 0; }

}  // namespace

Power Power::at(std::optional<double> volts) const {
    if (!volts || amps.nothing()) return *this;
    return {.watts = watts + amps * Span::exactly(*volts), .vars = vars};
}

Span amps_of(const Power& p, std::optional<double> volts) {
    if (volts) return p.amps + over(hypot(p.watts, p.vars), *volts);
    return p.watts.nothing() && p.vars.nothing() ? p.amps : Span::at_least(p.amps.low);
}

Span volt_amperes_of(const Power& p, std::optional<double> volts) {
    const Power here = p.at(volts);
    const Span known = hypot(here.watts, here.vars);
    return here.amps.nothing() ? known : Span::at_least(known.low);
}

Span watts_of(const Power& p, std::optional<double> volts) {
    const Power here = p.at(volts);
    return here.amps.nothing() ? here.watts : Span::at_least(here.watts.low);
}

Draw& Draw::operator+=(const Draw& o) {
    continuous += o.continuous;
    five_minutes += o.five_minutes;
    five_seconds += o.five_seconds;
    inrush = larger(inrush, o.inrush);
    return *this;
}

void Gaps::add(const Gaps& o) {
    for (const auto member : {&Gaps::loads, &Gaps::efficiencies, &Gaps::ratings, &Gaps::rated_volts, &Gaps::volts, &Gaps::rings, &Gaps::power_factors, &Gaps::floating, &Gaps::several_ports})
        (this->*member).insert((o.*member).begin(), (o.*member).end());
}

LoadFlow::LoadFlow(const LoadGraph& graph, std::string_view condition, const std::set<std::uint32_t>& shed)
    : graph_(graph), c_(graph.compiled()), own_(c_.elements.size()), through_(c_.elements.size()), taken_(c_.elements.size()), devices_(c_.elements.size()) {
    for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
        if (graph_.takes(e) && !shed.contains(e)) own_[e] = own_draw(e, condition);
    for (auto part = graph_.parts().rbegin(); part != graph_.parts().rend(); ++part) pass_up(*part);
}

Draw LoadFlow::own_draw(std::uint32_t e, std::string_view condition) {
    const Element& element = *c_.elements[e].element;
    const Load* load = load_in(element, condition);
    const bool said = load && (load->amps || load->watts || load->volt_amperes);
    if (!said) {
        if (!load && !draws(c_, e)) return {};
        gaps_.loads.insert(e);
        consumed_ += Span::at_least(0);
        return Draw::unknown();
    }
    const auto volts = is_converter(element) ? graph_.volts_in(e) : graph_.volts(e);
    const double factor = load->power_factor.value_or(1);
    if (load->volt_amperes && !load->power_factor && *load->volt_amperes > 0) gaps_.power_factors.insert(e);
    Power p;
    const double va = load->volt_amperes ? *load->volt_amperes : load->watts ? *load->watts / factor : volts ? *load->amps * *volts : 0;
    if (load->amps && !volts) p.amps = Span::exactly(*load->amps);
    p.watts = Span::exactly(va * factor);
    p.vars = Span::exactly(va * factor * reactive(factor));
    if (!volts && va > 0) gaps_.volts.insert(e);
    consumed_ += watts_of(p * Span::exactly(continuous_part(*load)), volts);
    Power inrush;
    if (load->inrush_amps) {
        const Span steady = amps_of(p * Span::exactly(part_of(*load, five_seconds_s)), volts);
        inrush = Power{.amps = {std::max(0.0, *load->inrush_amps - steady.high), std::max(0.0, *load->inrush_amps - steady.low)}}.at(volts);
    }
    return {p * Span::exactly(continuous_part(*load)), p * Span::exactly(part_of(*load, five_minutes_s)), p * Span::exactly(part_of(*load, five_seconds_s)), inrush};
}

/// What a converter takes to give so much.
Power LoadFlow::taken(std::uint32_t e, const Power& given) {
    const Element& element = *c_.elements[e].element;
    if (given.nothing()) return {};
    if (!given.amps.nothing()) gaps_.volts.insert(e);
    const Span out = watts_of(given, graph_.volts(e));
    const auto efficiency = element.rating.find("efficiency"), factor = element.rating.find("power_factor");
    if (efficiency == element.rating.end()) gaps_.efficiencies.insert(e);
    const Span in = efficiency == element.rating.end() ? Span::at_least(out.low) : over(out, efficiency->second);
    if (factor != element.rating.end()) return {.watts = in, .vars = in * Span::exactly(reactive(factor->second))};
    if (element.kind != Kind::inverter) gaps_.power_factors.insert(e);
    return {.watts = in};
}

/// What an element takes from its feeds, all that is drawn from it being known.
Draw LoadFlow::taken(std::uint32_t e) {
    const Element& element = *c_.elements[e].element;
    if (!is_converter(element) || graph_.is_source(e)) {
        through_[e] += own_[e];
        return through_[e];
    }
    const Draw& given = through_[e];
    Draw in{taken(e, given.continuous), taken(e, given.five_minutes), taken(e, given.five_seconds), taken(e, given.inrush)};
    const Span out = watts_of(given.continuous, graph_.volts(e));
    const auto efficiency = element.rating.find("efficiency");
    lost_ += efficiency == element.rating.end() ? (out.nothing() ? Span{} : Span::at_least(0)) : out * Span::exactly(1 / efficiency->second - 1);
    in += own_[e];
    taken_[e] = in;
    return in;
}

void LoadFlow::pass_up(const LoadGraph::Part& part) {
    Draw all;
    for (const std::uint32_t e : part.members) {
        all += taken(e);
        if (part.ring() && is_converter(*c_.elements[e].element)) all += Draw::unknown();  // what goes round in it
    }
    if (part.ring()) divide(part, all);
    for (const LoadGraph::Edge& edge : part.from) along(edge, all * edge.share);
    if (part.from.empty()) delivered_ += watts_of(all.continuous, graph_.volts(part.members.front()));
}

void LoadFlow::along(const LoadGraph::Edge& edge, const Draw& draw) {
    const auto volts = graph_.volts(edge.upstream);
    const Draw here = draw.at(volts);
    if (graph_.part_of(edge.upstream) != graph_.part_of(edge.element)) through_[edge.upstream] += here;
    const FeedInfo& feed = c_.feeds[edge.feed];
    for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) {
        DeviceDraw& device = devices_[c_.devices[d].element];
        if (device.seen && device.alike && device.volts != volts) {
            device.draw = as_current(device.draw, device.volts);
            device.alike = false;
        }
        device.draw += device.alike ? here : as_current(here, volts);
        device.volts = volts;
        device.seen = true;
    }
}

namespace {

/// The figures of a draw but for its inrush, as numbers that can run either way.
using Numbers = std::array<double, 9>;

Numbers numbers(const Draw& d) {
    Numbers n{};
    std::size_t i = 0;
    for (const Power* p : {&d.continuous, &d.five_minutes, &d.five_seconds})
        for (const Span* s : {&p->watts, &p->vars, &p->amps}) n[i++] = s->low;
    return n;
}

Draw draw_of(const Numbers& n, const Power& inrush) {
    Draw d{.inrush = inrush};
    std::size_t i = 0;
    for (Power* p : {&d.continuous, &d.five_minutes, &d.five_seconds})
        for (Span* s : {&p->watts, &p->vars, &p->amps}) *s = Span::exactly(std::abs(n[i++]));
    return d;
}

bool exact(const Draw& d) { return d.continuous.exact() && d.five_minutes.exact() && d.five_seconds.exact(); }

/// Anything from what is sure to all there is.
Draw between(const Draw& low, const Draw& high) {
    Draw d = high;
    const auto widen = [](Power& p, const Power& least) { p.watts.low = least.watts.low, p.vars.low = least.vars.low, p.amps.low = least.amps.low; };
    widen(d.continuous, low.continuous);
    widen(d.five_minutes, low.five_minutes);
    widen(d.five_seconds, low.five_seconds);
    widen(d.inrush, {});
    return d;
}

}  // namespace

/// What flows between the members of a ring. Where one connection alone joins two sides of it, what it carries is what
/// the one side has too much; what stands in a closed ring of connections divides as their resistances say, which nobody wrote.
void LoadFlow::divide(const LoadGraph::Part& ring, const Draw& all) {
    const auto place = [&](std::uint32_t e) { return static_cast<std::size_t>(std::ranges::lower_bound(ring.members, e) - ring.members.begin()); };
    const std::size_t n = ring.members.size();
    std::vector<Numbers> surplus(n), in(n);
    const bool entered = !ring.from.empty() && std::ranges::none_of(ring.members, [&](std::uint32_t e) { return is_converter(*c_.elements[e].element); });
    bool known = entered;
    for (const std::uint32_t e : ring.members) {
        const Draw& drawn = through_[e];
        known = known && exact(drawn);
        for (std::size_t i = 0; i < 9; ++i) surplus[place(e)][i] = -numbers(drawn)[i];
    }
    for (const LoadGraph::Edge& edge : ring.from) {
        const Draw share = all * edge.share;
        known = known && exact(share);
        const Numbers figures = numbers(share);
        for (std::size_t i = 0; i < 9; ++i) {
            surplus[place(edge.element)][i] += figures[i];
            in[place(edge.element)][i] += figures[i];
        }
    }
    std::vector<std::vector<std::size_t>> at(n);  // connections not yet known, by member
    for (std::size_t w = 0; w < ring.within.size(); ++w) {
        at[place(ring.within[w].element)].push_back(w);
        at[place(ring.within[w].upstream)].push_back(w);
    }
    std::vector<std::size_t> ends;
    for (std::size_t m = 0; known && m < n; ++m)
        if (at[m].size() == 1) ends.push_back(m);
    while (!ends.empty()) {
        const std::size_t m = ends.back();
        ends.pop_back();
        if (at[m].empty()) continue;
        const std::size_t w = at[m].front();
        const LoadGraph::Edge& edge = ring.within[w];
        const std::size_t other = place(edge.element) == m ? place(edge.upstream) : place(edge.element);
        along(edge, draw_of(surplus[m], all.inrush));
        for (std::size_t i = 0; i < 9; ++i) {
            (surplus[m][i] > 0 ? in[other][i] : in[m][i]) += std::abs(surplus[m][i]);
            surplus[other][i] += surplus[m][i];
        }
        at[m].clear();
        std::erase(at[other], w);
        if (at[other].size() == 1) ends.push_back(other);
    }
    std::vector<bool> done(ring.within.size());
    for (std::size_t m = 0; m < n; ++m) {
        if (at[m].empty()) {
            through_[ring.members[m]] = draw_of(in[m], all.inrush);
            continue;
        }
        through_[ring.members[m]] = between(through_[ring.members[m]], all);
        if (!all.nothing() && known == entered) gaps_.rings.insert(ring.members[m]);  // else it is the loads that are not known
        for (const std::size_t w : at[m]) {
            if (!done[w]) along(ring.within[w], between({}, all));
            done[w] = true;
        }
    }
}

}  // namespace fedfrom::detail
