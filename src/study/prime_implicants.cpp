#include <fedfrom/study/prime_implicants.hpp>

#include <array>
#include <utility>

#include <fedfrom/logic/implicants.hpp>
#include <fedfrom/logic/minimal_sets.hpp>

#include "goal_diagram.hpp"
#include "set_counts.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// Members of families of implicants: twice the variable, and one more where it does not hold.
Order doubled(const Order& order) {
    Order both;
    for (const std::uint32_t v : order) {
        both.push_back(that_holds(v));
        both.push_back(that_does_not(v));
    }
    return both;
}

MinimalSets primes_of(OrderedDiagram& d, const std::vector<std::array<std::uint32_t, 2>>& never_together, const Budget& budget) {
    const std::vector<std::uint32_t> level = positions(d.order);
    MinimalSets primes{doubled(d.order), Families(2 * d.diagrams.variables(), budget), {}};
    // Where two modes of an element have happened may count as below or not, whichever leaves out more; then it is not told of.
    Diagram top = d.top;
    Family impossible = Families::none;
    for (const auto& [a, b] : never_together) {
        top = d.diagrams.any(top, d.diagrams.all(d.diagrams.variable(level[a]), d.diagrams.variable(level[b])));
        const std::array<std::uint32_t, 2> pair{that_holds(std::min(level[a], level[b])), that_holds(std::max(level[a], level[b]))};
        impossible = primes.families.unite(impossible, primes.families.set(pair));
    }
    primes.family = primes.families.without(prime_implicants(d.diagrams, top, primes.families), impossible);
    return primes;
}

}  // namespace

PrimeImplicants prime_implicants(const State& from, std::string_view function, const PrimeImplicantOptions& options) {
    State state = from;
    PrimeImplicants answer{.before = settle(state), .function = std::string(function), .options = options};
    const Compiled& c = from.network().compiled();
    const std::uint32_t f = from.network().function(function).index;
    check_goal(c, f, options.below);
    const std::vector<FailureHandle> failures = failures_to_combine(state, options.within);
    answer.already = !already_below(answer.before, f, options.below).empty();
    if (answer.already) return answer;
    const std::string cannot = "The prime implicants of `" + answer.function + "` cannot be told: ";
    GoalDiagram all = goal_diagram(answer.before, f, options.below, each_alone(failures), Counting::one_mode_an_element, options.budget);
    if (!all.complete() && !all.formula) throw NotPossible(cannot + all.why_open + ", so that not every combination is decided.");
    try {
        if (!all.diagram) throw BudgetSpent();
        const MinimalSets primes = primes_of(*all.diagram, of_one_element(c, failures), options.budget);
        answer.counts = primes.count_by_order();
        for (const auto& members : primes.sets(options.most_sets)) {
            Implicant& implicant = answer.sets.emplace_back();
            for (const std::uint32_t m : members) (m % 2 == 0 ? implicant.failed : implicant.working).push_back(ref_of(c, failures[m / 2]));
        }
    } catch (const BudgetSpent&) {
        throw NotPossible(cannot + "the budget does not suffice; a larger `nodes`, or fewer failures in `within`, may.");
    }
    return answer;
}

PrimeImplicants prime_implicants(const Network& net, std::string_view function, const PrimeImplicantOptions& options) {
    return prime_implicants(running_state(net), function, options);
}

Table table(const PrimeImplicants& p) {
    const Compiled& c = p.before.network().compiled();
    const std::string name = name_of(c.functions[index_of(c.functions, p.function)]);
    const bool normal = p.options.below == Level::normal;
    Table t{.title = "With what failed, and what working, " + name + (normal ? " is below normal" : " is lost") + " whatever the rest do",
            .captions = captions(p.before),
            .columns = {{"Set"}, {"All of these have failed"}, {"None of these has"}}};
    if (p.options.within) t.captions.push_back({"Failures considered", "only " + considered(c, *p.options.within)});
    const auto words = [&](const std::vector<FailureRef>& failures) {
        std::vector<std::string> list;
        for (const FailureRef& f : failures) list.push_back(called(c, f));
        return list.empty() ? Cell() : Cell(listed(list));
    };
    std::size_t n = 0;
    for (const Implicant& i : p.sets) t.rows.push_back({Cell(++n), words(i.failed), words(i.working)});
    if (p.already) t.footnotes.push_back("The function is below the level as it is.");
    if (const std::string fewer = how_many_listed(p.counts, p.sets.size()); !fewer.empty()) t.footnotes.push_back(fewer);
    if (!p.already) t.footnotes.push_back("Nothing can be left out of a set. Of the modes of an element at most one happens.");
    return t;
}

std::string text(const PrimeImplicants& p) { return to_text(table(p)); }

}  // namespace fedfrom
