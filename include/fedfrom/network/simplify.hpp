/// Makes the draft logic small before it is put in order.
///
/// Other names are replaced by what they name; an `all` inside an `all` (an
/// `any` inside an `any`) is drawn into it where it is short; and what neither
/// supply nor movement nor the spread of faults hangs on is put off until the
/// state is settled. A settle then evaluates little more than one gate an element.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/network/gate_builder.hpp>

namespace fedfrom::detail {

class Simplifier {
public:
    explicit Simplifier(GateBuilder& b) : b_(b), gates_(b.gates) {}

    /// `settling`: what is read while settling, beside commands; `standing`: once it is done.
    void run(std::vector<Literal> settling, std::vector<Literal> standing) {
        b_.resolve_aliases();
        for (DraftGate& g : gates_)
            if (!g.alias) draw_in(g);
        put_off(std::move(settling), std::move(standing));
    }

private:
    GateBuilder& b_;
    std::vector<DraftGate>& gates_;
    static constexpr std::size_t most_operands = 12;

    bool is_gate(Literal l) const { return l.variable() >= b_.inputs; }
    const DraftGate& gate(Literal l) const { return gates_[l.variable() - b_.inputs]; }

    /// Positions stay as they stand while supply is evaluated again, so supply must not be drawn
    /// out of a position, nor a position that hangs on supply into something else.
    bool may_draw(const DraftGate& into, const DraftGate& from) const {
        if (from.reserved || from.op != into.op || from.stage != into.stage) return false;
        if (from.stage == Stage::function && from.owner != into.owner) return false;
        return from.position == into.position || std::ranges::none_of(b_.operands(from), [&](Literal l) { return is_gate(l); });
    }

    bool may_draw(const DraftGate& into, Literal l) const { return is_gate(l) && !l.negated() && &gate(l) != &into && may_draw(into, gate(l)); }

    void draw_in(DraftGate& g) {
        if (g.op != Gate::Op::all && g.op != Gate::Op::any) return;
        const auto own = b_.operands(g);
        if (own.size() > most_operands || std::ranges::none_of(own, [&](Literal l) { return may_draw(g, l); })) return;
        std::array<Literal, most_operands> drawn;
        std::size_t count = own.size();
        std::ranges::copy(own, drawn.begin());
        bool changed = false;
        for (std::size_t i = 0; i < count;) {
            const Literal l = drawn[i];
            if (!may_draw(g, l) || count + b_.operands(gate(l)).size() > most_operands) {
                ++i;
                continue;
            }
            changed = true;
            --count;
            for (std::size_t later = i; later < count; ++later) drawn[later] = drawn[later + 1];
            for (const Literal o : b_.operands(gate(l)))
                if (std::find(drawn.begin(), drawn.begin() + count, o) == drawn.begin() + count) drawn[count++] = o;
        }
        if (changed) b_.replace_operands(g, std::span(drawn).first(count));
    }

    void put_off(std::vector<Literal> settling, std::vector<Literal> standing) {
        std::vector<bool> needed(gates_.size(), false);
        for (std::uint32_t g = 0; g < gates_.size(); ++g)
            if (gates_[g].stage == Stage::command) settling.push_back(b_.output(g));
        mark(std::move(settling), needed);
        for (std::uint32_t g = 0; g < gates_.size(); ++g)
            if (gates_[g].stage == Stage::logic && !needed[g]) gates_[g].stage = Stage::report;
        mark(std::move(standing), needed);
        for (std::uint32_t g = 0; g < gates_.size(); ++g)
            if (gates_[g].stage == Stage::report && needed[g]) gates_[g].stage = Stage::standing;
    }

    void mark(std::vector<Literal> todo, std::vector<bool>& needed) {
        while (!todo.empty()) {
            const Literal l = b_.resolved(todo.back());
            todo.pop_back();
            if (!is_gate(l) || needed[l.variable() - b_.inputs]) continue;
            needed[l.variable() - b_.inputs] = true;
            const auto operands = b_.operands(gate(l));
            todo.insert(todo.end(), operands.begin(), operands.end());
        }
    }
};

}  // namespace fedfrom::detail
