"""Cut sets and path sets: published examples, and random models against settling every combination of failures.

Structures and their sources are those of test_published.py. The brute force here knows only `settle` and the definition: the
smallest sets that take a function below a level, no two modes of one element in a set.
"""

import itertools
import json
import math
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from random_models import random_events, random_model  # noqa: E402
from test_published import BRAKE_PARTS, LINKS, NETWORKS, PART, SOURCE, WHEELS, car_brake, network, perfect, sets, through  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
AT_ONCE = ("By the formula", "By settling every combination at once")
BELOW = {"normal": ("degraded", "lost", "unknown"), "degraded": ("lost", "unknown")}


def found(result):
    """As frozen sets of elements."""
    return {frozenset(element for element, _ in chosen) for chosen in result.sets}


# ------------------------------------------------------------------- published


def bridge(one_way):
    elements = {link: {"kind": "contactor"} for link in LINKS}
    bottom = [through("source", "link_2")] + ([through("top", "link_3")] if one_way else [])
    elements |= {"source": SOURCE, "top": perfect("bus", power=[through("source", "link_1")]), "bottom": perfect("bus", power=bottom),
                 "sink": perfect("consumer", power=[through("top", "link_4"), through("bottom", "link_5")])}
    return network(elements, ties={} if one_way else {"link": {"between": ["top", "bottom"], "via": ["link_3"]}},
                   functions={"sink_works": {"modes": {"on": {"rank": 1, "when": "sink"}}}})


def by_number(result):
    return {frozenset(element[-1] for element in chosen) for chosen in found(result)}


def test_bridge_with_a_two_way_tie():
    """DMTH404, unit 17.3, page 237: path and cut sets as printed. The tie is a loop of two buses."""
    net = bridge(False)
    cuts, paths = ff.cut_sets(net, "sink_works", within=LINKS), ff.path_sets(net, "sink_works", within=LINKS)
    assert by_number(cuts) == sets("1 2", "4 5", "1 3 5", "2 3 4") and cuts.counts == [0, 0, 2, 2]
    assert by_number(paths) == sets("1 4", "2 5", "1 3 5", "2 3 4") and paths.counts == [0, 0, 2, 2]
    assert cuts.complete and paths.complete and cuts.helping == [] and cuts.by.startswith("By the formula")


def test_bridge_with_a_one_way_tie():
    """The same with link 3 from top to bottom only; sets computed from the structure."""
    net = bridge(True)
    assert by_number(ff.cut_sets(net, "sink_works", within=LINKS)) == sets("1 2", "1 5", "4 5", "2 3 4")
    assert by_number(ff.path_sets(net, "sink_works", within=LINKS)) == sets("1 4", "2 5", "1 3 5")


@pytest.mark.parametrize(("k", "n"), [(1, 2), (2, 3), (2, 4), (3, 4), (3, 5), (5, 12)])
def test_k_out_of_n(k, n):
    """C(n, n-k+1) minimal cut sets of n-k+1 each: DMTH404, unit 17.3, page 237; and C(n, k) minimal path sets of k."""
    parts = [f"part_{i}" for i in range(n)]
    net = network({**{p: PART for p in parts}, "voter": perfect("controller", data={"at_least": k, "of": parts})},
                  functions={"vote": {"modes": {"on": {"rank": 1, "when": "voter"}}}})
    within = [(p, "loss") for p in parts]
    cuts, paths = ff.cut_sets(net, "vote", within=within), ff.path_sets(net, "vote", within=within)
    assert cuts.counts == [0] * (n - k + 1) + [math.comb(n, n - k + 1)] and cuts.complete
    assert paths.counts == [0] * k + [math.comb(n, k)] and paths.complete


def test_car_brake():
    """C. Ebeling's automobile brakes: 20 minimal cut sets, 12 of order 5 (physicsforums.com thread 666399 prints the 12)."""
    cuts = ff.cut_sets(car_brake(), "braking", below="degraded", within=BRAKE_PARTS)
    assert cuts.counts == [0, 0, 2, 2, 4, 12] and cuts.complete
    either = [(f"cylinder_{i}", f"pads_{i}") for i in WHEELS]
    assert found(cuts) == (sets("master cable", "line cable", "master pads_3 pads_4", "line pads_3 pads_4")
                           | {frozenset(("pads_3", "pads_4", *front)) for front in itertools.product(*either[:2])}
                           | {frozenset(("cable", *all_four)) for all_four in itertools.product(*either) if not {"pads_3", "pads_4"} <= set(all_four)})
    few = ff.cut_sets(car_brake(), "braking", below="degraded", within=BRAKE_PARTS, order=3)
    assert few.counts[:4] == [0, 0, 2, 2] and sum(few.counts) == 4 and few.complete_to == 3 and not few.complete


@pytest.mark.parametrize("name", sorted(NETWORKS))
def test_two_terminal_reliability(name):
    """tests/data/netrel: exact reliabilities of networks of tied buses, all of them one loop, up to 28 edges; sources are named there."""
    case = NETWORKS[name]
    elements = {"source": SOURCE}
    for v in range(case["nodes"]):
        elements[f"node_{v}"] = {"kind": "bus", "fallible": False} | ({"inputs": {"power": ["source"]}} if v == case["s"] else {})
    edges, ties = [f"edge_{n}" for n in range(len(case["edges"]))], {}
    for edge, (a, b) in zip(edges, case["edges"]):
        elements[edge] = {"kind": "contactor", "failures": {"loss": {"probability": 0.1}}}
        ties[f"tie_{edge}"] = {"between": [f"node_{a}", f"node_{b}"], "via": [edge]}
    net = network(elements, ties=ties, functions={"reached": {"modes": {"on": {"rank": 1, "when": f"node_{case['t']}"}}}})
    risk = ff.risk(net, "reached", hours=1, within=edges)
    assert risk.exact and 1 - risk.low == pytest.approx(float(case["R_two_terminal_p=9/10"]), rel=1e-13)
    assert risk.low <= risk.cut_set_bound <= risk.rare_event


# ------------------------------------------------------------------- what the answers say of themselves


def test_a_failure_that_helps_is_named():
    """The light goes out with the generator, and that is what the mode reads."""
    net = network({"generator": PART, "battery": PART, "spare": PART,
                   "bus": perfect("bus", power=["battery"]),
                   "light": perfect("light", power=["generator"])},
                  functions={"dark": {"modes": {"on": {"rank": 1, "when": {"any": ["bus", {"not": "light"}]}}}}})
    cuts = ff.cut_sets(net, "dark", within=["battery", "generator", "spare"])
    assert cuts.sets == [[("battery", "loss")]] and cuts.helping == [("generator", "loss")]
    with pytest.raises(ff.NotPossible, match="loss of `generator` can help"):
        ff.path_sets(net, "dark", within=["battery", "generator"])


def test_what_cannot_be_a_formula_is_settled_and_says_why():
    net = network({"generator": {"kind": "generator"}, "bus": {"kind": "bus", "inputs": {"power": ["generator"]}}},
                  functions={"power": {"modes": {"on": {"rank": 1, "when": "bus"}}}})
    cuts = ff.cut_sets(net, "power")
    assert cuts.sets == [[("bus", "loss")], [("bus", "short")], [("generator", "loss")], [("generator", "short")]]
    assert not cuts.complete and cuts.complete_to == 3 and "short of bus spreads" in cuts.by and cuts.helping is None
    with pytest.raises(ff.NotPossible, match="short of bus spreads"):
        ff.path_sets(net, "power")
    all_losses = ff.cut_sets(net, "power", within=["generator", "bus"])
    assert all_losses.complete and len(all_losses) == 2


def test_two_modes_of_one_element_are_never_in_one_set():
    net = network({"part": {"kind": "controller", "failures": {"drift": {}}}, "other": PART},
                  functions={"aligned": {"modes": {"on": {"rank": 1, "when": {"any": ["part", {"not": {"failure": {"part": "drift"}}}]}}}},
                             "both": {"modes": {"on": {"rank": 1, "when": {"any": [{"all": ["part", "other"]}, {"not": {"failure": {"part": "drift"}}}]}}}}})
    assert ff.cut_sets(net, "aligned").sets == []
    assert ff.cut_sets(net, "both").sets == [[("other", "loss"), ("part", "drift")]]


def test_a_function_that_is_down_already_has_nothing_to_take():
    net = bridge(False)
    state = net.running_state().fail("link_1").fail("link_2")
    cuts = ff.cut_sets(state, "sink_works")
    assert cuts.already and cuts.complete and cuts.sets == [] and "below the level as it is" in str(cuts)
    paths = ff.path_sets(state, "sink_works")
    assert paths.already and paths.sets == []


def test_what_cannot_be_asked_is_said():
    net = bridge(False)
    with pytest.raises(ff.UnknownId, match="sink_works"):
        ff.cut_sets(net, "sink_work")
    with pytest.raises(ValueError, match="below"):
        ff.cut_sets(net, "sink_works", below="lost")
    with pytest.raises(ff.NotPossible, match="order"):
        ff.cut_sets(net, "sink_works", order=0)
    with pytest.raises(ff.NotPossible, match="stuck at"):
        ff.cut_sets(net, "sink_works", within=[("link_1", "stuck", "open")])


def test_a_budget_that_runs_out_is_said():
    """Lattices have large diagrams; what there is must hold, and no more be claimed than was found."""
    size = 6
    elements = {f"n_{i}_{j}": PART if i == 0 else {"kind": "controller", "inputs": {"data": {"at_least": 2, "of": [f"n_{i-1}_{(j + d) % size}" for d in range(3)]}}}
                for i in range(size) for j in range(size)}
    net = network(elements, functions={"all_through": {"modes": {"on": {"rank": 1, "when": {"at_least": 3, "of": [f"n_{size-1}_{j}" for j in range(size)]}}}}})
    full, short = ff.cut_sets(net, "all_through"), ff.cut_sets(net, "all_through", nodes=400)
    assert full.complete and not short.complete
    reach = 0 if short.complete_to is None else short.complete_to
    assert sum(short.counts[: reach + 1]) == sum(full.counts[: reach + 1])
    assert {frozenset(s) for s in short.sets} <= {frozenset(s) for s in ff.cut_sets(net, "all_through", most_sets=1_000_000).sets}
    assert "Not complete" in str(short) or "Complete to" in str(short)


# ------------------------------------------------------------------- random models


def brute_force(state, function, candidates, order):
    """{below: smallest sets}, by settling every combination of up to `order` failures."""
    down = {below: [] for below in BELOW}
    for size in range(order + 1):
        for chosen in itertools.combinations(candidates, size):
            if len({element for element, _ in chosen}) < size:
                continue
            copy = state.copy()
            for failure in chosen:
                copy.fail(*failure)
            level = ff.settle(copy).level(function)
            for below, levels in BELOW.items():
                if level in levels and not any(set(part) <= set(chosen) for part in down[below]):
                    down[below].append(chosen)
    return down


def spreads(model, failure):
    element, mode = failure
    return mode in ("short", "leak", "jam") and model["elements"][element]["kind"] not in ("diode", "check_valve")


def redundant_model(seed):
    """Nothing with memory, and nothing that spreads: sources, tied buses, voters, relays that act because something is lost, two functions, one with a demand."""
    r = random.Random(seed)
    losses = lambda kind, **more: {"kind": kind, "failures": {"loss": {"rate": r.choice([1e-3, 1e-4])}}, **more}
    elements = {f"source_{i}": losses("controller") for i in range(r.randint(2, 4))}
    sources = list(elements)
    elements["selector"] = {"kind": "switch", "positions": ["one", "two"], "reach": "cockpit"}
    for i in range(3):
        elements[f"relay_{i}"] = {"kind": "relay", "goes": [{"to": "closed", "when": r.choice([{"not": r.choice(sources)}, r.choice(sources), {"any": sources}])}], "rest": "open"}
        elements[f"bus_{i}"] = perfect("bus", power=[r.choice(sources), {"from": r.choice(sources), "via": [r.choice([f"relay_{i}", {"selector": ["two"]}])]}])
    ties = {f"tie_{i}": {"between": [f"bus_{i}", f"bus_{(i + 1) % 3}"], "via": [f"relay_{r.randrange(3)}"] if r.random() < 0.6 else []} for i in range(3) if r.random() < 0.8}
    buses = ["bus_0", "bus_1", "bus_2"]
    for i in range(3):
        feeds = r.sample(buses + sources, 3)
        elements[f"unit_{i}"] = losses("controller", inputs={"power": r.choice([feeds, {"at_least": 2, "of": feeds}])})
    units = ["unit_0", "unit_1", "unit_2"]
    functions = {"first": {"modes": {"best": {"rank": 1, "when": {r.choice(["all", "any"]): r.sample(units, 2)}}, "other": {"rank": 2, "when": r.choice(units + [{"not": {"at": {"relay_0": "closed"}}}])}}},
                 "second": {"demand": {"set": {"selector": "two"}}, "modes": {"best": {"rank": 1, "when": {"any": [{"all": [{"level": {"first": r.choice(["normal", "degraded"])}}, r.choice(units)]}, r.choice(buses)]}}}}}
    return {"format": "fedfrom/1", "name": f"Redundant {seed}", "elements": elements, "ties": ties, "functions": functions}


met = {"doubtful": 0, "with memory": 0, "beyond three": 0, "one spreads": 0, "cut off": 0, "must work": 0, "by formula": 0, "by settling": 0, "sets of two or more": 0, "sets of four or more": 0, "four by settling": 0, "helped": 0}


@pytest.mark.parametrize("seed", range(4000 if LONG else 400))
def test_random_models_against_settling_every_combination(seed):
    model = random_model(seed, size=6 + seed % 12)
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        return  # a negative cycle
    if not net.functions:
        return
    r = random.Random(seed)
    state = net.running_state()
    for step in random_events(seed, model, r.randint(0, 2)):
        for event in step:
            apply(state, event)
        ff.settle(state)
    left = sorted(set(net.failures) - set(state.failures))
    if seed % 2:  # without what spreads, a formula is more often possible
        left = [f for f in left if f[1] not in ("short", "leak", "jam")]
    candidates = sorted(r.sample(left, min(len(left), 6)))
    for function in r.sample(sorted(net.functions), min(2, len(net.functions))):
        before = ff.settle(state.copy()).level(function)
        if before == "not_fitted":
            continue
        expected = brute_force(state, function, candidates, len(candidates))
        for below, levels in BELOW.items():
            cuts = ff.cut_sets(state, function, below=below, within=candidates)
            if before in levels:
                assert cuts.already and cuts.sets == []
                continue
            if not check_sets(model, state, function, below, candidates, cuts, expected[below]):
                continue
            met["helped"] += bool(cuts.helping)
            check_paths(state, function, below, candidates, cuts)
            check_primes(state, function, below, candidates)


@pytest.mark.parametrize("seed", range(3000 if LONG else 300))
def test_redundant_models_against_settling_every_combination(seed):
    try:
        net = ff.Network(ff.parse_model(json.dumps(redundant_model(seed))))
    except ff.ModelError:
        return  # a negative cycle
    r = random.Random(seed)
    state = net.running_state()
    candidates = sorted(r.sample([f for f in net.failures if f[1] != "contacts"], 9))
    for function in net.functions:
        expected = brute_force(state, function, candidates, len(candidates))
        before = ff.settle(state.copy()).level(function)
        for below, levels in BELOW.items():
            cuts = ff.cut_sets(state, function, below=below, within=candidates)
            if before in levels:
                assert cuts.already
                continue
            assert cuts.complete and cuts.by.startswith(AT_ONCE)
            assert cuts.sets == sorted((list(s) for s in expected[below]), key=lambda s: (len(s), s)), (seed, function, below)
            limited = ff.cut_sets(state, function, below=below, within=candidates, order=2)
            assert limited.sets == [s for s in cuts.sets if len(s) <= 2]
            met["by formula"] += 1
            met["sets of two or more"] += sum(len(s) > 1 for s in cuts.sets)
            met["sets of four or more"] += sum(len(s) > 3 for s in cuts.sets)
            met["helped"] += bool(cuts.helping)
            check_paths(state, function, below, candidates, cuts)
            check_primes(state, function, below, candidates[:7])
            check_cutoff(state, function, below, [f for f in candidates if f[1] == "loss" and not f[0].startswith(("relay", "selector"))], r)
            check_risk(state, function, below, [f for f in candidates if f[1] == "loss" and not f[0].startswith(("relay", "selector"))])


def check_risk(state, function, below, candidates):
    """The exact probability, by settling every combination: each with nothing else failed."""
    rates = {id: e["failures"]["loss"]["rate"] for id, e in state.network.model.to_dict()["elements"].items() if "failures" in e}
    hours = 100
    expected = 0.0
    for size in range(len(candidates) + 1):
        for chosen in itertools.combinations(candidates, size):
            copy = state.copy()
            for failure in chosen:
                copy.fail(*failure)
            if ff.settle(copy).level(function) in BELOW[below]:
                expected += math.prod(-math.expm1(-rates[f[0]] * hours) if f in chosen else math.exp(-rates[f[0]] * hours) for f in candidates)
    risk = ff.risk(state, function, hours=hours, below=below, within=candidates)
    assert risk.exact and risk.low == risk.high == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize("seed", range(1000 if LONG else 60))
def test_redundant_models_whose_buses_may_short(seed):
    model = redundant_model(seed)
    for i in range(3):
        del model["elements"][f"bus_{i}"]["fallible"]
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        return  # a negative cycle
    r = random.Random(seed)
    state = net.running_state()
    shorts = [f for f in net.failures if spreads(model, f)]
    candidates = sorted(r.sample(shorts, 2) + r.sample([f for f in net.failures if f[1] == "loss" and not f[0].startswith("relay")], 7))
    for function in net.functions:
        expected = brute_force(state, function, candidates, len(candidates))
        before = ff.settle(state.copy()).level(function)
        for below, levels in BELOW.items():
            if before not in levels:
                check_sets(model, state, function, below, candidates, ff.cut_sets(state, function, below=below, within=candidates), expected[below])


def check_sets(model, state, function, below, candidates, cuts, expected):
    """What it says it found, and no more; settled one by one to four failures too. Whether every combination was settled at once."""
    at_once = cuts.by.startswith(AT_ONCE)
    reach = len(candidates) if cuts.complete else cuts.complete_to
    assert reach >= (len(candidates) if at_once else min(3, len(candidates)))
    beyond = -1 if cuts.spreading_to is None else cuts.spreading_to
    reached = [list(s) for s in expected if len(s) <= reach or (sum(spreads(model, f) for f in s) <= beyond and not set(s) & set(cuts.doubtful))]
    met["doubtful"] += bool(cuts.doubtful)
    assert cuts.sets == sorted(reached, key=lambda s: (len(s), s)), (function, below)
    met["with memory"] += cuts.by.startswith("By settling every combination at once")
    met["one spreads"] += "at most one of the failures spreads" in cuts.by
    met["by formula" if at_once else "by settling"] += 1
    met["sets of two or more"] += sum(len(s) > 1 for s in cuts.sets)
    met["sets of four or more"] += sum(len(s) > 3 for s in cuts.sets)
    if at_once:
        return True
    met["beyond three"] += any(len(s) > 3 for s in cuts.sets)
    of_four = [list(s) for s in expected if len(s) <= 4]
    one_by_one = ff.cut_sets(state, function, below=below, within=candidates, order=4, nodes=8)
    assert one_by_one.complete_to >= min(4, len(candidates)) and one_by_one.spreading_to is None
    assert one_by_one.sets == ff.cut_sets(state, function, below=below, within=candidates, order=4).sets == sorted(of_four, key=lambda s: (len(s), s)), (function, below)
    met["four by settling"] += sum(len(s) == 4 for s in one_by_one.sets)
    with pytest.raises(ff.NotPossible, match="prime implicants"):
        ff.prime_implicants(state, function, below=below, within=candidates)
    return False


def check_primes(state, function, below, candidates):
    """By the definition: pairs of what failed and what works with which every state that can be is below, and nothing of which can be left out."""
    down = set()
    possible = [frozenset(c) for size in range(len(candidates) + 1) for c in itertools.combinations(candidates, size) if len({element for element, _ in c}) == size]
    for chosen in possible:
        copy = state.copy()
        for failure in sorted(chosen):
            copy.fail(*failure)
        if ff.settle(copy).level(function) in BELOW[below]:
            down.add(chosen)

    def forces(failed, working):
        return all(chosen in down for chosen in possible if failed <= chosen and not working & chosen)

    expected = []
    for values in itertools.product((None, True, False), repeat=len(candidates)):
        failed, working = (frozenset(c for c, v in zip(candidates, values) if v is wanted) for wanted in (True, False))
        if failed not in possible or not forces(failed, working):
            continue
        if not any(forces(failed - {c}, working) for c in failed) and not any(forces(failed, working - {c}) for c in working):
            expected.append((failed, working))
    primes = ff.prime_implicants(state, function, below=below, within=candidates)
    assert {(frozenset(p["failed"]), frozenset(p["working"])) for p in primes.sets} == set(expected)
    assert len(primes.sets) == len(expected) == sum(primes.counts)
    met["must work"] += sum(bool(working) for _, working in expected)


def check_cutoff(state, function, below, candidates, r):
    """Every set so probable is there, and what is left out is no likelier than the bound: by settling every combination."""
    rates = {id: e["failures"]["loss"]["rate"] for id, e in state.network.model.to_dict()["elements"].items() if "failures" in e}
    hours, at_least = 200, 10 ** r.uniform(-6, -0.5)
    p = {f: -math.expm1(-rates[f[0]] * hours) for f in candidates}
    every = ff.cut_sets(state, function, below=below, within=candidates)
    probable = ff.cut_sets(state, function, below=below, within=candidates, hours=hours, at_least=at_least)
    assert all(s in every.sets for s in probable.sets) and probable.missing == []
    assert all(s in probable.sets for s in every.sets if math.prod(p[f] for f in s) >= at_least * (1 + 1e-12))
    assert not probable.complete or probable.sets == every.sets
    without = 0.0
    for size in range(len(candidates) + 1):
        for chosen in itertools.combinations(candidates, size):
            if any(set(s) <= set(chosen) for s in probable.sets):
                continue
            copy = state.copy()
            for failure in chosen:
                copy.fail(*failure)
            if ff.settle(copy).level(function) in BELOW[below]:
                without += math.prod(p[f] if f in chosen else 1 - p[f] for f in candidates)
    assert without <= probable.dropped * (1 + 1e-9)
    met["cut off"] += len(probable.sets) < len(every.sets)


def model_with_causes(seed):
    """All that can fail has a probability; two common causes with one; with odd seeds a bus that a short takes, so that combinations are settled."""
    r = random.Random(seed)
    odds = lambda: {"probability": round(r.uniform(0.02, 0.3), 3)}
    elements = {f"source_{i}": {"kind": "controller", "failures": {"loss": odds()}} for i in range(3)}
    sources = list(elements)
    for i in range(2):
        elements[f"bus_{i}"] = perfect("bus", power=r.sample(sources, 2))
    if seed % 2:
        elements["bus_1"] = {"kind": "bus", "failures": {"loss": odds(), "short": odds()}, "inputs": elements["bus_1"]["inputs"]}
    elements["unit"] = {"kind": "controller", "failures": {"loss": odds()}, "inputs": {"power": r.choice([["bus_0", "bus_1"], {"at_least": 2, "of": ["bus_0", "bus_1"]}, ["bus_1", sources[0]]])}}
    helps = r.random() < 0.5  # what is lost with a source that another one's loss makes good
    functions = {"on": {"modes": {"on": {"rank": 1, "when": {"any": ["unit", {"not": sources[1]}]} if helps else "unit"}}}}
    fallible = [(id, mode) for id, e in elements.items() for mode in e.get("failures", {})]
    causes = {f"cause_{i}": {"fails": [f[0] if f[1] == "loss" else list(f) for f in r.sample(fallible, r.randint(1, 3))]} | odds() for i in range(2)}
    return {"format": "fedfrom/1", "name": f"Causes {seed}", "elements": elements, "functions": functions, "common_causes": causes}


@pytest.mark.parametrize("seed", range(400 if LONG else 60))
def test_risk_with_common_causes_against_settling_everything_that_may_happen(seed):
    model = model_with_causes(seed)
    net = ff.Network(ff.parse_model(json.dumps(model)))
    state = net.running_state()
    happens = [([f], model["elements"][f[0]]["failures"][f[1]]["probability"]) for f in net.failures]
    happens += [([(f, "loss") if isinstance(f, str) else tuple(f) for f in cause["fails"]], cause["probability"]) for cause in model["common_causes"].values()]
    exact = 0.0
    for happened in itertools.product((False, True), repeat=len(happens)):
        copy = state.copy()
        for (failures, _), there in zip(happens, happened):
            for failure in failures if there else ():
                copy.fail(*failure)
        if ff.settle(copy).level("on") != "normal":
            exact += math.prod(p if there else 1 - p for (_, p), there in zip(happens, happened))
    risk = ff.risk(net, "on", hours=1)
    assert (risk.exact or seed % 2) and risk.missing == []
    if seed % 2:  # where there is a formula its budget must suffice
        one_by_one = ff.risk(net, "on", hours=1, nodes=8)
        assert not one_by_one.exact and one_by_one.low <= exact * (1 + 1e-12) and exact <= one_by_one.high * (1 + 1e-12)
        assert one_by_one.low <= risk.low * (1 + 1e-12) and risk.high <= one_by_one.high * (1 + 1e-12)
    assert risk.low <= exact * (1 + 1e-12) and exact <= risk.high * (1 + 1e-12) + 1e-15
    if risk.exact:
        assert risk.low == pytest.approx(exact, rel=1e-11)
    for cause in risk.causes:
        copy = state.copy()
        for failure in cause["fails"]:
            copy.fail(*failure)
        assert cause["alone"] == (ff.settle(copy).level("on") != "normal")


def check_paths(state, function, below, candidates, cuts):
    """Path sets are the smallest sets that meet every cut set, unless more failures can help, or two modes of one element bar each other."""
    if cuts.helping:
        with pytest.raises(ff.NotPossible, match="can help"):
            ff.path_sets(state, function, below=below, within=candidates)
        return
    paths = ff.path_sets(state, function, below=below, within=candidates)
    if len({element for element, _ in candidates}) < len(candidates):
        return
    meets = [set(chosen) for size in range(len(candidates) + 1) for chosen in itertools.combinations(candidates, size) if all(set(chosen) & set(cut) for cut in cuts.sets)]
    smallest = [m for m in meets if not any(other < m for other in meets)]
    assert {frozenset(p) for p in paths.sets} == {frozenset(m) for m in smallest}


def test_enough_was_met():
    assert met["by formula"] > 600 and met["by settling"] > 200 and met["sets of two or more"] > 1000 and met["sets of four or more"] > 30 and met["helped"] > 50, met
    assert met["with memory"] > 80 and met["one spreads"] > 150 and met["beyond three"] > 6 and met["four by settling"] > 10 and met["must work"] > 20 and met["cut off"] > 100, met
