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
        const auto list = p_.logic_components();
        for (auto c = list.begin(); c != list.end(); ++c) {
            if (c->cyclic) loop<positions_stay>(values, *c);
            else if (positions_stay && p_.gates[c->first].position) continue;
            else if (c + 1 != list.end() && c[1].in_step) in_step(values, *c), ++c;
            else alike(values, *c);
        }
    }

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wpsabi"  // pieces of words are given by what is always inline
    const Literal* operands_of(const Component& c) const { return p_.operands.data() + p_.gates[c.first].first; }
    std::uint32_t operands_a_gate(const Component& c) const { return p_.gates[c.first].last - p_.gates[c.first].first; }

    /// Gates of one shape: what they are is asked once, and how many operands most have the compiler knows. That takes more than two gates to pay.
    void alike(std::span<W> values, const Component& c) {
        const Gate::Op op = p_.gates[c.first].op;
        if (op == Gate::Op::all && c.last - c.first > 2) return alike<Gate::Op::all>(values, c);
        if (op == Gate::Op::any && c.last - c.first > 2) return alike<Gate::Op::any>(values, c);
        for (std::uint32_t g = c.first; g < c.last; ++g) values[p_.output(g)] = gate(values, p_.gates[g]);
    }
    template <Gate::Op op>
    void alike(std::span<W> values, const Component& c) {
        switch (c.negated) {
            case 0: return alike<op>(values, c, std::integral_constant<std::uint32_t, 0>());
            case 1: return alike<op>(values, c, std::integral_constant<std::uint32_t, 1>());
            case 2: return alike<op>(values, c, std::integral_constant<std::uint32_t, 2>());
            default: return alike<op>(values, c, c.negated);
        }
    }
    template <Gate::Op op, class Negated>
    void alike(std::span<W> values, const Component& c, Negated negated) {
        switch (const std::uint32_t operands = operands_a_gate(c)) {
            case 2: return alike<op>(values, c, negated, std::integral_constant<std::uint32_t, 2>());
            case 3: return alike<op>(values, c, negated, std::integral_constant<std::uint32_t, 3>());
            case 4: return alike<op>(values, c, negated, std::integral_constant<std::uint32_t, 4>());
            default: return alike<op>(values, c, negated, operands);
        }
    }
    template <Gate::Op op, class Negated, class Count>
    void alike(std::span<W> values, const Component& c, Negated negated, Count operands) {
        W* const all = values.data();
        W* output = all + p_.output(c.first);
        const Literal* at = operands_of(c);
        for (W* const end = output + (c.last - c.first); output != end; ++output, at += operands)
            *output = each_piece<W>([&](std::uint32_t i) __attribute__((always_inline)) {
                auto result = piece(W::filled(op == Gate::Op::all), i);
                for (std::uint32_t o = 0; o < operands; ++o) {
                    const auto on = o < negated ? ~piece(*place<true>(all, at[o]), i) : piece(*place<false>(all, at[o]), i);
                    result = op == Gate::Op::all ? result & on : result | on;
                }
                return result;
            });
    }

    /// This component and the next one: what a gate of this gives goes into one of that from the register.
    void in_step(std::span<W> values, const Component& first) {
        const Component& second = *(&first + 1);
        switch (operands_a_gate(first)) {
            case 2: return second.negated ? in_step<2, true>(values, first, second) : in_step<2, false>(values, first, second);
            case 3: return second.negated ? in_step<3, true>(values, first, second) : in_step<3, false>(values, first, second);
            default: return second.negated ? in_step<4, true>(values, first, second) : in_step<4, false>(values, first, second);
        }
    }
    template <std::uint32_t alternatives, bool negated>
    void in_step(std::span<W> values, const Component& first, const Component& second) {
        W* const all = values.data();
        W *output = all + p_.output(first.first), *next_output = all + p_.output(second.first);
        const Literal *at = operands_of(first), *next_at = operands_of(second);
        for (W* const end = output + (first.last - first.first); output != end; ++output, ++next_output, at += alternatives, next_at += 2) {
            const W* from[alternatives];  // looked up once for all pieces
            for (std::uint32_t o = 0; o < alternatives; ++o) from[o] = place<false>(all, at[o]);
            const W* const other = place<negated>(all, *next_at);
            *next_output = each_piece<W>([&](std::uint32_t i) __attribute__((always_inline)) {
                auto some = piece(*from[0], i);
                for (std::uint32_t o = 1; o < alternatives; ++o) some = some | piece(*from[o], i);
                put_piece(*output, i, some);
                return negated ? some & ~piece(*other, i) : some & piece(*other, i);
            });
        }
    }

#pragma GCC diagnostic pop

    /// Where a literal is known to be negated or not, its code is twice the place but for a constant, and one shift leads there.
    template <bool negated>
    static const W* place(const W* values, Literal l) {
        if constexpr (sizeof(W) % 2 == 0) return reinterpret_cast<const W*>(reinterpret_cast<const char*>(values) + std::size_t{l.code} * (sizeof(W) / 2) - (negated ? sizeof(W) / 2 : 0));
        else return values + l.variable();
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
