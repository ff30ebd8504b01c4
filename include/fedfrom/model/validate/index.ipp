#include "index.hpp"

#include <array>

#include <fedfrom/model/resolve.hpp>

namespace fedfrom::model {

namespace {

struct Name {
    std::string_view key, noun;
};
constexpr std::array<Name, 9> names{{
    {"given", "a given"}, {"elements", "an element"}, {"ties", "a tie"}, {"functions", "a function"},
    {"quantities", "a quantity"}, {"checks", "a check"}, {"dispatch", "a dispatch item"},
    {"common_causes", "a common cause"}, {"variants", "a variant"},
}};

std::size_t count_ids(const Model& m) {
    return m.given.size() + m.elements.size() + m.ties.size() + m.functions.size() + m.quantities.size() + m.checks.size() +
           m.dispatch.size() + m.common_causes.size() + m.variants.size();
}

}  // namespace

std::string_view key_of(Collection c) { return names[static_cast<std::size_t>(c)].key; }
std::string_view noun_of(Collection c) { return names[static_cast<std::size_t>(c)].noun; }

Index::Index(const Model& m) {
    entries_.reserve(count_ids(m));
    const auto add_all = [&](const auto& collection, Collection c) {
        for (const auto& [id, object] : collection) entries_.push_back({.id = id, .object = &object, .collection = c});
    };
    add_all(m.given, Collection::given);
    elements_.reserve(m.elements.size());
    for (const auto& [id, e] : m.elements) {
        elements_.emplace_back(id, e);
        any_unfitted_ |= !e.fitted;
        entries_.push_back({.id = id, .object = &e, .collection = Collection::element, .one_way = is_one_way(e), .has_positions = has_positions(e),
             .passes_somewhere = passes_somewhere(e), .only_has_position = only_has_position(e)});
    }
    add_all(m.ties, Collection::tie);
    add_all(m.functions, Collection::function);
    add_all(m.quantities, Collection::quantity);
    add_all(m.checks, Collection::check);
    add_all(m.dispatch, Collection::dispatch);
    add_all(m.common_causes, Collection::common_cause);
    add_all(m.variants, Collection::variant);
    std::vector<std::string_view> ids;
    ids.reserve(entries_.size());
    for (const Entry& entry : entries_) ids.push_back(entry.id);
    ids_ = IdTable(ids);
    for (const std::uint32_t number : ids_.repeated()) {
        entries_[number].again = true;
        used_twice_.push_back(entries_[number]);
    }
}

const Element* Index::element(std::string_view id) const {
    const Entry* found = find(id);
    return found ? found->element() : nullptr;
}

}  // namespace fedfrom::model
