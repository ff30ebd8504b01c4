// Minimal cut sets and probability of published fault trees, tree by tree.
//
//     bench_logic [--smoke] [tree…]
//
// The trees are those of tests/data/aralia, 25 to 533 events each; all but the two slowest unless named.
// The number of sets is checked before a time is printed. Columns: the diagram, with trying orders for it; its nodes; minimal
// sets from the diagram; nodes of their family; exact probability. Then the sets to order 3 gate by gate, without a
// diagram. One run each: the large ones take seconds, the small ones no time.
#include <cstring>
#include <map>
#include <string>

#include <fedfrom/logic/minimal_sets.hpp>

#include "../oracle/tree_file.hpp"
#include "clock.hpp"

using namespace fedfrom;

namespace {

// As tests/oracle/published_trees.cpp has them, with their source.
const std::map<std::string, std::uint64_t> trees{
    {"baobab1", 46188},      {"baobab3", 24386},      {"cea9601", 130281976},  {"chinese", 392},        {"das9201", 14217},      {"das9209", 82000000000}, {"das9601", 4259},
    {"das9701", 26299506},   {"edf9202", 130112},     {"edf9203", 20807446},   {"edf9204", 32580630},   {"edf9206", 7159688704}, {"edfpa14b", 105955422},  {"edfpa14o", 105927244},
    {"edfpa14q", 105950670}, {"edfpa14r", 380412},    {"edfpa15b", 2910473},   {"elf9601", 151348},     {"isp9602", 5197647},    {"jbd9601", 14007},
};

bool measure(const std::string& name, std::uint64_t published) {
    const testing::TreeFile tree = testing::read_tree(std::string(FEDFROM_SOURCE_DIR "/tests/data/aralia/") + name + ".xml");
    const Budget budget{.nodes = 1u << 24, .steps = 1'000'000'000};
    const double begun = bench::now();
    const OrderedDiagram d = ordered_diagram(tree.formula, budget);
    const double converted = bench::now();
    const MinimalSets sets = minimal_sets(d, {.budget = budget});
    const double found = bench::now();
    const double p = probability(d, tree.probabilities);
    const double done = bench::now();
    if (!sets.complete || sets.count() != published) {
        std::fprintf(stderr, "wrong answer: %s has %llu minimal sets\n", name.c_str(), static_cast<unsigned long long>(published));
        return false;
    }
    std::printf("%-9s %6.3f s %9zu %7.3f s %8zu %12llu %7.3f s %.10g", name.c_str(), converted - begun, d.diagrams.nodes(d.top), found - converted,
                sets.families.nodes(sets.family), static_cast<unsigned long long>(sets.count()), done - found, p);
    try {
        const double start = bench::now();
        const MinimalSets low = minimal_sets_by_gates(tree.formula, {.order = 3});
        std::printf(" %9llu %6.2f s\n", static_cast<unsigned long long>(low.count()), bench::now() - start);
    } catch (const std::invalid_argument&) {
        std::printf("   not coherent\n");
    }
    return true;
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    std::printf("%-9s %8s %9s %9s %8s %12s %9s %12s %9s\n", "", "diagram", "nodes", "sets", "nodes", "sets", "", "probability", "to order 3");
    for (const auto& [name, published] : trees) {
        bool wanted = name != "cea9601" && name != "das9701";
        if (smoke) wanted = published < 20000 && name != "jbd9601";
        if (!smoke && argc > 1) wanted = std::find(argv + 1, argv + argc, name) != argv + argc;
        if (wanted && !measure(name, published)) return 1;
    }
}
