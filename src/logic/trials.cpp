// No one way is good for every formula, and one bad order costs more than ten good ones. So each is tried with few
// steps; then those that came furthest go on, until one is done.
#include "logic/trials.hpp"

#include <algorithm>
#include <map>
#include <memory>
#include <utility>

#include "logic/conversion.hpp"

namespace fedfrom::detail {

namespace {

/// Then every walk is as good as any other.
bool nothing_is_shared(const Formula& f) {
    std::vector<bool> read(f.nodes());
    for (std::uint32_t g = f.first_gate(); g < f.nodes(); ++g)
        for (const Term t : f.operands(g)) {
            if (read[t.node()]) return false;
            read[t.node()] = true;
        }
    return true;
}

enum class Method : std::uint8_t { walk, weights, force, wide };

/// An order, and how far its conversion came. It goes on where it stopped.
class Trial {
public:
    const Method method;
    const Order order;

    Trial(Method m, Order o, const Formula& f, const Budget& none) : method(m), order(std::move(o)), by_level_(renumbered(f, positions(order))), diagrams_(f.variables(), none), conversion_(by_level_, diagrams_) {}

    /// Whether it is done within this budget, all steps so far counted.
    bool fits(const Budget& budget) {
        diagrams_.allow(budget);
        try {
            top_ = conversion_.run();
            nodes_ = diagrams_.nodes(top_);
            return true;
        } catch (const BudgetSpent&) {
            return false;
        }
    }

    std::uint32_t gate() const { return conversion_.gate(); }
    std::uint64_t steps() const { return diagrams_.steps(); }
    std::size_t nodes() const { return nodes_; }

    Tried take() { return {order, OrderedDiagram{order, std::move(diagrams_), top_}}; }

private:
    const Formula by_level_;
    Diagrams diagrams_;
    Conversion conversion_;
    Diagram top_;
    std::size_t nodes_ = 0;
};

/// The order that gives the smallest diagram, as far as the budget tells.
class Trials {
public:
    Trials(const Formula& f, const Budget& most) : f_(f), factored_(factored(f)), most_(most) {}

    Tried best() {
        for (const Walk w : {Walk::as_written, Walk::small_first, Walk::large_first, Walk::shared_first}) add(Method::walk, depth_first_order(f_, w));
        if (trials_.size() == 1) return {trials_.front()->order};
        // Such work takes no longer than finding the other orders and trying them.
        for (const std::uint64_t steps : {1u << 14, 1u << 16}) {
            if (Trial* best = best_within(steps)) return best->take();
            if (most_.steps <= steps) return furthest();
        }
        add(Method::weights, heaviest_first_order(f_));
        for (std::size_t i = trials_.size(); i-- > 0;) add(Method::force, drawn_together(f_, trials_[i]->order));
        add(Method::wide, widest_first_order(f_));
        for (std::uint64_t steps = 1u << 15; steps <= most_steps; steps *= 2) {
            if (Trial* best = best_within(steps)) return best->take();
            leave_some_behind();
        }
        return furthest();
    }

private:
    const Formula& f_;
    const Formula factored_;  // what is converted; orders go by what was written
    const Budget most_;
    std::vector<std::unique_ptr<Trial>> trials_;
    static constexpr std::uint64_t most_steps = 1u << 23;

    void add(Method method, Order order) {
        if (std::ranges::none_of(trials_, [&](const auto& t) { return t->order == order; }))
            trials_.push_back(std::make_unique<Trial>(method, std::move(order), factored_, Budget{most_.nodes, 0}));
    }

    Tried furthest() const { return {(*std::ranges::max_element(trials_, {}, &Trial::gate))->order}; }

    /// Of those that get by with so many steps, the one with the fewest nodes. Null where none does. Whoever is ahead goes on first.
    Trial* best_within(std::uint64_t steps) {
        std::ranges::stable_sort(trials_, std::ranges::greater{}, &Trial::gate);
        Budget budget{most_.nodes, std::min(most_.steps, steps)};
        Trial* best = nullptr;
        for (const auto& t : trials_) {
            if (!t->fits(budget)) continue;
            if (best == nullptr || t->nodes() < best->nodes()) best = t.get();
            budget.steps = std::min(budget.steps, t->steps());  // no later one may work harder than one that is done
        }
        return best;
    }

    /// Of each method those that came furthest; how far says little of another. Of one each, those that came furthest, and the last two go on to the end.
    void leave_some_behind() {
        std::ranges::stable_sort(trials_, std::ranges::greater{}, &Trial::gate);
        std::map<Method, std::size_t> of_method, kept_of_method;
        for (const auto& t : trials_) ++of_method[t->method];
        const bool one_each = of_method.size() == trials_.size();
        const auto half = [](std::size_t n) { return (n + 1) / 2; };
        std::vector<std::unique_ptr<Trial>> kept;
        for (auto& t : trials_)
            if (one_each ? kept.size() < std::max<std::size_t>(2, half(trials_.size())) : kept_of_method[t->method]++ < half(of_method[t->method])) kept.push_back(std::move(t));
        trials_ = std::move(kept);
    }
};

}  // namespace

Tried best_of_trials(const Formula& f, const Budget& most) {
    if (nothing_is_shared(f)) return {depth_first_order(f)};
    return Trials(f, most).best();
}

}  // namespace fedfrom::detail
