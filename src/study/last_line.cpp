#include "last_line.hpp"

#include <algorithm>

#include "sources_left.hpp"
#include "variations.hpp"
#include "words.hpp"

namespace fedfrom::detail {
namespace {

std::size_t most_trials(const Compiled& c) { return std::min<std::size_t>(NextOptions{}.most_settles, most_gates / std::max<std::size_t>(1, c.program.gates.size())); }

/// Every further failure after which `gone` says so.
template <class Gone>
void find_singles(LastLine& last, const Outcome& out, const std::vector<std::uint32_t>& functions, std::uint32_t but_of, Gone gone) {
    const Compiled& c = out.network().compiled();
    last.complete = c.failures.size() <= most_trials(c);
    if (!last.complete) return;
    Variations trials(out.state(), functions);
    std::vector<std::uint32_t> failures;
    std::vector<Writes> writes;
    const auto look = [&] {
        trials.settle(writes);
        for (std::size_t i = 0; i < failures.size(); ++i)
            if (gone(trials, i)) last.singles.push_back({*c.elements[c.failures[failures[i]].element].id, c.failures[failures[i]].mode, ""});
        failures.clear();
        writes.clear();
    };
    for (std::uint32_t f = 0; f < c.failures.size(); ++f) {
        if (out.state().failed({f}) || c.failures[f].element == but_of) continue;
        failures.push_back(f);
        writes.push_back(writes_of(out.state(), Event::fail({f})));
        if (failures.size() == Variations::at_once) look();
    }
    look();
}

/// "A, B or C", the first ten and how many more.
std::string one_of(const Compiled& c, const std::vector<FailureRef>& failures) {
    constexpr std::size_t most = 10;
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(most, failures.size()); ++i) words.push_back(called(c, failures[i]));
    if (failures.size() > most) words.push_back("any of " + std::to_string(failures.size() - most) + " more");
    return listed(words, " or ");
}

std::string called_set(const Compiled& c, const std::vector<std::string>& ids) {
    std::vector<std::string> names;
    for (const std::string& id : ids) names.push_back(called(c.elements[index_of(c.elements, id)]));
    return listed(names);
}

/// "A and B, or A and C", the first few and how many more.
std::string called_sets(const Compiled& c, const std::vector<std::vector<std::string>>& sets) {
    constexpr std::size_t most = 4;
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(most, sets.size()); ++i) words.push_back(called_set(c, sets[i]));
    if (sets.size() > most) words.push_back(plural(sets.size() - most, "other set", "other sets"));
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) text += (i == 0 ? "" : i + 1 == words.size() ? "; or " : "; ") + words[i];
    return text;
}

std::string sources_text(const Compiled& c, const SourceCount& s) {
    if (!s.exact) return "At least " + plural(static_cast<std::size_t>(std::max(0, s.count - 1)), "more stands", "more stand") + " behind what is in use; there are too many combinations to try them all.";
    if (s.count == 1 && s.sets.size() == 1) return "Nothing stands behind " + called_set(c, s.sets.front()) + ": this is the last source, and its loss takes it.";
    if (s.count == 1) {
        std::vector<std::string> all;
        for (const auto& set : s.sets) all.push_back(called_set(c, set));
        return "Nothing stands behind any of these, and the loss of one takes it: " + listed(all) + ".";
    }
    if (s.count == 2) return "One more stands behind: it takes two losses, of " + called_sets(c, s.sets) + ".";
    if (s.count == 3) return "Two more stand behind: it takes three losses, of " + called_sets(c, s.sets) + ".";
    if (s.kept_without) return "It stands without any source, controller or drive.";
    return "Three or more stand behind: no three losses of sources, controllers and drives take it.";
}

}  // namespace

LastLine last_line_of_function(const Outcome& out, std::uint32_t f) {
    LastLine last{.sources = count_sources(out, {f}, most_trials(out.network().compiled()))[f]};
    find_singles(last, out, {f}, none, [&](const Variations& trials, std::size_t i) {
        const Level level = trials.judged(f, i).level;
        return level != Level::normal && level != Level::degraded;
    });
    return last;
}

LastLine last_line_of_element(const Outcome& out, std::uint32_t e) {
    LastLine last{.sources = count_sources_of(out, e, most_trials(out.network().compiled()))};
    const Literal supplied = out.network().compiled().elements[e].supplied;
    find_singles(last, out, {}, e, [&](const Variations& trials, std::size_t i) { return !trials.truth(supplied, i).value_or(false); });
    return last;
}

std::vector<std::string> sentences(const Compiled& c, const LastLine& last) {
    std::vector<std::string> list{sources_text(c, last.sources)};
    const auto is_a_source = [&](const FailureRef& f) {
        return last.sources.count == 1 && f.mode == "loss" && std::ranges::find(last.sources.sets, std::vector{f.element}) != last.sources.sets.end();
    };
    std::vector<FailureRef> others;
    std::ranges::remove_copy_if(last.singles, std::back_inserter(others), is_a_source);
    if (!last.complete) list.push_back("Which single failures take it was not examined: the network is too large for that here.");
    else if (others.empty()) list.push_back(last.singles.empty() ? "No single failure takes it." : "No other single failure takes it.");
    else list.push_back((others.size() == last.singles.size() ? "One further failure is enough to take it: " : "One other failure is enough too: ") + one_of(c, others) + ".");
    return list;
}

}  // namespace fedfrom::detail
