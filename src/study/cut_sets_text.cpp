#include <fedfrom/study/cut_sets.hpp>

#include <limits>

#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

std::string number(std::uint64_t n) { return n == std::numeric_limits<std::uint64_t>::max() ? "more than can be counted" : std::to_string(n); }

/// "2 of one failure, 11 of two".
std::string by_order(const CutSets& s) {
    static const char* const small[]{"no failure", "one failure", "two", "three", "four", "five", "six", "seven", "eight", "nine"};
    std::vector<std::string> parts;
    for (std::size_t k = 0; k < s.counts.size(); ++k)
        if (s.counts[k] != 0) parts.push_back(number(s.counts[k]) + " of " + (k < std::size(small) ? std::string(small[k]) : std::to_string(k)));
    return parts.empty() ? "none" : listed(parts);
}

std::string how_far(const CutSets& s) {
    if (s.complete) return s.paths ? "All of them are counted." : "Every minimal set is counted.";
    if (!s.complete_to) return "Not complete: the budget ran out; there are more, or none.";
    return *s.complete_to == 0 ? "Not complete: the budget ran out before any order was." : "Complete to " + plural(static_cast<std::size_t>(*s.complete_to), "failure", "failures") + " at once; larger sets were not looked for, or not all found.";
}

}  // namespace

Table table(const CutSets& s) {
    const Compiled& c = s.before.network().compiled();
    const std::string name = name_of(c.functions[index_of(c.functions, s.function)]);
    const bool normal = s.options.below == Level::normal;
    Table t{.title = s.paths ? "What is enough to keep " + name + (normal ? " normal" : " at all") : "What takes " + name + (normal ? " below normal" : " away altogether"),
            .captions = captions(s.before),
            .columns = {{"Set"}, {s.paths ? "None of these has failed" : "Failures, all of them together"}, {"How many"}}};
    if (s.options.within) t.captions.push_back({"Failures considered", "only " + considered(c, *s.options.within)});
    t.captions.push_back({"Sets", s.already ? s.by : by_order(s)});
    std::size_t n = 0;
    for (const auto& set : s.sets) {
        std::vector<std::string> words;
        for (const FailureRef& f : set) words.push_back(called(c, f));
        t.rows.push_back({Cell(++n), Cell(words.empty() ? "nothing" : listed(words)), Cell(set.size())});
    }
    if (!s.already) t.footnotes.push_back(s.by);
    if (!s.already) t.footnotes.push_back(how_far(s));
    if (!s.already && !s.paths && !s.helping_known) t.footnotes.push_back("Whether more failures can help was not examined: a set is what is enough with everything else working.");
    std::uint64_t all = 0;
    for (const std::uint64_t count : s.counts) all = count > std::numeric_limits<std::uint64_t>::max() - all ? std::numeric_limits<std::uint64_t>::max() : all + count;
    if (all > s.sets.size()) t.footnotes.push_back("Only the first " + std::to_string(s.sets.size()) + " of " + number(all) + " sets are listed.");
    if (!s.helping.empty()) {
        std::vector<std::string> words;
        for (const FailureRef& f : s.helping) words.push_back(called(c, f));
        t.footnotes.push_back("More failures can help: in some combination " + listed(words) + (words.size() == 1 ? " keeps" : " keep") + " the function where it would else be below. A set is what is enough with everything else working.");
    }
    return t;
}

std::string text(const CutSets& s) { return to_text(table(s)); }

}  // namespace fedfrom
