/// Compile step 2: the input variables, memory first, then zone and levels.
///
/// One literal per (element, failure mode); bits for trips, empty stores, sources
/// overloaded, starting or running on, and givens; one per position for hands and
/// held positions; who holds; then one per (element, medium) a zone can hold and per level another function reads.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/network/draft.hpp>

namespace fedfrom::detail {

class Inputs {
public:
    explicit Inputs(Draft& draft) : d_(draft), out_(draft.out) {}

    void run() {
        list_failures();
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) memory_of(e);
        list_functions();
        for (const auto& [id, initial] : out_.model.given) out_.givens.push_back({&id, initial, d_.gates.input()});
        out_.memory_end = d_.gates.inputs;
        list_zones();
        list_levels();
    }

private:
    Draft& d_;
    Compiled& out_;
    std::set<std::pair<std::uint32_t, Level>> levels_read_;  // function, at least

    void list_failures() {
        out_.failures.reserve(2 * out_.elements.size());  // most kinds have as many
        d_.failed_by.resize(out_.elements.size());
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            ElementInfo& info = out_.elements[e];
            info.failures.first = static_cast<std::uint32_t>(out_.failures.size());
            if (info.fitted) each_failure_mode(*info.element, [&](std::string_view mode) { add_failure(e, mode); });
            info.failures.last = static_cast<std::uint32_t>(out_.failures.size());
        }
    }

    void add_failure(std::uint32_t e, std::string_view mode) {
        const Variable v = d_.gates.input();
        if (mode == "loss") out_.elements[e].loss = v;
        out_.failures.push_back({e, std::string(mode), v, mode == "stuck"});
        if (const auto asked = std::ranges::find(asked_words, mode); asked != asked_words.end())
            d_.failed_by[e][static_cast<std::size_t>(asked - asked_words.begin())] = v;
    }

    Variable inputs(std::size_t n) {
        const Variable first = d_.gates.inputs;
        d_.gates.inputs += static_cast<Variable>(n);
        return first;
    }

    void memory_of(std::uint32_t e) {
        ElementInfo& info = out_.elements[e];
        if (!info.fitted) return;
        const Element& written = *info.element;
        if (protects(written)) {
            info.tripped = d_.gates.input();
            out_.protecting.push_back(e);
        }
        if (row(written.kind).stores_fluid || row(written.kind).stores_energy || written.store) {
            info.empty = d_.gates.input();
            out_.storing.push_back(e);
        }
        if (written.holds_in) info.holding = d_.gates.input();
        if (can_be_overloaded(written)) info.overloaded = d_.gates.input();
        if (written.spin_up_s > 0) info.starting = d_.gates.input();
        if (written.run_down_s > 0 || !written.runs_without_s.empty()) info.running_on = d_.gates.input();
        if (info.positions.empty()) return;
        if (info.hand) info.at_hand = inputs(info.positions.size());
        if (info.memory || d_.failed(e, Asked::stuck) != never) info.held = inputs(info.positions.size());
        if (const auto stuck = written.failures.find("stuck"); stuck != written.failures.end()) info.sticks_at = d_.position(e, stuck->second.at);
        if (info.memory) out_.memory_cells.push_back({e, {}});
        else if (info.held) out_.sticking.push_back(e);
    }

    static bool can_be_overloaded(const Element& e) {
        constexpr std::array<std::string_view, 3> limits{"amps", "volt_amperes", "watts"};
        const bool gives = row(e.kind).source || row(e.kind).isolates || e.rating.contains("efficiency");
        return gives && std::ranges::any_of(limits, [&](std::string_view limit) { return e.rating.contains(limit); });
    }

    void list_functions() {
        out_.functions.reserve(out_.model.functions.size());
        for (const auto& [id, function] : out_.model.functions) {
            FunctionInfo& info = out_.functions.emplace_back();
            info.id = &id;
            info.function = &function;
        }
        for (std::uint32_t f = 0; f < out_.functions.size(); ++f) {
            FunctionInfo& info = out_.functions[f];
            one_shots_of(f, *info.function);
            std::set<std::uint32_t> reads;
            for (const auto& [id, mode] : info.function->modes) levels_in(mode.when, reads);
            info.reads.assign(reads.begin(), reads.end());
        }
    }

    /// A mode that takes from what is not fitted does not exist; what it would bar, it cannot bar.
    void one_shots_of(std::uint32_t f, const Function& function) {
        const std::size_t first = out_.one_shots.size();
        for (const auto& [mode_id, mode] : function.modes) {
            OneShotInfo info{.function = f, .mode = &mode_id};
            bool fitted = true;
            for (const auto& [store, count] : mode.spend) {
                info.spends.push_back({d_.element(store), count});
                fitted &= out_.elements[info.spends.back().store].fitted;
            }
            if (!fitted || (mode.spend.empty() && mode.bars.empty())) continue;
            info.used = d_.gates.input();
            info.exhausted = d_.gates.input();
            out_.one_shots.push_back(std::move(info));
        }
        for (std::size_t i = first; i < out_.one_shots.size(); ++i)
            for (const std::string& barred : function.modes.at(*out_.one_shots[i].mode).bars)
                for (std::size_t j = first; j < out_.one_shots.size(); ++j)
                    if (*out_.one_shots[j].mode == barred) out_.one_shots[j].barred_by.push_back(static_cast<std::uint32_t>(i));
    }

    std::uint32_t medium(std::string_view word) const {
        const auto it = std::ranges::find(out_.media, word);
        return it == out_.media.end() ? none : static_cast<std::uint32_t>(it - out_.media.begin());
    }

    /// Per element, a bit set of the media in which its ports, what it feeds and where it stands can carry a fault.
    std::vector<std::uint64_t> media_met() const {
        std::vector<std::uint64_t> met(out_.elements.size(), 0);
        for (const PortInfo& port : out_.ports)
            if (port.medium != none) met[port.element] |= std::uint64_t{1} << port.medium;
        for (const FeedInfo& feed : out_.feeds) {
            const std::uint32_t m = out_.ports[feed.port].medium;
            if (m == none) continue;
            const std::uint64_t bit = std::uint64_t{1} << m;
            met[feed.upstream] |= bit;
            for (std::uint32_t d = feed.devices.first; d < feed.devices.last; ++d) met[out_.devices[d].element] |= bit;
        }
        return met;
    }

    /// Where a fault can begin: (element, medium) and the failure that begins it.
    std::vector<ZoneInfo> list_seeds() {
        const auto ensure = [&](std::string_view word) {
            if (medium(word) == none) out_.media.emplace_back(word);
            return medium(word);
        };
        const std::uint32_t electrical = ensure("electrical"), mechanical = ensure("mechanical");
        std::vector<ZoneInfo> seeds;
        const auto seed = [&](std::uint32_t e, std::uint32_t m, Literal failure) {
            if (failure != never) seeds.push_back({e, m, 0, failure});
        };
        const auto met = media_met();
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            if (!d_.kind(e).one_way) seed(e, electrical, d_.failed(e, Asked::short_));
            seed(e, mechanical, d_.failed(e, Asked::jam));
            const Literal leak = d_.failed(e, Asked::leak);
            if (leak == never) continue;
            const auto& own = out_.elements[e].element->failures;
            const auto said = own.find("leak");
            if (said != own.end() && !said->second.fluid.empty()) {
                seed(e, ensure(said->second.fluid), leak);
                continue;
            }
            const std::size_t before = seeds.size();
            for (std::uint32_t m = 0; m < out_.media.size(); ++m)
                if (is_fluid(out_.media[m]) && (met[e] >> m & 1)) seed(e, m, leak);
            if (seeds.size() == before) seed(e, ensure("hydraulic"), leak);  // joined to nothing, yet a leak is a leak
        }
        return seeds;
    }

    /// A zone holds what a fault can begin in and what it can reach; media in which none begins have none.
    void list_zones() {
        const std::vector<ZoneInfo> seeds = list_seeds();
        std::uint64_t live_media = 0;
        std::vector<std::uint64_t> reached(out_.elements.size(), 0);  // by element: a bit set of media
        for (const ZoneInfo& seed : seeds) live_media |= std::uint64_t{1} << seed.medium;
        for (const FeedInfo& feed : out_.feeds) {
            const PortInfo& port = out_.ports[feed.port];
            if (port.medium == none || !(live_media >> port.medium & 1)) continue;
            const std::uint64_t bit = std::uint64_t{1} << port.medium;
            if (!keeps_out(feed.upstream, port.medium)) reached[feed.upstream] |= bit;
            if (feed.origin == FeedInfo::Origin::tie || d_.kind(port.element).conductor) reached[port.element] |= bit;
        }
        auto seed = seeds.begin();  // they stand in the order of elements
        for (std::uint32_t e = 0; e < out_.elements.size(); ++e) {
            ElementInfo& info = out_.elements[e];
            info.zones.first = static_cast<std::uint32_t>(out_.zones.size());
            const auto first = seed;
            for (; seed != seeds.end() && seed->element == e; ++seed) reached[e] |= std::uint64_t{1} << seed->medium;
            for (std::uint64_t media = reached[e]; media != 0; media &= media - 1) {
                const auto m = static_cast<std::uint32_t>(std::countr_zero(media));
                const auto own = std::find_if(first, seed, [&](const ZoneInfo& z) { return z.medium == m; });
                out_.zones.push_back({e, m, d_.gates.input(), own == seed ? never : own->seed});
            }
            info.zones.last = static_cast<std::uint32_t>(out_.zones.size());
        }
    }

    /// A leak in what an engine bleeds into takes its air, not the engine.
    bool keeps_out(std::uint32_t e, std::uint32_t m) const {
        return d_.kinds[e] == Kind::engine && out_.media[m] == "pneumatic";
    }

    void list_levels() {
        for (const auto& [function, at_least] : levels_read_) out_.level_inputs.push_back({function, at_least, d_.gates.input()});
        order_functions();
    }

    /// Functions whose level others read come first; validation has refused rings.
    void order_functions() {
        std::vector<bool> placed(out_.functions.size(), false);
        for (bool moved = true; moved;) {
            moved = false;
            for (std::uint32_t f = 0; f < out_.functions.size(); ++f) {
                if (placed[f] || !std::ranges::all_of(out_.functions[f].reads, [&](std::uint32_t r) { return placed[r]; })) continue;
                placed[f] = moved = true;
                out_.judging_order.push_back(f);
            }
        }
    }

    void levels_in(const Condition& c, std::set<std::uint32_t>& reads) {
        if (c.op == Condition::Op::level) {
            const std::uint32_t f = index_of(out_.functions, c.id);
            levels_read_.insert({f, c.word == name_of(Level::normal) ? Level::normal : Level::degraded});
            reads.insert(f);
        }
        for (const Condition& part : c.of) levels_in(part, reads);
    }
};

}  // namespace fedfrom::detail
