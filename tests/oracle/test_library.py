"""The library against the slow reference on random models, and properties that need no reference.

1,500 models by default, 30,000 with FEDFROM_LONG=1; the same ones on every machine.
"""

import json
import os
import random
import sys
from collections import Counter
from pathlib import Path

import fedfrom as ff
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from compare import STEPS, apply, compare  # noqa: E402
from random_models import failure_modes, hands, model_features, random_events, random_model  # noqa: E402
from reference import KINDS, Reference  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
MODELS = 30_000 if LONG else 1_500

# Few, large examples: the seeds are what is drawn, so shrinking has nothing to give.
examples = settings(max_examples=2_000 if LONG else 150, deadline=None, derandomize=True, database=None)
seeds = st.integers(0, 2**32)


def built(model):
    """Its network, or None where the model is refused for a negative cycle or a ring of positions."""
    try:
        return ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError as e:
        assert {d.code for d in e.diagnostics} <= {"negative_cycle", "position_ring"}, str(e)
        return None


def accepted(seed, **features):
    """(model, network) of a seed; drops the example where the model is refused."""
    model = random_model(seed, features=features or None)
    net = built(model)
    assume(net is not None)
    return model, net


def settled(state, step=()):
    for event in step:
        apply(state, event)
    return ff.settle(state).to_dict()


# ------------------------------------------------------------------- library and reference


def met(seed, model):
    """What occurs while the library settles a model through its events, as words to count."""
    net = built(model)
    if net is None:
        return set()
    state, cold = net.running_state(), net.cold_state()
    words = {"bistable"} if state != cold else set()
    reference = theirs = None
    for n, step in enumerate([[], *random_events(seed, model, STEPS)]):
        out = settled(state, step)
        words |= {f"event:{event[0]}" for event in step} | {f"failed:{event[2]}" for event in step if event[0] == "fail"}
        words |= {f"status:{s}" for s in out["status"].values()} | {f"level:{v}" for v in out["level"].values()}
        words |= {f"medium:{m}" for _, m in out["zone"]} | {key for key in ("tripped", "empty", "holding", "hunting") if out[key]}
        words |= {"unknown:" + key for key in ("position", "passes", "shows") if None in out[key].values()}
        if out["hunting"]:
            # the one thing compare() leaves out: who hunts
            reference = reference or Reference(json.loads(json.dumps(model)))
            theirs = reference.running_state()
            for earlier in [[], *random_events(seed, model, STEPS)][:n + 1]:
                said = reference.settle(theirs.apply(earlier)).hunting
            assert out["hunting"] == sorted({cell.split(":")[1] for cell in said}), (seed, n)
    return words


def with_manual(seed, model):
    """Now and then what the ground crew would plug in is worked by hand instead: the one kind that is not drawn."""
    if seed % 4 == 0:
        for e in model["elements"].values():
            if e["kind"] == "external_power":
                e["kind"] = "manual"
    return model


@pytest.fixture(scope="module")
def compared():
    """(differences by seed, how many models were met in each way, in how many accepted ones each feature and outcome occurs)."""
    wrong, ways, occurs = {}, Counter(), Counter()
    for seed in range(MODELS):
        model = with_manual(seed, random_model(seed))
        way, found = compare(seed, model=model)
        if found:
            wrong[seed] = (way, found[:3])
            continue
        ways[way] += 1
        if way == "accepted":
            occurs.update(model_features(model) | met(seed, model))
    return wrong, ways, occurs


def test_library_and_reference_agree(compared):
    """After every step of every model: the same status, position, level, reading, trip, zone and refusal."""
    wrong, ways, _ = compared
    shown = "\n".join(f"seed {seed}, {way}: {found}" for seed, (way, found) in list(wrong.items())[:10])
    assert not wrong, f"{len(wrong)} of {MODELS} models differ\n{shown}"
    assert set(ways) == {"accepted", "rejected"} and ways["accepted"] > MODELS / 2 and ways["rejected"] > MODELS / 50


CONDITIONS = ("supplied", "all", "any", "at_least", "not", "at", "passes", "tripped", "set", "contact", "given", "failure", "level")
EXPECTED = (
    {f"kind:{kind}" for kind in KINDS}
    | {f"condition:{op}" for op in CONDITIONS}
    | {f"key:{key}" for key in ("needs", "goes", "follows", "without", "protects", "shows", "holds_in", "after_s", "store", "reach")}
    | {f"port:{port}" for port in ("power", "control", "field", "hydraulic", "pneumatic", "drive", "cooling", "data", "sensing")}
    | {f"join:{join}" for join in ("priority", "at_least", "parallel")}
    | {f"via:{kind}" for kind in ("breaker", "fuse", "current_limiter", "contactor", "relay", "valve", "diode", "check_valve")}
    | {f"tie_via:{kind}" for kind in ("breaker", "fuse", "current_limiter", "contactor", "relay", "valve")}
    | {f"unfitted:{left}" for left in ("plain", "bridged", "cut")}
    | {"tie", "tie_placed", "ties_3_or_more", "via_plain", "via_subset", "multi_port", "function", "demand", "fallible_false", "unpowered_stays",
       "motor_valve", "normally_closed", "two_withouts", "mode:stuck:at", "mode:leak:fluid", "mode:contacts", "key:spend", "key:bars"}
    | {f"event:{event}" for event in ("fail", "repair", "reset", "set", "given", "use", "clear_all")}
    | {f"failed:{mode}" for mode in ("loss", "stuck", "no_trip", "short", "leak", "jam", "contacts", "standby_mode")}
    | {f"status:{s}" for s in ("supplied", "unsupplied", "off", "failed", "dragged_down", "spent", "not_fitted", "unknown")}
    | {f"level:{v}" for v in ("normal", "degraded", "lost", "not_fitted", "unknown")}
    | {f"medium:{m}" for m in ("electrical", "hydraulic", "pneumatic", "mechanical")}
    | {f"unknown:{what}" for what in ("position", "passes", "shows")}
    | {"bistable", "tripped", "empty", "holding", "hunting"}
)


def test_every_feature_occurs(compared):
    """The comparison means something only of what the random models contain: everything, in one model of a hundred or more."""
    _, ways, occurs = compared
    enough = {"failed:standby_mode": ways["accepted"] / 1000, "unknown:shows": ways["accepted"] / 300}  # seldom drawn
    rare = {word: occurs[word] for word in sorted(EXPECTED) if occurs[word] < enough.get(word, ways["accepted"] / 100)}
    assert not rare


# ------------------------------------------------------------------- properties


@examples
@given(seeds, st.data())
def test_order_of_events_in_a_step_does_not_matter(seed, data):
    """Any order of the events of a step gives the same outcome and the same state."""
    model, net = accepted(seed)
    state = net.running_state()
    for step in random_events(seed, model, 4):
        other = state.copy()
        assert settled(state, step) == settled(other, data.draw(st.permutations(step)))
        assert state == other


def shuffled(value, r):
    """The same document with the keys of every object in another order; lists keep theirs."""
    if isinstance(value, dict):
        keys = list(value)
        r.shuffle(keys)
        return {key: shuffled(value[key], r) for key in keys}
    return [shuffled(item, r) for item in value] if isinstance(value, list) else value


@examples
@given(seeds, st.randoms(use_true_random=False))
def test_order_of_keys_does_not_matter(seed, r):
    """The same model written in another order is equal, and answers the same."""
    model, net = accepted(seed)
    text = json.dumps(shuffled(model, r))
    other = ff.Network(ff.parse_model(text))
    assert ff.parse_model(text) == ff.parse_model(json.dumps(model))
    a, b = net.running_state(), other.running_state()
    for step in [[], *random_events(seed, model, 4)]:
        assert settled(a, step) == settled(b, step)


@examples
@given(seeds)
def test_settling_twice_changes_nothing(seed):
    """settle(settle(s)) == settle(s), also where something hunts, and for the running and the cold state."""
    model, net = accepted(seed)
    for state in (net.running_state(), net.cold_state()):
        for step in [[], *random_events(seed, model, 4)]:
            out, before = settled(state, step), state.copy()
            assert settled(state) == out and state == before


@examples
@given(seeds)
def test_settling_twice_changes_nothing_that_hunts(seed):
    """The same where something chases itself in every model."""
    model, net = accepted(seed, chase=True, memory=True)
    state = net.running_state()
    for step in [[], *random_events(seed, model, 4)]:
        out, before = settled(state, step), state.copy()
        assert settled(state) == out and state == before
        for id in out["hunting"]:  # it stands nowhere that could be named
            if not model["elements"][id].get("holds_in") and "protects" not in model["elements"][id]:
                assert out["position"][id] is None


def without_memory(model):
    """Nothing that stays, is timed or holds in."""
    return not any(e.get("after_s") or e.get("holds_in") or any(word == "stays" for _, word in e.get("without", [])) for e in model["elements"].values())


def without_frozen_pointers(model, out):
    """A pointer that stays shows its last reading: a memory of its own."""
    return out | {"shows": {id: text for id, text in out["shows"].items() if model["elements"][id].get("unpowered") != "stays"}}


@examples
@given(seeds)
def test_repairing_everything_returns_to_the_running_state(seed):
    """Without memory, an aircraft put right is the aircraft it was: trips, empty tanks and stuck valves leave nothing behind."""
    model, net = accepted(seed, memory=False, holders=False, chase=False)
    assume(without_memory(model))
    running = net.running_state()
    state = running.copy()
    for step in random_events(seed, model, 5):
        settled(state, [event for event in step if event[0] != "use"])  # what was used stays barred (M23)
    for id in net.elements:
        if model["elements"][id].get("fitted", True):
            state.repair(id)
    for id in hands(model):
        state.set(id, running.hand(id))
    for id, value in model["given"].items():
        state.given(id, value)
    assert without_frozen_pointers(model, settled(state)) == without_frozen_pointers(model, settled(running))
    if not any(e.get("unpowered") == "stays" for e in model["elements"].values()):
        assert state == running


def all_positive(condition):
    """The condition without its negations; a leaf that reads no supply becomes true."""
    if isinstance(condition, str):
        return condition
    if "not" in condition:
        return all_positive(condition["not"])
    for op in ("all", "any", "of"):
        if op in condition:
            return condition | {op: [all_positive(c) for c in condition[op]]}
    return condition if set(condition) <= {"given", "level"} else {"all": []}


def purely_positive(model):
    """The model with every negation, motion, memory and loop of its own taken out: only what being supplied helps is left."""
    model = json.loads(json.dumps(model))
    by_contact = set()  # devices read in positions of the author's choice
    vias = [f.get("via", []) for e in model["elements"].values() for port in e.get("inputs", {}).values()
            for f in (port if isinstance(port, list) else port.get("of", port.get("parallel"))) if isinstance(f, dict)]
    for via in vias + [t.get("via", []) for t in model.get("ties", {}).values()]:
        by_contact |= {id for device in via if isinstance(device, dict) for id in device}
    for id, e in model["elements"].items():
        for key in ("goes", "follows", "after_s", "holds_in", "without", "shows", "unpowered"):
            e.pop(key, None)
        if e.get("positions", KINDS[e["kind"]][0]):
            e.pop("rest", None)
            # a contactor or relay opens without its control; every other device stands still
            if id in by_contact or e["kind"] not in ("contactor", "relay") or "positions" in e or set(e.get("inputs", {})) - {"control"}:
                e.pop("inputs", None)
        if "needs" in e:
            e["needs"] = all_positive(e["needs"])
        if isinstance(e.get("protects"), dict):
            e["protects"].pop("needs", None)
    for function in model.get("functions", {}).values():
        for mode in function["modes"].values():
            mode["when"] = all_positive(mode["when"])
    return model


BETTER = {"normal": 2, "degraded": 1, "lost": 0, "not_fitted": -1}


@examples
@given(seeds)
def test_a_loss_never_helps_a_purely_positive_model(seed):
    """Where nothing acts because something is gone, no further loss brings anything back."""
    model = purely_positive(random_model(seed))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)  # a condition that read the supply of what now only has a position
    r = random.Random(seed)
    can_be_lost = [id for id, mode in net.failures if mode == "loss"]
    for _ in range(4):
        state = net.running_state()
        before = settled(state)
        for id in r.sample(can_be_lost, min(6, len(can_be_lost))):
            now = settled(state, [("fail", id, "loss")])
            assert not now["hunting"]
            gained = [i for i, s in now["status"].items() if s == "supplied" and before["status"][i] != "supplied"]
            raised = [f for f, v in now["level"].items() if BETTER[v] > BETTER[before["level"][f]]]
            assert not gained and not raised, id
            before = now


@examples
@given(seeds)
def test_every_failure_can_be_inserted_and_removed(seed):
    """The library lists the failure modes the document and its kinds give, and each alone can be put in and taken out again."""
    model, net = accepted(seed)
    expected = [(id, mode) for id, e in sorted(model["elements"].items()) if e.get("fallible", True) for mode in sorted({*failure_modes(e), *net_modes(e)})]
    fitted = {id for id, e in model["elements"].items() if e.get("fitted", True)}
    assert sorted(f for f in net.failures if f[0] in fitted) == [f for f in expected if f[0] in fitted]
    running = net.running_state()
    clean = settled(running.copy())
    forgetful = without_memory(model) and not any(e.get("unpowered") == "stays" for e in model["elements"].values())
    for id, mode in net.failures:
        state = running.copy().fail(id, mode)
        settled(state)
        if forgetful:
            for other in fitted:
                state.repair(other)
            assert settled(state) == clean, (id, mode)


def net_modes(element):
    """The kind's own modes, which an author's list adds to."""
    return failure_modes({"kind": element["kind"]})
