/// Live sources over every world of a view.
#pragma once

#include <cstdint>
#include <memory>
#include <string_view>
#include <vector>

#include <fedfrom/study/trace.hpp>

#include "flow.hpp"

namespace fedfrom::detail {

/// The element of this id; UnknownId with the nearest element or function.
ElementHandle element_of(const Network& net, std::string_view id);

class SourceFinder {
public:
    explicit SourceFinder(View view);

    const View& view() const { return view_; }

    /// Nothing where it is not, or not surely, supplied.
    Sources of(std::uint32_t e);
    /// Element indices, for those that are sure.
    std::vector<std::uint32_t> indices(std::uint32_t e);

private:
    View view_;
    std::vector<Flow> flows_;  // by world
};

/// Of elements and functions, with one finder per demand.
class Tracer {
public:
    explicit Tracer(const Outcome& out) : out_(out), finders_(out.network().compiled().demands.size()) {}

    SourceFinder& finder(std::uint32_t demand = 0);
    std::vector<Support> supports(std::uint32_t function);
    /// Of all supports together.
    static Sources joined(const std::vector<Support>& supports);

private:
    const Outcome& out_;
    std::vector<std::unique_ptr<SourceFinder>> finders_;  // by demand

    void collect(const Condition& condition, std::uint32_t demand, std::vector<Support>& into);
};

}  // namespace fedfrom::detail
