"""What the crew can do, in Python: previews, what brings a function back, checklists, dead controls."""

import sys
from pathlib import Path

import fedfrom as ff
import fedfrom.types
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from test_values import same_keys  # noqa: E402

OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"


@pytest.fixture(scope="module")
def net():
    return ff.Network(ff.read_model(OSTREA), variant="b")


@pytest.fixture
def state(net):
    """Both starter-generators lost."""
    state = net.running_state().fail("sg_l").fail("sg_r")
    ff.settle(state)
    return state


MAINS = {"set": {"battery_switch": "MAINS"}}


def test_the_battery_on_the_mains_is_found_and_told_what_it_brings(state):
    back = ff.restore(state)
    assert back.complete and back.complete_to == 3 and back.combinations > 10_000
    assert [s["actions"] for s in back] == [MAINS]
    (mains,) = back.sets
    assert {c["function"] for c in mains["goals"]} >= {"gear_retraction", "main_power", "medical_power"}
    assert mains["worse"] == [] and mains["undone"]["complete"] and mains["single_failures"] is None
    assert back.best_single["actions"] == MAINS
    seen = ff.preview(state, MAINS)
    assert {c["function"] for c in seen.gained} >= {c["function"] for c in mains["goals"]}
    assert seen.gained == mains["gained"] and seen.elements == mains["elements"]


def test_goals_may_be_one_or_several(state):
    one = ff.restore(state, "main_power", most_actions=1)
    assert [g["function"] for g in one.goals] == ["main_power"] and one.goals[0]["sets"] == [0]
    assert {g["function"] for g in ff.restore(state, ["main_power", "reverse"]).goals} == {"main_power", "reverse"}
    assert ff.restore(state, "main_power", to="normal").sets == []
    for wrong, error in [({"goals": "main_pwr"}, ff.UnknownId), ({"goals": 3}, ValueError), ({"to": "lost"}, ValueError), ({"reach": "wing"}, ValueError), ({"most_actions": 4}, ff.NotPossible)]:
        with pytest.raises(error):
            ff.restore(state, **wrong)


def test_what_then_hurts_is_asked_for(state):
    (mains,) = ff.restore(state, next=True).sets
    assert mains["single_failures"] > 0
    depth = {"normal": 0, "degraded": 1, "unknown": 2, "lost": 3}
    for hurt in mains["next"]:
        assert depth[hurt["then"]] > depth[hurt["now"]]
        alone = ff.settle(state.copy().fail(hurt["element"], hurt["mode"]))
        both = ff.settle(state.copy().set("battery_switch", "MAINS").fail(hurt["element"], hurt["mode"]))
        assert alone.level(hurt["function"]) == hurt["now"] and both.level(hurt["function"]) in (hurt["then"], "unknown")


def test_a_search_is_watched_and_cancelled(state):
    parts = []
    ff.restore(state, most_actions=2, progress=parts.append)
    assert parts[-1] == 1.0
    cancelled = ff.restore(state, progress=lambda part: False)
    assert not cancelled.complete and "Incomplete" in str(cancelled)

    def interrupt(part):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        ff.restore(state, progress=interrupt)


def test_a_checklist_marks_what_does_nothing(state):
    played = ff.follow(state, [MAINS, MAINS, {"set": {"fuel_valve_l": "closed"}}])
    assert [s["nothing"] for s in played] == [False, True, True]
    assert played.steps[1]["idle"] == [{"action": "Battery switch at MAINS", "reason": "It is at MAINS already."}]
    assert played.steps[2]["refused"][0]["reason"].startswith("Nobody sets `fuel_valve_l` directly")
    frame = played.to_dataframe()
    assert frame["nothing"].tolist() == [False, True, True] and frame["refused"].tolist() == [False, False, True]


def test_controls_dead_and_alive_are_told_apart(net, state):
    healthy, now = ff.dead_controls(net), ff.dead_controls(state)
    assert set(now.dead) | set(now.alive) == {c["id"] for c in now} and not set(now.dead) & set(now.alive)
    assert "flap_lever" in healthy.alive and "flap_lever" in now.dead
    for control in now:
        for position in control["positions"]:
            after = ff.settle(state.copy().set(control["id"], position["position"])).to_dict()
            before = ff.settle(state.copy()).to_dict()
            changed = [f for f in before["level"] if any(before[k][f] != after[k][f] for k in ("level", "mode", "now"))]
            assert len(changed) == position["functions"], control["id"]
            if control["does"] == "nothing":
                assert before["status"] == after["status"] and before["shows"] == after["shows"]


def test_dicts_have_the_keys_of_their_types(state):
    same_keys(fedfrom.types.PreviewDict, ff.preview(state, MAINS).to_dict())
    same_keys(fedfrom.types.RestoreDict, ff.restore(state, next=True).to_dict())
    same_keys(fedfrom.types.FollowedDict, ff.follow(state, [MAINS]).to_dict())
    for control in ff.dead_controls(state):
        same_keys(fedfrom.types.Control, control)


def test_frames_have_typed_columns(net, state):
    pytest.importorskip("pandas")
    sets = ff.restore(state).to_dataframe()
    assert sets["undoable"].dtype == "boolean" and "main_power" in sets["function"].tolist()
    assert list(ff.restore(net).to_dataframe().columns) == list(sets.columns) and len(ff.restore(net).to_dataframe()) == 0
    assert ff.restore(state).to_dataframe("goals")["sets"].dtype == "Int64"
    seen = ff.preview(state, MAINS)
    assert seen.to_dataframe("elements")["tripped_after"].dtype == "boolean" and len(seen.to_dataframe("lasting")) == 0
    assert ff.dead_controls(state).to_dataframe()["functions"].dtype == "Int64"
    for value in (seen, ff.restore(state)):
        with pytest.raises(ValueError, match="`of` is"):
            value.to_dataframe("gauges")
