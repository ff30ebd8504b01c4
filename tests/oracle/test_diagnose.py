"""Which failures explain what was seen, against the definition (M34): every set settled alone, every observation read in it.

Nothing of `diagnose` is used to find what is expected. Where something hunts, a reading may be unknown and yet surely not be what was
seen; whether it is, is then asked of a function written into the model's text for the purpose.
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
from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from compare import apply  # noqa: E402
from lamps import seen, seen_as, with_lamps  # noqa: E402
from random_models import hands, random_events, random_model  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"
examples = settings(max_examples=4_000 if LONG else 200, deadline=None, derandomize=True, database=None)

met = {"models": 0, "explaining": 0, "of_two": 0, "masked": 0, "contradicting": 0, "undecided": 0, "nothing": 0, "situations": 0,
       "functions": 0, "positions": 0, "frozen": 0, "looks": 0, "with_action": 0, "by_rates": 0, "hunting": 0, "shorts": 0}


# ------------------------------------------------------------------- what is expected


class Oracle:
    def __init__(self, model, history, observations):
        self.model, self.observations = model, observations
        self.functions = model.get("functions", {})
        self.state = replayed(ff.Network(ff.parse_model(json.dumps(model))), history)
        probed = json.loads(json.dumps(model))
        for n, o in enumerate(observations):
            probed.setdefault("functions", {})[f"probe_{n}"] = {"demand": {"set": o["set"], "given": o["given"]}, "modes": {"seen": {"rank": 1, "when": self.condition(o)}}}
        self.probed = replayed(ff.Network(ff.parse_model(json.dumps(probed))), history)
        self.known = {}

    def condition(self, o):
        """Never asked of a frozen pointer, nor of a function in a situation of its own."""
        id, seen = o["id"], o["seen"]
        if id in self.functions:
            least, normal = {"level": {id: "degraded"}}, {"level": {id: "normal"}}
            return {"works": least, "dead": {"not": least}, "lost": {"not": least}, "normal": normal, "degraded": {"all": [least, {"not": normal}]}}[seen]
        e = self.model["elements"][id]
        texts = [s["text"] for s in e.get("shows", [])]
        if texts and seen in [*texts, e.get("unpowered", ""), ""]:
            alike = {t for t in [*texts, e.get("unpowered", ""), ""] if seen_as(e, t) == seen_as(e, seen)}
            ways = [{"all": [id, s["when"], *({"not": b["when"]} for b in e["shows"][:n])]} for n, s in enumerate(e["shows"]) if s["text"] in alike]
            if "" in alike:
                ways.append({"all": [id, *({"not": s["when"]} for s in e["shows"])]})
            if e.get("unpowered", "") in alike:
                ways.append({"not": id})
            return {"any": ways}
        if seen in ("works", "dead"):
            return id if seen == "works" else {"not": id}
        return {"at": {id: seen}}

    def with_failures(self, state, failures):
        state = state.copy()
        for f in failures:
            state.fail(*f)
        return state

    def predictions(self, failures):
        """By observation: whether it is predicted; None where unknown."""
        if failures in self.known:
            return self.known[failures]
        settled = self.with_failures(self.state, failures)
        alone = ff.settle(settled)
        hunting = bool(alone.to_dict()["hunting"])
        said = []
        for o in self.observations:
            state, extra = settled.copy(), {}
            if o["id"] in self.functions and (o["set"] or o["given"]):
                extra = self.functions[o["id"]].get("demand", {})
            for id, at in {**o["set"], **extra.get("set", {})}.items():
                if id in hands(self.model):
                    state.set(id, at)
            for id, value in {**o["given"], **extra.get("given", {})}.items():
                state.given(id, value)
            out = ff.settle(state)
            hunting |= bool(out.to_dict()["hunting"])
            said.append(self.read(out, o))
        if hunting:
            met["hunting"] += 1
            frozen = [o for o in self.observations if self.model["elements"].get(o["id"], {}).get("unpowered") == "stays"]
            own = [o for o in self.observations if o["id"] in self.functions and (o["set"] or o["given"])]
            assume(not frozen and not own)
            out = ff.settle(self.with_failures(self.probed, failures))
            said = [{"normal": True, "unknown": None}.get(out.level(f"probe_{n}"), False) for n in range(len(self.observations))]
        self.known[failures] = said
        return said

    def read(self, out, o):
        id, seen = o["id"], o["seen"]
        if id in self.functions:
            level = out.level(id)
            wanted = {"works": ("normal", "degraded"), "dead": ("lost",)}.get(seen, (seen,))
            return None if level == "unknown" else level in wanted
        e = self.model["elements"][id]
        texts = [s["text"] for s in e.get("shows", [])]
        shown = out.to_dict()["shows"].get(id)
        if texts and (seen in texts or seen == "" or (e.get("unpowered") != "stays" and seen == e.get("unpowered", ""))):
            return None if shown is None else seen_as(e, shown) == seen_as(e, seen)
        if seen in ("works", "dead"):
            status = out.status(id)
            return None if status == "unknown" else (status == "supplied") == (seen == "works")
        position = out.position(id)
        return None if position is None else position == seen


def families(oracle, failures, most):
    """Sets that explain all; that contradict one observation and explain the rest; that are undecided. Smallest ones."""
    sets = [frozenset()]
    for size in range(1, most + 1):
        for chosen in itertools.combinations(failures, size):
            if len({f[0] for f in chosen}) == size:
                sets.append(frozenset(chosen))
    said = {s: oracle.predictions(tuple(sorted(s))) for s in sets}

    def smallest(holds):
        found = []
        for s in sets:
            if holds(said[s]) and not any(part < s for part in found):
                found.append(s)
        return found

    explaining = smallest(lambda p: all(x is True for x in p))
    contradicting = {}
    for o in range(len(oracle.observations)):
        rest = smallest(lambda p: all(x is True for n, x in enumerate(p) if n != o))
        contradicting[o] = [s for s in rest if said[s][o] is False]
    open_ = smallest(lambda p: False not in p)
    undecided = [s for s in open_ if None in said[s]]
    met["masked"] += sum(len(s) == 2 and any(said[frozenset([f])] != said[s] for f in s) and frozenset() not in explaining for s in explaining)
    return explaining, contradicting, undecided, said


def entropy(weights):
    total = sum(weights)
    return -sum(w / total * math.log2(w / total) for w in weights if w > 0)


def bits_of(readings, weights):
    results = sorted({r for r in readings if r is not None})
    if len(results) < 2:
        return 0.0
    bits = entropy(weights)
    for result in results:
        parts = [w if r == result else w / len(results) for r, w in zip(readings, weights) if r in (result, None)]
        bits -= sum(parts) * entropy(parts)
    return bits


def exists(state, function, mode):
    """Whether a one-shot mode is there at all: what it spends from may not be fitted (M23)."""
    try:
        state.copy().use(function, mode)
    except ff.NotPossible as e:
        return "no fitted mode" not in str(e)
    return True


def every_look(oracle, candidates, weights):
    """{(id, set): bits} of all that could be looked at or tried."""
    settled = [oracle.with_failures(oracle.state, c) for c in candidates]
    outs = [ff.settle(s) for s in settled]
    looks = {}
    one_shot = {f for f, x in oracle.functions.items() if any((m.get("spend") or m.get("bars")) and exists(oracle.state, f, mode) for mode, m in x["modes"].items())}
    for f, function in oracle.functions.items():
        demand = function.get("demand", {})
        if f in one_shot or demand.get("given") or any(oracle.model["elements"][id].get("reach", "cockpit") != "cockpit" for id in demand.get("set", {})):
            continue
        levels = [None if o.level(f) == "unknown" else o.level(f) for o in outs]
        looks[f, tuple(sorted(demand.get("set", {}).items()))] = bits_of(levels, weights)
    actions = [()] + [((id, at),) for id, positions in sorted(hands(oracle.model).items()) for at in positions
                      if oracle.model["elements"][id].get("reach", "cockpit") == "cockpit" and oracle.state.hand(id) != at]
    for action in actions:
        after = outs
        if action:
            after = []
            for s in settled:
                s = s.copy()
                s.set(*action[0])
                after.append(ff.settle(s))
        shown = [seen(oracle.model, out) for out in after]
        for id in shown[0]:
            if oracle.model["elements"][id].get("shows"):
                looks[id, action] = bits_of([s[id] for s in shown], weights)
    return looks


def made_worse(oracle, action, first):
    """Functions that the action makes worse, as things stand or with the first candidate."""
    depth, worse = {"not_fitted": -1, "normal": 0, "degraded": 1, "unknown": 2, "lost": 3}, set()

    def stands(out, f):
        modes = oracle.functions[f]["modes"]
        level = out.level(f)
        return depth[level], modes[out.mode(f)]["rank"] if level == "degraded" and out.mode(f) else max(m["rank"] for m in modes.values()) if level == "degraded" else 0

    for failures in (), first:
        state = oracle.with_failures(oracle.state, failures)
        before = ff.settle(state)
        for setting in action:
            if setting[0] in hands(oracle.model) and oracle.model["elements"][setting[0]].get("fitted", True):
                state.set(*setting)
        after = ff.settle(state)
        worse |= {f for f in oracle.functions if stands(after, f) > stands(before, f)}
    return sorted(worse)


# ------------------------------------------------------------------- random models


def replayed(net, history):
    state = net.running_state()
    for step in history:
        for event in step:
            apply(state, event)
        ff.settle(state)
    return state


def random_observations(seed, model, state, failures):
    """What would be seen with a failure or two, some of it seen wrongly."""
    r = random.Random(f"seen {seed}")
    hidden = r.sample(failures, min(len(failures), r.choice([0, 1, 2, 2, 2, 3, 3])))
    truth = state.copy()
    for f in hidden:
        truth.fail(*f)
    ff.settle(truth)
    crew = {id: at for id, at in hands(model).items() if id in state.network.elements}
    plain = [f for f, x in model.get("functions", {}).items() if "level" not in json.dumps([m["when"] for m in x["modes"].values()])]
    observations = []
    for _ in range(r.randint(1, 5)):
        when = {"set": {}, "given": {}}
        if crew and r.random() < 0.35:
            id = r.choice(sorted(crew))
            when["set"][id] = r.choice(crew[id])
        if r.random() < 0.1:
            when["given"][r.choice(sorted(model["given"]))] = r.random() < 0.5
        s = truth.copy()
        for id, at in when["set"].items():
            if ff.settle(s.copy()).status(id) != "not_fitted":
                s.set(id, at)
        for id, value in when["given"].items():
            s.given(id, value)
        out = ff.settle(s)
        d = out.to_dict()
        base = ff.settle(state.copy()).to_dict()
        telling = r.random() < 0.7  # of what is otherwise than before, where anything is

        def those(ids, key):
            moved = [id for id in ids if d[key].get(id) != base[key].get(id)]
            return moved if telling and moved else ids

        lamps = those([id for id, e in model["elements"].items() if e.get("shows") and d["status"][id] != "not_fitted"], "shows")
        moved = [id for id, at in d["position"].items() if at is not None]
        fed = those([id for id, e in model["elements"].items() if e.get("inputs") and d["status"][id] in ("supplied", "unsupplied", "failed", "dragged_down")], "status")
        what = r.choice(["lamp", "lamp", "fed", "fed", "position", "function"])
        if what == "lamp" and lamps:
            id = r.choice(lamps)
            seen = d["shows"][id] if d["shows"][id] is not None else model["elements"][id]["shows"][0]["text"]
        elif what == "position" and moved:
            id = r.choice(moved)
            seen = d["position"][id]
        elif what == "function" and (functions := [f for f in (plain if when["set"] or when["given"] else d["level"]) if d["level"][f] not in ("not_fitted", "unknown")]):
            id = r.choice(functions)
            seen = r.choice(["works" if d["level"][id] != "lost" else "dead", d["level"][id]])
        elif fed:
            id = r.choice(fed)
            seen = "works" if d["status"][id] == "supplied" else "dead"
        else:
            continue
        if r.random() < 0.12:
            seen = {"works": "dead", "dead": "works"}.get(seen, seen)
        if any(ff.settle(s.copy()).status(h) == "not_fitted" for h in when["set"]):
            continue
        observations.append({"id": id, "seen": seen, **when})
    return observations


def check(model, history, observations, within, most, prior):
    oracle = Oracle(model, history, observations)
    explaining, contradicting, undecided, said = families(oracle, within, most)
    found = ff.diagnose(oracle.state, observations, prior, most_failures=most, within=within)
    assert found.complete and found.complete_to == most
    got = {"explaining": [], "undecided": []}
    against = {o: [] for o in range(len(observations))}
    for c in found.candidates:
        failures = frozenset(c["failures"])
        if c["contradicts"]:
            (o,) = c["contradicts"]
            against[o].append(failures)
            assert not c["undecided"]
        else:
            got["undecided" if c["undecided"] else "explaining"].append(failures)
        assert [n for n, x in enumerate(said[failures]) if x is False] == c["contradicts"]
        assert [n for n, x in enumerate(said[failures]) if x is None] == c["undecided"]

    def key(sets):
        return sorted(sorted(s) for s in sets)

    assert key(got["explaining"]) == key(explaining)
    assert key(got["undecided"]) == key(undecided)
    assert {o: key(s) for o, s in against.items()} == {o: key(s) for o, s in contradicting.items()}
    assert found.found == [len(explaining) + len(undecided), sum(map(len, contradicting.values()))]
    assert found.unexpected == [n for n, x in enumerate(said[frozenset()]) if x is False]
    assert found.undecided == [n for n, x in enumerate(said[frozenset()]) if x is None]
    rates = {f: (prior or {}).get(f, model["elements"][f[0]].get("failures", {}).get(f[1], {}).get("rate")) for f in within}

    def likely(failures):
        return None if any(rates[f] is None for f in failures) else math.prod(rates[f] for f in failures)

    order = []
    for c in found.candidates:
        how = likely(c["failures"])
        assert c["likely"] == (None if how is None else pytest.approx(how))
        assert c["missing"] == [f for f in c["failures"] if rates[f] is None]
        order.append((len(c["contradicts"]), bool(c["undecided"]), len(c["failures"]), 0.0 if c["likely"] is None else -c["likely"], c["failures"], c["contradicts"]))
    assert order == sorted(order)
    met["models"] += 1
    met["explaining"] += len(explaining)
    met["of_two"] += sum(len(s) == 2 for s in explaining)
    met["contradicting"] += sum(len(s) > 0 for family in contradicting.values() for s in family)
    met["undecided"] += len(undecided)
    met["nothing"] += frozenset() in explaining
    met["situations"] += any(o["set"] or o["given"] for o in observations)
    met["functions"] += any(o["id"] in oracle.functions for o in observations)
    met["positions"] += any(o["seen"] not in ("works", "dead") and not model["elements"].get(o["id"], {}).get("shows") for o in observations)
    met["frozen"] += any(model["elements"].get(o["id"], {}).get("unpowered") == "stays" for o in observations)
    met["shorts"] += any(f[1] in ("short", "leak") for c in found.candidates for f in c["failures"])
    check_looks(oracle, found, likely)


def check_looks(oracle, found, likely):
    if len(found.candidates) < 2:
        assert not found.looks
        return
    least = len(found.candidates[0]["contradicts"])
    considered = [c["failures"] for c in found.candidates if len(c["contradicts"]) == least][:64]
    assert found.considered == len(considered)
    weights = [likely(c) for c in considered]
    assert found.by_rates == (None not in weights)
    met["by_rates"] += found.by_rates
    if not found.by_rates:
        weights = [1.0] * len(considered)
    weights = [w / sum(weights) for w in weights]
    every = every_look(oracle, considered, weights)
    cost = {action: made_worse(oracle, action, considered[0]) for action in {action for _, action in every}}
    for free in True, False:
        best = sorted((b for (_, action), b in every.items() if b > 1e-9 and (not cost[action]) == free), reverse=True)
        bits = [x["bits"] for x in found.looks if (not x["worse"]) == free]
        assert bits == pytest.approx(best[:len(bits)])
        assert not free or len(bits) == min(10, len(best))
    assert len(found.looks) == min(10, sum(b > 1e-9 for b in every.values()))
    assert [bool(x["worse"]) for x in found.looks] == sorted(bool(x["worse"]) for x in found.looks)
    for look in found.looks:
        action = tuple(sorted(look["set"].items()))
        assert look["bits"] == pytest.approx(every[look["id"], action]) and look["worse"] == cost[action]
        assert sum(r["share"] for r in look["results"]) == pytest.approx(1)
        met["looks"] += 1
        met["with_action"] += bool(action)


@examples
@given(st.integers(0, 2**32), st.sampled_from([1, 2, 2, 2, 3, 3]), st.booleans())
def test_every_smallest_explanation_is_found_and_no_other(seed, most, with_prior):
    model = with_lamps(seed, random_model(seed, size=6 + seed % 14, features={"shows": True}))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)
    r = random.Random(f"diagnosis {seed}")
    history = random_events(seed, model, seed % 3)
    state = replayed(net, history)
    present = set(state.failures)
    failures = [f for f in net.failures if f not in present]
    within = sorted(r.sample(failures, min(len(failures), {1: 40, 2: 14, 3: 8}[most])))
    assume(within)
    observations = random_observations(seed, model, state, within)
    assume(observations)
    prior = {f: r.choice([1e-6, 1e-5, 2e-4]) for f in within} if with_prior else None
    try:
        check(model, history, observations, within, most, prior)
    except ff.NotPossible as e:
        assert "last showed is not known" in str(e)


def test_enough_was_met():
    """The comparison means something only where sets of several explain, failures mask each other, and something is undecided."""
    assert met["models"] > 100 and met["explaining"] > 120 and met["of_two"] > 8 and met["masked"] > 8, json.dumps(met)
    assert met["contradicting"] > 40 and met["undecided"] > 1 and met["nothing"] > 30 and met["situations"] > 60, json.dumps(met)
    assert met["functions"] > 20 and met["positions"] > 40 and met["frozen"] > 20 and met["hunting"] > 100 and met["shorts"] > 25, json.dumps(met)
    assert met["looks"] > 60 and met["with_action"] > 30 and met["by_rates"] > 10, json.dumps(met)


# ------------------------------------------------------------------- the quiz


@settings(max_examples=1_000 if LONG else 60, deadline=None, derandomize=True, database=None)
@given(st.integers(0, 2**32))
def test_a_quiz_says_of_a_guess_what_settling_it_says(seed):
    model = with_lamps(seed, random_model(seed, size=8 + seed % 12, features={"shows": True}))
    try:
        net = ff.Network(ff.parse_model(json.dumps(model)))
        quiz = ff.quiz(net, seed=seed, failures=1 + seed % 2)
    except (ff.ModelError, ff.NotPossible):
        assume(False)
    state = net.running_state()
    healthy = seen(model, ff.settle(state.copy()))
    outcome = ff.settle(Oracle.with_failures(None, state, quiz.answer))
    truth, visible = outcome.to_dict(), seen(model, outcome)
    assert {s["id"]: s["seen"] for s in quiz.symptoms} == {id: t for id, t in visible.items() if None not in (t, healthy[id]) and t != healthy[id]}
    assert quiz.symptoms and ff.quiz(net, seed=seed, failures=1 + seed % 2).answer == quiz.answer
    for id in random.Random(seed).sample(sorted(model["elements"]), 3):
        if truth["status"][id] == "not_fitted":
            continue
        found = quiz.look(id)
        if model["elements"][id].get("shows"):
            assert found == visible[id]
        elif truth["position"].get(id):
            assert found == truth["position"][id]
    assume(not any(model["elements"][o["id"]]["kind"] in ("diode", "check_valve") for o in quiz.seen))  # no condition asks whether they work
    oracle = Oracle(model, [], quiz.seen)
    for failure in net.failures[:25]:
        guess = quiz.guess([failure])
        said = oracle.predictions((failure,))
        assert guess["explains"] == [n for n, x in enumerate(said) if x is True]
        assert guess["contradicts"] == [n for n, x in enumerate(said) if x is False]
        assert guess["right"] == (quiz.answer == [failure])
        shown = seen(model, ff.settle(oracle.with_failures(state, [failure])))
        assert guess["looks_the_same"] == (all(x is True for x in said) and shown == visible and None not in shown.values())
    right = quiz.guess(quiz.answer)
    assert right["right"] and not right["contradicts"]


# ------------------------------------------------------------------- the demo aircraft


@pytest.mark.parametrize("variant", ["", "b"])
@pytest.mark.parametrize("hidden", [["main_r"], [("limiter_l", "loss"), "sg_l"], [("standby", "short")], ["cb_warning"]], ids=str)
def test_on_the_demo_aircraft(variant, hidden):
    """What a quiz shows is explained by what it hides; every single candidate is what settling it alone says."""
    net = ff.Network(ff.read_model(OSTREA), variant=variant)
    model = json.loads(ff.write_model(net.model))
    quiz = ff.quiz(net, hidden)
    for id in ("talk", "com_1", "display_l", "hyd_light", "fan"):
        if id in model["elements"]:
            quiz.look(id)
    quiz.look("standby_light", set={"standby_switch": "BATT"})
    found = ff.diagnose(net, quiz.seen)
    explaining = [frozenset(c["failures"]) for c in found.candidates if not c["contradicts"]]
    assert found.complete and any(part <= frozenset(quiz.answer) for part in explaining)
    oracle = Oracle(model, [], quiz.seen)
    singles = {f for f in net.failures if all(x is True for x in oracle.predictions((f,)))}
    assert {next(iter(s)) for s in explaining if len(s) == 1} == singles
    for c in found.candidates[:200]:
        assert [n for n, x in enumerate(oracle.predictions(tuple(c["failures"]))) if x is not True] == c["contradicts"]
