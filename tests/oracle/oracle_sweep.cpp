// Sweeps over the random models of this folder, against settling every combination alone (tests/property/sweep_check.hpp).
//
//     python3 tests/oracle/random_models.py --write DIRECTORY 400
//     oracle_sweep DIRECTORY [combinations]
//
// 20,000 combinations unless said; ten million with FEDFROM_LONG=1. Each set of events is swept with every instruction
// set this machine has, minimal and all, and on two threads. Prints how much of everything was met. Ten models that
// differ end it, each with its seed.
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fedfrom/io/read.hpp>

#include "../property/sweep_check.hpp"

using namespace fedfrom;

namespace {

class Run {
public:
    std::map<std::string, std::size_t> met;
    std::size_t combinations = 0;

    /// False where a sweep differs.
    bool play(const Network& net, std::uint64_t seed) {
        std::mt19937_64 random(seed);
        const State from = check::some_state(net, random);
        const std::vector<Event> events = check::some_events(from, 18, random);
        if (events.empty()) return true;
        const int order = random() % 4 == 0 ? 2 : 3;
        const bool one_mode = random() % 2 == 0;
        const check::Judged judged = check::by_hand(from, events, order, one_mode);
        combinations += judged.size();
        met["sets of events"] += 1;
        met["from a state in which something hunts"] += !Sweep(from).before().hunting().empty();
        for (const auto& [all, modes] : {std::pair(false, false), std::pair(true, false), std::pair(true, true)})
            for (const InstructionSet set : {InstructionSet::baseline, InstructionSet::avx2, InstructionSet::avx512}) {
                if (set > best_instruction_set()) continue;
                const unsigned threads = set == InstructionSet::baseline ? 2 : 1;
                const Sweep sweep(from, {.order = order, .events = events, .all = all, .modes = modes, .one_mode_an_element = one_mode, .threads = threads, .instructions = set});
                const SweepResult result = sweep.run();
                const bool counted = result.complete && (all ? result.combinations == judged.size() : result.combinations <= judged.size());
                if (!counted || result.hits != check::expected(judged, sweep.before().judged(), order, all, modes)) return false;
                if (set != InstructionSet::baseline) continue;
                met["combinations settled alone by the sweep"] += result.alone;
                met[modes ? "changed modes" : all ? "changed levels" : "minimal combinations"] += result.hits.size();
            }
        return true;
    }
};

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2) return std::cerr << "oracle_sweep DIRECTORY [combinations]\n", 2;
    const char* long_run = std::getenv("FEDFROM_LONG");
    const std::size_t wanted = argc > 2 ? std::stoull(argv[2]) : long_run && std::string(long_run) == "1" ? 10'000'000 : 20'000;
    std::vector<Network> networks;
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(argv[1]))
        if (entry.path().extension() == ".json") names.push_back(entry.path().string());
    std::ranges::sort(names);
    for (const std::string& name : names) networks.push_back(Network::of_valid(read_model(name)));
    if (networks.empty()) return std::cerr << "no models in " << argv[1] << "\n", 2;
    Run run;
    std::size_t wrong = 0;
    for (std::uint64_t seed = 0; run.combinations < wanted && wrong < 10; ++seed) {
        const std::size_t i = seed % networks.size();
        if (run.play(networks[i], seed)) continue;
        ++wrong;
        std::cout << names[i] << ", seed " << seed << ": a sweep differs from settling alone\n";
    }
    for (const auto& [what, n] : run.met) std::cout << n << "  " << what << "\n";
    std::cout << run.combinations << " combinations settled alone and swept, " << wrong << " sets of events differ\n";
    return wrong == 0 && run.combinations >= wanted ? 0 : 1;
}
