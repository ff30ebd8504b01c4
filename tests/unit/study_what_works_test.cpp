#include "catch.hpp"

#include <algorithm>

#include <fedfrom/study/what_works.hpp>

#include "study_samples.hpp"

using namespace fedfrom;
using samples::bus;
using samples::has;
using samples::load;

namespace {

using Ids = std::vector<std::string>;

const FunctionLine& function(const WhatWorks& w, const std::string& id) { return *std::ranges::find(w.functions, id, &FunctionLine::id); }
const ElementLine& element(const WhatWorks& w, const std::string& id) { return *std::ranges::find(w.elements, id, &ElementLine::id); }

}  // namespace

TEST_CASE("each kept function stands with its live source and its crew action", "[study]") {
    const WhatWorks w = what_works(Network(samples::two_bus()), {.failed = {{"gen_l"}}});
    const FunctionLine& talk = function(w, "talk");
    CHECK(talk.level == Level::normal);
    CHECK(talk.sources.ids == Ids{"gen_r"});  // over the tie
    CHECK(talk.now == true);
    const FunctionLine& gear = function(w, "gear_extension");
    CHECK(gear.demand == "with GEAR HANDLE at DOWN");
    CHECK(gear.now == true);  // it would fall free as things stand
    CHECK(gear.supports.front() == Support{"gear", {{"eng_l"}}});
    CHECK(element(w, "tie").position == "closed");
    CHECK(element(w, "tie").passing == "passes");
    CHECK(element(w, "gear_valve").position == "closed");
    CHECK(element(w, "gear_valve").passing == "blocks");
    CHECK(element(w, "standby_switch").passing.empty());  // it depends on the contact
    CHECK(w.counts == Counts{.kept = 2});
}

TEST_CASE("roots and consequences are told apart", "[study]") {
    const WhatWorks w = what_works(Network(samples::two_bus()), {.failed = {{"gen_l"}, {"tie", "stuck", "open"}}});
    CHECK(w.roots == std::vector<FailureRef>{{"gen_l"}, {"tie", "stuck", "open"}});
    CHECK(w.consequences == Ids{"gear_valve", "main_l", "radio", "standby", "standby_light"});
    CHECK(function(w, "talk").level == Level::lost);
    CHECK(function(w, "talk").severity == Severity::major);
    CHECK(function(w, "gear_extension").mode == "free_fall");
    CHECK(function(w, "gear_extension").crew == Ids{"cannot be retracted again"});
}

TEST_CASE("what hangs on stored energy alone comes first", "[study]") {
    const WhatWorks w = what_works(Network(samples::two_bus()), {.failed = {{"gen_l"}, {"gen_r"}}, .positions = {{"standby_switch", "BATT"}}});
    Ids stored;
    for (const StoredLine& line : w.stored) {
        stored.push_back(line.id);
        CHECK(line.stores == Ids{"battery"});
    }
    CHECK(stored == Ids{"gear_extension", "talk", "gear_valve", "radio", "standby"});
    CHECK(w.stored[0].without == Level::degraded);
    CHECK(w.stored[1].without == Level::lost);
    const std::string sheet = text(w);
    CHECK(sheet.find("ON STORED ENERGY ALONE") < sheet.find("\ngear\n"));
    CHECK(tables(w).front().title == "On stored energy alone");
}

TEST_CASE("with a generator on line nothing hangs on the battery alone", "[study]") {
    CHECK(what_works(Network(samples::two_bus()), {}).stored.empty());
}

TEST_CASE("a store that only moves a contactor is named for what the contactor carries", "[study]") {
    Model m{.name = "Coil on the battery"};
    m.elements["battery"] = {.kind = Kind::battery};
    m.elements["gen"] = {.kind = Kind::generator};
    m.elements["line"] = {.kind = Kind::contactor, .inputs = {{"control", {{.from = "battery"}}}}};
    m.elements["main"] = bus({{.from = "gen", .via = {{"line"}}}});
    const WhatWorks w = what_works(Network(m), {});
    const auto line = std::ranges::find(w.stored, "main", &StoredLine::id);
    REQUIRE(line != w.stored.end());
    CHECK(line->stores == Ids{"battery"});
    CHECK(element(w, "main").sources.ids == Ids{"gen"});
}

TEST_CASE("the sheet fits a terminal and says what it assumed", "[study]") {
    const WhatWorks w = what_works(Network(samples::two_bus()), {.failed = {{"gen_l"}}, .positions = {{"standby_switch", "BATT"}}, .given = {{"airborne", false}}});
    const std::string sheet = text(w);
    for (std::size_t at = 0; at < sheet.size();) {
        const std::size_t end = sheet.find('\n', at);
        CHECK(end - at <= 100);
        at = end + 1;
    }
    CHECK(has(sheet, "Edition: 1"));
    CHECK(has(sheet, "airborne false"));
    CHECK(has(sheet, "STANDBY SOURCE (standby_switch) at BATT"));
    CHECK(has(sheet, "For study and training only."));
    CHECK(sheet == text(w));
}

TEST_CASE("what hunts is unknown, never kept", "[study]") {
    const WhatWorks w = what_works(Network(samples::chatter()), {.failed = {{"gen"}}});
    CHECK(w.hunting == Ids{"transfer"});
    CHECK(function(w, "talk").level == Level::unknown);
    CHECK(element(w, "transfer").position == "unknown");
    CHECK(element(w, "transfer").passing == "unknown");
    CHECK(element(w, "bus").status == Status::unknown);
    CHECK(element(w, "bus").sources.ids.empty());
    CHECK_FALSE(element(w, "bus").sources.sure);
    CHECK(w.counts == Counts{.unknown = 1});
    CHECK(has(text(w), "unknown    talk"));
    CHECK(has(text(w), "Unknown in consequence: bus and radio."));
    CHECK(has(text(w), "Never comes to rest: transfer"));
}

TEST_CASE("the order of events matters where a motor valve is caught by its supply", "[study]") {
    Model m{.name = "Motor valve"};
    m.elements["bus"] = {.kind = Kind::bus};
    m.elements["handle"] = {.kind = Kind::handle, .positions = {"RUN", "CUT"}, .reach = Reach::cockpit};
    m.elements["fuel_valve"] = {.kind = Kind::valve, .inputs = {{"power", {{.from = "bus"}}}}, .follows = Follow{"handle", {{"RUN", "open"}, {"CUT", "closed"}}}, .without = {{"power", "stays"}}};
    m.elements["lamp"] = {.kind = Kind::light};
    const Network net(m);
    CHECK(order_matters(net, {.failed = {{"bus"}}, .positions = {{"handle", "CUT"}}}) == true);
    CHECK(order_matters(net, {.failed = {{"lamp"}}, .positions = {{"handle", "CUT"}}}) == false);
    CHECK(order_matters(net, {.failed = {{"bus"}}}) == false);
    CHECK(order_matters(net, {.steps = {{.set = {{"handle", "CUT"}}}, {.fail = {{"bus"}}}}}) == true);
    CHECK(order_matters(net, {.steps = {{.fail = {{"bus"}}}, {.fail = {{"lamp"}}}}}) == false);
    CHECK(ask(net, {.steps = {{.set = {{"handle", "CUT"}}}, {.fail = {{"bus"}}}}}).position("fuel_valve") == "closed");
    CHECK(ask(net, {.failed = {{"bus"}}, .positions = {{"handle", "CUT"}}}).position("fuel_valve") == "open");
    CHECK(has(text(what_works(net, {.failed = {{"bus"}}, .positions = {{"handle", "CUT"}}})), "can end in another outcome"));
}

TEST_CASE("too many events are not examined for their order", "[study]") {
    Model m{.name = "Many"};
    Question q;
    for (int i = 0; i < 12; ++i) {
        const std::string id = "sensor_" + std::to_string(i);
        m.elements[id] = {.kind = Kind::sensor};
        q.failed.push_back({id});
    }
    const Network net(m);
    CHECK(order_matters(net, q) == std::nullopt);
    CHECK(has(text(what_works(net, q)), "was not examined"));
}

TEST_CASE("a question of an unknown id or an impossible event is refused", "[study]") {
    const Network net(samples::two_bus());
    CHECK_THROWS_AS(what_works(net, {.failed = {{"gen_x"}}}), UnknownId);
    CHECK_THROWS_AS(what_works(net, {.failed = {{"gen_l", "leak"}}}), NotPossible);
    CHECK_THROWS_AS(what_works(net, {.positions = {{"tie", "closed"}}}), NotPossible);
}

TEST_CASE("a long chain makes a sheet", "[study]") {
    const WhatWorks w = what_works(Network(samples::chain(200'000)), {});
    CHECK(function(w, "talk").sources.ids == Ids{"gen"});
    CHECK(element(w, "bus_1100000").sources.ids == Ids{"gen"});
}

TEST_CASE("the sheet reads as it would be said", "[study]") {
    Model m = samples::two_bus();
    m.elements["radio"].name = "Radio, first";
    m.functions["gear_extension"].severity[Level::degraded] = Severity::minor;
    m.functions["gear_extension"].modes["free_fall"].crew = {"It cannot be retracted again.", "Land soon."};
    const Question q{.failed = {{"gen_l"}, {"gen_r"}, {"pump"}}, .positions = {{"standby_switch", "BATT"}}};
    const WhatWorks w = what_works(Network(m), q);
    std::string sheet;
    for (const char c : text(w))
        if (c != ' ' && c != '\n') sheet += c;
        else if (!sheet.ends_with(' ')) sheet += ' ';
    CHECK(has(sheet, "BATTERY Talk to ATC: kept, once spent lost. On it hang: gear_valve; Radio, first; and STANDBY."));
    CHECK(has(sheet, "Extend the gear: free fall, from gear_cable, with GEAR HANDLE at DOWN, severity minor; landing_distance 1.1; It cannot be retracted again; Land soon. "));
    CHECK_FALSE(has(sheet, ".."));
    CHECK_FALSE(has(sheet, ".;"));
    CHECK(function(w, "gear_extension").mode_name == "free fall");
    m.elements["accumulator"] = {.kind = Kind::accumulator};
    m.elements["radio"].inputs["hydraulic"] = {Port::Join::priority, {{.from = "accumulator"}}};
    CHECK(has(text(what_works(Network(m), q)), "  accumulator and BATTERY\n    Talk to ATC: kept, once spent lost.\n    On them hang: Radio, first.\n"));
}
