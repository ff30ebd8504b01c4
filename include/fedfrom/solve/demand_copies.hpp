/// One state's copies for all demands, 64 of them side by side.
#pragma once

#include <algorithm>
#include <cstdint>
#include <iterator>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include <fedfrom/solve/demand_copy.hpp>

namespace fedfrom::detail {

/// While no fault is about they follow only what functions with a demand hang on.
class DemandCopies {
public:
    explicit DemandCopies(const Compiled& c) : cone_(cone_of(c, demanding(c), false)), plain_(c, cone_), faulty_(c, cone_of(c, demanding(c), true)) {
        for (std::uint32_t d = 1; d < c.demands.size(); ++d) {
            if ((d - 1) % lanes == 0) copies_.push_back(std::make_unique<DemandCopy<Lanes>>(c, plain_));
            copies_.back()->apply(c.demands[d], Lanes{std::uint64_t{1} << lane_of(d)});
        }
    }

    /// Starts from the whole of a settled state's memory.
    void load(const Settler<One>& state) {
        look_for_faults(state);
        for (auto& copy : copies_) copy->load([&](Variable v) { return Lanes::filled(any(state.values()[v])); });
    }

    /// Takes over what changed in the state's memory and settles; false where that moved something in a copy. After this `each_change` says what changed in the copies.
    bool follow(const Settler<One>& state) {
        look_for_faults(state);
        bool stayed = true;
        for (auto& copy : copies_) {
            copy->follow(state.evaluation().changes().changed(), [&](Variable v) { return Lanes::filled(any(state.values()[v])); });
            stayed &= copy->stayed();
        }
        return stayed;
    }

    /// Of the state one variable changed, with no fault about, that can move nothing and reaches these gates of what is followed.
    void follow_listed(const Settler<One>& state, Variable v, std::span<const std::uint32_t> gates) {
        for (auto& copy : copies_) copy->follow_listed(v, Lanes::filled(any(state.values()[v])), gates);
    }

    /// By gate: copies follow it while no fault is about.
    const std::vector<bool>& followed() const { return cone_.gates; }

    bool hunting() const {
        return std::ranges::any_of(copies_, [](const auto& copy) { return any(copy->hunting()); });
    }

    /// Forgets what changed.
    void begin_changes() {
        for (auto& copy : copies_) copy->settler().evaluation().begin_changes();
    }

    void put(Variable v, bool on) {
        for (auto& copy : copies_) copy->settler().put(v, Lanes::filled(on));
    }
    void run(std::uint32_t gates) {
        for (auto& copy : copies_) copy->settler().evaluation().run(gates);
    }

    /// Calls with each variable that changed in a copy.
    template <class Call>
    void each_change(Call call) const {
        for (const auto& copy : copies_)
            for (const Variable v : copy->evaluation().changes().changed()) call(v);
    }

    const Evaluation<Lanes>& of(std::uint32_t demand) const { return copies_[(demand - 1) / lanes]->evaluation(); }
    static unsigned lane_of(std::uint32_t demand) { return (demand - 1) % lanes; }

private:
    static constexpr std::uint32_t lanes = 64;
    const Cone cone_;
    const CopyReaders plain_, faulty_;
    bool with_fault_ = false;
    std::vector<std::unique_ptr<DemandCopy<Lanes>>> copies_;  // a settler stays where it is

    static std::vector<std::uint32_t> demanding(const Compiled& c) {
        std::vector<std::uint32_t> functions;
        std::ranges::copy_if(c.judging_order, std::back_inserter(functions), [&](std::uint32_t f) { return c.functions[f].demand != 0; });
        return functions;
    }

    void look_for_faults(const Settler<One>& state) {
        if (std::exchange(with_fault_, state.faulty()) == state.faulty()) return;
        for (auto& copy : copies_) copy->follow_in(with_fault_ ? faulty_ : plain_, with_fault_);
    }
};

}  // namespace fedfrom::detail
