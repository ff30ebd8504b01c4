/// Root causes against consequences: what stands worse than in the running aircraft, under the causes that take it there.
///
///     State state = running_state(net);
///     state.fail("gen_l").fail("tie", "stuck", "open").set("standby_switch", "BATT").fail("battery");
///     RootCauses r = root_causes(state);
///     std::cout << text(r);                     // each cause, its consequences indented under it
///     r.consequences.front().roots;             // {{0}}: the first cause is enough alone
///
/// A consequence is a function that stands worse than in the running aircraft (rule M17), an element that is supplied there
/// and not, or not surely, here and has not failed itself, a device that has tripped, a store that is empty. Its roots are those
/// causes that alone, put into the running aircraft, leave it no better than it stands (rule M41); where none does, the
/// smallest sets of them that do. Where no set does, it hangs on the order of what happened, and that is said.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/impact_table.hpp>
#include <fedfrom/study/why.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

struct Consequence {
    enum class Of { function, element, trip, empty };
    Of of = Of::function;
    std::string id{}, name{};
    Change change{};                     ///< of a function: from the running aircraft
    Status status = Status::unknown;     ///< of an element, a device or a store
    std::optional<Severity> severity{};  ///< of a function at this level, where its author said
    std::vector<std::vector<std::size_t>> roots{};  ///< places in RootCauses::causes, fewest first; empty: no set tried is enough
    bool operator==(const Consequence&) const = default;
};

inline constexpr std::string_view name_of(Consequence::Of of) {
    constexpr std::array<std::string_view, 4> names{"function", "element", "trip", "empty"};
    return names[static_cast<std::size_t>(of)];
}

struct RootCauses {
    Outcome outcome, running;
    std::vector<RootCause> causes{};          ///< all that is present, by kind, id, word
    std::vector<Consequence> consequences{};  ///< functions in the order of groups, then elements, trips and stores by id
    std::vector<std::string> remembered{};    ///< where some consequence has no roots: what the aircraft remembers beside its causes
    bool complete = true;                     ///< false: more than twelve causes, and not every set was tried
    std::size_t complete_to = 0;              ///< every set of up to so many causes was
};

RootCauses root_causes(const Outcome& outcome);

/// Settles a copy of the state first.
RootCauses root_causes(const State& state);

/// One row a set of roots and consequence.
Table table(const RootCauses& roots);
std::string text(const RootCauses& roots);

}  // namespace fedfrom
