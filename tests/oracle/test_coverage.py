"""What checks reveal, against playing every check on every failure alone, one settle after another.

Nothing of `check_coverage` is used to find what is expected. A path is cut here by writing one more device into the model's
text, one path at a time, and failing it.
"""

import itertools
import json
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from lamps import seen, with_lamps  # noqa: E402
from random_models import hands, random_events, random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"
examples = settings(max_examples=3_000 if LONG else 150, deadline=None, derandomize=True, database=None)

met = {"models": 0, "revealed": 0, "hidden": 0, "silent": 0, "unmet": 0, "unknown": 0, "alike": 0, "redundant": 0, "proved": 0, "unproved": 0, "hunting": 0, "frozen": 0}


def shows(model, state):
    return seen(model, ff.settle(state))


def play(model, state, check):
    """What each step reads; None where unknown, or nothing is looked at."""
    state, read = state.copy(), []
    for step in check["steps"]:
        for id, at in step.get("do", {}).get("set", {}).items():
            if id in state.network.elements and ff.settle(state.copy()).status(id) != "not_fitted":
                state.set(id, at)
        for id, value in step.get("do", {}).get("given", {}).items():
            state.given(id, value)
        shown = shows(model, state)
        read.append(shown.get(step["look_at"]) if step.get("look_at") else None)
    return read


def with_failure(state, failure):
    state = state.copy()
    state.fail(*failure)
    ff.settle(state)
    return state


def random_checks(seed, model, state):
    r = random.Random(f"checks {seed}")
    crew = hands(model)
    lamps = sorted(shows(model, state.copy()))
    checks = {}
    for n in range(r.randint(1, 4)):
        steps = []
        for _ in range(r.randint(1, 3)):
            step = {}
            if crew and r.random() < 0.7:
                id = r.choice(sorted(crew))
                step["do"] = {"set": {id: r.choice(crew[id])}}
            if r.random() < 0.2:
                step.setdefault("do", {})["given"] = {r.choice(sorted(model["given"])): r.random() < 0.5}
            if lamps and r.random() < 0.9:
                step["look_at"] = r.choice(lamps)
            steps.append(step)
        check = {"steps": steps}
        for step, read in zip(steps, play(model, state, check)):
            if not step.get("look_at"):
                continue
            element = model["elements"][step["look_at"]]
            texts = [s["text"] for s in element["shows"]] + ([element.get("unpowered", "")] if element.get("unpowered") != "stays" else [])
            step["expect"] = read if read in texts and r.random() < 0.9 else r.choice(texts)
        checks[f"check_{n}"] = check
    return checks


def paths_of(model, net):
    """(element, port, nth feed or tie, the model with a device more in it) of each feed of a port with several."""
    found = []

    def fitted(via):
        return all(model["elements"][d if isinstance(d, str) else next(iter(d))].get("fitted", True) or
                   model["elements"][d if isinstance(d, str) else next(iter(d))].get("left") == "bridged" for d in via)

    def exists(feed):
        if isinstance(feed, dict) and "tie" in feed:
            tie = model["ties"][feed["tie"]]
            return all(model["elements"][e].get("fitted", True) for e in tie["between"]) and fitted(tie.get("via", []))
        source, via = (feed, []) if isinstance(feed, str) else (feed["from"], feed.get("via", []))
        return model["elements"][source].get("fitted", True) and fitted(via)

    for id, element in sorted(model["elements"].items()):
        if not element.get("fitted", True):
            continue
        ends = sorted(t for t, tie in model.get("ties", {}).items() if id in tie["between"])
        ports = {p: (f if isinstance(f, list) else f.get("of") or f.get("parallel")) for p, f in element.get("inputs", {}).items()}
        listed = {f["tie"] for feeds in ports.values() for f in feeds if isinstance(f, dict) and "tie" in f}
        rest = [t for t in ends if t not in listed]
        source = element["kind"] in ("engine", "battery", "external_power", "ram_air_turbine", "reservoir", "accumulator", "bottle", "manual")
        if rest and not ports and not source:
            ports["hydraulic" if element["kind"] in ("pipe", "manifold") else "power"] = []
        for port, feeds in sorted(ports.items()):
            every = [(f"feed {i}", f) for i, f in enumerate(feeds)]
            if rest and len(ports) == 1:
                every += [("tie", {"tie": t}) for t in rest]
            every = [(where, f) for where, f in every if exists(f)]
            if len(every) < 2:
                continue
            for where, feed in every:
                cut = json.loads(json.dumps(model))
                cut["elements"]["the_cut"] = {"kind": "contactor", "fallible": True}
                if isinstance(feed, dict) and "tie" in feed:
                    cut["ties"][feed["tie"]].setdefault("via", []).append("the_cut")
                    a, b = cut["ties"][feed["tie"]]["between"]
                    key = (id, port, b if a == id else a, True)
                else:
                    text = cut["elements"][id]["inputs"][port]
                    place = text if isinstance(text, list) else text.get("of") or text.get("parallel")
                    n = int(where.split()[1])
                    old = place[n] if isinstance(place[n], dict) else {"from": place[n]}
                    place[n] = {**old, "via": [*old.get("via", []), "the_cut"]}
                    key = (id, port, old["from"], False)
                found.append((key, cut))
    return found


def replayed(net, history):
    """The same history on another network."""
    state = net.running_state()
    for step in history:
        for event in step:
            apply(state, event)
        ff.settle(state)
    return state


def check(model, state, checks, history=None):
    coverage = ff.check_coverage(state, checks)
    state = state.copy()
    healthy = shows(model, state)
    failures = [f for f in state.network.failures if f not in state.failures]
    assert [(f["element"], f["mode"]) for f in coverage.failures] == failures
    order = sorted(checks)
    expected = {id: play(model, state, checks[id]) for id in order}
    steps = [(id, n) for id in order for n in range(len(checks[id]["steps"]))]
    assert [(s["check"], s["number"] - 1) for s in coverage.steps] == steps
    read = {f: {id: play(model, with_failure(state, f), checks[id]) for id in order} for f in failures}
    reveals = {f: [] for f in failures}

    def is_met(id, n):
        step = checks[id]["steps"][n]
        return not step.get("look_at") or expected[id][n] == step["expect"]

    for (id, n), said in zip(steps, coverage.steps):
        step = checks[id]["steps"][n]
        assert said["met"] == is_met(id, n) and said["reads"] == expected[id][n]
        met["unmet"] += not said["met"]
        if not step.get("look_at"):
            assert said["wrong"] == {} and said["unknown"] == []
            continue
        wrong, unknown = {}, []
        for f in failures:
            now = read[f][id][n]
            if now is None:
                unknown.append(f)
            elif is_met(id, n) and now != step["expect"]:
                wrong.setdefault(now, []).append(f)
                if id not in reveals[f]:
                    reveals[f].append(id)
        assert said["wrong"] == wrong and said["unknown"] == unknown
        met["unknown"] += len(unknown)
    for f, said in zip(failures, coverage.failures):
        now = shows(model, with_failure(state, f))
        assert said["checks"] == reveals[f]
        assert said["shows"] == [id for id in sorted(now) if None not in (now[id], healthy[id]) and now[id] != healthy[id]]
    hidden = [f for f in failures if not reveals[f]]
    assert coverage.hidden == hidden
    assert coverage.silent == [f for f, said in zip(failures, coverage.failures) if f in hidden and not said["shows"]]
    groups = {}
    for f in failures:
        if reveals[f]:
            looked = [read[f][id][n] for id, n in steps if checks[id]["steps"][n].get("look_at")]
            groups.setdefault(json.dumps(looked), []).append(f)
    assert sorted(coverage.alike) == sorted(g for g in groups.values() if len(g) > 1)
    wanted = {f for f in failures if reveals[f]}

    def revealed_by(ids):
        return {f for f in failures if set(reveals[f]) & set(ids)}

    assert coverage.adds_nothing == [id for id in order if revealed_by(set(order) - {id}) == wanted]
    assert revealed_by(coverage.smallest) == wanted and coverage.smallest_exact
    for size in range(len(coverage.smallest)):
        assert all(revealed_by(ids) != wanted for ids in itertools.combinations(order, size))
    met["models"] += 1
    met["revealed"] += len(wanted)
    met["hidden"] += len(hidden)
    met["silent"] += len(coverage.silent)
    met["alike"] += len(coverage.alike)
    met["redundant"] += len(coverage.adds_nothing)
    met["hunting"] += any(ff.settle(with_failure(state, f)).to_dict()["hunting"] for f in failures)
    met["frozen"] += any(e.get("unpowered") == "stays" for e in model["elements"].values())
    check_paths(model, state, checks, coverage, expected, steps, is_met, healthy, history)


def check_paths(model, state, checks, coverage, expected, steps, is_met, healthy, history):
    said = [((p["element"], p["port"], p["upstream"], p["tie"]), p) for p in coverage.paths]
    mine = paths_of(model, state.network)
    assert sorted(k for k, _ in said) == sorted(k for k, _ in mine)
    left = list(mine)
    for key, path in said:
        candidates = [m for m in left if m[0] == key]
        found = []
        for m in candidates:
            cut = with_failure(replayed(ff.Network(ff.parse_model(json.dumps(m[1]))), history or []), ("the_cut", "loss"))
            read = {id: play(model, cut, checks[id]) for id in checks}
            now = shows(model, cut)
            proved = [(id, n + 1) for id, n in steps if checks[id]["steps"][n].get("look_at") and is_met(id, n)
                      and read[id][n] is not None and read[id][n] != checks[id]["steps"][n]["expect"]]
            found.append((proved, [id for id in sorted(healthy) if None not in (now[id], healthy[id]) and now[id] != healthy[id]]))
        assert (path["proved_by"], path["shows"]) in found, (key, path, found)
        left.remove(candidates[found.index((path["proved_by"], path["shows"]))])
        met["proved" if path["proved_by"] else "unproved"] += 1


@examples
@given(st.integers(0, 2**32))
def test_what_checks_reveal_is_what_playing_them_one_by_one_reveals(seed):
    model = with_lamps(seed, random_model(seed, size=6 + seed % 14, features={"shows": True}))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)
    history = random_events(seed, model, seed % 3)
    state = replayed(net, history)
    assume(shows(model, state.copy()))
    check(model, state, random_checks(seed, model, state), history)


def test_enough_was_met():
    """The comparison means something only where checks reveal, leave hidden, read what is unknown, and paths are proved or not."""
    assert met["models"] > 80 and met["revealed"] > 400 and met["hidden"] > 1000 and met["silent"] > 1000, json.dumps(met)
    assert met["unmet"] > 30 and met["unknown"] > 30 and met["alike"] > 50 and met["redundant"] > 80, json.dumps(met)
    assert met["proved"] > 5 and met["unproved"] > 300 and met["hunting"] > 5 and met["frozen"] > 30, json.dumps(met)


@pytest.mark.parametrize("variant", ["", "b"])
def test_on_the_demo_aircraft(variant):
    net = ff.Network(ff.read_model(OSTREA), variant=variant)
    model = json.loads(ff.write_model(net.model))
    checks = {id: {"steps": c["steps"]} for id, c in model["checks"].items()}
    check(model, net.running_state(), checks)
