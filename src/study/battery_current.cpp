#include "battery_current.hpp"

#include <algorithm>
#include <cmath>

namespace fedfrom::detail {

LoadGraphs load_graphs(const Outcome& out) {
    LoadGraphs graphs;
    for (std::size_t w = 0; !out.worlds().all_unknown && w < out.worlds().values.size(); ++w) graphs.push_back(std::make_unique<LoadGraph>(View(out), w));
    return graphs;
}

Current battery_current(const LoadGraphs& graphs, std::uint32_t battery, std::string_view condition, const std::set<std::uint32_t>& shed, Gaps* gaps) {
    Current all;
    for (std::size_t w = 0; w < graphs.size(); ++w) {
        const LoadFlow flow(*graphs[w], condition, shed);
        const auto volts = graphs[w]->volts(battery);
        const Draw& draw = flow.through(battery);
        const Span steady = amps_of(draw.continuous, volts), five = amps_of(draw.five_minutes, volts);
        const Span once{std::max(0.0, five.low - steady.low) * 5, std::isinf(five.high) ? 0 : std::max(0.0, five.high - steady.high) * 5};
        if (w == 0) all = {steady, once};
        else all = {{std::min(all.amps.low, steady.low), std::max(all.amps.high, steady.high)}, {std::min(all.once_amp_minutes.low, once.low), std::max(all.once_amp_minutes.high, once.high)}};
        if (gaps && !draw.nothing()) gaps->add(graphs[w]->gaps()), gaps->add(flow.gaps());
    }
    return graphs.empty() ? Current{Span::at_least(0), {}} : all;
}

}  // namespace fedfrom::detail
