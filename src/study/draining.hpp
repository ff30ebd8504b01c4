/// Batteries that run empty while a timeline is played, by what each instant draws from them.
#pragma once

#include <chrono>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/timeline.hpp>

#include "load_flow.hpp"

namespace fedfrom::detail {

class Draining {
public:
    using Time = std::chrono::microseconds;

    /// Nothing drains without a condition. Throws for options that do not go together.
    Draining(const Network& net, const TimelineOptions& options);

    /// From `now` on, what this outcome draws. Says why, where how long one lasts cannot be known; else empty.
    std::string follow(const Outcome& out, Time now);
    /// When the first is empty; no value: none will be.
    std::optional<Time> next() const;
    /// Which are at that time.
    std::vector<std::uint32_t> empty_at(Time time) const;

    /// What is left, in id order.
    std::vector<BatteryLeft> left(const Compiled& c, Time now) const;
    /// What figures of loads were missing or taken.
    const Gaps& gaps() const { return gaps_; }

private:
    struct Store {
        std::uint32_t element = none;
        double amp_hours = 0;       // usable when full
        double left = 0;            // of these, a part
        double full_minutes = std::numeric_limits<double>::infinity();  // all of it lasts, at the present current; infinite: none flows
        double once_amp_minutes = 0;
        Time from{};                // when `left` was left
        bool empty = false;
    };

    TimelineOptions options_;
    std::vector<Store> stores_;
    Gaps gaps_;

    double left_at(const Store& s, Time time) const;
    std::optional<Time> empty_time(const Store& s) const;
};

}  // namespace fedfrom::detail
