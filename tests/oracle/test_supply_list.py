"""What needs, uses and could use an element, against the slow reference.

What loses supply is found by settling the reference with the element lost; the feeds in use by rule M9, feed by feed; the ways
there from the model's text.
"""

import json
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from random_models import random_events, random_model  # noqa: E402
from reference import KINDS, Reference, Rejected  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
SEEDS = range(3_000 if LONG else 150)
NAMED = ("generator", "starter_generator", "alternator")
met = {"needs": 0, "uses": 0, "could": 0, "device": 0, "perfect": 0, "functions": 0}


class Flow:
    """The feeds in use in one settled state of the reference in which nothing hunts."""

    def __init__(self, reference, st):
        self.reference, self.st = reference, st
        evaluations, _ = reference.settle_memory(st)
        self.ev = evaluations[0]

    def live(self, port):
        return [f for f in port.feeds if self.reference.carries(self.ev, port, f)]

    def in_use(self, e, port):
        live = self.live(port)
        if port.join != "priority" or len(live) < 2:
            return live
        without = self.reference.evaluate(self.st, self.ev.zone, positions=self.ev, unsupplied=e.id)
        for f in live:
            if self.reference.feed_passes(without, f) and without.supplied(f.up):
                return [f]
        return live[:1]

    def named(self, id):
        e = self.reference.elements[id]
        return not e.ports or e.kind in NAMED

    def users(self, target, after):
        """Whose feeds in use, as far as their sources, come from the target, run through it, or are not live without it."""
        hit, upstream = set(), {}
        for e in self.reference.elements.values():
            if not e.fitted or not self.ev.supplied(e.id):
                continue
            for port in e.ports.values():
                for f in self.in_use(e, port):
                    if not self.named(e.id):
                        upstream.setdefault(e.id, set()).add(f.up)
                    if f.up == target or any(d == target for d, _ in f.via) or not after.reference.carries(after.ev, *after.same(e, port, f)):
                        hit.add(e.id)
        while True:
            more = {id for id, ups in upstream.items() if ups & hit} - hit
            if not more:
                return hit
            hit |= more

    def same(self, e, port, f):
        """The same feed of another reference of the same model."""
        mine = self.reference.elements[e.id].ports[port.name]
        return mine, mine.feeds[port.feeds.index(f)]

    def path(self, ways):
        found, todo = set(), [f.up for f in ways]
        while todo:
            id = todo.pop()
            if id in found:
                continue
            found.add(id)
            e = self.reference.elements[id]
            if not self.named(id):
                todo += [f.up for port in e.ports.values() for f in self.in_use(e, port)]
        return found


def is_way(reference, st, f):
    return not f.backward or all(st.has(d, "short") for d, _ in f.via if reference.elements[d].one_way)


def reachable(reference, st, target):
    loads = {}
    found, todo = set(), []
    for e in reference.elements.values():
        for port in e.ports.values():
            for f in port.feeds:
                if is_way(reference, st, f):
                    loads.setdefault(f.up, []).append(e.id)
                    todo += [e.id] * any(d == target for d, _ in f.via)
    todo += loads.get(target, [])
    while todo:
        id = todo.pop()
        if id not in found:
            found.add(id)
            todo += loads.get(id, [])
    return found


def only_stands(reference, model, id):
    flags = KINDS[model["elements"][id]["kind"]][2]
    return "one_way" in flags or bool(reference.elements[id].positions) and not model["elements"][id].get("inputs") and "source" not in flags


def settled(model, steps):
    reference = Reference(json.loads(json.dumps(model)))
    st = reference.running_state()
    for step in steps:
        for event in step:
            apply(st, event)
        out = reference.settle(st)
    return reference, st, out


def check(seed, model, target, steps, state):
    try:
        said = ff.supply_list(state, target)
    except ff.NotPossible:
        assert "one_way" in KINDS[model["elements"][target]["kind"]][2] and model["elements"][target].get("fallible") is False
        return
    reference, st, out = settled(model, steps)
    perfect = model["elements"][target].get("fallible") is False
    lost_model = model
    if perfect:
        lost_model = json.loads(json.dumps(model))
        del lost_model["elements"][target]["fallible"]
        met["perfect"] += 1
    lost_reference, lost_st, _ = settled(lost_model, steps)
    already = st.has(target, "loss") or not reference.elements[target].fitted
    if not already:
        lost_st.fail(target)
    lost = lost_reference.settle(lost_st)
    if out.hunting or lost.hunting:
        return
    before, after = Flow(reference, st), Flow(lost_reference, lost_st)
    needs = {id for id in out.supplied if out.supplied[id] and not lost.supplied[id] and id != target and not only_stands(reference, model, id)}
    users = set() if already else {id for id in before.users(target, after) if out.supplied[id] and id != target and not only_stands(reference, model, id)} - needs
    could = {id for id in reachable(reference, st, target) if reference.elements[id].fitted and id != target and not only_stands(reference, model, id)} - needs - users
    where = (seed, target)
    assert said.lost_already == already, where
    for expected, lines in ((needs, said.needs), (users, said.uses), (could, said.could)):
        assert [line["id"] for line in lines] == sorted(expected), where
        for line in lines:
            assert line["now"] == out.status[line["id"]] and line["without"] == lost.status[line["id"]], where
    assert said.unknown == [] and said.sure, where
    changed = {f for f in out.level if (out.level[f], out.mode[f]) != (lost.level[f], lost.mode[f])}
    assert {c["function"] for c in said.functions} == changed, where
    for change in said.functions:
        assert (change["before"], change["after"]) == (out.level[change["function"]], lost.level[change["function"]]), where
    # what feeds it
    e = reference.elements[target]
    ways = [(x, port, f) for x in reference.elements.values() if x.fitted for port in x.ports.values() for f in port.feeds
            if is_way(reference, st, f) and ((x.id == target) if e.ports else any(d == target for d, _ in f.via))]
    used = [(x, port, f) for x, port, f in ways if f in before.in_use(x, port)]
    assert sorted((w["into"], w["port"], w["from"], w["in_use"]) for w in said.ways) == sorted((x.id, port.name, f.up, (x, port, f) in used) for x, port, f in ways), where
    path = before.path([f for _, _, f in used]) - {target}
    assert set(said.path) == path and len(said.path) == len(path), where
    assert said.sources == sorted(id for id in path if before.named(id)), where
    met["needs"] += len(needs)
    met["uses"] += len(users)
    met["could"] += len(could)
    met["device"] += not e.ports
    met["functions"] += len(changed)


@pytest.mark.parametrize("part", range(5))
def test_what_hangs_on_an_element_and_what_feeds_it(part):
    for seed in SEEDS[part::5]:
        model = random_model(seed, size=6 + seed % 14)
        try:
            Reference(json.loads(json.dumps(model)))
            net = ff.Network(ff.parse_model(json.dumps(model)))
        except (Rejected, ff.ModelError):
            continue
        r = random.Random(f"supply list {seed}")
        steps = random_events(seed, model, 1 + seed % 3)
        state = net.running_state()
        for step in steps:
            for event in step:
                apply(state, event)
            ff.settle(state)
        perfect = [id for id, e in model["elements"].items() if e.get("fallible") is False][:1]
        for target in [*r.sample(sorted(model["elements"]), 3), *perfect]:
            check(seed, model, target, steps, state)


def test_enough_was_met():
    assert met["needs"] > 100 and met["uses"] > 20 and met["could"] > 200 and met["device"] > 30, json.dumps(met)
    assert met["functions"] > 20 and met["perfect"] > 0, json.dumps(met)
