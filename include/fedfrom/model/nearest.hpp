/// The word an author probably meant, by edit distance.
///
///     nearest("gen_lef", {"gen_left", "gen_right"});   // "gen_left"
///     nearest("flap", {"gen_left", "gen_right"});      // "": nothing is near
///
/// A word is near when at most a third of its letters (at least one) differ by
/// being missing, added, changed or swapped with a neighbour. The first of
/// equally near words wins, so the answer depends on the order given.
#pragma once

#include <algorithm>
#include <array>
#include <initializer_list>
#include <numeric>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fedfrom {

/// Letters to change in `a` to get `b` (a swap of neighbours counts one), or `limit` + 1 once it is above `limit`.
inline std::size_t edit_distance(std::string_view a, std::string_view b, std::size_t limit) {
    if (a.size() > b.size()) std::swap(a, b);
    if (b.size() - a.size() > limit) return limit + 1;
    std::array<std::vector<std::size_t>, 3> rows;
    for (auto& r : rows) r.resize(b.size() + 1);
    auto& [before, last, next] = rows;
    std::iota(last.begin(), last.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t best = next[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            next[j] = std::min({last[j] + 1, next[j - 1] + 1, last[j - 1] + (a[i - 1] != b[j - 1])});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                next[j] = std::min(next[j], before[j - 2] + 1);
            best = std::min(best, next[j]);
        }
        if (best > limit) return limit + 1;
        std::swap(before, last);
        std::swap(last, next);
    }
    return std::min(last[b.size()], limit + 1);
}

/// The nearest of `words` (any range of strings), or "" when none is near.
template <class Words>
std::string nearest(std::string_view word, const Words& words) {
    std::size_t limit = std::max<std::size_t>(1, word.size() / 3);
    std::string_view found;
    for (const auto& candidate : words) {
        const std::size_t d = edit_distance(word, candidate, limit);
        if (d > limit) continue;
        found = candidate;
        if (d == 0) break;
        limit = d - 1;  // only a nearer one replaces it
    }
    return std::string(found);
}

inline std::string nearest(std::string_view word, std::initializer_list<std::string_view> words) {
    return nearest<std::initializer_list<std::string_view>>(word, words);
}

/// " Did you mean `gen_left`?", to end a sentence with; empty when none is near.
template <class Words>
std::string did_you_mean(std::string_view word, const Words& words) {
    const std::string near = nearest(word, words);
    return near.empty() ? "" : " Did you mean `" + near + "`?";
}

}  // namespace fedfrom
