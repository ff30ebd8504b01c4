/// An outcome: what holds in a settled state, element by element and function by function.
///
///     Outcome out = settle(state);
///     out.level("wheel_braking");            // Level::degraded
///     out.mode("wheel_braking");             // "backup"
///     out.status("main_l");                  // Status::dragged_down
///     out.position("gear_valve");            // "closed"
///
/// A value that keeps its network; ids throw UnknownId. Where cells hunt, what
/// depends on them is unknown: `Level::unknown`, `Status::unknown`, no position.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/solve/state.hpp>
#include <fedfrom/solve/worlds.hpp>

namespace fedfrom {

enum class Status : std::uint8_t { supplied, unsupplied, off, failed, dragged_down, spent, not_fitted, unknown };

inline constexpr std::string_view name_of(Status status) {
    constexpr std::array<std::string_view, 8> names{"supplied", "unsupplied", "off", "failed", "dragged_down", "spent", "not_fitted", "unknown"};
    return names[static_cast<std::size_t>(status)];
}

/// One function, judged.
struct Judgement {
    Level level = Level::not_fitted;
    std::uint32_t mode = none;             ///< in FunctionInfo::modes; none: no mode, or unknown which
    std::optional<bool> now = false;       ///< in operation as things stand; no value: unknown
    bool operator==(const Judgement&) const = default;
};

class Outcome {
public:
    Outcome(Network net, std::vector<std::shared_ptr<const Worlds>> worlds, std::vector<Judgement> judged, std::vector<std::uint32_t> hunting)
        : net_(std::move(net)), worlds_(std::move(worlds)), judged_(std::move(judged)), hunting_(std::move(hunting)) {}

    const Network& network() const { return net_; }

    Status status(std::string_view element) const { return status(net_.element(element)); }
    Status status(ElementHandle element) const;
    /// Where it really stands; no value where that is unknown, it is not fitted or has no positions.
    std::optional<std::string_view> position(std::string_view element) const { return position(net_.element(element)); }
    std::optional<std::string_view> position(ElementHandle element) const;
    /// Whether it lets supply through where it stands; no value where unknown.
    std::optional<bool> passes(std::string_view element) const { return truth(info(net_.element(element)).passes); }
    std::optional<bool> tripped(std::string_view element) const;

    Level level(std::string_view function) const { return judged(function).level; }
    /// The mode in use; empty when lost, not fitted or unknown.
    std::string_view mode(std::string_view function) const;
    std::optional<bool> now(std::string_view function) const { return judged(function).now; }
    const Judgement& judged(std::string_view function) const { return judged_[net_.function(function).index]; }
    const std::vector<Judgement>& judged() const { return judged_; }

    /// Functions at a level, in id order.
    std::vector<std::string> at_level(Level level) const;
    std::vector<std::string> normal() const { return at_level(Level::normal); }
    std::vector<std::string> degraded() const { return at_level(Level::degraded); }
    std::vector<std::string> lost() const { return at_level(Level::lost); }
    std::vector<std::string> unknown() const { return at_level(Level::unknown); }
    /// Elements whose position or hold never came to rest.
    const std::vector<std::uint32_t>& hunting() const { return hunting_; }

    /// What an element shows: an index into its `shows`, or none; no value where that is unknown.
    std::optional<std::uint32_t> shows(ElementHandle element) const;

    std::optional<bool> truth(Literal l) const { return worlds().truth(l); }
    /// The settled state itself, or as a demand (Compiled::demands) leaves it.
    const Worlds& worlds(std::uint32_t demand = 0) const { return *worlds_[demand]; }

private:
    Network net_;
    std::vector<std::shared_ptr<const Worlds>> worlds_;  // by demand
    std::vector<Judgement> judged_;                      // by function
    std::vector<std::uint32_t> hunting_;

    const ElementInfo& info(ElementHandle e) const { return net_.compiled().elements[e.index]; }
};

// ---------------------------------------------------------------------------

inline Status Outcome::status(ElementHandle element) const {
    const ElementInfo& e = info(element);
    const Compiled& c = net_.compiled();
    if (!e.fitted) return Status::not_fitted;
    const auto supplied = truth(e.supplied);
    if (!supplied) return Status::unknown;
    if (*supplied) return Status::supplied;
    const Worlds& w = worlds();
    for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f)
        if (c.failures[f].mode == "loss" && w.read(0, Literal::of(c.failures[f].variable))) return Status::failed;
    for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z)
        if (w.read(0, c.zones[z].seed)) return Status::failed;
    if (e.empty && w.read(0, Literal::of(e.empty))) return Status::spent;
    for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z)
        if (w.read(0, Literal::of(c.zones[z].variable))) return Status::dragged_down;
    for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p)
        if (!w.read(0, c.ports[p].supplied)) return Status::unsupplied;
    return Status::off;
}

inline std::optional<std::string_view> Outcome::position(ElementHandle element) const {
    const ElementInfo& e = info(element);
    for (std::size_t p = 0; p < e.stands.size(); ++p)
        if (truth(e.stands[p]).value_or(false)) return e.positions[p];
    return std::nullopt;
}

inline std::optional<bool> Outcome::tripped(std::string_view element) const {
    const ElementInfo& e = info(net_.element(element));
    return e.tripped ? truth(Literal::of(e.tripped)) : std::optional(false);
}

inline std::string_view Outcome::mode(std::string_view function) const {
    const FunctionHandle f = net_.function(function);
    const std::uint32_t mode = judged_[f.index].mode;
    return mode == none ? std::string_view() : std::string_view(*net_.compiled().functions[f.index].modes[mode].id);
}

inline std::vector<std::string> Outcome::at_level(Level level) const {
    std::vector<std::string> list;
    for (std::size_t f = 0; f < judged_.size(); ++f)
        if (judged_[f].level == level) list.push_back(*net_.compiled().functions[f].id);
    return list;
}

inline std::optional<std::uint32_t> Outcome::shows(ElementHandle element) const {
    const ElementInfo& e = info(element);
    const Worlds& all = worlds();
    if (all.all_unknown) return std::nullopt;
    std::optional<std::uint32_t> shown;
    for (std::size_t w = 0; w < all.values.size(); ++w) {
        std::uint32_t first = none;
        for (std::uint32_t s = 0; s < e.shows.size() && first == none; ++s)
            if (all.read(w, e.shows[s])) first = s;
        if (shown && *shown != first) return std::nullopt;
        shown = first;
    }
    return shown;
}

}  // namespace fedfrom
