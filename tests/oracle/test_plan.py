"""Effects combined and roots counted once, against doing it again from plain outcomes, on random models with random effects."""

import json
import math
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
from random_models import random_events, random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
examples = settings(max_examples=8_000 if LONG else 400, deadline=None, derandomize=True, database=None)
met = dict.fromkeys(["effects", "left_out", "rules", "silent", "unknown", "values", "lines"], 0)


def with_quantities(seed, model):
    r = random.Random(f"quantities {seed}")
    functions = model.setdefault("functions", {})
    ids = [id for id, e in sorted(model["elements"].items()) if e["kind"] in ("bus", "consumer", "generator", "battery", "actuator")]
    for n in range(4):  # functions that mostly have a worse mode
        functions[f"landing_{n}"] = {"modes": {"best": {"rank": 1, "when": {"all": r.sample(ids, min(2, len(ids)))}}, "worse": {"rank": 2, "when": r.choice(ids)}}}
    model["quantities"] = {
        "factor": {"unit": "factor", "once_per_root": r.random() < 0.6},
        "speed": {"unit": "kt", "combine": "add", "once_per_root": r.random() < 0.6},
        "length": {"unit": r.choice(["m", "ft", "percent"]), "combine": r.choice(["add", "max"]), "once_per_root": r.random() < 0.6},
    }
    for q in model["quantities"].values():
        if r.random() < 0.4:
            q["rules"] = {f"{q['unit']}_rule_{n}": {"value": r.choice([1.5, 2, 3]), "when": {"not": {"level": {r.choice(sorted(functions)): "degraded"}}}} for n in range(r.choice([1, 2]))}
    for f in functions.values():
        for mode in f["modes"].values():
            if mode["rank"] > 1 and r.random() < 0.7:
                mode["effects"] = {q: r.choice([1.1, 1.2, 1.35, 1.6, 2.2]) for q in r.sample(sorted(model["quantities"]), r.choice([1, 2, 3]))}
    return model


def roots(out, f):
    return {(x["kind"], x["id"], x["word"]) for x in ff.why(out, f).to_dict()["roots"] if x["kind"] not in ("rest_position", "usual_given")}


def expected(model, out, q):
    """(value or None, effects that count, rules that hold, whether anything is unknown)."""
    quantity, seen = model["quantities"][q], out.to_dict()
    effects, silent, known = [], False, True
    for f, function in sorted(model["functions"].items()):
        fitted = seen["level"][f] != "not_fitted"
        # A mode of what is not fitted does not exist: whether any with an effect does is read off the levels it can be at.
        if not fitted or not any(q in m.get("effects", {}) for m in function["modes"].values()):
            continue
        mode = seen["mode"].get(f)
        if mode:
            if q in function["modes"][mode].get("effects", {}):
                effects.append((f, function["modes"][mode]["effects"][q]))
        else:
            silent = True
    counted = []
    for f, value in sorted(effects, key=lambda e: (-e[1], e[0])):
        if not (quantity.get("once_per_root") and any(roots(out, f) & roots(out, other) for other, _ in counted)):
            counted.append((f, value))
    rules = []
    for id, rule in quantity.get("rules", {}).items():
        ((f, _),) = rule["when"]["not"]["level"].items()
        if seen["level"][f] == "unknown":
            known = False
        elif seen["level"][f] in ("lost", "not_fitted"):
            rules.append(id)
    values = [v for _, v in counted]
    combine = quantity.get("combine", "multiply")
    alone = math.prod(values) if combine == "multiply" else math.fsum(values) if combine == "add" else max(values, default=None)
    if rules:
        return (max(quantity["rules"][id]["value"] for id in rules) if known else None), counted, rules, not known
    return (alone if known and not silent else None), counted, rules, silent or not known


@examples
@given(st.integers(0, 2**32))
def test_every_quantity(seed):
    model = with_quantities(seed, random_model(seed, size=6 + seed % 12, features={"unfitted": False}))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)
    state = net.running_state()
    for step in random_events(seed, model, 1 + seed % 3):
        for event in step:
            apply(state, event)
        ff.settle(state)
    out = ff.settle(state.copy())
    for q in ff.plan(out).quantities:
        value, counted, rules, unknown = expected(model, out, q["quantity"])
        assert [(e["function"], e["value"]) for e in q["effects"] if e["counted"]] == counted
        assert q["rules"] == rules and bool(q["unknown"]) == unknown
        assert q["value"] == (value if value is None else pytest.approx(value))
        for e in q["effects"]:
            assert {(x["kind"], x["id"], x["word"]) for x in e["roots"]} == roots(out, e["function"])
            if not e["counted"]:
                assert roots(out, e["function"]) & roots(out, e["instead"]) and e["instead"] in [f for f, _ in counted]
        met["effects"] += len(q["effects"])
        met["left_out"] += sum(not e["counted"] for e in q["effects"])
        met["rules"] += len(rules)
        met["silent"] += bool(unknown)
        met["unknown"] += any("unknown" in sentence for sentence in q["unknown"])
        met["values"] += value is not None
    check_landing(model, out)


def check_landing(model, out):
    for q in ("factor", "length"):
        unit = model["quantities"][q]["unit"]
        landing = ff.plan(out, quantity=q, base_ft=2000, available_m=1500, rules=["60 percent wet", ("our own", 1.43)]).landing
        value, _, _, unknown = expected(model, out, q)
        if unknown:
            assert landing["actual_m"] is None and landing["lines"] == []
            continue
        base = 2000 * 0.3048
        by = {"factor": lambda v: base * v, "m": lambda v: base + v, "ft": lambda v: base + v * 0.3048, "percent": lambda v: base * (1 + v / 100)}[unit]
        actual = base if value is None else by(value)
        assert landing["actual_m"] == pytest.approx(actual) and landing["actual_ft"] == pytest.approx(actual / 0.3048)
        for line, factor in zip(landing["lines"], (1, 1.15 / 0.6, 1.43), strict=True):
            assert line["required_m"] == pytest.approx(actual * factor) and line["required_ft"] == pytest.approx(actual * factor / 0.3048)
            assert line["margin_m"] == pytest.approx(1500 - actual * factor) and line["margin_ft"] == pytest.approx((1500 - actual * factor) / 0.3048)
            met["lines"] += 1


def test_enough_was_met():
    assert met["effects"] > 300 and met["left_out"] > 20 and met["rules"] > 20 and met["silent"] > 50 and met["unknown"] > 0 and met["values"] > 300 and met["lines"] > 300, met
