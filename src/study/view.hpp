/// One settled picture of the aircraft to read from: the state itself, or as a demand leaves it.
///
/// Where cells hunt there are several worlds; what is not the same in all of
/// them has no value here, so that a study cannot take it for granted.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>

#include <fedfrom/solve/outcome.hpp>

namespace fedfrom::detail {

class View {
public:
    explicit View(const Outcome& out, std::uint32_t demand = 0)
        : out_(&out), c_(&out.network().compiled()), worlds_(&out.worlds(demand)), demand_(demand) {}

    const Outcome& outcome() const { return *out_; }
    const Compiled& compiled() const { return *c_; }
    const ElementInfo& element(std::uint32_t e) const { return c_->elements[e]; }
    const Worlds& worlds() const { return *worlds_; }
    std::uint32_t demand() const { return demand_; }

    std::optional<bool> truth(Literal l) const { return worlds_->truth(l); }
    bool surely(Literal l) const { return truth(l).value_or(false); }
    std::optional<bool> truth(Variable v) const { return truth(Literal::of(v)); }

    /// A condition as the compiled logic reads it (rule M19 for what is not fitted).
    std::optional<bool> holds(const Condition& condition) const;
    bool holds(const Condition& condition, std::size_t world) const;

    std::optional<std::uint32_t> position(std::uint32_t e) const;
    Status status(std::uint32_t e) const;
    /// The element has this failure; failures never hunt.
    bool failed(std::uint32_t e, std::string_view mode) const;
    /// Its contacts pass and make nothing, wherever it stands.
    /// The failure that has its contacts pass and make nothing; empty: none.
    std::string_view blanked_by(std::uint32_t e) const {
        if (element(e).blanked_by_loss && failed(e, "loss")) return "loss";
        return failed(e, "contacts") ? "contacts" : "";
    }
    bool blank(std::uint32_t e) const { return !blanked_by(e).empty(); }

private:
    const Outcome* out_;
    const Compiled* c_;
    const Worlds* worlds_;
    std::uint32_t demand_;
};

}  // namespace fedfrom::detail
