// Factoring by the literal that most operands share, again and again (Brayton, "Factoring logic functions",
// IBM J. Res. Dev. 31(2), 1987), and with it all that those operands share.
//
// A gate of any over gates of all that nothing else reads is a sum of products. The dual is the same with the two kinds
// exchanged, so it is called sum and product here too.
#include <algorithm>
#include <iterator>
#include <map>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom {

namespace {

enum class Operator : std::uint8_t { any, all, other };

Operator dual(Operator op) { return op == Operator::any ? Operator::all : op == Operator::all ? Operator::any : Operator::other; }

using Product = std::vector<Term>;  // sorted, each once

Product common(const Product& a, const Product& b) {
    Product both;
    std::ranges::set_intersection(a, b, std::back_inserter(both));
    return both;
}

Product without(const Product& a, const Product& b) {
    Product rest;
    std::ranges::set_difference(a, b, std::back_inserter(rest));
    return rest;
}

class Factoring {
public:
    explicit Factoring(const Formula& from) : from_(from), readers_(from.nodes()), became_(from.nodes()), to_(from.variables()) {
        ++readers_[from.top.node()];
        for (std::uint32_t g = from.first_gate(); g < from.nodes(); ++g)
            for (const Term t : from.operands(g)) ++readers_[t.node()];
    }

    Formula run() {
        became_[0] = Formula::never;
        for (std::uint32_t v = 0; v < from_.variables(); ++v) became_[v + 1] = to_.variable(v);
        for (std::uint32_t g = from_.first_gate(); g < from_.nodes(); ++g)
            if (std::ranges::none_of(from_.operands(g), [&](Term t) { return opened(g, t); })) became_[g] = to_.at_least(from_.needed(g), translated(g));
            else became_[g] = sum(products_of(g), operator_of(g));
        to_.top = became(from_.top);
        return std::move(to_);
    }

private:
    const Formula& from_;
    std::vector<std::uint32_t> readers_;
    std::vector<Term> became_;
    Formula to_;

    Term became(Term t) const { return became_[t.node()].negated_if(t.negated()); }

    Operator operator_of(std::uint32_t gate) const {
        if (from_.needed(gate) == 1) return Operator::any;
        return from_.needed(gate) == from_.operands(gate).size() ? Operator::all : Operator::other;
    }

    std::vector<Term> translated(std::uint32_t gate) const {
        std::vector<Term> terms;
        for (const Term t : from_.operands(gate)) terms.push_back(became(t));
        return terms;
    }

    /// Whether a gate's operand is a product, not a single factor. A gate of another kind has none.
    bool opened(std::uint32_t gate, Term t) const {
        const Operator op = operator_of(gate);
        return op != Operator::other && from_.is_gate(t.node()) && readers_[t.node()] == 1 && operator_of(t.node()) == (t.negated() ? op : dual(op));
    }

    std::vector<Product> products_of(std::uint32_t gate) const {
        std::vector<Product> products;
        for (const Term t : from_.operands(gate)) {
            Product& p = products.emplace_back();
            if (!opened(gate, t)) p.push_back(became(t));
            else
                for (const Term factor : from_.operands(t.node())) p.push_back(became(factor).negated_if(t.negated()));
            std::ranges::sort(p);
            p.erase(std::unique(p.begin(), p.end()), p.end());
        }
        return products;
    }

    Term sum(std::vector<Product> products, Operator op) {
        std::map<Term, std::size_t> count;
        for (const Product& p : products)
            for (const Term t : p) ++count[t];
        std::vector<Term> terms;
        while (!count.empty()) {
            const auto most = std::ranges::max_element(count, {}, [](const auto& c) { return c.second; });
            if (most->second < 2) break;
            const auto with = std::stable_partition(products.begin(), products.end(), [t = most->first](const Product& p) { return !std::ranges::binary_search(p, t); });
            std::vector<Product> taken(std::make_move_iterator(with), std::make_move_iterator(products.end()));
            products.erase(with, products.end());
            for (const Product& p : taken)
                for (const Term t : p)
                    if (--count[t] == 0) count.erase(t);
            terms.push_back(factored(std::move(taken), op));
        }
        for (const Product& p : products) terms.push_back(gate(p, dual(op)));
        return gate(terms, op);
    }

    /// The sum of products that share something.
    Term factored(std::vector<Product> products, Operator op) {
        Product shared = products.front();
        for (const Product& p : products) shared = common(shared, p);
        for (Product& p : products) p = without(p, shared);
        // x + x·y is x
        if (std::ranges::none_of(products, &Product::empty)) shared.push_back(sum(std::move(products), op));
        return gate(shared, dual(op));
    }

    Term gate(const std::vector<Term>& operands, Operator op) {
        if (operands.size() == 1) return operands.front();
        return op == Operator::any ? to_.any(operands) : to_.all(operands);
    }
};

}  // namespace

Formula factored(const Formula& formula) { return simplified(Factoring(simplified(formula)).run()); }

}  // namespace fedfrom
