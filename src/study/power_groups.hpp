/// Sources that stand together, and what rests on them alone, in one world (rule M44).
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include <fedfrom/study/power_balance.hpp>

#include "load_flow.hpp"

namespace fedfrom::detail {

struct PowerGroup {
    std::vector<std::uint32_t> members{};  ///< sources and converters, in order
    Span demand{}, capacity{};
    std::string_view unit{};  ///< amps, volt_amperes or watts

    bool surely_overloaded() const { return demand.low > capacity.high * rounding; }
    bool perhaps_overloaded() const { return demand.high > capacity.low * rounding; }

private:
    static constexpr double rounding = 1 + 1e-9;  // the sum of what fills a rating exactly does not overload it
};

struct PowerGroups {
    std::vector<PowerGroup> list{};
    bool complete = true;  ///< false: sources stand together in more ways than are tried
};

/// How long the demand is averaged in this window is seconds, for which a battery that floats helps out.
bool helps_out(LoadWindow window);

/// Each source that, carrying its share by rating (rule M37), may be above its own rating: on it rests anything from what can
/// come from no other to that.
std::vector<PowerGroup> above_rating_by_share(const LoadGraph& graph, const LoadFlow& flow, const PowerGroups& groups, const PowerBalanceOptions& options);

PowerGroups power_groups(const LoadGraph& graph, const LoadFlow& flow, const PowerBalanceOptions& options);

/// It has no rating by which it could be overloaded.
bool unrated(const ElementInfo& source);
/// It is rated in amperes alone, at volts that are not given.
bool rated_without_volts(const ElementInfo& source);

}  // namespace fedfrom::detail
