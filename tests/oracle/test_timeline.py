"""Delays in time, against a simulation that goes on by half a second at a time (M30).

The simulation is the slow reference, held back: at every tick its settle moves what has no delay, and a timed position
only once it has been sent to the same place for as many ticks as its delay has. Delays and events of the random models are
multiples of half a second, so that nothing falls between two ticks.
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
    """The reference whose timed positions obey commands late."""

    def __init__(self, model):
        super().__init__(model)
        self.after = {i: j["after_s"] for i, j in model["elements"].items() if j.get("after_s", 0) > 0 and self.elements[i].memory and self.elements[i].fitted}
        self.held_back = frozenset(self.after)
        self.waiting = {}  # id -> (where it is sent, tick it is due at)
        self.tick = 0

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
        due = [id for id, (_, tick) in self.waiting.items() if tick <= self.tick]
        for id in due:
            self.write(st, ("position", id), self.waiting.pop(id)[0])
        st.frozen = {}
        return due


def simulated(ref, st, steps, ticks):
    """(tick, outcome) of everything that happens; None in the end where something hunts."""
    seen = []

    def settled():
        out = ref.settle(st)
        if st.frozen:
            return False
        seen.append((ref.tick, out.as_dict()))
        return True

    for ref.tick in range(ticks + 1):
        for at, step in steps:
            if at == ref.tick:
                st.apply(step)
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


met = {"models": 0, "delays over": 0, "hunting": 0, "interruptions": 0}


def compare(seed):
    """The first difference between library and simulation; None: there is none."""
    model = random_model(seed)
    try:
        ref = InTime(model)
    except Rejected:
        return None
    if not ref.after:
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
    ref.settle(st)
    if st.frozen:
        return None
    met["models"] += 1

    net = ff.Network(ff.parse_model(json.dumps(model)))
    played = ff.timeline(net.running_state(), [(at * TICK_S, as_step(events, ref)) for at, events in steps], until_s=ticks * TICK_S)
    expected, hunts = simulated(ref, st, steps, ticks)
    met["hunting"] += hunts
    met["interruptions"] += len(played.interruptions)
    met["delays over"] += sum("gets to" in i["text"] for i in played.instants)
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
    return None


def test_a_timeline_is_what_half_second_steps_give():
    for seed in range(20_000 if LONG else 400):
        assert (difference := compare(seed)) is None, (seed, difference)
    assert met["models"] >= 40 and met["delays over"] >= 20 and met["interruptions"] >= 5, met


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
