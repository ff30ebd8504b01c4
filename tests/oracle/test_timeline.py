"""Delays, starts and stops in time, against a simulation that goes on by half a second at a time (M30, M45, M46).

The simulation is the slow reference, held back: at every tick its settle moves what has no delay, and a timed position
only once it has been sent to the same place for as many ticks as its delay has; what spins up is not supplied and what runs on is
for as many ticks as they have. Times and events of the random models are multiples of half a second, so that nothing falls between
two ticks.
"""

import json
import os
import random
import sys
from pathlib import Path

import fedfrom as ff
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from compare import differences  # noqa: E402
from random_models import random_events, random_model  # noqa: E402
from reference import Reference, Rejected  # noqa: E402

LONG = os.environ.get("FEDFROM_LONG") == "1"
TICK_S = 0.5


class InTime(Reference):
    """The reference whose timed positions obey commands late, whose sources start late and run on."""

    def __init__(self, model):
        super().__init__(model)
        fitted = {i: j for i, j in model["elements"].items() if self.elements[i].fitted}
        self.after = {i: j["after_s"] for i, j in fitted.items() if j.get("after_s", 0) > 0 and self.elements[i].memory}
        self.spin_up = {i: j["spin_up_s"] for i, j in fitted.items() if j.get("spin_up_s", 0) > 0}
        self.run_down = {i: (j.get("run_down_s", 0), j.get("runs_without_s", {})) for i, j in fitted.items() if j.get("run_down_s", 0) > 0 or j.get("runs_without_s")}
        self.held_back = frozenset(self.after)
        self.waiting = {}  # id -> (where it is sent, tick it is due at)
        self.starts, self.stops = {}, {}  # id -> tick, of what starts or runs on
        self.out_of_time = {}  # id -> tick at which what has run on since it last had all it needs is out, running on or not
        self.fed_since = {}  # id -> tick since when what has run on has all it needs again
        self.starting, self.running_on = set(), set()
        self.up, self.over = set(), set()  # at this instant
        self.had = set()  # what was supplied just before
        self.tick = 0

    # what a settle is told

    def is_command(self, ev, e):
        """None of M6's cases 1 to 4."""
        if ev.st.has(e.id, "stuck") or (e.id in ev.st.tripped and e.trip_position is not None):
            return False
        if e.without and ev.st.has(e.id, "loss"):
            return False
        return all(self.enough(ev, e.ports[port]) for port, _ in e.without)

    def cells(self, ev):
        def late(cell):
            return cell[0] == "position" and cell[1] in self.held_back and self.is_command(ev, self.elements[cell[1]])

        return [(cell, value, value if late(cell) else wanted) for cell, value, wanted in super().cells(ev)]

    def sound(self, ev, e):
        return not ev.st.has(e.id, "loss") and e.id not in ev.in_zone and e.id not in ev.st.empty

    def lacks(self, ev, e):
        return [p.name for p in e.ports.values() if not self.enough(ev, p)] + ([] if self.holds(ev, e.needs) else ["needs"])

    def is_supplied(self, ev, e):
        if e.id in self.starting or not self.sound(ev, e):
            return False
        if e.id not in self.running_on:
            return not self.lacks(ev, e)
        any_s, by_port = self.run_down[e.id]
        return all((any_s if what == "needs" else by_port.get(what, any_s)) > 0 for what in self.lacks(ev, e))

    def status_of(self, ev, e):
        if e.id in self.starting and not any(x == e.id for x, _ in self.seeds(ev.st)) and self.sound(ev, e):
            return "starting"
        return super().status_of(ev, e)

    # M45, M46

    def runs_on(self, ev, id):
        """For how many ticks it does without what it lacks."""
        e = self.elements[id]
        if not self.sound(ev, e):
            return 0
        any_s, by_port = self.run_down[id]
        return min((round((any_s if what == "needs" else by_port.get(what, any_s)) / TICK_S) for what in self.lacks(ev, e)), default=10**9)

    def tried(self, st, starting, running_on):
        self.starting, self.running_on = set(starting), set(running_on)
        return self.settle_memory(st.copy())[1]

    def start_and_run_on(self, st):
        starting, running_on, found = set(self.starts), set(), {}
        self.out_of_time = {i: tick for i, tick in self.out_of_time.items() if self.fed_since.get(i, self.tick) == self.tick}
        while True:
            ev = self.tried(st, starting, running_on)
            fresh = {i for i in self.spin_up if ev.supplied(i) and i not in self.had and i not in self.up}
            if fresh:
                starting |= fresh
                continue
            stopped = {i for i in running_on if self.runs_on(ev, i) == 0}
            if stopped:
                running_on -= stopped
                self.over |= stopped
                continue
            lost = {i for i in self.run_down if i in self.had and not ev.supplied(i) and i not in self.over
                    and self.out_of_time.get(i, self.tick) >= self.tick and self.runs_on(ev, i) > 0}  # fmt: skip
            if not lost:
                break
            found |= {i: self.runs_on(ev, i) for i in lost}
            with_all = self.tried(st, starting, running_on | lost)
            running_on |= {i for i in lost if self.lacks(with_all, self.elements[i])} or lost
        needed = {i for i in running_on if self.lacks(ev, self.elements[i])}
        if needed != running_on:
            without = self.tried(st, starting, needed)
            if all(without.supplied(i) for i in running_on):
                running_on, ev = needed, without
        starting = {i for i in starting if self.sound(ev, self.elements[i]) and not self.lacks(ev, self.elements[i])}
        alone = self.tried(st, starting, ())
        self.fed_since = {i: self.fed_since.get(i, self.tick) for i in self.out_of_time if alone.supplied(i)}
        self.starting, self.running_on = starting, running_on
        self.starts = {i: self.starts.get(i, self.tick + round(self.spin_up[i] / TICK_S)) for i in starting}
        self.stops = {i: min(self.out_of_time.get(i, 10**9), self.tick + (self.runs_on(ev, i) if i in needed else found[i])) for i in running_on}
        self.out_of_time |= self.stops

    def instant(self, st):
        """Everything that follows now, but for what takes time."""
        self.start_and_run_on(st)
        out = self.settle(st)
        self.up, self.over = set(), set()
        self.had = {i for i, supplied in out.supplied.items() if supplied}
        return out

    # M30

    def judge(self, st, evaluations, out):
        if not st.frozen:
            self.note_what_waits(evaluations[0])
        self.held_back = frozenset(self.waiting)  # what a demand sends elsewhere counts as there
        try:
            return super().judge(st, evaluations, out)
        finally:
            self.held_back = frozenset(self.after)

    def note_what_waits(self, ev):
        waiting = {}
        for id, after in self.after.items():
            to = self.target(ev, self.elements[id])
            if to == ev.st.held[id] or not self.is_command(ev, self.elements[id]):
                continue
            before = self.waiting.get(id)
            waiting[id] = before if before and before[0] == to else (to, self.tick + round(after / TICK_S))
        self.waiting = waiting

    def move_due(self, st):
        """Whether anything was due."""
        due = [id for id, (_, tick) in self.waiting.items() if tick <= self.tick]
        for id in due:
            self.write(st, ("position", id), self.waiting.pop(id)[0])
        self.up = {id for id, tick in self.starts.items() if tick <= self.tick}
        self.over = {id for id, tick in self.stops.items() if tick <= self.tick}
        for id in self.up:
            del self.starts[id]
        for id in self.over:
            del self.stops[id]
        st.frozen = {}
        return bool(due or self.up or self.over)


def simulated(ref, st, steps, ticks):
    """(tick, outcome) of everything that happens; None in the end where something hunts."""
    seen = []

    def settled():
        out = ref.instant(st)
        if st.frozen:
            return False
        seen.append((ref.tick, out.as_dict()))
        return True

    for ref.tick in range(ticks + 1):
        for at, step in steps:
            if at == ref.tick:
                st.apply(step)
                if any(event[0] == "clear_all" for event in step):
                    ref.up = set(ref.spin_up)
                if not settled():
                    return seen, True
        while ref.move_due(st):
            if not settled():
                return seen, True
    return seen, False


def as_step(events, ref):
    """One step of `timeline` from the events of the reference."""
    step = {}
    for what, *rest in events:
        if what in ("set", "given"):
            step.setdefault(what, {})[rest[0]] = rest[1]
        elif what == "fail":
            step.setdefault(what, []).append(tuple(rest))
        elif what == "use":
            if tuple(rest) in ref.one_shots:  # what does not exist is no event to the library, and refused by the reference
                step.setdefault(what, []).append(tuple(rest))
        elif what == "clear_all":
            step[what] = True
        else:
            step.setdefault(what, []).append(rest[0])
    return step


met = {"models": 0, "delays over": 0, "started": 0, "ran down": 0, "hunting": 0, "interruptions": 0}


def with_times(model, seed):
    """Some of its elements spin up, run down, or do without a port for a while."""
    r = random.Random(f"spinning {seed}")
    for j in model["elements"].values():
        if r.random() < 0.25:
            j["spin_up_s"] = r.choice([0.5, 2, 4])
        if r.random() < 0.25:
            j["run_down_s"] = r.choice([0.5, 1.5, 5])
        if j.get("inputs") and r.random() < 0.3:
            port = r.choice(sorted(j["inputs"]))
            j["runs_without_s"] = {port: r.choice([0, 1, 6])}
    return model


def compare(seed):
    """The first difference between library and simulation; None: there is none."""
    model = with_times(random_model(seed), seed)
    try:
        ref = InTime(model)
    except Rejected:
        return None
    if not (ref.after or ref.spin_up or ref.run_down):
        return None
    r = random.Random(f"times {seed}")
    steps = []
    for events in random_events(seed, model, 5):
        at = r.randrange(0, 24)
        steps.append((at, events))
    steps.sort(key=lambda s: s[0])
    ticks = 40
    st = ref.fresh(True)
    ref.held_back = frozenset()  # it begins settled: nothing waits
    began = ref.settle(st)
    if st.frozen:
        return None
    ref.had = {i for i, supplied in began.supplied.items() if supplied}
    met["models"] += 1

    net = ff.Network(ff.parse_model(json.dumps(model)))
    played = ff.timeline(net.running_state(), [(at * TICK_S, as_step(events, ref)) for at, events in steps], until_s=ticks * TICK_S)
    expected, hunts = simulated(ref, st, steps, ticks)
    met["hunting"] += hunts
    met["interruptions"] += len(played.interruptions)
    for kind, words in (("delays over", "gets to"), ("started", "has started"), ("ran down", "runs on no longer")):
        met[kind] += sum(words in i["text"] for i in played.instants)
    instants = list(zip((i["seconds"] for i in played.instants), played.outcomes))
    if hunts:
        if played.complete or len(instants) != len(expected) + 1:
            return "the simulation hunts here", len(expected), played.complete, len(instants)
        instants.pop()
    elif not played.complete:
        return "the timeline is not complete", played.open
    if [at for at, _ in instants] != [tick * TICK_S for tick, _ in expected]:
        return "instants", [at for at, _ in instants], [tick * TICK_S for tick, _ in expected]
    for (at, outcome), (_, theirs) in zip(instants, expected):
        if found := differences(outcome.to_dict(), theirs):
            return at, found[:5]
    # At odd times, so that no event meets what is due: a session moves that first, when its host lets the time pass.
    return None if hunts else session_differs(net, [(at * TICK_S + 0.0137 * (i + 1), as_step(events, ref)) for i, (at, events) in enumerate(steps)], ticks * TICK_S)


def session_differs(net, steps, until_s):
    """A session in time beside the timeline: where it stands after every step and frame, and that it tells all that changed."""
    played = ff.timeline(net, steps, until_s)
    if not played.complete:
        return None
    session = ff.Session(net, in_time=True)
    elements, functions = list(net.model.to_dict()["elements"]), list(net.model.to_dict().get("functions", {}))
    told = {("status", e): session.status(e) for e in elements} | {("function", f): session.level(f) for f in functions}
    frames = sorted([(at, step) for at, step in steps] + [(at, None) for at in (1.25, 6.3, 11.75, until_s)], key=lambda frame: frame[0])
    for i, (at, step) in enumerate(frames):
        changes = session.advance(at - session.now_s) if at > session.now_s else []
        if step is not None:
            # What the timeline refuses, a session refuses event by event too.
            for key, value in sorted(step.items(), key=lambda item: ["clear_all", "repair", "reset", "fail", "set", "given", "use"].index(item[0])):
                for event in value.items() if isinstance(value, dict) else value if isinstance(value, list) else [value]:
                    try:
                        session.apply({key: dict([event]) if isinstance(value, dict) else [event] if isinstance(value, list) else event})
                    except ff.NotPossible:
                        pass
            changes += session.settle()
        for change in changes:
            if change.of in ("status", "function"):
                told[change.of, change.id] = change.after
        if i + 1 < len(frames) and frames[i + 1][0] == at:
            continue
        before = [o for t, o in zip(played.instants, played.outcomes) if t["seconds"] <= at]
        outcome = before[-1] if before else played.before
        stands = {("status", e): str(outcome.status(e)) for e in elements} | {("function", f): str(outcome.level(f)) for f in functions}
        now = {("status", e): session.status(e) for e in elements} | {("function", f): session.level(f) for f in functions}
        for what, other in (("session", now), ("told", told)):
            if other != stands:
                return what, at, {k: (stands[k], other[k]) for k in stands if stands[k] != other[k]}
    if sorted((w["id"], w["what"], w["position"], w["due_s"]) for w in session.waiting) != sorted((w["id"], w["what"], w["position"], w["due_s"]) for w in played.on_its_way):
        return "waiting", session.waiting, played.on_its_way
    return None


def test_a_timeline_is_what_half_second_steps_give():
    for seed in range(20_000 if LONG else 400):
        assert (difference := compare(seed)) is None, (seed, difference)
    assert met["models"] >= 100 and min(met["delays over"], met["started"], met["ran down"]) >= 20 and met["interruptions"] >= 5, met


TRANSFER = {
    "format": "fedfrom/1", "name": "Transfer",
    "elements": {
        "main": {"kind": "battery"}, "spare": {"kind": "battery"},
        "transfer": {"kind": "selector", "positions": ["MAIN", "SPARE"], "rest": "MAIN", "goes": [{"to": "SPARE", "when": {"not": "main"}}], "after_s": 3},
        "bus": {"kind": "bus", "inputs": {"power": [{"from": "main", "via": [{"transfer": ["MAIN"]}]}, {"from": "spare", "via": [{"transfer": ["SPARE"]}]}]}},
        "valve_switch": {"kind": "switch", "positions": ["OPEN", "CLOSED"], "reach": "cockpit"},
        "valve": {"kind": "valve", "follows": {"valve_switch": {"OPEN": "open", "CLOSED": "closed"}}, "inputs": {"power": ["bus"]}, "without": [["power", "stays"]], "after_s": 2},
    },
    "functions": {"shut": {"name": "Shut the valve", "demand": {"set": {"valve_switch": "CLOSED"}}, "modes": {"motor": {"rank": 1, "when": {"at": {"valve": "closed"}}}}}},
}


def transfer(steps, until_s=20):
    return ff.timeline(ff.Network(ff.parse_model(json.dumps(TRANSFER))), steps, until_s)


def happened(played):
    return [(i["seconds"], i["text"]) for i in played.instants]


def test_a_transfer_takes_its_delay_and_the_gap_is_told():
    played = transfer([(1, {"fail": ["main"]})])
    assert happened(played) == [(1, "with main: loss"), (4, "transfer gets to SPARE after 3 s")]
    assert played.interruptions == [{"id": id, "name": id, "from_s": 1, "to_s": 4} for id in ("bus", "valve")]
    assert played.after.status("bus") == "supplied"
    assert [(i["function"], i["after"]) for i in played.instants[0]["worse"]] == [("shut", "lost")]  # it could not be shut just then


def test_what_is_called_off_at_the_last_instant_does_not_happen():
    assert happened(transfer([(1, {"fail": ["main"]}), (4, {"repair": ["main"]})])) == [(1, "with main: loss"), (4, "with main repaired")]
    again = transfer([(1, {"fail": ["main"]}), (3, {"repair": ["main"]}), (3.5, {"fail": ["main"]})])
    assert [at for at, _ in happened(again)] == [1, 3, 3.5, 6.5]  # a wait that is broken begins anew


def test_a_motor_valve_whose_power_goes_on_the_way_stays():
    played = transfer([(0, {"set": {"valve_switch": "CLOSED"}}), (1, {"fail": ["main", "spare"]})])
    assert [(m["id"], m["position"], m["since_s"]) for m in played.cannot_move] == [("valve", "open", 1)]
    assert played.on_its_way == []
    early = transfer([(0, {"set": {"valve_switch": "CLOSED"}})], until_s=1)
    assert [(w["id"], w["position"], w["due_s"]) for w in early.on_its_way] == [("valve", "closed", 2)]


def test_what_swings_for_ever_ends_the_timeline_and_is_said():
    model = {
        "format": "fedfrom/1", "name": "Flasher",
        "elements": {
            "battery": {"kind": "battery"},
            "flasher": {"kind": "relay", "rest": "open", "goes": [{"to": "closed", "when": {"not": {"passes": "flasher"}}}], "inputs": {"control": ["battery"]}, "after_s": 1},
        },
    }
    net = ff.Network(ff.parse_model(json.dumps(model)))
    state = net.cold_state()
    assert ff.settle(state).hunting == ["flasher"]  # without time it has no answer, and none is played from there
    played = ff.timeline(state, [], until_s=10)
    assert not played.complete and "flasher" in played.open


@pytest.mark.parametrize(("steps", "until_s", "said"), [
    ([(-1, {})], 10, "from 0 to 1e9"),
    ([(float("nan"), {})], 10, "from 0 to 1e9"),
    ([(11, {})], 10, "after the end at 10 s"),
    ([], float("inf"), "from 0 to 1e9"),
])
def test_times_that_are_none_are_refused(steps, until_s, said):
    with pytest.raises(ff.NotPossible, match=said):
        transfer(steps, until_s)
