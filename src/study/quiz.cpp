// Of failures that show alone, some are drawn, again until each of them shows: without any one of them, some indication would read otherwise.
#include <fedfrom/study/quiz.hpp>

#include <algorithm>
#include <tuple>

#include "goal_formula.hpp"
#include "lamps.hpp"
#include "observed.hpp"
#include "player.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int most_draws = 1'000;

/// Sebastiano Vigna's splitmix64 (public domain): the same numbers on every machine.
class RandomDraw {
public:
    explicit RandomDraw(std::uint64_t seed) : state_(seed) {}
    std::size_t below(std::size_t n) {
        std::uint64_t z = state_ += 0x9e3779b97f4a7c15;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
        z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
        return static_cast<std::size_t>((z ^ (z >> 31)) % n);
    }

private:
    std::uint64_t state_;
};

using Set = std::vector<FailureHandle>;

/// What all indications show with each set of failures.
std::vector<std::vector<Reading>> shown_with(const State& settled, const std::vector<Set>& sets) {
    std::vector<std::vector<Reading>> list;
    for (auto& read : Player(settled).play(sets, {{.look_at = indicators(settled.network().compiled())}})) list.push_back(std::move(read.front()));
    return list;
}

bool surely_differ(const std::vector<Reading>& a, const std::vector<Reading>& b) {
    for (std::size_t i = 0; i < a.size(); ++i)
        if (a[i] && b[i] && *a[i] != *b[i]) return true;
    return false;
}

bool surely_same(const std::vector<Reading>& a, const std::vector<Reading>& b) {
    return a == b && std::ranges::all_of(a, [](const Reading& r) { return r.has_value(); });
}

bool each_shows(const State& settled, const Set& set) {
    std::vector<Set> sets{set};
    for (std::size_t left_out = 0; left_out < set.size(); ++left_out) {
        sets.push_back(set);
        sets.back().erase(sets.back().begin() + static_cast<std::ptrdiff_t>(left_out));
    }
    const auto shown = shown_with(settled, sets);
    return std::all_of(shown.begin() + 1, shown.end(), [&](const auto& other) { return surely_differ(shown.front(), other); });
}

/// Those that alone change what some indication shows.
Set that_show(const State& settled, const Set& failures) {
    std::vector<Set> sets{{}};
    for (const FailureHandle f : failures) sets.push_back({f});
    const auto shown = shown_with(settled, sets);
    Set list;
    for (std::size_t i = 0; i < failures.size(); ++i)
        if (surely_differ(shown.front(), shown[1 + i])) list.push_back(failures[i]);
    return list;
}

Set drawn(const State& settled, const QuizOptions& options) {
    const Compiled& c = settled.network().compiled();
    const Set pool = that_show(settled, failures_to_combine(settled, options.within));
    const auto count = static_cast<std::size_t>(options.failures);
    RandomDraw draw(options.seed);
    for (int i = 0; i < most_draws && pool.size() >= count; ++i) {
        Set set;
        while (set.size() < count) {
            const FailureHandle f = pool[draw.below(pool.size())];
            if (std::ranges::find(set, f) == set.end()) set.push_back(f);
        }
        std::ranges::sort(set, {}, &FailureHandle::index);
        const auto element = [&](FailureHandle f) { return c.failures[f.index].element; };
        const bool two_of_one = std::ranges::adjacent_find(set, {}, element) != set.end();
        if (!two_of_one && each_shows(settled, set)) return set;
    }
    throw NotPossible(count == 1 ? "No failure that can be drawn shows on any indication." : "No failures that can be drawn each show on some indication.");
}

/// Each with its position said, where it sticks elsewhere than where it stands.
State failed(const State& settled, const std::vector<FailureRef>& failures) {
    State state = settled;
    for (const FailureRef& f : failures) {
        if (settled.failed(settled.network().failure(f.element, f.mode))) throw NotPossible("`" + f.element + "` has `" + f.mode + "` already.");
        state.fail(f.element, f.mode, f.at);
    }
    return state;
}

std::vector<FailureRef> sorted(std::vector<FailureRef> failures) {
    std::ranges::sort(failures, [](const FailureRef& a, const FailureRef& b) { return std::tie(a.element, a.mode, a.at) < std::tie(b.element, b.mode, b.at); });
    failures.erase(std::unique(failures.begin(), failures.end()), failures.end());
    return failures;
}

/// What indications show, in the order of `indicators`.
std::vector<Reading> shown_in(const Outcome& out) {
    std::vector<Reading> list;
    for (const std::uint32_t e : indicators(out.network().compiled())) list.push_back(detail::seen(out, ElementHandle{e}));
    return list;
}

}  // namespace

Quiz::Quiz(const State& from, const QuizOptions& options) : from_(from), before_(settle(from_)) {
    const Compiled& c = from_.network().compiled();
    if (options.failures < 1 || options.failures > 3) throw NotPossible("`failures` is 1, 2 or 3 to draw, not " + std::to_string(options.failures) + ".");
    hidden_ = sorted(options.hidden);
    if (hidden_.empty())
        for (const FailureHandle f : drawn(from_, options)) hidden_.push_back(ref_of(c, f));
    State state = failed(from_, hidden_);
    const Outcome out = settle(state);
    for (const std::uint32_t e : indicators(c)) {
        const Reading was = detail::seen(before_, ElementHandle{e}), is = detail::seen(out, ElementHandle{e});
        if (was && is && *was != *is) seen_.push_back({.id = *c.elements[e].id, .seen = *is});
    }
    symptoms_ = seen_.size();
}

std::optional<Observation> Quiz::look(const std::string& id, const Demand& when) {
    const Network& net = from_.network();
    const Compiled& c = net.compiled();
    examine(net, when);
    std::optional<Observation> found;
    State state = failed(from_, hidden_);
    if (index_of(c.functions, id) != none) {
        std::vector<Observation> ways;
        for (const Level level : {Level::normal, Level::degraded, Level::lost}) ways.push_back({id, std::string(name_of(level)), when});
        const Observed observed(from_, ways);
        State larger = failed(observed.state(), hidden_);
        const Outcome out = settle(larger);
        for (std::size_t w = 0; w < ways.size(); ++w)
            if (observed.predicts(out, w) == std::optional(true)) found = ways[w];
    } else {
        const ElementHandle e = net.element(id);
        if (!c.elements[e.index].fitted) throw NotPossible("`" + id + "` is not fitted in this aircraft.");
        Outcome out = settle(state);
        if (when != Demand{}) {
            take(state, when);
            out = settle(state);
        }
        const bool shows = !c.elements[e.index].element->shows.empty(), stands = !c.elements[e.index].positions.empty();
        if (shows && detail::seen(out, e)) found = Observation{id, *detail::seen(out, e), when};
        else if (!shows && stands && out.position(e)) found = Observation{id, std::string(*out.position(e)), when};
        else if (!shows && !stands && out.status(e) != Status::unknown) found = Observation{id, out.status(e) == Status::supplied ? "works" : "dead", when};
    }
    if (found && std::ranges::find(seen_, *found) == seen_.end()) seen_.push_back(*found);
    return found;
}

Guess Quiz::guess(const std::vector<FailureRef>& failures) const {
    Guess guess{.failures = sorted(failures)};
    State state = failed(from_, guess.failures), truth = failed(from_, hidden_);
    const Observed observed(from_, seen_);
    State larger = failed(observed.state(), guess.failures);
    const Outcome out = settle(larger);
    for (std::size_t o = 0; o < seen_.size(); ++o) {
        const auto predicted = observed.predicts(out, o);
        (!predicted ? guess.undecided : *predicted ? guess.explains : guess.contradicts).push_back(o);
    }
    guess.right = guess.failures == hidden_;
    guess.looks_the_same = guess.explains.size() == seen_.size() && surely_same(shown_in(settle(state)), shown_in(settle(truth)));
    return guess;
}

Quiz quiz(const State& from, const QuizOptions& options) { return {from, options}; }

Quiz quiz(const Network& net, const QuizOptions& options) { return {running_state(net), options}; }

Table table(const Quiz& quiz) {
    const Compiled& c = quiz.before().network().compiled();
    Table t{.title = "What is seen", .captions = captions(quiz.before()), .columns = {{"No."}, {"Of"}, {"Seen"}, {"Was"}, {"When"}}, .rows = {}, .footnotes = {}};
    for (std::size_t o = 0; o < quiz.seen().size(); ++o) {
        const Observation& x = quiz.seen()[o];
        const std::uint32_t f = index_of(c.functions, x.id), e = index_of(c.elements, x.id);
        const std::string when = demand_text(c, x.when);
        const std::optional<std::string> was = o < quiz.symptoms() ? seen(quiz.before(), ElementHandle{e}) : std::nullopt;
        t.rows.push_back({o + 1, f != none ? name_of(c.functions[f]) : name_of(c.elements[e]), x.seen.empty() ? "nothing" : x.seen, was ? Cell(was->empty() ? "nothing" : *was) : Cell(), when.empty() ? "as things stand" : when});
    }
    t.footnotes.push_back(quiz.symptoms() == 0 ? "No indication tells of what has failed." : "Indications that are not named show what they did before, as far as that is known.");
    t.footnotes.push_back("State: as it was before; what has failed since is to be found.");
    return t;
}

std::string text(const Quiz& quiz) { return to_text(table(quiz)); }

}  // namespace fedfrom
