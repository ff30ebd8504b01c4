/// Random small formulas, and the slow and obvious answers to compare with: every assignment tried.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <span>
#include <vector>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom::testing {

using Random = std::mt19937_64;
inline std::uint32_t below(Random& random, std::uint32_t end) { return static_cast<std::uint32_t>(random() % end); }

struct RandomShape {
    std::uint32_t most_variables = 7, most_gates = 9;
    bool negations = true;
};

/// Gates of all kinds over variables, gates and now and then a constant; operands that are there twice; some gates that nothing reads.
inline Formula random_formula(Random& random, const RandomShape& shape) {
    Formula f(1 + below(random, shape.most_variables));
    const std::uint32_t gates = below(random, shape.most_gates + 1);
    const auto any_term = [&] {
        // The latest nodes are the likeliest, so that formulas get deep.
        const std::uint32_t back = std::min(below(random, f.nodes()), below(random, f.nodes()));
        const std::uint32_t node = below(random, 3) == 0 ? 1 + below(random, f.variables()) : f.nodes() - 1 - back;
        if (node == 0 && below(random, 4) != 0) return f.variable(below(random, f.variables()));
        return Term{2 * node}.negated_if(shape.negations ? below(random, 5) == 0 : node == 0 && below(random, 2) == 0);
    };
    for (std::uint32_t g = 0; g < gates; ++g) {
        std::vector<Term> operands(below(random, 20) == 0 ? below(random, 2) : 2 + below(random, 3));
        for (Term& t : operands) t = any_term();
        const auto n = static_cast<std::uint32_t>(operands.size());
        const std::uint32_t needed[] = {1, n, 1, n, below(random, n + 2)};
        f.at_least(needed[below(random, 5)], operands);
    }
    f.top = Term{2 * (f.nodes() - 1)}.negated_if(shape.negations && below(random, 4) == 0);
    return f;
}

/// Bit v of the index is the value of variable v.
inline std::vector<bool> truth_table(const Formula& f) {
    const std::size_t rows = std::size_t{1} << f.variables();
    std::vector<std::vector<char>> holds(f.nodes(), std::vector<char>(rows));
    const auto value = [&](Term t, std::size_t row) { return (holds[t.node()][row] != 0) != t.negated(); };
    for (std::uint32_t n = 1; n < f.nodes(); ++n)
        for (std::size_t row = 0; row < rows; ++row) {
            if (f.is_variable(n)) {
                holds[n][row] = (row >> f.variable_of(n) & 1) != 0;
                continue;
            }
            std::uint32_t count = 0;
            for (const Term t : f.operands(n)) count += value(t, row);
            holds[n][row] = count >= f.needed(n);
        }
    std::vector<bool> table(rows);
    for (std::size_t row = 0; row < rows; ++row) table[row] = value(f.top, row);
    return table;
}

inline std::vector<std::uint32_t> members(std::size_t row) {
    std::vector<std::uint32_t> set;
    for (std::uint32_t v = 0; row >> v != 0; ++v)
        if (row >> v & 1) set.push_back(v);
    return set;
}

inline std::size_t row_of(const std::vector<std::uint32_t>& set) {
    std::size_t row = 0;
    for (const std::uint32_t v : set) row |= std::size_t{1} << v;
    return row;
}

/// Rows that hold, none of whose proper subsets does.
inline std::vector<bool> minimal_rows(const std::vector<bool>& table) {
    std::vector<bool> above(table.size()), minimal(table.size());  // above: a proper subset holds
    for (std::size_t row = 0; row < table.size(); ++row) {
        for (const std::uint32_t v : members(row)) {
            const std::size_t less = row ^ std::size_t{1} << v;
            if (table[less] || above[less]) above[row] = true;
        }
        minimal[row] = table[row] && !above[row];
    }
    return minimal;
}

/// As `MinimalSets::sets` orders them.
inline std::vector<std::vector<std::uint32_t>> sets_of(const std::vector<bool>& rows) {
    std::vector<std::vector<std::uint32_t>> sets;
    for (std::size_t row = 0; row < rows.size(); ++row)
        if (rows[row]) sets.push_back(members(row));
    std::ranges::sort(sets, [](const auto& a, const auto& b) { return a.size() != b.size() ? a.size() < b.size() : a < b; });
    return sets;
}

/// A probability of every size, zero and one among them.
inline std::vector<double> random_probabilities(Random& random, std::uint32_t variables) {
    std::vector<double> p(variables);
    for (double& q : p) {
        const double uniform = static_cast<double>(random() >> 11) * 0x1p-53;
        const double kinds[] = {0, 1, uniform, uniform, std::pow(10, -6 * uniform), std::pow(10, -100 * uniform), 1 - std::pow(10, -12 * uniform), 0.01};
        q = kinds[below(random, 8)];
    }
    return p;
}

/// The probability that the assignment is a row for which `want` holds.
template <class Want>
long double probability_of_rows(std::span<const double> p, Want want) {
    long double sum = 0;
    for (std::size_t row = 0; row < std::size_t{1} << p.size(); ++row) {
        if (!want(row)) continue;
        long double product = 1;
        for (std::size_t v = 0; v < p.size(); ++v) product *= row >> v & 1 ? static_cast<long double>(p[v]) : 1.0L - static_cast<long double>(p[v]);
        sum += product;
    }
    return sum;
}

/// Equal to twelve digits of the value itself, however small it is.
inline bool close(double a, long double b) { return std::fabs(static_cast<long double>(a) - b) <= 1e-12L * std::fabs(b) + 1e-320L; }

}  // namespace fedfrom::testing
