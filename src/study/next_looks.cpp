// Expected information: the entropy of the candidates' weights, less what is left of it on average once the result is known.
#include "next_looks.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include <fedfrom/model/resolve.hpp>

#include "harm.hpp"
#include "player.hpp"

namespace fedfrom::detail {
namespace {

constexpr double least_bits = 1e-9;  // below it, nothing but rounding

double entropy(const std::vector<double>& parts) {
    double sum = 0, bits = 0;
    for (const double p : parts) sum += p;
    for (const double p : parts)
        if (p > 0) bits -= p / sum * std::log2(p / sum);
    return bits;
}

/// What each result would leave; `predicted` by candidate.
NextLook judged(std::string id, Demand with, const std::vector<Reading>& predicted, const std::vector<double>& weights) {
    NextLook look{.id = std::move(id), .with = std::move(with)};
    std::map<std::string, std::vector<std::size_t>> by_reading;
    for (const Reading& reading : predicted)
        if (reading) by_reading.try_emplace(*reading);
    if (by_reading.size() < 2) return look;
    look.bits = entropy(weights);
    for (auto& [reading, leaves] : by_reading) {
        std::vector<double> parts;
        double share = 0;
        for (std::size_t i = 0; i < predicted.size(); ++i) {
            if (predicted[i] && *predicted[i] != reading) continue;
            leaves.push_back(i);
            parts.push_back(predicted[i] ? weights[i] : weights[i] / static_cast<double>(by_reading.size()));
            share += parts.back();
        }
        look.bits -= share * entropy(parts);
        look.results.push_back({.reading = reading, .share = share, .leaves = leaves});
    }
    return look;
}

class Finder {
public:
    Finder(const State& settled, const std::vector<std::vector<FailureHandle>>& candidates, const std::vector<double>& weights, Reach reach)
        : state_(settled), c_(settled.network().compiled()), candidates_(candidates), weights_(weights), reach_(reach), player_(settled) {}

    std::vector<NextLook> run() {
        functions();
        const std::vector<std::uint32_t> shown = indicators(c_);
        look_at(shown, {});
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            for (std::uint32_t p = 0; info.at_hand && fedfrom::reach_of(*info.element) <= reach_ && p < info.positions.size(); ++p)
                if (!any(state_.memory()[info.at_hand + p])) look_at(shown, {.set = {{*info.id, std::string(info.positions[p])}}});
        }
        const auto rank = [](const NextLook& l) { return std::tuple(-std::round(l.bits / least_bits), l.with.set.size() + l.with.given.size(), l.with.set, l.with.given, l.id); };
        std::ranges::stable_sort(looks_, [&](const NextLook& a, const NextLook& b) { return rank(a) < rank(b); });
        return cheapest();
    }

private:
    const State& state_;
    const Compiled& c_;
    const std::vector<std::vector<FailureHandle>>& candidates_;
    const std::vector<double>& weights_;
    Reach reach_;
    Player player_;
    std::vector<NextLook> looks_;

    /// The first that make nothing worse; where these are too few, the first of the others behind them.
    std::vector<NextLook> cheapest() {
        std::vector<NextLook> free, costly;
        for (NextLook& look : looks_) {
            if (free.size() == most_looks) break;
            look.worse = made_worse(look.with);
            (look.worse.empty() ? free : costly).push_back(std::move(look));
        }
        for (std::size_t i = 0; i < costly.size() && free.size() < most_looks; ++i) free.push_back(std::move(costly[i]));
        return free;
    }

    std::map<std::map<std::string, std::string>, std::vector<std::string>> costs_;  // by what is set

    const std::vector<std::string>& made_worse(const Demand& with) {
        const auto [it, added] = costs_.try_emplace(with.set);
        if (!added || with.set.empty()) return it->second;
        std::set<std::string> functions;
        for (const std::vector<FailureHandle>& failed : {std::vector<FailureHandle>{}, candidates_.front()}) {
            State state = state_;
            for (const FailureHandle f : failed) state.fail(f);
            const Outcome before = settle(state);
            take(state, with);
            for (const Change& change : worse(before, settle(state))) functions.insert(change.function);
        }
        it->second.assign(functions.begin(), functions.end());
        return it->second;
    }

    void keep(NextLook look) {
        if (look.bits > least_bits) looks_.push_back(std::move(look));
    }

    void look_at(const std::vector<std::uint32_t>& shown, const Demand& with) {
        const Player::Readings read = player_.play(candidates_, {{.act = with, .look_at = shown}});
        for (std::size_t i = 0; i < shown.size(); ++i) {
            std::vector<Reading> predicted;
            for (const auto& of_candidate : read) predicted.push_back(of_candidate[0][i]);
            keep(judged(*c_.elements[shown[i]].id, with, predicted, weights_));
        }
    }

    /// Whether trying it uses up nothing, and the crew can do it as things are given, from where somebody may go.
    bool may_try(std::uint32_t f) const {
        const auto in_reach = [&](const HandSetting& s) { return fedfrom::reach_of(*c_.elements[s.element].element) <= reach_; };
        const DemandInfo& demand = c_.demands[c_.functions[f].demand];
        return std::ranges::none_of(c_.one_shots, [&](const OneShotInfo& o) { return o.function == f; }) && demand.given.empty() && std::ranges::all_of(demand.set, in_reach);
    }

    /// Works, degraded or lost, as the demand of each would find it.
    void functions() {
        std::vector<std::vector<Judgement>> judgements;
        for (const auto& candidate : candidates_) {
            State state = state_;
            for (const FailureHandle f : candidate) state.fail(f);
            judgements.push_back(settle(state).judged());
        }
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f) {
            if (!may_try(f)) continue;
            std::vector<Reading> predicted;
            for (const auto& judged : judgements) predicted.push_back(judged[f].level == Level::unknown ? Reading() : Reading(std::string(name_of(judged[f].level))));
            keep(judged(*c_.functions[f].id, c_.functions[f].function->demand, predicted, weights_));
        }
    }
};

}  // namespace

std::vector<NextLook> next_looks(const State& settled, const std::vector<std::vector<FailureHandle>>& candidates, const std::vector<double>& weights, Reach reach) {
    return Finder(settled, candidates, weights, reach).run();
}

}  // namespace fedfrom::detail
