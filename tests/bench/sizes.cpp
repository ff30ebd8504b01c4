// Read, build and settle aircraft of 100 to 100,000 elements.
//
//     bench_sizes [--smoke]
//
// Before timing: reading back gives the same model, a bus short takes down its
// section, and 64 states side by side give what one at a time gives.
#include <cstdlib>
#include <cstring>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/write.hpp>
#include <fedfrom/solve/settle.hpp>

#include "aircraft.hpp"
#include "clock.hpp"

using namespace fedfrom;

namespace {

void check(bool ok, const char* what) {
    if (ok) return;
    std::fprintf(stderr, "wrong answer: %s\n", what);
    std::exit(1);
}

void check_answers(const Model& model, const std::string& json) {
    check(parse_model(json) == model, "reading back gives another model");
    const Network net = Network::of_valid(model);
    State state = running_state(net);
    check(settle(state).status("unit_a3_0") == Status::supplied, "a unit of a healthy aircraft is not supplied");
    state.fail("main_0", "short").fail("limiter_0", "no_trip").fail("limiter_1", "no_trip");
    check(settle(state).status("unit_a3_0") != Status::supplied, "a unit behind a shorted bus is supplied");
    check(settle(state).status("gcu_0") == Status::supplied, "the control unit behind its tripped contactor is not supplied");
}

struct Row {
    std::size_t elements, gates, bytes;
    bench::Times read, read_and_build, settle, settle_failed;
};

Row measure(std::size_t size, double for_s) {
    const Model model = bench::aircraft(size);
    const std::string json = write_model(model);
    check_answers(model, json);
    const Network net = Network::of_valid(model);
    const Compiled& c = net.compiled();
    State state = running_state(net);
    const std::vector<One> running(state.memory().begin(), state.memory().end());
    state.fail("main_0", "short");
    const std::vector<One> failed(state.memory().begin(), state.memory().end());
    Settler<One> settler(c);
    Frozen<One> frozen(c);
    const auto settle_from = [&](const std::vector<One>& memory) {
        settler.load(memory);
        settler.settle(frozen);
        bench::keep(settler.values());
    };
    Row row{c.elements.size(), c.program.gates.size(), json.size(), {}, {}, {}, {}};
    row.read = bench::time([&] { return parse_model(json); }, 3, for_s);
    row.read_and_build = bench::time([&] { return Network::of_valid(parse_model(json)); }, 3, for_s);
    row.settle = bench::time([&] { settle_from(running); }, 3, for_s);
    row.settle_failed = bench::time([&] { settle_from(failed); }, 3, for_s);
    return row;
}

}  // namespace

int main(int argc, char** argv) {
    const bool smoke = argc > 1 && std::strcmp(argv[1], "--smoke") == 0;
    bench::say_machine();
    std::printf("%9s %9s %9s | %10s %10s | %12s %12s\n", "elements", "gates", "kB JSON", "read ms", "+build ms", "settle us", "bus short us");
    for (const std::size_t size : {100, 1000, 10000, 100000}) {
        if (smoke && size > 1000) break;
        const Row r = measure(size, smoke ? 0 : 0.5);
        std::printf("%9zu %9zu %9zu | %10.2f %10.2f | %12.2f %12.2f\n", r.elements, r.gates, r.bytes / 1000,
                    r.read.median_s * 1e3, r.read_and_build.median_s * 1e3, r.settle.median_s * 1e6, r.settle_failed.median_s * 1e6);
    }
    std::printf("median of each; +build: read and built; bus short: with one bus shorted, its limiters whole\n");
}
