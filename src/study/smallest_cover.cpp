// Wants that follow from others are left out first: what meets {1} meets {1, 2}. The rest is a search of growing depth that branches
// on the want with fewest choices; its depth is the size of the cover, at most the number of choices.
#include "smallest_cover.hpp"

#include <algorithm>

namespace fedfrom::detail {
namespace {

using Choices = std::vector<std::size_t>;

constexpr std::size_t most_steps = 2'000'000;  // a fraction of a second

class CoverSearch {
public:
    explicit CoverSearch(std::vector<Choices> wants) : wants_(std::move(wants)), met_(wants_.size(), 0) {}

    /// A cover of at most so many choices; false: none, or out of steps. A stack of its own, one entry a choice.
    bool find(std::size_t size) {
        struct Level {
            std::size_t want, next;
        };
        std::vector<Level> levels;
        chosen_.clear();
        std::ranges::fill(met_, 0);
        std::size_t open = first_open();
        if (open == wants_.size()) return true;
        if (size == 0) return false;
        levels.push_back({open, 0});
        while (!levels.empty()) {
            if (++steps_ > most_steps) return false;
            Level& level = levels.back();
            if (chosen_.size() == levels.size()) drop();
            if (level.next == wants_[level.want].size()) {
                levels.pop_back();
                continue;
            }
            choose(wants_[level.want][level.next++]);
            open = first_open();
            if (open == wants_.size()) return true;
            if (levels.size() < size) levels.push_back({open, 0});
        }
        return false;
    }
    bool spent() const { return steps_ > most_steps; }
    Choices chosen() const { return chosen_; }

private:
    std::vector<Choices> wants_;
    std::vector<std::size_t> met_;  // by want: how many chosen meet it
    Choices chosen_;
    std::size_t steps_ = 0;

    void count(std::size_t choice, std::size_t by) {
        for (std::size_t w = 0; w < wants_.size(); ++w)
            if (std::ranges::binary_search(wants_[w], choice)) met_[w] += by;
    }
    void choose(std::size_t choice) {
        chosen_.push_back(choice);
        count(choice, 1);
    }
    void drop() {
        count(chosen_.back(), ~std::size_t{0});
        chosen_.pop_back();
    }
    std::size_t first_open() const { return static_cast<std::size_t>(std::ranges::find(met_, std::size_t{0}) - met_.begin()); }
};

/// What meets most of what is still open, again and again.
Choices greedy(std::size_t choices, std::vector<Choices> wants) {
    Choices chosen;
    while (!wants.empty()) {
        std::vector<std::size_t> meets(choices, 0);
        for (const Choices& want : wants)
            for (const std::size_t c : want) ++meets[c];
        const auto best = static_cast<std::size_t>(std::ranges::max_element(meets) - meets.begin());
        chosen.push_back(best);
        std::erase_if(wants, [&](const Choices& want) { return std::ranges::binary_search(want, best); });
    }
    return chosen;
}

}  // namespace

Cover smallest_cover(std::size_t choices, std::vector<Choices> wants) {
    std::ranges::sort(wants, [](const Choices& a, const Choices& b) { return std::pair(a.size(), a) < std::pair(b.size(), b); });
    std::vector<Choices> kept;
    for (Choices& want : wants)
        if (std::ranges::none_of(kept, [&](const Choices& k) { return std::ranges::includes(want, k); })) kept.push_back(std::move(want));
    Cover cover{.chosen = greedy(choices, kept)};
    CoverSearch search(kept);
    for (std::size_t size = 0; size < cover.chosen.size(); ++size) {
        if (search.find(size)) {
            cover.chosen = search.chosen();
            break;
        }
        if (search.spent()) {
            cover.exact = false;
            break;
        }
    }
    std::ranges::sort(cover.chosen);
    return cover;
}

}  // namespace fedfrom::detail
