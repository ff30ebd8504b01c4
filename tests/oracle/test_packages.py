"""Cut sets against general-purpose packages: binary decision diagrams (dd), satisfiability (python-sat), answer sets (clingo).

Each package is given the networks in its own words: a diagram grown from "all dead" upward; clauses that supply flows wherever it
can; a program whose least models give loops the same meaning. The networks carry supply alone, larger than brute force can take, with
rings of ties and feeds, devices shared by several feeds, ports that are ANDed, and voters.
"""

import itertools
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import clingo
import dd.autoref
import pytest
from pysat.solvers import Minisat22

import fedfrom as ff

BENCH = Path(__file__).parent.parent / "bench" / "packages.py"
SEEDS = range(400 if os.environ.get("FEDFROM_LONG") == "1" else 60)


class Wired:
    """A random network: `ports[e]` lists (how many feeds it takes, [(upstream, devices), …]); what has no port is a source."""

    def __init__(self, seed):
        r = random.Random(f"wired {seed}")
        sources = [f"source_{i}" for i in range(r.randint(2, 5))]
        buses = [f"bus_{i}" for i in range(r.randint(4, 14))]
        self.devices = [f"contactor_{i}" for i in range(r.randint(2, 10))]
        self.ports = {s: [] for s in sources}
        for i, bus in enumerate(buses):
            some = r.sample([*sources, *buses[:i], *r.sample(buses, 2)], k=r.randint(1, 3))
            feeds = [(up, r.sample(self.devices, k=r.choice([0, 0, 1, 1, 2]))) for up in dict.fromkeys(some) if up != bus] or [(sources[0], [])]
            self.ports[bus] = [(r.randint(1, len(feeds)), feeds)]
            if r.random() < 0.2:
                self.ports[bus].append((1, [(r.choice(sources), [])]))  # a control port
        self.ties = []
        for a, b in {tuple(sorted(r.sample(buses, 2))) for _ in range(r.randint(1, 4))}:
            if len(self.ports[a]) == len(self.ports[b]) == 1:
                self.ties.append((a, b, r.sample(self.devices, k=1)))
        self.untied = {e: [list(feeds) for _, feeds in ports] for e, ports in self.ports.items()}
        for a, b, via in self.ties:
            self.ports[a][0][1].append((b, via))
            self.ports[b][0][1].append((a, via))
        self.goal = (r.randint(1, 2), r.sample(buses, k=r.randint(2, 3)))  # so many of these buses

    def network(self):
        def power(e):
            return [{"from": up, "via": via} for up, via in self.untied[e][0]] + [{"tie": f"tie_{i}"} for i, (a, b, _) in enumerate(self.ties) if e in (a, b)]

        elements = {d: {"kind": "contactor"} for d in self.devices}
        for e, ports in self.ports.items():
            j = elements[e] = {"kind": "controller" if ports else "battery"}
            if ports:
                j["inputs"] = {"power": {"at_least": ports[0][0], "of": power(e)}}
            if len(ports) > 1:
                j["inputs"]["control"] = [{"from": up} for up, _ in ports[1][1]]
        k, buses = self.goal
        return ff.Network(ff.Model.from_dict({
            "format": "fedfrom/1", "name": "Wired", "elements": elements,
            "ties": {f"tie_{i}": {"between": [a, b], "via": via} for i, (a, b, via) in enumerate(self.ties)},
            "functions": {"works": {"modes": {"on": {"rank": 1, "when": {"at_least": k, "of": buses}}}}}}))  # fmt: skip

    def parts(self):
        return [*self.ports, *self.devices]

    def cut_sets(self):
        cuts = ff.cut_sets(self.network(), "works", below="degraded", within=[(e, "loss") for e in self.parts()])
        assert cuts.complete
        return {frozenset(e for e, _ in chosen) for chosen in cuts.sets}


def each(seeds):
    """Networks in which the goal stands with nothing lost, and the sets that take it."""
    for seed in seeds:
        wired = Wired(seed)
        if ff.settle(wired.network().running_state()).level("works") == "normal":
            yield wired, wired.cut_sets()


def test_the_sets_are_the_function_a_decision_diagram_grows_to():
    """Equal as functions, and none holds another: so they are the minimal ones, and all of them. Least fixed point, from all dead."""
    met = {"sets": 0, "largest": 0, "rounds": 0}
    for wired, cuts in each(SEEDS):
        bdd = dd.autoref.BDD()
        bdd.declare(*wired.parts())
        works = {p: ~bdd.var(p) for p in wired.parts()}  # a variable is a loss

        def all_of(terms):
            out = bdd.true
            for t in terms:
                out &= t
            return out

        def at_least(k, terms):
            out = bdd.false
            for some in itertools.combinations(terms, k):
                out |= all_of(some)
            return out

        supplied = {e: bdd.false for e in wired.ports}
        while True:
            grown = {e: works[e] & all_of(at_least(k, [supplied[up] & all_of(works[d] for d in via) for up, via in feeds]) for k, feeds in ports) for e, ports in wired.ports.items()}
            if grown == supplied:
                break
            supplied = grown
            met["rounds"] += 1
        k, buses = wired.goal
        lost = ~at_least(k, [supplied[b] for b in buses])
        theirs = bdd.false
        for chosen in cuts:
            theirs |= all_of(~works[e] for e in chosen)
        assert theirs == lost
        assert not any(a < b for a in cuts for b in cuts)
        met["sets"] += len(cuts)
        met["largest"] = max([met["largest"], *map(len, cuts)])
        del works, supplied, grown, lost, theirs  # before their diagram goes
    assert met["sets"] > 5 * len(SEEDS) and met["largest"] >= 4, met


def test_no_further_set_satisfies_the_clauses_and_each_found_one_does():
    """Supply closed under every way it can flow, and the goal without: possible with a set's losses, not with fewer, and not around all the sets."""
    for wired, cuts in each(SEEDS):
        numbers = itertools.count(1)
        lost = {p: next(numbers) for p in wired.parts()}
        supplied = {e: next(numbers) for e in wired.ports}
        with Minisat22() as solver:
            for e, ports in wired.ports.items():
                # One way to be supplied is a choice of enough feeds at every port; of the wholes only these choices matter.
                for ways in itertools.product(*(itertools.combinations(feeds, k) for k, feeds in ports)):
                    body = [lost[e]]
                    for up, via in itertools.chain.from_iterable(ways):
                        body += [-supplied[up], *(lost[d] for d in via)]
                    solver.add_clause([*body, supplied[e]])
            k, buses = wired.goal
            for some in itertools.combinations(buses, k):
                solver.add_clause([-supplied[b] for b in some])
            for chosen in cuts:
                others = [-lost[p] for p in wired.parts() if p not in chosen]
                assert solver.solve(assumptions=others + [lost[p] for p in chosen]), chosen
                for spared in chosen:
                    assert not solver.solve(assumptions=[*others, -lost[spared], *(lost[p] for p in chosen - {spared})]), (chosen, spared)
            for chosen in cuts:
                solver.add_clause([-lost[p] for p in chosen])
            assert not solver.solve()


def test_the_subset_minimal_answer_sets_are_the_same():
    """Stable models of a positive program are least, so that a ring of dead buses stays dead there too."""
    for wired, cuts in each(SEEDS):
        program = ["{lost(X) : part(X)}.", "#show lost/1.", "#heuristic lost(X) : part(X). [1,false]"]
        program += [f"part({p})." for p in wired.parts()]
        for e, ports in wired.ports.items():
            body = [f"not lost({e})"]
            for n, (k, feeds) in enumerate(ports):
                for i, (up, via) in enumerate(feeds):
                    program.append(f"live({e},{n},{i}) :- " + ", ".join([f"supplied({up})", *(f"not lost({d})" for d in via)]) + ".")
                body.append(f"{k} {{live({e},{n},I) : I = 0..{len(feeds) - 1}}}")
            program.append(f"supplied({e}) :- " + ", ".join(body) + ".")
        k, buses = wired.goal
        program.append(f":- {k} {{" + "; ".join(f"supplied({b})" for b in buses) + "}.")
        control = clingo.Control(["--heuristic=Domain", "--enum-mode=domRec", "0"])
        control.add("base", [], "\n".join(program))
        control.ground([("base", [])])
        answers = []
        control.solve(on_model=lambda model: answers.append(frozenset(str(s.arguments[0]) for s in model.symbols(shown=True))))
        assert len(answers) == len(set(answers))
        assert set(answers) == cuts


def test_the_networks_have_what_they_promise():
    wired = [Wired(seed) for seed in SEEDS]
    assert sum(bool(w.ties) for w in wired) > len(wired) // 3
    assert sum(any(1 < k for ports in w.ports.values() for k, _ in ports) for w in wired) > len(wired) // 3
    assert max(len(w.parts()) for w in wired) >= 24


if __name__ == "__main__":
    pytest.main([__file__])


def test_the_benchmark_beside_them_agrees_on_small_trees():
    run = subprocess.run([sys.executable, BENCH, "--smoke", "--seconds", "20"], capture_output=True, text=True, check=True)
    lines = run.stdout.splitlines()
    assert [line.split()[:3] for line in lines[1:4]] == [["chinese", "25", "392"], ["isp9603", "91", "3434"], ["das9601", "122", "4259"]]
    # The last of them has gates with a `not`.
    assert [(of.strip(), trees) for line in lines[5:] for of, trees in re.findall(r"(.*): .*\((\d) trees", line)] == [("probability, dd", "3"), ("sets, SAT", "2"), ("both, dd and SAT", "2")]
