"""A flat battery, the load of the gear pump, and both engine control units reset at once.

[E] FAA AD 2007-23-14, quoting EASA AD 2007-0183 and the finding of the BFU. [B] the manufacturer's bulletins 42-042 and 42-050 as named there.
That the alternators could not hold the bus up against the pump, and that a charged battery would have helped, is what is tested. No source
gives a figure: ratings and loads are invented, such that two alternators carry both control units and not the pump as well.
"""

import fedfrom as ff

from replay import levels, network, supplied, unsupplied

THRUST = ("thrust_l", "thrust_r")
ELECTRICAL = ("alternator_l", "alternator_r", "bus_l", "bus_r", "ecu_l", "ecu_r")


def start_attempt(variant="", ground_power=False, flat=True):
    """A parked aircraft, its battery flat: engine masters on, with or without ground power, which is then taken away."""
    state = network("engine_controllers_undervoltage", variant).cold_state()
    state.set("engine_master_l", "OFF").set("engine_master_r", "OFF")
    if flat:
        state.fail("battery")
    ff.settle(state)
    ff.settle(state.given("ground_power_connected", ground_power))
    ff.settle(state.set("engine_master_l", "ON").set("engine_master_r", "ON"))
    ff.settle(state.given("ground_power_connected", False))
    return state


def gear_up(state):
    """The gear pump runs for some seconds."""
    return ff.power_balance(state, "gear_retraction", over="five_seconds")


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


def test_before_the_gear_comes_up_the_alternators_carry_everything():
    balance = ff.power_balance(start_attempt(ground_power=True), "cruise")
    assert balance.decided and balance.rounds == []


def test_the_pump_pulls_the_bus_down_and_both_control_units_reset():
    """[E] both control units reset, both engines stopped, both propellers went to feather."""
    (dip,) = gear_up(start_attempt(ground_power=True)).rounds
    assert [group["sources"] for group in dip["overloaded"]] == [["alternator_l", "alternator_r"]]
    lost = {e["id"] for e in dip["elements"] if e["before"] == "supplied" != e["after"]}
    assert lost >= {"bus_l", "bus_r", "ecu_l", "ecu_r", "engine_l", "engine_r"}
    assert {e["id"]: e["position_after"] for e in dip["elements"] if e["id"].startswith("propeller")} == {"propeller_l": "feathered", "propeller_r": "feathered"}


def test_after_the_dip_everything_electrical_stays_dead():
    """[E] with the engines went both alternators: nothing is left to restart the control units, and the gear stopped half-way."""
    balance = gear_up(start_attempt(ground_power=True))
    out = balance.after
    assert balance.decided and not balance.rounds[0]["stays_off"]
    assert unsupplied(out, *ELECTRICAL, "gear_pump") == {*ELECTRICAL, "gear_pump"}
    assert levels(out, *THRUST) == dict.fromkeys(THRUST, "lost")
    assert [out.position(f"propeller_{side}") for side in "lr"] == ["feathered", "feathered"]


def test_with_a_charged_battery_nothing_happens():
    """[E] the flat battery is what made it so: it floats beside the alternators, and nothing shows that it gives nothing."""
    balance = gear_up(start_attempt(ground_power=True, flat=False))
    assert balance.decided and balance.rounds == []
    assert levels(balance.after, *THRUST, "gear_retraction") == dict.fromkeys((*THRUST, "gear_retraction"), "normal")


def test_of_all_losses_of_one_source_the_battery_alone_stops_both_engines():
    """[E] one hidden failure, shown by a load alone."""
    def stops_both(lost):
        out = gear_up(start_attempt(ground_power=True, flat=False).fail(lost)).after
        return levels(out, *THRUST) == dict.fromkeys(THRUST, "lost")

    assert [lost for lost in ("alternator_l", "alternator_r", "battery", "ground_power") if stops_both(lost)] == ["battery"]


def test_with_back_up_batteries_both_engines_run_on():
    """[B] the later modification: a back-up battery for each control unit."""
    balance = gear_up(start_attempt("backup_batteries", ground_power=True))
    (dip,) = balance.rounds
    assert supplied(balance.after, "bus_l", "bus_r", "engine_l", "engine_r") == {"engine_l", "engine_r"}
    assert [balance.after.position(f"propeller_{side}") for side in "lr"] == ["governed", "governed"]
    assert dip["stays_off"] and balance.decided  # the pump is on again with every return of the voltage


def test_once_the_pump_has_stopped_the_buses_come_back():
    """[B] the alternators turned all the while."""
    state = gear_up(start_attempt("backup_batteries", ground_power=True)).after.state
    balance = ff.power_balance(state.reset("alternator_l").reset("alternator_r"), "cruise")
    assert balance.decided and balance.rounds == []
    assert supplied(balance.after, *ELECTRICAL) == set(ELECTRICAL)
