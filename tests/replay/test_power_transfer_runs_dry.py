"""A power transfer unit runs without fluid and takes the system that drives it.

[A] ATSB AO-2018-014, VH-TCA, final report. [C] landing gear and brake cards. The unit's overheating is written as a position
with a delay; what the crew does within one settle comes before it.
"""

import fedfrom as ff
import pytest

from replay import levels, network, supplied


@pytest.fixture
def healthy():
    return network("power_transfer_runs_dry").running_state()


def leak(state):
    return ff.settle(state.fail("gear_hose_l", "leak"))


@pytest.fixture
def flown(healthy):
    """The corroded pressure switch, found by nobody, then the burst hose."""
    ff.settle(healthy.fail("ptu_pressure_switch"))
    leak(healthy)
    return healthy


def test_healthy_three_systems_and_the_transfer_unit_at_rest(healthy):
    out = ff.settle(healthy)
    assert supplied(out, "hyd_l", "hyd_c", "hyd_r", "ptu_motor") == {"hyd_l", "hyd_c", "hyd_r"}
    assert not out.lost and not out.degraded


def test_the_corroded_switch_alone_takes_nothing(healthy):
    """[A] latent until the unit was needed."""
    out = ff.settle(healthy.fail("ptu_pressure_switch"))
    assert not out.lost and not out.degraded and out.position("fluid_r") == "cool"


def test_the_transfer_unit_starts_when_the_left_pump_gives_no_pressure(healthy):
    """[A] what it is for: with fluid there, the left system lives on and nothing overheats, pressure switch or not."""
    for state in (healthy, healthy.copy().fail("ptu_pressure_switch")):
        out = ff.settle(state.set("pump_switch_l", "OFF"))
        assert supplied(out, "pump_l", "ptu_motor", "hyd_l", "hyd_r") == {"ptu_motor", "hyd_l", "hyd_r"}


def test_with_the_pressure_switch_working_one_leak_takes_one_system(healthy):
    """[A] the switch is there to stop the unit when there is no left fluid."""
    out = leak(healthy)
    assert supplied(out, "hyd_l", "hyd_c", "hyd_r", "ptu_motor") == {"hyd_c", "hyd_r"}
    assert out.level("braking") == "normal"


def test_with_the_switch_corroded_one_leak_takes_two_systems(flown):
    """[A] left fluid lost, the unit ran dry, the right system overheated and failed; the centre system stayed."""
    out = ff.settle(flown)
    assert supplied(out, "hyd_l", "hyd_c", "hyd_r") == {"hyd_c"}
    assert not out.unknown and not out.hunting


def test_the_right_system_keeps_its_fluid(flown):
    """[A] overheated, not emptied: the unit moves power and no fluid."""
    out = ff.settle(flown)
    assert out.status("reservoir_l") == "spent" and out.status("reservoir_r") == "supplied"


def test_normal_gear_flaps_steering_and_powered_brakes_are_lost(flown):
    """[A] lost: normal gear, flaps and slats, nose-wheel steering, brakes from both systems; [C] which system feeds them."""
    out = ff.settle(flown)
    consumers = ("flap_hydraulic_drive", "steering", "brakes_normal", "brakes_alternate")
    assert supplied(out, *consumers) == set()
    assert levels(out, "gear_normal_extension", "nose_steering") == {"gear_normal_extension": "lost", "nose_steering": "lost"}


def test_alternate_gear_alternate_flaps_flight_controls_and_accumulator_brakes_are_kept(flown):
    """[A] kept: flight controls on the centre system, alternate flap and gear extension, braking by accumulator."""
    out = ff.settle(flown)
    assert levels(out, "gear_alternate_extension", "flap_extension", "flying") == {
        "gear_alternate_extension": "normal", "flap_extension": "degraded", "flying": "normal"}
    assert (out.level("braking"), out.mode("braking")) == ("degraded", "accumulator")


def test_both_systems_switched_off_by_checklist_lose_nothing_more(flown):
    """[A] the checklist switched both systems off; alternate flaps and gear then worked."""
    before = ff.settle(flown).to_dict()["level"]
    out = ff.settle(flown.set("pump_switch_l", "OFF").set("pump_switch_r", "OFF").set("ptu_switch", "OFF"))
    assert out.to_dict()["level"] == before


def test_the_transfer_unit_switched_off_in_time_saves_the_right_system(healthy):
    """The replay's control: the same two failures, the unit off before the fluid is hot; too late, it stays hot."""
    healthy.fail("ptu_pressure_switch").set("ptu_switch", "OFF")
    assert supplied(leak(healthy), "hyd_l", "hyd_r") == {"hyd_r"}
    ff.settle(healthy.set("ptu_switch", "AUTO"))
    assert supplied(ff.settle(healthy.set("ptu_switch", "OFF")), "hyd_l", "hyd_r") == set()
