/// Probabilities of diagrams and bounds from set families, where the variables are independent.
///
/// `p[v]` is the probability that variable v holds (has failed); v is the number in the store, that is,
/// the level. Every function throws std::invalid_argument where there is not one for every variable, from 0 to 1.
/// Zero and one are as good as any other. All in O(nodes) unless said.
#pragma once

#include <span>
#include <vector>

#include <fedfrom/logic/diagram.hpp>
#include <fedfrom/logic/family.hpp>

namespace fedfrom {

/// Exact but for rounding. Nothing is taken from one another: the result has its digits even where it is 1e-300.
double probability(const Diagrams&, Diagram, std::span<const double> p);

/// For every variable the Birnbaum importance: the partial derivative of the probability, which is the
/// probability where it holds less the probability where it does not. Negative where its holding helps.
std::vector<double> birnbaum(const Diagrams&, Diagram, std::span<const double> p);

/// The sum of the sets' probabilities: the rare-event approximation, never below the probability that one of them holds. May exceed one.
double rare_event(const Families&, Family, std::span<const double> p);

/// One less the product over all sets of (1 - probability of the set): never below the probability that one
/// of them holds, never above one, and never above `rare_event`. Takes up to 64 walks, however many sets there are.
double min_cut_upper_bound(const Families&, Family, std::span<const double> p);

}  // namespace fedfrom
