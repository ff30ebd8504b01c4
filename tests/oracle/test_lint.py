"""Whatever a finding says is so, in every state the slow reference can be brought into."""

import json
import os
import re
import sys
from pathlib import Path

import fedfrom as ff
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from random_models import hands, random_events, random_model  # noqa: E402
from reference import Reference, Rejected  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
SEEDS = range(2_000 if LONG else 120)
STATES = 6
OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"
met = {}


class States:
    """A model in many settled states; in each every evaluation it may be in."""

    def __init__(self, seed, model):
        self.model, self.reference = model, Reference(json.loads(json.dumps(model)))
        self.evaluations, self.outcomes, self.unfailed = [], [], []
        for st in (self.reference.running_state(), self.reference.cold_state()):
            self.note(st)
        st = self.reference.running_state()
        healthy = self.reference.running_state()
        for step in random_events(seed, model, STATES):
            st.apply(step)
            self.note(st)
            # the same hands, givens and uses, and nothing ever failed; a step that clears all is one for both
            healthy.apply([e for e in step if e[0] in ("set", "given")])
            self.unfailed.append((self.reference.settle(st), self.reference.settle(healthy), any(e[0] in ("use", "clear_all") for e in step)))

    def note(self, st):
        self.outcomes.append(self.reference.settle(st))
        self.evaluations += self.reference.settle_memory(st.copy())[0] or []

    def port(self, finding):
        """The port a finding names."""
        name = re.search(r"[Tt]he (\w+) port of", finding["text"]).group(1)
        return self.reference.elements[finding["id"]].ports[name]

    def mode(self, finding):
        (name,) = re.findall(r"^The mode ([\w ]+?) of", finding["text"])
        f = self.reference.functions[finding["id"]]
        return f, next(i for i, (_, mode, _) in enumerate(f["modes"]) if mode.replace("_", " ") == name)


def always_fed(s, f):
    port = s.port(f)
    return all(s.reference.enough(ev, port) for ev in s.evaluations)


def idle_port(s, f):
    e, port = s.reference.elements[f["id"]], s.port(f)
    others = [p for p in e.ports.values() if p is not port]
    return all(s.reference.enough(ev, port) for ev in s.evaluations if all(s.reference.enough(ev, p) for p in others))


def way_unused(s, f):
    port = s.port(f)
    return any(all(any(s.reference.carries(ev, port, before) for before in port.feeds[:i]) for ev in s.evaluations if s.reference.carries(ev, port, feed))
               for i, feed in enumerate(port.feeds) if i)


def no_source(s, f):
    return all(out.status[f["id"]] != "supplied" for out in s.outcomes)


def mode_never(s, f):
    function, i = s.mode(f)
    return all(s.reference.holds3(ev, function["modes"][i][2], {}) is False for ev in s.evaluations) if not function["reads"] else True


def mode_unused(s, f):
    return all(out.mode[f["id"]] != s.mode(f)[0]["modes"][s.mode(f)[1]][1] for out in s.outcomes)


def no_failure(s, f):
    used = False
    for failed, healthy, uses in s.unfailed:
        used |= uses
        if not used and (failed.level[f["id"]], failed.mode[f["id"]]) != (healthy.level[f["id"]], healthy.mode[f["id"]]):
            return False
    return True


def position_never(s, f):
    (word,) = re.findall(r"never stands at (\w+) unless", f["text"])
    return all(ev.word[f["id"]] != word for ev in s.evaluations if not ev.st.has(f["id"], "stuck"))


def votes_together(s, f):
    port = s.port(f)
    return port.join == "at_least" and len({feed.up for feed in port.feeds}) < len(port.feeds)


CHECKS = {check.__name__: check for check in (always_fed, idle_port, way_unused, no_source, mode_never, mode_unused, no_failure, position_never, votes_together)}


def with_crew_function(model):
    """The same model with a function that hangs on what the crew set and on a given, which no failure touches."""
    crew = hands(model)
    set_to = [{"set": {id: positions[-1]}} for id, positions in list(crew.items())[:1]]
    model.setdefault("functions", {})["crew"] = {"modes": {"on": {"rank": 1, "when": {"any": [*set_to, {"given": sorted(model["given"])[0]}]}}}}
    return model


@pytest.mark.parametrize("part", range(4))
def test_what_a_finding_says_is_so(part):
    for seed in SEEDS[part::4]:
        model = with_crew_function(random_model(seed, size=8 + seed % 30))
        try:
            net = ff.Network(ff.parse_model(json.dumps(model)))
            findings = ff.lint(net).findings
            assert findings == ff.lint(ff.parse_model(json.dumps(model))).findings
            states = States(seed, model)
        except (Rejected, ff.ModelError):
            continue
        for f in findings:
            met[f["code"]] = met.get(f["code"], 0) + 1
            if f["code"] in CHECKS:
                assert CHECKS[f["code"]](states, f), (seed, f)


def test_what_no_condition_reads_changes_nothing():
    """A switch or given that is said to be unread: put elsewhere, nothing but itself is otherwise."""
    tried = 0
    for seed in SEEDS:
        model = random_model(seed, size=8 + seed % 20)
        try:
            net = ff.Network(ff.parse_model(json.dumps(model)))
        except ff.ModelError:
            continue
        before = ff.settle(net.running_state()).to_dict()
        for f in ff.lint(net):
            if f["code"] not in ("unread", "given_unread"):
                continue
            state = net.running_state()
            if f["code"] == "given_unread":
                state.given(f["id"], not model["given"][f["id"]])
            elif f["id"] in hands(model):
                state.set(f["id"], next(p for p in hands(model)[f["id"]] if p != state.hand(f["id"])))
            else:
                continue
            after = ff.settle(state).to_dict()
            for key in ("status", "level", "mode", "tripped"):
                assert after[key] == before[key], (seed, f)
            assert {id for id, at in after["position"].items() if at != before["position"][id]} <= {f["id"]}, (seed, f)
            tried += 1
    assert tried > 10


def test_enough_was_met():
    assert {"idle_port", "way_unused", "mode_unused", "no_failure"} <= set(met), json.dumps(met)


@pytest.mark.parametrize("variant", ["a", "b"])
def test_the_demo_aircraft_leaves_nothing_open_but_two_ports_wired_in_step(variant):
    """Both boxes live behind the breaker of the control head that tunes them, so that their own power port decides nothing: it is wired so."""
    model = ff.read_model(OSTREA)
    net = ff.Network(model) if variant == "a" else ff.Network(model, variant="b")
    assert [(f["code"], f["id"]) for f in ff.lint(net)] == [("idle_port", "com_2"), ("idle_port", "nav_2")]
