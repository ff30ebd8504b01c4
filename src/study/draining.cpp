#include "draining.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "battery_current.hpp"
#include "figures.hpp"
#include "words.hpp"

namespace fedfrom::detail {
namespace {

double minutes(Draining::Time t) { return std::chrono::duration<double, std::ratio<60>>(t).count(); }

}  // namespace

Draining::Draining(const Network& net, const TimelineOptions& options) : options_(options) {
    const auto part = [&](const std::optional<double>& x, const std::string& what) {
        if (options.condition.empty() && x) throw NotPossible("`" + what + "` is given, but no `condition`: whose loads are drawn from the battery?");
        if (!options.condition.empty() && !x) throw NotPossible("With a `condition` batteries run empty, so `" + what + "` must be said; 1 is all of the nameplate capacity.");
        if (x && !(*x > 0 && *x <= 1)) throw NotPossible("`" + what + "` is a part, above 0 and up to 1.");
    };
    part(options.derating, "derating");
    part(options.charge, "charge");
    if (options.condition.empty()) return;
    check_condition(net, options.condition);
    discharge_hours(1, 1, options.discharge);
    const Compiled& c = net.compiled();
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        const Element& element = *c.elements[e].element;
        if (!c.elements[e].fitted || element.kind != Kind::battery) continue;
        const double nameplate = element.store ? element.store->amp_hours.value_or(0) : 0;
        stores_.push_back({.element = e, .amp_hours = nameplate * *options.derating, .left = *options.charge});
    }
}

std::string Draining::follow(const Outcome& out, Time now) {
    if (stores_.empty()) return {};
    const Compiled& c = out.network().compiled();
    const LoadGraphs graphs = load_graphs(out);
    for (Store& s : stores_) {
        s.left = left_at(s, now);
        s.from = now;
        const bool was_empty = s.empty;
        s.empty = any(out.state().memory()[c.elements[s.element].empty]);
        if (was_empty && !s.empty) s.left = *options_.charge;  // it has been replaced
        Gaps gaps;
        const Current current = battery_current(graphs, s.element, options_.condition, {}, &gaps);
        gaps_.add(gaps);
        s.full_minutes = std::numeric_limits<double>::infinity();
        const double once = current.once_amp_minutes.high;
        if (s.empty || (current.amps.high == 0 && once == 0)) {
            s.once_amp_minutes = 0;
            continue;
        }
        const std::string name = name_of(c.elements[s.element]);
        if (s.amp_hours <= 0) return "How long " + name + " lasts is not known: its model gives it no `amp_hours`.";
        if (!current.amps.exact() || !current.once_amp_minutes.exact()) {
            // Not even the upper end will do: empty too early, a battery sheds what would have emptied another.
            std::string why;
            for (const std::string& missing : missing_texts(c, gaps)) why += " " + missing;
            return "How long " + name + " lasts is not known: it draws " + text(figure_of(current.amps)) + " A." + why;
        }
        s.full_minutes = 60 * discharge_hours(s.amp_hours, current.amps.high, options_.discharge);
        s.left = std::max(0.0, s.left - std::max(0.0, once - s.once_amp_minutes) / (s.amp_hours * 60));
        s.once_amp_minutes = once;
    }
    return {};
}

double Draining::left_at(const Store& s, Time time) const { return std::max(0.0, s.left - minutes(time - s.from) / s.full_minutes); }

std::optional<Draining::Time> Draining::empty_time(const Store& s) const {
    if (s.empty || (std::isinf(s.full_minutes) && s.left > 0)) return std::nullopt;
    constexpr double most_minutes = 1e7;  // some twenty years
    const double last = std::isinf(s.full_minutes) ? 0 : std::min(most_minutes, s.left * s.full_minutes);
    return s.from + std::chrono::ceil<Time>(std::chrono::duration<double, std::ratio<60>>(last));
}

std::optional<Draining::Time> Draining::next() const {
    std::optional<Time> first;
    for (const Store& s : stores_)
        if (const auto time = empty_time(s); time && (!first || *time < *first)) first = time;
    return first;
}

std::vector<std::uint32_t> Draining::empty_at(Time time) const {
    std::vector<std::uint32_t> list;
    for (const Store& s : stores_)
        if (const auto at = empty_time(s); at && *at <= time) list.push_back(s.element);
    return list;
}

std::vector<BatteryLeft> Draining::left(const Compiled& c, Time now) const {
    std::vector<BatteryLeft> list;
    for (const Store& s : stores_) {
        const double part = s.empty ? 0 : left_at(s, now);
        if (s.amp_hours > 0) list.push_back({*c.elements[s.element].id, name_of(c.elements[s.element]), tidy(part), tidy(part * s.amp_hours)});
    }
    return list;
}

}  // namespace fedfrom::detail
