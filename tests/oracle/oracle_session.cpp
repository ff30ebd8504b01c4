// Plays random toggles over the random models of this folder, a session beside a full settle (tests/property/session_check.hpp).
//
//     python3 tests/oracle/random_models.py --write DIRECTORY 400
//     oracle_session DIRECTORY [toggles]
//
// 30,000 toggles unless said; 1,200,000 with FEDFROM_LONG=1. Prints how much of everything was met. The first step that
// differs ends it, with its model, seed and events.
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <random>
#include <string>
#include <vector>

#include <fedfrom/io/read.hpp>

#include "../property/session_check.hpp"

using namespace fedfrom;

namespace {

/// Events one at a time: mostly failures and their repair, so that a handful is there at any time.
class Toggles {
public:
    Toggles(const Network& net, std::uint64_t seed) : c_(net.compiled()), random_(seed) {}

    Event next(const State& state) {
        std::vector<std::uint32_t> failed;
        for (std::uint32_t f = 0; f < c_.failures.size(); ++f)
            if (state.failed({f})) failed.push_back(f);
        const std::uint32_t kind = pick(100);
        if (kind < 4 && !c_.one_shots.empty()) return Event::use({pick(c_.one_shots.size())});
        if (kind < 8 && !c_.protecting.empty()) return Event::reset({c_.protecting[pick(c_.protecting.size())]});
        if (kind < 18) return Event::set({by_hand()}, pick(3));
        if (kind < 24 && !c_.givens.empty()) return Event::given({pick(c_.givens.size())}, pick(2) == 1);
        if (kind < 25) return Event::clear_all();
        if (kind < 30 && !c_.storing.empty()) return Event::repair({c_.storing[pick(c_.storing.size())]});
        if (!failed.empty() && pick(static_cast<std::uint32_t>(8)) < failed.size()) return Event::repair({c_.failures[failed[pick(failed.size())]].element});
        if (c_.failures.empty()) return Event::clear_all();
        std::uint32_t f = pick(c_.failures.size());
        if (pick(2) == 0)  // half of all that is no plain loss
            for (int tries = 0; tries < 8 && c_.failures[f].mode == "loss"; ++tries) f = pick(c_.failures.size());
        const bool stuck = c_.failures[f].mode == "stuck";
        return Event::fail({f}, stuck && pick(3) == 0 ? pick(c_.elements[c_.failures[f].element].positions.size()) : none);
    }
    std::uint32_t pick(std::size_t n) { return n == 0 ? 0 : static_cast<std::uint32_t>(random_() % n); }

private:
    const Compiled& c_;
    std::mt19937_64 random_;

    std::uint32_t by_hand() {
        std::uint32_t e = pick(c_.elements.size());
        for (std::size_t tries = 0; tries < c_.elements.size() && !c_.elements[e].at_hand; ++tries) e = (e + 1) % static_cast<std::uint32_t>(c_.elements.size());
        return e;
    }
};

std::string said(const Event& e, const Network& net) {
    const Compiled& c = net.compiled();
    const std::string value = e.value == none ? "" : " " + std::to_string(e.value);
    switch (e.kind) {
        case Event::Kind::fail: return "fail " + *c.elements[c.failures[e.index].element].id + " " + c.failures[e.index].mode + value;
        case Event::Kind::repair: return "repair " + *c.elements[e.index].id;
        case Event::Kind::reset: return "reset " + *c.elements[e.index].id;
        case Event::Kind::set: return "set " + *c.elements[e.index].id + value;
        case Event::Kind::given: return "given " + *c.givens[e.index].id + value;
        case Event::Kind::use: return "use " + *c.functions[c.one_shots[e.index].function].id + " " + *c.one_shots[e.index].mode;
        case Event::Kind::clear_all: return "clear all";
    }
    return {};
}

class Run {
public:
    std::map<std::string, std::size_t> met;

    /// False where something differs.
    bool play(const std::string& name, const Network& net, std::uint64_t seed, std::size_t toggles) {
        const Compiled& c = net.compiled();
        Toggles random(net, seed);
        check::Pair pair(seed % 5 == 4 ? cold_state(net) : running_state(net));
        std::vector<std::string> events;
        for (std::size_t done = 0; done < toggles;) {
            const std::size_t together = random.pick(10) < 7 ? 1 : 1 + random.pick(4);
            for (std::size_t i = 0; i < together; ++i, ++done) {
                const Event e = random.next(pair.state());
                const Refusal refusal = pair.apply(e);
                ++met[refusal == Refusal::none ? "toggles: " + kind(e) : "refused"];
                events.push_back((i == 0 ? "" : "  and ") + said(e, net) + (refusal == Refusal::none ? "" : " (refused)"));
            }
            const unsigned passes = random.pick(12) == 0 ? 1 + random.pick(2) : Session::no_limit;
            const std::string wrong = pair.settle_both(passes, random.pick(64) == 0);
            count(pair, c);
            if (wrong.empty()) continue;
            std::cout << name << ", seed " << seed << ", after " << events.size() << " toggles: " << wrong << "\n";
            for (std::size_t i = events.size() > 60 ? events.size() - 60 : 0; i < events.size(); ++i) std::cout << "    " << events[i] << "\n";
            return false;
        }
        met["changes reported"] += pair.changes();
        return true;
    }

private:
    static std::string kind(const Event& e) {
        constexpr const char* kinds[]{"fail", "repair", "reset", "set", "given", "use", "clear all"};
        return kinds[static_cast<std::size_t>(e.kind)];
    }

    void count(check::Pair& pair, const Compiled& c) {
        const auto bit = [&](Variable v) { return any(pair.state().memory()[v]); };
        ++met["settled"];
        met["settled with a hunting cell"] += pair.hunting();
        met["settled with a function unknown"] += pair.unknown();
        met["settled with a trip"] += std::ranges::any_of(c.protecting, [&](std::uint32_t e) { return bit(c.elements[e].tripped); });
        met["settled with an empty store"] += std::ranges::any_of(c.storing, [&](std::uint32_t e) { return bit(c.elements[e].empty); });
        met["settled with a fault"] += std::ranges::any_of(c.zones, [&](const ZoneInfo& z) { return z.seed != never && any(pair.state().memory()[z.seed.variable()]); });
        met["settled with a holder that let go"] += std::ranges::any_of(c.holders, [&](std::uint32_t e) { return !bit(c.elements[e].holding); });
        met["settled with a mode used"] += std::ranges::any_of(c.one_shots, [&](const OneShotInfo& o) { return bit(o.used); });
    }
};

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2) return std::cerr << "oracle_session DIRECTORY [toggles]\n", 2;
    const char* long_run = std::getenv("FEDFROM_LONG");
    const std::size_t toggles = argc > 2 ? std::stoull(argv[2]) : long_run && std::string(long_run) == "1" ? 1'200'000 : 30'000;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(argv[1]))
        if (entry.path().extension() == ".json") files.push_back(entry.path());
    std::ranges::sort(files);
    if (files.empty()) return std::cerr << "no models in " << argv[1] << "\n", 2;
    const std::size_t each = (toggles + files.size() - 1) / files.size();
    Run run;
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < files.size(); ++i) {
        std::optional<Network> net;
        try {
            net.emplace(Network::of_valid(read_model(files[i].string())));
        } catch (const ModelError& e) {
            std::cerr << files[i].filename().string() << ": " << e.what() << "\n";
            return 2;
        }
        ++run.met["models"];
        run.met["models with memory"] += !net->compiled().memory_cells.empty();
        run.met["models with holders"] += !net->compiled().holders.empty();
        run.met["models with demands"] += net->compiled().demands.size() > 1;
        run.met["models with one-shot modes"] += !net->compiled().one_shots.empty();
        wrong += !run.play(files[i].filename().string(), *net, i, each);
        if (wrong >= 10) break;
    }
    std::size_t all = 0;
    for (const auto& [what, n] : run.met) {
        if (what.starts_with("toggles")) all += n;
        std::cout << n << "  " << what << "\n";
    }
    std::cout << all << " toggles taken, " << wrong << " models differ\n";
    return wrong == 0 ? 0 : 1;
}
