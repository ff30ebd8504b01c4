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
        for function in net.functions:
            if out.level(function) != known.level(function):
                assert told["function", function] == (known.level(function), out.level(function))
            assert session.level(function) == out.level(function)
        for id in net.elements:
            assert session.status(id) == out.status(id)
            assert session.position(id) == out.position(id)
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


def test_a_state_goes_to_bytes_and_back_here_and_elsewhere(net):
    state = net.running_state().fail("sg_l").fail("batt")
    ff.settle(state)
    data = ff.snapshot(state)
    assert ff.restore(net, data) == state
    elsewhere = pickle.loads(pickle.dumps(state))
    assert ff.snapshot(elsewhere) == data
    assert ff.settle(elsewhere.fail("sg_r")).to_dict() == ff.settle(state.fail("sg_r")).to_dict()


def test_a_snapshot_of_another_aircraft_is_refused_with_what_differs():
    data = ff.snapshot(ff.Network(OSTREA).running_state())
    with pytest.raises(ff.SnapshotMismatch, match='Its variant is "", here "b"'):
        ff.restore(ff.Network(OSTREA, variant="b"), data)
    with pytest.raises(ff.SnapshotMismatch, match="cut short"):
        ff.restore(ff.Network(OSTREA), data[:-1])


def test_malfunctions_are_every_failure_with_its_handle(net):
    listed = ff.malfunctions(net)
    assert [(m["element"], m["mode"]) for m in listed] == net.failures
    assert [m["handle"] for m in listed] == list(range(len(listed)))
    assert all(m["name"] for m in listed)


def test_what_is_bistable_depends_on_where_the_aircraft_came_from(net):
    differ = set(ff.bistable(net))
    running, cold = ff.settle(net.running_state()), ff.settle(net.cold_state())
    assert differ == {e for e in net.elements if (running.status(e), running.position(e)) != (cold.status(e), cold.position(e))}
