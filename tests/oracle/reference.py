"""The meaning of a model, said a second time, slowly.

One plain reading of rules M1..M23 (DEVELOPERS.md), with nothing shared with the
library: dictionaries, sets and naive iteration. It is the oracle the library is
compared with, so it is written to be checked by eye against the rules, not to
be fast. Standard library only.

    ref = Reference(json.load(open("model.json")))
    st = ref.running_state()
    st.fail("gen_l")
    out = ref.settle(st)            # st now remembers
    out.status["main_l"], out.level["wheel_braking"]
"""

from itertools import product

# ---------------------------------------------------------------- the kind table, typed from the contract

# kind: positions (rest first), passes in, flags
#   hand      the crew moves it                 source    a source while it has no ports
#   conductor bus, feeder, pipe, manifold       protects  trips
#   one_way   diode, check valve                contacts  lost: blank in every position
#   control   without `control`: open           isolates  what drags its output down goes no further
#   fluid     a leak that reaches it empties it
KINDS = {
    "bus": ([], [], "conductor"),
    "feeder": ([], [], "conductor"),
    "pipe": ([], [], "conductor"),
    "manifold": ([], [], "conductor"),
    "breaker": (["in", "pulled"], ["in"], "hand protects"),
    "fuse": (["in"], ["in"], "protects"),
    "current_limiter": (["in"], ["in"], "protects"),
    "contactor": (["closed", "open"], ["closed"], "control"),
    "relay": (["closed", "open"], ["closed"], "control"),
    "switch": ([], [], "hand contacts"),
    "selector": ([], [], "hand contacts"),
    "handle": ([], [], "hand contacts"),
    "valve": (["open", "closed"], ["open"], ""),
    "diode": ([], [], "one_way"),
    "check_valve": ([], [], "one_way"),
    "engine": ([], [], "source"),
    "battery": ([], [], "source"),
    "external_power": ([], [], "source"),
    "ram_air_turbine": ([], [], "source"),
    "reservoir": ([], [], "source fluid"),
    "accumulator": ([], [], "source fluid"),
    "bottle": ([], [], "source fluid"),
    "manual": ([], [], "source"),
    "generator": ([], [], "isolates"),
    "starter_generator": ([], [], "isolates"),
    "alternator": ([], [], "isolates"),
    "inverter": ([], [], "isolates"),
    "transformer_rectifier": ([], [], "isolates"),
    "charger": ([], [], "isolates"),
    "pump": ([], [], ""),
    "controller": ([], [], ""),
    "sensor": ([], [], ""),
    "actuator": ([], [], ""),
    "motor": ([], [], ""),
    "consumer": ([], [], ""),
    "heater": ([], [], ""),
    "light": ([], [], ""),
    "gauge": ([], [], ""),
    "annunciator": ([], [], ""),
    "panel": ([], [], ""),
}

# failure modes an element has when its author writes none (the generator of random models reads this)
KIND_FAILURES = {
    "bus": ["loss", "short"], "feeder": ["loss", "short"], "pipe": ["loss", "leak"], "manifold": ["loss", "leak"],
    "breaker": ["loss", "no_trip"], "fuse": ["loss", "no_trip"], "current_limiter": ["loss", "no_trip"],
    "contactor": ["loss", "stuck"], "relay": ["loss", "stuck"], "switch": ["loss", "stuck"],
    "selector": ["loss", "stuck"], "handle": ["loss", "stuck"], "valve": ["loss", "stuck"],
    "diode": ["loss", "short"], "check_valve": ["loss", "short"],
    "generator": ["loss", "short"], "starter_generator": ["loss", "short"], "alternator": ["loss", "short"],
    "inverter": ["loss", "short"], "transformer_rectifier": ["loss", "short"], "charger": ["loss", "short"],
    "pump": ["loss", "leak"],
}

# M7: medium by port name; every other name carries no fault
MEDIA = {
    "power": "electrical", "control": "electrical", "field": "electrical",
    "hydraulic": "hydraulic", "pneumatic": "pneumatic", "fuel": "fuel", "oxygen": "oxygen",
    "drive": "mechanical", "mechanical": "mechanical",
}
NOT_FLUID = ("electrical", "mechanical")
OUTWARD_ONLY = ("control", "field")  # ports that carry a fault only out of the element that has it

COMBINATIONS = 256  # M15
LEVELS = ["normal", "degraded", "lost"]


class Rejected(Exception):
    """M14: a cycle through a negative dependency, a ring of positions; M20: a ring of functions."""

    def __init__(self, cycle_members, why="negative cycle"):
        self.cycle_members = sorted(set(cycle_members))
        self.why = why
        super().__init__(f"{why}: {', '.join(self.cycle_members)}")


# ---------------------------------------------------------------- what the author wrote, made regular


class Feed:
    """One alternative of a port. `via`: (device, set of positions or None) from source to load."""

    def __init__(self, up, via, tie=None, backward=False):
        self.up, self.via, self.tie, self.backward = up, via, tie, backward


class Port:
    def __init__(self, name, medium, join="priority", count=1):
        self.name, self.medium, self.join, self.count, self.feeds = name, medium, join, count, []


class Element:
    pass


def read_via(items):
    out = []
    for item in items:
        if isinstance(item, str):
            out.append((item, None))
        else:
            for device, words in item.items():
                out.append((device, frozenset([words] if isinstance(words, str) else words)))
    return out


def read_condition(c):
    """JSON condition -> tuple. Leaves keep ("op", id, word); trees ("op", [parts], count)."""
    if isinstance(c, str):
        return ("supplied", c, None)
    if c is True or c is False:
        return ("constant", c, None)
    keys = set(c) - {"of"}
    assert len(keys) == 1, c
    key = keys.pop()
    if key in ("all", "any"):
        return (key, [read_condition(x) for x in c[key]], 0)
    if key == "at_least":
        return ("at_least", [read_condition(x) for x in c["of"]], c["at_least"])
    if key == "not":
        return ("not", [read_condition(c["not"])], 0)
    if key in ("passes", "tripped", "given"):
        return (key, c[key], None)
    if key in ("at", "set", "contact", "failure", "level"):
        parts = [(key, i, w) for i, w in sorted(c[key].items())]
        return parts[0] if len(parts) == 1 else ("all", parts, 0)
    raise ValueError(f"condition {c!r}")


def constant(c):
    return c[1] if c[0] == "constant" else None


TRUE, FALSE = ("constant", True, None), ("constant", False, None)


# ---------------------------------------------------------------- a state


class State:
    """Everything that is remembered. `held`, `tripped`, `holding`, `empty` are the memory of the contract."""

    def __init__(self, ref):
        self.ref = ref
        self.failures = {}   # id -> {mode: position or None}
        self.hand = {}       # id -> word, what the crew can reach
        self.given_now = {}  # id -> bool
        self.held = {}       # id -> word, positions with memory
        self.tripped = set()
        self.empty = set()
        self.overloaded = set()
        self.holding = set()
        self.frozen = {}     # M15: cell -> set of the values it took or would have taken
        self.last = {}       # id -> word in the last settled state
        self.reading = {}    # id -> text shown in the last settled state
        self.taken = {}      # M23: store -> applications taken since it was last full
        self.used = set()    # M23: (function, mode)

    def copy(self):
        other = State(self.ref)
        other.failures = {i: dict(m) for i, m in self.failures.items()}
        for name in ("hand", "given_now", "held", "last", "reading", "taken"):
            setattr(other, name, dict(getattr(self, name)))
        for name in ("tripped", "empty", "overloaded", "holding", "used"):
            setattr(other, name, set(getattr(self, name)))
        other.frozen = {cell: set(v) for cell, v in self.frozen.items()}
        return other

    # the events; each of them thaws what was hunting (M15)

    def fail(self, id, mode="loss", at=None):
        e = self.ref.elements[id]
        if mode == "stuck":
            # M6.1, M16: the author's `at`, else where it stood in the last settled state
            at = at or e.stuck_at or self.last.get(id, e.rest)
        self.failures.setdefault(id, {})[mode] = at
        self.frozen = {}
        return self

    def repair(self, id):  # M16
        self.ref.elements[id]
        self.failures.pop(id, None)
        self.empty.discard(id)
        self.taken.pop(id, None)
        self.tripped.discard(id)
        self.overloaded.discard(id)
        self.frozen = {}
        return self

    def reset(self, id):  # M16
        self.ref.elements[id]
        self.tripped.discard(id)
        self.overloaded.discard(id)
        self.frozen = {}
        return self

    def set(self, id, position):
        assert position in self.ref.elements[id].positions, (id, position)
        assert self.ref.elements[id].mover == "hand", id
        self.hand[id] = position
        self.frozen = {}
        return self

    def given(self, id, value):
        assert id in self.given_now, id
        self.given_now[id] = bool(value)
        self.frozen = {}
        return self

    def use(self, function, mode):  # M23
        """False where it is refused, which changes nothing."""
        if (function, mode) not in self.ref.one_shots or self.barred(function, mode) or self.short_of(function, mode):
            return False
        spend, _ = self.ref.one_shots[function, mode]
        for store, count in spend.items():
            self.taken[store] = self.taken.get(store, 0) + count
            if self.taken[store] == self.ref.elements[store].applications:
                self.empty.add(store)
        self.used.add((function, mode))
        self.frozen = {}
        return True

    def barred(self, function, mode):
        return any(f == function and mode in self.ref.one_shots[f, other][1] for f, other in self.used)

    def short_of(self, function, mode):
        """A store is empty, or holds fewer applications than the mode takes."""
        spend, _ = self.ref.one_shots[function, mode]
        return any(store in self.empty or self.ref.elements[store].applications - self.taken.get(store, 0) < count for store, count in spend.items())

    def clear_all(self):  # M16
        """Hands and givens stay, and so does where things stood when last settled."""
        fresh = self.ref.fresh(True)
        for name in ("failures", "held", "tripped", "empty", "overloaded", "holding", "frozen", "reading", "taken", "used"):
            setattr(self, name, getattr(fresh, name))
        return self

    def apply(self, events):
        """A step: a list of ("fail", id, mode[, at]), ("repair", id), ("reset", id), ("set", id, word), ("given", id, bool),
        ("use", function, mode), ("clear_all",)."""
        for event in events:
            getattr(self, event[0])(*event[1:])
        return self

    def has(self, id, mode):
        return mode in self.failures.get(id, ())

    def memory(self):
        """The whole state as one comparable value."""
        def items(d):
            return tuple(sorted(d.items(), key=lambda kv: str(kv[0])))
        return (
            tuple(sorted((i, m, a) for i, ms in self.failures.items() for m, a in ms.items())),
            items(self.hand), items(self.given_now), items(self.held),
            tuple(sorted(self.tripped)), tuple(sorted(self.empty)), tuple(sorted(self.overloaded)), tuple(sorted(self.holding)),
            tuple(sorted((c, tuple(sorted(v, key=str))) for c, v in self.frozen.items())),
            items(self.last), items(self.reading), items(self.taken), tuple(sorted(self.used)),
        )


# ---------------------------------------------------------------- one evaluation


class Evaluation:
    """The values of one run through the strata. `value`: node -> bool.

    A node is ("S", element) for "supplied" or ("P", device, positions) for "position in this set".
    """

    def __init__(self, st, zone):
        self.st, self.zone = st, zone
        self.in_zone = {e for e, _ in zone}
        self.value = {}
        self.word = {}       # element -> position, filled after the strata
        self.done = False    # the strata are finished: positions may be read as words

    def supplied(self, id):
        return self.value.get(("S", id), False)


class Outcome:
    def __init__(self):
        self.status, self.supplied, self.position, self.passes = {}, {}, {}, {}
        self.level, self.mode, self.now, self.shows = {}, {}, {}, {}
        self.zone, self.tripped, self.empty, self.holding = set(), set(), set(), set()
        self.hunting = []
        # beside the answers: how much work it was, for the bounds and the statistics
        self.rounds = self.runs = self.combinations = self.unions = 0

    def as_dict(self):
        def flat(d):
            return {k: d[k] for k in sorted(d)}
        return {
            "empty": sorted(self.empty), "holding": sorted(self.holding), "hunting": list(self.hunting),
            "level": flat(self.level), "mode": flat(self.mode), "now": flat(self.now),
            "passes": flat(self.passes), "position": flat(self.position), "shows": flat(self.shows),
            "status": flat(self.status), "supplied": flat(self.supplied),
            "tripped": sorted(self.tripped), "zone": [list(x) for x in sorted(self.zone)],
        }


# ---------------------------------------------------------------- the reference


class Reference:
    def __init__(self, model):
        self.media = dict(MEDIA)
        self.media.update(model.get("media", {}))
        self.givens = {g: bool(v) for g, v in model.get("given", {}).items()}
        self.elements = {id: self.read_element(id, e) for id, e in sorted(model["elements"].items())}
        self.ties = {}
        self.wire(model)
        self.backward_feeds()
        self.fold_conditions()
        self.read_functions(model.get("functions", {}))
        self.find_strata()
        self.find_rings()
        self.find_connections()

    # ------------------------------------------------------------ reading

    def read_element(self, id, j):
        positions, passes_in, flags = KINDS[j["kind"]]
        flags = flags.split()
        e = Element()
        e.id, e.kind = id, j["kind"]
        e.conductor = "conductor" in flags
        e.one_way = "one_way" in flags
        e.contacts = "contacts" in flags
        e.isolates = "isolates" in flags
        e.stores_fluid = "fluid" in flags
        e.source_kind = "source" in flags
        e.fitted = j.get("fitted", True)
        e.left = j.get("left")

        # supply
        e.inputs = j.get("inputs", {})
        e.needs = read_condition(j["needs"]) if "needs" in j else TRUE

        # position
        e.positions = list(j.get("positions", positions))
        e.rest = j.get("rest", e.positions[0] if e.positions else None)
        e.passes_in = frozenset(j.get("passes_in", passes_in)) & frozenset(e.positions)
        e.goes = [(g["to"], read_condition(g["when"])) for g in j.get("goes", [])]
        e.leader, e.map = None, {}
        follows = j.get("follows")
        if isinstance(follows, str):
            e.leader = follows
        elif follows:
            (e.leader, e.map), = follows.items()
        # who moves it: what the author wrote counts before the kind's own reach
        if not e.positions:
            e.mover = None
        elif "reach" in j and j["reach"] != "nobody":
            e.mover = "hand"
        elif e.leader:
            e.mover = "follows"
        elif e.goes:
            e.mover = "goes"
        elif "hand" in flags and "reach" not in j:
            e.mover = "hand"
        else:
            e.mover = "rest"
        if "without" in j:
            e.without = [tuple(w) for w in j["without"]]
        elif "control" in flags and "control" in e.inputs:
            e.without = [("control", "open")]
        else:
            e.without = []
        # M6: memory
        e.memory = bool(e.positions) and (any(w == "stays" for _, w in e.without) or j.get("after_s", 0) > 0)

        # protecting
        e.protects = "protects" in flags or "protects" in j
        protection = j.get("protects", {})
        e.protect_needs = read_condition(protection["needs"]) if isinstance(protection, dict) and "needs" in protection else TRUE
        # M6.2: where it stands when tripped; a fuse has no such position
        outside = [p for p in e.positions if p not in e.passes_in]
        e.trip_position = outside[0] if outside else None

        # showing, failing, holding
        e.shows = [(s["text"], read_condition(s["when"])) for s in j.get("shows", [])]
        e.unpowered = j.get("unpowered", "")
        failures = j.get("failures", {})
        e.stuck_at = failures.get("stuck", {}).get("at")
        e.contacts_fail = "contacts" in failures
        e.leak_said = failures.get("leak", {}).get("fluid")
        e.fallible = j.get("fallible", True)
        e.applications = j.get("store", {}).get("applications", 1)  # M23
        e.holds = j.get("holds_in", False) is True
        e.ports = {}
        return e

    def medium(self, port):
        return self.media.get(port)

    def wire(self, model):
        """M3, M4: ports, feeds, the place of ties, what is not fitted."""
        E = self.elements
        written = {id: (t["between"], read_via(t.get("via", []))) for id, t in sorted(model.get("ties", {}).items())}
        tied = {e for (a, b), _ in written.values() for e in (a, b)}
        # M3 is read on the aircraft as written: an unfitted tie does not make a bus a source
        for e in E.values():
            e.is_source = not e.inputs and (e.id not in tied or e.source_kind)
        for e in E.values():
            names = sorted(e.inputs)
            if not names and not e.is_source:
                names = ["hydraulic" if e.kind in ("pipe", "manifold") else "power"]
            placed = set()
            for name in names:
                port = Port(name, self.medium(name))
                spec = e.inputs.get(name, [])
                if isinstance(spec, dict) and "parallel" in spec:
                    port.join, spec = "parallel", spec["parallel"]
                elif isinstance(spec, dict):
                    port.join, port.count, spec = "at_least", spec["at_least"], spec["of"]
                for f in spec:
                    if isinstance(f, str):
                        port.feeds.append(Feed(f, []))
                    elif "tie" in f:
                        placed.add(f["tie"])
                        port.feeds.append(self.tie_feed(e.id, f["tie"], written))
                    else:
                        port.feeds.append(Feed(f["from"], read_via(f.get("via", []))))
                e.ports[name] = port
            if not e.is_source:
                for tie, ((a, b), _) in written.items():
                    if e.id in (a, b) and tie not in placed:
                        assert len(e.ports) == 1, f"{e.id}: place tie {tie}"
                        next(iter(e.ports.values())).feeds.append(self.tie_feed(e.id, tie, written))
            # M4: what is not fitted
            for port in e.ports.values():
                port.feeds = [f for f in port.feeds if self.exists(f)]
        for tie, ((a, b), via) in written.items():
            feed = Feed(a, via)
            if E[a].fitted and E[b].fitted and self.exists(feed):
                media = [p.medium for x in (a, b) for p in E[x].ports.values() for f in p.feeds if f.tie == tie]
                self.ties[tie] = (a, b, feed.via, media[0] if media else None)

    def tie_feed(self, end, tie, written):
        (a, b), via = written[tie]
        return Feed(a, list(via), tie) if end == b else Feed(b, list(reversed(via)), tie)

    def exists(self, feed):
        """M4. Also leaves bridged devices out of the via."""
        if not self.elements[feed.up].fitted:
            return False
        via = []
        for d, q in feed.via:
            if self.elements[d].fitted:
                via.append((d, q))
            elif self.elements[d].left != "bridged":
                return False
        feed.via = via
        return True

    def backward_feeds(self):
        """M5."""
        found = []
        for e in self.elements.values():
            if not e.conductor or not e.fitted:
                continue
            for name in sorted(e.ports):
                port = e.ports[name]
                for f in port.feeds:
                    diodes = [self.elements[d] for d, _ in f.via if self.elements[d].one_way]
                    if f.tie or port.medium is None or name in OUTWARD_ONLY or not diodes or not all(d.fallible for d in diodes):
                        continue
                    up = self.elements[f.up]
                    same = [p for p in sorted(up.ports) if up.ports[p].medium == port.medium and p not in OUTWARD_ONLY]
                    if up.is_source or not up.conductor or not same:
                        continue
                    found.append((up.ports[same[0]], Feed(e.id, list(reversed(f.via)), backward=True)))
        for port, feed in found:
            port.feeds.append(feed)

    def fold(self, c):
        """M19: what is not fitted makes a condition constant; constants are folded away."""
        op, a, b = c
        if op == "constant":
            return c
        if op in ("supplied", "at", "passes", "tripped", "set", "contact", "failure"):
            return c if self.elements[a].fitted else FALSE
        if op in ("given", "level", "left"):
            return c
        parts = [self.fold(x) for x in a]
        if op == "not":
            k = constant(parts[0])
            return c[:1] + ([parts[0]], 0) if k is None else ("constant", not k, None)
        yes = sum(1 for x in parts if constant(x) is True)
        open_ = [x for x in parts if constant(x) is None]
        need = {"all": len(parts), "any": 1, "at_least": b}[op]
        if yes >= need:
            return TRUE
        if yes + len(open_) < need:
            return FALSE
        return ("at_least", open_, need - yes)

    def fold_conditions(self):
        for e in self.elements.values():
            e.needs = self.fold(e.needs)
            e.protect_needs = self.fold(e.protect_needs)
            e.goes = [(to, self.fold(c)) for to, c in e.goes]
            e.shows = [(text, self.fold(c)) for text, c in e.shows]

    def read_functions(self, functions):
        self.functions = {}
        self.one_shots = {}  # M23: (function, mode) -> (spend, bars)
        for id in sorted(functions):
            f = functions[id]
            demand = f.get("demand", {})
            self.functions[id] = {
                "demand": (tuple(sorted(demand.get("set", {}).items())), tuple(sorted(demand.get("given", {}).items()))),
                "modes": [(m.get("rank", 1), mode, self.with_stores(id, mode, m)) for mode, m in sorted(f["modes"].items())],
            }
        # M20: functions that read the level of others come after them; rings are rejected
        order, waiting = [], set(self.functions)
        while waiting:
            ready = sorted(f for f in waiting if not (self.levels_read(f) & waiting))
            if not ready:
                raise Rejected(waiting, "ring of functions")
            order += ready
            waiting -= set(ready)
        self.function_order = order
        # M19: modes that cannot hold do not exist
        for id in order:
            f = self.functions[id]
            f["reads"] = self.levels_read(id)
            modes = [(rank, mode, self.fold_levels(self.fold(c))) for rank, mode, c in f["modes"]]
            f["modes"] = sorted(m for m in modes if constant(m[2]) is not False)
            for _, mode, _ in f["modes"]:  # M23: only these can be used
                m = functions[id]["modes"][mode]
                if m.get("spend") or m.get("bars"):
                    self.one_shots[id, mode] = (m.get("spend", {}), m.get("bars", []))

    def with_stores(self, function, mode, m):
        """M23: what a mode needs beside its `when`."""
        parts = [read_condition(m["when"])] + [("supplied", store, None) for store in sorted(m.get("spend", {}))]
        return ("all", parts + [("left", function, mode)], 0)

    def levels_read(self, function):
        def walk(c):
            if c[0] == "level":
                return {c[1]}
            if isinstance(c[1], list):
                return set().union(*[walk(x) for x in c[1]]) if c[1] else set()
            return set()
        return set().union(set(), *[walk(c) for _, _, c in self.functions[function]["modes"]])

    def fold_levels(self, c):
        """A function with no mode left is at no level."""
        if c[0] == "level":
            return c if self.functions[c[1]]["modes"] else FALSE
        if isinstance(c[1], list):
            return self.fold((c[0], [self.fold_levels(x) for x in c[1]], c[2]))
        return c

    # ------------------------------------------------------------ M14: signed dependencies and strata

    def condition_deps(self, c, sign):
        op, a, b = c
        if op == "supplied":
            return [(("S", a), sign)]
        if op in ("at", "contact"):
            return [(("P", a, frozenset([b])), sign)]
        if op == "passes":
            return [(("P", a, self.elements[a].passes_in), sign)] if self.elements[a].positions else []
        if op == "not":
            return self.condition_deps(a[0], -sign)
        if op in ("all", "any", "at_least"):
            return [d for x in a for d in self.condition_deps(x, sign)]
        return []  # tripped, set, given, failure: inputs

    def never_fed(self, port):
        """M4: too few feeds are left, so nothing that happens supplies it."""
        return len(port.feeds) < (port.count if port.join == "at_least" else 1)

    def port_deps(self, port, sign):
        if self.never_fed(port):
            return []
        out = []
        for f in port.feeds:
            out.append((("S", f.up), sign))
            for d, q in f.via:
                if self.elements[d].positions:
                    out.append((("P", d, self.elements[d].passes_in if q is None else q), sign))
        return out

    def follow_word(self, e, word):
        """Where the follower e goes while its leader stands in `word`."""
        if e.map:
            return e.map.get(word, e.rest)
        return word if word in e.positions else e.rest

    def blank_follow_word(self, e):
        """M6, blank: where a follower of a blank or unfitted leader goes ("stays" only where it has memory)."""
        return e.without[0][1] if e.without else e.rest

    def preimage(self, e, q):
        return frozenset(w for w in self.elements[e.leader].positions if self.follow_word(e, w) in q)

    def last_outcomes(self, e):
        """Every word step 5 may send e to, after the list of `goes`."""
        if e.mover == "hand":
            return set(e.positions)
        if e.mover == "follows":
            leader = self.elements[e.leader]
            words = set()
            if not leader.fitted or (leader.fallible and (leader.contacts or not leader.without or leader.contacts_fail)):
                words.add(self.blank_follow_word(e))
            if leader.fitted:
                words |= {self.follow_word(e, w) for w in self.elements[e.leader].positions}
            return words
        return {e.rest}

    def rules(self, e):
        """Steps 4 and 5 of M6 as a list of (word, kind, what)."""
        out = [(word, "port", port) for port, word in e.without]
        if e.mover == "goes":
            out += [(to, "when", c) for to, c in e.goes if constant(c) is not False]
        return out

    def position_deps(self, e, q):
        """What "the position of e is in q" depends on. Rules 1 to 3 are inputs, and so is what has memory."""
        if e.memory:
            return []
        out, rules, last = [], self.rules(e), self.last_outcomes(e)
        for i, (word, kind, what) in enumerate(rules):
            if constant(what) is True if kind == "when" else self.never_fed(e.ports[what]):  # always fires, so it is the last
                rules, last = rules[:i], {word}
                break
        for i, (word, kind, what) in enumerate(rules):
            later = {w for w, _, _ in rules[i + 1:]} | last
            if all((w in q) == (word in q) for w in later):
                continue  # cannot change the value
            sign = +1 if word in q else -1
            if kind == "port":  # the rule fires when the port is NOT supplied
                out += self.port_deps(e.ports[what], -sign)
                if e.holds:
                    out.append((("S", e.id), -sign))
            else:
                out += self.condition_deps(what, sign)
        if e.mover == "follows" and self.elements[e.leader].fitted:
            pre = self.preimage(e, q)
            if pre and pre != frozenset(self.elements[e.leader].positions):
                out.append((("P", e.leader, pre), +1))
        return out

    def deps(self, node):
        e = self.elements[node[1]]
        if node[0] == "P":
            return self.position_deps(e, node[2])
        out = self.condition_deps(e.needs, +1)
        for name in sorted(e.ports):
            out += self.port_deps(e.ports[name], +1)
        return out

    def find_strata(self):
        """Strongly connected components in topological order (Tarjan, no recursion); negative cycles are rejected."""
        graph, index, low, on_stack, stack = {}, {}, {}, set(), []
        self.strata = []
        for start in [("S", id) for id in sorted(self.elements) if self.elements[id].fitted]:
            if start in index:
                continue
            work = [(start, 0)]
            while work:
                node, k = work.pop()
                if node not in index:
                    graph[node] = self.deps(node)
                    index[node] = low[node] = len(index)
                    stack.append(node)
                    on_stack.add(node)
                down = None
                for k in range(k, len(graph[node])):
                    other = graph[node][k][0]
                    if other not in index:
                        down = (other, k)
                        break
                    if other in on_stack:
                        low[node] = min(low[node], index[other])
                if down:
                    work.append((node, down[1]))
                    work.append((down[0], 0))
                    continue
                for other, _ in graph[node]:
                    if other in on_stack:
                        low[node] = min(low[node], low[other])
                if low[node] == index[node]:
                    component = []
                    while True:
                        x = stack.pop()
                        on_stack.discard(x)
                        component.append(x)
                        if x == node:
                            break
                    self.strata.append(component)
        for component in self.strata:
            members = set(component)
            for node in component:
                for other, sign in graph[node]:
                    if other in members and sign < 0:
                        raise Rejected({n[1] for n in members}, "negative cycle")
        self.graph = graph
        # a component of one node that does not read itself needs no iteration
        self.plain = [len(c) == 1 and all(o != c[0] for o, _ in graph[c[0]]) for c in self.strata]

    def find_rings(self):
        """M14: logic positions that depend on each other directly."""
        reads = {}
        for e in self.elements.values():
            reads[e.id] = set()
            if not e.positions or e.memory or not e.fitted:
                continue
            for i, (word, kind, what) in enumerate(self.rules(e)):
                later = {w for w, _, _ in self.rules(e)[i + 1:]} | self.last_outcomes(e)
                if kind == "when" and later != {word}:
                    reads[e.id] |= {n[1] for n, _ in self.condition_deps(what, 1) if n[0] == "P"}
            if e.mover == "follows" and self.elements[e.leader].fitted:
                reads[e.id].add(e.leader)
        # take away, again and again, what reads nothing that is left
        left = dict(reads)
        while True:
            gone = [x for x, r in left.items() if not (r & set(left))]
            if not gone:
                break
            for x in gone:
                del left[x]
        if left:
            raise Rejected(left, "ring of positions")

    # ------------------------------------------------------------ M1, M2, M6: the values

    def blank(self, st, e):
        """M6, blank."""
        return bool(e.positions) and (st.has(e.id, "contacts") or (st.has(e.id, "loss") and (e.contacts or not e.without)))

    def blown(self, st, e):
        """M6.2: tripped where no position blocks."""
        return e.id in st.tripped and e.trip_position is None

    def in_set(self, ev, e, q):
        """Is the position of e in q? A value of the strata; what no stratum reads is read as a word afterwards."""
        node = ("P", e.id, q)
        if node not in ev.value and ev.done:
            return self.word_of(ev, e) in q
        return ev.value.get(node, False)

    def device_passes(self, ev, device, q=None):
        """M6: does this device of a via let supply through?"""
        e = self.elements[device]
        if not e.positions:
            return not ev.st.has(device, "loss")
        if self.blank(ev.st, e) or self.blown(ev.st, e):
            return False
        return self.in_set(ev, e, e.passes_in if q is None else q)

    def shorted(self, st, device):
        return st.has(device, "short") and not st.has(device, "loss")

    def feed_passes(self, ev, f):
        """Every device passes; a backward feed (M5) only while all its diodes are shorted."""
        if f.backward and not all(self.shorted(ev.st, d) for d, _ in f.via if self.elements[d].one_way):
            return False
        return all(self.device_passes(ev, d, q) for d, q in f.via)

    def carries(self, ev, port, f):
        """M2."""
        return (ev.supplied(f.up) and self.feed_passes(ev, f)
                and all((d, port.medium) not in ev.zone for d, _ in f.via))

    def enough(self, ev, port):
        """M1, M4: enough feeds of this port carry supply."""
        count = sum(1 for f in port.feeds if self.carries(ev, port, f))
        if port.join == "at_least":
            return bool(port.feeds) and count >= port.count
        return count >= 1

    def is_supplied(self, ev, e):
        """M1."""
        return (not ev.st.has(e.id, "loss")
                and e.id not in ev.in_zone
                and e.id not in ev.st.empty
                and e.id not in ev.st.overloaded
                and self.holds(ev, e.needs)
                and all(self.enough(ev, p) for p in e.ports.values()))

    def holds(self, ev, c):
        """A condition (without levels) in this evaluation."""
        op, a, b = c
        if op == "constant":
            return a
        if op == "supplied":
            return ev.supplied(a)
        if op == "all":
            return all(self.holds(ev, x) for x in a)
        if op == "any":
            return any(self.holds(ev, x) for x in a)
        if op == "at_least":
            return sum(1 for x in a if self.holds(ev, x)) >= b
        if op == "not":
            return not self.holds(ev, a[0])
        if op == "at":
            return self.in_set(ev, self.elements[a], frozenset([b]))
        if op == "passes":
            return self.device_passes(ev, a)
        if op == "contact":
            return not self.blank(ev.st, self.elements[a]) and self.in_set(ev, self.elements[a], frozenset([b]))
        if op == "tripped":
            return a in ev.st.tripped
        if op == "set":
            return ev.st.hand.get(a) == b
        if op == "given":
            return ev.st.given_now[a]
        if op == "failure":
            return ev.st.has(a, b)
        if op == "left":  # M23
            return not ev.st.barred(a, b) and ((a, b) not in self.one_shots or not ev.st.short_of(a, b))
        raise ValueError(op)

    def decided_before_4(self, st, e):
        """M6, steps 1 to 3, and the held position of what has memory: a word, or None."""
        if st.has(e.id, "stuck"):
            return st.failures[e.id]["stuck"]
        if e.id in st.tripped and e.trip_position is not None:
            return e.trip_position
        if e.memory:
            return st.held[e.id]
        if st.has(e.id, "loss") and e.without:
            return e.without[0][1]
        return None

    def fed(self, ev, e, port):
        """M6.4. A holder taken as supplied (M13) stands as if it were."""
        return self.enough(ev, e.ports[port]) or (e.holds and ev.supplied(e.id))

    def position_in(self, ev, e, q):
        """M6 for one set of positions, as the strata need it."""
        word = self.decided_before_4(ev.st, e)
        if word is not None:
            return word in q
        for port, word in e.without:
            if not self.fed(ev, e, port):
                return word in q
        if e.mover == "hand":
            return ev.st.hand[e.id] in q
        if e.mover == "follows":
            leader = self.elements[e.leader]
            if not leader.fitted or self.blank(ev.st, leader):
                return self.blank_follow_word(e) in q
            pre = self.preimage(e, q)
            if not pre:
                return False
            if pre == frozenset(leader.positions):
                return True
            return self.in_set(ev, leader, pre)
        if e.mover == "goes":
            for to, c in e.goes:
                if self.holds(ev, c):
                    return to in q
        return e.rest in q

    def word_of(self, ev, e):
        """M6 once the strata are finished."""
        if e.id not in ev.word:
            word = self.decided_before_4(ev.st, e)
            ev.word[e.id] = self.word_after_3(ev, e) if word is None else word
        return ev.word[e.id]

    def word_after_3(self, ev, e):
        """M6, steps 4 and 5 (of something with logic)."""
        rules, last = self.rules(e), self.last_outcomes(e)
        for i, (word, kind, what) in enumerate(rules):
            if {w for w, _, _ in rules[i + 1:]} | last == {word}:
                return word
            if (not self.fed(ev, e, what)) if kind == "port" else self.holds(ev, what):
                return word
        return self.last_word(ev, e)

    def last_word(self, ev, e):
        if e.mover == "hand":
            return ev.st.hand[e.id]
        if e.mover == "follows":
            leader = self.elements[e.leader]
            if not leader.fitted or self.blank(ev.st, leader):
                return self.blank_follow_word(e)
            return self.follow_word(e, self.word_of(ev, leader))
        return e.rest

    # ------------------------------------------------------------ M1, M13: the strata

    def node_value(self, ev, node, unsupplied):
        e = self.elements[node[1]]
        if node[0] == "P":
            return self.position_in(ev, e, node[2])
        return e.id != unsupplied and self.is_supplied(ev, e)

    def evaluate(self, st, zone, positions=None, unsupplied=None):
        """One run through the strata.

        positions: an earlier evaluation whose positions are kept (M8).
        unsupplied: an element taken as unsupplied whatever happens (M9).
        """
        ev = Evaluation(st, zone)
        if positions is not None:
            # M8: every position as the evaluation before left it
            ev.value = {n: v for n, v in positions.value.items() if n[0] == "P"}
            ev.word = positions.word
        for component, plain in zip(self.strata, self.plain):
            nodes = component if positions is None else [n for n in component if n[0] == "S"]
            holders = {n for n in nodes if n[0] == "S" and n[1] in st.holding and n[1] != unsupplied}
            if plain and not holders:
                for n in nodes:
                    ev.value[n] = self.node_value(ev, n, unsupplied)
                continue
            while True:  # M13: until no holder is dropped
                for n in nodes:
                    ev.value[n] = n in holders
                changed = True
                while changed:  # the least fixed point of the rest, naively
                    changed = False
                    for n in nodes:
                        if not ev.value[n] and self.node_value(ev, n, unsupplied):
                            ev.value[n] = changed = True
                dropped = {n for n in holders if not self.node_value(ev, n, unsupplied)}
                if not dropped:
                    break
                holders -= dropped
        ev.done = True
        if positions is None:
            for e in self.elements.values():
                if e.positions and e.fitted:
                    self.word_of(ev, e)
        return ev

    # ------------------------------------------------------------ M7..M10: faults

    def fluid_of(self, e):
        """The fluid of a leak: as said, else the one fluid the element carries."""
        if e.leak_said:
            return e.leak_said
        found = set()
        for x in self.elements.values():
            for p in x.ports.values():
                if p.medium is None or p.medium in NOT_FLUID:
                    continue
                for f in p.feeds:
                    if x is e or f.up == e.id or any(d == e.id for d, _ in f.via):
                        found.add(p.medium)
                if x is e:
                    found.add(p.medium)
        return min(found) if found else "hydraulic"

    def seeds(self, st):
        """M7."""
        out = set()
        for id, modes in st.failures.items():
            e = self.elements[id]
            if not e.fitted:
                continue
            if "short" in modes and not e.one_way:
                out.add((id, "electrical"))
            if "leak" in modes:
                out.add((id, self.fluid_of(e)))
            if "jam" in modes:
                out.add((id, "mechanical"))
        return out

    def find_connections(self):
        """M8: (x, medium) -> [(y, devices counted from x, owner, port, feed, only_seed, back)].

        `owner`, `port`, `feed`: the feed whose rule decides whether it is connected (None: a tie).
        `only_seed`: carries only out of an x that has the fault itself. `back`: every diode must be shorted.
        """
        self.connections = {}

        def add(x, medium, *rest):
            self.connections.setdefault((x, medium), []).append(rest)

        for e in self.elements.values():
            if not e.fitted:
                continue
            for name in sorted(e.ports):
                port = e.ports[name]
                m = port.medium
                if m is None:
                    continue
                out_only = name in OUTWARD_ONLY
                for f in port.feeds:
                    if f.tie:
                        continue  # below, once for both ends
                    back_over = list(reversed(f.via))
                    add(e.id, m, f.up, back_over, e, port, f, out_only, False)             # up
                    if f.backward:
                        continue  # the feed it mirrors says the rest
                    if e.conductor and not out_only:
                        add(f.up, m, e.id, f.via, e, port, f, False, True)                 # back
                    for k, (d, _) in enumerate(f.via):                                     # device, whichever feed is in use
                        add(d, m, f.up, list(reversed(f.via[:k])), None, None, None, True, False)
                        if e.conductor and not out_only:
                            add(d, m, e.id, f.via[k + 1:], None, None, None, True, True)
        for a, b, via, m in self.ties.values():
            if m is None:
                continue
            add(a, m, b, via, None, None, None, False, False)                              # tie
            add(b, m, a, list(reversed(via)), None, None, None, False, False)
            for k, (d, _) in enumerate(via):
                add(d, m, b, via[k + 1:], None, None, None, True, False)
                add(d, m, a, list(reversed(via[:k])), None, None, None, True, False)

    def live_feed(self, st, zone, positions, e, port):
        """M9."""
        ev = self.evaluate(st, zone, positions=positions, unsupplied=e.id)
        for f in port.feeds:
            if self.feed_passes(ev, f) and ev.supplied(f.up):
                return f
        return None

    def works(self, ev, device):
        """M10."""
        e = self.elements[device]
        return (e.protects
                and device not in ev.st.tripped
                and not any(ev.st.has(device, m) for m in ("no_trip", "stuck", "loss", "contacts"))
                and self.holds(ev, e.protect_needs))

    def spread(self, st, before):
        """M8: the zone, the trips, and the stores reached by a leak (M11)."""
        seeds = self.seeds(st)
        z, trips = set(seeds), set()
        while seeds:
            alive = self.evaluate(st, z, positions=before)
            live = {}
            joined = set()
            for x, m in sorted(z):
                seed = (x, m) in seeds
                if not seed and self.elements[x].isolates:
                    continue
                for y, devices, owner, port, feed, only_seed, back in self.connections.get((x, m), []):
                    if only_seed and not seed:
                        continue
                    if not alive.supplied(y) or (self.elements[y].kind == "engine" and m == "pneumatic"):
                        continue
                    if not all(self.device_passes(alive, d, q) for d, q in devices):
                        continue
                    one_way = [d for d, _ in devices if self.elements[d].one_way]
                    if (back or (feed and feed.backward)) and not all(self.shorted(st, d) for d in one_way):
                        continue
                    if feed and not feed.backward and port.join == "priority":
                        ordinary = [f for f in port.feeds if not f.tie and not f.backward]
                        if len(ordinary) >= 2:  # a changeover: only the feed in use
                            key = (owner.id, port.name)
                            if key not in live:
                                live[key] = self.live_feed(st, z, before, owner, port)
                            if live[key] in ordinary and live[key] is not feed:
                                continue
                    guard = next((d for d, _ in devices if self.works(before, d)), None)
                    if guard:
                        trips.add(guard)
                    else:
                        joined.add((y, m))
            if joined <= z:
                break
            z |= joined
        stores = {x for x, m in z if self.elements[x].stores_fluid and m not in NOT_FLUID}
        return frozenset(z), trips, stores

    # ------------------------------------------------------------ M11, M12: the inner loop

    def inner(self, st, count=None):
        """Trips and empties in st; returns the evaluation everything agrees with."""
        used = [frozenset()]  # M12: H
        while True:
            if count:
                count.runs += 1
            zone = used[-1]
            ev = self.evaluate(st, zone)
            z, trips, stores = self.spread(st, ev)
            if trips - st.tripped:
                st.tripped |= trips
                used = [frozenset()]
                continue
            if stores - st.empty:
                st.empty |= stores
                used = [frozenset()]
                continue
            if z != zone and z in used:  # M12: it comes back
                z = frozenset().union(*used[used.index(z):])
                if count:
                    count.unions += 1
            if z == zone:
                return ev
            used.append(z)

    # ------------------------------------------------------------ M15: settling

    def target(self, ev, e):
        """M6 for what has memory: where it moves after the evaluation."""
        st = ev.st
        held = st.held[e.id]

        def said(word):
            return held if word == "stays" else word

        if st.has(e.id, "stuck"):
            return st.failures[e.id]["stuck"]
        if e.id in st.tripped and e.trip_position is not None:
            return e.trip_position
        if st.has(e.id, "loss") and e.without:
            return said(e.without[0][1])
        for port, word in e.without:
            if not self.enough(ev, e.ports[port]):
                return said(word)
        if not ev.supplied(e.id) or st.has(e.id, "loss"):
            return held
        for to, c in e.goes if e.mover == "goes" else []:
            if self.holds(ev, c):
                return to
        return said(self.last_word(ev, e))

    def cells(self, ev):
        """Every memory cell: (cell, the value it has, the value it would take)."""
        out = []
        for e in self.elements.values():
            if e.fitted and e.memory:
                out.append((("position", e.id), ev.st.held[e.id], self.target(ev, e)))
            if e.fitted and e.holds:
                out.append((("holding", e.id), e.id in ev.st.holding, ev.supplied(e.id)))
        return out

    def write(self, st, cell, value):
        kind, id = cell
        if kind == "position":
            st.held[id] = value
        elif value:
            st.holding.add(id)
        else:
            st.holding.discard(id)

    def settle_memory(self, st, count=None):
        """The outer loop. Returns the evaluations for every combination of frozen cells, the standing one first."""
        changes = {}
        taken = {}
        rounds = 0
        while True:
            if count:
                count.rounds += 1
            ev = self.inner(st, count)
            moving = []
            for cell, value, wanted in self.cells(ev):
                taken.setdefault(cell, {value}).add(wanted)
                if wanted == value or cell in st.frozen:
                    continue
                if changes.get(cell, 0) >= 2:
                    st.frozen[cell] = set()  # hunting: stays as it stands
                else:
                    moving.append((cell, wanted))
            for cell in st.frozen:
                st.frozen[cell] |= taken.get(cell, set())
            if not moving:
                break
            for cell, wanted in moving:
                changes[cell] = changes.get(cell, 0) + 1
                self.write(st, cell, wanted)
            rounds += 1
            # every pass but the last changes a cell, and no cell changes more than twice
            assert rounds <= 2 * len(self.cells(ev)) + 1, "passes without end"
        st.last = dict(ev.word)
        evaluations = [ev]
        if st.frozen:
            frozen = sorted(st.frozen)
            values = [sorted(st.frozen[c], key=str) for c in frozen]
            size = 1
            for v in values:
                size *= len(v)
            if count:
                count.combinations = size
            if size > COMBINATIONS:
                return None, ev
            for combination in product(*values):
                other = st.copy()
                for cell, value in zip(frozen, combination):
                    self.write(other, cell, value)
                evaluations.append(self.inner(other))
        return evaluations, ev

    # ------------------------------------------------------------ M17

    def fresh(self, holding):
        st = State(self)
        st.given_now = dict(self.givens)
        for e in self.elements.values():
            if not e.fitted:
                continue
            if e.mover == "hand":
                st.hand[e.id] = e.rest
            if e.memory:
                st.held[e.id] = e.rest
            if e.holds and holding:
                st.holding.add(e.id)
        return st

    def running_state(self):
        st = self.fresh(True)
        self.settle(st)
        return st

    def cold_state(self):
        st = self.fresh(False)
        self.settle(st)
        return st

    # ------------------------------------------------------------ M18..M21: the outcome

    def status_of(self, ev, e):
        """M21 in one evaluation."""
        st = ev.st
        if not e.fitted:
            return "not_fitted"
        if ev.supplied(e.id):
            return "supplied"
        if st.has(e.id, "loss") or any(x == e.id for x, _ in self.seeds(st)):
            return "failed"
        if e.id in st.empty:
            return "spent"
        if e.id in st.overloaded:
            return "overloaded"
        if e.id in ev.in_zone:
            return "dragged_down"
        if not all(self.enough(ev, p) for p in e.ports.values()):
            return "unsupplied"
        assert not self.holds(ev, e.needs), e.id
        return "off"

    def text_of(self, ev, e):
        if not ev.supplied(e.id):
            return ev.st.reading.get(e.id, "") if e.unpowered == "stays" else e.unpowered
        return next((text for text, c in e.shows if self.holds(ev, c)), "")

    def settle(self, st):
        out = Outcome()
        evaluations, standing = self.settle_memory(st, out)
        everything_unknown = evaluations is None
        evaluations = evaluations or []
        E = self.elements

        def same(values, unknown=None):
            values = list(values)
            return values[0] if values and all(v == values[0] for v in values) else unknown

        for e in E.values():
            if not e.fitted:
                out.status[e.id], out.supplied[e.id] = "not_fitted", False
                continue
            out.status[e.id] = same((self.status_of(ev, e) for ev in evaluations), "unknown")
            out.supplied[e.id] = same(ev.supplied(e.id) for ev in evaluations)
            if e.positions:
                out.position[e.id] = same(ev.word[e.id] for ev in evaluations)
            if e.passes_in:
                out.passes[e.id] = same(self.device_passes(ev, e.id) for ev in evaluations)
            if e.shows:
                out.shows[e.id] = same(self.text_of(ev, e) for ev in evaluations)
        out.zone = set(standing.zone)
        out.tripped = set(st.tripped)
        out.empty = set(st.empty)
        out.holding = set(st.holding)
        out.hunting = sorted(f"{kind}:{id}" for kind, id in st.frozen)
        st.reading = {i: t for i, t in out.shows.items()}
        self.judge(st, None if everything_unknown else evaluations, out)
        return out

    def holds3(self, ev, c, level):
        """A condition with levels: True, False or None (unknown)."""
        op, a, b = c
        if op == "level":
            judged = level[a]
            return None if judged == "unknown" else judged in LEVELS and LEVELS.index(judged) <= LEVELS.index(b)
        if op == "not":
            v = self.holds3(ev, a[0], level)
            return None if v is None else not v
        if op in ("all", "any", "at_least"):
            values = [self.holds3(ev, x, level) for x in a]
            need = {"all": len(a), "any": 1, "at_least": b}[op]
            if values.count(True) >= need:
                return True
            return None if values.count(True) + values.count(None) >= need else False
        return self.holds(ev, c)

    def best_mode(self, ev, f, level):
        """M18: every (level, mode) it may be in one evaluation; one, unless another function's level is unknown."""
        possible = set()
        for rank, mode, c in f["modes"]:  # by rank, then id
            v = self.holds3(ev, c, level)
            if v is not False:
                possible.add(("normal" if rank == 1 else "degraded", mode))
            if v is True:
                return possible
        return possible | {("lost", None)}

    def judge(self, st, evaluations, out):
        """M18, M19, M20."""
        judged = {((), ()): evaluations}  # functions with the same demand share the copy
        for id in self.function_order:
            f = self.functions[id]
            if not f["modes"]:
                out.level[id], out.mode[id], out.now[id] = "not_fitted", None, False
                continue
            if any(out.level[r] == "unknown" for r in f["reads"]):  # M20
                out.level[id], out.mode[id], out.now[id] = "unknown", None, None
                continue
            if f["demand"] not in judged:
                copy = st.copy()
                for element, position in f["demand"][0]:
                    copy.set(element, position)
                for given, value in f["demand"][1]:
                    copy.given(given, value)
                judged[f["demand"]] = self.settle_memory(copy)[0]
            found = judged[f["demand"]]
            answers = {("unknown", None)} if found is None else set().union(*[self.best_mode(ev, f, out.level) for ev in found])
            levels = {a[0] for a in answers}
            modes = {a[1] for a in answers}
            out.level[id] = levels.pop() if len(levels) == 1 else "unknown"
            out.mode[id] = modes.pop() if len(modes) == 1 and out.level[id] != "unknown" else None
            if evaluations is None:
                out.now[id] = None
                continue
            now = set()
            for ev in evaluations:
                values = [self.holds3(ev, c, out.level) for _, _, c in f["modes"]]
                now.add(True if True in values else None if None in values else False)
            out.now[id] = now.pop() if len(now) == 1 else None
