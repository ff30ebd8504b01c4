"""One hydraulic system has leaked out; then the engine that drives the other one is shut down.

[N] NTSB summary of the accident to N763NC, 10 May 2005. [H] hydraulic type sheets: which system feeds what.
"""

import fedfrom as ff
import pytest

from replay import levels, network, shown, supplied, unsupplied

LEFT_ONLY = {"reverser_l", "inboard_spoilers", "elevator_augmentation"}
RIGHT_ONLY = {"gear_actuators", "aft_stairs", "reverser_r", "outboard_spoilers", "rudder_power"}
BOTH = {"flap_drive", "brakes", "steering", "ground_spoilers", "slat_drive"}
ALL = LEFT_ONLY | RIGHT_ONLY | BOTH
ACCUMULATORS = ("brake_accumulator_l", "brake_accumulator_r", "reverser_accumulator_l", "reverser_accumulator_r")


@pytest.fixture
def healthy():
    return network("engine_shut_down_after_leak").running_state()


def empty_accumulators(state):
    for accumulator in ACCUMULATORS:
        state.fail(accumulator)
    return state


@pytest.fixture
def leaked(healthy):
    """The housing of the rudder shut-off valve has broken; the right engine pump is switched off."""
    ff.settle(healthy.fail("rudder_valve", "leak"))
    ff.settle(healthy.set("pump_switch_r", "OFF"))
    return healthy


def test_healthy_both_systems_feed_everything(healthy):
    out = ff.settle(healthy)
    assert supplied(out, *ALL) == ALL and not out.lost and not out.degraded
    assert shown(healthy)["rudder_manual_light"] == ""


def test_the_leak_takes_the_right_fluid_and_only_what_hangs_on_it_alone(leaked):
    """[N] right reservoir below empty; [H] right-only consumers."""
    out = ff.settle(leaked)
    assert out.status("reservoir_r") == "spent" and out.status("reservoir_l") == "supplied"
    assert unsupplied(out, *ALL) == RIGHT_ONLY


def test_the_rudder_light_comes_on(leaked):
    """[H] powered rudder lost: RUDDER CONTROL MANUAL."""
    assert shown(leaked)["rudder_manual_light"] == "RUDDER CONTROL MANUAL"


def test_landing_and_stopping_were_still_possible(leaked):
    """[N] the aircraft landed and taxied on the left system: the emergency was cancelled."""
    out = ff.settle(leaked)
    assert levels(out, "steer", "brake") == {"steer": "normal", "brake": "normal"}


def test_shutting_down_the_left_engine_takes_steering_brakes_and_both_reversers(leaked):
    """[N] no steering, no brakes, both reversers selected and not deployed. The accumulators are taken as used up:
    the sheets give them a few applications, and what was left in them was not reported.
    """
    out = ff.settle(empty_accumulators(leaked).set("fuel_lever_l", "OFF"))
    functions = ("steer", "brake", "reverse_l", "reverse_r")
    assert levels(out, *functions) == dict.fromkeys(functions, "lost")
    assert supplied(out, *ALL) == set()


def test_with_the_accumulators_charged_only_they_are_left_for_braking(leaked):
    """[H] three to five applications of the brakes."""
    out = ff.settle(leaked.set("fuel_lever_l", "OFF"))
    assert (out.level("brake"), out.mode("brake")) == ("degraded", "accumulator") and out.level("steer") == "lost"
    assert set(ff.live_sources(leaked, "brake")) <= set(ACCUMULATORS)


def test_the_right_engine_runs_and_the_left_reservoir_is_full(leaked):
    """[N] thrust on the right, and a left system that lacked nothing but its pump."""
    out = ff.settle(empty_accumulators(leaked).set("fuel_lever_l", "OFF"))
    assert supplied(out, "eng_l", "eng_r", "reservoir_l", "reservoir_r") == {"eng_r", "reservoir_l"}


def test_shutting_down_the_right_engine_instead_loses_nothing_more(leaked):
    """The replay's control: the question to ask before either lever is moved."""
    before = ff.settle(leaked).to_dict()["level"]
    out = ff.settle(empty_accumulators(leaked).set("fuel_lever_r", "OFF"))
    assert unsupplied(out, *ALL) == RIGHT_ONLY
    assert levels(out, "steer", "brake", "reverse_l") == {"steer": "normal", "brake": "normal", "reverse_l": "normal"}
    assert {f for f, level in out.to_dict()["level"].items() if level == "lost" and before[f] != "lost"} == {"reverse_r"}  # its accumulator


def test_without_the_leak_shutting_down_the_left_engine_takes_nothing(healthy):
    """[H] the control: the alternate pump turns right pressure into left pressure while both have fluid, if it is on."""
    out = ff.settle(healthy.set("fuel_lever_l", "OFF"))
    assert supplied(out, *ALL) == ALL
    out = ff.settle(healthy.set("transfer_switch", "OFF"))
    assert unsupplied(out, *ALL) == LEFT_ONLY


@pytest.mark.parametrize(("lever", "takes"), [("fuel_lever_l", {"steer", "brake"}), ("fuel_lever_r", set())])
def test_can_i_shut_this_engine_down_now(leaked, lever, takes):
    """The question itself, asked before the lever is moved: the left engine takes steering and brakes, the right one neither."""
    ff.settle(empty_accumulators(leaked))
    asked = ff.preview(leaked, {"set": {lever: "OFF"}})
    worse = {change["function"]: change["after"] for change in asked.worse}
    assert {f for f in ("steer", "brake") if worse.get(f) == "lost"} == takes
    assert leaked.hand(lever) == "ON"  # nothing was done


def test_one_lever_back_brings_steering_and_brakes_back(leaked):
    """[N] nothing was restored; the left system lacked only its engine."""
    ff.settle(empty_accumulators(leaked).set("fuel_lever_l", "OFF"))
    found = [s for s in ff.restore(leaked, ["steer", "brake"], to="normal") if s["actions"] == {"set": {"fuel_lever_l": "ON"}}]
    assert [{change["function"] for change in s["goals"]} for s in found] == [{"steer", "brake"}]
