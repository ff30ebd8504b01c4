#include "index.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <functional>

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

constexpr std::size_t block_size = std::size_t{1} << 16;

}  // namespace

std::string_view key_of(Collection c) { return names[static_cast<std::size_t>(c)].key; }
std::string_view noun_of(Collection c) { return names[static_cast<std::size_t>(c)].noun; }

Index::Index(const Model& m) {
    const std::size_t count = m.given.size() + m.elements.size() + m.ties.size() + m.functions.size() + m.quantities.size() +
                              m.checks.size() + m.dispatch.size() + m.common_causes.size() + m.variants.size();
    entries_.reserve(count);
    slots_.resize(std::bit_ceil(2 * count + 2));
    const auto add_all = [&](const auto& collection, Collection c) {
        for (const auto& [id, object] : collection) add({.id = id, .object = &object, .collection = c});
    };
    add_all(m.given, Collection::given);
    for (const auto& [id, e] : m.elements) {
        any_unfitted_ |= !e.fitted;
        add({.id = id, .object = &e, .collection = Collection::element, .one_way = is_one_way(e), .has_positions = has_positions(e),
             .passes_somewhere = passes_somewhere(e), .only_has_position = only_has_position(e)});
    }
    add_all(m.ties, Collection::tie);
    add_all(m.functions, Collection::function);
    add_all(m.quantities, Collection::quantity);
    add_all(m.checks, Collection::check);
    add_all(m.dispatch, Collection::dispatch);
    add_all(m.common_causes, Collection::common_cause);
    add_all(m.variants, Collection::variant);
}

std::size_t Index::slot_of(std::string_view id) const {
    const std::size_t mask = slots_.size() - 1;
    std::size_t slot = std::hash<std::string_view>{}(id) & mask;
    while (slots_[slot] != 0 && entries_[slots_[slot] - 1].id != id) slot = (slot + 1) & mask;
    return slot;
}

void Index::add(Entry entry) {
    const std::size_t slot = slot_of(entry.id);
    if (slots_[slot] != 0) {
        used_twice_.push_back(entry);
        return;
    }
    // Blocks that never move: the entries point into them.
    if (blocks_.empty() || blocks_.back().capacity() - blocks_.back().size() < entry.id.size())
        blocks_.emplace_back().reserve(std::max(block_size, entry.id.size()));
    std::string& block = blocks_.back();
    block += entry.id;
    entry.id = std::string_view(block).substr(block.size() - entry.id.size());
    entries_.push_back(entry);
    slots_[slot] = static_cast<std::uint32_t>(entries_.size());
}

const Index::Entry* Index::find(std::string_view id) const {
    const std::uint32_t entry = slots_[slot_of(id)];
    return entry == 0 ? nullptr : &entries_[entry - 1];
}

const Element* Index::element(std::string_view id) const {
    const Entry* found = find(id);
    return found ? found->element() : nullptr;
}

}  // namespace fedfrom::model
