/// Figures of a load sheet: made from spans, joined over worlds, rounded for a sheet.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/load_sheet.hpp>
#include <fedfrom/study/storage.hpp>

#include "load_flow.hpp"

namespace fedfrom::detail {

/// To twelve digits, so that a sum of tenths is as it would be written.
double tidy(double x);
Figure figure_of(Span span);
/// What covers both.
Figure joined(const Figure& a, const Figure& b);

/// Rounded to two decimals below ten, one below a thousand, whole above.
double rounded(double x);
/// A number where it is known, else in words.
Cell cell_of(const Figure& figure, Mark mark = Mark::none);

/// The condition, or UnknownId naming the nearest; NotPossible where no element has a load.
void check_condition(const Network& net, std::string_view condition);
/// Loads that are shed, as elements; NotPossible for what has none, UnknownId for what is not there.
std::set<std::uint32_t> shed_loads(const Network& net, const std::vector<std::string>& ids);
/// Elements by name, the first twelve and how many more.
std::string names(const Compiled& c, const std::set<std::uint32_t>& elements);

/// A fault drags something electrical down, or may.
bool faulted(const Outcome& out);

/// The law by which a battery's time depends on the current, as a sentence.
std::string discharge_text(const Discharge& law);

/// What is missing and what is assumed, in sentences that name elements.
std::vector<std::string> missing_texts(const Compiled& c, const Gaps& gaps);
std::vector<std::string> assumed_texts(const Compiled& c, const Gaps& gaps);
/// What is assumed wherever loads are added up, and what of it this answer met.
std::vector<std::string> load_assumptions(const Compiled& c, const Gaps& gaps, bool faulted);

}  // namespace fedfrom::detail
