/// What a product of families leaves out for weighing too much: how probable it is that any of it comes true.
#pragma once

#include <span>
#include <unordered_map>
#include <vector>

#include <fedfrom/logic/family.hpp>

namespace fedfrom {

class LeftOut {
public:
    LeftOut(const Families& s, std::span<const double> p) : s_(s), p_(p) {}

    /// An upper bound on the probability that all variables of some f + g heavier than `most` hold.
    double bound(Family f, Family g, std::uint32_t most);

    /// To be called when the store has forgotten families.
    void forget() { below_.clear(); }

private:
    struct Call {
        Family f, g;
        std::uint32_t most;
        bool all = false;  // whatever it weighs
        std::uint32_t stage = 0;
        double results[4] = {};
    };
    struct Key {
        std::uint32_t f, g, most;
        bool operator==(const Key&) const = default;
    };
    struct Hash {
        std::size_t operator()(const Key& k) const { return detail::mixed(k.f, k.g, k.most); }
    };
    struct Below {
        double sum;              // of the probabilities of the sets
        std::uint32_t deepest;  // level of any member, plus one
    };
    struct Kernel;

    const Families& s_;
    std::span<const double> p_;
    std::vector<Below> below_;  // by node
    std::vector<Call> stack_;
    std::unordered_map<Key, double, Hash> known_;

    void note_below();
    double least(Family f, Family g) const;
};

}  // namespace fedfrom
