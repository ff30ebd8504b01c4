// Coudert and Madre's prime implicants ("Implicit and incremental computation of primes and essential primes of Boolean
// functions", DAC 1992), from memory.
//
// In f = (x, high, low), those without x are those of "low and high"; with x, those of high, and with "not x" those of low,
// less each that contains one of "low and high".
#include <optional>
#include <stdexcept>
#include <unordered_map>

#include <fedfrom/logic/implicants.hpp>

namespace fedfrom {

namespace {

struct Call {
    Diagram f;
    std::uint32_t stage = 0;
    detail::Edge results[3] = {};  // of both, low, high
};

struct Primes {
    static constexpr std::uint32_t children = 3;
    Diagrams& d;
    Families& s;
    std::unordered_map<detail::Edge, detail::Edge>& found;

    Diagram part(Diagram f, bool high) const {
        const detail::DecisionNode& node = d.node(f.edge >> 1);
        return {(high ? node.high : node.low) ^ (f.edge & 1)};
    }

    std::optional<detail::Edge> known(const Call& c) const {
        if (c.f == Diagrams::never) return Families::none.edge;
        if (c.f == Diagrams::always) return Families::unit.edge;
        const auto it = found.find(c.f.edge);
        return it == found.end() ? std::nullopt : std::optional(it->second);
    }

    Call child(const Call& c) const {
        const Diagram low = part(c.f, false), high = part(c.f, true);
        return {c.stage == 0 ? d.all(low, high) : c.stage == 1 ? low : high};
    }

    detail::Edge finish(const Call& c) const {
        const Family both{c.results[0]}, low = s.without({c.results[1]}, both), high = s.without({c.results[2]}, both);
        const std::uint32_t level = d.level(c.f);
        const Family primes = s.make(that_holds(level), s.make(that_does_not(level), both, low), high);
        return found[c.f.edge] = primes.edge;
    }
};

}  // namespace

Family prime_implicants(Diagrams& d, Diagram f, Families& s) {
    if (s.levels() != 2 * d.variables()) throw std::invalid_argument("families of implicants have two levels for every variable");
    std::unordered_map<detail::Edge, detail::Edge> found;
    std::vector<Call> stack;
    return {detail::descend(Primes{d, s, found}, stack, Call{f})};
}

}  // namespace fedfrom
