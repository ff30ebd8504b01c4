"""The load sheet, against a summation written again here from the rules, and against completions of what is not known.

The supply in use comes from the slow reference, so that nothing of the library is used to find what is expected. Where
everything is given, every source, bus, converter and device must carry what the reference says; where figures are left
out at random, the sheet's ranges must hold the answer of every aircraft that fills them in.
"""

import cmath
import json
import os
import sys
from pathlib import Path

import fedfrom as ff
import networkx as nx
import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from random_models import CONDUCTORS, CONVERTERS, MACHINES, random_events, random_model, with_loads  # noqa: E402
from reference import Reference, Rejected  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
MODELS = range(2000 if LONG else 150)
ELECTRICAL = ("power", "control", "field")
met = {"loads": 0, "parallel": 0, "rings": 0, "ring_flows": 0, "converters": 0, "floating": 0, "worlds": 0, "ranges": 0, "devices": 0}


# ------------------------------------------------------------------- what is expected


class Open(Exception):
    """A source without a rating: how it shares, and at what voltage, is not given."""


class Expected:
    """Complex power at 28 volts everywhere, in one evaluation of the reference. All figures must be in the model."""

    def __init__(self, ref, model, ev):
        self.ref, self.model, self.ev = ref, model, ev
        self.E = model["elements"]
        self.feeds = {id: self.in_use(id) for id in self.E if ev.supplied(id)}
        self.graph = nx.DiGraph()
        self.graph.add_nodes_from(self.feeds)
        self.graph.add_edges_from((f.up, id) for id, feeds in self.feeds.items() for f in feeds if f.up != id)
        self.rings = [frozenset(c) for c in nx.strongly_connected_components(self.graph)]
        self.ring_of = {id: ring for ring in self.rings for id in ring}

    def kind(self, id):
        return self.E[id]["kind"]

    def port(self, id):
        for name in ELECTRICAL:
            if name in self.ref.elements[id].ports:
                return self.ref.elements[id].ports[name]
        return None

    def in_use(self, id):
        port = self.port(id)
        if port is None or self.kind(id) in MACHINES:
            return []
        live = [f for f in port.feeds if self.ref.carries(self.ev, port, f)]
        if port.join != "priority" or len(live) < 2:
            return live
        without = self.ref.evaluate(self.ev.st, self.ev.zone, positions=self.ev, unsupplied=id)
        return [f for f in live if self.ref.feed_passes(without, f) and without.supplied(f.up)][:1] or live[:1]

    def own(self, id, average):
        """average: 0 is continuous, else seconds."""
        load = self.E[id].get("loads", {}).get("c")
        if load is None or id not in self.feeds:
            return 0
        factor = load.get("power_factor", 1)
        va = load.get("volt_amperes", load.get("watts", 0) / factor if "watts" in load else load.get("amps", 0) * 28)
        duty = load.get("duty_s")
        part = 1 if duty is None or duty > 300 else min(1, duty / average) if average else 0
        return cmath.rect(va, np.arccos(factor)) * part

    def rating(self, id):
        rating = self.E[id].get("rating")
        if not rating or "volts" not in rating:
            raise Open
        return rating.get("volt_amperes", rating.get("amps", 0) * 28)

    def sources(self, id):
        """The nearest sources or converters behind it."""
        ring = self.ring_of[id]
        if self.kind(id) in CONVERTERS:
            return {id}
        outside = {f.up for m in ring for f in self.feeds[m]} - ring
        return set().union(*(self.sources(u) for u in outside)) if outside else set(ring)

    def idle(self, behind):
        return all(self.kind(s) == "battery" for s in behind)

    def shares(self, ring):
        """[(element, feed, part)] of what enters."""
        entering = [(m, f) for m in sorted(ring) for f in self.feeds[m] if f.up not in ring]
        behind = [self.sources(f.up) for _, f in entering]
        idle = [self.idle(b) for b in behind]
        if all(idle):
            idle = [False] * len(idle)
        met["floating"] += any(idle)
        weights = [0 if i else sum(self.rating(s) for s in b) for i, b in zip(idle, behind)]
        if len(weights) - sum(idle) == 1:
            weights = [float(not i) for i in idle]
        return [(m, f, w / sum(weights)) for (m, f), w in zip(entering, weights)]

    def run(self, average):
        """{id: carried}, {device: carried}; None where a ring leaves it open."""
        carried = {id: 0 for id in self.feeds}
        devices = {}
        self.lost = 0
        condensed = nx.condensation(self.graph)
        for c in reversed(list(nx.topological_sort(condensed))):
            ring = frozenset(condensed.nodes[c]["members"])
            takes = 0
            converting = any(self.kind(m) in CONVERTERS for m in ring)
            for m in ring:
                if self.kind(m) in CONVERTERS and self.feeds[m]:
                    out = carried[m].real if carried[m] is not None else 0
                    into = out / self.E[m]["rating"]["efficiency"]
                    self.lost += into - out
                    factor = self.E[m]["rating"]["power_factor"]
                    takes += complex(into, into * np.tan(np.arccos(factor))) + self.own(m, average)
                    met["converters"] += out > 0
                else:
                    carried[m] += self.own(m, average)
                    takes += carried[m]
            if len(ring) > 1 and converting:
                return None, None
            entering = self.shares(ring)
            if not entering and takes:
                for m in ring:
                    self.rating(m)
            met["parallel"] += len(entering) > 1
            if len(ring) > 1:
                met["rings"] += 1
                self.divide(ring, entering, takes, carried, devices)
            for _, f, part in entering:
                carried[f.up] += takes * part
                for d, _ in f.via:
                    devices[d] = devices.get(d, 0) + takes * part if devices.get(d, 0) is not None else None
        return carried, devices

    def divide(self, ring, entering, takes, carried, devices):
        """Kirchhoff's current law alone, where it decides."""
        order = sorted(ring)
        within, ties = [], set()
        for m in order:
            for f in self.feeds[m]:
                if f.up in ring and f.up != m and (f.tie is None or f.tie not in ties):
                    ties.add(f.tie)
                    within.append((f.up, m, f))
        net = np.array([-carried[m] for m in order], dtype=complex)
        for m, _, part in entering:
            net[order.index(m)] += takes * part
        incidence = np.zeros((len(order), len(within)))
        for k, (a, b, _) in enumerate(within):
            incidence[order.index(a), k] += 1
            incidence[order.index(b), k] -= 1
        decided = [False] * len(within)
        flow = np.zeros(len(within), dtype=complex)
        if entering and len(within):
            flow = np.linalg.lstsq(incidence.astype(complex), net, rcond=None)[0]
            # a connection is decided where taking it out leaves the ring in two pieces
            for k in range(len(within)):
                rest = nx.Graph()
                rest.add_nodes_from(order)
                rest.add_edges_from((a, b) for j, (a, b, _) in enumerate(within) if j != k)
                decided[k] = not nx.has_path(rest, within[k][0], within[k][1])
        for k, (a, b, f) in enumerate(within):
            met["ring_flows"] += decided[k]
            for d, _ in f.via:
                known = decided[k] and devices.get(d, 0) is not None
                # watts and reactive power may run opposite ways
                devices[d] = devices.get(d, 0) + complex(abs(flow[k].real), abs(flow[k].imag)) if known else None
        for m in order:
            mine = [k for k, (a, b, _) in enumerate(within) if m in (a, b)]
            if all(decided[k] for k in mine) and entering:
                arriving = sum(takes * part for x, _, part in entering if x == m)
                for k in mine:
                    way = 1 if within[k][1] == m else -1
                    arriving += complex(max(0, way * flow[k].real), max(0, way * flow[k].imag))
                carried[m] = arriving
            else:
                carried[m] = None


def scenes(models, steps, **figures):
    """(model with loads, library state, reference, its evaluations) of random models and events."""
    for seed in models:
        model = with_loads(seed, random_model(seed), **figures)
        try:
            ref = Reference(json.loads(json.dumps(model)))
        except Rejected:
            continue
        net = ff.Network(ff.parse_model(json.dumps(model)))
        if not ff.load_conditions(net):
            continue
        mine, theirs = net.running_state(), ref.running_state()
        for step in [[], *random_events(seed, model, steps)]:
            for event in step:
                apply(mine, event)
                apply(theirs, event)
            ref.settle(theirs)
            evaluations, standing = ref.settle_memory(theirs)
            ff.settle(mine)
            yield seed, model, mine, ref, evaluations


def near(a, b):
    return abs(a - b) <= 1e-9 * (1 + abs(a) + abs(b))


def inside(x, figure):
    low, high = figure["low"], figure["high"]
    return (low is None or x >= low - 1e-9 * (1 + abs(x))) and (high is None or x <= high + 1e-9 * (1 + abs(x)))


def known(figure):
    return figure["low"] is not None and figure["low"] == figure["high"]


# ------------------------------------------------------------------- everything given


AVERAGES = {"continuous": 0, "five_minutes": 300, "five_seconds": 5}


def check_lines(sheet, expected, exact):
    lines = {line["id"]: line for line in sheet["lines"]}
    for column, average in AVERAGES.items():
        carried, devices = expected.run(average)
        if carried is None:
            return
        for id, value in carried.items():
            line = lines.get(id)
            if line is None or line["role"] == "device" or value is None:
                continue
            met["loads"] += 1
            for unit, amount in (("watts", value.real), ("volt_amperes", abs(value)), ("amps", abs(value) / 28)):
                said = line[column][unit]
                assert inside(amount, said), (id, column, unit, amount, said)
                assert not exact or known(said) and near(said["low"], amount), (id, column, unit, amount, said)
        for id, value in devices.items():
            line = lines.get(id)
            if value is None or line is None or line["role"] != "device":
                assert value is None or line is not None or abs(value) < 1e-9 or id not in expected.E, id
                continue
            met["devices"] += 1
            assert inside(abs(value) / 28, line[column]["amps"]), (id, column, value, line)
            assert not exact or near(line[column]["amps"]["low"], abs(value) / 28), (id, column, value, line)
        if average == 0:
            delivered = sum(v.real for m, v in carried.items() if v is not None and not expected.feeds[m])
            if all(v is not None for v in carried.values()) and all(expected.feeds[m] or len(expected.ring_of[m]) == 1 for m in carried):
                assert inside(delivered, sheet["delivered_watts"]), (delivered, sheet["delivered_watts"])


@pytest.mark.parametrize("part", range(4))
def test_every_line_is_what_the_rules_say(part):
    for seed, model, state, ref, evaluations in scenes(MODELS[part::4], 3):
        if evaluations is None:
            continue
        sheet = ff.load_sheet(state, "c", one_source_out=False).to_dict()
        met["worlds"] += len(evaluations) > 1
        for ev in evaluations:
            try:
                check_lines(sheet, Expected(ref, model, ev), len(evaluations) == 1)
            except Open:
                continue
            except AssertionError as error:
                raise AssertionError(f"seed {seed}") from error


def test_what_sources_deliver_is_what_loads_take_and_converters_lose():
    """Conservation, to rounding, of whatever the sheet is sure of."""
    sure = 0
    for seed, _, state, _, _ in scenes(MODELS, 3):
        sheet = ff.load_sheet(state, "c", one_source_out=False)
        d, c, lost = sheet.delivered_watts, sheet.consumed_watts, sheet.lost_watts
        if known(d) and known(c) and known(lost):
            assert near(d["low"], c["low"] + lost["low"]), seed
            sure += d["low"] > 0
    assert sure > len(MODELS)


# ------------------------------------------------------------------- what is left out


def filled_in(seeds, said):
    """(seed, the state of an aircraft with every figure, the same with a part of them), after some random steps."""
    for seed in seeds:
        whole = with_loads(seed, random_model(seed))
        try:
            full = ff.Network(ff.parse_model(json.dumps(whole)))
        except ff.ModelError:
            continue
        part = ff.Network(ff.parse_model(json.dumps(with_loads(seed, random_model(seed), said=said))))
        if "c" not in ff.load_conditions(part):
            continue
        a, b = full.running_state(), part.running_state()
        for step in [[], *random_events(seed, whole, 2)]:
            for event in step:
                apply(a, event)
                apply(b, event)
            yield seed, a, b


def test_ranges_hold_every_aircraft_that_fills_them_in():
    """What is left out of the model is filled in again: the answer was inside."""
    for seed, a, b in filled_in(MODELS, said=0.85):
        answer = {line["id"]: line for line in ff.load_sheet(a, "c", one_source_out=False).to_dict()["lines"]}
        for line in ff.load_sheet(b, "c", one_source_out=False).to_dict()["lines"]:
            if line["role"] != "source":
                continue  # inside, a battery's volts or a rating changes which way things run
            for column in AVERAGES:
                said, true = line[column]["watts"], answer[line["id"]][column]["watts"]
                met["ranges"] += not known(said)
                for x in (true["low"], true["high"]):
                    assert x is None or inside(x, said), (seed, line["id"], column, said, true)


def test_the_random_aircraft_meet_everything():
    assert all(met.values()), met
