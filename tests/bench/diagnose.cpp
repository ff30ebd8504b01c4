// What explains symptoms, and what checks reveal, on the demo aircraft and on aircraft of 100 to 1,000 elements.
//
//     bench_diagnose [--smoke]
//
// Two failures are hidden by a quiz, and what its lights and some units show is diagnosed with pairs. Before timing: the
// hidden failures, or a part of them, must be among what explains all; and every pair that does is settled alone.
#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <map>

#include <fedfrom/io/read.hpp>
#include <fedfrom/study/check_coverage.hpp>
#include <fedfrom/study/diagnose.hpp>
#include <fedfrom/study/quiz.hpp>

#include "aircraft.hpp"
#include "clock.hpp"

using namespace fedfrom;

namespace {

bool has(const std::vector<FailureRef>& failures, const FailureRef& f) { return std::ranges::find(failures, f) != failures.end(); }

bool right(const Network& net, const Diagnosis& d, const std::vector<FailureRef>& hidden) {
    const bool found = std::ranges::any_of(d.candidates, [&](const Candidate& x) {
        return x.contradicts.empty() && std::ranges::all_of(x.failures, [&](const FailureRef& f) { return has(hidden, f); });
    });
    for (const Candidate& x : d.candidates) {
        if (!x.contradicts.empty()) break;
        Quiz q = quiz(net, {.hidden = x.failures});
        for (const Observation& o : d.observations)
            if (!x.failures.empty() && q.look(o.id, o.when) != o) return false;
    }
    return found && d.complete;
}

/// The model's checks, or one that looks at each of the first lights with the standby switch set.
std::map<std::string, Check> checks_of(const Model& m) {
    if (!m.checks.empty()) return m.checks;
    std::map<std::string, Check> checks;
    for (const auto& [id, e] : m.elements)
        if (!e.shows.empty() && checks.size() < 12)
            checks["check_" + id] = {.steps = {{.act = {.set = {{"standby_switch", "BATT"}}}, .look_at = id, .expect = "out"}, {.act = {.set = {{"standby_switch", "AUTO"}}}, .look_at = id, .expect = "out"}}};
    return checks;
}

struct Story {
    std::string name;
    Network net;
    std::vector<FailureRef> hidden;
    std::vector<std::string> looked_at;
};

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    std::vector<Story> stories{{"Ostrea 7", Network(read_model(FEDFROM_SOURCE_DIR "/examples/ostrea7/ostrea7.json")), {{"limiter_l"}, {"sg_l"}}, {"com_1", "com_2", "fan", "display_l"}}};
    for (const std::size_t size : {100, 1000})
        if (!smoke || size == 100) stories.push_back({std::to_string(size) + " elements", Network(bench::aircraft(size)), {{"main_0"}, {"cb_sub_a_1"}}, {"unit_a3_0", "unit_b3_0", "unit_a4_1", "unit_b4_1"}});
    std::printf("%14s %10s %12s %12s %14s %14s %14s\n", "", "seen", "combinations", "candidates", "diagnose, ms", "no looks, ms", "coverage, ms");
    for (const Story& s : stories) {
        Quiz q = quiz(s.net, {.hidden = s.hidden});
        for (const std::string& id : s.looked_at) q.look(id);
        const Diagnosis d = diagnose(s.net, q.seen());
        if (!right(s.net, d, s.hidden)) {
            std::fprintf(stderr, "wrong answer: %s\n", s.name.c_str());
            return 1;
        }
        const CoverageOptions options{.checks = checks_of(s.net.model())};
        if (smoke) continue;
        const double whole = bench::time([&] { bench::keep(diagnose(s.net, q.seen())); }).median_s;
        const double search = bench::time([&] { bench::keep(diagnose(s.net, q.seen(), {.next = false})); }).median_s;
        const double coverage = bench::time([&] { bench::keep(check_coverage(s.net, options)); }).median_s;
        std::printf("%14s %10zu %12llu %12zu %14.1f %14.1f %14.1f\n", s.name.c_str(), q.seen().size(), static_cast<unsigned long long>(d.combinations), d.found[0] + d.found[1], 1e3 * whole, 1e3 * search, 1e3 * coverage);
    }
}
