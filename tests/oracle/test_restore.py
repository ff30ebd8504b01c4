"""What brings a function back, against trying every set of actions: each settled from a fresh copy of the state.

Nothing of `restore` is used to find what is expected: the actions come from the model's text, the smallest sets
straight from the definition (M28), what cannot be undone and what powers a fault again from plain outcomes (M26, M27).
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
from random_models import hands, random_events, random_model  # noqa: E402
from reference import KINDS  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
MOST_ACTIONS = {2: 30, 3: 13}
OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"
examples = settings(max_examples=20_000 if LONG else 1_000, deadline=None, derandomize=True, database=None)

met = {"sets": 0, "of_two": 0, "of_three": 0, "with_reset": 0, "with_use": 0, "fault": 0, "lasting": 0, "order_matters": 0, "hunting": 0, "goals": 0}


# ------------------------------------------------------------------- what is expected


def actions_of(model, state):
    """(what, id, word) of all a crew in the cockpit can do, by kind and id."""
    net, found = state.network, []
    for id, positions in hands(model).items():
        if model["elements"][id].get("reach", "cockpit") == "cockpit" and id in net.elements:
            found += [("set", id, at) for at in positions if at != state.hand(id)]
    tripped = ff.settle(state.copy()).to_dict()["tripped"]
    for id in tripped:
        protects = model["elements"][id].get("protects")
        by = protects.get("reset_by") if isinstance(protects, dict) else None
        if (by or ("cockpit" if model["elements"][id]["kind"] == "breaker" else "ground")) == "cockpit":
            found.append(("reset", id))
    for f, function in sorted(model.get("functions", {}).items()):
        found += [("use", f, m) for m, mode in sorted(function["modes"].items()) if mode.get("spend") or mode.get("bars")]
    return [a for a in found if taken(state, [a]) is not None]


def taken(state, actions):
    """A copy with the actions applied and not settled; None where one is refused."""
    state = state.copy()
    try:
        for what, *rest in actions:
            getattr(state, what)(*rest)
    except ff.NotPossible:
        return None
    return state


def subsets(actions, most):
    for size in range(1, most + 1):
        for chosen in itertools.combinations(actions, size):
            moved = [a[1] for a in chosen if a[0] == "set"]
            if len(moved) == len(set(moved)):
                yield chosen


def reached(level, to):
    return level == "normal" or (level == "degraded" and to == "degraded")


def smallest(model, state, goals, most):
    """{function: [frozenset of actions]} of every goal; and what every set does, as levels."""
    families = {f: [] for f in goals}
    for chosen in subsets(actions_of(model, state), most):
        after = taken(state, chosen)
        if after is None:
            continue
        out = ff.settle(after)
        for f, to in goals.items():
            demanded = model["functions"][f].get("demand", {}).get("set", {})
            if not reached(out.level(f), to) or any(a[0] == "set" and a[1] in demanded for a in chosen):
                continue
            if not any(part < frozenset(chosen) for part in families[f]):
                families[f].append(frozenset(chosen))
    return families


def actions_in(step):
    return [("reset", id) for id in step.get("reset", [])] + [("set", *s) for s in step.get("set", {}).items()] + [("use", *u) for u in step.get("use", [])]


SEEN = ("status", "position", "level", "mode", "now", "shows", "tripped", "empty", "holding", "hunting")


def check_set(model, state, found, goals):
    """Everything that is said of a set, against plain outcomes."""
    actions = actions_in(found["actions"])
    before = ff.settle(state.copy()).to_dict()
    with_it = taken(state, actions)
    after_outcome = ff.settle(with_it)
    after = after_outcome.to_dict()
    for change in found["goals"]:
        assert change["before"] == before["level"][change["function"]] and change["after"] == after["level"][change["function"]]
        assert reached(change["after"], goals[change["function"]])
    rank = {f: {m: mode["rank"] for m, mode in x["modes"].items()} for f, x in model["functions"].items()}
    depth = {"not_fitted": -1, "normal": 0, "degraded": 1, "unknown": 2, "lost": 3}

    def stands(outcome, f):
        worst = max(rank[f].values())
        return depth[outcome["level"][f]], rank[f].get(outcome["mode"][f], worst) if outcome["level"][f] == "degraded" else 0

    for f in before["level"]:
        was, now = stands(before, f), stands(after, f)
        unclear = (before["level"][f], after["level"][f]) == ("lost", "unknown")
        named = {turn for turn in ("gained", "worse", "other") if any(c["function"] == f for c in found[turn])}
        if unclear:
            assert named == {"other"}
        elif now != was and before["level"][f] != after["level"][f]:
            assert named == ({"gained"} if now < was else {"worse"})
        assert not (named & {"gained"} and after["level"][f] in ("unknown", "lost"))
    changed = {id for id in before["status"] if any(before[k].get(id) != after[k].get(id) for k in ("status", "position", "shows"))}
    changed |= set(before["tripped"]) ^ set(after["tripped"])
    assert {e["id"] for e in found["elements"]} == changed
    # M26
    zone = {tuple(z) for z in after["zone"]} - {tuple(z) for z in before["zone"]}
    reset = {a[1] for a in actions if a[0] == "reset"}
    trips = {id for id in after["tripped"] if id not in before["tripped"] or id in reset}
    if not before["hunting"] and not after["hunting"]:
        assert {tuple(z) for z in found["fault"]["zone"]} == zone and set(found["fault"]["trips"]) == trips
    # M27
    back = with_it.copy()
    for a in actions:
        if a[0] == "set":
            tripped = a[1] in before["tripped"] and a[1] not in after["tripped"]
            back.set(a[1], before["position"][a[1]] if tripped else state.hand(a[1]))
        elif a[0] == "reset" and a[1] in hands(model) and a[1] not in after["tripped"]:
            back.set(a[1], before["position"][a[1]])
    again = ff.settle(back).to_dict()
    for id in reset:
        again["tripped"] = sorted(set(again["tripped"]) | ({id} & set(before["tripped"])))
    same = all(before[k] == again[k] for k in SEEN)
    uses_up = any(a[0] == "use" for a in actions) or reset
    if not same or uses_up:
        assert not found["undone"]["complete"], found
    if found["undone"]["complete"]:
        assert same
    elif same and not uses_up:  # what is left is in what no outcome shows
        assert {x["why"] for x in found["undone"]["lasting"]} <= {"reading"}, found
    # each order of single steps
    ends, restoring = set(), 0
    for order in itertools.permutations(actions):
        s = state.copy()
        for a in order:
            s = taken(s, [a]) if s is not None else None
            if s is not None:
                ff.settle(s)
        if s is None:
            ends.add("refused")
            continue
        out = ff.settle(s).to_dict()
        ends.add(json.dumps([out[k] for k in ("status", "position", "level", "mode", "now", "tripped")], sort_keys=True))
        restoring += all(reached(out["level"][c["function"]], goals[c["function"]]) for c in found["goals"])
    ends.add(json.dumps([after[k] for k in ("status", "position", "level", "mode", "now", "tripped")], sort_keys=True))
    assert found["order_matters"] == (len(ends) > 1), found
    assert (found["orders"], found["orders_restoring"]) == (len(list(itertools.permutations(actions))), restoring)
    met["of_two"] += len(actions) == 2
    met["of_three"] += len(actions) == 3
    met["with_reset"] += bool(reset)
    met["with_use"] += any(a[0] == "use" for a in actions)
    met["fault"] += bool(found["fault"]["zone"] or found["fault"]["trips"] or found["fault"]["emptied"])
    met["lasting"] += bool(found["undone"]["lasting"])
    met["order_matters"] += found["order_matters"]
    met["hunting"] += bool(before["hunting"])
    met["sets"] += 1


def goals_of(state, to=None):
    level = ff.settle(state.copy()).to_dict()["level"]
    goals = {f: to or ("normal" if is_ == "degraded" else "degraded") for f, is_ in level.items() if is_ != "not_fitted"}
    return {f: target for f, target in goals.items() if not reached(level[f], target)}


def check(model, state, most, to=None):
    goals = goals_of(state, to)
    expected = smallest(model, state, goals, most)
    back = ff.restore(state, to=to, most_actions=most)
    assert back.complete and back.complete_to == most
    assert {g["function"] for g in back.goals} == set(goals)
    sets = back.sets
    got = {f: [] for f in goals}
    for found in sets:
        for change in found["goals"]:
            got[change["function"]].append(frozenset(actions_in(found["actions"])))
    for f in goals:
        assert sorted(map(sorted, got[f])) == sorted(map(sorted, expected[f])), f
    met["goals"] += len(goals)
    sizes = [len(actions_in(s["actions"])) for s in sets]
    assert sizes == sorted(sizes)
    for found in sets[:40]:
        check_set(model, state, found, goals)
    check_best(model, state, back.best_single)


def check_best(model, state, best):
    lost = {f: "degraded" for f, level in ff.settle(state.copy()).to_dict()["level"].items() if level in ("lost", "unknown")}
    singles = smallest(model, state, lost, 1)
    counts = {a: sum(frozenset([a]) in family for family in singles.values()) for a in actions_of(model, state)}
    if not any(counts.values()):
        assert best is None
        return
    (action,) = actions_in(best["actions"])
    assert counts[action] == max(counts.values()) == len(best["goals"])


# ------------------------------------------------------------------- random models


def with_crew_functions(seed, model):
    """The same model with functions that hang on several hands, supplies and trips at once, or on their absence."""
    r = random.Random(f"crew {seed}")
    elements = model["elements"]
    fed = [id for id, e in sorted(elements.items()) if e.get("inputs") and not e.get("positions") and not KINDS[e["kind"]][0]]
    guards = [id for id, e in sorted(elements.items()) if e["kind"] == "breaker"]
    crew = hands(model)

    def part():
        x = r.random()
        if x < 0.55 and crew:
            id = r.choice(sorted(crew))
            return {r.choice(["contact", "at"]): {id: r.choice(crew[id])}}
        if x < 0.7 and guards:
            return {"not": {"tripped": r.choice(guards)}}
        if fed:
            return r.choice(fed) if x < 0.92 else {"not": r.choice(fed)}
        return {"given": r.choice(sorted(model["given"]))}

    for n in range(4):
        modes = {"best": {"rank": 1, "when": {"all": [part() for _ in range(r.choice([1, 2, 3, 3]))]}}}
        if r.random() < 0.5:
            modes["second"] = {"rank": 2, "when": {"any": [part(), {"all": [part(), part()]}]}}
        demand = {"set": {id: r.choice(crew[id]) for id in r.sample(sorted(crew), 1)}} if crew and r.random() < 0.3 else {}
        model.setdefault("functions", {})[f"crew_{n}"] = {"modes": modes, **({"demand": demand} if demand else {})}
    return model


def disarray(seed, model, state):
    """Hands anywhere and a fault or two: states in which a crew has something to do."""
    r = random.Random(f"disarray {seed}")
    for id, positions in hands(model).items():
        if r.random() < 0.4:
            state.set(id, r.choice(positions))
    faults = [f for f in state.network.failures if f[1] in ("short", "leak")]
    for f in r.sample(faults, min(len(faults), r.choice([0, 1, 1, 2]))):
        state.fail(*f)
    ff.settle(state)


@examples
@given(st.integers(0, 2**32), st.sampled_from([2, 3]), st.sampled_from([None, None, "normal", "degraded"]))
def test_every_smallest_set_is_found_and_no_other(seed, most, to):
    model = with_crew_functions(seed, random_model(seed, size=6 + seed % 14))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)
    state = net.running_state()
    for step in random_events(seed, model, 1 + seed % 3):
        for event in step:
            apply(state, event)
        ff.settle(state)
    disarray(seed, model, state)
    assume(goals_of(state, to))
    assume(0 < len(actions_of(model, state)) <= MOST_ACTIONS[most])
    check(model, state, most, to)


def test_enough_was_met():
    """The comparison means something only where sets of several actions are needed, resets and uses, and where it costs something."""
    assert met["goals"] > 500 and met["sets"] > 200 and met["of_two"] > 20 and met["of_three"] > 0, json.dumps(met)
    assert met["with_reset"] > 5 and met["fault"] > 3 and met["lasting"] > 10 and met["order_matters"] > 0, json.dumps(met)
    assert met["with_use"] > 0 and met["hunting"] > 0, json.dumps(met)


# ------------------------------------------------------------------- the demo aircraft

STORIES = [
    ["sg_l", "sg_r"],
    ["batt"],
    [("main_l", "short")],
    ["sg_l", ("tie_contactor", "stuck", "open")],
]


@pytest.mark.parametrize("variant", ["a", "b"])
@pytest.mark.parametrize("failed", STORIES, ids=str)
def test_on_the_demo_aircraft(variant, failed):
    model = ff.read_model(OSTREA)
    net = ff.Network(model) if variant == "a" else ff.Network(model, variant="b")
    written = json.loads(ff.write_model(net.model))
    state = net.running_state()
    for f in failed:
        state.fail(f) if isinstance(f, str) else state.fail(f[0], f[1], at=f[2] if len(f) > 2 else "")
    ff.settle(state)
    check(written, state, 3 if failed == STORIES[0] else 2)
