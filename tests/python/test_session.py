"""Sessions from Python, and states as bytes."""

import pickle
import random
from pathlib import Path

import fedfrom as ff
import pytest

ROOT = Path(__file__).parents[2]
OSTREA = ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")


@pytest.fixture(params=["", "b"])
def net(request):
    return ff.Network(OSTREA, variant=request.param)


def test_a_session_starts_from_a_network_or_a_state(net):
    assert ff.Session(net).state() == net.running_state()
    state = net.running_state().fail("batt")
    assert ff.Session(state).status("batt") == "failed"


def test_what_a_session_tells_is_what_settling_says(net):
    rng = random.Random(4)
    session, state = ff.Session(net), net.running_state()
    known = ff.settle(state)
    for _ in range(60):
        element, mode = rng.choice(net.failures)
        for one in (session, state):
            one.fail(element, mode)
        changes = session.settle()
        out = ff.settle(state)
        assert session.state() == state
        told = {(c.of, c.id): (c.before, c.after) for c in changes}
        assert [c for c in changes if c.reason == f"{c.id} stands at {c.after}" or (c.of == "tripped" and c.reason == f"{c.id} has tripped")] == []
        for function in net.functions:
            if out.level(function) != known.level(function):
                assert told["function", function] == (known.level(function), out.level(function))
            assert session.level(function) == out.level(function)
            assert session.mode(function) == out.mode(function)
            assert session.now(function) == out.now(function)
        for id in net.elements:
            assert session.status(id) == out.status(id)
            assert session.position(id) == out.position(id)
            assert session.tripped(id) == out.tripped(id)
            assert session.shows(id) == out.shows(id)
            assert (("status", id) in told) == (out.status(id) != known.status(id))
        known = out
        if len(state.failures) > 8:
            session.clear_all().settle()
            known = ff.settle(state.clear_all())


def test_a_change_says_what_decided_it_and_gives_plain_values(net):
    session = ff.Session(net)
    line = next(c for c in session.fail("batt").settle() if c.id == "batt")
    assert str(line) == "batt: supplied -> failed, because batt loss"
    assert line.to_dict() == {"of": "status", "id": "batt", "before": "supplied", "after": "failed", "mode_before": None,
                              "mode_after": None, "now_before": None, "now_after": None, "reason": "batt loss"}


def test_passes_that_run_out_are_said_and_gone_on_with(net):
    session, whole = ff.Session(net), ff.Session(net)
    for one in (session, whole):
        one.fail("sg_l").fail("sg_r")
    whole.settle()
    calls = 1
    session.settle(passes=1)
    while session.still_moving:
        session.settle(passes=1)
        calls += 1
    assert calls > 1
    assert session.state() == whole.state()


def test_the_fire_bottle_is_used_once(net):
    session = ff.Session(net).use("fire_extinguishing", "bottle")
    session.settle()
    assert session.status("fire_bottle") == "spent"
    assert session.level("fire_extinguishing") == "lost"
    with pytest.raises(ff.NotPossible, match="takes more than its stores still hold"):
        session.use("fire_extinguishing", "bottle")
    with pytest.raises(ff.NotPossible, match="spends a store or bars"):
        session.use("gear_extension", "powered")
    assert ff.settle(net.running_state().use("fire_extinguishing", "bottle")).level("fire_extinguishing") == "lost"


def test_what_the_aircraft_does_not_allow_raises_and_changes_nothing(net):
    session = ff.Session(net)
    for error, event in [
        (ff.UnknownId, lambda: session.fail("bat")),
        (ff.NotPossible, lambda: session.fail("batt", "jam")),
        (ff.NotPossible, lambda: session.fail("batt", at="in")),
        (ff.NotPossible, lambda: session.set("main_l", "open")),
        (ff.NotPossible, lambda: session.reset("batt")),
    ]:
        with pytest.raises(error):
            event()
    assert session.settle() == []
    with pytest.raises(TypeError, match=r"Pickle its state\(\)"):
        pickle.dumps(session)


def test_a_step_is_applied_whole_or_not_at_all(net):
    session, state = ff.Session(net), net.running_state()
    step = {"fail": ["sg_l", ("fuel_valve_l", "stuck", "open")], "set": {"fire_handle_l": "PULLED"}, "given": {"icing": True}}
    assert session.apply(step) is session and state.apply(step) is state
    session.settle()
    ff.settle(state)
    assert session.state() == state
    assert session.position("fuel_valve_l") == "open" and session.level("fuel_shutoff_l") == "lost"
    for one in (session, state):
        for error, wrong in [
            (ff.NotPossible, {"fail": ["sg_r"], "set": {"main_l": "open"}}),
            (ff.NotPossible, {"fail": ["sg_r"], "reset": ["batt"]}),
            (ff.NotPossible, {"fail": ["sg_r"], "use": [("fire_extinguishing", "bottle"), ("fire_extinguishing", "bottle")]}),
            (ff.UnknownId, {"fail": ["sg_r", "bat"]}),
            (ValueError, {"fail": ["sg_r"], "spend": ["fire_bottle"]}),
            (ValueError, {"use": [("fire_extinguishing",)]}),
            (ValueError, {"clear_all": "yes"}),
        ]:
            with pytest.raises(error):
                one.apply(wrong)
    assert session.settle() == []
    assert session.state() == state and ("sg_r", "loss") not in state.failures


def test_a_step_uses_and_clears_what_a_question_s_steps_do(net):
    used = [{"use": [("fire_extinguishing", "bottle")]}]
    works = ff.what_works(net, steps=used)
    session = ff.Session(net)
    session.apply(used[0]).settle()
    assert works.level("fire_extinguishing") == session.level("fire_extinguishing") == "lost"
    assert works.state == session.state()
    with pytest.raises(ff.NotPossible, match="takes more than its stores still hold"):
        ff.what_works(net, steps=[*used, *used])
    assert ff.what_works(net, steps=[*used, {"repair": ["fire_bottle"]}, *used]).status("fire_bottle") == "spent"

    cleared = ff.what_works(net, steps=[{"fail": ["sg_l"]}, {"clear_all": True, "fail": ["sg_r"]}])
    assert cleared.state.failures == [("sg_r", "loss")]
    session.apply({"clear_all": True, "fail": ["sg_r"]}).settle()
    assert session.level("fire_extinguishing") == "normal" and session.state().failures == [("sg_r", "loss")]
    # One step taken apart: cleared last, the right generator lives. The other order is another outcome.
    assert ff.what_works(net, steps=[{"clear_all": True, "fail": ["sg_r"]}]).order_matters


def test_six_applications_are_six_and_the_order_of_uses_is_theirs():
    net = ff.Network(OSTREA)
    once = ("wheel_braking", "accumulator")
    session = ff.Session(net)
    session.apply({"fail": ["power_pack"], "use": [once] * 6}).settle()
    assert session.status("brake_reserve") == "spent" and session.level("wheel_braking") == "lost"
    with pytest.raises(ff.NotPossible, match="stores still hold"):
        session.apply({"use": [once]})
    with pytest.raises(ff.NotPossible, match="stores still hold"):
        net.running_state().apply({"use": [once] * 7})


def test_a_reset_that_is_used_up_is_refused_by_name(net):
    session = ff.Session(net)
    session.fail("main_l", "short").settle()
    assert session.tripped("line_contactor_l") and not session.tripped("line_contactor_r")
    session.reset("line_contactor_l")
    told = {(c.of, c.id): c.after for c in session.settle()}
    assert ("tripped", "line_contactor_l") not in told and session.tripped("line_contactor_l")  # onto the fault: it trips again
    for event in (lambda: session.reset("line_contactor_l"), lambda: session.apply({"reset": ["line_contactor_l"]})):
        with pytest.raises(ff.NotPossible, match=r"`line_contactor_l` has been reset as often as it may be \(1\)"):
            event()
    with pytest.raises(ff.NotPossible, match="replaced on the ground"):
        session.reset("battery_limiter")


def test_what_is_unknown_is_told_as_none():
    """A flasher: each position sends it to the other. What hangs on it is unknown, and nothing of it is shown as working."""
    net = ff.Network(ff.Model(name="Flasher", elements={
        "battery": {"kind": "battery"},
        "switch": {"kind": "switch", "positions": ["OFF", "ON"], "reach": "cockpit"},
        "relay": {"kind": "relay", "positions": ["off", "on"], "after_s": 1, "passes_in": ["on"],
                  "goes": [{"to": "on", "when": {"all": [{"at": {"relay": "off"}}, {"contact": {"switch": "ON"}}]}}]},
        "lamp": {"kind": "light", "inputs": {"power": [{"from": "battery", "via": ["relay"]}]},
                 "shows": [{"text": "lit", "when": "battery"}], "unpowered": "out"},
    }, functions={"see": {"modes": {"lamp": {"rank": 1, "when": "lamp"}}}}))  # fmt: skip
    session = ff.Session(net)
    session.set("switch", "ON").settle()
    assert session.hunting == ["relay"]
    assert session.position("relay") is None and session.status("lamp") == "unknown" and session.shows("lamp") is None
    assert session.level("see") == "unknown" and session.mode("see") is None and session.now("see") is None


def test_a_session_goes_to_bytes_and_on_from_them(net):
    session = ff.Session(net)
    session.fail("sg_l").settle()
    saved = session.snapshot()
    assert saved == ff.snapshot(session.state())
    session.fail("sg_r").settle()
    session.load(ff.read_snapshot(net, saved))
    assert {c.id for c in session.settle()} >= {"sg_r", "main_r", "main_power"}
    assert session.snapshot() == saved

    elsewhere = pickle.loads(pickle.dumps(session.state()))  # brings a network of its own
    session.fail("sg_r").settle()
    session.load(elsewhere)
    session.settle()
    assert session.state() == elsewhere
    other = ff.Network(OSTREA, variant="" if net.model.variant else "b")
    with pytest.raises(ff.NotPossible, match="of another network"):
        session.load(other.running_state())


def test_states_and_outcomes_are_equal_where_the_aircraft_is(net):
    state = net.running_state().fail("sg_l")
    out = ff.settle(state)
    for elsewhere in (pickle.loads(pickle.dumps(out)), pickle.loads(pickle.dumps(state))):
        assert elsewhere == (out if isinstance(elsewhere, ff.Outcome) else state)
    assert pickle.loads(pickle.dumps(out)).to_dict() == out.to_dict()
    assert state != ff.Network(OSTREA, variant="" if net.model.variant else "b").running_state().fail("sg_l")
    assert state != net.running_state()
    change = ff.Session(net).fail("batt").settle()[0]
    assert change == ff.Session(pickle.loads(pickle.dumps(net))).fail("batt").settle()[0]
    with pytest.raises(TypeError, match=r"Pickle its to_dict\(\)"):
        pickle.dumps(change)


def test_a_state_goes_to_bytes_and_back_here_and_elsewhere(net):
    state = net.running_state().fail("sg_l").fail("batt")
    ff.settle(state)
    data = ff.snapshot(state)
    assert ff.read_snapshot(net, data) == state
    elsewhere = pickle.loads(pickle.dumps(state))
    assert elsewhere == state and ff.snapshot(elsewhere) == data
    assert ff.settle(elsewhere.fail("sg_r")).to_dict() == ff.settle(state.fail("sg_r")).to_dict()


def test_a_snapshot_of_another_aircraft_is_refused_with_what_differs():
    data = ff.snapshot(ff.Network(OSTREA).running_state())
    with pytest.raises(ff.SnapshotMismatch, match='Its variant is "", here "b"'):
        ff.read_snapshot(ff.Network(OSTREA, variant="b"), data)
    with pytest.raises(ff.SnapshotMismatch, match="cut short"):
        ff.read_snapshot(ff.Network(OSTREA), data[:-1])


def test_malfunctions_are_every_failure_with_its_handle(net):
    listed = ff.malfunctions(net)
    assert [(m["element"], m["mode"]) for m in listed] == net.failures
    assert [m["handle"] for m in listed] == list(range(len(listed)))
    assert all(m["name"] for m in listed)


def test_what_is_bistable_depends_on_where_the_aircraft_came_from(net):
    differ = set(ff.bistable(net))
    running, cold = ff.settle(net.running_state()), ff.settle(net.cold_state())
    assert differ == {e for e in net.elements if (running.status(e), running.position(e)) != (cold.status(e), cold.position(e))}
