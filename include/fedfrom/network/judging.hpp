/// Compile step 5: functions, their modes and demands.
#pragma once

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>
#include <vector>

#include <fedfrom/network/draft.hpp>
#include <fedfrom/network/logic.hpp>

namespace fedfrom::detail {

class Judging {
public:
    Judging(Draft& draft, Logic& logic) : d_(draft), out_(draft.out), logic_(logic) {}

    void run() {
        out_.demands.emplace_back();
        for (const std::uint32_t f : out_.judging_order) {
            logic_.start(Stage::function);
            d_.gates.owner = f;
            list_modes(out_.functions[f]);
            logic_.define_asked();
            out_.functions[f].demand = demand(out_.functions[f].function->demand);
        }
        drop_one_shots_without_a_mode();
    }

private:
    Draft& d_;
    Compiled& out_;
    Logic& logic_;
    struct ByContent {
        bool operator()(const Demand* a, const Demand* b) const { return std::tie(a->set, a->given) < std::tie(b->set, b->given); }
    };
    std::map<const Demand*, std::uint32_t, ByContent> known_;

    /// A mode whose condition cannot hold because of what is not fitted does not exist.
    void list_modes(FunctionInfo& info) {
        for (const auto& [id, mode] : info.function->modes) {
            d_.met_unfitted = false;
            const Literal when = d_.gates.all(left_to_use(info, id, logic_.condition(mode.when)));
            if (when == never && d_.met_unfitted) continue;
            info.modes.push_back({&id, &mode, when, mode.rank == 1 ? Level::normal : Level::degraded});
        }
        std::ranges::stable_sort(info.modes, {}, [](const ModeInfo& m) { return m.mode->rank; });
    }

    /// A mode that does not exist cannot be used, and so bars nothing.
    void drop_one_shots_without_a_mode() {
        std::vector<std::uint32_t> place(out_.one_shots.size(), none);
        std::vector<OneShotInfo> kept;
        for (std::uint32_t i = 0; i < out_.one_shots.size(); ++i) {
            const OneShotInfo& info = out_.one_shots[i];
            const auto& modes = out_.functions[info.function].modes;
            if (std::ranges::none_of(modes, [&](const ModeInfo& m) { return m.id == info.mode; })) continue;
            place[i] = static_cast<std::uint32_t>(kept.size());
            kept.push_back(info);
        }
        for (OneShotInfo& info : kept) {
            std::erase_if(info.barred_by, [&](std::uint32_t i) { return place[i] == none; });
            for (std::uint32_t& i : info.barred_by) i = place[i];
        }
        out_.one_shots = std::move(kept);
    }

    /// A mode holds while no other that bars it was used, and its stores are alive and hold what it takes.
    Operands left_to_use(const FunctionInfo& info, const std::string& id, Literal when) {
        Operands all{when};
        for (const auto& [store, count] : info.function->modes.at(id).spend) {
            const ElementInfo& e = out_.elements[d_.element(store)];
            if (!e.fitted) d_.met_unfitted = true;
            all.push_back(e.supplied);
        }
        for (const OneShotInfo& other : out_.one_shots) {
            if (out_.functions[other.function].id != info.id) continue;
            if (*other.mode == id) all.push_back(!Literal::of(other.exhausted));
            const auto& bars = info.function->modes.at(*other.mode).bars;
            if (std::ranges::find(bars, id) != bars.end()) all.push_back(!Literal::of(other.used));
        }
        return all;
    }

    std::uint32_t demand(const Demand& written) {
        if (written.set.empty() && written.given.empty()) return 0;
        const auto [it, added] = known_.try_emplace(&written, static_cast<std::uint32_t>(out_.demands.size()));
        if (!added) return it->second;
        DemandInfo info;
        for (const auto& [id, word] : written.set) {
            const std::uint32_t e = d_.element(id);
            if (out_.elements[e].fitted) info.set.push_back({e, d_.position(e, word)});
        }
        for (const auto& [id, value] : written.given) info.given.push_back({index_of(out_.givens, id), value});
        out_.demands.push_back(std::move(info));
        return it->second;
    }
};

}  // namespace fedfrom::detail
