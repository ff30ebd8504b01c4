// Every failure and every cut path is one set; the checks are played on all of them, 64 side by side, in the network in which
// paths can be cut.
#include <fedfrom/study/check_coverage.hpp>

#include <algorithm>
#include <map>

#include "path_cuts.hpp"
#include "player.hpp"
#include "smallest_cover.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// Throws for what `validate` would refuse in a check of a model.
void examine_check(const Network& net, const std::string& id, const Check& check) {
    const Compiled& c = net.compiled();
    for (const CheckStep& step : check.steps) {
        for (const auto& [element, word] : step.act.set) {
            const ElementHandle e = net.element(element);
            net.position(e, word);
            if (c.elements[e.index].fitted && !c.elements[e.index].hand) throw NotPossible("Check `" + id + "`: nobody sets `" + element + "` directly.");
        }
        for (const auto& [given, value] : step.act.given) net.given(given);
        if (step.look_at.empty()) continue;
        const Element& e = *c.elements[net.element(step.look_at).index].element;
        if (e.shows.empty()) throw NotPossible("Check `" + id + "`: `" + step.look_at + "` shows nothing.");
        const bool shown = std::ranges::find(e.shows, step.expect, &Show::text) != e.shows.end();
        if (!shown && !(e.unpowered != stays && e.unpowered == step.expect)) throw NotPossible("Check `" + id + "`: `" + step.look_at + "` never shows \"" + step.expect + "\".");
    }
}

class CoverageExaminer {
public:
    CoverageExaminer(const State& from, const CoverageOptions& options) : state_(from), before_(settle(state_)), c_(state_.network().compiled()), result_{.before = before_, .checks = options.checks.value_or(c_.model.checks)} {
        for (const auto& [id, check] : result_.checks) examine_check(state_.network(), id, check);
    }

    Coverage run() {
        const PathCuts cuts(state_);
        std::vector<std::vector<FailureHandle>> sets{{}};
        for (std::uint32_t f = 0; f < c_.failures.size(); ++f) {
            if (state_.failed({f})) continue;
            sets.push_back({{f}});
            result_.failures.push_back({.element = *c_.elements[c_.failures[f].element].id, .mode = c_.failures[f].mode});
        }
        for (const PathCuts::Path& path : cuts.paths()) {
            sets.push_back({path.cut});
            result_.paths.push_back(described(path));
        }
        const Player player(cuts.state());
        by_itself(player.play(sets, {{.look_at = indicators(c_)}}));
        for (const auto& [id, check] : result_.checks) add(id, check, player.play(sets, turns_of(check)));
        for (CoverageFailure& f : result_.failures) {
            std::ranges::sort(f.checks);
            f.checks.erase(std::unique(f.checks.begin(), f.checks.end()), f.checks.end());
        }
        find_alike();
        find_smallest();
        return std::move(result_);
    }

private:
    State state_;
    Outcome before_;
    const Compiled& c_;
    Coverage result_;
    std::vector<std::vector<Reading>> read_;  // by failure: everything read in all checks

    Path described(const PathCuts::Path& path) const {
        Path p{.element = *c_.elements[path.element].id, .port = path.port, .upstream = *c_.elements[path.upstream].id, .tie = path.tie};
        for (const std::uint32_t e : path.through) p.through.push_back(*c_.elements[e].id);
        return p;
    }

    std::vector<Turn> turns_of(const Check& check) const {
        std::vector<Turn> turns;
        for (const CheckStep& step : check.steps) {
            turns.push_back({.act = step.act});
            if (!step.look_at.empty()) turns.back().look_at.push_back(index_of(c_.elements, step.look_at));
        }
        return turns;
    }

    /// Sets stand in this order: nothing, every failure, every path.
    std::size_t set_of_path(std::size_t p) const { return 1 + result_.failures.size() + p; }

    void by_itself(const Player::Readings& readings) {
        const auto shown_by = [&](std::size_t set) {
            std::vector<std::string> list;
            const auto &healthy = readings[0][0], &now = readings[set][0];
            const std::vector<std::uint32_t> elements = indicators(c_);
            for (std::size_t i = 0; i < elements.size(); ++i)
                if (healthy[i] && now[i] && *healthy[i] != *now[i]) list.push_back(*c_.elements[elements[i]].id);
            return list;
        };
        for (std::size_t f = 0; f < result_.failures.size(); ++f) result_.failures[f].shows = shown_by(1 + f);
        for (std::size_t p = 0; p < result_.paths.size(); ++p) result_.paths[p].shows = shown_by(set_of_path(p));
        read_.resize(result_.failures.size());
    }

    void add(const std::string& id, const Check& check, const Player::Readings& readings) {
        for (std::size_t s = 0; s < check.steps.size(); ++s) {
            CoverageStep step{.check = id, .number = s + 1, .act = check.steps[s].act, .look_at = check.steps[s].look_at, .expect = check.steps[s].expect};
            if (!step.look_at.empty()) look(step, s, readings);
            result_.steps.push_back(std::move(step));
        }
    }

    void look(CoverageStep& step, std::size_t s, const Player::Readings& readings) {
        const auto read = [&](std::size_t set) -> const Reading& { return readings[set][s][0]; };
        const auto is_wrong = [&](std::size_t set) { return step.met && read(set) && *read(set) != step.expect; };
        step.reads = read(0);
        step.met = step.reads == step.expect;
        std::map<std::string, std::vector<std::size_t>> wrong;
        for (std::size_t f = 0; f < result_.failures.size(); ++f) {
            read_[f].push_back(read(1 + f));
            if (!read(1 + f)) step.unknown.push_back(f);
            if (!is_wrong(1 + f)) continue;
            wrong[*read(1 + f)].push_back(f);
            result_.failures[f].checks.push_back(step.check);
        }
        for (auto& [reading, failures] : wrong) step.wrong.push_back({reading, std::move(failures)});
        for (std::size_t p = 0; p < result_.paths.size(); ++p) {
            if (!is_wrong(set_of_path(p))) continue;
            step.proves.push_back(p);
            result_.paths[p].proved_by.push_back(result_.steps.size());
        }
    }

    void find_alike() {
        std::map<std::vector<Reading>, std::vector<std::size_t>> groups;
        for (std::size_t f = 0; f < result_.failures.size(); ++f)
            if (!result_.failures[f].checks.empty()) groups[read_[f]].push_back(f);
        for (auto& [readings, failures] : groups)
            if (failures.size() > 1) result_.alike.push_back(std::move(failures));
        std::ranges::sort(result_.alike);
    }

    void find_smallest() {
        std::vector<std::string> ids;
        for (const auto& [id, check] : result_.checks) ids.push_back(id);
        std::vector<bool> alone(ids.size(), false);  // it reveals what no other does
        std::vector<std::vector<std::size_t>> wants;
        for (const CoverageFailure& f : result_.failures) {
            if (f.checks.empty()) continue;
            std::vector<std::size_t> want;
            for (const std::string& id : f.checks) want.push_back(static_cast<std::size_t>(std::ranges::lower_bound(ids, id) - ids.begin()));
            if (want.size() == 1) alone[want.front()] = true;
            wants.push_back(std::move(want));
        }
        for (std::size_t i = 0; i < ids.size(); ++i)
            if (!alone[i]) result_.adds_nothing.push_back(ids[i]);
        const Cover cover = smallest_cover(ids.size(), std::move(wants));
        for (const std::size_t i : cover.chosen) result_.smallest.push_back(ids[i]);
        result_.smallest_exact = cover.exact;
    }
};

}  // namespace

std::vector<std::size_t> Coverage::hidden() const {
    std::vector<std::size_t> list;
    for (std::size_t f = 0; f < failures.size(); ++f)
        if (failures[f].checks.empty()) list.push_back(f);
    return list;
}

std::vector<std::size_t> Coverage::silent() const {
    std::vector<std::size_t> list = hidden();
    std::erase_if(list, [&](std::size_t f) { return !failures[f].shows.empty(); });
    return list;
}

Coverage check_coverage(const State& from, const CoverageOptions& options) { return CoverageExaminer(from, options).run(); }

Coverage check_coverage(const Network& net, const CoverageOptions& options) { return check_coverage(running_state(net), options); }

}  // namespace fedfrom
