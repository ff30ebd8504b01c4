"""Cut sets and probabilities of published fault trees beside general-purpose packages, a row a tree, all in one run.

    .venv/bin/python tests/bench/packages.py [--smoke] [--seconds 60] [tree...]

The trees are those of tests/data/aralia, every event at 0.01; the two slowest only where named. fedfrom is given each as a network: events that can
be lost, gates that need one another. `dd` (with CUDD, reordering as it likes) gives the probability, python-sat every minimal set, one after the
other. Each has a process and a memory limit of its own; what takes longer than --seconds is stopped, and what it found by then is told. Answers are
compared before a row is printed.

At the end stands the median over the trees of the package's time divided by fedfrom's: above 1 fedfrom is the faster. A package that was stopped, or
had too little memory, counts with the time it was given, so that its true ratio is larger ("at least"); where fedfrom was stopped and the package was not, the ratio counts as 0; where
both were, and for sets where a tree has a `not` (python-sat is then given nothing), the tree is left out. fedfrom counts the sets, while python-sat
has no way but to list them, so that the ratio of sets says most about trees with few of them.
"""

import argparse
import json
import multiprocessing
import resource
import statistics
import sys
import time
import xml.etree.ElementTree
from pathlib import Path

TREES = Path(__file__).parent.parent / "data" / "aralia"
SLOW = {"das9701", "nus9601"}  # only when named
SMOKE = ["chinese", "isp9603", "das9601"]
MOST_BYTES = 3 << 30


class Tree:
    """Gates as (kind, least number, operands), children first; the top is the last."""

    def __init__(self, name):
        root = xml.etree.ElementTree.parse(TREES / f"{name}.xml").getroot()
        written = {g.get("name"): g[0] for g in root.iter("define-gate")}
        self.gates, self.events = {}, []
        read = {x.get("name") for formula in written.values() for x in formula.iter("gate")}
        (self.top,) = set(written) - read
        todo = [(self.top, False)]
        while todo:
            gate, done = todo.pop()
            if gate in self.gates:
                continue
            if done:
                self.gates[gate] = self.formula(written[gate])
                continue
            todo.append((gate, True))
            todo += [(x.get("name"), False) for x in written[gate].iter("gate")]
            for event in written[gate].iter("basic-event"):
                if event.get("name") not in self.events:
                    self.events.append(event.get("name"))

    def formula(self, x):
        if x.tag in ("gate", "basic-event"):
            return x.get("name")
        return x.tag, int(x.get("min", 0)), [self.formula(child) for child in x]

    def folded(self, event, all_of, any_of, not_of, at_least):
        """The top, from what events and operators are turned into."""
        made = {}

        def of(f):
            if isinstance(f, str):
                return made[f] if f in made else event(f)
            kind, least, operands = f
            parts = [of(x) for x in operands]
            if kind == "not":
                return not_of(parts[0])
            if kind == "xor":
                a, b = parts
                return any_of([all_of([a, not_of(b)]), all_of([not_of(a), b])])
            return all_of(parts) if kind == "and" else any_of(parts) if kind == "or" else at_least(least, parts)

        for gate, f in self.gates.items():
            made[gate] = of(f)
        return made[self.top]


# -------------------------------------------------------------------------------- who computes


def by_fedfrom(tree, told):
    import fedfrom as ff

    def id_of(name):
        return ("g_" if name in tree.gates else "e_") + name.lower()

    elements = {id_of(e): {"kind": "controller", "failures": {"loss": {"probability": 0.01}}} for e in tree.events}

    def works(f):
        """A condition that holds where the formula of failures does not."""
        if isinstance(f, str):
            return id_of(f)
        kind, least, operands = f
        parts = [works(x) for x in operands]
        if kind == "not":
            return {"not": parts[0]}
        if kind == "xor":
            a, b = parts
            return {"any": [{"all": [a, b]}, {"all": [{"not": a}, {"not": b}]}]}
        return {"any": parts} if kind == "and" else {"all": parts} if kind == "or" else {"at_least": len(parts) - least + 1, "of": parts}

    for gate, f in tree.gates.items():
        elements[id_of(gate)] = {"kind": "controller", "fallible": False, "needs": works(f)}
    model = {"format": "fedfrom/1", "name": "Tree", "elements": elements, "functions": {"top": {"modes": {"on": {"rank": 1, "when": id_of(tree.top)}}}}}
    net = ff.Network(ff.parse_model(json.dumps(model)))
    begun = time.perf_counter()
    risk = ff.risk(net, "top", hours=1, parts=False)
    known = time.perf_counter()
    told({"seconds": known - begun, "probability": risk.low, "exact": risk.exact})
    begun = time.perf_counter()
    cuts = ff.cut_sets(net, "top", most_sets=0)
    told({"sets_seconds": time.perf_counter() - begun, "sets": sum(cuts.counts), "complete": cuts.complete})


def by_dd(tree, told):
    from dd import cudd

    sys.setrecursionlimit(100_000)
    bdd = cudd.BDD()
    bdd.configure(reordering=True)
    begun = time.perf_counter()
    bdd.declare(*tree.events)

    def all_of(parts):
        u = bdd.true
        for part in parts:
            u &= part
        return u

    def any_of(parts):
        u = bdd.false
        for part in parts:
            u |= part
        return u

    def at_least(k, parts):
        so_far = [bdd.true] + [bdd.false] * k
        for part in parts:
            for j in range(k, 0, -1):
                so_far[j] |= so_far[j - 1] & part
        return so_far[k]

    top = tree.folded(bdd.var, all_of, any_of, lambda u: ~u, at_least)
    bdd.configure(reordering=False)
    found = {}

    def probability(u):
        if u == bdd.true or u == bdd.false:
            return float(u == bdd.true)
        regular = ~u if u.negated else u
        if int(regular) not in found:
            found[int(regular)] = 0.99 * probability(regular.low) + 0.01 * probability(regular.high)
        return 1 - found[int(regular)] if u.negated else found[int(regular)]

    p = probability(top)
    told({"seconds": time.perf_counter() - begun, "probability": p, "nodes": len(found)})


def by_sat(tree, told, seconds):
    from pysat.solvers import Cadical153

    begun = time.perf_counter()
    number = {e: i + 1 for i, e in enumerate(tree.events)}
    clauses, last = [], [len(number)]

    def fresh():
        last[0] += 1
        return last[0]

    def all_of(parts):
        g = fresh()
        clauses.extend([-g, p] for p in parts)
        clauses.append([g, *(-p for p in parts)])
        return g

    def any_of(parts):
        return -all_of([-p for p in parts])

    def at_least(k, parts):
        so_far = {0: all_of([])}
        for part in parts:
            before = dict(so_far)
            for j in range(1, k + 1):
                if j - 1 in before:
                    with_it = all_of([before[j - 1], part])
                    so_far[j] = any_of([before[j], with_it]) if j in before else with_it
        return so_far.get(k, -so_far[0])

    top = tree.folded(number.get, all_of, any_of, lambda p: -p, at_least)
    solver = Cadical153(bootstrap_with=[*clauses, [top]])
    events, count, complete = list(number.values()), 0, True
    while solver.solve():
        if time.perf_counter() - begun > seconds:
            complete = False
            break
        model = solver.get_model()
        chosen = [e for e in events if model[e - 1] > 0]
        for e in list(chosen):  # one after the other left out, where it still holds without it and all others false
            rest = [x for x in chosen if x != e]
            if solver.solve(assumptions=[x if x in rest else -x for x in events]):
                chosen = rest
        solver.add_clause([-e for e in chosen])
        count += 1
    told({"seconds": time.perf_counter() - begun, "sets": count, "complete": complete})


# -------------------------------------------------------------------------------- one beside the other


def alone(who, name, pipe, *more):
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    who(Tree(name), lambda answer: pipe.send(answer | {"bytes": 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}), *more)


def measured(who, name, seconds, *more):
    """What it tells in a process of its own, until time or memory does not suffice."""
    here, there = multiprocessing.Pipe(duplex=False)
    process = multiprocessing.Process(target=alone, args=(who, name, there, *more))
    process.start()
    there.close()
    answer, end = {}, time.monotonic() + seconds
    try:
        while here.poll(max(0, end - time.monotonic())):
            answer |= here.recv()
    except EOFError:
        pass
    finally:
        process.kill()
        process.join()
    return answer


def columns(answer, *names):
    values = [answer.get(n) for n in names]
    return ["-" if v is None else f"{v:.4g}" if isinstance(v, float) else str(v) for v in values]


class Ratios:
    """A package's times by fedfrom's, tree by tree."""

    def __init__(self, of):
        self.of, self.found, self.stopped = of, [], 0

    def add(self, package, done, own):
        """`done`: the package was not stopped. `own` is nothing where fedfrom was."""
        if own:
            self.found.append(package / own)
            self.stopped += not done
        elif done:
            self.found.append(0)

    def __str__(self):
        if not self.found:
            return f"{self.of}: no tree"
        return f"{self.of}: {'at least ' if self.stopped else ''}{statistics.median(self.found):.3g} ({len(self.found)} trees, the package stopped on {self.stopped})"


def row(name, seconds, probability, sets, both):
    tree = Tree(name)
    own = measured(by_fedfrom, name, seconds)
    dd = measured(by_dd, name, seconds)
    coherent = not any(isinstance(f, tuple) and f[0] in ("not", "xor") for f in tree.gates.values())
    sat = measured(by_sat, name, 2 * seconds, seconds) if coherent else {}
    if own and dd and own["exact"] and abs(own["probability"] - dd["probability"]) > 1e-9 * dd["probability"]:
        sys.exit(f"wrong answer: the probability of {name} is {own['probability']} or {dd['probability']}")
    if sat and own.get("complete") and (sat["sets"] != own["sets"] if sat["complete"] else sat["sets"] > own["sets"]):
        sys.exit(f"wrong answer: {name} has {own['sets']} minimal sets, or {sat['sets']}")
    own_probability, own_sets = own.get("exact") and own["seconds"], own.get("complete") and own["sets_seconds"]
    dd_seconds, sat_seconds, sat_done = dd.get("seconds", seconds), sat.get("seconds", seconds), sat.get("complete", False)
    probability.add(dd_seconds, bool(dd), own_probability)
    if coherent:
        sets.add(sat_seconds, sat_done, own_sets)
        both.add(dd_seconds + sat_seconds, bool(dd) and sat_done, own_probability and own_sets and own_probability + own_sets)
    megabytes = f"{own['bytes'] / 1e6:.0f}" if own else "-"
    print(f"{name:9} {len(tree.events):6} " + " ".join(f"{x:>12}" for x in [*columns(own, "sets", "probability", "seconds", "sets_seconds"), megabytes, *columns(dd, "seconds", "nodes"),
                                                                              *columns(sat, "seconds", "sets")]), flush=True)


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("trees", nargs="*")
    arguments.add_argument("--smoke", action="store_true")
    arguments.add_argument("--seconds", type=float, default=60)
    asked = arguments.parse_args()
    names = asked.trees or (SMOKE if asked.smoke else sorted({p.stem for p in TREES.glob("*.xml")} - SLOW))
    print(f"{'tree':9} {'events':>6} " + " ".join(f"{x:>12}" for x in ["sets", "probability", "s", "sets s", "MB", "dd s", "dd nodes", "SAT s", "SAT sets"]))
    ratios = [Ratios("probability, dd"), Ratios("sets, SAT"), Ratios("both, dd and SAT")]
    for name in names:
        row(name, asked.seconds, *ratios)
    print("Median of the packages' time by fedfrom's:")
    for of in ratios:
        print(f"    {of}")


if __name__ == "__main__":
    main()
