/// The prime implicants of a Boolean function as a family of sets.
///
///     Families s(2 * d.variables());
///     const Family primes = prime_implicants(d, f, s);
///
/// An implicant is a set of variables that hold and of variables that do not with which the function holds, whatever the
/// others do; it is prime where nothing can be left out of it.
#pragma once

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/family.hpp>

namespace fedfrom {

/// Members of a prime implicant: of the variable at a level, that it holds, or that it does not.
constexpr std::uint32_t that_holds(std::uint32_t level) { return 2 * level; }
constexpr std::uint32_t that_does_not(std::uint32_t level) { return 2 * level + 1; }

/// The store has two levels for every variable. Makes new diagrams in theirs. Throws std::invalid_argument, and `BudgetSpent` of either.
Family prime_implicants(Diagrams& diagrams, Diagram f, Families& families);

}  // namespace fedfrom
