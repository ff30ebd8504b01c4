/// Deferring units of dispatch items, and how the items' conditions then stand.
///
/// A condition may name a given or a position the crew selects (the APU runs, a switch is at ON). Where
/// it is not met as things stand, the selections and givens that the conditions name are tried, all
/// combinations; those of several items together, since they have to be had all at once.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <fedfrom/study/deferral.hpp>

namespace fedfrom::detail {

/// One unit of an item, as the model has it. An item without units has one without a body.
struct Unit {
    const std::string* item = nullptr;
    const DispatchItem* def = nullptr;
    std::string id{};
    const DispatchUnit* body = nullptr;
    bool operator==(const Unit&) const = default;

    Deferral deferral() const { return {*item, id, std::nullopt}; }
};

/// All units of all items: by item, then unit.
std::vector<Unit> units_of(const Model& m);
std::vector<Unit> units_of(const std::string& id, const DispatchItem& item);

/// Calls with the units of each item, of units in order.
template <class Call>
void each_item(std::span<const Unit> units, const Call& call) {
    for (std::size_t first = 0, last = 0; first < units.size(); first = last) {
        while (last < units.size() && units[last].item == units[first].item) ++last;
        call(units.subspan(first, last - first));
    }
}

/// "Starter-generator", and "Starter-generator, left" where there are several units.
std::string item_name(const Unit& u);
std::string unit_name(const Unit& u);
std::string called(const Unit& u);

/// A condition in words: "Battery supplied", "Propeller reverse normal", "not icing".
std::string condition_text(const Compiled& c, const Condition& condition);

/// Of the elements of a unit, those that are fitted.
std::vector<std::uint32_t> elements_of(const Compiled& c, const Unit& u);
bool fitted(const Compiled& c, const Unit& u);

/// Takes the unit out and secures what is secured. What cannot be done goes to `not_known`, a sentence each.
void defer(State& state, const Unit& u, std::vector<std::string>& not_known);
/// The same elements as they fail, nothing secured.
void fail(State& state, const Unit& u);

/// An element two units secure in different positions, in words; empty: there is none.
std::string secured_apart(const Compiled& c, const Unit& a, const Unit& b);

/// How the conditions of some units stand with all of them out.
struct Standing {
    std::vector<std::vector<Provided>> provided{};  ///< by unit
    std::vector<bool> to_be_had{};  ///< by unit: all its own conditions at once, whatever the others ask for
    bool together = true;           ///< all of all
};

class Conditions {
public:
    explicit Conditions(const State& settled) : base_(settled), c_(settled.network().compiled()) {}

    /// The state with these out, settled.
    Outcome out(const std::vector<const Unit*>& units) const;
    Standing stand(const std::vector<const Unit*>& units, const Outcome& out);
    std::size_t settles() const { return settles_; }

private:
    const State& base_;
    const Compiled& c_;
    mutable std::size_t settles_ = 0;

    /// A given, or an element the crew sets, and the value it is tried at.
    struct Choice {
        bool is_given = false;
        std::uint32_t index = none;
        std::uint32_t now = 0, values = 0;
    };
    std::vector<Choice> choices(const std::vector<const Condition*>& conditions, const State& state) const;
    std::string choice_text(const std::vector<Choice>& choices, const std::vector<std::uint32_t>& values) const;
};

inline constexpr std::size_t most_choices = 64;

}  // namespace fedfrom::detail
