/// What goals are judged by: of few variables outside all functions, every combination of values judged once.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>
#include <fedfrom/solve/evaluate.hpp>

namespace fedfrom::detail {

/// A goal's *leaves* are the variables its modes hang on that are no gate of a function. Their values, as bits, say its level.
class GoalTable {
public:
    /// Without a table where they are too many, or where it reads levels.
    GoalTable(const Compiled& c, std::uint32_t goal) {
        const std::vector<ModeInfo>& modes = c.functions[goal].modes;
        std::vector<Variable> todo;
        for (const ModeInfo& m : modes) todo.push_back(m.when.variable());
        std::vector<bool> seen(c.program.variables(), false);
        std::vector<std::uint32_t> gates;
        seen[0] = true;
        for (const LevelInput& in : c.level_inputs) seen[in.variable] = true;
        bool levels = modes.empty();
        for (const LevelInput& in : c.level_inputs) levels |= std::ranges::find(todo, in.variable) != todo.end();
        while (!todo.empty()) {
            const Variable v = todo.back();
            todo.pop_back();
            if (seen[v]) continue;
            seen[v] = true;
            if (v < c.program.output(c.command_gates.last)) {
                leaves_.push_back(v);
                continue;
            }
            gates.push_back(v - c.program.inputs);
            for (const Literal l : c.program.operands_of(c.program.gates[v - c.program.inputs])) {
                todo.push_back(l.variable());
                for (const LevelInput& in : c.level_inputs) levels |= in.variable == l.variable();
            }
        }
        if (levels || leaves_.size() > most_leaves) {
            leaves_.clear();
            return;
        }
        std::ranges::sort(gates);
        Evaluator<One> evaluator(c.program);
        std::vector<One> values(c.program.variables());
        values[0] = One::filled(true);
        for (std::uint32_t bits = 0; bits < 1u << leaves_.size(); ++bits) {
            for (std::uint32_t i = 0; i < leaves_.size(); ++i) values[leaves_[i]] = One::filled(bits >> i & 1);
            for (const std::uint32_t g : gates) values[c.program.output(g)] = evaluator.gate(values, c.program.gates[g]);
            Level level = Level::lost;
            for (const ModeInfo& m : modes)
                if (any(Evaluator<One>::read(values, m.when)) && level != Level::normal) level = m.level;
            levels_.push_back(level);
        }
    }

    bool known() const { return !levels_.empty(); }
    std::span<const Variable> leaves() const { return leaves_; }
    Level level(std::uint64_t leaves) const { return levels_[leaves]; }

private:
    static constexpr std::size_t most_leaves = 10;
    std::vector<Variable> leaves_;
    std::vector<Level> levels_;
};

}  // namespace fedfrom::detail
