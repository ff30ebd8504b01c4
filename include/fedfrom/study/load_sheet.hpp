/// The load sheet: what is drawn from every source, bus, converter and breaker in one operating condition.
///
///     LoadSheet sheet = load_sheet(state, "g07_cruise");
///     for (const LoadLine& line : sheet.lines) std::cout << line.name << ' ' << text(line.continuous.amps) << '\n';
///     sheet.findings;                        // overloads, the 80 percent rule of thumb, breakers against their wire
///     load_conditions(net);                  // what the model calls its operating conditions
///
/// Demand is summed along the supply in use: of alternatives the one in use (rule M9), of parallel feeds all, by the rating
/// of the sources behind each. Watts and reactive volt-amperes are what is conserved; amperes are volt-amperes over volts.
/// A converter takes what it gives over its efficiency. What is not known, because supply is unknown or a figure is not in
/// the model, is a range, or "at least" so much; it is never taken as zero.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// A number that may be known within limits only. No `high`: at least `low`; no `low`: at most `high`; neither: unknown.
struct Figure {
    std::optional<double> low{}, high{};
    bool known() const { return low && high && *low == *high; }
    bool operator==(const Figure&) const = default;
};

/// "12.5", "12.5 to 30", "at least 12.5", "unknown"; rounded for a sheet.
std::string text(const Figure& figure);

struct LoadFigures {
    Figure amps{}, watts{}, volt_amperes{};
    bool operator==(const LoadFigures&) const = default;
};

enum class LoadRole : std::uint8_t { source, converter, bus, device, load };

enum class Overload : std::uint8_t {
    no,
    possible,  ///< not all is known, and it may be above the rating
    yes,       ///< the continuous load is above the rating
    no_rating,
};

std::string_view name_of(LoadRole role);
std::string_view name_of(Overload overload);

/// What one element carries: a source, bus or converter gives it, a device lets it through, a load takes it.
struct LoadLine {
    std::string id{}, name{};
    LoadRole role = LoadRole::load;
    Status status = Status::unknown;
    std::optional<double> volts{};          ///< where this current flows; no value: not known, or not everywhere the same
    LoadFigures continuous{};
    LoadFigures five_minutes{}, five_seconds{};  ///< averages over so long; intermittent loads count for their duty
    Figure inrush_amps{};                   ///< the 5-second amperes with the largest single inrush on top
    std::optional<double> rating{};
    std::string rating_unit{};              ///< amps, volt_amperes or watts
    Figure margin{};                        ///< rating less continuous load, in that unit; below 0: overload
    Overload overload = Overload::no_rating;
    bool operator==(const LoadLine&) const = default;
};

/// A load that draws as things stand and then is not surely supplied: what feeds it is lost, or the aircraft sheds it.
struct WithoutSupply {
    std::string id{}, name{};
    Status status = Status::unsupplied;
    bool operator==(const WithoutSupply&) const = default;
};

/// What the others carry with one source or converter lost.
struct SourceOut {
    std::string id{}, name{};
    std::vector<LoadLine> lines{};  ///< sources, and whatever is, or may be, overloaded
    std::vector<WithoutSupply> without_supply{};  ///< in id order
    bool operator==(const SourceOut&) const = default;
};

struct LoadFinding {
    enum class What : std::uint8_t {
        overload,
        possible_overload,
        short_overload,  ///< above the rating on average over five seconds or minutes, not continuously
        eighty_percent,  ///< continuous load above 80 percent of a generator's rating (AC 43.13-1B 11-35)
        wire,            ///< a breaker above what Table 11-3 of AC 43.13-1B puts before its wire
        voltage_drop,    ///< more volts lost along the wire than AC 43.13-1B allows for a continuous load
    };
    What what = What::overload;
    std::string id{}, text{};
    bool operator==(const LoadFinding&) const = default;
};

std::string_view name_of(LoadFinding::What what);

struct LoadSheetOptions {
    bool one_source_out = true;
    std::vector<std::string> shed{};  ///< loads that are off: shed by hand
};

struct LoadSheet {
    Outcome outcome;
    std::string condition{};
    std::vector<std::string> shed{};         ///< as asked
    std::vector<LoadLine> lines{};           ///< by role, then id; devices and loads only where something may flow
    std::vector<SourceOut> one_out{};        ///< every source and converter that carries load, in id order
    std::vector<LoadFinding> findings{};     ///< as things stand; by kind, then id
    Figure delivered_watts{}, consumed_watts{}, lost_watts{};  ///< continuous: by sources, by loads, in converters
    std::vector<std::string> missing{};      ///< what is not in the model, so that figures are not sure
    std::vector<std::string> assumptions{};

    const LoadLine* line(std::string_view id) const;  ///< null: not on the sheet
};

/// The operating conditions the model names, in id order.
std::vector<std::string> load_conditions(const Network& net);

/// Of a settled state (a copy is settled first). UnknownId for a condition no element names, or a load that is not there;
/// NotPossible where there is no load, or none to shed.
LoadSheet load_sheet(const State& state, std::string_view condition, const LoadSheetOptions& options = {});
LoadSheet load_sheet(const Outcome& outcome, std::string_view condition, const LoadSheetOptions& options = {});

/// Of the running aircraft.
LoadSheet load_sheet(const Network& net, std::string_view condition, const LoadSheetOptions& options = {});

/// Findings, sources, buses and converters, devices, loads, one source out: those that have rows.
std::vector<Table> tables(const LoadSheet& sheet);
std::string text(const LoadSheet& sheet);

}  // namespace fedfrom
