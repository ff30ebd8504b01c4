"""The library against answers that others published, and against programs of another kind.

Each test names its source. Where a number was never printed and was computed from a printed structure by going
through every state, the source of the structure is named; what nobody looked up again says *from memory*.
Only `settle` answers here, but for dispatch: every value comes from going through states one by one, failures toggled in the order
of a Gray code, so that a state differs from the one before in one failure.

FEDFROM_LONG=1 goes through all states of networks of up to 24 edges; without it, 17.
"""

import datetime
import itertools
import json
import math
import os
import pathlib
import random

import fedfrom as ff
import pytest

DATA = pathlib.Path(__file__).resolve().parents[1] / "data"
LONG = os.environ.get("FEDFROM_LONG") == "1"

SOURCE = {"kind": "generator", "fallible": False}
PART = {"kind": "controller"}  # a source that may be lost


def perfect(kind, **inputs):
    """A node that never fails, with these ports."""
    return {"kind": kind, "fallible": False, "inputs": inputs}


def through(source, *devices):
    return {"from": source, "via": list(devices)}


def network(elements, **more):
    return ff.Network(ff.Model.from_dict({"name": "Published case", "elements": elements, **more}))


def every_state(net, parts):
    """Every set of lost parts, as a bit mask over `parts`, with its outcome; 2^n settles."""
    state = net.running_state()
    mask = 0
    yield mask, ff.settle(state)
    for n in range(1, 1 << len(parts)):
        bit = (n & -n).bit_length() - 1
        mask ^= 1 << bit
        if mask >> bit & 1:
            state.fail(parts[bit])
        else:
            state.repair(parts[bit])
        yield mask, ff.settle(state)


def failing_states(net, parts, works):
    """The masks of lost parts in which `works(outcome)` does not hold."""
    return {mask for mask, out in every_state(net, parts) if not works(out)}


def minimal(masks):
    """Those of the masks that no other is a proper subset of."""
    kept = []
    for mask in sorted(masks, key=lambda m: (m.bit_count(), m)):
        if not any(k & mask == k for k in kept):
            kept.append(mask)
    return kept


def names(masks, parts):
    return {frozenset(p for n, p in enumerate(parts) if mask >> n & 1) for mask in masks}


def sets(*words):
    """sets("1 2", "4 5") == {{"1", "2"}, {"4", "5"}}"""
    return {frozenset(word.split()) for word in words}


def upward_closed(failing, n):
    """A further loss never helps: the minimal sets say all."""
    return all(mask | 1 << bit in failing for mask in failing for bit in range(n))


def probability(failing, q):
    """Of being in one of the states, with part n lost with probability q[n]; exact sum."""
    return math.fsum(math.prod(x if mask >> n & 1 else 1 - x for n, x in enumerate(q)) for mask in failing)


def supplied(id):
    return lambda out: out.status(id) == "supplied"


# ------------------------------------------------------------------- the bridge

LINKS = ["link_1", "link_2", "link_3", "link_4", "link_5"]


def bridge(one_way):
    """1 source-top, 2 source-bottom, 3 top-bottom, 4 top-sink, 5 bottom-sink; the nodes are perfect."""
    elements = {link: {"kind": "contactor"} for link in LINKS}
    bottom = [through("source", "link_2")] + ([through("top", "link_3")] if one_way else [])
    elements |= {"source": SOURCE, "top": perfect("bus", power=[through("source", "link_1")]), "bottom": perfect("bus", power=bottom),
                 "sink": perfect("consumer", power=[through("top", "link_4"), through("bottom", "link_5")])}
    return network(elements, ties={} if one_way else {"link": {"between": ["top", "bottom"], "via": ["link_3"]}})


def short_names(masks):
    return {frozenset(name[-1] for name in found) for found in names(masks, LINKS)}


def test_bridge_with_a_two_way_tie():
    """Lovely Professional University, DMTH404 Statistics, unit 17.3 "The Bridge Structure", page 237.

    Path and cut sets are printed there; R(p) = 2p^2 + 2p^3 - 5p^4 + 2p^5 is computed from the structure.
    """
    failing = failing_states(bridge(False), LINKS, supplied("sink"))
    assert upward_closed(failing, 5)
    cuts = minimal(failing)
    assert short_names(cuts) == sets("1 2", "4 5", "1 3 5", "2 3 4")
    working = [31 ^ mask for mask in range(32) if mask not in failing]
    assert short_names(minimal(working)) == sets("1 4", "2 5", "1 3 5", "2 3 4")
    for p, r in ((0.5, 0.5), (0.8, 0.91136), (0.9, 0.97848), (0.95, 0.994780625), (0.99, 0.9997980498), (0.999, 0.999997998004998)):
        assert 1 - probability(failing, [1 - p] * 5) == pytest.approx(r, abs=1e-13)
        assert r == pytest.approx(2 * p**2 + 2 * p**3 - 5 * p**4 + 2 * p**5, abs=1e-13)
    products = [0.1 ** cut.bit_count() for cut in cuts]
    assert math.fsum(products) == pytest.approx(0.022, abs=1e-15)
    assert 1 - math.prod(1 - x for x in products) == pytest.approx(0.0218592199, abs=1e-12)


def test_bridge_importance():
    """The same structure: dU/dq of a part is U with it lost less U with it working; values computed."""
    failing = failing_states(bridge(False), LINKS, supplied("sink"))
    for n, birnbaum in enumerate((0.1062, 0.1062, 0.0162, 0.1062, 0.1062)):
        q = [0.1] * 5
        lost, working = q[:n] + [1] + q[n + 1:], q[:n] + [0] + q[n + 1:]
        assert probability(failing, lost) - probability(failing, working) == pytest.approx(birnbaum, abs=1e-13)


def test_bridge_with_unequal_links():
    """A student-help page's unequal bridge (askfilo.com, "Determine the reliability of the following system"), structure read, R computed.

    There: 0.8 source-top, 0.9 top-sink, 0.9 tie, 0.9 source-bottom, 0.8 bottom-sink.
    """
    failing = failing_states(bridge(False), LINKS, supplied("sink"))
    assert 1 - probability(failing, [0.2, 0.1, 0.1, 0.1, 0.2]) == pytest.approx(0.95652, abs=1e-13)


def test_bridge_with_a_one_way_tie():
    """The same bridge with link 3 from top to bottom only, the trap for edge directions; sets and values computed."""
    failing = failing_states(bridge(True), LINKS, supplied("sink"))
    assert upward_closed(failing, 5)
    assert short_names(minimal(failing)) == sets("1 2", "1 5", "4 5", "2 3 4")
    assert short_names(minimal(31 ^ mask for mask in range(32) if mask not in failing)) == sets("1 4", "2 5", "1 3 5")
    for p, r in ((0.9, 0.97119), (0.99, 0.9997010199)):
        assert 1 - probability(failing, [1 - p] * 5) == pytest.approx(r, abs=1e-13)


# ------------------------------------------------------------------- k out of n


@pytest.mark.parametrize("written", ["port", "needs", "function"])
@pytest.mark.parametrize(("k", "n", "r", "value", "cut_sets"), [
    (1, 2, 0.9, 0.99, 1), (2, 3, 0.9, 0.972, 3), (2, 3, 0.99, 0.999702, 3), (2, 4, 0.9, 0.9963, 4), (3, 4, 0.97, 0.99481357, 6), (3, 5, 0.9, 0.99144, 10)])
def test_k_out_of_n(k, n, r, value, cut_sets, written):
    """C(n, n-k+1) minimal cut sets of n-k+1 each: DMTH404, unit 17.3, page 237. Values computed; 3 of 4 engines at
    0.97 is problem 3 of a worked solution (coursehero.com/file/p4bm6ik), which prints 0.9948.
    """
    parts = [f"part_{i}" for i in range(n)]
    vote = {"at_least": k, "of": parts}
    elements, more = {p: PART for p in parts}, {}
    if written == "port":
        elements["voter"] = perfect("controller", data=vote)
    elif written == "needs":
        elements["voter"] = {"kind": "controller", "fallible": False, "needs": vote}
    else:
        more = {"functions": {"vote": {"modes": {"enough": {"rank": 1, "when": vote}}}}}
    works = supplied("voter") if written != "function" else lambda out: out.level("vote") == "normal"
    failing = failing_states(network(elements, **more), parts, works)
    cuts = minimal(failing)
    assert len(cuts) == cut_sets == math.comb(n, n - k + 1) and {c.bit_count() for c in cuts} == {n - k + 1}
    assert 1 - probability(failing, [1 - r] * n) == pytest.approx(value, abs=1e-12)


# ------------------------------------------------------------------- the car brake

WHEELS = (1, 2, 3, 4)  # 3 and 4 are the rear ones
BRAKE_PARTS = ["master", "line", "cable"] + [f"{what}_{i}" for i in WHEELS for what in ("cylinder", "pads")]


def car_brake():
    """Foot: master, line and any wheel (its cylinder and its pads). Hand: cable and the pads of either rear wheel."""
    elements = {part: PART for part in BRAKE_PARTS}
    for i in WHEELS:
        elements[f"wheel_{i}"] = perfect("actuator", push=[f"cylinder_{i}"], friction=[f"pads_{i}"])
    elements["foot"] = perfect("actuator", pressure=["master"], piping=["line"], wheels=[f"wheel_{i}" for i in WHEELS])
    elements["hand"] = perfect("actuator", pull=["cable"], friction=["pads_3", "pads_4"])
    elements["car"] = perfect("consumer", braking=["foot", "hand"])
    return network(elements, functions={"braking": {"modes": {"foot": {"rank": 1, "when": "foot"}, "hand": {"rank": 2, "when": "hand"}}}})


def test_car_brake():
    """C. Ebeling, An Introduction to Reliability and Maintainability Engineering, the automobile braking example.

    Structure from the problem statement (chegg.com q3348754); that only 12 of 16 order-5 sets are minimal since 4 hold
    both rear pads is printed in a discussion of it (physicsforums.com thread 666399). Probabilities computed.
    """
    failing = set()
    for mask, out in every_state(car_brake(), BRAKE_PARTS):
        lost = out.level("braking") == "lost"
        assert lost == (out.status("car") != "supplied")
        if lost:
            failing.add(mask)
    assert upward_closed(failing, 11)
    cuts = names(minimal(failing), BRAKE_PARTS)
    either = [(f"cylinder_{i}", f"pads_{i}") for i in WHEELS]
    assert cuts == (sets("master cable", "line cable", "master pads_3 pads_4", "line pads_3 pads_4")
                    | {frozenset(("pads_3", "pads_4", *front)) for front in itertools.product(*either[:2])}
                    | {frozenset(("cable", *all_four)) for all_four in itertools.product(*either) if not {"pads_3", "pads_4"} <= set(all_four)})
    assert [sum(len(c) == n for c in cuts) for n in range(1, 7)] == [0, 2, 2, 4, 12, 0]
    for q, exact, products in ((0.01, 2.0101006184e-4, 2.020412e-4), (0.05, 5.13101644434e-3, 5.27875e-3), (0.1, 0.021078729010, 0.02252)):
        assert probability(failing, [q] * 11) == pytest.approx(exact, rel=1e-10)
        assert math.fsum(q ** len(c) for c in cuts) == pytest.approx(products, rel=1e-10)


def test_car_brake_by_conditioning():
    """The worked solution (coursehero.com/file/p4bm6ik, problem 4): condition on the four states of the rear pads and add up."""
    failing = failing_states(car_brake(), BRAKE_PARTS, supplied("car"))
    q = 0.05
    rear = [BRAKE_PARTS.index("pads_3"), BRAKE_PARTS.index("pads_4")]
    total = 0.0
    for states in itertools.product((0, 1), repeat=2):
        given = [q] * 11
        for index, lost in zip(rear, states):
            given[index] = lost
        total += math.prod(q if lost else 1 - q for lost in states) * probability(failing, given)
    wheel, pads_good = 1 - (1 - q) ** 2, q  # a wheel, and one whose pads are good
    hydraulic = 1 - (1 - q) ** 2
    foot = lambda *wheels: 1 - (1 - hydraulic) * (1 - math.prod(wheels))
    by_hand = ((1 - q) ** 2 * foot(wheel, wheel, pads_good, pads_good) * q
               + 2 * q * (1 - q) * foot(wheel, wheel, pads_good, 1) * q + q**2 * foot(wheel, wheel, 1, 1))
    assert total == pytest.approx(by_hand, rel=1e-12) == pytest.approx(5.13101644434e-3, rel=1e-10)


# ------------------------------------------------------------------- small trees


def test_loss_of_electric_power():
    """Lecture notes "notes5c", Fault Trees (scribd.com/document/372155262): T = (E1 and E2) or E3.

    Printed P(E1 and E2) = 0.005025 and P(T) = 0.01; exact 0.009999875.
    """
    parts = ["e1", "e2", "e3"]
    failing = failing_states(network({**{p: PART for p in parts}, "power": perfect("bus", either=["e1", "e2"], must=["e3"])}), parts, supplied("power"))
    assert names(minimal(failing), parts) == sets("e1 e2", "e3")
    assert probability(failing, [0.067, 0.075, 0]) == pytest.approx(0.005025, abs=1e-15)
    assert probability(failing, [0.067, 0.075, 0.005]) == pytest.approx(0.009999875, abs=1e-15)


def test_absorption():
    """The same notes: T = (E1 and (E3 and E4)) or (E2 or (E5 or E3)) has the minimal cut sets {E2} {E3} {E5} only."""
    parts = ["e1", "e2", "e3", "e4", "e5"]
    elements = {**{p: PART for p in parts}, "inner_and": perfect("controller", any=["e3", "e4"]), "left": perfect("controller", any=["e1", "inner_and"]),
                "inner_or": perfect("controller", a=["e5"], b=["e3"]), "right": perfect("controller", a=["e2"], b=["inner_or"]),
                "top": perfect("controller", a=["left"], b=["right"])}
    assert names(minimal(failing_states(network(elements), parts, supplied("top"))), parts) == sets("e2", "e3", "e5")


def test_pressure_tank():
    """Vesely and others, Fault Tree Handbook, NUREG-0492, the pressure tank: structure and inputs FROM MEMORY, unverified.

    E1 = T or E2; E2 = K2 or E3; E3 = S and E4; E4 = S1 or E5; E5 = K1 or R. That K2 is a cut set by itself is
    confirmed by Barlow, Engineering Reliability, page 130. Exact value and shares computed from these inputs.
    """
    parts = ["t", "k2", "s", "k1", "r", "s1"]
    elements = {**{p: PART for p in parts}, "e5": perfect("controller", a=["k1"], b=["r"]), "e4": perfect("controller", a=["s1"], b=["e5"]),
                "e3": perfect("controller", either=["s", "e4"]), "e2": perfect("controller", a=["k2"], b=["e3"]), "e1": perfect("controller", a=["t"], b=["e2"])}
    failing = failing_states(network(elements), parts, supplied("e1"))
    cuts = names(minimal(failing), parts)
    assert cuts == sets("t", "k2", "s k1", "s r", "s s1")
    q = dict(t=5e-6, k2=3e-5, s=1e-4, k1=3e-5, r=1e-4, s1=3e-5)
    top = probability(failing, [q[p] for p in parts])
    assert top == pytest.approx(3.501584875e-5, rel=1e-9)
    assert math.fsum(math.prod(q[p] for p in c) for c in cuts) == pytest.approx(3.5016e-5, rel=1e-9)
    assert q["k2"] / top == pytest.approx(0.857, abs=5e-4) and q["t"] / top == pytest.approx(0.143, abs=5e-4)


# ------------------------------------------------------------------- two-terminal networks

NETWORKS = json.loads((DATA / "netrel/networks.json").read_text(encoding="utf-8"))
ALL_STATES = 24 if LONG else 17


def two_terminal(case):
    """Vertices are perfect buses, every edge a tie through a contactor that may be lost; `s` hangs on a source."""
    elements = {"source": SOURCE}
    for v in range(case["nodes"]):
        elements[f"node_{v}"] = {"kind": "bus", "fallible": False} | ({"inputs": {"power": ["source"]}} if v == case["s"] else {})
    edges = [f"edge_{n}" for n in range(len(case["edges"]))]
    ties = {}
    for edge, (a, b) in zip(edges, case["edges"]):
        elements[edge] = {"kind": "contactor"}
        ties[f"tie_{edge}"] = {"between": [f"node_{a}", f"node_{b}"], "via": [edge]}
    return network(elements, ties=ties), edges


@pytest.mark.parametrize("name", sorted(NETWORKS))
def test_two_terminal_networks(name, record_property):
    """tests/data/netrel: how many sets of k working edges connect s with t, for every k; up to 17 edges (24 with
    FEDFROM_LONG=1) all states, of larger ones all with up to 4 edges lost. `published` there names printed values.
    """
    case = NETWORKS[name]
    net, edges = two_terminal(case)
    size, sink = len(edges), f"node_{case['t']}"
    published = case["two_terminal_pathset_counts"]
    if size <= ALL_STATES:
        record_property("ran", f"all {1 << size} states")
        counts = [0] * (size + 1)
        for mask, out in every_state(net, edges):
            counts[size - mask.bit_count()] += out.status(sink) == "supplied"
        assert counts == published
        assert math.fsum(c * 0.9**k * 0.1 ** (size - k) for k, c in enumerate(counts)) == pytest.approx(float(case["R_two_terminal_p=9/10"]), rel=1e-9)
        return
    record_property("ran", "all states with up to 4 edges lost")
    running = net.running_state()
    for lost in range(5):
        connected = 0
        for chosen in itertools.combinations(edges, lost):
            state = running.copy()
            for edge in chosen:
                state.fail(edge)
            connected += ff.settle(state).status(sink) == "supplied"
        assert connected == published[size - lost]


@pytest.mark.parametrize("name", [n for n in sorted(NETWORKS) if len(NETWORKS[n]["edges"]) <= 13])
def test_all_terminal_networks(name):
    """The same for every vertex at once, where there are few edges."""
    case = NETWORKS[name]
    net, edges = two_terminal(case)
    counts = [0] * (len(edges) + 1)
    for mask, out in every_state(net, edges):
        counts[len(edges) - mask.bit_count()] += all(out.status(f"node_{v}") == "supplied" for v in range(case["nodes"]))
    assert counts == case["all_terminal_pathset_counts"]
    assert counts[case["nodes"] - 1] == case["spanning_trees"]


# ------------------------------------------------------------------- power networks

# case: buses, generator buses, demand buses, demand buses with another bus as a single point of failure
POWER = {
    "case5_pjm": (5, 4, 3, 0), "case14_ieee": (14, 5, 11, 0), "case57_ieee": (57, 7, 42, 1), "case118_ieee": (118, 54, 99, 1),
    "case300_ieee": (300, 69, 191, 35), "case1354_pegase": (1354, 260, 621, 319), "case2869_pegase": (2869, 510, 1305, 404),
    "case10480_goc": (10480, 339, 6783, 203),
}

# Synchronous condensers are generators with no active power, so the files do not show them. Their buses from memory;
# the twelve of case300 are not known here, and it is compared with the networkx on this machine only.
CONDENSERS = {
    "case14_ieee": (3, 6, 8), "case57_ieee": (2, 6, 9),
    "case118_ieee": (1, 4, 6, 8, 15, 18, 19, 24, 27, 32, 34, 36, 40, 42, 55, 56, 62, 70, 72, 73, 74, 76, 77, 85, 90, 91, 92, 99, 104, 105, 107, 110, 112, 113, 116),
}
CONDENSERS_UNKNOWN = ("case300_ieee",)


def power_network(name):
    """Every generator bus hangs on a source of its own, every branch in service is a tie: (network, buses, generator buses, demand buses)."""
    elements, ties, generators, demand = {}, {}, [], []
    for n, line in enumerate((DATA / f"power/{name}.csv").read_text(encoding="utf-8").splitlines()):
        row = line.split(",")
        if row[0] == "bus":
            bus = f"bus_{row[1]}"
            elements[bus] = {"kind": "bus"}
            if float(row[3]) > 0 or int(row[1]) in CONDENSERS.get(name, ()):
                generators.append(bus)
                elements[f"source_{row[1]}"] = SOURCE
                elements[bus]["inputs"] = {"power": [f"source_{row[1]}"]}
            if float(row[2]) > 0:
                demand.append(bus)
        elif row[0] == "branch" and int(row[3]) == 1:
            ties[f"branch_{n}"] = {"between": [f"bus_{row[1]}", f"bus_{row[2]}"]}
    buses = [e for e in elements if e.startswith("bus_")]
    return network(elements, ties=ties), buses, generators, demand


def dominated(net, lost_buses, demand):
    """The demand buses that lose supply when one other bus is lost."""
    found = set()
    state = net.running_state()
    for bus in lost_buses:
        out = ff.settle(state.copy().fail(bus))
        found |= {d for d in demand if d != bus and out.status(d) != "supplied"}
    return found


@pytest.mark.parametrize("name", [n for n in POWER if n != "case10480_goc"])
def test_single_points_of_failure_of_power_networks(name):
    """PGLib-OPF v23.07 (IEEE PES), tests/data/power: losing each bus in turn finds as many demand buses with a single
    point of failure as networkx 3.6.1 found dominated ones from a super-source on all generator buses, and the same ones.
    """
    net, buses, generators, demand = power_network(name)
    found = dominated(net, buses, demand)
    if name not in CONDENSERS_UNKNOWN:
        assert (len(buses), len(generators), len(demand), len(found)) == POWER[name]
    networkx = pytest.importorskip("networkx")
    graph = networkx.DiGraph([("", g) for g in generators])
    for a, b in (tie["between"] for tie in net.model.to_dict()["ties"].values()):
        graph.add_edges_from([(a, b), (b, a)])
    dominator = networkx.immediate_dominators(graph, "")
    assert found == {d for d in demand if dominator[d] != ""}


def test_power_network_of_ten_thousand_buses(record_property):
    """PGLib-OPF v23.07, case10480_goc: everything is supplied; 100 buses lost one by one give what a plain search says,
    every bus and the published count of 203 with FEDFROM_LONG=1.
    """
    net, buses, generators, demand = power_network("case10480_goc")
    assert (len(buses), len(generators), len(demand)) == POWER["case10480_goc"][:3]
    out = ff.settle(net.running_state())
    assert all(out.status(b) == "supplied" for b in buses)
    if LONG:
        record_property("ran", "every bus")
        assert len(dominated(net, buses, demand)) == POWER["case10480_goc"][3]
        return
    record_property("ran", "100 buses")
    neighbours = {b: [] for b in buses}
    for tie in net.model.to_dict()["ties"].values():
        a, b = tie["between"]
        neighbours[a].append(b)
        neighbours[b].append(a)
    state = net.running_state()
    for lost in random.Random(10480).sample(buses, 100):
        reached, waiting = set(), [g for g in generators if g != lost]
        while waiting:
            bus = waiting.pop()
            if bus not in reached:
                reached.add(bus)
                waiting += [n for n in neighbours[bus] if n != lost]
        out = ff.settle(state.copy().fail(lost))
        assert {b for b in buses if out.status(b) == "supplied"} == reached


# ------------------------------------------------------------------- reachability


@pytest.mark.parametrize("seed", range(400 if LONG else 60))
def test_feeds_alone_are_reachability(seed):
    """networkx: in a network of alternatives only, what is supplied is what the live sources reach with the lost nodes removed."""
    networkx = pytest.importorskip("networkx")
    r = random.Random(f"reachability {seed}")
    n = r.choice([3, 10, 40, 150])
    sources = r.sample(range(n), max(1, n // r.choice([3, 8, 20])))
    graph = networkx.gnp_random_graph(n, r.choice([0.7, 1.2, 2, 4]) / n, seed=seed, directed=True)
    ties = {}
    for k in range(r.choice([0, n // 4])):  # two edges each
        a, b = r.sample(range(n), 2)
        ties[f"t{k}"] = {"between": [f"n{a}", f"n{b}"]}
    elements = {"dark": {"kind": "battery"}}  # always lost: what nothing else feeds
    for v in range(n):
        feeds = [f"n{u}" for u in graph.predecessors(v)]
        r.shuffle(feeds)
        if v in sources:
            elements[f"n{v}"] = {"kind": "battery"}
        else:
            elements[f"n{v}"] = {"kind": r.choice(["bus", "feeder", "consumer"]), "inputs": {"power": feeds or ["dark"]}}
    for tie in ties.values():
        a, b = (int(end[1:]) for end in tie["between"])
        graph.add_edges_from([(a, b), (b, a)])
    state = network(elements, ties=ties).running_state().fail("dark")
    lost = set()
    for _ in range(12):
        for v in r.sample(range(n), r.randint(1, min(4, n))):
            if v in lost:
                lost.discard(v)
                state.repair(f"n{v}")
            else:
                lost.add(v)
                state.fail(f"n{v}")
        left = graph.subgraph(set(graph) - lost)
        live = [s for s in sources if s not in lost]
        reached = set(live).union(*(networkx.descendants(left, s) for s in live))
        out = ff.settle(state)
        assert {v for v in range(n) if out.status(f"n{v}") == "supplied"} == reached


# ------------------------------------------------------------------- dispatch


def fleet(items):
    """A list of (installed, required), each unit a controller of its own."""
    elements, dispatch = {}, {}
    for i, (installed, required) in enumerate(items):
        units = {f"u{n}": {"elements": [f"e{i}_{n}"]} for n in range(installed)}
        elements.update({f"e{i}_{n}": PART for n in range(installed)})
        dispatch[f"item_{i}"] = {"category": "C", "installed": installed, "required": required, "units": units}
    return network(elements, dispatch=dispatch)


@pytest.mark.parametrize("items", [[(2, 1)], [(3, 0)], [(4, 2)], [(2, 1), (3, 2)], [(1, 0), (2, 2), (2, 0)]])
def test_dispatch_states_are_a_product_of_binomials(items):
    """Transport Canada TP 9155 App. A: the third column is the least number that must work. Of n installed and k required,
    n-k may be out and n-k+1 may not; so the sets within all the numbers are a product of sums of C(n, i).
    """
    net = fleet(items)
    units = [(item, unit) for item, value in net.model.to_dict()["dispatch"].items() for unit in value["units"]]
    within = 0
    for chosen in itertools.product([False, True], repeat=len(units)):
        out = [unit for unit, is_out in zip(units, chosen, strict=True) if is_out]
        within += not any(c["why"] == "count" for c in ff.check_deferrals(net, out, causes=False).conflicts)
    assert within == math.prod(sum(math.comb(n, i) for i in range(n - k + 1)) for n, k in items)


@pytest.mark.parametrize(
    "category, found, last",
    [
        # A pilot's example, in keeping with the rule: found on 10 September, category C, counted from the 11th.
        ("C", (2008, 9, 10), (2008, 9, 20)),
        # Hong Kong MEL policy (HKAR): category B, three consecutive calendar days, the day of discovery excluded.
        ("B", (2008, 9, 10), (2008, 9, 13)),
        # An airline's MEL preamble: D, 120 consecutive calendar days; through the end of a year and a 29 February.
        ("D", (2023, 12, 1), (2024, 3, 30)),
        # A: no standard interval, as the remarks say.
        ("A", (2008, 9, 10), None),
    ],
)
def test_repair_intervals(category, found, last):
    assert ff.last_repair_day(category, datetime.date(*found)) == (last and datetime.date(*last))
