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

/// Numbers ids in the order they are given. Nothing comes out in the order of the hash.
class IdTable {
public:
    static constexpr std::uint32_t absent = 0xffffffff;

    IdTable() = default;
    explicit IdTable(const std::vector<std::string_view>& ids) : slots_(std::bit_ceil(2 * ids.size() + 2)) {
        // First what is read in order, then what is written all over the table: so the machine need not wait
        // for one slot before it turns to the next.
        std::vector<std::uint32_t> hashes;
        hashes.reserve(ids.size());
        places_.reserve(ids.size());
        for (const std::string_view id : ids) {
            hashes.push_back(hash_of(id));
            places_.push_back({text_.size(), id.size()});
            text_ += id;
        }
        for (std::uint32_t number = 0; number < ids.size(); ++number) {
            Slot& slot = slots_[slot_of(ids[number], hashes[number])];
            if (slot.number == absent) slot = {hashes[number], number};
            else repeated_.push_back(number);
        }
    }

    /// The number of an id, the first where it was given twice; `absent`: it is not here.
    std::uint32_t find(std::string_view id) const { return slots_.empty() ? absent : slots_[slot_of(id, hash_of(id))].number; }

    /// How far a series of look-ups has got.
    struct Trail {
        std::uint32_t next = 0;
    };
    /// As `find`. Elements that stand one after another mostly name others that do: the next one is tried first.
    std::uint32_t find(std::string_view wanted, Trail& trail) const {
        if (trail.next < places_.size() && repeated_.empty() && id(trail.next) == wanted) return trail.next++;
        const std::uint32_t number = find(wanted);
        if (number != absent) trail.next = number + 1;
        return number;
    }

    /// The numbers of ids that had one already.
    const std::vector<std::uint32_t>& repeated() const { return repeated_; }

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
    std::vector<std::uint32_t> repeated_;

    static std::uint32_t hash_of(std::string_view id) { return static_cast<std::uint32_t>(std::hash<std::string_view>{}(id)); }
    std::string_view id(std::uint32_t number) const { return {text_.data() + places_[number].first, places_[number].length}; }

    /// Where the id is, or the free slot it would go to.
    std::size_t slot_of(std::string_view wanted, std::uint32_t hash) const {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = hash & mask;
        while (slots_[at].number != absent && (slots_[at].hash != hash || id(slots_[at].number) != wanted)) at = (at + 1) & mask;
        return at;
    }
};

}  // namespace fedfrom::model
