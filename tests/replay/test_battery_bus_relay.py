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


def test_the_search_for_what_restores_the_bus_finds_the_manual_relay_and_nothing_else(failed):
    """[D] the one path that avoids the relay, which nobody found in flight: complete up to three selections at once."""
    back = ff.restore(failed, "battery_bus_power")
    assert [s["actions"] for s in back] == [{"set": {"standby_switch": "BAT"}}] and back.complete
    (selection,) = back.sets
    assert selection["undone"]["complete"] and selection["worse"] == [] and selection["fault"]["zone"] == []
    assert back.best_single["actions"] == selection["actions"]


def test_looked_at_beforehand_the_selection_does_not_put_the_bus_on_the_battery(failed):
    """Schematics: the charger stays alive; unlike in standby_battery_exhaustion nothing newly hangs on the battery."""
    seen = ff.preview(failed, {"set": {"standby_switch": "BAT"}})
    assert [c["function"] for c in seen.gained] == ["battery_bus_power"]
    assert "battery_bus" not in {s["id"] for s in seen.stored}


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


def test_the_failed_contact_post_takes_the_battery_bus_with_the_coil_drawn_too():
    """[G] the same reported fact, of a model with the supply of the relay's coil drawn. What failed was the contact post, `contacts`."""
    state = network("battery_bus_relay", "coil_drawn").running_state()
    out = ff.settle(state.fail("battery_bus_relay", "contacts"))
    assert unsupplied(out, "battery_bus", "tr_3", "battery", "charger") == {"battery_bus"}
    assert out.position("battery_bus_relay") == "rectifier" and out.passes("battery_bus_relay") is False
    assert ff.why(state, "battery_bus").roots == [("battery_bus_relay", "contacts"), ("standby_switch", "AUTO")]
    out = ff.settle(state.set("standby_switch", "BAT"))
    assert supplied(out, "battery_bus") == {"battery_bus"}


def test_a_burnt_coil_drops_the_relay_to_the_hot_battery_bus():
    """M6, rule 3: the other failure of the same relay, which the bus survives. Written as `loss`, the reported one would be turned round."""
    state = network("battery_bus_relay", "coil_drawn").running_state()
    out = ff.settle(state.fail("battery_bus_relay"))
    assert out.status("battery_bus") == "supplied" and out.position("battery_bus_relay") == "battery"
