// In which order the gates of a loop are evaluated from all dead, and how many times, until its least fixed point is reached whatever goes in.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/network/program.hpp>

namespace fedfrom::detail {

/// Sweeps over all gates of a loop, the first forth, the next back, and so on in turn.
struct LoopSweeps {
    std::vector<std::uint32_t> forth, back;  ///< the gates
    std::size_t most = 0;                    ///< after so many nothing changes any more
};

/// Few sweeps, not the fewest. O(gates and operands).
LoopSweeps loop_sweeps(const Program&, const Component& loop);

}  // namespace fedfrom::detail
