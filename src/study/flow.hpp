/// The feeds in use in one world, and the sources at their far end.
///
/// Sources are found for a whole region at once: strongly connected parts of the
/// graph of feeds in use, far end first (Tarjan, with a stack of its own). What
/// supplies each other in a loop shares all that feeds the loop, and what only holds
/// itself in is its own source. Sets are shared
/// where they are equal, so a chain costs one set.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include <fedfrom/solve/evaluate.hpp>

#include "view.hpp"

namespace fedfrom::detail {

class Flow {
public:
    using Set = std::shared_ptr<const std::vector<std::uint32_t>>;

    Flow(const View& view, std::size_t world)
        : c_(view.compiled()), worlds_(view.worlds()), world_(world), evaluator_(c_.program), values_(worlds_.values[world]) {}

    bool supplied(std::uint32_t e) const { return reads(c_.elements[e].supplied); }
    /// It has what comes in by this port, and does something with it, if only start.
    bool takes_by(std::uint32_t e, std::uint32_t port) const {
        const ElementInfo& it = c_.elements[e];
        return reads(c_.ports[port].supplied) && (supplied(e) || (it.starting && reads(Literal::of(it.starting))));
    }

    /// A source to name, behind which nothing is shown: what has no port, and generators and alternators of every kind.
    bool is_named(std::uint32_t e) const;

    /// The feeds of a port in use: one of a port with alternatives, all that are live of any other.
    std::vector<std::uint32_t> in_use(std::uint32_t port);

    /// Element indices in order; empty where it is not supplied.
    const std::vector<std::uint32_t>& sources(std::uint32_t e);

private:
    const Compiled& c_;
    const Worlds& worlds_;
    std::size_t world_;
    Evaluator<One> evaluator_;
    std::vector<One> values_, scratch_;
    std::vector<Set> sets_;  // by element, once known

    bool reads(Literal l) const { return worlds_.read(world_, l); }
    std::vector<std::uint32_t> upstreams(std::uint32_t e);
    void find(std::uint32_t e);
    void close(const std::vector<std::uint32_t>& members);
    std::vector<std::uint32_t> alone(std::uint32_t e) const;
    std::vector<std::uint32_t> all_behind(const std::vector<std::uint32_t>& members) const;
};

}  // namespace fedfrom::detail
