/// Paths that stand side by side: each feed or tie of a port that has several, as something that can be cut alone.
///
///     const PathCuts cuts(settled);
///     Player(cuts.state()).play({{cuts.paths()[0].cut}}, turns);     // as if that one path were gone, everything else in order
///
/// A larger network of the same aircraft, with a perfect contactor at the load's end of each such path; cutting it is the loss of that
/// contactor, which then passes nothing. Elements and their failures have the same places as in the aircraft itself.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

class PathCuts {
public:
    explicit PathCuts(const State& settled);

    struct Path {
        std::uint32_t element = none;          ///< what is fed
        std::string port{};
        std::uint32_t upstream = none;
        std::vector<std::uint32_t> through{};  ///< devices from source to load
        bool tie = false;
        FailureHandle cut{};
    };
    const std::vector<Path>& paths() const { return paths_; }
    const State& state() const { return state_; }

private:
    State state_;
    std::vector<Path> paths_;
};

}  // namespace fedfrom::detail
