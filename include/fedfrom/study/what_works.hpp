/// What still works, what falls back and what is lost: the whiteboard sheet, as a value.
///
///     WhatWorks w = what_works(net, {.failed = {{"gen_l"}, {"gen_r"}}});
///     std::cout << text(w);                           // stored energy first, then group by group
///     for (const Table& t : tables(w)) std::cout << to_markdown(t);
///
/// What is unknown stands as unknown, never among what works.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/study/question.hpp>
#include <fedfrom/study/trace.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// One function, judged as if asked for now.
struct FunctionLine {
    std::string id{}, name{}, group{};
    Level level = Level::unknown;
    std::string mode{}, mode_name{};          ///< the author's name, or the id with spaces; empty: none, or unknown which
    std::optional<bool> now{};                ///< in operation as things stand; no value: unknown
    std::string demand{};                     ///< the crew action it is judged with, "with GEAR HANDLE at DOWN"
    std::vector<std::string> crew{};          ///< the mode's notes
    std::map<std::string, double> effects{};  ///< by quantity
    std::optional<Severity> severity{};       ///< at this level, where the author said
    std::vector<Support> supports{};
    Sources sources{};                        ///< of all supports together
    bool operator==(const FunctionLine&) const = default;
};

struct ElementLine {
    std::string id{}, name{};
    Status status = Status::unknown;
    std::string position{};  ///< in the trade's word; "unknown"; empty: has none
    std::string passing{};   ///< "passes", "blocks", "unknown"; empty: not a device, or it depends on the contact
    bool tripped = false;
    Sources sources{};
    bool operator==(const ElementLine&) const = default;
};

/// Something that would go, or fall back, were every battery, accumulator and bottle spent.
struct StoredLine {
    std::string id{}, name{};
    bool function = false;
    Level now = Level::normal, without = Level::lost;  ///< of an element: supplied is normal; unknown is said
    std::vector<std::string> stores{};                 ///< those in use for it, in id order
    bool operator==(const StoredLine&) const = default;
};

struct Counts {
    std::size_t kept = 0, degraded = 0, lost = 0, not_fitted = 0, unknown = 0;
    bool operator==(const Counts&) const = default;
};

struct WhatWorks {
    Outcome outcome;
    std::vector<Step> events{};           ///< what was done, as asked; empty where asked of a state
    std::optional<bool> order_matters{};  ///< no value: not examined

    std::vector<StoredLine> stored{};     ///< functions, then elements, each in id order
    std::vector<FunctionLine> functions{};///< in the order of `groups`, then of ids
    std::vector<ElementLine> elements{};  ///< in id order
    Counts counts{};

    std::vector<FailureRef> roots{};         ///< the failures present; `at` is where it is stuck
    std::vector<std::string> consequences{}; ///< not, or not surely, supplied, unfailed, and supplied in a healthy aircraft with the same hands and givens
    std::vector<std::string> tripped{};      ///< devices
    std::vector<std::string> hunting{};      ///< what never came to rest
    std::vector<std::string> assumptions{};  ///< one sentence each: givens, positions off rest, order of events
};

/// From the running aircraft. Also says whether the order of events matters.
WhatWorks what_works(const Network& net, const Question& question);

/// Of a settled state's outcome, whatever led to it.
WhatWorks what_works(const Outcome& outcome);

/// Settles a copy of the state first.
WhatWorks what_works(const State& state);

/// The sheet, 100 columns wide: stored energy first, then each group's kept, degraded and lost with
/// live source and crew notes, tripped devices, counts, assumptions and the caution.
std::string text(const WhatWorks& works);

/// Stored energy (where there is any in use), functions, elements.
std::vector<Table> tables(const WhatWorks& works);

}  // namespace fedfrom
