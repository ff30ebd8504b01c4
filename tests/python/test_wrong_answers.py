"""The answers that are wrong in most books and slides, each as a small aircraft with the right one.

Every model is the least that shows the point, and every value was reasoned out by hand from how such a
system behaves, not read off the program. A state remembers, so the steps of a test are flown in order.
"""

import itertools

import fedfrom as ff
import pytest

SOURCE = {"kind": "generator"}  # without ports: always there
ENGINE = {"kind": "engine"}
BATTERY = {"kind": "battery"}
TANK = {"kind": "reservoir"}
BREAKER = {"kind": "breaker"}
ALWAYS = {"all": []}


def element(kind, *feeds, port="power", **more):
    return {"kind": kind, "inputs": {port: list(feeds)}, **more}


def bus(*feeds, **more):
    return element("bus", *feeds, **more)


def load(*feeds, **more):
    return element("consumer", *feeds, **more)


def pipe(*feeds, port="hydraulic", **more):
    return element("pipe", *feeds, port=port, **more)


def through(source, *devices):
    return {"from": source, "via": list(devices)}


def tie(a, b, *devices):
    return {"between": [a, b], "via": list(devices)}


def function(*modes, **more):
    """Modes in order of rank, each a condition."""
    return {"modes": {f"mode_{n}": {"rank": n, "when": when} for n, when in enumerate(modes, 1)}, **more}


def network(elements, **more):
    return ff.Network(ff.Model.from_dict({"name": "One wrong answer", "elements": elements, **more}))


def aircraft(elements, **more):
    """Running, nothing failed."""
    return network(elements, **more).running_state()


def supplied(out, *ids):
    """Whether each is supplied; unknown is not."""
    return [out.status(id) == "supplied" for id in ids]


def shows(out, id):
    return out.to_dict()["shows"][id]


def settled(state):
    return ff.settle(state)


def in_every_order(state, *events):
    """The outcome of one step of events, after checking that their order changes nothing."""
    outcomes = []
    for order in itertools.permutations(events):
        trial = state.copy()
        for event in order:
            event(trial)
        outcomes.append((ff.settle(trial), trial))
    first = outcomes[0]
    for out, trial in outcomes[1:]:
        assert out.to_dict() == first[0].to_dict() and trial == first[1]
    return first


# ------------------------------------------------------------------- 1. dead coil, live contacts

TWO_BUSES = {"gen_l": SOURCE, "gen_r": SOURCE, "main_l": bus("gen_l"), "main_r": bus("gen_r")}
ONE_DEAD = {"not": {"all": ["gen_l", "gen_r"]}}


def tied_by_coil(supply):
    """Two buses and a tie that is commanded closed when a generator is gone; its coil hangs on `supply`."""
    coil = {"kind": "contactor", "rest": "open", "inputs": {"control": [supply]}, "goes": [{"to": "closed", "when": ONE_DEAD}]}
    return {**TWO_BUSES, "battery": BATTERY, "tie_contactor": coil}, {"bus_tie": tie("main_l", "main_r", "tie_contactor")}


def test_01_tie_does_not_close_when_its_coil_is_on_the_dead_bus():
    """The command is there, but the coil hangs on the bus to be rescued, so the contacts stay open."""
    elements, ties = tied_by_coil("main_l")
    out = settled(aircraft(elements, ties=ties).fail("gen_l"))
    assert out.position("tie_contactor") == "open" and out.passes("tie_contactor") is False
    assert supplied(out, "main_l", "main_r") == [False, True]


@pytest.mark.parametrize("coil_supply", ["main_r", "battery"])
def test_01_tie_closes_when_its_coil_is_alive(coil_supply):
    """With the coil on the other bus or on the battery the same command does close it."""
    elements, ties = tied_by_coil(coil_supply)
    state = aircraft(elements, ties=ties)
    assert settled(state).position("tie_contactor") == "open"
    out = settled(state.fail("gen_l"))
    assert out.position("tie_contactor") == "closed" and supplied(out, "main_l", "main_r") == [True, True]


def test_01_same_tie_rescues_the_other_side():
    """The coil on the left bus is no obstacle when it is the right bus that dies."""
    elements, ties = tied_by_coil("main_l")
    out = settled(aircraft(elements, ties=ties).fail("gen_r"))
    assert out.position("tie_contactor") == "closed" and supplied(out, "main_l", "main_r") == [True, True]


NORMALLY_CLOSED = {
    "gen": SOURCE, "battery": BATTERY, "main": bus("gen"),
    "standby_relay": {"kind": "relay", "rest": "open", "inputs": {"control": ["main"]}, "without": [["control", "closed"]]},
    "standby": bus(through("battery", "standby_relay")),
}


def test_01_normally_closed_relay_connects_when_its_control_dies():
    """A relay held open by the main bus falls closed when that bus dies and puts the battery on the standby bus."""
    state = aircraft(NORMALLY_CLOSED)
    out = settled(state)
    assert out.position("standby_relay") == "open" and supplied(out, "standby") == [False]
    out = settled(state.fail("gen"))
    assert out.position("standby_relay") == "closed" and supplied(out, "main", "standby") == [False, True]


def test_01_normally_closed_relay_whose_coil_burns_out():
    """A burnt coil cannot hold the relay open, so it connects although its control supply is healthy."""
    out = settled(aircraft(NORMALLY_CLOSED).fail("standby_relay"))
    assert out.position("standby_relay") == "closed" and supplied(out, "main", "standby") == [True, True]


def test_01_normally_open_relay_whose_coil_burns_out():
    """The same failure of a relay that control holds closed opens it."""
    out = settled(aircraft({"battery": BATTERY, "relay": {"kind": "relay", "inputs": {"control": ["battery"]}},
                            "lamp": load(through("battery", "relay"))}).fail("relay"))
    assert out.position("relay") == "open" and supplied(out, "lamp") == [False]


# ------------------------------------------------------------------- 2. light on the dead bus

BUS_OFF_LIGHT = {
    "gen": SOURCE, "battery": BATTERY, "main": bus("gen"), "hot": bus("battery"),
    "sense_wire": element("sensor", "main"),
    "light_on_main": element("light", "main", shows=[{"text": "BUS OFF", "when": {"not": "sense_wire"}}], unpowered="out"),
    "light_on_hot": element("light", "hot", shows=[{"text": "BUS OFF", "when": {"not": "sense_wire"}}], unpowered="out"),
}


def test_02_loss_with_no_annunciation():
    """A bus-off light that hangs on the dead bus stays out; the one on the hot bus comes on."""
    state = aircraft(BUS_OFF_LIGHT)
    out = settled(state)
    assert shows(out, "light_on_main") == shows(out, "light_on_hot") == ""  # powered, nothing to say
    out = settled(state.fail("main"))
    assert shows(out, "light_on_main") == "out" and shows(out, "light_on_hot") == "BUS OFF"


def test_02_annunciation_with_no_loss():
    """A broken sense wire lights both lights while the bus is alive."""
    out = settled(aircraft(BUS_OFF_LIGHT).fail("sense_wire"))
    assert supplied(out, "main") == [True]
    assert shows(out, "light_on_main") == shows(out, "light_on_hot") == "BUS OFF"


def test_02_lamp_burnt_out():
    """A burnt bulb shows nothing, whatever there is to tell."""
    out = settled(aircraft(BUS_OFF_LIGHT).fail("main").fail("light_on_hot"))
    assert shows(out, "light_on_hot") == "out"


# ------------------------------------------------------------------- 3. charger loop

CHARGER = {
    "gen": SOURCE, "ac": bus("gen"), "standby_selector": {"kind": "selector", "positions": ["AUTO", "BATT"]},
    "charger": element("charger", through("ac", {"standby_selector": ["AUTO"]})), "cells": BATTERY,
    "battery_bus": {"kind": "bus", "inputs": {"power": {"parallel": ["cells", "charger"]}}},
}
CHARGED = {"functions": {"battery_bus_lasts": function("charger", "battery_bus")}}


def test_03_charger_dies_with_the_ac_bus():
    """The battery bus lives on when AC is lost, but on stored energy alone: the charger went with the AC bus."""
    state = aircraft(CHARGER, **CHARGED)
    assert settled(state).level("battery_bus_lasts") == "normal"
    out = settled(state.fail("gen"))
    assert supplied(out, "charger", "battery_bus") == [False, True] and out.level("battery_bus_lasts") == "degraded"
    assert settled(state.repair("gen")).level("battery_bus_lasts") == "normal"


def test_03_selector_turns_the_charger_off():
    """The selector takes the charger off with AC alive, and putting it back brings the charger back."""
    state = aircraft(CHARGER, **CHARGED)
    out = settled(state.set("standby_selector", "BATT"))
    assert out.status("charger") == "unsupplied" and supplied(out, "ac", "battery_bus") == [True, True]
    assert out.level("battery_bus_lasts") == "degraded"
    assert settled(state.set("standby_selector", "AUTO")).level("battery_bus_lasts") == "normal"


def test_03_dead_cells_and_dead_charger():
    """Cells dead: the charger carries the bus; AC lost as well: nothing does."""
    state = aircraft(CHARGER)
    assert supplied(settled(state.fail("cells")), "battery_bus") == [True]
    assert supplied(settled(state.fail("gen")), "battery_bus") == [False]


# ------------------------------------------------------------------- 4. motor valve

MOTOR_VALVE = {
    "gen": SOURCE, "dc": bus("gen"), "tank": TANK, "lever": {"kind": "handle", "positions": ["RUN", "STOP"]},
    "fuel_valve": element("valve", "dc", follows={"lever": {"RUN": "open", "STOP": "closed"}}, without=[["power", "stays"]]),
    "engine": {"kind": "engine", "inputs": {"fuel": [through("tank", "fuel_valve")]}},
}
SHUT_OFF = {"functions": {"stop_engine": function({"not": {"passes": "fuel_valve"}}, demand={"set": {"lever": "STOP"}})}}


def test_04_powered_motor_valve_obeys():
    """With its motor powered the valve follows the lever both ways."""
    state = aircraft(MOTOR_VALVE, **SHUT_OFF)
    assert settled(state).level("stop_engine") == "normal"
    out = settled(state.set("lever", "STOP"))
    assert out.position("fuel_valve") == "closed" and supplied(out, "engine") == [False]
    out = settled(state.set("lever", "RUN"))
    assert out.position("fuel_valve") == "open" and supplied(out, "engine") == [True]


def test_04_motor_valve_stays_where_power_left_it():
    """Without power the valve stays open, a later command does nothing, and the engine cannot be shut off that way."""
    state = aircraft(MOTOR_VALVE, **SHUT_OFF)
    out = settled(state.fail("gen"))
    assert out.position("fuel_valve") == "open" and supplied(out, "engine") == [True]
    assert out.level("stop_engine") == "lost"
    out = settled(state.set("lever", "STOP"))
    assert out.position("fuel_valve") == "open" and supplied(out, "engine") == [True]
    out = settled(state.repair("gen"))  # the command still stands and is carried out
    assert out.position("fuel_valve") == "closed" and supplied(out, "engine") == [False]


def test_04_closed_motor_valve_stays_closed():
    """Stays means where it was, not open: closed before the power went, it cannot be opened."""
    state = aircraft(MOTOR_VALVE)
    settled(state.set("lever", "STOP"))
    settled(state.fail("gen"))
    assert settled(state.set("lever", "RUN")).position("fuel_valve") == "closed"


def test_04_command_and_power_loss_together():
    """A command given at the moment the power goes finds no motor: the valve has not moved, in either order."""
    out, _ = in_every_order(aircraft(MOTOR_VALVE), lambda s: s.fail("gen"), lambda s: s.set("lever", "STOP"))
    assert out.position("fuel_valve") == "open"


def test_04_burnt_valve_motor_stays_where_it_is():
    """A burnt motor leaves the valve where it stands, though its supply is healthy; a repaired one obeys again."""
    state = aircraft(MOTOR_VALVE)
    settled(state.fail("fuel_valve"))
    out = settled(state.set("lever", "STOP"))
    assert out.position("fuel_valve") == "open" and supplied(out, "dc", "engine") == [True, True]
    assert settled(state.repair("fuel_valve")).position("fuel_valve") == "closed"


# ------------------------------------------------------------------- 5. what a valve does without supply


def test_05_three_valves_three_answers():
    """In one aircraft the engine valve opens without power, the wing valve closes, the third stays put, from either position."""
    def valve(word):
        return element("valve", "dc", reach="cockpit", without=[["power", word]])

    state = aircraft({"gen": SOURCE, "dc": bus("gen"), "engine_anti_ice": valve("open"), "wing_anti_ice": valve("closed"), "crossfeed": valve("stays")})
    valves = ("engine_anti_ice", "wing_anti_ice", "crossfeed")
    for word, passing in (("closed", False), ("open", True)):
        for v in valves:
            state.set(v, word)
        out = settled(state.repair("dc"))
        assert [out.position(v) for v in valves] == [word] * 3
        out = settled(state.fail("dc"))
        assert [out.position(v) for v in valves] == ["open", "closed", word]
        assert [out.passes(v) for v in valves] == [True, False, passing]


def test_05_two_supplies_two_answers():
    """A valve may close without air yet stay put without power, and without both what is listed first counts."""
    def bleed_valve(*without):
        return {"kind": "valve", "inputs": {"power": ["dc"], "pneumatic": ["duct"]}, "without": list(without)}

    elements = {"dc": BATTERY, "duct": ENGINE,
                "air_first": bleed_valve(["pneumatic", "closed"], ["power", "open"]),
                "power_first": bleed_valve(["power", "open"], ["pneumatic", "closed"]), "apu": ENGINE,
                "duct_a": pipe(through("apu", "air_first"), port="pneumatic"), "duct_p": pipe(through("apu", "power_first"), port="pneumatic")}
    answers = {}
    for dead in (["duct"], ["dc"], ["dc", "duct"]):
        state = aircraft(elements)
        for id in dead:
            state.fail(id)
        out = settled(state)
        answers[tuple(dead)] = (out.position("air_first"), out.position("power_first"))
        assert supplied(out, "duct_a", "duct_p") == [word == "open" for word in answers[tuple(dead)]]
    assert answers == {("duct",): ("closed", "closed"), ("dc",): ("open", "open"), ("dc", "duct"): ("closed", "open")}


def test_05_spring_closed_without_air_but_not_without_power():
    """A motor-opened valve with an air-released spring: no air closes it, a burnt motor closes it, no power leaves it."""
    state = aircraft({"dc": BATTERY, "duct": ENGINE, "valve": {"kind": "valve", "reach": "cockpit", "inputs": {"pneumatic": ["duct"], "power": ["dc"]},
                                                               "without": [["pneumatic", "closed"], ["power", "stays"]]}})
    answers = []
    for cause in ("dc", "duct", "valve"):
        trial = state.copy().fail(cause)
        answers.append(settled(trial).position("valve"))
        assert settled(trial.repair(cause)).position("valve") == "open"
    assert answers == ["open", "closed", "closed"]


# ------------------------------------------------------------------- 6. logic that reads the switch

BLEED_ISOLATION = {
    "engine": ENGINE, "bleed_switch": {"kind": "switch", "positions": ["ON", "OFF"]},
    "bleed_valve": {"kind": "valve", "failures": {"overheat_trip": {}},
                    "goes": [{"to": "closed", "when": {"failure": {"bleed_valve": "overheat_trip"}}},
                             {"to": "closed", "when": {"contact": {"bleed_switch": "OFF"}}}]},
    "isolation_valve": {"kind": "valve", "rest": "closed", "goes": [{"to": "open", "when": {"contact": {"bleed_switch": "OFF"}}}]},
    "duct_l": pipe(through("engine", "bleed_valve"), through("engine_r", "isolation_valve"), port="pneumatic"),
    "engine_r": ENGINE,
}


def test_06_isolation_does_not_open_on_a_bleed_trip():
    """The bleed trips by itself with its switch ON: the isolation valve reads the switch and stays closed."""
    out = settled(aircraft(BLEED_ISOLATION).fail("bleed_valve", "overheat_trip"))
    assert out.position("bleed_valve") == "closed" and out.position("isolation_valve") == "closed"
    assert supplied(out, "duct_l") == [False]


def test_06_isolation_opens_on_the_switch():
    """The crew puts the switch OFF: the bleed valve closes and the isolation valve opens."""
    state = aircraft(BLEED_ISOLATION)
    settled(state.fail("bleed_valve", "overheat_trip"))
    out = settled(state.set("bleed_switch", "OFF"))
    assert out.position("isolation_valve") == "open" and supplied(out, "duct_l") == [True]


def test_06_switch_without_contacts_opens_nothing():
    """A failed switch makes no contact, so OFF is selected and nothing hears of it."""
    state = aircraft(BLEED_ISOLATION)
    out = settled(state.fail("bleed_switch").set("bleed_switch", "OFF"))
    assert out.position("isolation_valve") == "closed" and out.position("bleed_valve") == "open"


def test_06_set_contact_and_stuck():
    """A stuck switch tells logic where it is stuck; only a condition on the hand sees where the crew pushed it."""
    out = settled(aircraft({"toggle": {"kind": "switch", "positions": ["ON", "OFF"]}, "battery": BATTERY,
                            "lamp": element("light", "battery", shows=[{"text": "hand OFF, contact ON", "when": {
                                "all": [{"set": {"toggle": "OFF"}}, {"contact": {"toggle": "ON"}}, {"at": {"toggle": "ON"}}]}}])})
                  .fail("toggle", "stuck").set("toggle", "OFF"))
    assert shows(out, "lamp") == "hand OFF, contact ON"


# ------------------------------------------------------------------- 7. diodes and check valves


def diode_bus(**more):
    """Two feeders into one bus through a diode each."""
    return {"gen_1": SOURCE, "gen_2": SOURCE, "feeder_1": element("feeder", "gen_1"), "feeder_2": element("feeder", "gen_2"),
            "diode_1": {"kind": "diode"}, "diode_2": {"kind": "diode"}, "battery": BATTERY,
            "essential": {"kind": "bus", "inputs": {"power": {"parallel": [through("feeder_1", "diode_1"), through("feeder_2", "diode_2")]}}},
            "light": element("light", "battery", shows=[{"text": "ESS OFF", "when": {"not": "essential"}}], unpowered="out"), **more}


def test_07_one_feeder_dead_and_nothing_shows():
    """The first dead feeder is hidden by the second; the next one takes the bus."""
    state = aircraft(diode_bus())
    out = settled(state.fail("feeder_1"))
    assert supplied(out, "essential") == [True] and shows(out, "light") == ""
    out = settled(state.fail("feeder_2"))
    assert supplied(out, "essential") == [False] and shows(out, "light") == "ESS OFF"


def test_07_diode_protects_the_healthy_side():
    """A shorted feeder stays alone behind its diode: bus and other feeder live."""
    out = settled(aircraft(diode_bus()).fail("feeder_1", "short"))
    assert supplied(out, "gen_1", "essential", "feeder_2", "gen_2") == [False, True, True, True]


@pytest.mark.parametrize("first", ["diode", "feeder"])
def test_07_shorted_diode_drags_the_healthy_side_down(first):
    """With its diode shorted the feeder's short reaches the bus and the healthy feeder behind it, whichever failed first."""
    state = aircraft(diode_bus())
    failures = [("diode_1", "short"), ("feeder_1", "short")]
    for id, mode in failures if first == "diode" else reversed(failures):
        state.fail(id, mode)
        out = settled(state)
    assert supplied(out, "essential", "feeder_2", "gen_2") == [False, False, False]
    assert out.status("essential") == out.status("feeder_2") == "dragged_down"


def test_07_short_on_the_bus_takes_both_feeders():
    """A diode does not guard its source against a short ahead of it: that is the way it conducts."""
    out = settled(aircraft(diode_bus()).fail("essential", "short"))
    assert supplied(out, "feeder_1", "feeder_2", "gen_1", "gen_2") == [False] * 4


def test_07_backfeed_through_a_shorted_diode():
    """A shorted diode feeds the dead feeder backwards from the bus; a healthy one does not."""
    state = aircraft(diode_bus(lamp_1=load("feeder_1")))
    out = settled(state.fail("gen_1"))
    assert supplied(out, "essential", "feeder_1", "lamp_1") == [True, False, False]
    out = settled(state.fail("diode_1", "short"))
    assert supplied(out, "essential", "feeder_1", "lamp_1") == [True, True, True]
    out = settled(state.fail("gen_2"))  # bus and feeder now only feed each other
    assert supplied(out, "essential", "feeder_1", "lamp_1") == [False, False, False]


def test_07_open_diode_blocks_though_shorted_too():
    """Burnt open after having shorted, it conducts neither way."""
    out = settled(aircraft(diode_bus()).fail("diode_1", "short").fail("diode_1").fail("gen_2"))
    assert supplied(out, "feeder_1", "essential") == [True, False]


def test_07_check_valve_keeps_the_good_pumps_fluid():
    """A burst pump line drains its own tank; the check valve keeps the manifold and the other tank."""
    state = aircraft({"tank_1": TANK, "tank_2": TANK,
                      "line_1": pipe("tank_1"), "line_2": pipe("tank_2"), "check_1": {"kind": "check_valve"}, "check_2": {"kind": "check_valve"},
                      "manifold": {"kind": "manifold", "inputs": {"hydraulic": {"parallel": [through("line_1", "check_1"), through("line_2", "check_2")]}}}})
    out = settled(state.copy().fail("line_1", "leak"))
    assert out.to_dict()["empty"] == ["tank_1"] and supplied(out, "manifold", "line_2") == [True, True]
    out = settled(state.fail("check_1", "short").fail("line_1", "leak"))  # leaking back
    assert out.to_dict()["empty"] == ["tank_1", "tank_2"] and supplied(out, "manifold") == [False]


# ------------------------------------------------------------------- 8. tied short

HAND_TIE = {**TWO_BUSES, "tie_switch": {"kind": "switch", "positions": ["OPEN", "CLOSED"]}}
HAND_TIED = {"bus_tie": tie("main_l", "main_r", {"tie_switch": ["CLOSED"]})}


def test_08_short_with_the_buses_split():
    """Split, a short takes its own bus and generator and nothing else."""
    out = settled(aircraft(HAND_TIE, ties=HAND_TIED).fail("main_l", "short"))
    assert supplied(out, "gen_l", "main_l", "main_r", "gen_r") == [False, False, True, True]
    assert out.status("main_l") == "failed" and out.status("gen_l") == "dragged_down"


def test_08_short_with_the_buses_tied():
    """Tied, the same short takes both; opening the tie gives the healthy side back."""
    state = aircraft(HAND_TIE, ties=HAND_TIED).set("tie_switch", "CLOSED")
    assert supplied(settled(state), "main_l", "main_r") == [True, True]
    out = settled(state.fail("main_l", "short"))
    assert supplied(out, "gen_l", "main_l", "main_r", "gen_r") == [False] * 4
    assert out.status("main_r") == "dragged_down"
    out = settled(state.set("tie_switch", "OPEN"))
    assert supplied(out, "main_l", "main_r", "gen_r") == [False, True, True]


def test_08_loss_is_not_a_short():
    """An open failure of the bus leaves the tied bus alone."""
    out = settled(aircraft(HAND_TIE, ties=HAND_TIED).set("tie_switch", "CLOSED").fail("main_l"))
    assert supplied(out, "main_l", "main_r", "gen_r") == [False, True, True]


def test_08_breaker_in_the_tie():
    """A working breaker in the tie trips and saves the other bus; one that does not trip saves nothing."""
    elements, ties = {**TWO_BUSES, "limiter": {"kind": "current_limiter"}}, {"bus_tie": tie("main_l", "main_r", "limiter")}
    out = settled(aircraft(elements, ties=ties).fail("main_l", "short"))
    assert out.tripped("limiter") and supplied(out, "main_l", "main_r", "gen_r") == [False, True, True]
    out = settled(aircraft(elements, ties=ties).fail("main_l", "short").fail("limiter", "no_trip"))
    assert not out.tripped("limiter") and supplied(out, "main_r", "gen_r") == [False, False]


# ------------------------------------------------------------------- 9. common controller


def selected_source(gcu_2):
    """A bus on either of two sources, picked by hand, each let on by its controller; `gcu_2` names the second's."""
    def line(gcu):
        return {"kind": "contactor", "inputs": {"control": [gcu]}}

    return {"battery": BATTERY, "gen": SOURCE, "apu": SOURCE, "pick": {"kind": "selector", "positions": ["GEN", "APU"]},
            "gcu": element("controller", "battery"), "gcu_apu": element("controller", "battery"),
            "gen_line": line("gcu"), "apu_line": line(gcu_2),
            "main": bus(through("gen", "gen_line", {"pick": ["GEN"]}), through("apu", "apu_line", {"pick": ["APU"]}))}


def test_09_other_source_same_controller():
    """The bus is lost by its controller: picking another source behind the same controller brings nothing back."""
    state = aircraft(selected_source("gcu")).fail("gcu")
    assert supplied(settled(state), "gen", "main") == [True, False]
    out = settled(state.set("pick", "APU"))
    assert supplied(out, "apu", "main") == [True, False]
    assert supplied(settled(state.repair("gcu")), "main") == [True]


def test_09_other_source_other_controller():
    """With a controller of its own the other source does bring the bus back."""
    state = aircraft(selected_source("gcu_apu")).fail("gcu")
    assert supplied(settled(state), "main") == [False]
    assert supplied(settled(state.set("pick", "APU")), "main") == [True]


# ------------------------------------------------------------------- 10. the split that uncovers

SPLIT = {
    "ac": SOURCE, "tr_1": element("transformer_rectifier", "ac"), "tr_2": element("transformer_rectifier", "ac"),
    "dc_1": bus("tr_1"), "dc_2": bus("tr_2"),
    "dc_tie": {"kind": "relay", "rest": "closed", "goes": [{"to": "open", "when": {"given": "glideslope_captured"}}]},
}
SPLIT_MORE = {"ties": {"t": tie("dc_1", "dc_2", "dc_tie")}, "given": {"glideslope_captured": False}}


@pytest.mark.parametrize(("failed", "dead_bus"), [("tr_1", "dc_1"), ("tr_2", "dc_2")])
def test_10_latent_rectifier_failure_shows_at_capture(failed, dead_bus):
    """The tie hides a dead rectifier until glideslope capture opens it; leaving the mode hides it again."""
    state = aircraft(SPLIT, **SPLIT_MORE).fail(failed)
    assert supplied(settled(state), "dc_1", "dc_2") == [True, True]
    out = settled(state.given("glideslope_captured", True))
    assert [b for b in ("dc_1", "dc_2") if not supplied(out, b)[0]] == [dead_bus]
    assert supplied(settled(state.given("glideslope_captured", False)), "dc_1", "dc_2") == [True, True]


def test_10_capture_alone_takes_nothing():
    """With both rectifiers healthy the split costs nothing."""
    out = settled(aircraft(SPLIT, **SPLIT_MORE).given("glideslope_captured", True))
    assert out.position("dc_tie") == "open" and supplied(out, "dc_1", "dc_2") == [True, True]


# ------------------------------------------------------------------- 11. shed, then needed

SHED = {
    "gen_1": SOURCE, "gen_2": SOURCE, "main": bus("gen_1", "gen_2"),
    "shed_relay": {"kind": "relay", "rest": "closed", "goes": [{"to": "open", "when": {"not": {"all": ["gen_1", "gen_2"]}}}]},
    "cb_adc_1": BREAKER,
    "adc_1": load(through("main", "cb_adc_1")), "adc_2": load(through("main", "shed_relay")), "adc_3": load(through("main", "shed_relay")),
}
AIRSPEED = {"functions": {"airspeed": function({"at_least": 2, "of": ["adc_1", "adc_2", "adc_3"]}, {"any": ["adc_1", "adc_2", "adc_3"]})}}


def test_11_deferred_and_then_shed():
    """Air data 1 is deferred with its breaker pulled, one generator fails, 2 and 3 are shed: none is left."""
    state = aircraft(SHED, **AIRSPEED).set("cb_adc_1", "pulled")
    out = settled(state)
    assert out.level("airspeed") == "normal" and out.status("adc_1") == "unsupplied"
    out = settled(state.fail("gen_2"))
    assert supplied(out, "main", "adc_1", "adc_2", "adc_3") == [True, False, False, False] and out.level("airspeed") == "lost"


def test_11_shed_without_the_deferral():
    """Shedding alone leaves air data 1, and the shed loads come back with the generator."""
    state = aircraft(SHED, **AIRSPEED)
    assert settled(state.fail("gen_1")).level("airspeed") == "degraded"
    assert settled(state.repair("gen_1")).level("airspeed") == "normal"


# ------------------------------------------------------------------- 12. one phase of three

THREE_PHASE = {
    "gen": SOURCE, "phase_a": element("feeder", "gen"), "phase_b": element("feeder", "gen"), "phase_c": element("feeder", "gen"),
    "cb": BREAKER, "bus_off": element("light", "battery", shows=[{"text": "AC OFF", "when": {"not": "phase_a"}}], unpowered="out"), "battery": BATTERY,
    "pump_motor": {"kind": "motor", "inputs": {"power": [through("phase_a", "cb")], "power_b": ["phase_b"], "power_c": ["phase_c"]}},
    "lamp_a": load("phase_a"), "lamp_b": load("phase_b"), "lamp_c": load("phase_c"),
}
PHASES = {"media": {"power_b": "electrical", "power_c": "electrical"}}


def test_12_one_phase_lost():
    """The loads on the lost phase and what needs all three are dead; the rest lives, nothing trips, nothing shows."""
    out = settled(aircraft(THREE_PHASE, **PHASES).fail("phase_b"))
    assert supplied(out, "pump_motor", "lamp_a", "lamp_b", "lamp_c", "gen") == [False, True, False, True, True]
    assert out.to_dict()["tripped"] == [] and shows(out, "bus_off") == ""


def test_12_the_phase_that_is_sensed():
    """Only the sensed phase lights the light, and it does not take the other two."""
    out = settled(aircraft(THREE_PHASE, **PHASES).fail("phase_a"))
    assert supplied(out, "pump_motor", "lamp_a", "lamp_b", "lamp_c") == [False, False, True, True]
    assert shows(out, "bus_off") == "AC OFF"


# ------------------------------------------------------------------- 13. gone fluid, good pump


def pump(tank, drive):
    return {"kind": "pump", "inputs": {"drive": [drive], "hydraulic": [tank]}}


TWO_SYSTEMS = {
    "engine_a": ENGINE, "engine_b": ENGINE, "tank_a": TANK, "tank_b": TANK, "check_b": {"kind": "check_valve"}, "check_ptu": {"kind": "check_valve"},
    "pump_a": pump("tank_a", "engine_a"), "pump_b": pump("tank_b", "engine_b"),
    "manifold_a": element("manifold", "pump_a", port="hydraulic"),
    "transfer_motor": element("motor", "manifold_a", port="hydraulic"), "transfer_pump": pump("tank_b", "transfer_motor"),
    "manifold_b": element("manifold", through("pump_b", "check_b"), through("transfer_pump", "check_ptu"), port="hydraulic"),
    "actuator_b": element("actuator", "manifold_b", port="hydraulic"),
}


def test_13_transfer_unit_makes_up_for_a_dead_pump():
    """The fluid is there and only the pump is gone: the transfer unit moves system B with A's power."""
    out = settled(aircraft(TWO_SYSTEMS).fail("engine_b"))
    assert supplied(out, "pump_b", "transfer_pump", "manifold_b", "actuator_b") == [False, True, True, True]


def test_13_transfer_unit_runs_and_nothing_moves():
    """System B has leaked out: the transfer motor runs and B stays dead, while A has lost no drop."""
    out = settled(aircraft(TWO_SYSTEMS).fail("manifold_b", "leak"))
    assert out.status("tank_b") == "spent" and out.to_dict()["empty"] == ["tank_b"]
    assert supplied(out, "engine_b", "transfer_motor", "manifold_a") == [True, True, True]
    assert supplied(out, "pump_b", "transfer_pump", "manifold_b", "actuator_b") == [False] * 4


def test_13_standpipe_serves_one_user():
    """What the leak in the main line cannot reach stays in the standpipe and serves its one user."""
    state = aircraft({"engine": ENGINE, "battery": BATTERY, "above_standpipe": TANK, "below_standpipe": TANK,
                      "main_pump": pump("above_standpipe", "engine"), "electric_motor": element("motor", "battery"),
                      "alternate_pump": pump("below_standpipe", "electric_motor"),
                      "main": element("manifold", "main_pump", port="hydraulic"), "check": {"kind": "check_valve"},
                      "brake_line": pipe("main", through("alternate_pump", "check")),
                      "brakes": element("actuator", "brake_line", port="hydraulic"), "flaps": element("actuator", "main", port="hydraulic")})
    assert supplied(settled(state), "brakes", "flaps") == [True, True]
    out = settled(state.fail("main", "leak"))
    assert out.to_dict()["empty"] == ["above_standpipe"] and supplied(out, "brakes", "flaps") == [True, False]
    out = settled(state.fail("brake_line", "leak"))  # now the reserve goes too
    assert out.to_dict()["empty"] == ["above_standpipe", "below_standpipe"] and supplied(out, "brakes") == [False]


LEAKING = {
    "tank": TANK, "shut_off": {"kind": "valve", "reach": "cockpit"}, "supply_line": pipe("tank"),
    "branch": pipe(through("supply_line", "shut_off")), "user": element("actuator", "supply_line", port="hydraulic"),
}


def test_13_leaked_out_stays_empty():
    """Closing the valve after the leak is too late: the tank is empty until it is refilled."""
    state = aircraft(LEAKING)
    out = settled(state.fail("branch", "leak"))
    assert out.status("tank") == "spent" and supplied(out, "user") == [False]
    out = settled(state.set("shut_off", "closed"))
    assert out.status("tank") == "spent" and supplied(out, "user") == [False]
    out = settled(state.repair("branch"))  # a mended pipe has no fluid in it
    assert out.status("tank") == "spent" and supplied(out, "user", "branch") == [False, False]
    assert supplied(settled(state.repair("tank")), "tank", "user") == [True, True]


def test_13_closed_before_the_leak():
    """Behind a closed valve the same leak costs its own branch only."""
    state = aircraft(LEAKING).set("shut_off", "closed")
    settled(state)
    out = settled(state.fail("branch", "leak"))
    assert out.to_dict()["empty"] == [] and supplied(out, "user", "branch") == [True, False]
    assert settled(state.set("shut_off", "open")).to_dict()["empty"] == ["tank"]


@pytest.mark.parametrize("stands", ["open", "closed"])
def test_13_leak_in_the_valve_body(stands):
    """A cracked valve body loses the fluid on its source side even while the valve is shut."""
    elements = {**LEAKING, "shut_off": {**LEAKING["shut_off"], "failures": {"leak": {}}}}
    state = aircraft(elements).set("shut_off", stands)
    settled(state)
    out = settled(state.fail("shut_off", "leak"))
    assert out.to_dict()["empty"] == ["tank"] and supplied(out, "user", "branch") == [False, False]


# ------------------------------------------------------------------- 14. one-way capability

FLAPS_AND_GEAR = {
    "hyd": {"kind": "manifold"}, "battery": BATTERY, "uplock_cable": {"kind": "manual"}, "accumulator": {"kind": "accumulator"},
    "gear_actuator": element("actuator", "hyd", port="hydraulic"), "flap_hydraulic_motor": element("motor", "hyd", port="hydraulic"),
    "flap_electric_motor": element("motor", "battery"), "brake_line": pipe("hyd", "accumulator"),
}
ONE_WAY = {"functions": {
    "extend_gear": function("gear_actuator", "uplock_cable"), "retract_gear": function("gear_actuator"),
    "flaps": function("flap_hydraulic_motor", "flap_electric_motor"), "flap_asymmetry_protection": function("flap_hydraulic_motor"),
    "brakes": function({"all": ["brake_line", "hyd"]}, "brake_line"),
}}


def test_14_down_but_never_up_again():
    """Without hydraulics the gear falls but cannot be retracted, the flaps creep unprotected, the brakes have strokes only."""
    state = aircraft(FLAPS_AND_GEAR, **ONE_WAY)
    assert settled(state).normal == ["brakes", "extend_gear", "flap_asymmetry_protection", "flaps", "retract_gear"]
    out = settled(state.fail("hyd"))
    assert out.degraded == ["brakes", "extend_gear", "flaps"]
    assert out.lost == ["flap_asymmetry_protection", "retract_gear"]
    assert out.mode("extend_gear") == "mode_2" and out.mode("retract_gear") is None


def test_14_the_alternates_are_lost_one_by_one():
    """Each alternate has a root of its own: accumulator, battery and cable take one function each."""
    for alternate, function_lost in (("accumulator", "brakes"), ("battery", "flaps"), ("uplock_cable", "extend_gear")):
        out = settled(aircraft(FLAPS_AND_GEAR, **ONE_WAY).fail("hyd").fail(alternate))
        assert sorted(out.lost) == sorted(["flap_asymmetry_protection", "retract_gear", function_lost])


# ------------------------------------------------------------------- 15. one air/ground relay alone


def air_ground(n=20):
    relay = {"kind": "relay", "rest": "open", "inputs": {"control": ["dc"]}, "goes": [{"to": "closed", "when": {"given": "airborne"}}]}
    elements = {"dc": BATTERY}
    for i in range(1, n + 1):
        elements[f"relay_{i}"] = relay
        elements[f"user_{i}"] = load(through("dc", f"relay_{i}"))
    return aircraft(elements, given={"airborne": False}), [f"user_{i}" for i in range(1, n + 1)]


@pytest.mark.parametrize("way", ["stuck", "loss"])
def test_15_one_relay_says_ground(way):
    """After take-off nineteen relays say air and one still says ground: its user alone is wrong."""
    state, users = air_ground()
    assert supplied(settled(state.fail("relay_7", way)), *users) == [False] * 20
    out = settled(state.given("airborne", True))
    assert [u for u in users if not supplied(out, u)[0]] == ["user_7"]


def test_15_one_relay_says_air():
    """After landing the relay that stuck in flight still says air, and again only its user is wrong."""
    state, users = air_ground()
    settled(state.given("airborne", True))
    settled(state.fail("relay_7", "stuck"))
    out = settled(state.given("airborne", False))
    assert [u for u in users if supplied(out, u)[0]] == ["user_7"]


# ------------------------------------------------------------------- 16. bootstrap

BOOTSTRAP = {
    "engine": ENGINE, "main": bus("gen"), "gen": {"kind": "generator", "inputs": {"drive": ["engine"], "field": ["main"]}, "holds_in": True},
}


def test_16_running_and_cold_are_both_stable():
    """A generator excited from its own bus keeps running if it ran and stays dead if it did not."""
    net = network(BOOTSTRAP)
    running, cold = net.running_state(), net.cold_state()
    assert running != cold
    assert supplied(settled(running), "gen", "main") == [True, True]
    assert supplied(settled(cold), "gen", "main") == [False, False]
    assert settled(running).to_dict()["holding"] == ["gen"] and settled(cold).to_dict()["holding"] == []


def test_16_the_answer_depends_on_history():
    """Engine failed and restarted: the same aircraft with nothing failed, and the generator does not come back by itself."""
    state = network(BOOTSTRAP).running_state()
    settled(state.fail("engine"))
    out = settled(state.repair("engine"))
    assert supplied(out, "engine", "gen", "main") == [True, False, False]


def test_16_flashed_from_outside():
    """With the battery on its bus the cold generator builds up, and holds when the battery is taken off again."""
    elements = {**BOOTSTRAP, "battery": BATTERY, "flash": {"kind": "switch", "positions": ["OFF", "ON"]},
                "main": bus("gen", through("battery", {"flash": ["ON"]}))}
    state = network(elements).cold_state()
    assert supplied(settled(state), "main") == [False]
    assert supplied(settled(state.set("flash", "ON")), "gen", "main") == [True, True]
    assert supplied(settled(state.set("flash", "OFF")), "gen", "main") == [True, True]


def test_16_a_loop_without_the_mark_supplies_nothing():
    """What is not said to hold in cannot lift itself: the loop is dead, running or cold."""
    net = network({**BOOTSTRAP, "gen": {"kind": "generator", "inputs": {"drive": ["engine"], "field": ["main"]}}})
    assert net.running_state() == net.cold_state()
    assert supplied(settled(net.running_state()), "gen", "main") == [False, False]


def test_16_a_trip_does_not_drop_what_holds_in():
    """A breaker clears a fault behind it before the field collapses; a fault that stays does collapse it, for good."""
    elements = {**BOOTSTRAP, "cb": BREAKER, "galley": bus(through("main", "cb"))}
    state = network(elements).running_state()
    out = settled(state.fail("galley", "short"))
    assert out.tripped("cb") and supplied(out, "gen", "main") == [True, True]
    state = network(elements).running_state()
    out = settled(state.fail("galley", "short").fail("cb", "no_trip"))
    assert supplied(out, "gen", "main") == [False, False]
    assert supplied(settled(state.repair("galley")), "gen", "main") == [False, False]


def test_16_self_holding_relay():
    """A relay pulled in by a push button holds itself through its own contacts until its supply is broken."""
    state = network({"battery": BATTERY, "button": {"kind": "switch", "positions": ["OUT", "PUSHED"]},
                     "coil": {"kind": "consumer", "holds_in": True, "inputs": {"power": [through("battery", {"button": ["PUSHED"]}), through("battery", "contacts")]}},
                     "contacts": {"kind": "relay", "rest": "open", "goes": [{"to": "closed", "when": "coil"}]}}).cold_state()
    assert supplied(settled(state), "coil") == [False]
    assert supplied(settled(state.set("button", "PUSHED")), "coil") == [True]
    assert supplied(settled(state.set("button", "OUT")), "coil") == [True]
    settled(state.fail("battery"))
    assert supplied(settled(state.repair("battery")), "coil") == [False]


# ------------------------------------------------------------------- 17. restored but fragile


def singles_that_take(state, target):
    """Every single further failure, in a copy of the state, that takes the target."""
    found = []
    for id, mode in state.network.failures:
        if (id, mode) != (target, "loss") and not supplied(ff.settle(state.copy().fail(id, mode)), target)[0]:
            found.append((id, mode))
    return found


def test_17_bus_back_independence_gone():
    """Tied, the bus lives again, but each failure on the other side now takes it too."""
    state = aircraft(HAND_TIE, ties=HAND_TIED)
    settled(state)
    assert singles_that_take(state, "main_l") == [("gen_l", "loss"), ("gen_l", "short"), ("main_l", "short")]
    settled(state.fail("gen_l"))
    assert supplied(settled(state.set("tie_switch", "CLOSED")), "main_l", "main_r") == [True, True]
    fragile = singles_that_take(state, "main_l")
    assert {("gen_r", "loss"), ("main_r", "loss"), ("main_r", "short"), ("tie_switch", "loss")} <= set(fragile)
    # and the healthy right bus now dies of a short on the left one
    assert ("main_l", "short") in singles_that_take(state, "main_r")


# ------------------------------------------------------------------- 18. unfitted, deferred, deselected, failed

FOUR_WAYS = {
    "engine": ENGINE, "gen_switch": {"kind": "switch", "positions": ["ON", "OFF"]},
    "gen": {"kind": "generator", "inputs": {"drive": ["engine"]}, "needs": {"contact": {"gen_switch": "ON"}}},
    "apu": {"kind": "generator", "fitted": False}, "main": bus("gen", "apu"), "apu_only": bus("apu"),
}


def test_18_four_reasons_four_words():
    """Not fitted, selected off, failed and unsupplied are four different things, told apart."""
    state = aircraft(FOUR_WAYS, functions={"apu_power": function("apu"), "main_power": function("main")})
    out = settled(state)
    assert out.status("apu") == "not_fitted" and out.status("gen") == "supplied" and out.status("apu_only") == "unsupplied"
    assert out.level("apu_power") == "not_fitted" and out.level("main_power") == "normal"
    out = settled(state.set("gen_switch", "OFF"))
    assert out.status("gen") == "off" and out.level("main_power") == "lost"
    settled(state.set("gen_switch", "ON"))
    assert settled(state.fail("gen")).status("gen") == "failed"
    assert settled(state.repair("gen").fail("engine")).status("gen") == "unsupplied"


def test_18_an_option_that_is_not_there_leaves_the_base_function():
    """A mode that needs what is not fitted does not exist; the next mode is what the aircraft has."""
    out = settled(aircraft(FOUR_WAYS, functions={"power": function({"all": ["gen", "apu"]}, {"any": ["gen", "apu"]})}))
    assert out.level("power") == "degraded" and out.mode("power") == "mode_2"


def test_18_bridged_and_cut():
    """Where a device is left out, a wire through it carries on and a cut one is no feed at all, also in a tie."""
    def relay(left):
        return {"kind": "relay", "fitted": False, "left": left}

    state = aircraft({"gen": SOURCE, "battery": BATTERY, "wired": relay("bridged"), "blanked": relay("cut"),
                      "a": bus(through("gen", "wired")), "b": bus(through("gen", "blanked")), "c": bus(through("gen", "blanked"), "battery"),
                      "d": {"kind": "bus"}, "e": {"kind": "bus"}},
                     ties={"t": tie("a", "d", "wired"), "u": tie("a", "e", "blanked")})
    out = settled(state)
    assert supplied(out, "a", "b", "c", "d", "e") == [True, False, True, True, False]
    out = settled(state.fail("d", "short"))  # the wire carries a fault as well, the cut does not
    assert supplied(out, "a", "b", "c", "gen", "battery") == [False, False, True, False, True]
    assert out.status("e") == "unsupplied"


def test_18_deferred_is_secured_in_a_position():
    """A valve deferred closed is not failed: it is where maintenance put it, and the crew cannot move it."""
    elements = {"engine": ENGINE, "bleed_switch": {"kind": "switch", "positions": ["ON", "OFF"]},
                "bleed_valve": {"kind": "valve", "follows": {"bleed_switch": {"ON": "open", "OFF": "closed"}}},
                "duct": pipe(through("engine", "bleed_valve"), port="pneumatic")}
    state = aircraft(elements).fail("bleed_valve", "stuck", at="closed")
    out = settled(state)
    assert out.position("bleed_valve") == "closed" and out.status("duct") == "unsupplied"
    with pytest.raises(ff.NotPossible):
        state.set("bleed_valve", "open")
    settled(state.set("bleed_switch", "OFF"))
    assert settled(state.set("bleed_switch", "ON")).position("bleed_valve") == "closed"


# ------------------------------------------------------------------- 19. degraded source


def test_19_standby_pack():
    """A pack that has fallen to standby still delivers: degraded, not lost, and its own loss is another thing."""
    full = {"all": ["pack", {"not": {"failure": {"pack": "standby"}}}]}
    state = aircraft({"engine": ENGINE, "pack": element("consumer", "engine", port="pneumatic", failures={"standby": {}})},
                     functions={"air_conditioning": function(full, "pack")})
    assert settled(state).level("air_conditioning") == "normal"
    out = settled(state.fail("pack", "standby"))
    assert out.status("pack") == "supplied" and out.level("air_conditioning") == "degraded"
    assert settled(state.fail("pack")).level("air_conditioning") == "lost"


def test_19_generator_connected_by_hand():
    """A generator put on its bus by hand counts as supply, but without its automatic protection."""
    state = aircraft({"gen": SOURCE, "manual": {"kind": "switch", "positions": ["AUTO", "MANUAL"]}, "gcu": {"kind": "controller"},
                      "auto_line": {"kind": "contactor", "inputs": {"control": ["gcu"]}, "protects": {"needs": "gcu"}},
                      "main": bus(through("gen", "auto_line"), through("gen", {"manual": ["MANUAL"]}))},
                     functions={"main_power": function({"all": ["main", "gcu"]}, "main")})
    assert settled(state).level("main_power") == "normal"
    assert settled(state.fail("gcu")).level("main_power") == "lost"
    assert settled(state.set("manual", "MANUAL")).level("main_power") == "degraded"
    out = settled(state.fail("main", "short"))
    assert out.to_dict()["tripped"] == [] and out.status("gen") == "dragged_down"


# ------------------------------------------------------------------- 20. frozen pointer


def test_20_frozen_pointer_looks_alive():
    """A pointer that lost AC keeps its last reading while the pressure goes; the lamp beside it goes out; power shows the truth."""
    reading = [{"text": "3000", "when": "pressure"}, {"text": "0", "when": ALWAYS}]
    state = aircraft({"gen": SOURCE, "ac": bus("gen"), "pressure": {"kind": "sensor"},
                      "pointer": element("gauge", "ac", shows=reading, unpowered="stays"), "digits": element("gauge", "ac", shows=reading, unpowered="blank")})
    out = settled(state)
    assert (shows(out, "pointer"), shows(out, "digits")) == ("3000", "3000")
    settled(state.fail("ac"))
    out = settled(state.fail("pressure"))
    assert (shows(out, "pointer"), shows(out, "digits")) == ("3000", "blank") and out.status("pointer") == "unsupplied"
    assert shows(settled(state.repair("ac")), "pointer") == "0"
    settled(state.fail("ac"))  # frozen low, it stays low as well
    assert shows(settled(state.repair("pressure")), "pointer") == "0"


# ------------------------------------------------------------------- 21. a source that fades with what it is used for


def test_21_emergency_generator_without_flow():
    """Where the author says that gear in transit takes the flow, the emergency generator goes off, which is no failure."""
    state = aircraft({"rat": {"kind": "ram_air_turbine", "needs": {"given": "fast"}}, "hyd": element("manifold", "rat", port="hydraulic"),
                      "gear": {"kind": "handle", "positions": ["UP", "DOWN"]}, "emergency": bus("emergency_gen"),
                      "emergency_gen": {"kind": "generator", "inputs": {"hydraulic": ["hyd"]}, "needs": {"not": {"contact": {"gear": "DOWN"}}}}},
                     given={"fast": True})
    assert supplied(settled(state), "emergency") == [True]
    out = settled(state.set("gear", "DOWN"))
    assert out.status("emergency_gen") == "off" and supplied(out, "hyd", "emergency") == [True, False]
    settled(state.set("gear", "UP"))
    out = settled(state.given("fast", False))
    assert out.status("rat") == "off" and out.status("emergency_gen") == "unsupplied"


# ------------------------------------------------------------------- faults and protection


def protected_generators():
    """Each generator on its bus through a line contactor that its control unit trips; the buses tied."""
    def line(side):
        return {"kind": "contactor", "inputs": {"control": [f"gcu_{side}"]}, "protects": {"needs": f"gcu_{side}"}}

    elements = {"battery": BATTERY, "tie_switch": {"kind": "switch", "positions": ["CLOSED", "OPEN"]}}
    for side in "lr":
        elements |= {f"gen_{side}": SOURCE, f"gcu_{side}": element("controller", "battery"), f"line_{side}": line(side),
                     f"main_{side}": bus(through(f"gen_{side}", f"line_{side}"))}
    return elements, {"bus_tie": tie("main_l", "main_r", {"tie_switch": ["CLOSED"]})}


def test_shorted_generator_is_taken_off():
    """The line contactor takes a shorted generator off, and the tie carries its bus."""
    elements, ties = protected_generators()
    out = settled(aircraft(elements, ties=ties).fail("gen_l", "short"))
    assert out.to_dict()["tripped"] == ["line_l"] and out.status("gen_l") == "failed"
    assert supplied(out, "main_l", "main_r", "gen_r") == [True, True, True]


def test_shorted_generator_behind_a_welded_contactor():
    """Welded, the contactor cannot take it off: the other line contactor trips, and both tied buses are dead."""
    elements, ties = protected_generators()
    state = aircraft(elements, ties=ties).fail("line_l", "stuck", at="closed")
    assert supplied(settled(state), "main_l", "main_r") == [True, True]
    out = settled(state.fail("gen_l", "short"))
    assert out.position("line_l") == "closed" and out.to_dict()["tripped"] == ["line_r"]
    assert supplied(out, "main_l", "main_r", "gen_r") == [False, False, True]
    settled(state.set("tie_switch", "OPEN"))
    out = settled(state.repair("line_r"))  # split and the right contactor closed again: half is back
    assert supplied(out, "main_l", "main_r") == [False, True]


def test_welded_contactor_and_no_protection_anywhere():
    """A line contactor that falls open with its own generator saves the bus; welded, the short takes all that is tied."""
    elements = {**TWO_BUSES, "line_l": {"kind": "contactor", "inputs": {"control": ["gen_l"]}}, "main_l": bus(through("gen_l", "line_l"))}
    ties = {"t": tie("main_l", "main_r")}
    out = settled(aircraft(elements, ties=ties).fail("gen_l", "short"))
    assert out.position("line_l") == "open" and supplied(out, "main_l", "main_r", "gen_r") == [True, True, True]
    out = settled(aircraft(elements, ties=ties).fail("line_l", "stuck").fail("gen_l", "short"))
    assert out.position("line_l") == "closed" and supplied(out, "main_l", "main_r", "gen_r") == [False, False, False]


def test_bus_short_trips_the_line_and_leaves_the_control_unit_alone():
    """The fault current flows in the power wires: the control unit and its supply are untouched, the generator runs on."""
    elements, ties = protected_generators()
    state = aircraft(elements, ties=ties).set("tie_switch", "OPEN")
    settled(state)
    out = settled(state.fail("main_l", "short"))
    assert out.to_dict()["tripped"] == ["line_l"]
    assert supplied(out, "gen_l", "gcu_l", "battery", "main_r") == [True, True, True, True]


def test_line_contactor_without_its_control_unit():
    """Without its control unit the contactor does not protect; here it has dropped open instead, and the bus is just dead."""
    elements, ties = protected_generators()
    state = aircraft(elements, ties=ties).set("tie_switch", "OPEN").fail("gcu_l")
    assert settled(state).position("line_l") == "open"
    out = settled(state.fail("main_l", "short"))
    assert out.to_dict()["tripped"] == [] and supplied(out, "gen_l") == [True]
    state = aircraft(elements, ties=ties).set("tie_switch", "OPEN").fail("line_l", "stuck", at="closed")
    out = settled(state.fail("main_l", "short"))  # welded: nothing stands between bus and generator
    assert out.to_dict()["tripped"] == [] and out.status("gen_l") == "dragged_down"


def test_latched_contactor_protects_only_with_its_control_unit():
    """A contactor that stays in without its control unit has nobody to trip it: the generator goes down with its bus."""
    elements = {"gen": SOURCE, "gcu": {"kind": "controller"}, "line": {"kind": "contactor", "protects": {"needs": "gcu"}}, "main": bus(through("gen", "line"))}
    out = settled(aircraft(elements).fail("main", "short"))
    assert out.tripped("line") and supplied(out, "gen") == [True]
    out = settled(aircraft(elements).fail("gcu").fail("main", "short"))
    assert not out.tripped("line") and out.passes("line") is True and out.status("gen") == "dragged_down"


def test_fault_leaves_by_the_power_wires_only():
    """A short behind a distribution unit drags the unit's power down, not what controls it; a short in the unit takes both."""
    elements = {"gen": SOURCE, "battery": BATTERY, "main": bus("gen"), "hot": bus("battery"),
                "unit": {"kind": "panel", "inputs": {"power": ["main"], "control": ["hot"]}, "failures": {"short": {}}},
                "radio": load("unit", failures={"short": {}})}
    out = settled(aircraft(elements).fail("radio", "short"))
    assert supplied(out, "unit", "main", "gen", "hot", "battery") == [False, False, False, True, True]
    out = settled(aircraft(elements).fail("unit", "short"))
    assert supplied(out, "main", "gen", "hot", "battery") == [False] * 4


def test_box_with_two_supplies_does_not_join_them():
    """A box on two buses picks inside; it is no bus bar, so one bus shorted leaves box and other bus alive."""
    elements = {"gen_1": SOURCE, "gen_2": SOURCE, "bus_1": bus("gen_1"), "bus_2": bus("gen_2"),
                "box": {"kind": "controller", "inputs": {"power": {"parallel": ["bus_1", "bus_2"]}}, "failures": {"short": {}}}}
    for shorted, other in (("bus_1", "bus_2"), ("bus_2", "bus_1")):
        out = settled(aircraft(elements).fail(shorted, "short"))
        assert supplied(out, shorted, other, "box") == [False, True, True]
    out = settled(aircraft(elements).fail("box", "short"))
    assert supplied(out, "bus_1", "bus_2") == [False, False]


def test_the_nearest_breaker_trips_and_the_next_one_backs_it_up():
    """Counted from the fault the first breaker that works trips, alone; if it fails to, the one before it does."""
    elements = {"gen": SOURCE, "cb_bus": BREAKER, "cb_load": BREAKER, "main": bus("gen"), "sub": bus(through("main", "cb_bus")),
                "radio": load(through("sub", "cb_load"), failures={"loss": {}, "short": {}}), "lamp": load("sub")}
    out = settled(aircraft(elements).fail("radio", "short"))
    assert out.to_dict()["tripped"] == ["cb_load"] and supplied(out, "lamp", "main") == [True, True]
    out = settled(aircraft(elements).fail("radio", "short").fail("cb_load", "no_trip"))
    assert out.to_dict()["tripped"] == ["cb_bus"] and supplied(out, "lamp", "main") == [False, True]
    out = settled(aircraft(elements).fail("radio", "short").fail("cb_load", "no_trip").fail("cb_bus", "no_trip"))
    assert out.to_dict()["tripped"] == [] and supplied(out, "lamp", "main", "gen") == [False, False, False]


def test_breakers_in_one_wire_are_counted_from_the_fault():
    """Of two breakers in one feed, listed from source to load, the one at the load's end trips."""
    out = settled(aircraft({"gen": SOURCE, "near_source": BREAKER, "near_load": BREAKER, "sub": bus(through("gen", "near_source", "near_load"))}).fail("sub", "short"))
    assert out.to_dict()["tripped"] == ["near_load"]


INVERTER = {
    "battery": BATTERY, "hot": bus("battery"), "inverter": element("inverter", "hot"), "ac": bus("inverter"), "lamp": load("hot"),
}


def test_ac_short_does_not_reach_the_battery():
    """The inverter is dragged down with the AC bus, and isolates: the battery side lives."""
    out = settled(aircraft(INVERTER).fail("ac", "short"))
    assert out.status("inverter") == "dragged_down" and supplied(out, "battery", "hot", "lamp") == [True, True, True]


def test_short_in_the_inverter_does_reach_the_battery():
    """A short in the inverter itself is on the battery's wires."""
    out = settled(aircraft(INVERTER).fail("inverter", "short"))
    assert supplied(out, "battery", "hot", "lamp") == [False, False, False] and out.status("hot") == "dragged_down"


def test_short_behind_a_plain_feeder_does_reach_the_battery():
    """What does not isolate passes the fault on."""
    out = settled(aircraft({**INVERTER, "inverter": element("feeder", "hot")}).fail("ac", "short"))
    assert supplied(out, "battery", "hot") == [False, False]


@pytest.mark.parametrize("kind", ["breaker", "fuse"])
def test_short_on_a_dead_bus_blows_nothing_until_it_is_powered(kind):
    """With no current there is nothing to trip; power applied to the fault trips it."""
    state = aircraft({"ground_power": {"kind": "external_power", "needs": {"given": "ground_power_connected"}}, "main": bus("ground_power"),
                      "guard": {"kind": kind}, "sub": bus(through("main", "guard"))}, given={"ground_power_connected": False})
    out = settled(state.fail("sub", "short"))
    assert not out.tripped("guard") and out.passes("guard") is True
    out = settled(state.given("ground_power_connected", True))
    assert out.tripped("guard") and out.passes("guard") is False and supplied(out, "main", "sub") == [True, False]


TRIPPING = {"gen": SOURCE, "main": bus("gen"), "guard": BREAKER, "sub": bus(through("main", "guard"))}


def test_reset_onto_a_fault_trips_again():
    """Reset onto the standing fault trips at once and takes nothing else with it; the one reset is then used up."""
    state = aircraft(TRIPPING)
    assert settled(state.fail("sub", "short")).position("guard") == "pulled"
    out = settled(state.reset("guard"))
    assert out.tripped("guard") and supplied(out, "main", "sub") == [True, False]
    with pytest.raises(ff.NotPossible):
        state.reset("guard")
    settled(state.repair("sub"))
    with pytest.raises(ff.NotPossible):  # a mended fault gives no further reset
        state.reset("guard")
    assert supplied(settled(state.repair("guard")), "sub") == [True]


def test_a_trip_holds_until_reset():
    """A fault that went away leaves the breaker out; one reset brings the bus back."""
    state = aircraft(TRIPPING)
    settled(state.fail("sub", "short"))
    out = settled(state.repair("sub"))
    assert out.tripped("guard") and out.status("sub") == "unsupplied"
    out = settled(state.reset("guard"))
    assert not out.tripped("guard") and supplied(out, "sub") == [True]


def test_resets_as_many_as_said():
    """Two resets where the author allows two, none where none."""
    for allowed in (0, 2):
        state = aircraft({**TRIPPING, "guard": {"kind": "breaker", "protects": {"resets": allowed}}})
        settled(state.fail("sub", "short"))
        for _ in range(allowed):
            assert settled(state.reset("guard")).tripped("guard")
        with pytest.raises(ff.NotPossible):
            state.reset("guard")


def test_refused_reset_changes_nothing():
    """A refusal leaves the state as it was."""
    state = aircraft({**TRIPPING, "guard": {"kind": "breaker", "protects": {"resets": 0}}})
    settled(state.fail("sub", "short"))
    before = state.copy()
    with pytest.raises(ff.NotPossible):
        state.reset("guard")
    assert state == before


def test_fuse_is_replaced_on_the_ground():
    """A blown fuse looks in place and passes nothing; nobody resets it in flight, maintenance replaces it."""
    state = aircraft({**TRIPPING, "guard": {"kind": "fuse"}})
    out = settled(state.fail("sub", "short"))
    assert out.tripped("guard") and out.position("guard") == "in" and out.passes("guard") is False
    with pytest.raises(ff.NotPossible):
        state.reset("guard")
    out = settled(state.repair("sub").repair("guard"))
    assert not out.tripped("guard") and supplied(out, "sub") == [True]


def test_relay_that_drops_out_clears_nothing():
    """The tie's coil hangs on the bus that its closing drags down: that bus is not good again when the coil lets go."""
    elements = {**TWO_BUSES, "tie_switch": {"kind": "switch", "positions": ["OPEN", "CLOSED"]},
                "tie_relay": {"kind": "relay", "inputs": {"control": [through("main_r", {"tie_switch": ["CLOSED"]})]}}}
    ties = {"t": tie("main_l", "main_r", "tie_relay")}
    state = aircraft(elements, ties=ties)
    out = settled(state.fail("main_l", "short"))
    assert out.position("tie_relay") == "open" and supplied(out, "main_l", "main_r") == [False, True]
    out = settled(state.set("tie_switch", "CLOSED"))
    assert out.status("main_r") == "dragged_down" and out.position("tie_relay") == "open"
    out = settled(state.set("tie_switch", "OPEN"))  # told to stay open, it is
    assert supplied(out, "main_l", "main_r") == [False, True]


def test_automatic_transfer_onto_a_fault():
    """A transfer that closes seconds after the bus is lost closes onto the fault and takes the second bus down."""
    elements = {**TWO_BUSES, "transfer": {"kind": "relay", "after_s": 3, "rest": "open", "goes": [{"to": "closed", "when": {"not": "main_l"}}]}}
    ties = {"t": tie("main_l", "main_r", "transfer")}
    out = settled(aircraft(elements, ties=ties).fail("main_l", "short"))
    assert out.position("transfer") == "closed" and out.status("main_r") == "dragged_down"
    # a source lost is what the transfer is for, but bus and command then chase each other: never called good
    out = settled(aircraft(elements, ties=ties).fail("gen_l"))
    assert out.hunting == ["transfer"] and out.status("main_l") == "unknown" and supplied(out, "main_r") == [True]


def test_automatic_transfer_that_senses_the_source():
    """Sensing the generator instead of the bus, the transfer rescues the bus and rests."""
    elements = {**TWO_BUSES, "transfer": {"kind": "relay", "after_s": 3, "rest": "open", "goes": [{"to": "closed", "when": {"not": "gen_l"}}]}}
    out = settled(aircraft(elements, ties={"t": tie("main_l", "main_r", "transfer")}).fail("gen_l"))
    assert out.hunting == [] and supplied(out, "main_l", "main_r") == [True, True]


def test_contactor_with_a_fault_in_it():
    """A short inside a contactor is on both its power wires and on its coil's, open or not."""
    elements = {"gen": SOURCE, "battery": BATTERY, "toggle": {"kind": "switch", "positions": ["ON", "OFF"]}, "main": bus("gen"),
                "line": {"kind": "contactor", "inputs": {"control": [through("hot", {"toggle": ["ON"]})]}, "failures": {"short": {}}},
                "hot": bus("battery"), "sub": bus(through("main", "line"), "gen_2"), "gen_2": SOURCE}
    out = settled(aircraft(elements).fail("line", "short"))
    assert supplied(out, "main", "sub", "hot") == [False, False, False]
    state = aircraft(elements).set("toggle", "OFF")
    settled(state)
    out = settled(state.fail("line", "short"))
    assert supplied(out, "main", "sub", "hot") == [False, False, True]


def test_burst_bleed_duct_does_not_stop_the_engine():
    """A burst duct loses its air, up to the engine that gives it; the engine itself runs on."""
    out = settled(aircraft({"engine": ENGINE, "duct": pipe("engine", port="pneumatic"), "pack": element("consumer", "duct", port="pneumatic"),
                            "gen": {"kind": "generator", "inputs": {"drive": ["engine"]}}}).fail("duct", "leak"))
    assert supplied(out, "duct", "pack", "engine", "gen") == [False, False, True, True]


def test_jam_stops_the_shaft_and_no_wire():
    """A seized pump stops the shaft it shares; electricity and fluid know nothing of it."""
    out = settled(aircraft({"engine": ENGINE, "gearbox": {"kind": "feeder", "inputs": {"mechanical": ["engine"]}}, "tank": TANK,
                            "gen": {"kind": "generator", "inputs": {"drive": ["gearbox"]}}, "bus": bus("gen", "battery"), "battery": BATTERY,
                            "pump": {"kind": "pump", "inputs": {"drive": ["gearbox"], "hydraulic": ["tank"]}, "failures": {"jam": {}}}}).fail("pump", "jam"))
    assert out.status("gearbox") == "dragged_down" and out.status("gen") == "unsupplied"
    assert supplied(out, "bus", "battery", "tank") == [True, True, True] and out.to_dict()["empty"] == []


# ------------------------------------------------------------------- parallel and changeover ports


def two_feeders(**port):
    return {"gen_1": SOURCE, "gen_2": SOURCE, "feeder_1": element("feeder", "gen_1"), "feeder_2": element("feeder", "gen_2"), "main": {"kind": "bus", "inputs": {"power": port["power"]}}}


def test_changeover_leaves_a_faulty_feeder_behind():
    """A changeover connects one feeder at a time: a short on the first moves the bus to the second, unharmed."""
    elements = two_feeders(power=["feeder_1", "feeder_2"])
    out = settled(aircraft(elements).fail("feeder_1", "short"))
    assert supplied(out, "gen_1", "main", "feeder_2", "gen_2") == [False, True, True, True]
    out = settled(aircraft(elements).fail("feeder_2", "short"))  # the one behind is not connected
    assert supplied(out, "gen_1", "feeder_1", "main", "gen_2") == [True, True, True, False]


@pytest.mark.parametrize("shorted", ["feeder_1", "feeder_2"])
def test_parallel_feeders_die_together(shorted):
    """Feeders wired together without diodes share each other's short."""
    out = settled(aircraft(two_feeders(power={"parallel": ["feeder_1", "feeder_2"]})).fail(shorted, "short"))
    assert supplied(out, "feeder_1", "feeder_2", "gen_1", "gen_2", "main") == [False] * 5


def test_changeover_onto_a_shorted_bus():
    """A short on the bus itself takes the first feeder, and then the second that it changes over to."""
    out = settled(aircraft(two_feeders(power=["feeder_1", "feeder_2"])).fail("main", "short"))
    assert supplied(out, "feeder_1", "feeder_2", "gen_1", "gen_2") == [False] * 4


@pytest.mark.parametrize("lost", ["feeder_1", "feeder_2"])
@pytest.mark.parametrize("port", [["feeder_1", "feeder_2"], {"parallel": ["feeder_1", "feeder_2"]}])
def test_a_plain_loss_is_the_same_in_both(port, lost):
    """One feeder merely lost, the bus lives either way."""
    out = settled(aircraft(two_feeders(power=port)).fail(lost))
    assert supplied(out, "main") == [True]


# ------------------------------------------------------------------- order of events


def fire_handle(valve):
    """A fire handle, the spar valve it closes, and the engine feed line behind it."""
    return {"battery": BATTERY, "tank": TANK, "other_engine_feed": pipe("tank", port="fuel"),
            "fire_handle": {"kind": "handle", "positions": ["IN", "PULLED"]},
            "spar_valve": {"kind": "valve", "follows": {"fire_handle": {"IN": "open", "PULLED": "closed"}}, **valve},
            "feed_line": pipe(through("tank", "spar_valve"), port="fuel")}


MOTOR = {"inputs": {"power": ["battery"]}, "without": [["power", "stays"]]}


def test_leak_and_fire_handle_in_one_step():
    """Pulled in the same step: a cable has the valve shut at once, a motor valve is still open when the fuel goes; order is nothing."""
    leak, pull = lambda s: s.fail("feed_line", "leak"), lambda s: s.set("fire_handle", "PULLED")
    out, _ = in_every_order(aircraft(fire_handle({})), leak, pull)
    assert out.position("spar_valve") == "closed" and out.to_dict()["empty"] == [] and supplied(out, "other_engine_feed") == [True]
    out, _ = in_every_order(aircraft(fire_handle(MOTOR)), leak, pull)
    assert out.position("spar_valve") == "closed" and out.to_dict()["empty"] == ["tank"] and supplied(out, "other_engine_feed") == [False]


def test_leak_and_fire_handle_in_two_steps():
    """The order of steps does matter: handle first saves the fuel, leak first loses it, motor valve or cable."""
    for valve in ({}, MOTOR):
        state = aircraft(fire_handle(valve))
        settled(state.set("fire_handle", "PULLED"))
        assert settled(state.fail("feed_line", "leak")).to_dict()["empty"] == []
        state = aircraft(fire_handle(valve))
        settled(state.fail("feed_line", "leak"))
        assert settled(state.set("fire_handle", "PULLED")).to_dict()["empty"] == ["tank"]


def test_stuck_in_the_step_of_the_command():
    """Sticking takes the position of the last settled state, so a command in the same step does not get through."""
    state = aircraft({"handle": {"kind": "handle", "positions": ["UP", "DOWN"]}, "selector": {"kind": "valve", "follows": {"handle": {"UP": "closed", "DOWN": "open"}}}})
    settled(state.set("handle", "UP"))
    out, _ = in_every_order(state, lambda s: s.fail("selector", "stuck"), lambda s: s.set("handle", "DOWN"))
    assert out.position("selector") == "closed"


def test_switch_stuck_in_the_step_it_is_moved():
    """The same for the switch itself: it stuck before the hand could move it."""
    state = aircraft({"battery": BATTERY, "toggle": {"kind": "switch", "positions": ["OFF", "ON"]}, "lamp": load(through("battery", {"toggle": ["ON"]}))})
    out, _ = in_every_order(state, lambda s: s.fail("toggle", "stuck"), lambda s: s.set("toggle", "ON"))
    assert out.position("toggle") == "OFF" and supplied(out, "lamp") == [False]


def test_timed_relay_that_is_dead_does_not_move():
    """A delayed relay whose timer is out of use stays where it was, whatever is commanded later."""
    elements = {"gen": SOURCE, "timer": {"kind": "relay", "after_s": 5, "rest": "open", "needs": {"given": "timer_in_use"},
                                         "goes": [{"to": "closed", "when": {"not": "gen"}}]}}
    state = aircraft(elements, given={"timer_in_use": True})
    assert settled(state.copy().fail("gen")).position("timer") == "closed"
    assert settled(state.copy().given("timer_in_use", False).fail("gen")).position("timer") == "open"
    assert settled(state.copy().fail("timer").fail("gen")).position("timer") == "open"


# ------------------------------------------------------------------- stuck, lost contacts, lost leaders


def test_stuck_at_the_authors_position_or_the_callers():
    """A mode that says where it sticks sticks there, unless the caller says otherwise; one that does not, where it stood."""
    elements = {"gen": SOURCE, "plain": {"kind": "relay"}, "author": {"kind": "relay", "failures": {"stuck": {"at": "open"}}},
                "a": load(through("gen", "plain")), "b": load(through("gen", "author"))}
    out = settled(aircraft(elements).fail("plain", "stuck").fail("author", "stuck"))
    assert (out.position("plain"), out.position("author")) == ("closed", "open") and supplied(out, "a", "b") == [True, False]
    out = settled(aircraft(elements).fail("plain", "stuck", at="open").fail("author", "stuck", at="closed"))
    assert (out.position("plain"), out.position("author")) == ("open", "closed") and supplied(out, "a", "b") == [False, True]
    with pytest.raises(ff.NotPossible):
        aircraft(elements).fail("plain", "loss", at="open")


def test_stuck_beats_lost_supply_and_command():
    """A seized valve does not go where lost power would send it."""
    state = aircraft({"dc": BATTERY, "valve": element("valve", "dc", reach="cockpit", without=[["power", "closed"]])})
    out = settled(state.fail("valve", "stuck", at="open").fail("dc"))
    assert out.position("valve") == "open" and out.passes("valve") is True
    assert settled(state.set("valve", "closed")).position("valve") == "open"
    assert settled(state.repair("valve")).position("valve") == "closed"


def test_lost_switch_makes_no_contact_in_any_position():
    """A switch that lost its contacts blanks both its throws and the logic that reads it, also when it is stuck."""
    state = aircraft({"battery": BATTERY, "toggle": {"kind": "switch", "positions": ["A", "B"]},
                      "on_a": load(through("battery", {"toggle": ["A"]})), "on_b": load(through("battery", {"toggle": ["B"]})),
                      "either": load(through("battery", {"toggle": ["A", "B"]})),
                      "logic": {"kind": "relay", "rest": "open", "goes": [{"to": "closed", "when": {"any": [{"contact": {"toggle": "A"}}, {"contact": {"toggle": "B"}}]}}]}})
    out = settled(state)
    assert supplied(out, "on_a", "on_b", "either") == [True, False, True] and out.position("logic") == "closed"
    out = settled(state.fail("toggle"))
    assert supplied(out, "on_a", "on_b", "either") == [False, False, False] and out.position("logic") == "open"
    assert out.position("toggle") == "A"  # the lever itself still stands somewhere
    settled(state.fail("toggle", "stuck"))
    out = settled(state.set("toggle", "B"))
    assert supplied(out, "on_a", "on_b", "either") == [False, False, False] and out.position("toggle") == "A"


def test_what_follows_a_lost_handle():
    """With the handle's contacts gone a follower does what it does without its own first supply, else it rests."""
    follow = {"handle": {"UP": "closed", "DOWN": "open"}}
    state = aircraft({"battery": BATTERY, "handle": {"kind": "handle", "positions": ["UP", "DOWN"]},
                      "to_open": element("valve", "battery", follows=follow, without=[["power", "open"]]),
                      "to_closed": element("valve", "battery", follows=follow, without=[["power", "closed"]]),
                      "stays": element("valve", "battery", follows=follow, without=[["power", "stays"]]),
                      "rests": {"kind": "valve", "follows": follow, "rest": "closed"}})
    for hand, word in (("UP", "closed"), ("DOWN", "open")):
        out = settled(state.repair("handle").set("handle", hand))
        assert [out.position(v) for v in ("to_open", "to_closed", "stays", "rests")] == [word] * 4
        out = settled(state.fail("handle"))
        assert [out.position(v) for v in ("to_open", "to_closed", "stays", "rests")] == ["open", "closed", word, "closed"]


def test_follower_of_a_stuck_handle():
    """A jammed handle keeps its followers where it is jammed, whatever the crew pulls."""
    state = aircraft({"handle": {"kind": "handle", "positions": ["UP", "DOWN"]}, "valve": {"kind": "valve", "follows": {"handle": {"UP": "closed", "DOWN": "open"}}}})
    out = settled(state.fail("handle", "stuck").set("handle", "DOWN"))
    assert out.position("handle") == "UP" and out.position("valve") == "closed"


# ------------------------------------------------------------------- loops and voters


def test_two_dead_buses_tied_together_stay_dead():
    """No source, no supply: buses do not keep each other alive, two or a ring of them, before or after they lived."""
    elements = {"gen": SOURCE, "a": bus("gen"), "b": {"kind": "bus"}, "c": {"kind": "bus"}}
    state = aircraft(elements, ties={"t": tie("a", "b"), "u": tie("b", "c"), "v": tie("c", "a")})
    assert supplied(settled(state), "a", "b", "c") == [True, True, True]
    assert supplied(settled(state.fail("gen")), "a", "b", "c") == [False, False, False]
    assert supplied(settled(state.repair("gen")), "a", "b", "c") == [True, True, True]


def test_a_bus_does_not_feed_itself_through_its_coil():
    """A contactor whose coil hangs on the bus it feeds never closes by itself."""
    out = settled(aircraft({"gen": SOURCE, "line": {"kind": "contactor", "inputs": {"control": ["main"]}}, "main": bus(through("gen", "line"))}))
    assert out.position("line") == "open" and supplied(out, "main") == [False]


def test_voter_two_of_three():
    """Two of three keep it, any two; one does not."""
    sensors = ["s_1", "s_2", "s_3"]
    elements = {**{s: {"kind": "sensor"} for s in sensors}, "computer": {"kind": "controller", "inputs": {"sensing": {"at_least": 2, "of": sensors}}}}
    for n in range(4):
        for failed in itertools.combinations(sensors, n):
            state = aircraft(elements)
            for s in failed:
                state.fail(s)
            assert supplied(settled(state), "computer") == [n <= 1]


def test_voter_does_not_count_one_source_twice():
    """Two channels behind one bus are two feeds, but one short or loss of that bus takes both."""
    elements = {"x": BATTERY, "y": BATTERY, "common": bus("x"), "c_1": load("common"), "c_2": load("common"), "c_3": load("y"),
                "computer": {"kind": "controller", "inputs": {"data": {"at_least": 2, "of": ["c_1", "c_2", "c_3"]}}}}
    assert supplied(settled(aircraft(elements).fail("y")), "computer") == [True]
    assert supplied(settled(aircraft(elements).fail("x")), "computer") == [False]


def test_cooling_gone_power_there():
    """Ports are all needed: with power, without cooling, the box is dead; a fault does not come through the cooling."""
    elements = {"battery": BATTERY, "fan": load("battery"), "computer": {"kind": "controller", "inputs": {"power": ["battery"], "cooling": ["fan"]}, "failures": {"short": {}}}}
    out = settled(aircraft(elements).fail("fan"))
    assert out.status("computer") == "unsupplied" and supplied(out, "battery") == [True]
    out = settled(aircraft({**elements, "cb": BREAKER, "computer": {"kind": "controller", "failures": {"short": {}},
                                                                    "inputs": {"power": [through("battery", "cb")], "cooling": ["fan"]}}}).fail("computer", "short"))
    assert out.tripped("cb") and supplied(out, "battery", "fan") == [True, True]


# ------------------------------------------------------------------- hunting

BUZZER = {
    "gen": SOURCE, "buzzer": {"kind": "relay", "rest": "closed", "after_s": 1, "goes": [{"to": "open", "when": "bell"}]},
    "bell": bus(through("gen", "buzzer")), "lamp": load("bell"), "behind_bell": load("bell", "gen"), "other": load("gen"),
}


def test_hunting_is_unknown_and_never_supplied():
    """A relay that opens because it is closed never rests: named, unknown, and so is all that hangs on it, and nothing else."""
    out = settled(aircraft(BUZZER, functions={"ring": function("lamp"), "light": function("other"), "either": function("lamp", "other")}))
    assert out.hunting == ["buzzer"] and out.position("buzzer") is None and out.passes("buzzer") is None
    assert [out.status(id) for id in ("bell", "lamp", "behind_bell", "other", "gen")] == ["unknown", "unknown", "supplied", "supplied", "supplied"]
    assert (out.level("ring"), out.level("light")) == ("unknown", "normal")
    assert out.level("either") == "unknown" and out.mode("either") is None  # normal or degraded: not the same
    assert "ring" in out.unknown and "ring" not in out.normal + out.degraded + out.lost


def test_settling_what_hunts_again_changes_nothing():
    """The second settle of a hunting state, and the tenth, give the same state and the same words."""
    state = aircraft(BUZZER)
    first, before = settled(state).to_dict(), state.copy()
    for _ in range(10):
        assert settled(state).to_dict() == first and state == before


def test_an_event_ends_the_hunting():
    """What stops the chase makes the answer known again, and it hunts again once the cause is back."""
    state = aircraft(BUZZER)
    out = settled(state.fail("gen"))
    assert out.hunting == [] and out.position("buzzer") == "closed" and out.status("bell") == "unsupplied"
    out = settled(state.repair("gen"))
    assert out.hunting == ["buzzer"] and out.status("bell") == "unknown"
    out = settled(state.fail("buzzer", "stuck", at="closed"))
    assert out.hunting == [] and supplied(out, "bell") == [True]


def test_logic_without_delay_that_chases_itself_is_refused():
    """The same buzzer without a delay has no answer at all: refused when built, naming the two in the loop."""
    with pytest.raises(ff.ModelError) as refused:
        network({"gen": SOURCE, "buzzer": {"kind": "relay", "rest": "closed", "goes": [{"to": "open", "when": "bell"}]}, "bell": bus(through("gen", "buzzer"))})
    (problem,) = refused.value.diagnostics
    assert problem.code == "negative_cycle" and "`buzzer`" in problem.message and "`bell`" in problem.message
    assert "`gen`" not in problem.message
