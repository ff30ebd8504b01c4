"""Truth tables against settling every row by itself, on random models; joined rows against every row they stand for."""

import itertools
import json
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from random_models import hands, random_events, random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
examples = settings(max_examples=6_000 if LONG else 300, deadline=None, derandomize=True, database=None)
met = dict.fromkeys(["rows", "joined", "dashes", "unknown", "blocks", "left_out", "cut", "cells"], 0)


def cell(state, positions, failures, target):
    state = state.copy()
    for s in positions.items():
        state.set(*s)
    for f in failures:
        state.fail(*f)
    out = ff.settle(state)
    seen = out.to_dict()
    if target in seen["level"]:
        line = next(f for f in ff.what_works(out).functions if f["id"] == target)
        return ("function", line["level"], line["mode"], tuple(line["sources"]))
    position = seen["position"].get(target, "")
    return ("element", seen["status"][target], "unknown" if position is None else position, tuple(ff.live_sources(out, target)))


def said(c):
    if c["level"] is not None:
        return ("function", c["level"], c["mode"], tuple(c["sources"]))
    return ("element", c["status"], c["position"], tuple(c["sources"]))


def unsure(c):
    return not c["sources_sure"] or c["position"] == "unknown" or "unknown" in (c["level"], c["status"]) or (c["level"] in ("normal", "degraded") and not c["mode"])


def rows_of(table):
    tried = [(c["id"], c["positions"]) for c in table.controls]
    return [dict(zip([id for id, _ in tried], at)) for at in itertools.product(*[p for _, p in tried])]


def stands_for(row, at):
    return all(position in (None, at[id]) for id, position in row["positions"].items())


def check(state, targets, failures, **asked):
    plain = ff.truth_table(state, targets, failures=failures, **asked)
    rows = rows_of(plain)
    assert plain.settled == len(plain.rows) and plain.complete == (len(rows) == plain.settled and not plain.left_out)
    for row, at in zip(plain.rows, rows):
        assert row["positions"] == at and row["stands_for"] == 1
        for c in row["cells"]:
            assert said(c) == cell(state, at, failures[c["block"]], c["target"]), (at, c)
            met["cells"] += 1
            met["unknown"] += unsure(c)
    joined = ff.truth_table(state, targets, failures=failures, join=True, **asked)
    assert (joined.settled, joined.complete, joined.controls) == (plain.settled, plain.complete, plain.controls)
    drawn = joined.rows
    for row, at in zip(plain.rows, rows):
        (over,) = [r for r in drawn if stands_for(r, at)]  # each row in exactly one
        assert over["cells"] == row["cells"]
        assert over["stands_for"] == 1 or not any(map(unsure, row["cells"]))
    assert sum(r["stands_for"] for r in drawn) == plain.settled
    # A dash stands for no row that was not settled, and nothing is left to join.
    settled = rows[: plain.settled]
    for r in drawn:
        assert sum(stands_for(r, at) for at in settled) == r["stands_for"] == len([at for at in rows if stands_for(r, at)])
    for control in joined.controls:
        seen = {}
        for r in drawn:
            if r["positions"][control["id"]] is not None and not any(map(unsure, r["cells"])):
                others = json.dumps([{**r["positions"], control["id"]: 0}, r["cells"]], sort_keys=True)
                seen.setdefault(others, []).append(r)
        assert all(len(same) < len(control["positions"]) or len(control["positions"]) < 2 for same in seen.values())
    met["rows"] += plain.settled
    met["joined"] += plain.settled - len(drawn)
    met["dashes"] += any(None in r["positions"].values() for r in drawn)
    met["blocks"] += len(failures) > 1
    met["left_out"] += bool(plain.left_out)
    met["cut"] += len(rows) > plain.settled
    return plain


@examples
@given(st.integers(0, 2**32))
def test_every_cell_and_every_dash(seed):
    r = random.Random(f"truth {seed}")
    model = random_model(seed, size=6 + seed % 12, features={"chase": True} if seed % 3 == 0 else None)  # a third of them can hunt
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)
    state = net.running_state()
    for step in random_events(seed, model, seed % 3):
        for event in step:
            apply(state, event)
        ff.settle(state)
    seen = ff.settle(state.copy()).to_dict()
    pool = [f for f, level in seen["level"].items() if level != "not_fitted"] + [e for e, status in seen["status"].items() if status != "not_fitted"]
    targets = r.sample(pool, min(len(pool), r.choice([1, 1, 2])))
    failures = [r.sample(net.failures, min(len(net.failures), r.choice([0, 1, 2]))) for _ in range(r.choice([1, 1, 2]))]
    if r.random() < 0.5:
        table = check(state, targets, failures, most_rows=r.choice([6, 16]))
        by_default(model, state, targets, failures, table)
    else:
        crew = {id: r.sample(at, r.randint(1, len(at))) for id, at in hands(model).items() if id in net.elements}
        positions = {id: crew[id] for id in r.sample(sorted(crew), min(len(crew), 3))}
        assume(positions)
        check(state, targets, failures, positions=positions, most_rows=r.choice([3, 64]))


def by_default(model, state, targets, failures, table):
    """A crew control that is neither a column nor left out makes no difference, wherever it stands alone."""
    shown = {c["id"] for c in table.controls} | set(table.left_out)
    for id, positions in hands(model).items():
        if id not in state.network.elements or id in shown or model["elements"][id].get("reach", "cockpit") not in ("cockpit", "cabin"):
            continue
        for at in positions:
            for failed in failures:
                for target in targets:
                    if target != id:
                        assert cell(state, {id: at}, failed, target)[:3] == cell(state, {id: state.hand(id)}, failed, target)[:3], (id, at, target)


def test_enough_was_met():
    assert met["cells"] > 1500 and met["joined"] > 300 and met["dashes"] > 30, met
    assert met["unknown"] > 5 and met["blocks"] > 30 and met["left_out"] > 10 and met["cut"] > 10, met
