#include <fedfrom/study/load_sheet.hpp>

#include <algorithm>
#include <array>
#include <set>

#include <fedfrom/study/wire.hpp>

#include "copies.hpp"
#include "figures.hpp"
#include "load_flow.hpp"
#include "words.hpp"

namespace fedfrom {

std::string_view name_of(LoadRole role) {
    constexpr std::array<std::string_view, 5> names{"source", "converter", "bus", "device", "load"};
    return names[static_cast<std::size_t>(role)];
}

std::string_view name_of(Overload overload) {
    constexpr std::array<std::string_view, 4> names{"no", "possible", "yes", "no_rating"};
    return names[static_cast<std::size_t>(overload)];
}

std::string_view name_of(LoadFinding::What what) {
    constexpr std::array<std::string_view, 6> names{"overload", "possible_overload", "short_overload", "eighty_percent", "wire", "voltage_drop"};
    return names[static_cast<std::size_t>(what)];
}

namespace {

using namespace detail;

/// What a sheet has a line for, and as what.
std::vector<std::optional<LoadRole>> roles_in(const Compiled& c) {
    std::vector<std::optional<LoadRole>> roles(c.elements.size());
    std::vector<bool> feeds(c.elements.size());
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const std::uint32_t port = load_port(c, e);
        if (port == none || !c.elements[e].fitted) continue;
        for (std::uint32_t f = c.ports[port].feeds.first; f < c.ports[port].feeds.last; ++f) {
            if (!is_machine(*c.elements[e].element)) feeds[c.feeds[f].upstream] = true;
            for (std::uint32_t d = c.feeds[f].devices.first; d < c.feeds[f].devices.last; ++d) roles[c.devices[d].element] = LoadRole::device;
        }
    }
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const Element& element = *c.elements[e].element;
        const bool draws_on = load_port(c, e) != none && !is_machine(element);
        if (!c.elements[e].fitted || (!feeds[e] && !draws_on)) continue;
        if (!draws_on) roles[e] = LoadRole::source;
        else if (is_converter(element)) roles[e] = LoadRole::converter;
        else if (row(element.kind).conductor) roles[e] = LoadRole::bus;
        else if (roles[e] != LoadRole::device) roles[e] = LoadRole::load;
    }
    return roles;
}

LoadFigures figures_of(const Power& p, std::optional<double> volts) {
    return {figure_of(amps_of(p, volts)), figure_of(watts_of(p, volts)), figure_of(volt_amperes_of(p, volts))};
}

LoadFigures figures_joined(const LoadFigures& a, const LoadFigures& b) {
    return {detail::joined(a.amps, b.amps), detail::joined(a.watts, b.watts), detail::joined(a.volt_amperes, b.volt_amperes)};
}

const Figure& figure_in_unit(const LoadFigures& f, std::string_view unit) { return unit == "amps" ? f.amps : unit == "watts" ? f.watts : f.volt_amperes; }

void rate(LoadLine& line, const Element& element) {
    for (const std::string_view unit : {"amps", "volt_amperes", "watts"}) {
        const auto found = element.rating.find(unit);
        if (found == element.rating.end()) continue;
        line.rating = found->second;
        line.rating_unit = unit;
        break;
    }
    if (!line.rating) return;
    const Figure& load = figure_in_unit(line.continuous, line.rating_unit);
    if (load.high) line.margin.low = tidy(*line.rating - *load.high);
    line.margin.high = tidy(*line.rating - load.low.value_or(0));
    constexpr double rounding = 1 + 1e-9;  // the sum of what fills a rating exactly does not overload it
    line.overload = load.low && *load.low > *line.rating * rounding ? Overload::yes : load.high && *load.high <= *line.rating * rounding ? Overload::no : Overload::possible;
}

class Maker {
public:
    Maker(const Outcome& out, std::string_view condition, const LoadSheetOptions& options)
        : out_(out), c_(out.network().compiled()), condition_(condition), options_(options), roles_(roles_in(c_)), shed_(shed_loads(out.network(), options.shed)) {}

    LoadSheet sheet() {
        LoadSheet s{.outcome = out_, .condition = std::string(condition_), .shed = options_.shed};
        const std::vector<bool> drawing = add_lines(s, out_);
        find(s);
        if (options_.one_source_out) lose_each(s, drawing);
        s.missing = missing_texts(c_, gaps_);
        if (out_.worlds().all_unknown) s.missing.insert(s.missing.begin(), "So much never comes to rest that all supply is unknown, and with it every load.");
        else if (out_.worlds().values.size() > 1) s.missing.insert(s.missing.begin(), "Something never comes to rest; figures cover all it may be.");
        s.assumptions = load_assumptions(c_, gaps_, faulted(out_));
        if (shares_) s.assumptions.push_back("Parallel feeds share by the rating of the sources behind each.");
        if (!shed_.empty()) s.assumptions.push_back("Shed by hand, so that its load is off and nothing else changes: " + names(c_, shed_) + ".");
        return s;
    }

private:
    const Outcome& out_;
    const Compiled& c_;
    std::string_view condition_;
    const LoadSheetOptions& options_;
    std::vector<std::optional<LoadRole>> roles_;
    std::set<std::uint32_t> shed_;
    Gaps gaps_;
    bool shares_ = false;

    LoadLine blank(const Outcome& out, std::uint32_t e) const {
        return {.id = *c_.elements[e].id, .name = detail::name_of(c_.elements[e]), .role = *roles_[e], .status = out.status(ElementHandle{e})};
    }

    /// Gives which elements draw a load of their own, or may.
    std::vector<bool> add_lines(LoadSheet& s, const Outcome& out) {
        std::vector<std::optional<LoadLine>> lines(c_.elements.size());
        std::vector<bool> carries(c_.elements.size()), drawing(c_.elements.size());
        if (out.worlds().all_unknown) {
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
                drawing[e] = (draws(c_, e) || load_in(*c_.elements[e].element, condition_)) && !shed_.contains(e);
                if (roles_[e]) lines[e] = blank(out, e), rate(*lines[e], *c_.elements[e].element);
            }
            carries.assign(c_.elements.size(), true);
        } else {
            for (std::size_t w = 0; w < out.worlds().values.size(); ++w) {
                const LoadGraph graph(View(out), w);
                const LoadFlow flow(graph, condition_, shed_);
                gaps_.add(graph.gaps());
                gaps_.add(flow.gaps());
                shares_ = shares_ || graph.shares();
                for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
                    drawing[e] = drawing[e] || !flow.own(e).nothing();
                    if (!roles_[e]) continue;
                    const bool device = *roles_[e] == LoadRole::device;
                    const Draw& draw = device ? flow.device(e) : flow.through(e);
                    carries[e] = carries[e] || !draw.nothing();
                    join(lines[e], line_of(out, e, draw, device ? flow.device_volts(e) : graph.volts(e)), w == 0);
                }
                const auto total = [&](Figure& f, Span span) { f = w == 0 ? figure_of(span) : detail::joined(f, figure_of(span)); };
                total(s.delivered_watts, flow.delivered());
                total(s.consumed_watts, flow.consumed());
                total(s.lost_watts, flow.lost());
            }
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
                if (lines[e]) rate(*lines[e], *c_.elements[e].element);
        }
        for (const LoadRole role : {LoadRole::source, LoadRole::converter, LoadRole::bus, LoadRole::device, LoadRole::load})
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
                if (lines[e] && lines[e]->role == role && (carries[e] || role < LoadRole::device)) s.lines.push_back(std::move(*lines[e]));
        return drawing;
    }

    LoadLine line_of(const Outcome& out, std::uint32_t e, const Draw& draw, std::optional<double> volts) const {
        LoadLine line = blank(out, e);
        line.volts = volts;
        line.continuous = figures_of(draw.continuous, volts);
        line.five_minutes = figures_of(draw.five_minutes, volts);
        line.five_seconds = figures_of(draw.five_seconds, volts);
        line.inrush_amps = figure_of(amps_of(draw.five_seconds, volts) + amps_of(draw.inrush, volts));
        return line;
    }

    static void join(std::optional<LoadLine>& all, LoadLine line, bool first) {
        if (first) {
            all = std::move(line);
            return;
        }
        all->continuous = figures_joined(all->continuous, line.continuous);
        all->five_minutes = figures_joined(all->five_minutes, line.five_minutes);
        all->five_seconds = figures_joined(all->five_seconds, line.five_seconds);
        all->inrush_amps = detail::joined(all->inrush_amps, line.inrush_amps);
        if (all->volts != line.volts) all->volts.reset();
    }

    void find(LoadSheet& s) const {
        for (const LoadLine& line : s.lines) {
            const Element& element = *c_.elements[index_of(c_.elements, line.id)].element;
            const std::string unit = line.rating_unit == "amps" ? " A" : line.rating_unit == "watts" ? " W" : " VA";
            const auto found = [&](LoadFinding::What what, std::string words) { s.findings.push_back({what, line.id, line.name + ": " + std::move(words)}); };
            const std::string rating = line.rating ? number_text(*line.rating) + unit : "";
            const Figure continuous = line.rating ? figure_in_unit(line.continuous, line.rating_unit) : Figure{};
            if (line.overload == Overload::yes) found(LoadFinding::What::overload, text(continuous) + unit + " continuous on a rating of " + rating + ".");
            if (line.overload == Overload::possible) found(LoadFinding::What::possible_overload, "the continuous load is " + text(continuous) + (continuous.low || continuous.high ? unit : "") + ", the rating " + rating + ".");
            if (line.rating && line.overload != Overload::yes) {
                const auto above = [&](const LoadFigures& f) { return figure_in_unit(f, line.rating_unit).low.value_or(0) > *line.rating * (1 + 1e-9); };
                if (above(line.five_minutes)) found(LoadFinding::What::short_overload, text(figure_in_unit(line.five_minutes, line.rating_unit)) + unit + " over five minutes on a rating of " + rating + ".");
                else if (above(line.five_seconds)) found(LoadFinding::What::short_overload, text(figure_in_unit(line.five_seconds, line.rating_unit)) + unit + " over five seconds on a rating of " + rating + ".");
            }
            const bool rotating = is_machine(element) && !row(element.kind).source;
            if (rotating && line.rating && line.overload != Overload::yes && continuous.high.value_or(continuous.low.value_or(0)) > 0.8 * *line.rating * (1 + 1e-9))
                found(LoadFinding::What::eighty_percent, text(continuous) + unit + " continuous, 80 percent of the rating is " + number_text(0.8 * *line.rating) + unit + " (AC 43.13-1B 11-35, a rule of thumb).");
            if (element.wire) wire(s, line, element);
        }
        std::ranges::stable_sort(s.findings, {}, &LoadFinding::what);
    }

    void wire(LoadSheet& s, const LoadLine& line, const Element& element) const {
        const Wire& w = *element.wire;
        const auto amps = element.rating.find("amps");
        if (const auto chart = chart_breaker_amps(w.gauge); chart && row(element.kind).protects && amps != element.rating.end() && amps->second > *chart)
            s.findings.push_back({LoadFinding::What::wire, line.id, line.name + ": rated " + number_text(amps->second) + " A; AC 43.13-1B Table 11-3 has " + number_text(*chart) + " A before a wire of gauge " + w.gauge + "."});
        if (!w.feet || !line.volts || !line.continuous.amps.low) return;
        const auto allowed = allowed_drop_volts(*line.volts);
        const double lost = voltage_drop(w.gauge, *w.feet, line.continuous.amps.high.value_or(*line.continuous.amps.low));
        if (allowed && lost > *allowed * (1 + 1e-9))
            s.findings.push_back({LoadFinding::What::voltage_drop, line.id, line.name + ": " + number_text(rounded(lost)) + " V lost along " + number_text(*w.feet) + " feet of gauge " + w.gauge + "; AC 43.13-1B allows " + number_text(*allowed) + " V for a continuous load on " + number_text(*line.volts) + " V."});
    }

    void lose_each(LoadSheet& s, const std::vector<bool>& drawing) {
        Settler<One> settler(c_);
        for (const LoadLine& line : s.lines) {
            if (line.role != LoadRole::source && line.role != LoadRole::converter) continue;
            if (line.status != Status::supplied || (line.five_seconds.amps.high == 0.0 && line.five_seconds.volt_amperes.high == 0.0)) continue;
            const std::uint32_t e = index_of(c_.elements, line.id);
            if (failure_of(c_, c_.elements[e], "loss") == none) continue;
            State state = out_.state();
            state.fail(line.id);
            // No function is asked about, so none is judged.
            std::vector<One> memory(state.memory().begin(), state.memory().end());
            Frozen<One> frozen = state.frozen();
            auto worlds = std::make_shared<const Worlds>(settle_worlds(c_, settler, memory, frozen));
            state.remember(memory, frozen);
            const Outcome out(state, {std::move(worlds)}, {}, hunting_elements(c_, frozen));
            LoadSheet lost{.outcome = out};
            add_lines(lost, out);
            SourceOut row{.id = line.id, .name = line.name, .lines = {}, .without_supply = {}};
            for (LoadLine& other : lost.lines)
                if (other.id != line.id && (other.role == LoadRole::source || other.overload == Overload::yes || other.overload == Overload::possible)) row.lines.push_back(std::move(other));
            for (std::uint32_t other = 0; other < c_.elements.size(); ++other) {
                const Status status = out.status(ElementHandle{other});
                if (other != e && drawing[other] && status != Status::supplied) row.without_supply.push_back({*c_.elements[other].id, detail::name_of(c_.elements[other]), status});
            }
            s.one_out.push_back(std::move(row));
        }
        std::ranges::sort(s.one_out, {}, &SourceOut::id);
    }
};

}  // namespace

const LoadLine* LoadSheet::line(std::string_view id) const {
    const auto found = std::ranges::find(lines, id, &LoadLine::id);
    return found == lines.end() ? nullptr : &*found;
}

std::vector<std::string> load_conditions(const Network& net) {
    std::set<std::string> names;
    for (const auto& [id, element] : net.model().elements)
        for (const auto& [condition, load] : element.loads)
            if (condition != other_conditions) names.insert(condition);
    return {names.begin(), names.end()};
}

LoadSheet load_sheet(const Outcome& outcome, std::string_view condition, const LoadSheetOptions& options) {
    check_condition(outcome.network(), condition);
    return Maker(outcome, condition, options).sheet();
}

LoadSheet load_sheet(const State& state, std::string_view condition, const LoadSheetOptions& options) {
    State copy = state;
    return load_sheet(settle(copy), condition, options);
}

LoadSheet load_sheet(const Network& net, std::string_view condition, const LoadSheetOptions& options) { return load_sheet(running_state(net), condition, options); }

}  // namespace fedfrom
