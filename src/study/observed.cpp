// A function's level in a situation is that of a copy of it, judged with the situation and its own demand set together; so are the
// functions whose level it reads. A frozen pointer shows what it last showed while supplied: in the settled aircraft, which a
// function without a demand tells, or before.
#include "observed.hpp"

#include <algorithm>

#include <fedfrom/model/resolve.hpp>

#include "copies.hpp"
#include "lamps.hpp"

namespace fedfrom::detail {
namespace {

constexpr char mark = '~';  // no author's id begins so, and it sorts behind all of them

class LargerModelWriter {
public:
    explicit LargerModelWriter(const State& settled) : settled_(settled), net_(settled.network()), c_(net_.compiled()), model_(c_.model) {}

    void add(const Observation& o, std::size_t place) {
        examine(net_, o.when);
        Function f{.demand = o.when};
        f.modes["seen"] = {.rank = 1, .when = index_of(c_.functions, o.id) != none ? of_function(o) : of_element(o)};
        model_.functions[seen_id(place)] = std::move(f);
    }

    Model finish(std::size_t observations) {
        for (std::size_t left_out = 0; left_out <= observations; ++left_out) {
            std::vector<Condition> others;
            for (std::size_t i = 0; i < observations; ++i)
                if (i != left_out) others.push_back(level(seen_id(i), "normal"));
            model_.functions[goal_id(left_out)].modes["explained"] = {.rank = 1, .when = all_of(std::move(others))};
        }
        return std::move(model_);
    }

    const std::map<std::string, std::string>& copy_of() const { return copy_of_; }

    static std::string seen_id(std::size_t place) { return mark + ("seen_" + std::to_string(place)); }
    /// All but one; with the number of observations, all.
    static std::string goal_id(std::size_t left_out) { return mark + ("all_but_" + std::to_string(left_out)); }

private:
    const State& settled_;
    const Network& net_;
    const Compiled& c_;
    Model model_;
    std::vector<Demand> situations_;
    std::map<std::string, std::string> copy_of_;

    Condition of_function(const Observation& o) {
        const std::uint32_t f = index_of(c_.functions, o.id);
        if (c_.functions[f].modes.empty()) throw NotPossible("`" + o.id + "` is not fitted in this aircraft.");
        const std::string id = o.when == Demand{} ? o.id : in_situation(f, o.when);
        if (o.seen == "works") return level(id, "degraded");
        if (o.seen == "dead" || o.seen == "lost") return not_(level(id, "degraded"));
        if (o.seen == "normal") return level(id, "normal");
        if (o.seen == "degraded") return all_of({level(id, "degraded"), not_(level(id, "normal"))});
        throw NotPossible("A function is seen to be works, dead, normal, degraded or lost; `" + o.id + "` not `" + o.seen + "`.");
    }

    Condition of_element(const Observation& o) {
        const std::uint32_t e = net_.element(o.id).index;
        const ElementInfo& info = c_.elements[e];
        const Element& written = *info.element;
        if (!info.fitted) throw NotPossible("`" + o.id + "` is not fitted in this aircraft.");
        if (!written.shows.empty() && may_show(written, o.seen)) return shows(o, e);
        if ((o.seen == "works" || o.seen == "dead") && !only_has_position(written)) return o.seen == "works" ? Condition(o.id) : not_(Condition(o.id));
        if (std::ranges::find(info.positions, o.seen) != info.positions.end()) return at(o.id, o.seen);
        std::string words;
        const auto add = [&](std::string_view word) { words += (words.empty() ? "" : ", ") + (word.empty() ? "nothing (\"\")" : "\"" + std::string(word) + "\""); };
        for (const Show& show : written.shows) add(show.text);
        if (!written.shows.empty() && written.unpowered != stays) add(written.unpowered);
        if (!only_has_position(written)) add("works"), add("dead");
        for (const std::string_view position : info.positions) add(position);
        throw NotPossible("`" + o.id + "` is never seen as \"" + o.seen + "\"; it may be: " + words + ".");
    }

    static bool may_show(const Element& e, const std::string& text) {
        return text.empty() || std::ranges::find(e.shows, text, &Show::text) != e.shows.end() || (e.unpowered != stays && e.unpowered == text);
    }

    /// Whether somebody who looks cannot tell the two texts apart.
    static bool alike(const Element& e, const std::string& a, const std::string& b) { return seen_as(e, a) == seen_as(e, b); }

    /// Supplied, with the first condition that holds one of this text, as far as it can be seen.
    static Condition reads(const Element& e, const std::string& id, const std::string& text) {
        std::vector<Condition> ways, none_before;
        for (const Show& show : e.shows) {
            if (alike(e, show.text, text)) {
                std::vector<Condition> first = none_before;
                first.push_back(show.when);
                ways.push_back(all_of(std::move(first)));
            }
            none_before.push_back(not_(show.when));
        }
        if (alike(e, text, "")) ways.push_back(all_of(std::move(none_before)));
        return all_of({Condition(id), any_of(std::move(ways))});
    }

    Condition shows(const Observation& o, std::uint32_t e) {
        const Element& written = *c_.elements[e].element;
        const Condition supplied = reads(written, o.id, o.seen);
        if (written.unpowered != stays) return alike(written, written.unpowered, o.seen) ? any_of({supplied, not_(Condition(o.id))}) : supplied;
        const std::uint8_t last = settled_.readings()[e];
        if (last == State::not_known) throw NotPossible("What `" + o.id + "` last showed is not known, so nothing can be said of what it shows now.");
        const bool so_before = (last == State::blank ? std::string() : written.shows[last].text) == o.seen;
        const Condition settled = so_before ? any_of({supplied, not_(Condition(o.id))}) : supplied;
        if (o.when == Demand{}) return settled;
        const std::string before = mark + ("before_" + o.id + "_" + std::to_string(model_.functions.size()));
        model_.functions[before].modes["seen"] = {.rank = 1, .when = settled};
        return any_of({supplied, all_of({not_(Condition(o.id)), level(before, "normal")})});
    }

    /// Copies of a function and of those whose level it reads, judged with these hands and givens too; the id of the first.
    std::string in_situation(std::uint32_t function, const Demand& when) {
        auto it = std::ranges::find(situations_, when);
        if (it == situations_.end()) it = situations_.insert(situations_.end(), when);
        const std::string prefix = mark + std::to_string(it - situations_.begin()) + "_";
        std::vector<std::uint32_t> todo{function};
        while (!todo.empty()) {
            const FunctionInfo& info = c_.functions[todo.back()];
            todo.pop_back();
            const std::string id = prefix + *info.id;
            if (!copy_of_.emplace(id, *info.id).second) continue;
            Function copy = *info.function;
            copy.demand.set.insert(when.set.begin(), when.set.end());  // what its own demand sets stays
            copy.demand.given.insert(when.given.begin(), when.given.end());
            for (auto& [mode, written] : copy.modes) rename_levels(written.when, prefix);
            model_.functions[id] = std::move(copy);
            todo.insert(todo.end(), info.reads.begin(), info.reads.end());
        }
        return prefix + *c_.functions[function].id;
    }

    /// Conditions nest 24 deep at most.
    static void rename_levels(Condition& x, const std::string& prefix) {
        if (x.op == Condition::Op::level) x.id = prefix + x.id;
        for (Condition& part : x.of) rename_levels(part, prefix);
    }
};

}  // namespace

void examine(const Network& net, const Demand& when) {
    const Compiled& c = net.compiled();
    for (const auto& [id, word] : when.set) {
        const ElementHandle e = net.element(id);
        const std::uint32_t position = net.position(e, word);
        if (!c.elements[e.index].hand || !c.elements[e.index].fitted) {
            const Event event = Event::set(e, position);
            throw NotPossible(text(c.elements[e.index].fitted ? Refusal::not_by_hand : Refusal::not_fitted, event, net));
        }
    }
    for (const auto& [id, value] : when.given) net.given(id);
}

Observed::Observed(const State& settled, const std::vector<Observation>& observations) : state_(settled) {
    LargerModelWriter writer(settled);
    for (std::size_t i = 0; i < observations.size(); ++i) writer.add(observations[i], i);
    const Network larger = Network::of_valid(writer.finish(observations.size()));
    state_ = carried(settled, larger, writer.copy_of());
    for (std::size_t i = 0; i < observations.size(); ++i) {
        seen_.push_back(larger.function(LargerModelWriter::seen_id(i)));
        all_but_.push_back(larger.function(LargerModelWriter::goal_id(i)));
    }
    all_ = larger.function(LargerModelWriter::goal_id(observations.size()));
}

std::optional<bool> Observed::predicts(const Outcome& out, std::size_t observation) const {
    const Level level = out.judged()[seen_[observation].index].level;
    if (level == Level::unknown) return std::nullopt;
    return level == Level::normal;
}

}  // namespace fedfrom::detail
