"""What differs between two, against settling both in every scenario, one by one, on random models and their random variants.

Nothing of `compare` is used to find what is expected: what both have comes from the models' text, what differs from plain
outcomes and the definition (M31).
"""

import copy
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
from reference import KINDS  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"
examples = settings(max_examples=3_000 if LONG else 150, deadline=None, derandomize=True, database=None)

met = dict.fromkeys(["base", "groups", "many", "alike", "elements", "pairs", "only", "unknown", "unfitted", "same"], 0)


# ------------------------------------------------------------------- what is expected


def taken(state, step):
    state = state.copy()
    for f in step.get("fail", []):
        state.fail(*f)
    for s in step.get("set", {}).items():
        state.set(*s)
    for g in step.get("given", {}).items():
        state.given(*g)
    return state


def told(model, f, mode):
    """What the crew is told of a mode."""
    m = model["functions"][f]["modes"][mode]
    return [mode, m.get("name", ""), m.get("crew", []), m.get("effects", {})]


def standing(out, f):
    return (out["level"][f], out["mode"].get(f) or "")


def surely_same(models, f, a, b):
    if a[0] != b[0] or a[0] == "unknown":
        return False
    return a[0] == "lost" or bool(a[1] and b[1] and told(models[0], f, a[1]) == told(models[1], f, b[1]))


class Expected:
    def __init__(self, models, states, givens):
        self.models, self.states, self.givens = models, [s.copy() for s in states], givens
        self.before = [ff.settle(s).to_dict() for s in self.states]
        self.functions = [f for f in self.before[0]["level"] if f in self.before[1]["level"] and "not_fitted" not in (self.before[0]["level"][f], self.before[1]["level"][f])]
        fitted = [{e for e, status in out["status"].items() if status != "not_fitted"} for out in self.before]
        self.elements = sorted(fitted[0] & fitted[1])
        self.base = self.differs(*self.before)

    def differs(self, a, b):
        """{("function" or "element", id): (standing in a, in b)}."""
        found = {("function", f): (standing(a, f), standing(b, f)) for f in self.functions if not surely_same(self.models, f, standing(a, f), standing(b, f))}
        statuses = {e: (a["status"][e], b["status"][e]) for e in self.elements}
        return found | {("element", e): s for e, s in statuses.items() if s[0] != s[1] or s[0] == "unknown"}

    def scenarios(self):
        a, b = self.states
        both = [f for f in a.network.failures if f in b.network.failures and f[0] in self.elements]
        yield from ({"fail": [f]} for f in both if f not in a.failures or f not in b.failures)
        mine, others = (hands(m) for m in self.models)
        for id in sorted(set(mine) & set(others) & set(self.elements)):
            yield from ({"set": {id: p}} for p in mine[id] if p in others[id] and not (a.hand(id) == b.hand(id) == p))
        givens = self.givens
        for g in sorted(set(givens[0]) & set(givens[1])):
            yield from ({"given": {g: v}} for v in (False, True) if not (givens[0][g] is v and givens[1][g] is v))

    def outcomes(self, step):
        return [ff.settle(taken(s, step)).to_dict() for s in self.states]

    def single(self, step):
        """(what then differs otherwise than in the base, what no longer does and how it then stands)."""
        a, b = self.outcomes(step)
        then = self.differs(a, b)
        key = {k: v for k, v in then.items() if self.base.get(k) != v}
        alike = {k: ((standing(a, k[1]), standing(b, k[1])) if k[0] == "function" else (a["status"][k[1]], b["status"][k[1]])) for k in self.base if k not in then}
        return then, key, alike


def frozen(d):
    return tuple(sorted(d.items()))


def words(step):
    return json.dumps(step, sort_keys=True)


def pair(entry, what):
    if what == "element":
        return (entry["a"], entry["b"])
    return tuple((entry[side]["level"], entry[side]["mode"]) for side in ("a", "b"))


def said(group):
    """A group as (key, alike)."""
    key = {("function", f["function"]): pair(f, "function") for f in group["functions"]} | {("element", e["element"]): pair(e, "element") for e in group["elements"]}
    alike = {("function", f["function"]): pair(f, "function") for f in group["alike"]} | {("element", e["element"]): pair(e, "element") for e in group["elements_alike"]}
    return frozen(key), frozen(alike)


def check(models, states, order=1, given=None):
    """`given`: of the second, where not as in its model."""
    expected = Expected(models, states, [models[0]["given"], models[1]["given"] | (given or {})])
    seen = ff.compare(*states, order=order, elements=True)
    base = {("function", f["function"]): pair(f, "function") for f in seen.functions} | {("element", e["element"]): pair(e, "element") for e in seen.elements}
    assert base == expected.base
    groups, unchanged, thens = {}, 0, {}
    scenarios = list(expected.scenarios())
    for step in scenarios:
        then, key, alike = expected.single(step)
        thens[words(step)] = {(k, v) for k, v in then.items()}
        if key or alike:
            groups.setdefault((frozen(key), frozen(alike)), set()).add(words(step))
        else:
            unchanged += 1
    assert (seen.scenarios, seen.unchanged) == (len(scenarios), unchanged)
    found = seen.groups
    assert len({said(g) for g in found}) == len(found)
    assert {said(g): {words(s) for s in g["scenarios"]} for g in found} == groups
    only_alike = [not (g["functions"] or g["elements"]) for g in found]
    assert only_alike == sorted(only_alike)
    check_only(expected, seen)
    met["base"] += bool(base)
    met["groups"] += len(groups)
    met["many"] += sum(len(g) > 1 for g in groups.values())
    met["alike"] += sum(bool(g["alike"]) for g in found)
    met["elements"] += sum(bool(g["elements"]) for g in found)
    met["unknown"] += any(f[s]["level"] == "unknown" for g in found for f in g["functions"] for s in ("a", "b"))
    met["unfitted"] += any("not_fitted" in out["status"].values() for out in expected.before)
    met["same"] += not groups and not base
    if order > 1:
        check_pairs(expected, seen, [s for s in scenarios if "fail" in s], thens)


def check_pairs(expected, seen, failures, thens):
    groups = {}
    for first, second in itertools.combinations(failures, 2):
        if first["fail"][0][0] == second["fail"][0][0]:
            continue
        both = {"fail": first["fail"] + second["fail"]}
        a, b = expected.outcomes(both)
        known = set(expected.base.items()) | thens[words(first)] | thens[words(second)]
        new = {k: v for k, v in expected.differs(a, b).items() if k[0] == "function" and (k, v) not in known}
        if new:
            groups.setdefault((frozen(new), ()), set()).add(words(both))
    assert seen.complete
    assert {said(g): {words(s) for s in g["scenarios"]} for g in seen.pairs} == groups
    met["pairs"] += sum(map(len, groups.values()))


def check_only(expected, seen):
    a, b = expected.before
    found = {(o["what"], o["id"], o["word"], o["has"]) for o in seen.only if o["what"] != "mode"}
    fitted = [{e for e, s in out["status"].items() if s != "not_fitted"} for out in (a, b)]
    functions = [{f for f, level in out["level"].items() if level != "not_fitted"} for out in (a, b)]
    nets = [s.network for s in expected.states]
    hand = [{id: at for id, at in hands(m).items() if id in expected.elements} for m in expected.models]
    want = set()
    for has, mine, other in (("a", 0, 1), ("b", 1, 0)):
        want |= {("element", e, "", has) for e in fitted[mine] - fitted[other]}
        want |= {("function", f, "", has) for f in functions[mine] - functions[other]}
        want |= {("given", g, "", has) for g in set(expected.givens[mine]) - set(expected.givens[other])}
        want |= {("failure", *f, has) for f in set(nets[mine].failures) - set(nets[other].failures) if f[0] in expected.elements}
        want |= {("control", id, "", has) for id in set(hand[mine]) - set(hand[other])}
        want |= {("position", id, p, has) for id in set(hand[mine]) & set(hand[other]) for p in set(hand[mine][id]) - set(hand[other][id])}
    assert found == want
    not_fitted = {(o["what"], o["id"]) for o in seen.only if o["not_fitted"] and o["what"] in ("element", "function")}
    assert not_fitted == {(w, id) for w, id, _, has in want if w in ("element", "function") and id in expected.before[1 if has == "a" else 0]["status" if w == "element" else "level"]}
    met["only"] += len(want)


# ------------------------------------------------------------------- random models and variants


def varied(seed, model):
    """Another edition of the model: wired, fitted, judged and named otherwise in a few places."""
    r, model = random.Random(f"variant {seed}"), copy.deepcopy(model)
    elements, functions = model["elements"], model.get("functions", {})

    def feeds():
        return [p for e in elements.values() for p in e.get("inputs", {}).items()]

    def rewire():
        _, port = r.choice(feeds())
        if isinstance(port, list):
            port.reverse() if r.random() < 0.4 else port.pop(r.randrange(len(port))) if len(port) > 1 else None

    def unfit():
        e = elements[r.choice(sorted(elements))]
        e["fitted"] = False

    def add():
        elements["spare"] = {"kind": "generator"}
        functions["spare_power"] = {"modes": {"on": {"rank": 1, "when": "spare"}}}
        model["given"]["night"] = False

    def drop_failure():
        e = elements[r.choice(sorted(elements))]
        e["fallible"] = False
        e.pop("failures", None)

    def judge():
        f = functions[r.choice(sorted(functions))]
        mode = f["modes"][r.choice(sorted(f["modes"]))]
        what = r.random()
        if what < 0.3:
            mode["name"] = "another way"
        elif what < 0.5:
            mode["crew"] = ["told otherwise"]
        elif what < 0.75:
            mode["when"] = {"all": [mode["when"], {"given": r.choice(sorted(model["given"]))}]}
        else:
            mode["rank"] = 3 - mode["rank"] if mode["rank"] < 3 else 1

    def rest():
        id = r.choice(sorted(hands(model)))
        positions = hands(model)[id]
        elements[id]["rest"] = r.choice(positions)

    changes = [rewire, rewire, unfit, add, drop_failure] + ([judge] * 3 if functions else []) + ([rest] if hands(model) else [])
    for change in r.sample(changes, r.choice([0, 1, 1, 2, 3])):
        change()
    if functions:
        model["functions"] = functions
    return model


def network(model):
    try:
        return ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError:
        assume(False)


@examples
@given(st.integers(0, 2**32))
def test_two_variants(seed):
    model = random_model(seed, size=6 + seed % 10)
    other = varied(seed, model)
    states = [network(m).running_state() for m in (model, other)]
    r = random.Random(f"both {seed}")
    if r.random() < 0.4:
        common = [f for f in states[0].network.failures if f in states[1].network.failures]
        for f in r.sample(common, min(1, len(common))):
            for s in states:
                s.fail(*f)
    check([model, other], states)


@examples
@given(st.integers(0, 2**32))
def test_pairs(seed):
    """With few things that can fail, so that all pairs can be settled, and functions that are there twice over."""
    r = random.Random(f"pairs {seed}")
    model = random_model(seed, size=6 + seed % 10)
    elements, read = model["elements"], json.dumps(model).count
    perfect = r.sample(sorted(elements), len(elements) - 7)
    for id in perfect:
        if not read(f'"failure": {{"{id}"'):
            elements[id]["fallible"] = False
            elements[id].pop("failures", None)
    supplied = [id for id in sorted(set(elements) - set(perfect)) if not (elements[id].get("positions") or KINDS[elements[id]["kind"]][0])]
    assume(len(supplied) > 2)
    other = varied(seed, model)
    for n in range(2):
        for m in (model, other):
            of = r.sample(supplied, 3)
            modes = {"either": {"rank": 1, "when": {"any": of[:2]}}, "third": {"rank": 2, "when": of[2]}}
            m.setdefault("functions", {})[f"twice_{n}"] = {"modes": modes}
    states = [network(m).running_state() for m in (model, other)]
    assume(len(states[0].network.failures) < 26)
    check([model, other], states, order=2)


@examples
@given(st.integers(0, 2**32))
def test_two_states_of_one(seed):
    model = random_model(seed, size=6 + seed % 10)
    net = network(model)
    states = [net.running_state(), net.running_state()]
    given = {}
    for step in random_events(seed, model, 1 + seed % 2):
        for event in step:
            apply(states[1], event)
            given |= {event[1]: event[2]} if event[0] == "given" else {}
        ff.settle(states[1])
    check([model, model], states, given=given)


def test_enough_was_met():
    """The comparison means something only where much differs, and not everything."""
    assert met["base"] > 30 and met["groups"] > 300 and met["many"] > 50 and met["alike"] > 50, met
    assert met["elements"] > 30 and met["pairs"] > 30 and met["only"] > 50 and met["unknown"] > 0 and met["unfitted"] > 5 and met["same"] > 3, met


# ------------------------------------------------------------------- the demo aircraft


def test_on_the_demo_aircraft():
    model = ff.read_model(OSTREA)
    nets = [ff.Network(model, variant=v) for v in "ab"]
    models = [json.loads(ff.write_model(net.model)) for net in nets]
    check(models, [net.running_state() for net in nets])
    ground = {"airborne": False, "weight_on_wheels": True}
    landed = nets[0].running_state().apply({"given": ground})
    check([models[0]] * 2, [nets[0].running_state(), landed], given=ground)
