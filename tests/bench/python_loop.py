"""Scenarios a second in Python: the library beside a loop written by hand.

    .venv/bin/python tests/bench/python_loop.py [--smoke]

A network of plain feeds, random losses; a topological loop in plain Python
answers it too, and is compared on every scenario before anything is timed.
"""

import random
import statistics
import sys
import time

import fedfrom as ff

SOURCES, SCENARIOS = 20, 50


def feeds_only(elements):
    r = random.Random(7)
    ids = [f"e{100000 + i}" for i in range(elements)]
    model = {}
    for i, id in enumerate(ids):
        feeds = [] if i < SOURCES else [ids[r.randrange(i)] for _ in range(r.randint(1, 3))]
        model[id] = {"kind": "consumer", "inputs": {"power": feeds}} if feeds else {"kind": "battery"}
    return model


def by_hand(order, feeds, lost):
    supplied = set()
    for id in order:
        if id not in lost and (not feeds[id] or any(up in supplied for up in feeds[id])):
            supplied.add(id)
    return supplied


def by_library(running, lost):
    state = running.copy()
    for id in lost:
        state.fail(id)
    return ff.settle(state)


def rate(work):
    times = []
    for _ in range(5):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return SCENARIOS / statistics.median(times)


def main(smoke):
    model = feeds_only(200 if smoke else 1000)
    feeds = {id: e.get("inputs", {}).get("power", []) for id, e in model.items()}
    running = ff.Network(ff.Model(name="Feeds", elements=model)).running_state()
    r = random.Random(11)
    scenarios = [{id for id in model if r.random() < 0.05} for _ in range(SCENARIOS)]
    for lost in scenarios:
        out, supplied = by_library(running, lost), by_hand(list(model), feeds, lost)
        for id in model:
            assert (out.status(id) == "supplied") == (id in supplied), (id, lost)
    print(f"{SCENARIOS} scenarios agree on {len(model)} elements")
    if smoke:
        return
    print(f"{'loop by hand, plain feeds':44} {rate(lambda: [by_hand(model, feeds, s) for s in scenarios]):10.0f} scenarios/s")
    print(f"{'fail and settle from Python, full meaning':44} {rate(lambda: [by_library(running, s) for s in scenarios]):10.0f} scenarios/s")


if __name__ == "__main__":
    main("--smoke" in sys.argv)
