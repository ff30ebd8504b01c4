/// One state's copies for all demands, 64 of them side by side.
#pragma once

#include <cstdint>
#include <deque>
#include <span>

#include <fedfrom/solve/demand_copy.hpp>

namespace fedfrom::detail {

class DemandCopies {
public:
    explicit DemandCopies(const Compiled& c) : readers_(c, cone_of(c, c.judging_order, true)) {
        for (std::uint32_t d = 1; d < c.demands.size(); ++d) {
            if ((d - 1) % lanes == 0) copies_.emplace_back(c, readers_);
            copies_.back().apply(c.demands[d], Lanes{std::uint64_t{1} << lane_of(d)});
        }
    }

    /// Starts from the whole of a settled state's memory.
    void load(const Evaluation<One>& state) {
        for (auto& copy : copies_) copy.load([&](Variable v) { return Lanes::filled(any(state.values()[v])); });
    }

    /// Takes over what changed in the state's memory and settles. After this `each_change` says what changed in the copies.
    void follow(const Evaluation<One>& state) {
        for (auto& copy : copies_) copy.follow(state.changes().changed(), [&](Variable v) { return Lanes::filled(any(state.values()[v])); });
    }

    bool hunting() const {
        return std::ranges::any_of(copies_, [](const auto& copy) { return any(copy.hunting()); });
    }

    /// Forgets what changed.
    void begin_changes() {
        for (auto& copy : copies_) copy.settler().evaluation().begin_changes();
    }

    void put(Variable v, bool on) {
        for (auto& copy : copies_) copy.settler().put(v, Lanes::filled(on));
    }
    void run(std::uint32_t gates) {
        for (auto& copy : copies_) copy.settler().evaluation().run(gates);
    }

    /// Calls with each variable that changed in a copy.
    template <class Call>
    void each_change(Call call) const {
        for (const auto& copy : copies_)
            for (const Variable v : copy.evaluation().changes().changed()) call(v);
    }

    const Evaluation<Lanes>& of(std::uint32_t demand) const { return copies_[(demand - 1) / lanes].evaluation(); }
    static unsigned lane_of(std::uint32_t demand) { return (demand - 1) % lanes; }

private:
    static constexpr std::uint32_t lanes = 64;
    const Readers readers_;
    std::deque<DemandCopy<Lanes>> copies_;  // a settler stays where it is
};

}  // namespace fedfrom::detail
