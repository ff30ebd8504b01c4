"""Compares the library with the reference on random models and event sequences.

    python tests/oracle/compare.py 0 2000          # seeds 0..1999, prints the first differences

Both get the same JSON and the same events; after every step every status,
position, level, mode, trip, zone, holder and reading must agree, and so must
the refusal of models without a meaning. A session flies along: what it
reports, added up, must be what the reference says, no more and no less.
"""

import json
import sys
from pathlib import Path

import fedfrom as ff

sys.path.insert(0, str(Path(__file__).parent))
from random_models import random_events, random_model  # noqa: E402
from reference import Reference, Rejected  # noqa: E402

STEPS = 6
COMPARED = ("status", "position", "passes", "level", "mode", "now", "shows", "tripped", "empty", "holding", "zone")


def apply(state, event):
    """False where a use is refused."""
    kind, *rest = event
    if kind == "fail" and len(rest) == 3:
        state.fail(*rest[:2], at=rest[2])
        return True
    try:
        return getattr(state, kind)(*rest) is not False
    except ff.NotPossible:
        if kind != "use":
            raise
        return False


def plain(value):
    return json.loads(json.dumps(value, sort_keys=True))


def differences(mine, theirs):
    """What the library says differently: (key, id, library, reference)."""
    found = []
    for key in COMPARED:
        a, b = plain(mine[key]), plain(theirs[key])
        if key == "passes":  # the reference says it of what has positions only
            a = {id: a[id] for id in a if id in b}
        if isinstance(a, dict) and isinstance(b, dict):
            found += [(key, id, a.get(id), b.get(id)) for id in sorted(set(a) | set(b)) if a.get(id) != b.get(id)]
        elif sorted(a) != sorted(b):
            found.append((key, "", a, b))
    return found


class Reported:
    """What a session has said so far, beginning from the reference's first outcome."""

    OF = {"status": "status", "position": "position", "shown": "shows", "function": "level"}

    def __init__(self, state, outcome):
        self.session = ff.Session(state)
        self.known = {key: dict(outcome[key]) for key in (*self.OF.values(), "mode", "now")}
        self.changes = 0

    def differences(self, outcome):
        """Settles the session; what it reports falsely, or does not report."""
        found = []

        def moved(key, id, before, after):
            if self.known[key].get(id) != before:
                found.append(("session before", f"{key} {id}", before, self.known[key].get(id)))
            self.known[key][id] = after

        for change in self.session.settle():
            self.changes += 1
            c = change.to_dict()
            if c["before"] == c["after"] and c.get("mode_before") == c.get("mode_after") and c.get("now_before") == c.get("now_after"):
                found.append(("session", f"{c['of']} {c['id']}", "reported", "the same as before"))
            if c["of"] in self.OF:
                moved(self.OF[c["of"]], c["id"], c["before"], c["after"])
            if c["of"] == "function":
                moved("mode", c["id"], c["mode_before"], c["mode_after"])
                moved("now", c["id"], c["now_before"], c["now_after"])
        for key, known in self.known.items():
            found += [("session " + key, id, known.get(id), said) for id, said in outcome[key].items() if known.get(id) != said]
        return found


def compare(seed, steps=STEPS, model=None):
    """None where they agree, else a sentence and what differs. Also counts what was met."""
    model = model or random_model(seed)
    try:
        reference = Reference(json.loads(json.dumps(model)))
    except Rejected:
        reference = None
    try:
        network = ff.Network(ff.parse_model(json.dumps(model)))
    except ff.ModelError as e:
        codes = {d.code for d in e.diagnostics}
        if codes <= {"negative_cycle", "position_ring"}:
            return "rejected", ([] if reference is None else [("refusal", "", str(e), "accepted")])
        return "invalid", [("validation", "", str(e), "")]
    if reference is None:
        return "accepted", [("refusal", "", "accepted", "rejected")]
    mine, theirs = network.running_state(), reference.running_state()
    reported = None
    for n, step in enumerate([[], *random_events(seed, model, steps)]):
        for event in step:
            accepted = apply(mine, event), apply(reported.session, event), apply(theirs, event)
            if len(set(accepted)) > 1:
                return f"step {n}: {step}", [("refusal", event, *accepted)]
        said = reference.settle(theirs).as_dict()
        found = differences(ff.settle(mine).to_dict(), said)
        reported = reported or Reported(mine, said)
        found += reported.differences(said)
        if reported.session.state() != mine:
            found.append(("session state", "", "another than settling leaves", ""))
        if found:
            return f"step {n}: {step}", found
        again = mine.copy()
        ff.settle(again)
        if again != mine:
            return f"step {n}: {step}", [("idempotence", "", "settling twice changes the state", "")]
    return "accepted", []


def main(first, last):
    counts, bad = {}, 0
    for seed in range(first, last):
        outcome, found = compare(seed)
        counts[outcome.split(":")[0]] = counts.get(outcome.split(":")[0], 0) + 1
        if found:
            bad += 1
            if bad <= 10:
                print(f"seed {seed}, {outcome}")
                for difference in found[:6]:
                    print("   ", difference)
    print(counts, f"{bad} differ")
    return bad


if __name__ == "__main__":
    sys.exit(1 if main(int(sys.argv[1]), int(sys.argv[2])) else 0)
