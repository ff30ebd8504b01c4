/// Tables of what differs between two outcomes.
#pragma once

#include <string>

#include <fedfrom/study/effect.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom::detail {

/// "lost", "degraded: backup", with its mark.
Cell level_cell(Level level, const std::string& mode_name);

Table functions_table(const Outcome& of, const Difference& difference, std::string title);
Table elements_table(const Outcome& of, const Difference& difference, std::string title);
Table undone_table(const Outcome& of, const Undone& undone);

}  // namespace fedfrom::detail
