/// What holds of an element once its kind has filled the gaps its author left.
///
/// Everything that reads a model asks here instead of reading the members, so
/// that a default is decided in one place:
///
///     Element e{.kind = Kind::breaker};
///     positions_of(e);      // {"in", "pulled"}
///     rest_of(e);           // "in"
///     reach_of(e);          // Reach::cockpit
///     failure_modes_of(e);  // loss, no_trip
///
/// Defaults that do not fit are left out: a contactor whose author gave other
/// words than `closed` and `open` passes in none of the kind's positions.
#pragma once

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/model/model.hpp>

namespace fedfrom {

/// The positions, the author's or the kind's; empty: it has none.
inline std::vector<std::string> positions_of(const Element& e) {
    if (!e.positions.empty()) return e.positions;
    const auto words_of_kind = words(row(e.kind).positions);
    return {words_of_kind.begin(), words_of_kind.end()};
}

/// Whether it has positions at all; as `positions_of`, without the copy.
inline bool has_positions(const Element& e) { return !e.positions.empty() || !row(e.kind).positions[0].empty(); }

/// Whether `word` is one of its positions; as `positions_of`, without the copy.
inline bool has_position(const Element& e, std::string_view word) {
    if (!e.positions.empty()) return std::ranges::find(e.positions, word) != e.positions.end();
    const auto list = words(row(e.kind).positions);
    return std::ranges::find(list, word) != list.end();
}

/// The position it rests in: the author's `rest`, else the first; empty without positions.
inline std::string rest_of(const Element& e) {
    if (!e.rest.empty()) return e.rest;
    if (!e.positions.empty()) return e.positions.front();
    return std::string(row(e.kind).positions[0]);
}

/// Whether it lets supply through in its position `word`, where a `via` names none.
inline bool passes_in(const Element& e, std::string_view word) {
    if (!e.passes_in.empty()) return std::ranges::find(e.passes_in, word) != e.passes_in.end();
    const auto list = words(row(e.kind).passes_in);
    return std::ranges::find(list, word) != list.end();
}

/// Whether there is a position it passes in.
inline bool passes_somewhere(const Element& e) {
    if (!e.passes_in.empty()) return true;
    return std::ranges::any_of(words(row(e.kind).passes_in), [&](std::string_view word) { return has_position(e, word); });
}

/// Who sets it directly: the author's word, else the kind's; nobody sets what follows or goes.
inline Reach reach_of(const Element& e) {
    if (e.reach) return *e.reach;
    if (e.follows || !e.goes.empty() || !has_positions(e)) return Reach::nobody;
    return row(e.kind).reach;
}

/// Whether its kind opens it without `control`, where its author says nothing: a contactor, a relay.
inline bool opens_without_control(const Element& e) {
    return row(e.kind).opens_without_control && e.inputs.contains("control") && has_position(e, "open");
}

/// What it does when a port is not supplied, the author's word or the kind's.
inline std::vector<Without> without_of(const Element& e) {
    if (!e.without.empty()) return e.without;
    if (opens_without_control(e)) return {{"control", "open"}};
    return {};
}

/// Whether anything is said of a port not supplied; as `without_of`, without the copy.
inline bool has_without(const Element& e) { return !e.without.empty() || opens_without_control(e); }

/// Whether it has memory: it keeps its position through an evaluation and moves afterwards.
inline bool has_memory(const Element& e) {
    if (!has_positions(e)) return false;
    if (e.after_s > 0) return true;
    return std::ranges::any_of(e.without, [](const Without& w) { return w.position == stays; });  // no kind stays
}

/// The ways it can fail: the kind's, then the author's over them. Empty for what is not fallible.
inline SmallMap<FailureMode> failure_modes_of(const Element& e) {
    if (!e.fallible) return {};
    SmallMap<FailureMode> modes = e.failures;
    for (const std::string_view mode : words(row(e.kind).failures))
        if (mode != "stuck" || has_positions(e)) modes.try_emplace(mode);
    return modes;
}

/// Whether it can fail this way; as `failure_modes_of`, without the copy.
inline bool has_failure_mode(const Element& e, std::string_view mode) {
    if (!e.fallible) return false;
    if (std::ranges::any_of(e.failures, [&](const auto& own) { return own.first == mode; })) return true;
    const auto list = words(row(e.kind).failures);
    return std::ranges::find(list, mode) != list.end() && (mode != "stuck" || has_positions(e));
}

/// Calls `with(mode)` for each way it can fail, in order; as `failure_modes_of`, without the copy.
template <class With>
void each_failure_mode(const Element& e, With with) {
    if (!e.fallible) return;
    KindRow::Words of_kind = row(e.kind).failures;
    const auto said = [&](std::string_view mode) { return e.failures.contains(mode) || (mode == "stuck" && !has_positions(e)); };
    const auto last = std::remove_if(of_kind.begin(), of_kind.begin() + words(of_kind).size(), said);
    std::sort(of_kind.begin(), last);
    auto next = of_kind.begin();
    for (const auto& [mode, own] : e.failures) {
        while (next != last && *next < mode) with(*next++);
        with(std::string_view(mode));
    }
    while (next != last) with(*next++);
}

/// Whether it trips on a fault.
inline bool protects(const Element& e) { return e.protects.has_value() || row(e.kind).protects; }

/// Who resets it once it has tripped.
inline Reach reset_by_of(const Element& e) {
    return e.protects && e.protects->reset_by ? *e.protects->reset_by : row(e.kind).resets;
}

/// How often it may be reset in one flight.
inline int resets_of(const Element& e) { return e.protects && e.protects->resets ? *e.protects->resets : 1; }

/// Applications a full store holds; one where its author gave no number.
inline int applications_of(const Store& s) { return s.applications.value_or(1); }

/// Diode or check valve: passes one way, whatever else stands.
inline bool is_one_way(const Element& e) { return row(e.kind).one_way; }

/// A source: nothing has to feed it. `has_ties`: whether it is an end of a tie.
inline bool is_source(const Element& e, bool has_ties) {
    return e.inputs.empty() && (!has_ties || row(e.kind).source);
}

/// A thing that is never "supplied", only somewhere: it has positions, no port, and is no source
/// kind; or it is a diode or check valve. A bare id of it as a condition, a feed or the end of a tie
/// means nothing and is an error.
inline bool only_has_position(const Element& e) {
    if (is_one_way(e)) return true;
    return has_positions(e) && e.inputs.empty() && !row(e.kind).source;
}

/// The port a tie gives an element that has ties and no port of its own.
inline std::string_view tie_port_of(const Element& e) {
    return e.kind == Kind::pipe || e.kind == Kind::manifold ? "hydraulic" : "power";
}

/// Port names that carry a fault, and in which medium.
inline constexpr std::array<std::pair<std::string_view, std::string_view>, 9> built_in_media{{
    {"power", "electrical"}, {"control", "electrical"}, {"field", "electrical"},
    {"hydraulic", "hydraulic"}, {"pneumatic", "pneumatic"}, {"fuel", "fuel"}, {"oxygen", "oxygen"},
    {"drive", "mechanical"}, {"mechanical", "mechanical"},
}};

/// The medium in which a port of this name carries a fault; empty: it carries none.
inline std::string_view medium_of_port(const Model& m, std::string_view port) {
    for (const auto& [name, medium] : built_in_media)
        if (name == port) return medium;
    const auto own = m.media.find(std::string(port));
    return own == m.media.end() ? std::string_view() : std::string_view(own->second);
}

/// How long an element works on once this port is not supplied.
inline double runs_without_s(const Element& e, std::string_view port) {
    const auto said = e.runs_without_s.find(port);
    return said != e.runs_without_s.end() ? said->second : e.run_down_s;
}

/// Whether a medium flows and is lost by a leak: any but electrical and mechanical.
inline bool is_fluid(std::string_view medium) {
    return !medium.empty() && medium != "electrical" && medium != "mechanical";
}

/// The fluids each element carries: by its own ports, the ports it feeds, and the ties and vias it
/// stands in. Elements that carry none are not listed. O(size of the model · log).
inline std::map<std::string, std::set<std::string>> fluids_of(const Model& m) {
    std::map<std::string, std::set<std::string>> fluids;
    const auto add = [&](const std::string& id, std::string_view fluid) {
        if (is_fluid(fluid)) fluids[id].emplace(fluid);
    };
    std::map<std::string, std::string> medium_of_tie;  // by its ports; both ends are checked to agree
    const auto note_tie = [&](const std::string& tie, std::string_view medium) {
        if (std::string& known = medium_of_tie[tie]; known.empty()) known = medium;
    };
    for (const auto& [id, e] : m.elements)
        for (const auto& [port, p] : e.inputs) {
            const std::string_view medium = medium_of_port(m, port);
            add(id, medium);
            for (const Feed& feed : p.feeds) {
                if (!feed.tie.empty()) {
                    note_tie(feed.tie, medium);
                    continue;
                }
                add(feed.from, medium);
                for (const Device& d : feed.via) add(d.id, medium);
            }
        }
    for (const auto& [id, tie] : m.ties) {
        // A tie no port lists joins the only port of an end, or the one M3 gives it.
        for (const std::string& end : {tie.between.first, tie.between.second}) {
            const auto e = m.elements.find(end);
            if (e == m.elements.end() || is_source(e->second, true)) continue;
            if (e->second.inputs.empty())
                note_tie(id, medium_of_port(m, tie_port_of(e->second)));
            else if (e->second.inputs.size() == 1)
                note_tie(id, medium_of_port(m, e->second.inputs.begin()->first));
        }
        const std::string& medium = medium_of_tie[id];
        add(tie.between.first, medium);
        add(tie.between.second, medium);
        for (const Device& d : tie.via) add(d.id, medium);
    }
    return fluids;
}

}  // namespace fedfrom
