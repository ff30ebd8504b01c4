/// What a failure or a trip can reach as it comes or goes, listed where that is little, so that nothing need be searched for.
///
/// Most failures are of what feeds little: a lamp, a unit, the breaker of one. What reaches a loop, a holder, the seed of
/// a fault or a level that others read is not listed: there one thing may lead to another.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/solve/by_variable.hpp>
#include <fedfrom/solve/gate_list.hpp>
#include <fedfrom/solve/readers.hpp>

namespace fedfrom::detail {

/// Ranges in one list, each in ascending order; gates as gate_list.hpp writes them. No gate is in a loop.
struct Reached {
    Range gates{};
    Range gates_in_copies{};        ///< of those, what copies with a demand follow
    Range cells{};                  ///< memory cells that may be sent elsewhere
    Range standing{};               ///< what may stand elsewhere, by place among what may stick
    Range gates_after{};            ///< those that read where that stood
    Range elements{}, functions{};  ///< reported from any of it
};

class ReachedBy {
public:
    /// `in_copies`: gates that copies with a demand follow; `elements`, `functions`: reported from each variable, functions by their place
    /// in the judging order; `level_is_read`: by function.
    ReachedBy(const Compiled& c, const Readers& readers, const std::vector<bool>& in_copies, const ByVariable& elements, const ByVariable& functions, const std::vector<bool>& level_is_read);

    /// Null where it is not listed.
    const Reached* of(Variable v) const { return place_[v] == none ? nullptr : &reached_[place_[v]]; }
    std::span<const std::uint32_t> in(Range range) const { return {all_.data() + range.first, range.size()}; }

private:
    std::vector<std::uint32_t> place_;  // by memory variable
    std::vector<Reached> reached_;
    std::vector<std::uint32_t> all_;
};

/// Follows readers from one variable, as long as they stay few.
class Follower {
public:
    Follower(const Compiled& c, const Readers& readers) : c_(c), readers_(readers), met_by_(readers.end()), in_loop_(c.program.gates.size(), false) {
        for (const Component& loop : c.program.components)
            for (std::uint32_t g = loop.first; loop.cyclic && g < loop.last; ++g) in_loop_[g] = true;
    }

    /// False: more than is listed.
    bool follow(Variable from) {
        for (auto* list : {&gates, &cells, &standing, &gates_after, &variables}) list->clear();
        if (!gather(from, gates, true)) return false;
        for (const std::uint32_t i : standing)
            for (std::uint32_t p = 0; p < c_.elements[c_.sticking[i]].positions.size(); ++p)
                if (!gather(c_.elements[c_.sticking[i]].held + p, gates_after, false)) return false;
        for (auto* list : {&gates, &cells, &standing, &gates_after}) std::ranges::sort(*list);
        return true;
    }

    std::vector<std::uint32_t> gates, cells, standing, gates_after;
    std::vector<Variable> variables;  ///< all of them

private:
    static constexpr std::size_t most = 64;  // gates
    const Compiled& c_;
    const Readers& readers_;
    std::vector<std::uint32_t> met_by_;  // by reader: the last search that met it
    std::uint32_t search_ = 0;
    std::vector<bool> in_loop_;  // by gate
    std::vector<Variable> todo_;

    /// `with_watchers`: not for where things stood, on which nothing hangs that moves or stands as things are.
    bool gather(Variable from, std::vector<std::uint32_t>& into, bool with_watchers) {
        if (into.empty()) ++search_;
        const auto is_in = [](std::uint32_t reader, Range range) { return reader >= range.first && reader < range.last; };
        todo_.assign(1, from);
        while (!todo_.empty()) {
            const Variable v = todo_.back();
            todo_.pop_back();
            variables.push_back(v);
            for (const std::uint32_t reader : readers_.of(v)) {
                if (std::exchange(met_by_[reader], search_) == search_) continue;
                if (reader < in_loop_.size()) {
                    if (in_loop_[reader] || into.size() == most) return false;
                    into.push_back(reader);
                    todo_.push_back(c_.program.output(reader));
                } else if (is_in(reader, readers_.cells)) {
                    if (with_watchers) cells.push_back(reader - readers_.cells.first);
                } else if (is_in(reader, readers_.standing)) {
                    if (with_watchers) standing.push_back(reader - readers_.standing.first);
                } else {
                    return false;
                }
            }
        }
        return true;
    }
};

inline ReachedBy::ReachedBy(const Compiled& c, const Readers& readers, const std::vector<bool>& in_copies, const ByVariable& elements, const ByVariable& functions, const std::vector<bool>& level_is_read) : place_(c.memory_end, none) {
    Follower follower(c, readers);
    std::vector<std::uint32_t> reported;
    const auto keep = [&](const std::vector<std::uint32_t>& list) {
        const auto first = static_cast<std::uint32_t>(all_.size());
        all_.insert(all_.end(), list.begin(), list.end());
        return Range{first, static_cast<std::uint32_t>(all_.size())};
    };
    std::vector<std::uint32_t> written;
    const auto keep_gates = [&](const std::vector<std::uint32_t>& gates) {
        written.clear();
        for (const std::uint32_t g : gates) list_gate(c.program, g, written);
        return keep(written);
    };
    const auto gather_reported = [&](const ByVariable& from) {
        reported.clear();
        for (const Variable v : follower.variables) reported.insert(reported.end(), from.of(v).begin(), from.of(v).end());
        std::ranges::sort(reported);
        reported.erase(std::unique(reported.begin(), reported.end()), reported.end());
    };
    const auto list = [&](Variable v) {
        if (!follower.follow(v)) return;
        gather_reported(functions);
        for (std::uint32_t& f : reported) f = c.judging_order[f];
        std::ranges::sort(reported);
        if (std::ranges::any_of(reported, [&](std::uint32_t f) { return level_is_read[f]; })) return;
        Reached reached{.gates = keep_gates(follower.gates)};
        std::erase_if(follower.gates, [&](std::uint32_t g) { return !in_copies[g]; });
        reached.gates_in_copies = keep_gates(follower.gates);
        reached.cells = keep(follower.cells);
        reached.standing = keep(follower.standing);
        reached.gates_after = keep_gates(follower.gates_after);
        reached.functions = keep(reported);
        gather_reported(elements);
        reached.elements = keep(reported);
        place_[v] = static_cast<std::uint32_t>(reached_.size());
        reached_.push_back(reached);
    };
    for (const FailureInfo& f : c.failures) list(f.variable);
    for (const std::uint32_t e : c.protecting) list(c.elements[e].tripped);
}

}  // namespace fedfrom::detail
