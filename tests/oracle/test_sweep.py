"""A sweep against settling each combination alone, on random models; what is minimal, straight from the definition."""

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
from random_models import random_events, random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
EVENTS = {1: 12, 2: 9, 3: 7}
DEPTH = {"normal": 0, "degraded": 1, "lost": 2, "unknown": 2, "not_fitted": 2}
examples = settings(max_examples=20_000 if LONG else 1_000, deadline=None, derandomize=True, database=None)

met = {"hits": 0, "alone": 0, "minimal_of_two_or_more": 0}


def built(seed):
    """Small ones, so that a few events of many are often about the same thing."""
    model = random_model(seed, size=6 + seed % 12)
    try:
        return model, ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)  # a negative cycle


def allowed(state, event):
    """Whether the aircraft allows it."""
    try:
        added(state, [event])
    except ff.NotPossible:
        return False
    return True


def added(state, events):
    """Each on one copy of the state, unsettled. An event is (what, id, …) as State has it."""
    state = state.copy()
    for what, *rest in events:
        if what == "fail":
            state.fail(*rest[:2], at=rest[2] if len(rest) > 2 else "")
        else:
            getattr(state, what)(*rest)
    return state


def some_events(r, net, state, givens, count):
    """Failures, positions and givens that the state allows; some of one element."""
    pool = [("fail", *f) for f in net.failures]
    pool += [("fail", id, "stuck", at) for id, mode in net.failures if mode == "stuck" for at in net.positions(id)]
    pool += [("set", id, at) for id in net.elements for at in net.positions(id)]
    pool += [("given", id, value) for id in givens for value in (False, True)]
    r.shuffle(pool)
    return list(itertools.islice((e for e in pool if allowed(state, e)), count))


def together(a, b, one_mode):
    """Whether a sweep combines two events."""
    if a[0] == "given" or b[0] == "given":
        return a[:2] != b[:2]
    if a[1] != b[1]:
        return True
    return a[0] == b[0] == "fail" and not one_mode and a[2] != b[2]


def expected(state, events, order, one_mode, every):
    """[(places of the events, function, level)], by size, events and function, and how many combinations there are."""
    before = ff.settle(state.copy()).to_dict()["level"]
    levels = {(): before}
    for size in range(1, order + 1):
        for places in itertools.combinations(range(len(events)), size):
            chosen = [events[i] for i in places]
            if all(together(a, b, one_mode) for a, b in itertools.combinations(chosen, 2)):
                levels[places] = ff.settle(added(state, chosen)).to_dict()["level"]
    rows = []
    for places, level in levels.items():
        parts = [part for size in range(len(places)) for part in itertools.combinations(places, size)]
        for function in sorted(level):
            if every and level[function] != before[function]:
                rows.append((places, function, level[function]))
            elif not every and places and DEPTH[level[function]] > max(DEPTH[levels[part][function]] for part in parts):
                rows.append((places, function, level[function]))
    return rows, len(levels) - 1


def rows_of(swept):
    return [(tuple(int(e) for e in events if e != swept.NONE), swept.functions[goal], swept.LEVELS[level])
            for events, goal, level in zip(swept.events, swept.goal, swept.level, strict=True)]  # fmt: skip


@examples
@given(st.integers(0, 2**32), st.sampled_from([1, 2, 3]), st.booleans())
def test_a_sweep_says_of_every_combination_what_settling_it_alone_says(seed, order, one_mode):
    model, net = built(seed)
    assume(net.functions)
    r = random.Random(seed)
    state = net.running_state()
    for step in random_events(seed, model, r.randint(0, 2)):
        for event in step:
            apply(state, event)
        ff.settle(state)
    events = some_events(r, net, state, model["given"], EVENTS[order])
    assume(len(events) >= order)
    # ("id", "word") would have to be guessed where a mode and a position share a word; the longer form never is.
    asked = [{"fail": [e[1:]]} if e[0] == "fail" else {e[0]: {e[1]: e[2]}} for e in events]
    for every in (False, True):
        rows, combinations = expected(state, events, order, one_mode, every)
        swept = ff.sweep(state, order=order, events=asked, all=every, one_mode_an_element=one_mode)
        assert rows_of(swept) == rows, (seed, order, one_mode, every)
        assert swept.complete and swept.complete_to == order
        assert swept.combinations == combinations if every else swept.combinations <= combinations
        cut = ff.sweep_shards(state, shards=3, order=order, events=asked, all=every, one_mode_an_element=one_mode, threads=2, instructions="baseline")
        assert ff.join([shard() for shard in cut]) == swept
        met["hits"] += len(rows)
        met["alone"] += swept.alone
        met["minimal_of_two_or_more"] += sum(len(places) > 1 for places, _, _ in rows if not every)


def test_enough_was_met():
    """The comparison means something only where combinations do what no part does, and where things hunt."""
    assert met["hits"] > 5_000 and met["alone"] > 1_000 and met["minimal_of_two_or_more"] > 80, met
