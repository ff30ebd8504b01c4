// How likely failures are on a flight, by the author's figures.
#pragma once

#include <span>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

/// Of failures that may be combined, by their place in the list.
class FailureOdds {
public:
    /// `hours` of a flight. Throws NotPossible where they are not above 0.
    FailureOdds(const Compiled& c, const std::vector<FailureHandle>& failures, double hours);

    bool known(std::size_t i) const;                  ///< it has a rate or a probability
    int interval(std::size_t i) const;                ///< flights from one check to the next; 1 where it does not hide
    double on(std::size_t i, int flight) const;       ///< that it is there on the n-th flight after a check, counted from 0
    double at_most(std::size_t i) const { return known(i) ? on(i, interval(i) - 1) : 1; }  ///< on any flight
    std::vector<double> all_on(int flight, double where_not_known) const;

private:
    const Compiled& c_;
    const std::vector<FailureHandle>& failures_;
    double hours_;
};

/// Never below the probability that more than `order` elements have failed, one of them in two modes, or one of `set_apart` (by element) at all.
/// The failures stand by element.
double probability_of_more(const Compiled& c, const std::vector<FailureHandle>& failures, std::span<const double> p, int order, const std::vector<bool>& set_apart = {});

}  // namespace fedfrom::detail
