/// A network while it is being compiled, and the steps' shared vocabulary.
///
/// compile.hpp runs the steps in order; each is one header:
/// wiring.hpp (ports, feeds, ties), inputs.hpp (memory and zone variables),
/// logic.hpp (conditions, positions, supply), links.hpp (what a fault runs
/// along), judging.hpp (functions).
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include <fedfrom/model/id_table.hpp>
#include <fedfrom/model/resolve.hpp>
#include <fedfrom/network/compiled.hpp>
#include <fedfrom/network/gate_builder.hpp>

namespace fedfrom::detail {

/// A coil or a field winding: a fault goes out of it, never into it.
inline bool own_circuit(const PortInfo& port) { return port.name == "control" || port.name == "field"; }

/// The failure modes that rules ask of every element.
enum class Asked : std::uint8_t { loss, stuck, contacts, no_trip, short_, leak, jam };
inline constexpr std::array<std::string_view, 7> asked_words{"loss", "stuck", "contacts", "no_trip", "short", "leak", "jam"};

/// What answers whether an element stands in one of a set of positions. Nearly every element is asked for one set
/// alone; where there is room by element, that one is found without hashing.
class Answers {
public:
    Answers() = default;
    explicit Answers(std::size_t elements) : first_(elements) {}

    std::optional<Literal> find(std::uint32_t e, std::uint32_t positions) const {
        if (e < first_.size() && first_[e].positions == positions) return first_[e].answer;
        if (further_.empty()) return std::nullopt;
        const auto it = further_.find(key(e, positions));
        return it == further_.end() ? std::nullopt : std::optional(it->second);
    }
    void add(std::uint32_t e, std::uint32_t positions, Literal answer) {
        if (e < first_.size() && first_[e].positions == 0) first_[e] = {positions, answer};
        else further_.emplace(key(e, positions), answer);
    }
    /// Those for which there was no room. A fresh table: clearing one that was once large costs its size.
    void forget() {
        if (!further_.empty()) further_ = {};
    }

private:
    struct First {
        std::uint32_t positions = 0;  // none: nothing was asked
        Literal answer = never;
    };
    std::vector<First> first_;  // by element
    std::unordered_map<std::uint64_t, Literal> further_;

    static std::uint64_t key(std::uint32_t e, std::uint32_t positions) { return std::uint64_t{e} << 32 | positions; }
};

inline std::uint32_t place_of(std::string_view word, std::span<const std::string_view> words) {
    const auto it = std::ranges::find(words, word);
    return it == words.end() ? none : static_cast<std::uint32_t>(it - words.begin());
}

struct Draft {
    Compiled& out;
    model::IdTable ids{};  ///< of the elements
    std::vector<Kind> kinds{};  ///< of the elements: asked so often that going to each of them would take long
    std::size_t reported = 0;  ///< positions and shows of all of them
    model::IdTable::Trail conditions_trail{};
    GateBuilder gates{};

    /// Position sets asked for. Those of the logic serve all; those of later stages only their own.
    Answers known{out.model.elements.size()}, known_here{};
    struct Open {
        std::uint32_t element, positions, gate;
    };
    std::vector<Open> open{};  ///< asked for, not yet defined
    std::vector<std::array<Variable, asked_words.size()>> failed_by{};  ///< by element and mode; 0: it cannot fail so
    /// Gates that say the opposite of others, made in this stage.
    std::unordered_map<std::uint32_t, Literal> opposites{};
    /// While a mode's condition is compiled: it named something not fitted.
    bool met_unfitted = false;

    std::uint32_t element(std::string_view id) const { return ids.find(id); }
    const KindRow& kind(std::uint32_t e) const { return row(kinds[e]); }

    std::uint32_t position(std::uint32_t e, std::string_view word) const { return place_of(word, out.elements[e].positions); }
    std::uint32_t position_bit(std::uint32_t e, std::string_view word) const {
        const std::uint32_t p = position(e, word);
        return p == none ? 0 : 1u << p;
    }
    std::uint32_t all_positions(std::uint32_t e) const {
        return static_cast<std::uint32_t>((std::uint64_t{1} << out.elements[e].positions.size()) - 1);
    }

    /// True only in that failure of the element; `never` where it cannot fail so.
    Literal failed(std::uint32_t e, Asked mode) const {
        const Variable v = failed_by[e][static_cast<std::size_t>(mode)];
        return v == 0 ? never : Literal::of(v);
    }
    Literal failed(std::uint32_t e, std::string_view mode) const {
        for (std::uint32_t f = out.elements[e].failures.first; f < out.elements[e].failures.last; ++f)
            if (out.failures[f].mode == mode) return Literal::of(out.failures[f].variable);
        return never;
    }

    /// As `without_of`, without the copy.
    const std::vector<Without>& without(const Element& e) const {
        return e.without.empty() && opens_without_control(e) ? opens : e.without;
    }
    const std::vector<Without> opens{{"control", "open"}};  ///< what such a kind says

    std::uint32_t zone(std::uint32_t e, std::uint32_t medium) const {
        for (std::uint32_t z = out.elements[e].zones.first; z < out.elements[e].zones.last; ++z)
            if (out.zones[z].medium == medium) return z;
        return none;
    }
};

}  // namespace fedfrom::detail
