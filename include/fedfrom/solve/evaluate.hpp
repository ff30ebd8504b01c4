/// Evaluates a program: the least fixed point of every loop, stratum by stratum.
///
/// A loop starts from all dead and is swept, forwards and backwards in turn,
/// until nothing changes, which is the least fixed point since no loop runs
/// through a negation. Holders that were holding are first taken as supplied and
/// dropped where their own supply then fails, until none is: what stays is the
/// largest self-consistent set (rule M13).
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <type_traits>
#include <utility>
#include <vector>

#include <fedfrom/network/program.hpp>
#include <fedfrom/solve/word.hpp>

namespace fedfrom::detail {

template <class W>
class Evaluator {
public:
    explicit Evaluator(const Program& p) : p_(p), holding_(p.holders.size()) {
        std::uint32_t most = 0;
        for (const Gate& g : p.gates) most = std::max(most, g.count);
        reached_.resize(most);
    }

    static W read(std::span<const W> values, Literal l) { return values[l.variable()] ^ W::filled(l.negated()); }

    /// Everything the logic decides, from the inputs.
    void logic(std::span<W> values) { components<false>(values); }

    /// Supply alone: every position stays as `values` has it.
    void supply(std::span<W> values) { components<true>(values); }

    /// Gates outside the logic, in order: those of a stage, or of one function.
    void gates(std::span<W> values, std::uint32_t first, std::uint32_t last) {
        for (auto c = std::ranges::lower_bound(p_.components, first, {}, &Component::first); c != p_.components.end() && c->first < last; ++c) alike(values, *c);
    }

    /// One loop, from its start; gate `dead` is taken as dead (rule M9).
    template <bool positions_stay>
    void loop(std::span<W> values, const Component& c, std::uint32_t dead = nothing) {
        loop<positions_stay>(values, c, dead, [](Variable, const W&) {});
    }
    /// The same, and tells of every value a gate has on the way, but for all dead at the start.
    template <bool positions_stay, class Tell>
    void loop(std::span<W> values, const Component& c, std::uint32_t dead, Tell tell) {
        for (std::uint32_t h = c.first_holder; h < c.last_holder; ++h) holding_[h] = values[p_.holders[h].holding];
        for (bool dropped = true; dropped;) {
            for (std::uint32_t g = c.first; g < c.last; ++g)
                if (!positions_stay || !p_.gates[g].position) values[p_.output(g)] = W::filled(false);
            for (std::uint32_t h = c.first_holder; h < c.last_holder; ++h)
                if (p_.holders[h].gate != dead) tell(p_.output(p_.holders[h].gate), values[p_.output(p_.holders[h].gate)] = holding_[h]);
            rest<positions_stay>(values, c, dead, tell);
            dropped = false;
            for (std::uint32_t h = c.first_holder; h < c.last_holder; ++h) {
                const std::uint32_t g = p_.holders[h].gate;
                const W fails = holding_[h] & ~gate(values, p_.gates[g]);
                if (g == dead || !any(fails)) continue;
                holding_[h] &= ~fails;
                dropped = true;
            }
        }
    }

    W gate(std::span<const W> values, const Gate& g) {
        const Literal* at = p_.operands.data() + g.first;
        const Literal* const end = p_.operands.data() + g.last;
        if (g.op == Gate::Op::all) {
            W result = W::filled(true);
            for (; at != end; ++at) result &= read(values, *at);
            return result;
        }
        if (g.op == Gate::Op::any) {
            W result = W::filled(false);
            for (; at != end; ++at) result |= read(values, *at);
            return result;
        }
        if (g.op == Gate::Op::choose) {
            const W when = read(values, at[0]);
            return (when & read(values, at[1])) | (~when & read(values, at[2]));
        }
        return counted(values, g);
    }

    static constexpr std::uint32_t nothing = 0xffffffff;

private:
    const Program& p_;
    std::vector<W> holding_;
    std::vector<W> reached_;  ///< [j]: at least j+1 of the operands so far

    template <bool positions_stay>
    void components(std::span<W> values) {
        for (const Component& c : p_.logic_components()) {
            if (c.cyclic) loop<positions_stay>(values, c);
            else if (!positions_stay || !p_.gates[c.first].position) alike(values, c);
        }
    }

    /// Gates of one shape: what they are is asked once, and how many operands most have the compiler knows.
    void alike(std::span<W> values, const Component& c) {
        const Gate& first = p_.gates[c.first];
        if (first.op == Gate::Op::all) return c.plain ? alike<Gate::Op::all, true>(values, c) : alike<Gate::Op::all, false>(values, c);
        if (first.op == Gate::Op::any) return c.plain ? alike<Gate::Op::any, true>(values, c) : alike<Gate::Op::any, false>(values, c);
        for (std::uint32_t g = c.first; g < c.last; ++g) values[p_.output(g)] = gate(values, p_.gates[g]);
    }
    template <Gate::Op op, bool plain>
    void alike(std::span<W> values, const Component& c) {
        switch (const std::uint32_t operands = p_.gates[c.first].last - p_.gates[c.first].first) {
            case 2: return alike<op, plain>(values, c, std::integral_constant<std::uint32_t, 2>());
            case 3: return alike<op, plain>(values, c, std::integral_constant<std::uint32_t, 3>());
            case 4: return alike<op, plain>(values, c, std::integral_constant<std::uint32_t, 4>());
            default: return alike<op, plain>(values, c, operands);
        }
    }
    template <Gate::Op op, bool plain, class Count>
    void alike(std::span<W> values, const Component& c, Count operands) {
        const Literal* at = p_.operands.data() + p_.gates[c.first].first;
        for (std::uint32_t g = c.first; g < c.last; ++g, at += operands) {
            W result = W::filled(op == Gate::Op::all);
            for (std::uint32_t i = 0; i < operands; ++i) {
                if constexpr (plain && op == Gate::Op::all) result &= values[at[i].variable()];  // not a copy of it: gcc makes those by way of memory
                else if constexpr (plain) result |= values[at[i].variable()];
                else if constexpr (op == Gate::Op::all) result &= read(values, at[i]);
                else result |= read(values, at[i]);
            }
            values[p_.output(g)] = result;
        }
    }

    W counted(std::span<const W> values, const Gate& g) {
        for (std::uint32_t j = 0; j < g.count; ++j) reached_[j] = W::filled(false);
        for (std::uint32_t o = g.first; o < g.last; ++o) {
            const W on = read(values, p_.operands[o]);
            for (std::uint32_t j = g.count; j-- > 1;) reached_[j] |= reached_[j - 1] & on;
            reached_[0] |= on;
        }
        return reached_[g.count - 1];
    }

    /// Sweeps a loop until it rests. Values only rise, so what is already true is kept (a holder taken as supplied).
    template <bool positions_stay, class Tell>
    void rest(std::span<W> values, const Component& c, std::uint32_t dead, Tell tell) {
        for (bool forwards = true;; forwards = !forwards) {
            bool changed = false;
            for (std::uint32_t i = c.first; i < c.last; ++i) {
                const std::uint32_t g = forwards ? i : c.last - 1 - (i - c.first);
                if (g == dead || (positions_stay && p_.gates[g].position)) continue;
                W& value = values[p_.output(g)];
                if (value == W::filled(true)) continue;
                const W next = value | gate(values, p_.gates[g]);
                if (next == value) continue;
                changed = true;
                value = next;
                tell(p_.output(g), next);
            }
            if (!changed) return;
        }
    }
};

}  // namespace fedfrom::detail
