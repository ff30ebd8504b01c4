/// Where a failure can help: what, failed, and what, working, takes a function below a level whatever the rest do.
///
///     PrimeImplicants p = prime_implicants(net, "wheel_braking");
///     p.sets.front().failed;       // with these failed …
///     p.sets.front().working;      // … and these not, it is below the level, whatever else fails
///
/// A *prime implicant* is a smallest such pair: nothing can be left out of it. A state is below the level exactly
/// where it holds all of one. A cut set says less: that it is enough with everything else working. Where no
/// failure can help, the two are the same and nothing need work. Of the modes of an element at most one happens.
#pragma once

#include <fedfrom/study/cut_sets.hpp>

namespace fedfrom {

struct PrimeImplicantOptions {
    Level below = Level::normal;                      ///< as of `cut_sets`
    std::optional<std::vector<FailureRef>> within{};  ///< the only failures that may happen; none: every failure not present
    std::size_t most_sets = 10'000;                   ///< listed; all are counted
    Budget budget{};                                  ///< of the diagrams
};

struct Implicant {
    std::vector<FailureRef> failed{}, working{};  ///< by element and mode; of what is working, that this has not happened
    bool operator==(const Implicant&) const = default;
};

struct PrimeImplicants {
    Outcome before;
    std::string function{};
    PrimeImplicantOptions options{};
    bool already = false;                 ///< the function is below the level as it is: there is nothing to take away
    std::vector<Implicant> sets{};        ///< by how many failures they name, then ids
    std::vector<std::uint64_t> counts{};  ///< [k]: implicants that name k failures, listed or not; 2^64 - 1 stands for that many or more
};

/// From a settled state (a copy is settled first). Throws UnknownId, and NotPossible as `cut_sets`, where
/// combinations have to be settled one by one, or where the budget does not suffice. Cost: that of the diagram of all combinations, and of one for what two nodes have in common.
PrimeImplicants prime_implicants(const State& from, std::string_view function, const PrimeImplicantOptions& options = {});
PrimeImplicants prime_implicants(const Network& net, std::string_view function, const PrimeImplicantOptions& options = {});

Table table(const PrimeImplicants& implicants);
std::string text(const PrimeImplicants& implicants);

}  // namespace fedfrom
