"""The reference against answers worked by hand, and properties on random models.

FEDFROM_ORACLE_MODELS sets how many random models the properties look at (default 400).
"""

import json
import os
import random
import sys

import pytest

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from random_models import random_events, random_model  # noqa: E402
from reference import Reference, Rejected  # noqa: E402

MODELS = int(os.environ.get("FEDFROM_ORACLE_MODELS", "400"))


def start(elements, cold=False, **more):
    ref = Reference({"format": "fedfrom/1", "name": "test", "elements": elements, **more})
    return ref, (ref.cold_state() if cold else ref.running_state())


def after(ref, st, *steps):
    """Settle after every step (a step is one event or a list of events); the last outcome."""
    out = ref.settle(st)
    for step in steps:
        out = ref.settle(st.apply([step] if isinstance(step, tuple) else step))
    return out


def supplied(out, *ids):
    return [out.supplied[i] for i in ids]


GEN = {"kind": "generator"}
BATTERY = {"kind": "battery"}


def bus(*feeds, **more):
    return {"kind": "bus", "inputs": {"power": list(feeds)}, **more}


def load(*feeds, **more):
    return {"kind": "consumer", "inputs": {"power": list(feeds)}, **more}


# ---------------------------------------------------------------- the wrong-answer catalogue


def test_01_dead_coil_live_contacts():
    """The tie's coil hangs on the bus it would rescue; a normally closed relay does connect."""
    ref, st = start({"gen_l": GEN, "gen_r": GEN, "main_l": bus("gen_l"), "main_r": bus("gen_r"),
                     "tie": {"kind": "contactor", "inputs": {"control": ["main_l"]}, "rest": "open",
                             "goes": [{"to": "closed", "when": {"not": {"all": ["gen_l", "gen_r"]}}}]},
                     "nc": {"kind": "relay", "inputs": {"control": ["main_l"]}, "rest": "open", "without": [["control", "closed"]]},
                     "essential": bus("main_l", {"from": "main_r", "via": ["nc"]})},
                    ties={"t": {"between": ["main_l", "main_r"], "via": ["tie"]}})
    out = after(ref, st, ("fail", "gen_l"))
    assert supplied(out, "main_l", "main_r", "essential") == [False, True, True]
    assert out.position["tie"] == "open" and out.position["nc"] == "closed"
    out = after(ref, st, [("repair", "gen_l"), ("fail", "gen_r")])  # the other way round the coil is alive
    assert supplied(out, "main_l", "main_r") == [True, True] and out.position["tie"] == "closed"


def test_02_light_on_the_dead_bus():
    ref, st = start({"gen": GEN, "battery": BATTERY, "main": bus("gen"), "hot": bus("battery"),
                     "sense": {"kind": "sensor", "inputs": {"power": ["main"]}},
                     "own": {"kind": "light", "inputs": {"power": ["main"]}, "shows": [{"text": "lit", "when": {"not": "main"}}], "unpowered": "out"},
                     "other": {"kind": "light", "inputs": {"power": ["hot"]}, "shows": [{"text": "lit", "when": {"not": "sense"}}], "unpowered": "out"}})
    assert after(ref, st).shows == {"own": "", "other": ""}
    assert after(ref, st, ("fail", "main")).shows == {"own": "out", "other": "lit"}  # loss without annunciation
    out = after(ref, st, [("repair", "main"), ("fail", "sense")])
    assert out.shows["other"] == "lit" and out.supplied["main"]                      # annunciation without loss


def test_03_charger_loop():
    """The battery bus looks like a source; its charger hangs on the lost bus, and a selector turns it off."""
    ref, st = start({"gen": GEN, "ac": bus("gen"), "charger": {"kind": "charger", "inputs": {"power": [{"from": "ac", "via": [{"sel": ["on"]}]}]}},
                     "sel": {"kind": "selector", "positions": ["on", "off"]}, "cells": BATTERY,
                     "batt_bus": {"kind": "bus", "inputs": {"power": {"parallel": ["cells", "charger"]}}}})
    assert after(ref, st).supplied["charger"]
    out = after(ref, st, ("fail", "gen"))
    assert supplied(out, "charger", "batt_bus") == [False, True]
    assert not after(ref, st, [("repair", "gen"), ("set", "sel", "off")]).supplied["charger"]
    assert not after(ref, st, ("fail", "cells")).supplied["batt_bus"]


MOTOR_VALVE = {"gen": GEN, "main": bus("gen"), "lever": {"kind": "handle", "positions": ["run", "stop"]},
               "fuel_valve": {"kind": "valve", "follows": {"lever": {"run": "open", "stop": "closed"}},
                              "inputs": {"power": ["main"]}, "without": [["power", "stays"]]},
               "tank": {"kind": "reservoir"},
               "engine": {"kind": "engine", "inputs": {"fuel": [{"from": "tank", "via": ["fuel_valve"]}]}}}


def test_04_motor_valve_stays():
    ref, st = start(MOTOR_VALVE)
    assert after(ref, st).supplied["engine"]
    out = after(ref, st, ("fail", "gen"), ("set", "lever", "stop"))
    assert out.position["fuel_valve"] == "open" and out.supplied["engine"]   # cannot be shut off that way
    assert after(ref, st, ("repair", "gen")).position["fuel_valve"] == "closed"


def test_04_command_and_power_loss_in_one_step():
    """Power goes in the same step: the valve has not moved before."""
    ref, st = start(MOTOR_VALVE)
    assert after(ref, st, [("fail", "gen"), ("set", "lever", "stop")]).position["fuel_valve"] == "open"


def test_05_three_valves_without_power():
    v = {"kind": "valve", "inputs": {"power": ["main"]}, "reach": "cockpit"}
    ref, st = start({"gen": GEN, "main": bus("gen"), "engine_ai": {**v, "without": [["power", "open"]]},
                     "wing_ai": {**v, "without": [["power", "closed"]]}, "motor": {**v, "without": [["power", "stays"]]}})
    after(ref, st, [("set", "engine_ai", "closed"), ("set", "wing_ai", "open"), ("set", "motor", "closed")])
    out = after(ref, st, ("fail", "main"))
    assert out.position == {"engine_ai": "open", "wing_ai": "closed", "motor": "closed"}
    assert out.passes == {"engine_ai": True, "wing_ai": False, "motor": False}


def test_06_switch_read_logic():
    """Isolation opens on the switch being off, not on a trip."""
    ref, st = start({"eng": {"kind": "engine"}, "bleed_switch": {"kind": "switch", "positions": ["on", "off"]}, "cb": {"kind": "breaker"},
                     "isolation": {"kind": "valve", "rest": "closed", "goes": [{"to": "open", "when": {"contact": {"bleed_switch": "off"}}}]}})
    assert after(ref, st, ("fail", "eng")).position["isolation"] == "closed"
    assert after(ref, st, ("set", "bleed_switch", "off")).position["isolation"] == "open"
    assert after(ref, st, ("fail", "bleed_switch")).position["isolation"] == "closed"  # a failed switch makes no contact


DIODES = {"gen_1": GEN, "gen_2": GEN, "f1": {"kind": "feeder", "inputs": {"power": ["gen_1"]}}, "f2": {"kind": "feeder", "inputs": {"power": ["gen_2"]}},
          "d1": {"kind": "diode"}, "d2": {"kind": "diode"},
          "essential": {"kind": "bus", "inputs": {"power": {"parallel": [{"from": "f1", "via": ["d1"]}, {"from": "f2", "via": ["d2"]}]}}}}


def test_07_diodes():
    ref, st = start(DIODES)
    assert after(ref, st, ("fail", "d1")).supplied["essential"]
    assert not after(ref, st, ("fail", "gen_2")).supplied["essential"]
    # a short on one side stays there, the bus lives
    ref, st = start(DIODES)
    out = after(ref, st, ("fail", "f1", "short"))
    assert supplied(out, "gen_1", "f2", "essential") == [False, True, True]
    # with its diode shorted the healthy side is dragged down too
    out = after(ref, st, ("fail", "d1", "short"))
    assert supplied(out, "gen_1", "gen_2", "f2", "essential") == [False, False, False, False]
    # a shorted diode alone: the bus feeds back
    ref, st = start(DIODES)
    out = after(ref, st, ("fail", "d1", "short"), ("fail", "gen_1"))
    assert supplied(out, "f1", "essential") == [True, True]


def test_08_tied_short():
    model = {"gen_l": GEN, "gen_r": GEN, "main_l": bus("gen_l"), "main_r": bus("gen_r"), "tie": {"kind": "switch", "positions": ["open", "closed"]}}
    ties = {"t": {"between": ["main_l", "main_r"], "via": [{"tie": ["closed"]}]}}
    ref, st = start(model, ties=ties)
    out = after(ref, st, ("fail", "main_l", "short"))
    assert supplied(out, "main_l", "main_r", "gen_l", "gen_r") == [False, True, False, True]
    out = after(ref, st, ("set", "tie", "closed"))
    assert supplied(out, "main_l", "main_r", "gen_l", "gen_r") == [False, False, False, False]
    assert out.status["main_r"] == "dragged_down" and out.status["main_l"] == "failed"


def test_09_common_controller():
    ref, st = start({"eng": {"kind": "engine"}, "gcu": {"kind": "controller", "inputs": {"power": ["battery"]}}, "battery": BATTERY,
                     "gen_1": {"kind": "generator", "inputs": {"drive": ["eng"], "sensing": ["gcu"]}},
                     "gen_2": {"kind": "generator", "inputs": {"drive": ["eng"], "sensing": ["gcu"]}},
                     "main": bus("gen_1", "gen_2")})
    assert after(ref, st, ("fail", "gen_1")).supplied["main"]
    assert not after(ref, st, [("repair", "gen_1"), ("fail", "gcu")]).supplied["main"]


def test_10_split_opens():
    """A latent rectifier failure shows only when the tie opens at glideslope capture."""
    ref, st = start({"ac": GEN, "tr_1": {"kind": "transformer_rectifier", "inputs": {"power": ["ac"]}}, "tr_2": {"kind": "transformer_rectifier", "inputs": {"power": ["ac"]}},
                     "dc_1": bus("tr_1"), "dc_2": bus("tr_2"), "tie": {"kind": "relay", "rest": "closed", "goes": [{"to": "open", "when": {"given": "capture"}}]}},
                    ties={"t": {"between": ["dc_1", "dc_2"], "via": ["tie"]}}, given={"capture": False})
    assert after(ref, st, ("fail", "tr_2")).supplied["dc_2"]
    assert not after(ref, st, ("given", "capture", True)).supplied["dc_2"]


def test_11_shed_then_needed():
    one = {"kind": "sensor", "inputs": {"power": ["main"]}}
    two = {"kind": "sensor", "inputs": {"power": [{"from": "main", "via": ["shed"]}]}}
    ref, st = start({"gen_1": GEN, "gen_2": GEN, "main": bus("gen_1", "gen_2"), "adc_1": one, "adc_2": two, "adc_3": two,
                     "shed": {"kind": "relay", "rest": "closed", "goes": [{"to": "open", "when": {"not": {"all": ["gen_1", "gen_2"]}}}]}},
                    functions={"airspeed": {"modes": {"any": {"rank": 1, "when": {"any": ["adc_1", "adc_2", "adc_3"]}}}}})
    assert after(ref, st, ("fail", "adc_1")).level["airspeed"] == "normal"
    assert after(ref, st, ("fail", "gen_2")).level["airspeed"] == "lost"


def test_12_one_phase():
    ref, st = start({"gen": GEN, "phase_a": bus("gen"), "phase_b": bus("gen"), "phase_c": bus("gen"),
                     "motor": {"kind": "motor", "inputs": {"power": ["phase_a"], "power_b": ["phase_b"], "power_c": ["phase_c"]}}, "lamp": load("phase_a")})
    out = after(ref, st, ("fail", "phase_b"))
    assert supplied(out, "motor", "lamp") == [False, True] and not out.tripped


HYDRAULICS = {"eng": {"kind": "engine"}, "reservoir": {"kind": "reservoir"},
              "pump": {"kind": "pump", "inputs": {"drive": ["eng"], "hydraulic": ["reservoir"]}}, "check": {"kind": "check_valve"},
              "manifold": {"kind": "manifold", "inputs": {"hydraulic": [{"from": "pump", "via": ["check"]}, "accumulator"]}},
              "accumulator": {"kind": "accumulator"},
              "valve": {"kind": "valve", "reach": "cockpit"},
              "line": {"kind": "pipe", "inputs": {"hydraulic": [{"from": "manifold", "via": ["valve"]}]}},
              "brake": {"kind": "actuator", "inputs": {"hydraulic": ["line"]}}}


def test_13_gone_fluid_good_pump():
    ref, st = start({k: v for k, v in HYDRAULICS.items() if k != "accumulator"} | {"manifold": {"kind": "manifold", "inputs": {"hydraulic": [{"from": "pump", "via": ["check"]}]}}})
    out = after(ref, st, ("fail", "line", "leak"))
    assert out.status["reservoir"] == "spent" and out.status["pump"] == "unsupplied" and out.status["eng"] == "supplied"
    out = after(ref, st, ("set", "valve", "closed"))   # too late: the fluid is gone
    assert out.empty == {"reservoir"} and not out.supplied["manifold"]
    out = after(ref, st, ("repair", "reservoir"))
    assert supplied(out, "manifold", "line") == [True, False]
    # closed before the leak: nothing is lost but the line
    ref, st = start(HYDRAULICS)
    out = after(ref, st, ("set", "valve", "closed"), ("fail", "line", "leak"))
    assert supplied(out, "manifold", "brake") == [True, False] and not out.empty


def test_13_leak_through_a_changeover():
    """Two alternatives: the second is connected once the first is gone, and drains as well."""
    ref, st = start(HYDRAULICS)
    assert after(ref, st, ("fail", "manifold", "leak")).empty == {"reservoir", "accumulator"}


def test_14_one_way_capability():
    ref, st = start({"hyd": {"kind": "manifold"}, "gear": {"kind": "actuator", "inputs": {"hydraulic": ["hyd"]}}, "cable": {"kind": "manual"}},
                    functions={"extend": {"modes": {"powered": {"rank": 1, "when": "gear"}, "fall": {"rank": 2, "when": "cable"}}},
                               "retract": {"modes": {"powered": {"rank": 1, "when": "gear"}}}})
    out = after(ref, st, ("fail", "hyd"))
    assert out.level == {"extend": "degraded", "retract": "lost"} and out.mode == {"extend": "fall", "retract": None}


def test_15_one_air_ground_relay_wrong():
    relay = {"kind": "relay", "rest": "open", "goes": [{"to": "closed", "when": {"given": "airborne"}}]}
    ref, st = start({"bus": {"kind": "battery"}, "relay_1": relay, "relay_2": relay,
                     "a": load({"from": "bus", "via": ["relay_1"]}), "b": load({"from": "bus", "via": ["relay_2"]})}, given={"airborne": False})
    out = after(ref, st, ("fail", "relay_1", "stuck"), ("given", "airborne", True))
    assert supplied(out, "a", "b") == [False, True]


BOOTSTRAP = {"eng": {"kind": "engine"}, "gen": {"kind": "generator", "inputs": {"drive": ["eng"], "field": ["main"]}, "holds_in": True}, "main": bus("gen")}


def test_16_bootstrap():
    ref, st = start(BOOTSTRAP)
    assert after(ref, st).supplied["main"] and after(ref, st).holding == {"gen"}
    assert not after(ref, ref.cold_state()).supplied["main"]
    assert not after(ref, st, ("fail", "eng"), ("repair", "eng")).supplied["main"]  # it does not come back by itself
    # without the mark it supplies nothing
    ref, st = start({**BOOTSTRAP, "gen": {"kind": "generator", "inputs": {"drive": ["eng"], "field": ["main"]}}})
    assert not after(ref, st).supplied["main"]


def test_17_restored_but_fragile():
    ref, st = start({"gen_l": GEN, "gen_r": GEN, "main_l": bus("gen_l"), "main_r": bus("gen_r"), "tie": {"kind": "switch", "positions": ["open", "closed"]}},
                    ties={"t": {"between": ["main_l", "main_r"], "via": [{"tie": ["closed"]}]}})
    assert after(ref, st, ("fail", "gen_l"), ("set", "tie", "closed")).supplied["main_l"]
    assert supplied(after(ref, st, ("fail", "main_r", "short")), "main_l", "main_r") == [False, False]


def test_18_unfitted_is_not_failed():
    elements = {"gen": GEN, "apu": {"kind": "generator", "fitted": False}, "cut": {"kind": "relay", "fitted": False, "left": "cut"},
                "through": {"kind": "relay", "fitted": False, "left": "bridged"},
                "a": bus({"from": "gen", "via": ["cut"]}), "b": bus({"from": "gen", "via": ["through"]}), "c": bus("apu"),
                "leader": {"kind": "switch", "positions": ["on", "off"], "fitted": False},
                "v": {"kind": "valve", "follows": {"leader": {"on": "closed"}}, "rest": "open"}}
    ref, st = start(elements, functions={"f": {"modes": {"x": {"rank": 1, "when": "apu"}}},
                                         "g": {"modes": {"x": {"rank": 1, "when": {"all": ["a", "apu"]}}, "y": {"rank": 2, "when": {"any": ["b", "apu"]}}}},
                                         "h": {"modes": {"x": {"rank": 1, "when": {"level": {"f": "degraded"}}}}}})
    out = after(ref, st)
    assert out.status["apu"] == "not_fitted" and out.status["c"] == "unsupplied"
    assert supplied(out, "a", "b", "c") == [False, True, False] and out.position["v"] == "open"
    assert out.level == {"f": "not_fitted", "g": "degraded", "h": "not_fitted"}


def test_19_degraded_source():
    """The author's own mode leaves the element supplied; conditions read it."""
    ref, st = start({"pack": {"kind": "consumer", "failures": {"standby": {}}}},
                    functions={"air": {"modes": {"full": {"rank": 1, "when": {"all": ["pack", {"not": {"failure": {"pack": "standby"}}}]}},
                                                 "reduced": {"rank": 2, "when": "pack"}}}})
    assert after(ref, st).level["air"] == "normal"
    out = after(ref, st, ("fail", "pack", "standby"))
    assert out.level["air"] == "degraded" and out.status["pack"] == "supplied"


def test_20_frozen_pointer():
    ref, st = start({"gen": GEN, "ac": bus("gen"), "pump": {"kind": "pump"},
                     "gauge": {"kind": "gauge", "inputs": {"power": ["ac"]}, "unpowered": "stays",
                               "shows": [{"text": "normal", "when": "pump"}, {"text": "low", "when": {"all": []}}]}})
    assert after(ref, st).shows["gauge"] == "normal"
    assert after(ref, st, ("fail", "ac"), ("fail", "pump")).shows["gauge"] == "normal"  # looks alive
    assert after(ref, st, ("repair", "ac")).shows["gauge"] == "low"


def test_21_output_that_needs_flow():
    ref, st = start({"hyd": {"kind": "manifold"}, "gear": {"kind": "handle", "positions": ["up", "down"]},
                     "emergency": {"kind": "generator", "inputs": {"hydraulic": ["hyd"]}, "needs": {"not": {"contact": {"gear": "down"}}}}, "bus": bus("emergency")})
    assert after(ref, st).supplied["bus"]
    out = after(ref, st, ("set", "gear", "down"))
    assert out.status["emergency"] == "off" and out.status["bus"] == "unsupplied"


# ---------------------------------------------------------------- the rules, one by one


def test_m1_nothing_supplies_itself():
    ref, st = start({"gen": GEN, "a": bus(), "b": bus("gen"), "c": {"kind": "bus"}}, ties={"t": {"between": ["a", "b"]}, "u": {"between": ["a", "c"]}})
    assert supplied(after(ref, st), "a", "b", "c") == [True, True, True]
    assert supplied(after(ref, st, ("fail", "gen")), "a", "b", "c") == [False, False, False]


def test_m3_a_tie_to_a_source():
    ref, st = start({"battery": BATTERY, "a": {"kind": "bus"}}, ties={"t": {"between": ["battery", "a"]}})
    assert supplied(after(ref, st), "battery", "a") == [True, True]
    out = after(ref, st, ("fail", "a", "short"))
    assert out.status["battery"] == "dragged_down"


def test_m3_unfitted_tie_makes_no_source():
    ref, st = start({"battery": {"kind": "battery", "fitted": False}, "a": {"kind": "bus"}}, ties={"t": {"between": ["battery", "a"]}})
    assert after(ref, st).status["a"] == "unsupplied"


def test_m6_blank_and_stuck_switch():
    ref, st = start({"gen": GEN, "sw": {"kind": "switch", "positions": ["off", "on"]}, "a": load({"from": "gen", "via": [{"sw": ["on"]}]}),
                     "v": {"kind": "valve", "follows": {"sw": {"on": "open", "off": "closed"}}, "rest": "closed"}})
    out = after(ref, st, ("set", "sw", "on"))
    assert out.supplied["a"] and out.position["v"] == "open"
    out = after(ref, st, ("fail", "sw", "stuck"), ("set", "sw", "off"))
    assert out.supplied["a"] and out.position["sw"] == "on" and out.position["v"] == "open"
    out = after(ref, st, ("fail", "sw"))  # lost as well: no contact, stuck or not
    assert not out.supplied["a"] and out.position["sw"] == "on" and out.position["v"] == "closed"


def test_m6_lost_contactor_takes_its_without():
    ref, st = start({"gen": GEN, "no": {"kind": "relay", "inputs": {"control": ["gen"]}},
                     "nc": {"kind": "relay", "inputs": {"control": ["gen"]}, "rest": "open", "without": [["control", "closed"]]},
                     "a": load({"from": "gen", "via": ["no"]}), "b": load({"from": "gen", "via": ["nc"]})})
    assert supplied(after(ref, st), "a", "b") == [True, False]
    assert supplied(after(ref, st, [("fail", "no"), ("fail", "nc")]), "a", "b") == [False, True]


def test_m6_authors_stuck_position():
    ref, st = start({"gen": GEN, "k": {"kind": "relay", "failures": {"stuck": {"at": "open"}}}, "a": load({"from": "gen", "via": ["k"]})})
    assert not after(ref, st, ("fail", "k", "stuck")).supplied["a"]
    st = ref.running_state()
    assert after(ref, st, ("fail", "k", "stuck", "closed")).supplied["a"]


def test_m6_open_contacts_are_not_a_dead_coil():
    """Between two throws: the coil dead, the bus lives on the other one; the contacts open, on neither."""
    relay = {"kind": "relay", "positions": ["normal", "standby"], "passes_in": ["normal", "standby"], "rest": "normal", "inputs": {"control": ["gen"]},
             "without": [["control", "standby"]], "failures": {"loss": {}, "stuck": {}, "contacts": {}}}
    ref, st = start({"gen": GEN, "battery": BATTERY, "k": relay, "a": bus({"from": "gen", "via": [{"k": ["normal"]}]}, {"from": "battery", "via": [{"k": ["standby"]}]}),
                     "v": {"kind": "valve", "follows": {"k": {"normal": "open", "standby": "open"}}, "rest": "closed"}})
    assert after(ref, st.copy(), ("fail", "k")).supplied["a"]
    out = after(ref, st, ("fail", "k", "contacts"))
    assert not out.supplied["a"] and out.position["k"] == "normal" and out.status["k"] == "supplied" and out.position["v"] == "closed"
    out = after(ref, st, ("fail", "gen"))
    assert not out.supplied["a"] and out.position["k"] == "standby"
    assert after(ref, st, ("repair", "k")).supplied["a"]


def test_m7_m8_isolation_and_control():
    ref, st = start({"ac": GEN, "ac_bus": bus("ac"), "tr": {"kind": "transformer_rectifier", "inputs": {"power": ["ac_bus"]}}, "dc": bus("tr"),
                     "batt": BATTERY, "hot": bus("batt"), "k": {"kind": "contactor", "inputs": {"control": ["hot"]}, "failures": {"short": {}}}, "x": load({"from": "dc", "via": ["k"]})})
    out = after(ref, st, ("fail", "dc", "short"))
    assert out.status["tr"] == "dragged_down" and out.status["ac_bus"] == "supplied"
    out = after(ref, st, [("repair", "dc"), ("fail", "tr", "short")])
    assert out.status["ac_bus"] == "dragged_down" and out.status["dc"] == "unsupplied"  # dead already: nothing to drag
    # a fault in the contactor goes out of it by its contacts and its coil
    out = after(ref, st, [("repair", "tr"), ("fail", "k", "short")])
    assert out.status["dc"] == "dragged_down" and out.status["hot"] == "dragged_down" and out.status["batt"] == "dragged_down"
    # but a short on the bus does not get into the coil
    out = after(ref, st, [("repair", "k"), ("fail", "dc", "short")])
    assert out.status["hot"] == "supplied"


def test_m8_m10_trips_resets():
    ref, st = start({"gen": GEN, "main": bus("gen"), "cb": {"kind": "breaker"}, "sub": bus({"from": "main", "via": ["cb"]}), "lamp": load("sub")})
    out = after(ref, st, ("fail", "sub", "short"))
    assert out.tripped == {"cb"} and out.supplied["main"] and out.position["cb"] == "pulled" and not out.passes["cb"]
    out = after(ref, st, ("reset", "cb"))
    assert out.tripped == {"cb"}                      # onto the fault: trips again
    out = after(ref, st, ("repair", "sub"))
    assert not out.supplied["sub"]                    # a trip holds until reset
    assert after(ref, st, ("reset", "cb")).supplied["sub"]
    out = after(ref, st, ("fail", "cb", "no_trip"), ("fail", "sub", "short"))
    assert not out.tripped and supplied(out, "main", "gen") == [False, False]


def test_m8_a_dead_bus_trips_nothing():
    ref, st = start({"gen": GEN, "main": bus("gen"), "cb": {"kind": "breaker"}, "sub": bus({"from": "main", "via": ["cb"]})})
    out = after(ref, st, ("fail", "gen"), ("fail", "sub", "short"))
    assert not out.tripped
    assert after(ref, st, ("repair", "gen")).tripped == {"cb"}


def test_m6_fuse_keeps_its_word():
    ref, st = start({"gen": GEN, "main": bus("gen"), "fuse": {"kind": "fuse"}, "sub": bus({"from": "main", "via": ["fuse"]})})
    out = after(ref, st, ("fail", "sub", "short"))
    assert out.tripped == {"fuse"} and out.position["fuse"] == "in" and out.passes["fuse"] is False
    out = after(ref, st, [("repair", "fuse"), ("repair", "sub")])
    assert out.supplied["sub"] and not out.tripped


def test_m10_protection_needs():
    ref, st = start({"gen": GEN, "gcu": {"kind": "controller"}, "main": bus("gen"), "k": {"kind": "contactor", "protects": {"needs": "gcu"}}, "sub": bus({"from": "main", "via": ["k"]})})
    assert after(ref, st.copy(), ("fail", "sub", "short")).tripped == {"k"}
    out = after(ref, st, [("fail", "gcu"), ("fail", "sub", "short")])
    assert not out.tripped and not out.supplied["main"]


def test_m12_a_coil_that_drops_out_clears_nothing():
    ref, st = start({"gen_l": GEN, "gen_r": GEN, "main_l": bus("gen_l"), "main_r": bus("gen_r"), "tie": {"kind": "contactor", "inputs": {"control": ["main_r"]}}},
                    ties={"t": {"between": ["main_l", "main_r"], "via": ["tie"]}})
    out = after(ref, st, ("fail", "main_l", "short"))
    assert out.position["tie"] == "open" and out.status["main_r"] == "dragged_down" and out.unions


def test_settle_transfer_onto_a_fault():
    """A timed transfer takes the second bus down as well."""
    ref, st = start({"gen_l": GEN, "gen_r": GEN, "main_l": bus("gen_l"), "main_r": bus("gen_r"),
                     "transfer": {"kind": "relay", "after_s": 2, "rest": "open", "goes": [{"to": "closed", "when": {"not": "main_l"}}]}},
                    ties={"t": {"between": ["main_l", "main_r"], "via": ["transfer"]}})
    out = after(ref, st, ("fail", "main_l", "short"))
    assert out.position["transfer"] == "closed" and out.status["main_r"] == "dragged_down"


def test_m13_trips_do_not_drop_what_holds_in():
    """The breaker clears the short within the pass: the generator never stopped exciting itself."""
    ref, st = start({**BOOTSTRAP, "cb": {"kind": "breaker"}, "sub": bus({"from": "main", "via": ["cb"]})})
    out = after(ref, st, ("fail", "sub", "short"))
    assert out.tripped == {"cb"} and out.supplied["main"] and out.holding == {"gen"}


def test_m14_rejections():
    with pytest.raises(Rejected) as e:
        start({"gen": GEN, "k": {"kind": "relay", "goes": [{"to": "open", "when": "a"}]}, "a": bus({"from": "gen", "via": ["k"]})})
    assert e.value.cycle_members == ["a", "k"]
    with pytest.raises(Rejected):
        start({"a": {"kind": "relay", "goes": [{"to": "open", "when": {"at": {"b": "open"}}}]}, "b": {"kind": "relay", "goes": [{"to": "open", "when": {"at": {"a": "open"}}}]}})
    with pytest.raises(Rejected):
        start({"a": {"kind": "consumer"}}, functions={"f": {"modes": {"m": {"when": {"level": {"g": "normal"}}}}}, "g": {"modes": {"m": {"when": {"level": {"f": "normal"}}}}}})


def test_m14_exact_signs():
    """A rule after which everything agrees makes no dependency; a delay takes the cycle away."""
    start({"gen": GEN, "k": {"kind": "relay", "rest": "closed", "goes": [{"to": "closed", "when": {"not": "a"}}]}, "a": bus({"from": "gen", "via": ["k"]})})
    start({"gen": GEN, "k": {"kind": "relay", "rest": "open", "after_s": 1, "goes": [{"to": "closed", "when": {"not": "a"}}]}, "a": bus({"from": "gen", "via": ["k"]})})
    # a coil on the bus its own contacts feed is a positive loop: dead
    ref, st = start({"gen": GEN, "k": {"kind": "contactor", "inputs": {"control": ["a"]}}, "a": bus({"from": "gen", "via": ["k"]})})
    assert not after(ref, st).supplied["a"]


def test_m15_hunting():
    ref, st = start({"gen": GEN, "k": {"kind": "relay", "rest": "closed", "after_s": 1, "goes": [{"to": "open", "when": "a"}]}, "a": bus({"from": "gen", "via": ["k"]}), "x": load("a"), "y": load("gen")},
                    functions={"f": {"modes": {"m": {"rank": 1, "when": "x"}}}, "g": {"modes": {"m": {"rank": 1, "when": "y"}}}})
    out = after(ref, st)
    assert out.hunting == ["position:k"]
    assert supplied(out, "a", "x", "y") == [None, None, True] and out.position["k"] is None
    assert out.level == {"f": "unknown", "g": "normal"} and out.now == {"f": None, "g": True}
    out = after(ref, st, ("fail", "gen"))       # an event thaws it
    assert not out.hunting and out.supplied["a"] is False and out.position["k"] == "closed"


def test_m15_more_than_256():
    elements = {"gen": GEN}
    for i in range(9):
        elements[f"k{i}"] = {"kind": "relay", "rest": "closed", "after_s": 1, "goes": [{"to": "open", "when": f"a{i}"}]}
        elements[f"a{i}"] = bus({"from": "gen", "via": [f"k{i}"]})
    ref, st = start(elements)
    out = after(ref, st)
    assert len(out.hunting) == 9 and set(out.supplied.values()) == {None} and set(out.status.values()) == {"unknown"}


def squibs(**bottle):
    """A battery fires a bottle: both halves at once, or one; one bars the flare."""
    return start({"battery": BATTERY, "bottle": {"kind": "bottle", **bottle}},
                 functions={"fire": {"modes": {"both": {"rank": 1, "when": "battery", "spend": {"bottle": 2}},
                                               "one": {"rank": 2, "when": "battery", "spend": {"bottle": 1}, "bars": ["flare"]},
                                               "flare": {"rank": 3, "when": "battery"}}}})


def test_m23_what_is_spent_is_gone_until_repaired():
    ref, st = squibs(store={"applications": 2})
    assert after(ref, st).mode["fire"] == "both"
    out = after(ref, st, ("use", "fire", "one"))
    assert out.mode["fire"] == "one" and out.status["bottle"] == "supplied"
    assert not st.use("fire", "both")
    out = after(ref, st, ("use", "fire", "one"))
    assert out.status["bottle"] == "spent" and out.level["fire"] == "lost"
    assert not st.use("fire", "one") and not st.use("fire", "flare")
    out = after(ref, st, ("repair", "bottle"), ("fail", "bottle", "loss"))
    assert out.level["fire"] == "lost"  # full again, but dead, and the flare stays barred
    assert after(ref, st, ("clear_all",), ("fail", "bottle", "loss")).mode["fire"] == "flare"


def test_m23_spent_in_vain():
    ref, st = squibs(store={"applications": 2})
    out = after(ref, st, ("fail", "battery"), ("use", "fire", "both"), ("repair", "battery"))
    assert out.status["bottle"] == "spent" and out.mode["fire"] == "flare"


def test_m23_what_does_not_exist_cannot_be_used():
    ref, st = squibs(store={"applications": 2}, fitted=False)
    assert after(ref, st).mode["fire"] == "flare" and not st.use("fire", "one")
    assert after(ref, st).mode["fire"] == "flare"


def test_m18_demand():
    ref, st = start({**MOTOR_VALVE}, functions={"shut_off": {"demand": {"set": {"lever": "stop"}}, "modes": {"valve": {"rank": 1, "when": {"not": {"passes": "fuel_valve"}}}}}})
    out = after(ref, st)
    assert out.level["shut_off"] == "normal" and out.now["shut_off"] is False and out.position["fuel_valve"] == "open"
    assert after(ref, st, ("fail", "gen")).level["shut_off"] == "lost"


# ---------------------------------------------------------------- properties on random models


def accepted(count=MODELS, first=0, **features):
    for seed in range(first, first + count):
        model = random_model(seed, features=features or None)
        try:
            yield seed, model, Reference(model)
        except Rejected:
            pass


def test_valid_by_construction():
    ids_ok = set("abcdefghijklmnopqrstuvwxyz0123456789_")
    for seed, model, ref in accepted():
        ids = [i for c in ("elements", "ties", "functions", "given") for i in model.get(c, {})]
        assert len(ids) == len(set(ids)) and all(set(i) <= ids_ok and i[0].isalpha() for i in ids)
        for e in ref.elements.values():
            if e.ports and e.positions:
                assert e.without, (seed, e.id)
            assert e.rest is None or e.rest in e.positions
            for f in (f for p in e.ports.values() for f in p.feeds):
                for d, q in f.via:
                    assert q is None or q <= set(ref.elements[d].positions), (seed, e.id)
                    assert ref.elements[d].one_way or q or ref.elements[d].passes_in, (seed, d)
        for a, b, via, m in ref.ties.values():
            assert not any(ref.elements[d].one_way for d, _ in via)


def test_settling_twice_changes_nothing():
    for seed, model, ref in accepted():
        st = ref.running_state()
        for step in random_events(seed, model, 5):
            out = ref.settle(st.apply(step))
            memory = st.memory()
            assert ref.settle(st).as_dict() == out.as_dict(), seed
            assert st.memory() == memory, seed


def test_order_within_a_step_changes_nothing():
    r = random.Random(1)
    for seed, model, ref in accepted():
        st = ref.running_state()
        for step in random_events(seed, model, 5):
            other = st.copy()
            shuffled = list(step)
            r.shuffle(shuffled)
            assert ref.settle(st.apply(step)).as_dict() == ref.settle(other.apply(shuffled)).as_dict(), seed
            assert st.memory() == other.memory()


def shuffled_keys(value, r):
    if isinstance(value, dict):
        items = list(value.items())
        r.shuffle(items)
        return {k: shuffled_keys(v, r) for k, v in items}
    if isinstance(value, list):
        return [shuffled_keys(v, r) for v in value]
    return value


def test_key_order_changes_nothing():
    r = random.Random(2)
    for seed, model, ref in accepted():
        other = Reference(shuffled_keys(json.loads(json.dumps(model)), r))
        a, b = ref.running_state(), other.running_state()
        for step in random_events(seed, model, 4):
            assert ref.settle(a.apply(step)).as_dict() == other.settle(b.apply(step)).as_dict(), seed
            assert a.memory() == b.memory()


def no_memory(ref):
    return not any(e.fitted and (e.memory or e.holds) for e in ref.elements.values())


def test_repairing_everything_returns_to_the_running_state():
    looked_at = 0
    for seed, model, ref in accepted(holders=False, memory=False, chase=False):
        if not no_memory(ref):
            continue
        looked_at += 1
        st = ref.running_state()
        clean = ref.settle(st.copy()).as_dict()
        hand, given = dict(st.hand), dict(st.given_now)
        for step in random_events(seed, model, 5):
            ref.settle(st.apply([event for event in step if event[0] != "use"]))  # what was used stays barred
        for id, e in ref.elements.items():
            if e.fitted:
                st.repair(id)
        for id, word in hand.items():
            st.set(id, word)
        for id, value in given.items():
            st.given(id, value)
        back = ref.settle(st).as_dict()
        for id, e in ref.elements.items():  # a frozen pointer is a memory of its own
            if e.unpowered == "stays":
                clean["shows"].pop(id, None)
                back["shows"].pop(id, None)
        assert back == clean, seed
    assert looked_at > MODELS / 20


def reads(c, op):
    return c[0] == op or isinstance(c[1], list) and any(reads(x, op) for x in c[1])


def purely_positive(ref):
    """No negative dependency, no memory, nothing that acts because of a loss."""
    return (no_memory(ref)
            and all(sign > 0 for deps in ref.graph.values() for _, sign in deps)
            and not any(e.leader for e in ref.elements.values())
            and not any(reads(c, "failure") for e in ref.elements.values() for c in [e.needs] + [c for _, c in e.goes]))


def test_a_loss_never_helps_a_purely_positive_model():
    looked_at = 0
    for seed, model, ref in accepted(MODELS * 2, goes=False, memory=False, chase=False, holders=False, needs=False):
        if not purely_positive(ref):
            continue
        looked_at += 1
        r = random.Random(seed)
        ids = [i for i, e in ref.elements.items() if e.fitted]
        for _ in range(3):
            st = ref.running_state()
            before = ref.settle(st)
            for id in r.sample(ids, min(4, len(ids))):
                now = ref.settle(st.fail(id))
                assert all(before.supplied[i] or not now.supplied[i] for i in now.supplied), (seed, id)
                before = now
    assert looked_at > MODELS / 20


def test_every_value_agrees_with_its_rule():
    """In what is settled, every supply obeys M1 and every position set obeys the position's word."""
    for seed, model, ref in accepted():
        st = ref.running_state()
        for step in random_events(seed, model, 4):
            _, ev = ref.settle_memory(st.apply(step))
            for node, value in ev.value.items():
                assert value == ref.node_value(ev, node, None), (seed, node)
                if node[0] == "P":
                    assert value == (ev.word[node[1]] in node[2]), (seed, node)


def test_every_settle_ends_soon():
    """Passes are bounded by the memory cells (asserted inside); the inner loop stays short as well."""
    worst = 0
    for seed, model, ref in accepted():
        st = ref.running_state()
        for step in random_events(seed, model, 5):
            out = ref.settle(st.apply(step))
            cells = sum(e.memory + e.holds for e in ref.elements.values() if e.fitted)
            assert out.rounds <= 2 * cells + 1, seed
            worst = max(worst, out.runs / out.rounds)
    assert worst <= 40
