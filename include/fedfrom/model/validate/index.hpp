/// Where each id of a model is, by one look-up.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/model/id_table.hpp>
#include <fedfrom/model/model.hpp>

namespace fedfrom::model {

enum class Collection : std::uint8_t { given, element, tie, function, quantity, check, dispatch, common_cause, variant };

/// The key of the collection in the JSON form.
std::string_view key_of(Collection c);
/// "an element", "a function", …
std::string_view noun_of(Collection c);

/// The ids of all collections in one table. The model must outlive it.
///
/// An entry carries what is asked of an element most: a large model's elements are far apart in memory,
/// and going to each one for every feed would take most of the time.
class Index {
public:
    struct Entry {
        std::string_view id;
        const void* object = nullptr;
        Collection collection = Collection::given;
        bool again = false;  ///< one before it has the id
        // of an element
        bool one_way = false, has_positions = false, passes_somewhere = false, only_has_position = false;
        const Element* element() const { return collection == Collection::element ? static_cast<const Element*>(object) : nullptr; }
    };

    explicit Index(const Model& m);

    /// The first to have this id, in the order of the collections; null: nothing has it.
    const Entry* find(std::string_view id) const { return entry(ids_.find(id)); }
    const Entry* find(std::string_view id, IdTable::Trail& trail) const { return entry(ids_.find(id, trail)); }
    const Element* element(std::string_view id) const;

    /// Ids that a second collection has too, each with that collection.
    const std::vector<Entry>& used_twice() const { return used_twice_; }
    /// In the order of the collections, those of `used_twice` too.
    const std::vector<Entry>& entries() const { return entries_; }
    /// All elements in id order, those of `used_twice` too. To step through a large map is to wait for
    /// memory at every step, so it is done once.
    const std::vector<std::pair<std::string_view, const Element&>>& elements() const { return elements_; }
    bool any_unfitted() const { return any_unfitted_; }

private:
    const Entry* entry(std::uint32_t number) const { return number == IdTable::absent ? nullptr : &entries_[number]; }

    std::vector<Entry> entries_;  // by number of the id
    IdTable ids_;
    std::vector<Entry> used_twice_;
    std::vector<std::pair<std::string_view, const Element&>> elements_;
    bool any_unfitted_ = false;
};

}  // namespace fedfrom::model
