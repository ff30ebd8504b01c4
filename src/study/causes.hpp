/// What is present in a state beyond the running aircraft, and which smallest sets of it explain what (rule M41).
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include <fedfrom/study/why.hpp>

#include "variations.hpp"

namespace fedfrom::detail {

/// A failure of an element: "GEN L (gen_l): loss", "BUS TIE (tie): stuck at open".
RootCause failure_cause(const Compiled& c, std::uint32_t e, std::string_view mode, std::string_view at = {});
/// A hand at a position; a given; a one-shot mode used.
RootCause hand_cause(const ElementInfo& e, std::string_view position);
RootCause given_cause(const Compiled& c, const std::string& id, bool value);
RootCause used_cause(const Compiled& c, const OneShotInfo& mode);

/// One way to stand badly, of a function or an element.
struct Plight {
    enum class Of : std::uint8_t { function, supply, position, trip, emptied };
    Of of = Of::function;
    std::uint32_t index = none;
    bool operator==(const Plight&) const = default;
};

class Causes {
public:
    explicit Causes(const Outcome& out);

    const std::vector<RootCause>& present() const { return present_; }
    /// The running aircraft (rule M17), settled.
    const Outcome& running() const { return running_; }

    /// What is worse than in the running aircraft: functions, then elements without supply, trips and emptied stores.
    std::vector<Plight> consequences() const;

    /// Of each plight, the smallest sets.
    std::vector<CauseSets> explain(const std::vector<Plight>& plights) const;

private:
    using Set = std::uint64_t;  // a bit a cause
    static constexpr std::size_t most_for_all_subsets = 12, most_sets = std::size_t{1} << most_for_all_subsets;

    /// How a cause is put into the running aircraft.
    struct Put {
        Event event{};
        Variable raised = 0;  ///< a bit of memory, instead of an event
    };

    const Outcome& out_;
    const Compiled& c_;
    Outcome running_;
    std::vector<RootCause> present_;
    std::vector<Put> put_;  // beside `present_`

    void add(RootCause cause, Put put);
    void find_events();
    void find_what_remains();
    void sort();
    bool into(State& state, const std::vector<std::uint32_t>& causes) const;
    State all_together() const;
    std::vector<std::string> remembered() const;
    bool stands(const Plight& p, const Variations& trials, std::size_t trial) const;
};

/// "GEN L (gen_l): loss and BUS TIE (tie): stuck at open".
std::string set_text(const std::vector<RootCause>& set);
/// What the sets say, one sentence each.
std::vector<std::string> sentences(const CauseSets& causes);

}  // namespace fedfrom::detail
