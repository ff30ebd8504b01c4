/// The settled state with each demand applied and settled, kept up with the session (rule M18).
///
/// 64 demands side by side. A copy starts from the state's settled memory each
/// time, so what its last settle moved must be put back first. Most events change
/// nothing of that: beside each copy stands its *first pass*, the evaluation in
/// which its moves are decided. Where an event leaves those decisions alone, and the
/// copy then moves nothing more, the copy stays where it is and only takes the event.
#pragma once

#include <algorithm>
#include <cstdint>
#include <deque>
#include <span>
#include <vector>

#include <fedfrom/solve/settler.hpp>

namespace fedfrom::detail {

class DemandCopies {
public:
    explicit DemandCopies(const Compiled& c) : readers_(c, gates_for_judging(c)) {
        for (std::uint32_t first = 1; first < c.demands.size(); first += lanes) blocks_.emplace_back(c, readers_, first);
    }

    /// Starts from the whole of a settled state's memory.
    void load(const Evaluation<One>& state) {
        for (Block& b : blocks_) {
            for (Variable v = 0; v < b.wide.size(); ++v) b.wide[v] = b.start(v, state.values()[v]);
            b.first_pass.load(b.wide);
            b.decide_first_pass();
            b.settler.load(b.wide);
            b.settle(state);
        }
    }

    /// Takes over what changed in the state's memory and settles. After this `changes` says what changed in each copy.
    void follow(const Evaluation<One>& state) {
        for (Block& b : blocks_) {
            bool stays = b.simple;
            for (const Variable v : state.changes().changed()) {
                if (v >= b.wide.size()) continue;
                const Lanes value = b.start(v, state.values()[v]);
                if (b.first_pass.values()[v] == value) continue;
                stays &= !b.restarts[v];
                b.first_pass.put(v, value);
                b.settler.put(v, value);
            }
            stays &= b.decide_first_pass();
            if (stays && b.settler.decide()) {
                b.settler.finish(b.frozen);
                b.note_moved(state);
                continue;
            }
            for (const Variable v : b.moved) b.settler.put(v, b.start(v, state.values()[v]));
            b.settle(state);
        }
    }

    bool hunting() const {
        return std::ranges::any_of(blocks_, [](const Block& b) { return b.hunting(); });
    }

    /// Forgets what changed.
    void begin_changes() {
        for (Block& b : blocks_) b.settler.evaluation().begin_changes();
    }

    void put(Variable v, bool on) {
        for (Block& b : blocks_) b.settler.put(v, Lanes::filled(on));
    }
    void run(std::uint32_t gates) {
        for (Block& b : blocks_) b.settler.evaluation().run(gates);
    }

    /// Calls with each variable that changed in a copy.
    template <class Call>
    void each_change(Call call) const {
        for (const Block& b : blocks_)
            for (const Variable v : b.settler.evaluation().changes().changed()) call(v);
    }

    const Evaluation<Lanes>& of(std::uint32_t demand) const { return blocks_[(demand - 1) / lanes].settler.evaluation(); }
    static unsigned lane_of(std::uint32_t demand) { return (demand - 1) % lanes; }

private:
    static constexpr std::uint32_t lanes = 64;

    struct Applied {
        Lanes where{}, value{};
    };

    struct Block {
        Settler<Lanes> settler, first_pass;
        Frozen<Lanes> frozen;
        std::vector<Lanes> wide;
        std::vector<std::uint32_t> slot;  // by memory variable: in `applied`
        std::vector<Applied> applied;     // what demands say of a variable; the first says nothing
        std::vector<Variable> moved;      // memory that differs from what the copy started with
        std::vector<std::uint8_t> restarts;  // by memory variable: changing it may change where the copy starts to move from
        bool simple = false;              // the last settle moved all it moved in its first pass, and had no fault

        Block(const Compiled& c, const Readers& readers, std::uint32_t first)
            : settler(c, &readers), first_pass(c, &readers), frozen(c), wide(c.memory_end), slot(c.memory_end), applied(1), restarts(c.memory_end) {
            moved.reserve(c.memory_end);
            for (const FailureInfo& f : c.failures) restarts[f.variable] = f.mode == "stuck";  // sticks where the state stood, not the copy
            for (std::uint32_t d = first; d < c.demands.size() && d < first + lanes; ++d) {
                const Lanes lane{std::uint64_t{1} << lane_of(d)};
                for (const HandSetting& s : c.demands[d].set) {
                    const ElementInfo& e = c.elements[s.element];
                    for (std::uint32_t p = 0; p < e.positions.size(); ++p) apply(e.at_hand + p, lane, p == s.position);
                }
                for (const GivenSetting& s : c.demands[d].given) apply(c.givens[s.given].variable, lane, s.value);
            }
        }

        void apply(Variable v, Lanes lane, bool on) {
            if (slot[v] == 0) {
                slot[v] = static_cast<std::uint32_t>(applied.size());
                applied.emplace_back();
            }
            applied[slot[v]].where |= lane;
            if (on) applied[slot[v]].value |= lane;
        }

        Lanes start(Variable v, One in_state) const {
            const Applied& a = applied[slot[v]];
            return (Lanes::filled(any(in_state)) & ~a.where) | a.value;
        }

        /// False: what decides its moves has changed.
        bool decide_first_pass() {
            const bool same = first_pass.decide();
            first_pass.forget_decisions();
            return same;
        }

        void settle(const Evaluation<One>& state) {
            settler.free_frozen(frozen);
            settler.begin(frozen);
            unsigned passes = 1;
            while (settler.pass(frozen)) ++passes;
            settler.finish(frozen);
            simple = passes <= 2 && !settler.faulty() && !settler.may_hunt();
            for (const Variable v : moved) restarts[v] = false;
            moved.clear();
            note_moved(state);
        }

        void note_moved(const Evaluation<One>& state) {
            for (const Variable v : settler.evaluation().changes().changed()) {
                if (v >= wide.size() || restarts[v] || settler.values()[v] == start(v, state.values()[v])) continue;
                moved.push_back(v);
                restarts[v] = true;
            }
        }

        bool hunting() const {
            const auto some = [](Lanes l) { return any(l); };
            return settler.may_hunt() && (std::ranges::any_of(frozen.cells, some) || std::ranges::any_of(frozen.holders, some));
        }
    };
    const Readers readers_;
    std::deque<Block> blocks_;  // a settler stays where it is
};

}  // namespace fedfrom::detail
