#include <fedfrom/study/preview.hpp>

#include <algorithm>
#include <iterator>
#include <set>

#include "difference_tables.hpp"
#include "effect.hpp"
#include "sources.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// Sources behind anything that is supplied.
std::set<std::string> live(const Outcome& out) {
    Tracer tracer(out);
    std::set<std::uint32_t> all;
    for (std::uint32_t e = 0; e < out.network().compiled().elements.size(); ++e)
        for (const std::uint32_t s : tracer.finder().indices(e))
            if (s != e) all.insert(s);
    std::set<std::string> ids;
    for (const std::uint32_t s : all) ids.insert(*out.network().compiled().elements[s].id);
    return ids;
}

std::vector<std::string> those_missing(const std::set<std::string>& all, const std::set<std::string>& those) {
    std::vector<std::string> rest;
    std::ranges::set_difference(all, those, std::back_inserter(rest));
    return rest;
}

}  // namespace

Preview preview(const State& from, const Step& actions) {
    if (!actions.fail.empty() || !actions.repair.empty() || !actions.given.empty() || actions.clear_all) throw NotPossible("A preview is of crew actions: positions, resets and uses.");
    State state = from;
    const Outcome before = settle(state);
    const Network& net = state.network();
    std::vector<Event> taken;
    std::vector<Refused> refused;
    for (const Event& e : events_of(actions, net)) {
        const Refusal refusal = state.apply(e);
        if (refusal == Refusal::none) taken.push_back(e);
        else refused.push_back({action_text(e, net), text(refusal, e, net)});
    }
    const Outcome after = settle(state);
    const std::set<std::string> was = live(before), is = live(after);
    return {.before = before, .after = after, .asked = actions, .effect = effect_of(before, after, taken, what_works(before).stored), .refused = std::move(refused),
            .sources_dropped = those_missing(was, is), .sources_taken = those_missing(is, was)};
}

Preview preview(const Network& net, const Step& actions) { return preview(running_state(net), actions); }

std::vector<Table> tables(const Preview& p) {
    const std::vector<Caption> state = captions(p.before);
    std::vector<Table> list{functions_table(p.before, p.effect.difference, "Functions that change")};
    if (!p.effect.stored.empty()) {
        Table stored{.title = "Then on stored energy alone", .captions = {}, .columns = {{"What"}, {"Stores"}}, .rows = {}, .footnotes = {"Not so before: without these stores it would go, or fall back."}};
        for (const StoredLine& line : p.effect.stored) stored.rows.push_back({line.name.empty() ? line.id : line.name, listed(line.stores)});
        list.push_back(std::move(stored));
    }
    list.push_back(elements_table(p.before, p.effect.difference, "Elements that change"));
    list.push_back(undone_table(p.before, p.effect.undone));
    for (Table& t : list) t.captions = state;
    return list;
}

std::string text(const Preview& p) {
    const Network& net = p.before.network();
    const Compiled& c = net.compiled();
    std::string out;
    append_wrapped(out, "Preview: ", net.model().name, 4);
    append_captions(out, captions(p.before));
    if (p.effect.actions != Step{}) append_wrapped(out, "Actions: ", actions_text(p.effect.actions, net), 4);
    for (const Refused& r : p.refused) append_wrapped(out, "Not possible: ", r.action + ": " + r.reason, 4);
    if (p.effect.reach > Reach::cockpit) append_wrapped(out, "Reached from: ", std::string(fedfrom::name_of(p.effect.reach)), 4);
    const auto line = [&](std::string_view label, const std::string& words) { append_wrapped(out, std::string(label) + ": ", words.empty() ? "nothing." : with_stop(words), 4); };
    const Difference& d = p.effect.difference;
    line("Gained", changes_text(c, d.gained));
    line("Worse", changes_text(c, d.worse));
    if (!d.other.empty()) line("Otherwise", changes_text(c, d.other));
    line("Powers a fault again", fault_text(c, p.effect.fault));
    const auto names = [&](const std::vector<std::string>& ids) {
        std::vector<std::string> words;
        for (const std::string& id : ids) words.push_back(name_of(c.elements[index_of(c.elements, id)]));
        return listed(words);
    };
    std::vector<std::string> not_weighed;
    for (const std::string& id : p.effect.actions.reset)
        if (p.before.status(id) == Status::overloaded) not_weighed.push_back(id);
    if (!not_weighed.empty()) line("Loads are not weighed", "whether " + names(not_weighed) + " can carry what rests on it, `power_balance` of the state after the reset says");
    if (!p.effect.stored.empty()) line("Then on stored energy alone", stored_text(c, p.effect.stored));
    if (!p.sources_dropped.empty()) line("Sources no longer in use", names(p.sources_dropped));
    if (!p.sources_taken.empty()) line("Sources newly in use", names(p.sources_taken));
    line("Taken back, what stays", undone_text(c, p.effect.undone));
    append_tables(out, tables(p));
    return out;
}

}  // namespace fedfrom
