/// Where events come to on top of another: so that of three that come to a place whole most need not be settled.
///
/// Take one of three events, a, for given. What b does on top of it to a variable is c({b}) + c({a, b}), in the sum of meetings.hpp
/// counted from {a}. Let b *come to a place on top of* a where that is 1, at any moment, for something the place reads. Then: *where b and c come
/// to no place together on top of a, every place gives with all three, at every moment, what it gives with a and that one of them that comes to
/// it, or with a alone.* By the same induction over the moments: what the place reads was given so, hence is what it is with a
/// and that one; and so is what it gives. A function then stands at a level at which a smaller combination has it, and nothing new is
/// minimal. It is enough that this holds of one of the three. (It must hold of it at all places: that b and c do not meet here
/// on top of a, and a and c not there on top of b, says nothing.) Of two that meet nowhere c({a, b}) is 0, so
/// that b comes on top of a to where it comes alone.
///
/// Zones. A zone only adds up: it is dragged down once anything has come to it, and most events come to one that a drags down anyway. Let b come *against*
/// a zone on top of a where it changes the zone's variable or its seed, or lowers, for any link into it and in any round, what had come to the zone before that
/// round or comes over the link. *Where b and c both come to a zone, but neither against it, it is with all three as it is with a.* So they meet there only where
/// one of them comes against it. For in a round: had something come with a before, so it had with all three, since neither changes the zone. Else, if with a it
/// comes over some link, neither lowers that, and what two do not change all three do not change either. Else with a nothing comes; then with b
/// nothing comes either, nor with c, or it would change the zone; so neither changes what comes over any link, and with all three nothing comes.
/// (Links are taken one by one, not added up in their order, since that hangs on what else is in the block.) Two that meet nowhere do not both
/// come to a zone; with only one of them there, what it lowers on top of the other it lowers alone, which is nothing: without an event nothing comes.
///
/// Moments. With a about there are stages already with nothing else. Traced blocks begin faults anew in all lanes together, and there a store in a
/// zone empties only where nothing trips in any lane. So whatever else is in a block, {a} and {a, b} go side by side through the
/// same stages: what other lanes begin anew both only do once more, up to where one of the two trips or empties something. In a block of {a}, {a, b},
/// {a, c} and all three each of them ends where it ends by itself, and the moments of the induction are those of that block.
///
/// How often a cell has moved, which holders a loop has dropped, what has come along links so far in a round: a place goes by what it read
/// before, which is what it read with a and that one. So nothing hunts with all three that does not hunt with two of them. Nor does a zone
/// come back (rule M12): until it does it is put together from those of {a}, {a, b} and {a, c}, would go round from there on, and yet come to rest with
/// these. Where with two something hunts or a zone comes back, each comes *everywhere* on top of the other; on top of an event with which it does so alone
/// everything does.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>
#include <vector>

#include <fedfrom/network/compiled.hpp>
#include <fedfrom/solve/meetings.hpp>
#include <fedfrom/solve/place_sets.hpp>
#include <fedfrom/solve/word.hpp>

namespace fedfrom::detail {

/// Rows of bits, each as many vectors of the widest kind.
class BitRows {
public:
    BitRows(std::size_t rows, std::uint32_t bits) : words_((bits + 511) / 512 * 8), bits_(rows * words_) {}
    std::uint32_t words() const { return words_; }
    std::span<std::uint64_t> operator[](std::size_t row) { return {bits_.data() + row * words_, words_}; }
    std::span<const std::uint64_t> operator[](std::size_t row) const { return {bits_.data() + row * words_, words_}; }

private:
    std::uint32_t words_;
    std::vector<std::uint64_t> bits_;
};

/// What two of three do on top of the third, for all three choices of it.
class OnTop {
public:
    /// Where an event comes to on top of another one.
    struct Coming {
        std::uint32_t base, event, set;
    };
    /// What a part of the work found.
    struct Found {
        PlaceSets sets{};
        std::vector<Coming> comings{};
    };

    /// Whether there is room for a bit for each three.
    static bool fit(std::size_t events) { return events * events * events <= std::size_t{1} << 32; }

    OnTop(std::uint32_t events, const Places& places)
        : events_(events), places_(places.count()), first_leaf_(places.first_leaf()), sets_(places_, room), finals_(places_ - first_leaf_, room / 64), alone_(events), at_(std::size_t{events} * events), thirds_(0, 0) {}

    Found begin() const { return {.sets = PlaceSets(places_, room / 4)}; }

    /// An event comes to these places alone, and also on top of what it does not meet.
    void add_alone(std::uint32_t event, std::span<const std::uint64_t> places) {
        const std::uint32_t set = alone_[event] = sets_.number_of(places);
        for (std::uint32_t base = 0; base < events_; ++base) at(base, event) = set;
    }
    void take(const Found& found) {
        std::vector<std::uint32_t> number{PlaceSets::everywhere};
        for (std::uint32_t set = 1; set < found.sets.count(); ++set) number.push_back(sets_.number_of(found.sets.of(set)));
        for (const Coming& coming : found.comings) at(coming.base, coming.event) = number[coming.set];
    }

    /// After all of them. `wild`: on top of these events, others come everywhere.
    /// `in_vain(base, coming)` takes out of who comes where on top of a base what does nothing there.
    template <class W, class InVain>
    void gather(std::span<const std::uint32_t> wild, const Meetings& meetings, InVain in_vain) {
        for (const std::uint32_t base : wild)
            for (std::uint32_t event = 0; event < events_; ++event) at(base, event) = PlaceSets::everywhere;
        leave_only(meetings);
        thirds_ = BitRows(std::size_t{events_} * (events_ - 1) / 2, events_);
        Base base(*this, meetings.places());
        BitRows met(std::size_t{64} * events_, events_);  // on top of the last bases, by event
        for (std::uint32_t x = 0; x < events_; ++x) {
            run_hot<W>([&] { base.find_coming(x); });
            in_vain(x, base.coming());
            run_hot<W>([&] { base.find_met(); });
            for (std::uint32_t b = x + 1; b < events_; ++b) std::ranges::copy(base.met_by(b), thirds_[row(x, b)].begin());
            for (std::uint32_t a = 0; a < x; ++a) {
                keep_only(thirds_[row(a, x)], base.met_by(a));
                std::ranges::copy(base.met_by(a), met[std::size_t{x % 64} * events_ + a].begin());
            }
            if (x % 64 == 63 || x + 1 == events_) keep_thirds_up_to(x, met);
        }
    }

    /// Which leaves an event changes in the end, alone or on top of another, as a set by number; 0: not known.
    std::uint32_t final_alone(std::uint32_t event) const { return final_alone_[event]; }
    std::uint32_t final_on_top(std::uint32_t base, std::uint32_t event) const { return final_at_[std::size_t{base} * events_ + event]; }
    std::uint32_t finals() const { return finals_.count(); }
    bool changes(std::uint32_t set, std::uint32_t leaf) const { return finals_.of(set)[(leaf - first_leaf_) / 64] >> (leaf % 64) & 1; }

    /// Of the events after `b`, those that may do something new together with `a` and `b`.
    std::span<const std::uint64_t> thirds(std::uint32_t a, std::uint32_t b) const { return thirds_[row(a, b)]; }

private:
    static constexpr std::size_t room = std::size_t{1} << 25;  // words of sets

    std::uint32_t events_, places_, first_leaf_;
    PlaceSets sets_, finals_;                            // of places; of leaves
    std::vector<std::uint32_t> alone_, at_;              // by event, and by base and event: a set
    std::vector<std::uint32_t> final_alone_, final_at_;  // likewise, of leaves
    BitRows thirds_;                                     // by two events

    std::uint32_t& at(std::uint32_t base, std::uint32_t event) { return at_[std::size_t{base} * events_ + event]; }
    std::size_t row(std::uint32_t a, std::uint32_t b) const { return std::size_t{a} * (2 * events_ - a - 1) / 2 + b - a - 1; }

    /// Of places only those more than one event comes to; leaves by themselves.
    void leave_only(const Meetings& meetings) {
        const std::vector<std::uint64_t> kept = without_like(meetings.places(), meetings.shared());
        PlaceSets left(places_, room);
        std::vector<std::uint32_t> number{PlaceSets::everywhere}, final{PlaceSets::everywhere};
        for (std::uint32_t set = 1; set < sets_.count(); ++set) {
            std::vector<std::uint64_t> of_set(sets_.of(set).begin(), sets_.of(set).end());
            final.push_back(finals_.number_of(sets_.of(set).subspan(first_leaf_ / 64)));
            keep_only(of_set, kept);
            number.push_back(left.number_of(of_set));
        }
        for (const std::uint32_t set : alone_) final_alone_.push_back(final[set]);
        for (const std::uint32_t set : at_) final_at_.push_back(final[set]);
        for (std::uint32_t& set : at_) set = number[set];
        sets_ = std::move(left);
    }

    /// Of places that are in the same sets one is enough. Zones and goals stay: there it is not the sets alone that decide.
    std::vector<std::uint64_t> without_like(const Places& places, std::span<const std::uint64_t> among) const {
        std::vector<std::uint32_t> like(places.first_goal(), 0), split(1, 0), split_by(1, 0);  // places by number of those alike, which every set splits
        for (std::uint32_t set = 1; set < sets_.count(); ++set)
            for (std::uint32_t w = 0; 64 * w < places.first_goal(); ++w)
                for (std::uint64_t rest = sets_.of(set)[w] & among[w]; rest; rest &= rest - 1) {
                    const std::uint32_t place = 64 * w + static_cast<std::uint32_t>(std::countr_zero(rest));
                    if (place >= places.first_goal()) break;
                    const std::uint32_t old = like[place];
                    if (split_by[old] != set) {
                        split_by[old] = set;
                        split[old] = static_cast<std::uint32_t>(split.size());
                        split.push_back(0);
                        split_by.push_back(0);
                    }
                    like[place] = split[old];
                }
        std::vector<std::uint64_t> kept(among.begin(), among.end());
        std::vector<bool> seen(split.size(), false);
        for (std::uint32_t place = 0; place < places.first_goal(); ++place)
            if (places.partner(place) == place) {
                if (seen[like[place]]) kept[place / 64] &= ~(std::uint64_t{1} << (place % 64));
                seen[like[place]] = true;
            }
        return kept;
    }

    /// Who meets whom on top of one event. Events that come to the same places go together.
    class Base {
    public:
        Base(const OnTop& all, const Places& places) : all_(all), places_(places), coming_(all.places_, all.events_), events_(all.events_, all.events_), met_(all.events_, all.events_), group_of_(all.sets_.count(), none), in_group_(all.events_) {}

        void find_coming(std::uint32_t x) {
            for (const std::uint32_t set : sets_) group_of_[set] = none;
            sets_.clear();
            for (std::uint32_t e = 0; e < all_.events_; ++e) {
                std::uint32_t& group = group_of_[all_.at_[std::size_t{x} * all_.events_ + e]];
                if (group == none) {
                    group = static_cast<std::uint32_t>(sets_.size());
                    sets_.push_back(all_.at_[std::size_t{x} * all_.events_ + e]);
                    std::ranges::fill(events_[group], 0);
                }
                in_group_[e] = group;
                events_[group][e / 64] |= std::uint64_t{1} << (e % 64);
            }
            for (const std::uint32_t place : come_to_) std::ranges::fill(coming_[place], 0);
            come_to_.clear();
            for (std::uint32_t g = 0; g < sets_.size(); ++g)
                each_place(g, [&](std::uint32_t place) {
                    come_to_.push_back(place);
                    add(coming_[place], events_[g]);
                });
        }
        BitRows& coming() { return coming_; }

        void find_met() {
            const std::uint32_t everywhere = group_of_[PlaceSets::everywhere];
            for (std::uint32_t g = 0; g < sets_.size(); ++g) {
                std::ranges::fill(met_[g], g == everywhere ? ~std::uint64_t{0} : 0);
                if (everywhere != none) add(met_[g], events_[everywhere]);
                each_place(g, [&](std::uint32_t place) { add(met_[g], coming_[places_.partner(place)]); });
            }
        }
        std::span<const std::uint64_t> met_by(std::uint32_t e) const { return met_[in_group_[e]]; }

    private:
        const OnTop& all_;
        const Places& places_;
        BitRows coming_;                       // by place: events
        BitRows events_, met_;                 // by group: its events, and those they meet
        std::vector<std::uint32_t> sets_;      // by group
        std::vector<std::uint32_t> group_of_;  // by set
        std::vector<std::uint32_t> in_group_, come_to_;

        template <class Call>
        void each_place(std::uint32_t group, Call call) const {
            if (sets_[group] == PlaceSets::everywhere) return;
            const auto set = all_.sets_.of(sets_[group]);
            for (std::uint32_t w = 0; w < set.size(); ++w)
                for (std::uint64_t rest = set[w]; rest; rest &= rest - 1) call(64 * w + static_cast<std::uint32_t>(std::countr_zero(rest)));
        }
    };

    /// Of the last up to 64 bases: each is left as a third event only with two that meet on top of it.
    void keep_thirds_up_to(std::uint32_t last, const BitRows& met) {
        const std::uint32_t word = last / 64;
        for (std::uint32_t a = 0; a < last; ++a)
            for (std::uint32_t w = a / 64; w <= word; ++w) {
                std::uint64_t bits[64]{};
                for (std::uint32_t x = std::max(64 * word, a + 1); x <= last; ++x) bits[x % 64] = met[std::size_t{x % 64} * events_ + a][w];
                transpose(bits);
                for (std::uint32_t b = std::max(64 * w, a + 1); b < std::min(64 * w + 64, last); ++b) thirds_[row(a, b)][word] &= bits[b % 64];
            }
    }
};

}  // namespace fedfrom::detail
