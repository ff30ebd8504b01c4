"""A flat battery, the load of the gear pump, and both engine control units reset at once.

[E] FAA AD 2007-23-14, quoting EASA AD 2007-0183 and the finding of the BFU. [B] the manufacturer's bulletins 42-042 and 42-050 as named there.
That the alternators cannot hold the bus up against the pump is a *given* here: loads are not weighed.
"""

import fedfrom as ff
import pytest

from replay import levels, network, supplied, unsupplied

THRUST = ("thrust_l", "thrust_r")
ELECTRICAL = ("alternator_l", "alternator_r", "bus_l", "bus_r", "ecu_l", "ecu_r")


def start_attempt(variant="", ground_power=False):
    """A parked aircraft with a flat battery: engine masters on, with or without ground power, which is then taken away."""
    state = network("engine_controllers_undervoltage", variant).cold_state()
    state.set("engine_master_l", "OFF").set("engine_master_r", "OFF").fail("battery")
    ff.settle(state)
    ff.settle(state.given("ground_power_connected", ground_power))
    ff.settle(state.set("engine_master_l", "ON").set("engine_master_r", "ON"))
    ff.settle(state.given("ground_power_connected", False))
    return state


def gear_up(state):
    """The pump starts and pulls the bus down; the dip ends."""
    during = ff.settle(state.given("undervoltage", True))
    return during, ff.settle(state.given("undervoltage", False))


def test_healthy_both_engines_run():
    out = ff.settle(network("engine_controllers_undervoltage").running_state())
    assert levels(out, *THRUST, "gear_retraction") == dict.fromkeys((*THRUST, "gear_retraction"), "normal")


def test_a_start_on_the_flat_battery_would_have_revealed_it():
    """[E] one engine is to be started on the aircraft's battery: with this one neither starts."""
    out = ff.settle(start_attempt())
    assert levels(out, *THRUST) == dict.fromkeys(THRUST, "lost")


def test_started_from_ground_power_both_engines_run_on_with_the_battery_flat():
    """[E] both were started from ground power; the aircraft took off."""
    out = ff.settle(start_attempt(ground_power=True))
    assert levels(out, *THRUST, "gear_retraction") == dict.fromkeys((*THRUST, "gear_retraction"), "normal")
    assert out.status("battery") != "supplied" and supplied(out, *ELECTRICAL) == set(ELECTRICAL)


def test_the_dip_stops_both_engines_and_feathers_both_propellers():
    """[E] both control units reset, both engines stopped, both propellers went to feather."""
    during, _ = gear_up(start_attempt(ground_power=True))
    assert unsupplied(during, "ecu_l", "ecu_r", "engine_l", "engine_r") == {"ecu_l", "ecu_r", "engine_l", "engine_r"}
    assert [during.position(f"propeller_{side}") for side in "lr"] == ["feathered", "feathered"]


def test_after_the_dip_everything_electrical_stays_dead():
    """[E] with the engines went both alternators: nothing is left to restart the control units, and the gear stopped half-way."""
    _, out = gear_up(start_attempt(ground_power=True))
    assert unsupplied(out, *ELECTRICAL, "gear_pump") == {*ELECTRICAL, "gear_pump"}
    assert levels(out, *THRUST) == dict.fromkeys(THRUST, "lost")


def test_with_back_up_batteries_both_engines_run_through_the_dip():
    """[B] the later modification: a back-up battery for each control unit."""
    state = start_attempt("backup_batteries", ground_power=True)
    during, after = gear_up(state)
    assert supplied(during, "bus_l", "bus_r", "engine_l", "engine_r") == {"engine_l", "engine_r"}
    assert [during.position(f"propeller_{side}") for side in "lr"] == ["governed", "governed"]
    assert supplied(after, *ELECTRICAL) == set(ELECTRICAL)
