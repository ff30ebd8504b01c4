/// What must hold where something holds: of supply, of ways and of conditions, whatever fails and however all stands.
///
/// Followed as far as it is plain: a port with one way in is supplied only where that way is live, an element only where
/// its ports are and its `needs` holds, all of a list only where each is. What is found is so; not all that is so is found.
#pragma once

#include <cstdint>
#include <vector>

#include <fedfrom/network/network.hpp>

namespace fedfrom::detail {

class Implied {
public:
    explicit Implied(const Compiled& c) : c_(c), supplied_(c.elements.size(), false) {}

    void add_supply(std::uint32_t e);
    void add_port(std::uint32_t port);
    void add_way(std::uint32_t feed);
    void add(const Condition& condition);

    bool supplied(std::uint32_t e) const { return supplied_[e]; }
    bool port(std::uint32_t port) const;
    bool way(std::uint32_t feed) const;
    bool holds(const Condition& condition) const;

private:
    /// A device passes in some of these positions, and is in no fault of the medium.
    struct Pass {
        std::uint32_t element, positions, medium;
        Literal passes;
    };
    const Compiled& c_;
    std::vector<bool> supplied_;
    std::vector<Pass> passes_;
    std::vector<Condition> conditions_;  // those that are no list of others

    void follow(std::vector<std::uint32_t> todo);
    void take_port(std::uint32_t port, std::vector<std::uint32_t>& upstream);
    void take_way(std::uint32_t feed, std::vector<std::uint32_t>& upstream);
    void take(const Condition& condition, std::vector<std::uint32_t>& upstream);
};

}  // namespace fedfrom::detail
