/// Where each of many ids stands, by hash.
///
/// The ids are copied and kept close together: a large model's own are far apart in
/// memory, and going to each one looked up would take most of the time.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace fedfrom::model {

/// Numbers ids in the order they are added. Nothing comes out in the order of the hash.
class IdTable {
public:
    static constexpr std::uint32_t absent = 0xffffffff;

    /// For at most `count` ids.
    explicit IdTable(std::size_t count) : slots_(std::bit_ceil(2 * count + 2)) { places_.reserve(count); }

    std::size_t size() const { return places_.size(); }

    /// The number of an id; `absent`: it was never added.
    std::uint32_t find(std::string_view id) const { return slots_[slot_of(id, hash_of(id))].number; }

    /// Adds an id under the next number; false: it has one already.
    bool add(std::string_view id) {
        const std::uint32_t hash = hash_of(id);
        Slot& slot = slots_[slot_of(id, hash)];
        if (slot.number != absent) return false;
        slot = {hash, static_cast<std::uint32_t>(places_.size())};
        places_.push_back({text_.size(), id.size()});
        text_ += id;
        return true;
    }

private:
    struct Place {
        std::size_t first, length;
    };
    struct Slot {
        std::uint32_t hash = 0, number = absent;
    };
    std::string text_;           // the ids, one after the other
    std::vector<Place> places_;  // in text_, by number
    std::vector<Slot> slots_;    // open addressing, at most half full

    static std::uint32_t hash_of(std::string_view id) { return static_cast<std::uint32_t>(std::hash<std::string_view>{}(id)); }
    std::string_view id(std::uint32_t number) const { return std::string_view(text_).substr(places_[number].first, places_[number].length); }

    /// Where the id is, or the free slot it would go to.
    std::size_t slot_of(std::string_view wanted, std::uint32_t hash) const {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = hash & mask;
        while (slots_[at].number != absent && (slots_[at].hash != hash || id(slots_[at].number) != wanted)) at = (at + 1) & mask;
        return at;
    }
};

}  // namespace fedfrom::model
