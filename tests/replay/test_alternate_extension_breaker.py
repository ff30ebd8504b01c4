"""Centre hydraulics lost, and the alternate gear extension dead because a breaker upstream of its own was open.

[P] PKBWL final report on SP-LPC, 1 November 2011: conclusions. [I] its interim statement. [H] hydraulic system sheets.
"""

import fedfrom as ff
import pytest

from replay import levels, network, shown, supplied, unsupplied

GEAR = ("gear_extension", "gear_normal_extension", "gear_alternate_extension")


@pytest.fixture
def healthy():
    return network("alternate_extension_breaker").running_state()


def burst(state):
    """The hose on the right main gear bursts while the gear comes up."""
    return ff.settle(state.set("gear_lever", "UP").fail("gear_up_hose_r", "leak"))


def knocked(state):
    return ff.settle(state.set("cb_battery_bus_section", "pulled"))


@pytest.fixture
def flown(healthy):
    knocked(healthy)
    burst(healthy)
    return healthy


def test_healthy_the_gear_comes_down_either_way(healthy):
    assert levels(ff.settle(healthy), *GEAR) == dict.fromkeys(GEAR, "normal")


def test_the_burst_hose_empties_the_centre_system_and_leaves_the_others(healthy):
    """[I] hose burst during retraction, centre system lost; [H] three systems that share no fluid."""
    out = burst(healthy)
    assert out.status("reservoir_c") == "spent"
    assert supplied(out, "hyd_l", "hyd_c", "hyd_r") == {"hyd_l", "hyd_r"}


def test_the_burst_hose_takes_what_hangs_on_the_centre_system_only(healthy):
    """[H] gear, flap drive, alternate brakes and tail skid on the centre system, normal brakes on the right one."""
    out = burst(healthy)
    consumers = ("gear_retract_actuators", "flap_hydraulic_drive", "brakes_alternate", "tail_skid", "brakes_normal")
    assert unsupplied(out, *consumers) == set(consumers) - {"brakes_normal"}


def test_with_the_breaker_in_the_alternate_extension_would_have_worked(healthy):
    """[P] the control: the same burst, the breaker closed."""
    out = burst(healthy)
    assert levels(out, *GEAR) == {"gear_extension": "degraded", "gear_normal_extension": "lost", "gear_alternate_extension": "normal"}
    assert out.mode("gear_extension") == "alternate"


def test_the_open_breaker_shows_nowhere_until_the_gear_needs_it(healthy):
    """[P] its state is neither recorded nor annunciated and went undetected; the burst, in contrast, is announced."""
    before = shown(healthy)
    out = knocked(healthy)
    assert shown(healthy) == before and out.level("gear_extension") == "normal"
    burst(healthy)
    assert shown(healthy) != before


def test_both_together_leave_the_gear_up(flown):
    """[P] alternate extension was selected again and again without effect; the motor's own breaker was closed."""
    out = ff.settle(flown.set("gear_lever", "DOWN").set("altn_gear_switch", "DOWN"))
    assert flown.hand("cb_altn_ext_motor") == "in" and out.passes("cb_altn_ext_motor") is True
    assert unsupplied(out, "gear_extend_actuators", "altn_ext_motor", "uplocks") == {"gear_extend_actuators", "altn_ext_motor", "uplocks"}
    assert levels(out, *GEAR) == dict.fromkeys(GEAR, "lost")


def test_the_order_of_the_two_changes_nothing(healthy):
    burst(healthy)
    assert levels(knocked(healthy), *GEAR) == dict.fromkeys(GEAR, "lost")


def test_the_flaps_came_out(flown):
    """[I] landing flap was obtained. By which drive was inferred, and is not tested."""
    assert ff.settle(flown).level("flap_extension") != "lost"


def test_on_ground_power_the_breaker_alone_brings_the_gear_down(flown):
    """[P] on the runway, with ground power: breaker closed, alternate extension selected, the gear came down."""
    flown.given("engines_running", False).given("ground_power_connected", True).set("altn_gear_switch", "DOWN")
    assert unsupplied(ff.settle(flown), "uplocks") == {"uplocks"}
    out = ff.settle(flown.set("cb_battery_bus_section", "in"))
    assert supplied(out, "uplocks", "gear_extend_actuators") == {"uplocks"}


def test_after_the_burst_every_link_of_the_chain_is_critical(healthy):
    """[P] the chain battery bus, distribution breaker, own breaker, motor: each alone now takes the gear."""
    chain = {"battery_bus", "cb_battery_bus_section", "cb_altn_ext_motor", "altn_ext_motor"}
    took = lambda: {r["id"] for r in ff.impact_table(healthy, causes=False, goals=["gear_extension"]).rows
                    for c in r["changes"] if c["after"] == "lost"}
    assert not took() & chain
    burst(healthy)
    assert chain <= took() and not took() & {"gen_l", "gen_r", "hyd_l", "hyd_r"}


def test_the_reason_given_is_the_breaker(flown):
    """[P] the cause found."""
    roots = {root[0] for root in ff.why(flown, "gear_extension").roots}
    assert "cb_battery_bus_section" in roots and "cb_altn_ext_motor" not in roots


def test_the_search_finds_the_breaker_upstream_of_the_gears_own(flown):
    """[P] the one thing within the crew's reach that would have brought the gear down; complete up to three actions."""
    back = ff.restore(flown, ["gear_extension", "gear_alternate_extension"])
    assert back.complete
    assert [s["actions"] for s in back] == [{"set": {"cb_battery_bus_section": "in"}}]
    assert {c["function"] for c in back.sets[0]["goals"]} == {"gear_extension", "gear_alternate_extension"}


def test_with_that_breaker_open_the_alternate_switch_is_a_dead_control(flown):
    """[P] the switch was used, and nothing came of it."""
    assert "altn_gear_switch" in ff.dead_controls(flown).dead
    played = ff.follow(flown, [{"set": {"altn_gear_switch": "DOWN"}}, {"set": {"cb_battery_bus_section": "in"}}])
    assert [s["nothing"] for s in played] == [True, False]


def test_no_check_and_no_light_tells_of_the_breaker_in_flight(healthy):
    """[P] its state is neither recorded nor annunciated; the burst hose, in contrast, shows."""
    coverage = ff.check_coverage(healthy)
    chain = {("cb_battery_bus_section", "loss"), ("cb_altn_ext_motor", "loss"), ("altn_ext_motor", "loss")}
    assert chain <= set(coverage.silent)
    assert ("gear_up_hose_r", "leak") in coverage.hidden and ("gear_up_hose_r", "leak") not in coverage.silent


def test_a_look_at_the_low_pressure_light_reveals_the_hose_and_not_the_breaker(healthy):
    coverage = ff.check_coverage(healthy, {"lights": {"steps": [{"look_at": "hyd_c_low_light", "expect": "out"}]}})
    assert ("gear_up_hose_r", "leak") in coverage.steps[0]["wrong"]["LOW"]
    assert ("cb_battery_bus_section", "loss") in coverage.silent


def test_what_the_crew_saw_is_explained_by_two_failures_and_no_fewer(healthy):
    """[P] neither way of extending the gear did anything, and the centre system was low; the breaker upstream is among what explains it."""
    seen = [("hyd_c_low_light", "LOW"), ("gear_normal_extension", "dead"), ("gear_alternate_extension", "dead"), ("braking", "normal")]
    found = ff.diagnose(healthy, seen)
    explaining = [c["failures"] for c in found.candidates if not c["contradicts"]]
    assert found.complete and [("cb_battery_bus_section", "loss"), ("gear_up_hose_r", "leak")] in explaining
    assert all(len(failures) == 2 for failures in explaining)
