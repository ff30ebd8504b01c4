#include <fedfrom/study/endurance.hpp>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <map>
#include <memory>
#include <set>

#include "battery_current.hpp"
#include "figures.hpp"
#include "words.hpp"

namespace fedfrom {

std::string_view name_of(BatteryPhase::What what) {
    constexpr std::array<std::string_view, 3> names{"before_shedding", "after_shedding", "landing"};
    return names[static_cast<std::size_t>(what)];
}

namespace {

using namespace detail;

constexpr double infinite = std::numeric_limits<double>::infinity();

/// How long it lasts at one end of what is known.
struct TimeLeft {
    double after = 0, total = 0;  ///< minutes
    bool reserve = true;
};

class Battery {
public:
    Battery(const EnduranceOptions& o, double amp_hours) : o_(o), capacity_(amp_hours * o.derating.value_or(1)), charge_(o.charge.value_or(1)) {}

    /// Of the three phases.
    TimeLeft lasting(const std::array<Current, 3>& currents, double Span::*end) const {
        const double before = o_.shed_after_min.value_or(0), landing = o_.landing_min.value_or(0);
        const auto used = [&](std::size_t phase, double minutes) {
            return minutes > 0 ? minutes / full_minutes(currents[phase].amps.*end) + currents[phase].once_amp_minutes.*end / (capacity_ * 60) : 0;
        };
        const double first = used(0, before), last = used(2, landing);
        const double once = currents[1].once_amp_minutes.*end / (capacity_ * 60);
        const double left = charge_ - first - last - once;
        if (left >= 0) {
            const double full = full_minutes(currents[1].amps.*end);
            const double after = std::isinf(full) ? infinite : left * full;
            return {after, before + after + landing, true};
        }
        if (first >= charge_) return {0, before * charge_ / first, landing == 0};
        return {0, before + (landing > 0 ? std::min(1.0, (charge_ - first) / last) * landing : 0), landing == 0 || last <= charge_ - first};
    }

private:
    const EnduranceOptions& o_;
    double capacity_, charge_;

    double full_minutes(double amps) const { return std::isinf(amps) ? 0 : 60 * discharge_hours(capacity_, amps, o_.discharge); }
};

class EnduranceStudy {
public:
    EnduranceStudy(const Outcome& out, const EnduranceOptions& options) : out_(out), o_(options), c_(out.network().compiled()) {
        check();
        graphs_ = load_graphs(out_);
    }

    Endurance run() {
        Endurance result{.outcome = out_, .options = o_, .batteries = {}, .gas = {}, .missing = {}, .assumptions = {}};
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            if (!info.fitted || (!o_.store.empty() && *info.id != o_.store)) continue;
            if (is_battery(e)) result.batteries.push_back(battery(e));
            else if (is_gas(e)) result.gas.push_back(gas(e));
        }
        const auto used = std::ranges::count(result.batteries, true, &BatteryEndurance::in_use);
        result.missing = missing_texts(c_, gaps_);
        if (out_.worlds().all_unknown) result.missing.insert(result.missing.begin(), "So much never comes to rest that all supply is unknown, and with it every load.");
        else if (graphs_.size() > 1) result.missing.insert(result.missing.begin(), "Something never comes to rest; figures cover all it may be.");
        if (used > 0) assume(result, used > 1);
        return result;
    }

private:
    const Outcome& out_;
    const EnduranceOptions& o_;
    const Compiled& c_;
    LoadGraphs graphs_;
    Gaps gaps_;

    bool is_battery(std::uint32_t e) const { return c_.elements[e].element->kind == Kind::battery; }
    bool is_gas(std::uint32_t e) const {
        const Kind kind = c_.elements[e].element->kind;
        return (kind == Kind::accumulator || kind == Kind::bottle) && c_.elements[e].element->store;
    }

    void check() const {
        const auto part = [](const std::optional<double>& x, const char* what) {
            if (x && !(*x > 0 && *x <= 1)) throw NotPossible(std::string("`") + what + "` is a part, above 0 and up to 1.");
        };
        const auto minutes = [](const std::optional<double>& x, const char* what) {
            if (x && !(*x >= 0 && *x <= 1e6)) throw NotPossible(std::string("`") + what + "` is in minutes, 0 or more.");
        };
        part(o_.derating, "derating");
        part(o_.charge, "charge");
        minutes(o_.shed_after_min, "shed_after_min");
        minutes(o_.landing_min, "landing_min");
        minutes(o_.required_min, "required_min");
        if (!(o_.rapid_exponent >= 1)) throw NotPossible("`rapid_exponent` is 1 or more.");
        discharge_hours(1, 1, o_.discharge);
        if ((!o_.shed.empty() || !o_.before.empty()) && !o_.shed_after_min) throw NotPossible("When are loads shed? Say `shed_after_min`; 0 is at once.");
        if (!o_.landing.empty() && !o_.landing_min) throw NotPossible("How long is the landing? Say `landing_min`.");
        shed_loads(out_.network(), o_.shed);
        bool battery = o_.store.empty() && std::ranges::any_of(c_.elements, [](const ElementInfo& e) { return e.fitted && e.element->kind == Kind::battery; });
        if (!o_.store.empty()) {
            const std::uint32_t e = out_.network().element(o_.store).index;
            if (!is_battery(e) && !is_gas(e)) throw NotPossible("`" + o_.store + "` is no battery, and no accumulator or bottle that says what it holds.");
            if (!c_.elements[e].fitted) throw NotPossible("`" + o_.store + "` is not fitted in this aircraft.");
            battery = is_battery(e);
        }
        if (battery || !o_.condition.empty()) check_condition(out_.network(), o_.condition);
        for (const std::string* condition : {&o_.before, &o_.landing})
            if (!condition->empty()) check_condition(out_.network(), *condition);
    }

    const std::string& condition_of(std::size_t phase) const {
        const std::string& own = phase == 0 ? o_.before : phase == 2 ? o_.landing : o_.condition;
        return own.empty() ? o_.condition : own;
    }

    Current current(std::uint32_t battery, const std::string& condition, const std::set<std::uint32_t>& shed, Gaps* gaps) const {
        return battery_current(graphs_, battery, condition, shed, gaps);
    }

    std::array<Current, 3> currents(std::uint32_t battery, const std::set<std::uint32_t>& shed, Gaps* gaps) const {
        return {current(battery, condition_of(0), {}, gaps), current(battery, o_.condition, shed, gaps), current(battery, condition_of(2), shed, gaps)};
    }

    /// Whether nothing is left unsaid that could make it shorter.
    bool sure() const { return o_.derating && o_.charge; }

    Figure minutes(const TimeLeft& worst, const TimeLeft& best, double TimeLeft::*of, const std::array<Current, 3>& currents) const {
        Figure f;
        const bool bounded = std::ranges::none_of(currents, [](const Current& c) { return std::isinf(c.amps.high); });
        if (sure() && bounded && std::isfinite(worst.*of)) f.low = tidy(worst.*of);
        if (std::isfinite(best.*of)) f.high = tidy(best.*of);
        return f;
    }

    BatteryEndurance battery(std::uint32_t e) {
        const Element& element = *c_.elements[e].element;
        BatteryEndurance b{.id = *c_.elements[e].id, .name = detail::name_of(c_.elements[e]), .status = out_.status(ElementHandle{e})};
        if (!graphs_.empty()) b.volts = graphs_.front()->volts(e);
        if (element.store) {
            b.amp_hours = element.store->amp_hours;
            b.charger = element.store->charger;
            if (!b.charger.empty()) {
                const Status charger = out_.status(b.charger);
                if (charger != Status::unknown) b.charger_supplied = charger == Status::supplied;
            }
        }
        const std::set<std::uint32_t> shed = shed_loads(out_.network(), o_.shed);
        const std::array<Current, 3> now = currents(e, shed, &gaps_);
        b.in_use = std::ranges::any_of(now, [](const Current& c) { return c.amps.high > 0 || c.once_amp_minutes.high > 0; });
        for (std::size_t p = 0; p < 3; ++p) {
            if ((p == 0 && !o_.shed_after_min) || (p == 2 && !o_.landing_min)) continue;
            b.phases.push_back({static_cast<BatteryPhase::What>(p), condition_of(p), {}, figure_of(now[p].amps), figure_of(now[p].once_amp_minutes)});
            if (p == 0) b.phases.back().minutes = {o_.shed_after_min, o_.shed_after_min};
            if (p == 2) b.phases.back().minutes = {o_.landing_min, o_.landing_min};
        }
        if (!b.in_use || !b.amp_hours || !(*b.amp_hours > 0)) return b;
        b.usable_amp_hours = tidy(*b.amp_hours * o_.derating.value_or(1) * o_.charge.value_or(1));
        const Battery cell(o_, *b.amp_hours);
        const TimeLeft worst = cell.lasting(now, &Span::high), best = cell.lasting(now, &Span::low);
        b.minutes = minutes(worst, best, &TimeLeft::total, now);
        if (o_.landing_min && worst.reserve) b.reserve_kept = true;
        if (o_.landing_min && !best.reserve) b.reserve_kept = false;
        for (BatteryPhase& phase : b.phases)
            if (phase.what == BatteryPhase::What::after_shedding) phase.minutes = minutes(worst, best, &TimeLeft::after, now);
        if (o_.required_min) {
            constexpr double rounding = 1e-9;
            if (b.minutes.low && *b.minutes.low >= *o_.required_min * (1 - rounding) && worst.reserve) b.passed = true;
            else if ((b.minutes.high && *b.minutes.high < *o_.required_min) || !best.reserve) b.passed = false;
        }
        add_sheds(b, e, cell, shed, now);
        return b;
    }

    void add_sheds(BatteryEndurance& b, std::uint32_t battery, const Battery& cell, const std::set<std::uint32_t>& shed, const std::array<Current, 3>& now) const {
        const auto total = [&](const std::set<std::uint32_t>& without, std::array<Current, 3>& then) {
            then = {now[0], current(battery, o_.condition, without, nullptr), current(battery, condition_of(2), without, nullptr)};
            return std::pair(cell.lasting(then, &Span::high), cell.lasting(then, &Span::low));
        };
        std::map<std::uint32_t, std::set<std::uint32_t>> above;  // loads of this battery, with all they draw on
        for (const auto& graph : graphs_) {
            const LoadFlow flow(*graph, o_.condition, shed);
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
                if (flow.own(e).nothing()) continue;
                const std::set<std::uint32_t> up = graph->upstream_of(e);
                if (up.contains(battery)) above[e].insert(up.begin(), up.end());
            }
        }
        const TimeLeft worst = cell.lasting(now, &Span::high), best = cell.lasting(now, &Span::low);
        for (const auto& [e, up] : above) {
            std::set<std::uint32_t> without = shed;
            without.insert(e);
            std::array<Current, 3> then;
            const auto [low, high] = total(without, then);
            ShedLoad line{.id = *c_.elements[e].id, .name = detail::name_of(c_.elements[e])};
            const bool known = std::isfinite(now[1].amps.high) && std::isfinite(then[1].amps.high);
            line.amps = known ? figure_of({std::max(0.0, std::min(now[1].amps.low - then[1].amps.low, now[1].amps.high - then[1].amps.high)), std::max(0.0, std::max(now[1].amps.low - then[1].amps.low, now[1].amps.high - then[1].amps.high))}) : Figure{};
            // Of the same derating and charge, so that what is bought is as sure as the load.
            const double worse = low.total - worst.total, better = high.total - best.total;
            if (std::isfinite(worse) && std::isfinite(better) && known) line.bought_min = {tidy(std::min(worse, better)), tidy(std::max(worse, better))};
            off_by(line, e, above);
            b.sheds.push_back(std::move(line));
        }
        std::ranges::stable_sort(b.sheds, [](const ShedLoad& x, const ShedLoad& y) { return x.bought_min.low.value_or(infinite) > y.bought_min.low.value_or(infinite); });
        std::set<std::uint32_t> without = shed;
        for (ShedLoad& line : b.sheds) {
            without.insert(index_of(c_.elements, line.id));
            std::array<Current, 3> then;
            const auto [low, high] = total(without, then);
            line.total_min = minutes(low, high, &TimeLeft::total, then);
        }
    }

    /// The first device that cuts it off alone, from the load upwards, while it has one feed only.
    void off_by(ShedLoad& line, std::uint32_t load, const std::map<std::uint32_t, std::set<std::uint32_t>>& above) const {
        const LoadGraph& graph = *graphs_.front();
        for (std::uint32_t e = load;;) {
            const auto& from = graph.parts()[graph.part_of(e)].from;
            if (from.size() != 1) return;
            const FeedInfo& feed = c_.feeds[from.front().feed];
            for (std::uint32_t d = feed.devices.last; d-- > feed.devices.first;) {
                const ElementInfo& device = c_.elements[c_.devices[d].element];
                const bool always = static_cast<std::size_t>(std::popcount(c_.devices[d].positions)) == device.positions.size();
                if (!device.hand || always || reach_of(*device.element) != Reach::cockpit) continue;
                line.off_by = *device.id;
                for (const auto& [other, up] : above)
                    if (other != load && (up.contains(e) || behind(graph, other, c_.devices[d].element))) line.also_off.push_back(*c_.elements[other].id);
                return;
            }
            e = from.front().upstream;
        }
    }

    bool behind(const LoadGraph& graph, std::uint32_t load, std::uint32_t device) const {
        for (std::uint32_t e = load;;) {
            const auto& from = graph.parts()[graph.part_of(e)].from;
            if (from.size() != 1) return false;
            const FeedInfo& feed = c_.feeds[from.front().feed];
            for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d)
                if (c_.devices[d].element == device) return true;
            e = from.front().upstream;
        }
    }

    GasEndurance gas(std::uint32_t e) const {
        const Element& element = *c_.elements[e].element;
        const Store& store = *element.store;
        GasEndurance g{.id = *c_.elements[e].id, .name = detail::name_of(c_.elements[e]), .status = out_.status(ElementHandle{e}), .bottle = element.kind == Kind::bottle};
        const bool spent = g.status == Status::spent;
        if (store.applications) g.stated = spent ? 0 : *store.applications - out_.state().remembered().taken[e];
        std::vector<std::string> lacking;
        const auto need = [&](const std::optional<double>& x, const char* what) {
            if (!x || !(*x > 0)) lacking.emplace_back(what);
        };
        need(store.litres, "litres");
        if (!g.bottle) need(store.precharge_psi, "precharge_psi");
        need(store.max_psi, "max_psi");
        need(store.min_psi, "min_psi");
        if (lacking.empty()) {
            const auto usable = [&](double n) {
                const double high = *store.max_psi + atmosphere_psi, low = *store.min_psi + atmosphere_psi;
                return spent ? 0 : g.bottle ? bottle_volume(*store.litres, high, low, n) : usable_volume(*store.litres, *store.precharge_psi + atmosphere_psi, high, low, n);
            };
            g.slow_litres = usable(1);
            g.rapid_litres = usable(o_.rapid_exponent);
            if (store.litres_per_application && *store.litres_per_application > 0) {
                g.slow_applications = applications_in(*g.slow_litres, *store.litres_per_application);
                g.rapid_applications = applications_in(*g.rapid_litres, *store.litres_per_application);
            } else {
                lacking.emplace_back("litres_per_application");
            }
        }
        if (!lacking.empty()) g.missing = "not given: " + listed(lacking);
        if (o_.required_applications) {
            std::optional<int> least;
            for (const auto& count : {g.slow_applications, g.rapid_applications, g.stated})
                if (count) least = std::min(least.value_or(*count), *count);
            if (least && g.status != Status::unknown) g.passed = *least >= *o_.required_applications && (g.status == Status::supplied);
        }
        return g;
    }

    void assume(Endurance& result, bool several) const {
        auto& list = result.assumptions;
        if (!o_.derating) result.missing.push_back("No derating is given: nameplate capacity is taken, and a battery that is old or cold gives less.");
        if (!o_.charge) result.missing.push_back("No state of charge is given: a full battery is taken.");
        if (!o_.shed_after_min) list.push_back("Loads are as in the condition from the first moment; no time to recognise the failure and shed is given.");
        if (!o_.landing_min) list.push_back("No reserve for the landing is held back.");
        list.push_back(discharge_text(o_.discharge));
        list.push_back("Loads are steady; an intermittent one draws its duty once in each phase; inrush is not counted. What is shed stays off, and nothing else changes by it.");
        list.push_back("A charger puts nothing back.");
        if (several) list.push_back("Batteries in use share as they do at the beginning; what the others carry once one is flat is not counted.");
        for (std::string& text : assumed_texts(c_, gaps_)) list.push_back(std::move(text));
    }
};

}  // namespace

Endurance endurance(const Outcome& outcome, const EnduranceOptions& options) { return EnduranceStudy(outcome, options).run(); }

Endurance endurance(const State& state, const EnduranceOptions& options) {
    State copy = state;
    return endurance(settle(copy), options);
}

}  // namespace fedfrom
