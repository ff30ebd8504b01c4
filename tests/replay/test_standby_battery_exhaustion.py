"""A relay fails open, the checklist's selection disables the charger, and the battery is used up.

[N] NTSB CHI08IA292, final analysis. [F] the manufacturer's fleet note on standby power. Bus level only: which consumer
hangs on which bus was inferred from the losses and is neither modelled nor tested. What all of a bus draws, and the capacity, is invented.
"""

import fedfrom as ff
import pytest

from replay import network, shown, supplied, unsupplied

STANDBY = {"hot_battery_bus", "battery_bus", "standby_dc", "standby_ac"}
MAIN_AC = {"main_ac_l", "main_ac_r"}


@pytest.fixture
def healthy():
    return network("standby_battery_exhaustion").running_state()


@pytest.fixture
def relay_open(healthy):
    """Phase A: the contacts of the relay have failed open, the selector is at AUTO."""
    ff.settle(healthy.fail("main_power_relay", "stuck", at="open"))
    return healthy


@pytest.fixture
def on_battery(relay_open):
    """Phase B: the checklist's selection."""
    ff.settle(relay_open.set("standby_selector", "BAT"))
    return relay_open


@pytest.fixture
def exhausted(on_battery):
    """Phase C: the battery gives nothing any more."""
    ff.settle(on_battery.fail("main_battery"))
    return on_battery


def test_healthy_everything_is_alive_and_the_light_is_out(healthy):
    out = ff.settle(healthy)
    assert supplied(out, *STANDBY, *MAIN_AC) == STANDBY | MAIN_AC
    assert shown(healthy)["standby_off_light"] == ""


def test_healthy_loss_of_main_power_puts_the_standby_buses_on_the_battery(healthy):
    """[F] with the selector at AUTO the standby system transfers when main power is lost: the control for phase A."""
    out = ff.settle(healthy.given("engines_running", False))
    assert supplied(out, *STANDBY, *MAIN_AC) == STANDBY
    assert ff.live_sources(healthy, "battery_bus") == ["main_battery"]


def test_the_open_relay_takes_the_battery_bus_and_the_dc_standby_bus(relay_open):
    """[N] relay contacts failed open; nothing transfers, since main power is there."""
    out = ff.settle(relay_open)
    assert unsupplied(out, *STANDBY, *MAIN_AC) == {"battery_bus", "standby_dc"}


def test_the_standby_bus_off_light_comes_on(relay_open):
    """[N] status message and standby bus OFF light."""
    assert shown(relay_open)["standby_off_light"] == "OFF"


def test_selecting_battery_brings_both_buses_back(on_battery):
    """[N] with the selector at BAT and the battery healthy nothing is dead."""
    out = ff.settle(on_battery)
    assert supplied(out, *STANDBY, *MAIN_AC) == STANDBY | MAIN_AC


def test_selecting_battery_disables_the_charger(on_battery):
    """[N], [F] the charger is disabled at BAT although the bus that feeds it is alive."""
    out = ff.settle(on_battery)
    assert supplied(out, "ground_service_bus", "charger") == {"ground_service_bus"}
    assert ff.live_sources(on_battery, "hot_battery_bus") == ["main_battery"]


def test_what_will_be_lost_with_the_battery_is_known_before_it_is(on_battery):
    """[N] the buses that died in the end, asked for while all of them still live."""
    stored = {s["id"] for s in ff.what_works(on_battery).stored if s["stores"] == ["main_battery"]}
    assert stored & (STANDBY | MAIN_AC) == STANDBY


def test_before_the_selection_the_hot_battery_bus_does_not_hang_on_the_battery(relay_open):
    """[F] the charger holds it up at AUTO."""
    assert "hot_battery_bus" not in {s["id"] for s in ff.what_works(relay_open).stored}


def test_the_exhausted_battery_takes_four_buses_with_both_main_ac_buses_powered(exhausted):
    """[N] the state at the approach."""
    out = ff.settle(exhausted)
    assert unsupplied(out, *STANDBY, *MAIN_AC) == STANDBY


def test_back_to_automatic_revives_the_hot_battery_bus_only(exhausted):
    """[N] on the ground the selector back at AUTO powered charger and battery; the relay was still open."""
    out = ff.settle(exhausted.set("standby_selector", "AUTO"))
    assert supplied(out, "charger", "hot_battery_bus") == {"charger", "hot_battery_bus"}
    assert unsupplied(out, *STANDBY) == {"battery_bus", "standby_dc"}


def test_back_to_automatic_before_exhaustion_gives_phase_a_again(on_battery):
    """The same what-if in flight: neither better nor worse than before the checklist, and off the battery."""
    out = ff.settle(on_battery.set("standby_selector", "AUTO"))
    assert unsupplied(out, *STANDBY, *MAIN_AC) == {"battery_bus", "standby_dc"}
    assert "main_battery" not in ff.live_sources(on_battery, "hot_battery_bus")


def test_looked_at_beforehand_the_selection_shows_its_price(relay_open):
    """[N] what the checklist did not say: the buses come back, the charger goes off, and all of it hangs on the battery."""
    seen = ff.preview(relay_open, {"set": {"standby_selector": "BAT"}})
    assert {c["function"] for c in seen.gained} == {"battery_bus_power", "standby_dc_power"} and seen.worse == []
    assert {e["id"]: e["after"] for e in seen.elements}["charger"] == "off"
    assert {s["id"] for s in seen.stored if s["stores"] == ["main_battery"]} >= STANDBY
    assert seen.undone["complete"]  # while the battery lasts
    (found,) = ff.restore(relay_open).sets  # what a search for a way back finds, says the same
    assert found["actions"] == {"set": {"standby_selector": "BAT"}} and found["stored"] == seen.stored


def test_the_search_finds_back_to_automatic_once_the_battery_is_used_up(exhausted):
    """[N] what it revives, and that nothing in the cockpit revives the battery bus and the DC standby bus: the relay is open."""
    back = ff.restore(exhausted)
    assert back.complete and {g["function"]: len(g["sets"]) for g in back.goals} == {
        "hot_battery_bus_power": 1, "standby_ac_power": 1, "battery_bus_power": 0, "standby_dc_power": 0}  # fmt: skip
    assert [s["actions"] for s in back] == [{"set": {"standby_selector": "AUTO"}}]
    assert {c["function"] for c in back.best_single["goals"]} == {"hot_battery_bus_power", "standby_ac_power"}


def test_played_as_a_checklist_the_second_selection_of_battery_does_nothing(relay_open):
    """The flight as steps: relay open, BAT, the battery used up, and then the same selection again."""
    select = {"set": {"standby_selector": "BAT"}}
    played = ff.follow(relay_open, [select, {"fail": ["main_battery"]}, select])
    assert [s["nothing"] for s in played] == [False, False, True]
    assert {c["function"] for c in played.steps[1]["worse"]} == {"hot_battery_bus_power", "battery_bus_power", "standby_dc_power", "standby_ac_power"}
    assert played.steps[2]["idle"][0]["reason"] == "It is at BAT already."


REPORTED_MIN = 144  # [N] from the selection of BAT to the battery's exhaustion; an early report said about 100


def flown(state, *events, until_min=300):
    """Events at minutes, the battery full and as good as new."""
    return ff.timeline(state, [(at * 60, step) for at, step in events], until_min * 60, condition="flight", derating=1, charge=1)


def test_in_time_the_battery_is_used_up_as_long_after_the_selection_as_was_reported(relay_open):
    """[N] The minutes follow from loads and capacity: 48 Ah at 20 A, 5 A of them through the inverter."""
    flight = flown(relay_open, (2, {"set": {"standby_selector": "BAT"}}))
    selected, exhausted = flight.instants
    assert selected["seconds"] == 2 * 60 and exhausted["seconds"] == pytest.approx((2 + REPORTED_MIN) * 60, abs=1e-3)
    assert exhausted["text"] == "Main battery is empty" and "empty" not in selected["text"]
    assert {c["function"]: c["after"] for c in exhausted["worse"]} == {
        "hot_battery_bus_power": "lost", "battery_bus_power": "lost", "standby_dc_power": "lost", "standby_ac_power": "lost"}  # fmt: skip
    assert unsupplied(flight.after, *STANDBY, *MAIN_AC) == STANDBY
    assert flight.after.status("main_battery") == "spent"
    assert flight.batteries == [{"id": "main_battery", "name": "Main battery", "charge": 0, "amp_hours": 0}]


def test_in_time_endurance_says_the_same(on_battery):
    """[N]"""
    (battery,) = ff.endurance(on_battery, "flight", derating=1, charge=1).batteries
    assert battery["minutes"] == {"low": pytest.approx(REPORTED_MIN), "high": pytest.approx(REPORTED_MIN)}


def test_in_time_back_to_automatic_halfway_keeps_what_is_left_in_the_battery(relay_open):
    """The what-if of the published analysis: the charger carries the hot battery bus again, the two buses stay dead."""
    flight = flown(relay_open, (0, {"set": {"standby_selector": "BAT"}}), (REPORTED_MIN / 2, {"set": {"standby_selector": "AUTO"}}))
    assert len(flight.instants) == 2 and unsupplied(flight.after, *STANDBY, *MAIN_AC) == {"battery_bus", "standby_dc"}
    assert flight.batteries[0]["charge"] == pytest.approx(0.5)


def test_in_time_the_selector_back_at_automatic_after_exhaustion_revives_the_hot_battery_bus(relay_open):
    """[N] on the ground."""
    flight = flown(relay_open, (0, {"set": {"standby_selector": "BAT"}}), (150, {"set": {"standby_selector": "AUTO"}}))
    assert flight.instants[1]["seconds"] == pytest.approx(REPORTED_MIN * 60, abs=1e-3)
    assert unsupplied(flight.after, *STANDBY) == {"battery_bus", "standby_dc"}
