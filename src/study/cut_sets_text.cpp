#include <fedfrom/study/cut_sets.hpp>

#include "set_counts.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// "2 of one failure, 11 of two".
std::string by_order(const CutSets& s) {
    static const char* const small[]{"no failure", "one failure", "two", "three", "four", "five", "six", "seven", "eight", "nine"};
    std::vector<std::string> parts;
    for (std::size_t k = 0; k < s.counts.size(); ++k)
        if (s.counts[k] != 0) parts.push_back(count_text(s.counts[k]) + " of " + (k < std::size(small) ? std::string(small[k]) : std::to_string(k)));
    return parts.empty() ? "none" : listed(parts);
}

std::string how_far(const Compiled& c, const CutSets& s) {
    if (s.complete) return s.paths ? "All of them are counted." : "Every minimal set is counted.";
    if (s.complete_from) return "Every minimal set that is at least " + four_digits(*s.complete_from) + " probable on some flight is counted; less probable ones are not, or not all.";
    if (!s.complete_to) return "Not complete: the budget ran out; there are more, or none.";
    if (*s.complete_to == 0) return "Not complete: the budget ran out before any order was.";
    const std::string size = s.options.order ? "up to " + std::to_string(*s.options.order) : "any size";
    const std::string beyond = !s.spreading_to ? "; larger sets were not looked for, or not all found." : ", and of " + size + " where at most one failure spreads" + (s.doubtful.empty() ? "." : ", but for sets with " + considered(c, s.doubtful) + ".");
    const std::string at_once = plural(static_cast<std::size_t>(*s.complete_to), "failure", "failures") + " at once";
    if (s.options.at_least > 0) return "Every minimal set that is at least " + four_digits(s.options.at_least) + " probable on some flight is counted of up to " + at_once + beyond;
    return "Complete to " + at_once + beyond;
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
    if (!s.already) t.footnotes.push_back(how_far(c, s));
    if (s.dropped && !s.complete) t.footnotes.push_back("Without all of one of the sets counted, the function is below the level with a probability of at most " + four_digits(*s.dropped) + " on any flight of " + four_digits(s.options.hours) + (s.options.hours == 1 ? " hour." : " hours."));
    if (!s.missing.empty()) t.footnotes.push_back("Neither rate nor probability is given for " + considered(c, s.missing) + ": taken as certain, so that no set is left out for " + (s.missing.size() == 1 ? "it." : "them."));
    if (!s.already && !s.paths && !s.helping_known) t.footnotes.push_back("Whether more failures can help was not examined: a set is what is enough with everything else working.");
    if (const std::string fewer = how_many_listed(s.counts, s.sets.size()); !fewer.empty()) t.footnotes.push_back(fewer);
    if (!s.helping.empty()) {
        std::vector<std::string> words;
        for (const FailureRef& f : s.helping) words.push_back(called(c, f));
        t.footnotes.push_back("More failures can help: in some combination " + listed(words) + (words.size() == 1 ? " keeps" : " keep") + " the function where it would else be below. A set is what is enough with everything else working.");
    }
    return t;
}

std::string text(const CutSets& s) { return to_text(table(s)); }

}  // namespace fedfrom
