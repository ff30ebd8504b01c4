/// What a sweep found, on paper.
///
///     SweepOptions options{.order = 2};
///     Sweep sweep(state, options);
///     std::cout << text(sweep.run(), sweep.before(), options);
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include <fedfrom/solve/sweep.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// A failure, position or given in words: "gen_l loss", "valve stuck at closed", "standby_switch at BATT", "airborne false".
std::string event_text(const Event& event, const Network& net);

/// One row a hit, in the order of the result; of a long one the first `most`, and a footnote that says so. `before` is
/// the sweep's, `asked` what it was asked with. Linear in the rows.
Table table(const SweepResult& result, const Outcome& before, const SweepOptions& asked, std::size_t most = SIZE_MAX);

/// The first 100 rows.
std::string text(const SweepResult& result, const Outcome& before, const SweepOptions& asked);

}  // namespace fedfrom
