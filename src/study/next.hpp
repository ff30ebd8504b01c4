/// Next failures against a clean aircraft that has been examined already.
#pragma once

#include <fedfrom/study/next_failures.hpp>

namespace fedfrom::detail {

/// `clean` is the impact of every cause on the clean aircraft, with the options' causes and goals.
NextFailures next_failures_against(const State& from, const ImpactTable& clean, const NextOptions& options);

/// "2 hazardous, 1 minor"; those without a severity last. Empty: none.
std::string severities_text(const NextFailures& next);

/// The failures newly exposed, and the rest.
Table exposed_table(const NextFailures& next);
Table sources_table(const NextFailures& next);
Table remaining_table(const NextFailures& next);

}  // namespace fedfrom::detail
