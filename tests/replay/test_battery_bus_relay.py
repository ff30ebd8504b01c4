"""One relay stands in both automatic supplies of the battery bus.

[G] AAIB Bulletin 4/2006, G-EZYN. [J] AAIB Bulletin 8/2015, G-GDFT. [D] the Danish report, as quoted with G-EZYN.
[S] a trouble-shooting note on the relays. Bus level only: the consumers were inferred from the losses, and what was
kept from what nobody reported lost.
"""

import itertools

import fedfrom as ff
import pytest

from replay import network, shown, supplied, unsupplied


@pytest.fixture
def healthy():
    return network("battery_bus_relay").running_state()


@pytest.fixture
def failed(healthy):
    ff.settle(healthy.fail("battery_bus_relay"))
    return healthy


def test_healthy_the_battery_bus_hangs_on_the_third_rectifier(healthy):
    out = ff.settle(healthy)
    assert supplied(out, "battery_bus", "hot_battery_bus") == {"battery_bus", "hot_battery_bus"}
    assert ff.live_sources(healthy, "battery_bus") == ["gen_2"]


def test_a_healthy_relay_changes_over_to_the_hot_battery_bus(healthy):
    """[S] and schematics: the relay is automatic. The control: the same bus lives on when it is the rectifier that fails."""
    out = ff.settle(healthy.fail("tr_3"))
    assert supplied(out, "battery_bus") == {"battery_bus"}
    assert ff.live_sources(healthy, "battery_bus") == ["gen_1"]


def test_the_failed_relay_takes_the_battery_bus_with_both_its_supplies_healthy(failed):
    """[G] contact post failed; [J] loose terminals. Rectifier, battery and charger were found healthy."""
    out = ff.settle(failed)
    assert unsupplied(out, "battery_bus", "tr_3", "battery", "charger") == {"battery_bus"}


def test_loose_terminals_take_the_bus_and_give_it_back(healthy):
    """[J] intermittent, then open."""
    seen = []
    for event in (healthy.fail, healthy.repair, healthy.fail):
        seen.append(ff.settle(event("battery_bus_relay")).status("battery_bus"))
    assert seen == ["unsupplied", "supplied", "unsupplied"]


def test_selecting_battery_restores_the_bus(failed):
    """[D] standby power to BAT closes the manual relay and would have restored the whole battery bus."""
    out = ff.settle(failed.set("standby_switch", "BAT"))
    assert supplied(out, "battery_bus") == {"battery_bus"} and out.passes("manual_battery_relay") is True


def test_no_other_selection_restores_the_bus(failed):
    """[G], [D] only the manual path avoids the relay: every combination of the crew's switches."""
    net = failed.network
    switches = ("gen_1_switch", "gen_2_switch", "standby_switch")
    restoring = set()
    for positions in itertools.product(*map(net.positions, switches)):
        state = failed.copy()
        for switch, position in zip(switches, positions):
            state.set(switch, position)
        if ff.settle(state).status("battery_bus") == "supplied":
            restoring.add(positions[2])
        else:
            assert positions[2] != "BAT"
    assert restoring == {"BAT"}


def test_selecting_battery_does_not_run_the_battery_down_here(failed):
    """Schematics: the charger stays alive and holds the hot battery bus, unlike in standby_battery_exhaustion."""
    ff.settle(failed.set("standby_switch", "BAT"))
    assert ff.live_sources(failed, "battery_bus") == ["gen_1"]
    assert "battery_bus" not in {s["id"] for s in ff.what_works(failed).stored}
    out = ff.settle(failed.fail("charger"))
    assert out.status("battery_bus") == "supplied" and ff.live_sources(failed, "battery_bus") == ["battery"]


def test_the_bus_off_light_fails_with_the_bus(healthy):
    """[S] the transfer bus off lights are fed by the battery bus: a dead transfer bus is announced only while that lives."""
    ff.settle(healthy.fail("transfer_bus_1"))
    assert shown(healthy)["transfer_bus_1_off_light"] == "TRANSFER BUS OFF"
    ff.settle(healthy.fail("battery_bus_relay"))
    assert shown(healthy)["transfer_bus_1_off_light"] == "out"
    assert "transfer_bus_1_off_light" in ff.indications(healthy).misleading


def test_the_failed_relay_takes_the_battery_bus_with_its_coil_drawn_too():
    """[G] the same reported fact, of a model with the supply of the relay's coil drawn: a burnt coil drops the relay to the
    hot battery bus (M6, rule 3), but what failed was the contact post.
    """
    net = network("battery_bus_relay", "coil_drawn")
    assert ff.settle(net.running_state().fail("battery_bus_relay", "contacts")).status("battery_bus") == "unsupplied"
    assert ff.settle(net.running_state().fail("battery_bus_relay")).status("battery_bus") == "supplied"
