"""Next failures, sources left and dispatch columns, worked out again by plain settles on random models.

Nothing here asks `impact_table`: each failure, pair and set of losses is settled by itself, and levels, modes and
readings are compared as the words that come out.
"""

import itertools
import json
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from random_models import random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
MODELS = range(1200 if LONG else 150)
SOURCES = {"engine", "battery", "external_power", "ram_air_turbine", "reservoir", "accumulator", "bottle", "manual"}
COUNTED = SOURCES | {"generator", "starter_generator", "alternator", "inverter", "transformer_rectifier", "charger", "pump", "motor", "controller"}


def built(seed, size=None, dispatch=False):
    """(model as a dict, network) of a seed, or None where the model is refused; with some dispatch items of its own."""
    model = random_model(seed, size)
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        return None
    if not dispatch:
        return model, net
    r = random.Random(f"dispatch {seed}")
    can_be_lost = sorted({id for id, mode in net.failures if mode == "loss"})
    parts = [id for id in can_be_lost if model["elements"][id].get("inputs") or model["elements"][id]["kind"] in SOURCES]
    if not parts:
        return None
    model["dispatch"] = {}
    for i in range(r.randint(1, 4)):
        elements = sorted(r.sample(parts, min(len(parts), r.choice([1, 1, 1, 2]))))
        secured = {}
        if r.random() < 0.4:
            held = [id for id, mode in net.failures if mode == "stuck" and id not in elements and net.positions(id)]
            if held:
                id = r.choice(held)
                secured = {id: r.choice(net.positions(id))}
        provided = []
        for _ in range(r.randint(0, 2)):
            condition = {"level": {r.choice(net.functions): r.choice(["normal", "degraded"])}} if net.functions and r.random() < 0.5 else r.choice(parts)
            provided.append({"not": condition} if r.random() < 0.3 else condition)
        model["dispatch"][f"item_{i}"] = {"category": "C", "installed": 1, "required": 0, "units": {"unit": {"elements": elements, "secured": secured}}, "provided": provided}
    return model, ff.Network(ff.parse_model(json.dumps(model)))


def ranks(net):
    return {(f, m): mode["rank"] for f, function in net.model.to_dict().get("functions", {}).items() for m, mode in function["modes"].items()}


def badness(net, out):
    """How badly each function stands: level first, then the rank of its mode."""
    rank = ranks(net)
    worst = {f: max(rank[f, m] for m in function["modes"]) for f, function in net.model.to_dict().get("functions", {}).items()}
    order = {"not_fitted": -1, "normal": 0, "degraded": 1, "unknown": 2, "lost": 3}
    stands = {}
    for f in net.functions:
        level, mode = out.level(f), out.mode(f)
        stands[f] = (order[level], (rank[f, mode] if mode else worst[f]) if level == "degraded" else 0)
    return stands


def with_failure(state, element, mode):
    return ff.settle(state.copy().fail(element, mode))


def newly_exposed(net, clean, state):
    """{(element, mode): [functions]} that one more failure takes further than either does alone."""
    before = badness(net, ff.settle(state.copy()))
    found = {}
    present = set(state.failures)
    for element, mode in net.failures:
        if (element, mode) in present:
            continue
        after = badness(net, with_failure(state, element, mode))
        if not any(after[f] > before[f] for f in net.functions):
            continue
        already = (element, mode) in set(clean.failures)
        alone = badness(net, ff.settle(clean.copy()) if already else with_failure(clean, element, mode))
        functions = [f for f in net.functions if after[f] > before[f] and after[f] > alone[f]]
        if functions:
            found[element, mode] = functions
    return found


# ------------------------------------------------------------------- next failures


@pytest.mark.parametrize("seed", MODELS)
def test_newly_exposed_failures_are_those_of_plain_settles(seed):
    made = built(seed)
    if made is None:
        return
    model, net = made
    state = net.running_state()
    r = random.Random(f"next {seed}")
    for element, mode in r.sample(net.failures, min(len(net.failures), 2)):
        state.fail(element, mode)
    ff.settle(state)
    said = {(row["id"], row["mode"]): [e["function"] for e in row["exposed"]] for row in ff.next_failures(state, causes=False, sources=False).newly_exposed}
    assert said == newly_exposed(net, net.running_state(), state)


@pytest.mark.parametrize("seed", MODELS)
def test_sources_left_are_the_smallest_sets_of_all(seed):
    """Every set of up to three losses, settled one by one."""
    made = built(seed, 12)
    if made is None:
        return
    model, net = made
    r = random.Random(f"sources {seed}")
    state = net.running_state()
    for element, mode in r.sample(net.failures, min(len(net.failures), r.choice([0, 1, 2]))):
        state.fail(element, mode)
    gone = lambda out, f: out.level(f) in ("lost", "unknown")  # noqa: E731
    before = ff.settle(state)
    answer = ff.next_failures(state, causes=False)
    lost = {id for id, mode in state.failures if mode == "loss"}
    candidates = [id for id in answer.counted if id not in lost]
    if len(candidates) > 14:
        return
    for row in answer.sources:
        f = row["function"]
        if gone(before, f):
            assert row["now"]["count"] == 0
            continue
        expected, sets = 4, []
        for size in (1, 2, 3):
            sets = [list(s) for s in itertools.combinations(candidates, size) if gone(ff.settle(lose(state, s)), f)]
            if sets:
                expected = size
                break
        assert (row["now"]["count"], row["now"]["exact"]) == (expected, True), f
        assert row["now"]["sets"] == sets
        assert row["now"]["kept_without"] == (not gone(ff.settle(lose(state, candidates)), f))


def lose(state, elements):
    copy = state.copy()
    for element in elements:
        copy.fail(element)
    return copy


def test_what_is_counted_are_sources_controllers_and_drives():
    for seed in MODELS:
        made = built(seed)
        if made is None:
            continue
        model, net = made
        for id in ff.next_failures(net, causes=False, goals=net.functions[:1]).counted if net.functions else []:
            element = model["elements"][id]
            assert element["kind"] in COUNTED or not element.get("inputs"), (seed, id)
            assert (id, "loss") in net.failures


# ------------------------------------------------------------------- dispatch items


def deferred(net, item):
    state = net.running_state()
    unit = net.model.to_dict()["dispatch"][item]["units"]["unit"]
    for element in unit["elements"]:
        state.fail(element)
    for element, position in unit.get("secured", {}).items():
        try:
            state.set(element, position)
        except ff.NotPossible:
            pass
        state.fail(element, "stuck", at=position)
    ff.settle(state)
    return state


def holds(out, state, condition):
    """Three-valued; None: the model does not say."""
    if isinstance(condition, dict) and "not" in condition:
        value = holds(out, state, condition["not"])
        return None if value is None else not value
    if isinstance(condition, dict):
        ((function, least),) = condition["level"].items()
        level = out.level(function)
        return None if level in ("unknown", "not_fitted") else level == "normal" or level == least
    status = out.status(condition)
    if status in ("unknown", "not_fitted"):
        return None
    if status == "supplied" and any(id == condition for id, _ in state.failures):
        return None
    return status == "supplied"


@pytest.mark.parametrize("seed", MODELS)
def test_dispatch_columns_are_those_of_plain_settles(seed):
    made = built(seed, dispatch=True)
    if made is None:
        return
    model, net = made
    clean = net.running_state()
    before = ff.settle(clean)
    stands = badness(net, before)
    table = ff.dispatch_table(net, causes=False)
    assert [row["id"] for row in table] == sorted(model["dispatch"])
    for row in table:
        (unit,) = row["units"]
        state = deferred(net, row["id"])
        out = ff.settle(state)
        now = badness(net, out)
        assert {c["function"] for c in unit["changes"]} == {f for f in net.functions if now[f] > stands[f]}
        assert {(e["id"], e["mode"]): [x["function"] for x in e["exposed"]] for e in unit["exposed"]} == newly_exposed(net, clean, state)
        words = {True: "met", False: "not_met", None: "not_decidable"}
        assert [p["met"] for p in unit["provided"]] == [words[holds(out, state, c)] for c in model["dispatch"][row["id"]]["provided"]]
        assert {(h["id"], h["mode"]) for h in unit["hidden"]} == look_alike(net, clean, before, model["dispatch"][row["id"]]["units"]["unit"]["elements"])


def look_alike(net, clean, before, elements):
    """Other failures with which everything shown reads as with these lost; where nothing shows, that stop them too."""
    def same(a, b):
        return all(a[id] is None or b[id] is None or a[id] == b[id] for id in a)

    failed = ff.settle(lose(clean, elements))
    shown, stands, stops = failed.to_dict()["shows"], badness(net, failed), badness(net, before)
    silent = same(before.to_dict()["shows"], shown)
    work = [id for id in elements if before.status(id) == "supplied"]
    worse = [f for f in net.functions if stands[f] > stops[f]]
    if silent and not work and not worse:
        return set()
    found = set()
    for element, mode in net.failures:
        if element in elements and mode == "loss":
            continue
        out = with_failure(clean, element, mode)
        if not same(shown, out.to_dict()["shows"]):
            continue
        if silent and work and any(out.status(id) == "supplied" for id in work):
            continue
        now = badness(net, out)
        if silent and not work and any(now[f] < stands[f] for f in worse):
            continue
        found.add((element, mode))
    return found


@pytest.mark.parametrize("seed", MODELS)
def test_pairs_are_those_of_plain_settles(seed):
    made = built(seed, dispatch=True)
    if made is None:
        return
    model, net = made
    stands = badness(net, ff.settle(net.running_state()))
    table = ff.dispatch_table(net, causes=False)
    items = sorted(model["dispatch"])
    assert table.pairs == table.pairs_examined == len(items) * (len(items) - 1) // 2
    for a, b in itertools.combinations(items, 2):
        both = net.running_state()
        alone = []
        held = {}
        for item in (a, b):
            state = deferred(net, item)
            alone.append((state, ff.settle(state)))
            unit = model["dispatch"][item]["units"]["unit"]
            for element in unit["elements"]:
                both.fail(element)
            for element, position in unit["secured"].items():
                held.setdefault(element, set()).add(position)
                try:
                    both.set(element, position)
                except ff.NotPossible:
                    pass
                both.fail(element, "stuck", at=position)
        out = ff.settle(both)
        said = [c for c in table.conflicts if {d["item"] for d in c["deferrals"]} == {a, b}]
        apart = any(len(positions) > 1 for positions in held.values())
        assert apart == any(c["why"] == "contradiction" for c in said)
        now, ones = badness(net, out), [badness(net, one) for _, one in alone]
        together = {f for f in net.functions if now[f] > max(stands[f], *(one[f] for one in ones))}
        assert together == {change["function"] for c in said if c["why"] == "together" for change in c["changes"]}
        broken = set()
        for item, (state, one) in zip((a, b), alone, strict=True):
            for n, condition in enumerate(model["dispatch"][item]["provided"]):
                was, is_ = holds(one, state, condition), holds(out, both, condition)
                if (was is True and is_ is not True) or (was is None and is_ is False):
                    broken.add((item, n))
        assert len({(c["deferrals"][0]["item"], c["condition"]) for c in said if c["condition"]}) <= len(broken)
        assert bool(broken) == any(c["condition"] for c in said)
        check = ff.check_deferrals(net, [a, b], causes=False)
        assert check.outcome.to_dict() == out.to_dict()
