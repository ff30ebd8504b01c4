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

enum class Status : std::uint8_t { supplied, unsupplied, off, failed, dragged_down, spent, overloaded, starting, not_fitted, unknown };

inline constexpr std::string_view name_of(Status status) {
    constexpr std::array<std::string_view, 10> names{"supplied", "unsupplied", "off", "failed", "dragged_down", "spent", "overloaded", "starting", "not_fitted", "unknown"};
    return names[static_cast<std::size_t>(status)];
}

namespace detail {
/// The first that applies (rule M21), by what holds.
template <class Holds>
Status status_by(const Compiled& c, const ElementInfo& e, Holds holds);
}

/// One function, judged.
struct Judgement {
    Level level = Level::not_fitted;
    std::uint32_t mode = none;             ///< in FunctionInfo::modes; none: no mode, or unknown which
    std::optional<bool> now = false;       ///< in operation as things stand; no value: unknown
    bool operator==(const Judgement&) const = default;
};

namespace detail {

/// What `of(world)` is in every world; no value where the worlds differ or there are too many.
template <class Of>
auto same_in(const Worlds& all, Of of) -> std::optional<decltype(of(0))> {
    if (all.all_unknown) return std::nullopt;
    auto first = of(0);
    for (std::size_t w = 1; w < all.values.size(); ++w)
        if (of(w) != first) return std::nullopt;
    return first;
}

/// The first of an element's `shows` whose condition holds in a world, or none.
inline std::uint32_t reading(const ElementInfo& e, const Worlds& all, std::size_t world) {
    for (std::uint32_t s = 0; s < e.shows.size(); ++s)
        if (all.read(world, e.shows[s])) return s;
    return none;
}
inline std::optional<std::uint32_t> reading(const ElementInfo& e, const Worlds& all) {
    return same_in(all, [&](std::size_t w) { return reading(e, all, w); });
}

}  // namespace detail

class Outcome {
public:
    Outcome(State state, std::vector<std::shared_ptr<const Worlds>> worlds, std::vector<Judgement> judged, std::vector<std::uint32_t> hunting)
        : state_(std::move(state)), net_(state_.network()), worlds_(std::move(worlds)), judged_(std::move(judged)), hunting_(std::move(hunting)) {}

    const Network& network() const { return net_; }
    /// The settled state this is the outcome of.
    const State& state() const { return state_; }

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

    /// What an element would show with its own supply: an index into its `shows`, or none; no value where unknown.
    std::optional<std::uint32_t> reading(ElementHandle element) const { return detail::reading(info(element), worlds()); }
    /// What an element really shows: as `reading` while supplied, else its `unpowered` text or the
    /// frozen last reading; empty where nothing; no value where unknown.
    std::optional<std::string> shown(ElementHandle element) const;

    std::optional<bool> truth(Literal l) const { return worlds().truth(l); }
    /// The settled state itself, or as a demand (Compiled::demands) leaves it.
    const Worlds& worlds(std::uint32_t demand = 0) const { return *worlds_[demand]; }

private:
    State state_;
    Network net_;
    std::vector<std::shared_ptr<const Worlds>> worlds_;  // by demand
    std::vector<Judgement> judged_;                      // by function
    std::vector<std::uint32_t> hunting_;

    const ElementInfo& info(ElementHandle e) const { return net_.compiled().elements[e.index]; }
};

// ---------------------------------------------------------------------------

template <class Holds>
Status detail::status_by(const Compiled& c, const ElementInfo& e, Holds holds) {
    if (holds(e.supplied)) return Status::supplied;
    if (e.loss && holds(Literal::of(e.loss))) return Status::failed;
    for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z)
        if (holds(c.zones[z].seed)) return Status::failed;
    if (e.empty && holds(Literal::of(e.empty))) return Status::spent;
    if (e.overloaded && holds(Literal::of(e.overloaded))) return Status::overloaded;
    if (e.starting && holds(Literal::of(e.starting))) return Status::starting;
    for (std::uint32_t z = e.zones.first; z < e.zones.last; ++z)
        if (holds(Literal::of(c.zones[z].variable))) return Status::dragged_down;
    for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p)
        if (!holds(c.ports[p].supplied)) return Status::unsupplied;
    return Status::off;
}

inline Status Outcome::status(ElementHandle element) const {
    const ElementInfo& e = info(element);
    if (!e.fitted) return Status::not_fitted;
    return detail::same_in(worlds(), [&](std::size_t w) { return detail::status_by(net_.compiled(), e, [&](Literal l) { return worlds().read(w, l); }); }).value_or(Status::unknown);
}

inline std::optional<std::string> Outcome::shown(ElementHandle element) const {
    const ElementInfo& e = info(element);
    if (!e.fitted) return "";
    const auto text = [&](std::uint32_t show) { return show < e.shows.size() ? e.element->shows[show].text : std::string(); };
    const std::uint8_t frozen = state_.readings()[element.index];
    return detail::same_in(worlds(), [&](std::size_t w) -> std::optional<std::string> {
        if (worlds().read(w, e.supplied)) return text(detail::reading(e, worlds(), w));
        if (e.element->unpowered != stays) return e.element->unpowered;
        return frozen == State::not_known ? std::nullopt : std::optional(text(frozen));
    }).value_or(std::nullopt);
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

}  // namespace fedfrom
