"""Random models and random events, the same for the same seed.

    model = random_model(7)                  # a JSON document, valid by construction
    steps = random_events(7, model, 10)      # [[("fail", "bus3", "short"), ("set", "switch1", "B")], ...]

A model grows in the order of supply, so that most of them have no negative cycle; loops (ties in rings,
coils on the bus they feed, self-exciting generators, timed transfers, back feeds) are then put in on purpose,
now and then one that must be rejected.

    python3 random_models.py 2000            # how often everything occurs, in the models and in their outcomes
    python3 random_models.py --write DIR 400 # that many models the library takes, as JSON files
"""

import json
import random

try:
    from reference import KINDS, KIND_FAILURES, Reference, Rejected
except ImportError:  # imported as a package
    from .reference import KINDS, KIND_FAILURES, Reference, Rejected

# how likely each feature is to be open to a model; `features` of random_model overrides
FEATURES = {
    "hydraulic": 0.55, "pneumatic": 0.4, "custom_media": 0.3, "ties": 0.75, "holders": 0.35, "memory": 0.65,
    "chase": 0.12, "bad": 0.04, "unfitted": 0.3, "functions": 0.9, "shows": 0.7, "needs": 0.6, "protects": 0.8,
    "goes": 0.8, "diodes": 0.55, "own_modes": 0.35, "own_coil": 0.3, "backfeed": 0.2, "mechanical": 0.35,
    "rich_conditions": 0.7,
}


# drawn from a second stream, so that a seed's model is what it was but for what these add to it
ADDED = {"contacts": 0.5, "one_shots": 0.5}


class Builder:
    def __init__(self, seed, size, features):
        self.r = random.Random(f"fedfrom {seed}")
        self.added = random.Random(f"added {seed}")
        r = self.r
        self.on = {k: (r.random() < p) for k, p in FEATURES.items()}
        self.on.update({k: (self.added.random() < p) for k, p in ADDED.items()})
        self.on.update(features or {})
        self.size = size or int(r.triangular(8, 42, 20))
        self.elements, self.ties, self.functions, self.media = {}, {}, {}, {}
        self.given = {g: r.random() < 0.6 for g in ("airborne", "engines_running", "ground_power_connected")}
        self.count = {}
        self.safe = []        # carry supply, hang on no bus: what logic may sense without a loop
        self.carriers = {}    # medium port name -> conductors, in order
        self.switches = []    # positions, reached by the crew
        self.by_medium = {}   # port name -> everything that may be an upstream
        self.loads = []

    # -------------------------------------------------------- small helpers

    def chance(self, p):
        return self.r.random() < p

    def new(self, stem, kind, **fields):
        self.count[stem] = self.count.get(stem, 0) + 1
        id = f"{stem}_{self.count[stem]}"
        self.elements[id] = {"kind": kind, **fields}
        return id

    def positions(self, id):
        e = self.elements[id]
        return e.get("positions", KINDS[e["kind"]][0])

    def modes(self, id):
        e = self.elements[id]
        return sorted(e["failures"]) if "failures" in e else list(KIND_FAILURES.get(e["kind"], ["loss"]))

    def kind_in(self, *kinds):
        return [i for i, e in self.elements.items() if e["kind"] in kinds]

    # -------------------------------------------------------- conditions

    def supplied_leaf(self, pool):
        pool = [i for i in pool if not self.positions(i)]
        return self.r.choice(pool) if pool else {"given": self.r.choice(sorted(self.given))}

    def input_leaf(self):
        """A leaf that reads no supply: no loop can come of it."""
        r = self.r
        for _ in range(6):
            kind = r.choice(["given", "set", "tripped", "failure", "contact", "at", "passes"])
            if kind == "given":
                break
            if kind in ("set", "contact", "at") and self.switches:
                s = r.choice(self.switches)
                return {kind: {s: r.choice(self.positions(s))}}
            if kind == "tripped":
                guards = self.kind_in("breaker", "fuse", "current_limiter")
                if guards:
                    return {"tripped": r.choice(guards)}
            if kind == "passes":
                guards = self.kind_in("breaker", "fuse", "current_limiter", "diode", "check_valve")
                if guards:
                    return {"passes": r.choice(guards)}
            if kind == "failure":
                own = [i for i, e in self.elements.items() if "standby_mode" in e.get("failures", {})]
                pool = own or [i for i in sorted(self.elements) if self.elements[i].get("fallible", True)]
                id = r.choice(pool)
                return {"failure": {id: "standby_mode" if own else r.choice(self.modes(id))}}
        return {"given": r.choice(sorted(self.given))}

    def position_leaf(self):
        """A leaf that reads a position someone else's logic decides."""
        r = self.r
        pool = [i for i in self.elements if self.positions(i) and self.elements[i]["kind"] in ("contactor", "relay", "valve", "breaker")]
        if not pool:
            return self.input_leaf()
        id = r.choice(pool)
        kind = r.choice(["at", "passes", "contact"])
        if kind == "passes" and (self.elements[id].get("passes_in") or KINDS[self.elements[id]["kind"]][1]):
            return {"passes": id}
        return {"contact" if kind == "contact" else "at": {id: r.choice(self.positions(id))}}

    def condition(self, pool, depth=2, free=False, negative=True):
        """pool: what "supplied" may read. free: may read any position as well."""
        r = self.r
        x = r.random()
        if depth == 0 or x < 0.4:
            if r.random() < 0.62:
                leaf = self.supplied_leaf(pool)
            elif free and r.random() < 0.6:
                leaf = self.position_leaf()
            else:
                leaf = self.input_leaf()
            return {"not": leaf} if negative and r.random() < 0.3 else leaf
        parts = [self.condition(pool, depth - 1, free, negative) for _ in range(r.randint(1, 3))]
        if x < 0.6:
            return {"all": parts}
        if x < 0.8:
            return {"any": parts}
        if x < 0.9:
            return {"at_least": r.randint(1, len(parts)), "of": parts}
        return {"not": {"any": parts}} if negative else {"all": parts}

    def sense(self, pool, free=False, negative=True):
        return self.condition(pool, 2 if self.on["rich_conditions"] else 1, free, negative)

    # -------------------------------------------------------- devices

    def guard(self):
        r = self.r
        kind = r.choice(["breaker", "breaker", "fuse", "current_limiter"])
        e = {}
        if r.random() < 0.15:
            e["protects"] = {"needs": self.supplied_leaf(self.safe)}
        return self.new(kind, kind, **e)

    def coil(self, own=None):
        """A control port: fed from a safe source, an earlier bus, or the bus it feeds."""
        r = self.r
        pool = self.by_medium.get("power", [])
        if own and self.on["own_coil"] and r.random() < 0.5:
            up = own
        else:
            up = r.choice(pool[-4:] if pool and r.random() < 0.5 else (pool or self.safe))
        via = []
        if r.random() < 0.2:
            via.append(self.guard())
        if self.switches and r.random() < 0.3:
            s = r.choice(self.switches)
            via.append({s: r.sample(self.positions(s), r.randint(1, max(1, len(self.positions(s)) - 1)))})
        return [{"from": up, "via": via} if via else up]

    def contactor(self, own=None, senses=None, timed=False):
        """senses: what its logic may read; own: the bus it feeds, for a coil on it."""
        r = self.r
        kind = r.choice(["contactor", "relay"])
        e = {}
        x = r.random()
        pool = self.safe if senses is None else senses
        free = senses is not None
        if x < 0.4:
            e["inputs"] = {"control": self.coil(own)}
            if r.random() < 0.25:  # normally closed: closes when its coil dies
                e["without"] = [["control", "closed"]]
                e["rest"] = "open"
        if x >= 0.3 and self.on["goes"]:
            if r.random() < 0.7:
                e["rest"] = "open"
                e["goes"] = [{"to": "closed", "when": self.sense(pool, free)}]
            else:
                e["goes"] = [{"to": "open", "when": self.sense(pool, free)}]
                e.pop("rest", None)
            if r.random() < 0.25:
                e["goes"].append({"to": r.choice(["closed", "open"]), "when": self.sense(pool, free)})
        if (timed or (self.on["memory"] and r.random() < 0.12)) and "goes" in e:
            e["after_s"] = r.choice([0.5, 3, 7])
        if self.on["protects"] and r.random() < 0.15:
            e["protects"] = {"needs": self.supplied_leaf(self.safe), "reset_by": "cockpit"} if r.random() < 0.7 else {"reset_by": "cockpit"}
            e["failures"] = {"loss": {"rate": 1e-6}, "stuck": {"rate": 1e-6}, "no_trip": {"rate": 1e-7}}
        elif r.random() < 0.3:
            e["failures"] = {"loss": {"rate": 1e-6}, "stuck": {"rate": 1e-6, "at": r.choice(["closed", "open"])}, "short": {"rate": 1e-8}}
        if r.random() < 0.12:
            e.setdefault("failures", {"loss": {}, "stuck": {}})["contacts"] = {"rate": 1e-7}
        return self.new("line" if kind == "contactor" else "relay", kind, **e)

    def changeover(self):
        """A relay with two contacts; its positions are read as subsets."""
        r = self.r
        words = ["normal", "standby"]
        e = {"positions": words, "rest": "normal"}
        x = r.random()
        if x < 0.5:
            e["inputs"] = {"control": self.coil()}
            e["without"] = [["control", r.choice(words)]]
            e["rest"] = "standby" if e["without"][0][1] == "normal" else "normal"
        elif self.on["goes"]:
            e["goes"] = [{"to": "standby", "when": self.sense(self.safe)}]
        if self.on["memory"] and r.random() < 0.15:
            e["after_s"] = 5
        return self.new("changeover", "relay", passes_in=["normal"], **e)

    def follower_fields(self, words):
        r = self.r
        leaders = [s for s in self.switches]
        if not leaders:
            return {}
        leader = r.choice(leaders)
        if self.positions(leader) == words and r.random() < 0.4:
            return {"follows": leader}
        spots = self.positions(leader)
        mapped = {w: r.choice(words) for w in spots if r.random() < 0.85} or {spots[0]: words[0]}
        return {"follows": {leader: mapped}}

    def valve(self):
        r = self.r
        words = ["open", "closed"]
        e = {}
        x = r.random()
        if x < 0.35:
            e.update(self.follower_fields(words))
        elif x < 0.65 and self.on["goes"]:
            e["goes"] = [{"to": r.choice(words), "when": self.sense(self.safe)}]
            e["rest"] = r.choice(words)
        elif x < 0.85:
            e["reach"] = r.choice(["cockpit", "cabin"])
            e["rest"] = r.choice(words)
        if r.random() < 0.65:
            pool = self.by_medium.get("power", []) or self.safe
            e["inputs"] = {"power": [r.choice(pool)]}
            word = "stays" if self.on["memory"] and r.random() < 0.5 else r.choice(words)
            e["without"] = [["power", word]]
            if r.random() < 0.15 and self.by_medium.get("pneumatic"):
                e["inputs"]["pneumatic"] = [r.choice(self.by_medium["pneumatic"])]
                e["without"].append(["pneumatic", r.choice(words)])
                r.shuffle(e["without"])
        if r.random() < 0.2:
            e["failures"] = {"loss": {"rate": 1e-6}, "stuck": {"rate": 1e-6, "at": r.choice(words)}}
        id = self.new("valve", "valve", **e)
        if e.get("reach"):
            self.switches.append(id)
        return id

    def via(self, port, own=None, tie=False, senses=None):
        """A list of devices for one feed of this port."""
        r = self.r
        out = []
        electrical = port in ("power", "control", "field")
        for _ in range(r.choice([0, 0, 1, 1, 1, 2]) if not tie else r.choice([1, 1, 2])):
            x = r.random()
            if electrical:
                if x < 0.25 and self.on["protects"]:
                    out.append(self.guard())
                elif x < 0.55:
                    out.append(self.contactor(own, senses))
                elif x < 0.65:
                    old = [i for i in self.elements if i.startswith("changeover")]
                    c = r.choice(old) if old and r.random() < 0.5 else self.changeover()
                    out.append({c: [r.choice(["normal", "standby"])]})
                elif x < 0.8 and self.switches:
                    s = r.choice(self.switches)
                    words = self.positions(s)
                    out.append({s: sorted(r.sample(words, r.randint(1, max(1, len(words) - 1))))})
                elif x < 0.9 and self.on["diodes"] and not tie:
                    out.append(self.new("diode", "diode"))
                elif self.on["protects"]:
                    out.append(self.guard())
            else:
                if x < 0.45 or tie:
                    out.append(self.valve())
                elif x < 0.7 and self.on["diodes"]:
                    out.append(self.new("check_valve", "check_valve"))
        names = [d if isinstance(d, str) else next(iter(d)) for d in out]
        return [d for i, d in enumerate(out) if names[i] not in names[:i]]

    def feed(self, up, via):
        return {"from": up, "via": via} if via or self.chance(0.1) else up

    def port(self, port, ups, own=None, devices=True, parallel=None):
        """The spec of one port over these upstreams."""
        r = self.r
        feeds = [self.feed(u, self.via(port, own) if devices else []) for u in ups]
        x = r.random()
        if len(ups) > 1 and (x < 0.35 or parallel):
            if self.on["diodes"] and r.random() < 0.7:
                kind = "diode" if port == "power" else "check_valve"
                feeds = [f if r.random() < 0.3 else {"from": u, "via": (f["via"] if isinstance(f, dict) else []) + [self.new(kind, kind)]}
                         for u, f in zip(ups, feeds)]
            return {"parallel": feeds}
        if len(ups) > 1 and x < 0.45:
            return {"at_least": r.randint(1, len(ups)), "of": feeds}
        return feeds

    def pick(self, pool, low=1, high=2):
        n = min(len(pool), self.r.randint(low, high))
        return self.r.sample(pool, n)

    # -------------------------------------------------------- the aircraft

    def controls(self):
        r = self.r
        for _ in range(r.randint(1, 3)):
            words = r.choice([["off", "on"], ["auto", "batt"], ["norm", "alt", "off"], ["open", "closed"], ["up", "down"]])
            kind = r.choice(["switch", "selector", "handle"])
            e = {"positions": words, "reach": r.choice(["cockpit", "cockpit", "cabin", "ground"])}
            if r.random() < 0.4:
                e["rest"] = r.choice(words)
            if r.random() < 0.15:
                e["failures"] = {"loss": {"rate": 1e-7}, "stuck": {"rate": 1e-7, "at": r.choice(words)}}
            self.switches.append(self.new(kind, kind, **e))

    def needs(self, e, pool=None, p=0.3, free=False):
        if self.on["needs"] and self.chance(p):
            e["needs"] = self.sense(pool if pool is not None else [], free) if self.chance(0.6) else {"given": self.r.choice(sorted(self.given))}
        return e

    def sources(self):
        r = self.r
        power = []
        for _ in range(r.randint(1, 3)):
            eng = self.new("engine", "engine", **({"needs": {"given": "engines_running"}} if r.random() < 0.4 else {}))
            self.safe.append(eng)
            if self.on["mechanical"] and r.random() < 0.6:
                shaft = self.new("shaft", "feeder", inputs={"drive": [eng]}, failures={"loss": {"rate": 1e-7}, "jam": {"rate": 1e-7}})
            else:
                shaft = eng
            kind = r.choice(["generator", "generator", "starter_generator", "alternator"])
            failures = {"failures": {"loss": {"rate": 1e-5}, "short": {"rate": 1e-6}, "jam": {"rate": 1e-7}}} if r.random() < 0.4 else {}
            gen = self.new("gen", kind, inputs={"drive": [shaft]}, **failures)
            self.safe.append(gen)
            power.append(gen)
        if r.random() < 0.6:
            power.append(self.new("battery", "battery", **({"failures": {"loss": {"rate": 1e-6}, "short": {"rate": 1e-8}}} if r.random() < 0.3 else {})))
            self.safe.append(power[-1])
        if r.random() < 0.25:
            power.append(self.new("external", "external_power", needs={"given": "ground_power_connected"}))
            self.safe.append(power[-1])
        if r.random() < 0.15:
            power.append(self.new("rat", "ram_air_turbine", needs={"given": "airborne"}))
        if r.random() < 0.4:  # a feeder ahead of a bus: something outside it to sense
            f = self.new("feeder", "feeder", inputs={"power": [r.choice(power)]})
            self.safe.append(f)
            power.append(f)
        self.by_medium["power"] = power
        self.carriers["power"] = [i for i in power if self.elements[i]["kind"] == "feeder"]

    def buses(self, n):
        r = self.r
        pool = self.by_medium["power"]
        for k in range(n):
            bus = self.new("bus", "bus")
            recent = pool[-5:] + pool[:2]
            ups = self.pick(sorted(set(recent), key=pool.index), 1, 3 if r.random() < 0.4 else 2)
            self.elements[bus]["inputs"] = {"power": self.port("power", ups, own=bus)}
            if r.random() < 0.12:
                self.elements[bus]["inputs"]["cooling"] = [r.choice(pool)]
            if r.random() < 0.1:
                self.needs(self.elements[bus], self.safe, 0.5)
            if r.random() < 0.3:  # a converter behind it
                kind = r.choice(["inverter", "transformer_rectifier", "charger"])
                conv = self.new(kind, kind, inputs={"power": [self.feed(bus, self.via("power"))]})
                pool.append(bus)
                self.carriers["power"].append(bus)
                bus = conv
                if r.random() < 0.6:
                    dc = self.new("bus", "bus", inputs={"power": self.port("power", [conv] + self.pick(pool, 0, 1), own=None)})
                    self.carriers["power"].append(dc)
                    pool.append(conv)
                    bus = dc
            elif True:
                self.carriers["power"].append(bus)
            pool.append(bus)

    def dual_fed(self):
        """A bus fed from two sides through diodes, each side a bus of its own: shorted, a diode drags the healthy side down."""
        r = self.r
        pool = self.by_medium["power"]
        sides = []
        for _ in range(2):
            up = r.choice(pool)
            sides.append(up if r.random() < 0.4 else self.new("side", r.choice(["bus", "feeder"]), inputs={"power": [self.feed(up, [self.guard()] if r.random() < 0.4 else [])]}))
        feeds = []
        for side in sides:
            via = [self.new("diode", "diode")]
            if r.random() < 0.3:
                via.insert(r.randint(0, 1), self.guard() if r.random() < 0.5 else self.contactor())
            feeds.append({"from": side, "via": via})
        if sides[0] != sides[1]:
            x = r.random()
            self.carriers["power"].append(self.new("essential", "bus", inputs={"power": {"parallel": feeds} if x < 0.6 else feeds}))
            pool.append(self.carriers["power"][-1])

    def tie_between(self, a, b, port, via):
        id = f"tie_{len(self.ties) + 1}"
        self.ties[id] = {"between": [a, b], **({"via": via} if via else {})}
        for end in (a, b):
            e = self.elements[end]
            inputs = e.get("inputs", {})
            if len(inputs) > 1 or (inputs and self.r.random() < 0.3):
                spec = inputs[port]
                feeds = spec if isinstance(spec, list) else spec.get("of", spec.get("parallel"))
                where = self.r.randint(0, len(feeds)) if self.r.random() < 0.4 else len(feeds)
                feeds.insert(where, {"tie": id})

    def tie_loops(self):
        r = self.r
        for port in ("power", "hydraulic", "pneumatic", "bleed"):
            ends = [i for i in self.carriers.get(port, []) if not self.elements[i].get("inputs") or port in self.elements[i]["inputs"]]
            if len(ends) < 2 or not self.on["ties"] or r.random() < 0.2:
                continue
            group = r.sample(ends, min(len(ends), r.randint(2, 5)))
            pairs = list(zip(group, group[1:]))
            if len(group) > 2 and r.random() < 0.5:
                pairs.append((group[-1], group[0]))
            if port == "power" and r.random() < 0.2:
                batteries = self.kind_in("battery", "external_power")
                if batteries:
                    pairs.append((r.choice(batteries), group[0]))
            if port == "power" and r.random() < 0.3:  # a bus that only the tie feeds
                lone = self.new("bus", "bus")
                pairs.append((group[0], lone))
                self.carriers["power"].append(lone)
                self.by_medium["power"].append(lone)
            for a, b in pairs:
                if port == "power":
                    x = r.random()
                    if x < 0.45:
                        timed = self.on["memory"] and r.random() < 0.35
                        pool = self.by_medium["power"] if timed else self.safe
                        via = [self.contactor(senses=pool if timed else None, timed=timed)]
                        if r.random() < 0.3 and self.on["protects"]:
                            via.append(self.new("limiter", "current_limiter"))
                    elif x < 0.65 and self.on["protects"]:
                        via = [self.guard()] + ([self.guard()] if r.random() < 0.3 else [])
                    elif x < 0.75:
                        via = []
                    else:
                        via = self.via("power", tie=True)
                else:
                    via = [self.valve()] if r.random() < 0.7 else []
                self.tie_between(a, b, port, via)

    def hydraulic(self):
        r = self.r
        self.by_medium["hydraulic"], self.carriers["hydraulic"] = [], []
        for _ in range(r.randint(1, 2)):
            res = self.new("reservoir", "reservoir", **({"failures": {"loss": {"rate": 1e-6}, "leak": {"rate": 1e-6}}} if r.random() < 0.5 else {}))
            suction = res
            if r.random() < 0.4:
                suction = self.new("pipe", "pipe", inputs={"hydraulic": [{"from": res, "via": [self.valve()]} if r.random() < 0.5 else res]})
            engines = self.kind_in("engine")
            drive = {"drive": [r.choice(engines)]} if r.random() < 0.5 else {"power": [self.feed(r.choice(self.by_medium["power"]), self.via("power"))]}
            failures = {"failures": {"loss": {"rate": 1e-5}, "leak": {"rate": 1e-6}, "jam": {"rate": 1e-6}}} if "drive" in drive and r.random() < 0.6 else {}
            pump = self.new("pump", "pump", inputs={"hydraulic": [suction], **drive}, **failures)
            ups = [pump]
            if r.random() < 0.4:
                ups.append(self.new("accumulator", "accumulator", store={"applications": r.randint(1, 6)}))
            man = self.new("manifold", "manifold")
            self.elements[man]["inputs"] = {"hydraulic": self.port("hydraulic", ups, parallel=r.random() < 0.6)}
            self.by_medium["hydraulic"].append(man)
            self.carriers["hydraulic"].append(man)
            if r.random() < 0.5:
                pipe = self.new("pipe", "pipe", inputs={"hydraulic": [self.feed(man, self.via("hydraulic"))]})
                self.by_medium["hydraulic"].append(pipe)
                self.carriers["hydraulic"].append(pipe)

    def pneumatic(self):
        r = self.r
        port = "pneumatic"
        if self.on["custom_media"] and r.random() < 0.7:
            port = "bleed"
            self.media["bleed"] = "pneumatic"
        self.by_medium[port], self.carriers[port] = [], []
        for _ in range(r.randint(1, 2)):
            bottle = r.random() < 0.3
            up = self.new("bottle", "bottle", failures={"loss": {"rate": 1e-6}, "leak": {"rate": 1e-6, "fluid": "pneumatic"}}) if bottle else r.choice(self.kind_in("engine"))
            duct = self.new("duct", "manifold", inputs={port: [self.feed(up, self.via(port))]},
                            **({} if r.random() < 0.7 else {"failures": {"loss": {"rate": 1e-6}, "leak": {"rate": 1e-6, "fluid": "pneumatic"}}}))
            self.by_medium[port].append(duct)
            self.carriers[port].append(duct)
            if r.random() < 0.4:
                pipe = self.new("duct", "pipe", inputs={port: self.port(port, self.pick(self.by_medium[port], 1, 2))})
                self.by_medium[port].append(pipe)
                self.carriers[port].append(pipe)

    def coolant(self):
        """A medium of the author's own, in ports of the author's own names."""
        self.media["glycol"] = "coolant"
        tank = self.new("tank", "reservoir", failures={"loss": {"rate": 1e-6}, "leak": {"rate": 1e-6, "fluid": "coolant"}})
        line = self.new("coolant_line", "pipe", inputs={"glycol": [tank]})
        self.by_medium["glycol"] = [line]
        if self.chance(0.4):
            self.by_medium["glycol"].append(self.new("coolant_line", "pipe", inputs={"glycol": [{"from": line, "via": self.via("glycol")}]}))

    def load(self):
        r = self.r
        kind = r.choice(["consumer", "controller", "sensor", "actuator", "motor", "heater", "light", "gauge", "annunciator", "panel"])
        e = {}
        ports = {"power": self.by_medium["power"]}
        if r.random() < 0.35:
            for name in ("hydraulic", "pneumatic", "bleed", "glycol"):
                if self.by_medium.get(name) and r.random() < 0.6:
                    ports[name] = self.by_medium[name]
        if r.random() < 0.25 and self.loads:
            ports[r.choice(["data", "cooling", "sensing", "air"])] = self.loads
        if len(ports) > 1 and r.random() < 0.4:
            del ports["power"]
        if r.random() < 0.06 and self.on["mechanical"]:
            ports["drive"] = self.kind_in("engine")
        e["inputs"] = {}
        for name, pool in sorted(ports.items()):
            pool = pool[-6:]
            e["inputs"][name] = self.port(name, self.pick(pool, 1, 3 if r.random() < 0.15 else 2 if r.random() < 0.4 else 1),
                                          devices=r.random() < 0.6)
        if r.random() < 0.06:
            e["inputs"] = {"control": [r.choice(self.by_medium["power"])], **e["inputs"]}
        pool = self.safe + self.loads + self.by_medium["power"]
        self.needs(e, pool, 0.25, free=True)
        if r.random() < 0.3:
            e["failures"] = {"loss": {"rate": 1e-5}}
            if "power" in e["inputs"]:
                e["failures"]["short"] = {"rate": 1e-7}
            if any(p in e["inputs"] for p in ("hydraulic", "pneumatic", "bleed", "glycol")):
                e["failures"]["leak"] = {"rate": 1e-7}
                fluids = {"hydraulic": "hydraulic", "pneumatic": "pneumatic", "bleed": "pneumatic", "glycol": "coolant"}
                mine = sorted({fluids[p] for p in e["inputs"] if p in fluids})
                if len(mine) > 1:
                    e["failures"]["leak"]["fluid"] = r.choice(mine)
            if "drive" in e["inputs"]:
                e["failures"]["jam"] = {"rate": 1e-7}
        elif r.random() < 0.08:
            e["fallible"] = False
        if self.on["own_modes"] and r.random() < 0.3:
            e.setdefault("failures", {"loss": {"rate": 1e-5}})["standby_mode"] = {"rate": 1e-5}
            e.pop("fallible", None)
        if kind in ("light", "gauge", "annunciator", "panel") and self.on["shows"]:
            e["shows"] = [{"text": t, "when": self.sense(pool, free=True)} for t in r.sample(["lit", "low", "normal", "flag"], r.randint(1, 3))]
            e["unpowered"] = r.choice(["out", "stays", "stays", "flag"])
        id = self.new(kind, kind, **e)
        self.loads.append(id)
        return id

    # -------------------------------------------------------- loops on purpose

    def holders(self):
        r = self.r
        x = r.random()
        buses = [b for b in self.carriers["power"] if self.elements[b]["kind"] == "bus"]
        gens = [g for g in self.kind_in("generator", "alternator", "starter_generator") if g.startswith("gen")]
        if x < 0.55 and buses and gens:  # a self-exciting generator, its field on a bus it feeds
            for gen in r.sample(gens, r.randint(1, len(gens))):
                fed = [b for b in buses if gen in self.upstreams(b)] or buses
                field = r.choice(fed)
                self.elements[gen]["inputs"]["field"] = [{"from": field, "via": [self.guard()]} if r.random() < 0.3 else field]
                if r.random() < 0.85:
                    self.elements[gen]["holds_in"] = True
        if x > 0.4 and buses:  # a self-holding relay, used as a feed of its own coil
            bus = r.choice(buses)
            latch = self.new("latch", "relay", holds_in=True)
            start = self.new("start", "switch", positions=["off", "start"], reach="cockpit")
            self.switches.append(start)
            self.elements[latch]["inputs"] = {"control": [{"from": bus, "via": [{start: ["start"]}]}, {"from": bus, "via": [latch]}]}
            self.loads.append(self.new("consumer", "consumer", inputs={"power": [{"from": bus, "via": [latch]}]}))
        if x > 0.8:  # an engine that runs its own controller
            ctl = self.new("controller", "controller")
            eng = self.new("motor", "motor", inputs={"data": [ctl]}, holds_in=r.random() < 0.7)
            self.elements[ctl]["inputs"] = {"power": {"parallel": [eng] + self.pick(self.by_medium["power"], 0, 1)}}
            self.elements[ctl]["holds_in"] = r.random() < 0.5
            self.loads += [ctl, eng]

    def upstreams(self, id):
        out = []
        for spec in self.elements[id].get("inputs", {}).values():
            feeds = spec if isinstance(spec, list) else spec.get("of", spec.get("parallel"))
            out += [f if isinstance(f, str) else f.get("from") for f in feeds]
        return out

    def chase(self):
        """Timed transfers that chase each other: each goes where the other is not."""
        r = self.r
        src = r.choice(self.by_medium["power"][:3])
        x = r.random()
        if x < 0.5:  # a bus that is cut off as soon as it is alive
            k = self.new("chaser", "relay", rest="closed", goes=[], after_s=2)
            held = r.random() < 0.3  # a bus may not hold itself, a panel may
            bus = self.new("bus", "panel" if held else "bus", inputs={"power": [{"from": src, "via": [k]}]}, **({"holds_in": True} if held else {}))
            cut = {"all": [bus, self.input_leaf()]} if r.random() < 0.4 else bus
            self.elements[k]["goes"] = [{"to": "open", "when": cut}]
            self.by_medium["power"].append(bus)
            self.carriers["power"].append(bus)
        else:
            a = self.new("chaser", "relay", rest="open", after_s=1)
            b = self.new("chaser", "relay", rest="open", after_s=1)
            ba = self.new("bus", "bus", inputs={"power": [{"from": src, "via": [a]}]})
            bb = self.new("bus", "bus", inputs={"power": [{"from": src, "via": [b]}]})
            self.elements[a]["goes"] = [{"to": "closed", "when": {"not": bb}}]
            self.elements[b]["goes"] = [{"to": "closed", "when": ba if r.random() < 0.5 else {"not": ba}}]
            for k in (a, b):
                if r.random() < 0.3:
                    self.elements[k]["goes"].insert(0, {"to": r.choice(["open", "closed"]), "when": self.input_leaf()})
            self.by_medium["power"] += [ba, bb]
            self.carriers["power"] += [ba, bb]

    def backfeed(self):
        """A feed from further down to further up: loops nobody planned."""
        r = self.r
        pool = self.carriers["power"]
        if len(pool) < 2:
            return
        i, j = sorted(r.sample(range(len(pool)), 2))
        spec = self.elements[pool[i]].get("inputs", {}).get("power")
        if spec is not None:
            feeds = spec if isinstance(spec, list) else spec.get("of", spec.get("parallel"))
            feeds.append({"from": pool[j], "via": self.via("power")})

    def bad(self):
        """What must be rejected: a bus that is cut off by itself, or positions in a ring."""
        r = self.r
        if r.random() < 0.6:
            k = self.new("bad", "relay", rest="closed")
            bus = self.new("bus", "bus", inputs={"power": [{"from": self.safe[0], "via": [k]}]})
            self.elements[k]["goes"] = [{"to": "open", "when": bus}]
        else:
            a = self.new("bad", "relay", rest="open")
            b = self.new("bad", "relay", rest="open", goes=[{"to": "closed", "when": {"at": {a: "open"}}}])
            self.elements[a]["goes"] = [{"to": "closed", "when": {"at": {b: "closed"}}}]

    def unfit(self):
        r = self.r
        for id in r.sample(sorted(self.elements), min(len(self.elements), r.randint(1, 3))):
            e = self.elements[id]
            if e["kind"] in ("engine",) or self.positions(id) and id in self.switches and r.random() < 0.6:
                continue
            e["fitted"] = False
            if self.is_device(id):
                e["left"] = r.choice(["bridged", "cut"])

    def is_device(self, id):
        def in_via(via):
            return any(id == d or (isinstance(d, dict) and id in d) for d in via)
        for t in self.ties.values():
            if in_via(t.get("via", [])):
                return True
        for e in self.elements.values():
            for spec in e.get("inputs", {}).values():
                for f in spec if isinstance(spec, list) else spec.get("of", spec.get("parallel")):
                    if isinstance(f, dict) and in_via(f.get("via", [])):
                        return True
        return False

    def make_functions(self):
        r = self.r
        pool = self.loads + self.by_medium["power"] + self.by_medium.get("hydraulic", [])
        demands = [{}]
        reachable = [s for s in self.switches if self.elements[s].get("fitted", True)]
        breakers = [b for b in self.kind_in("breaker") if self.elements[b].get("fitted", True)]
        for _ in range(2):
            d = {}
            hands = reachable + breakers[:1]
            if hands and r.random() < 0.8:
                s = r.choice(hands)
                d["set"] = {s: r.choice(self.positions(s))}
            if not d or r.random() < 0.3:
                d["given"] = {r.choice(sorted(self.given)): r.random() < 0.5}
            demands.append(d)
        for k in range(r.randint(1, 4)):
            id = f"function_{k + 1}"
            f = {"modes": {}}
            demand = r.choice(demands)
            if demand:
                f["demand"] = demand
            for m, name in enumerate(r.sample(["main", "backup", "hand", "last"], r.randint(1, 3))):
                when = self.condition(pool, 1, free=True) if r.random() < 0.6 else r.choice(pool)
                if self.functions and r.random() < 0.15:
                    when = {"all": [when, {"level": {r.choice(sorted(self.functions)): r.choice(["normal", "degraded"])}}]}
                f["modes"][name] = {"rank": m + 1 if r.random() < 0.9 else m + 2, "when": when}
            self.functions[id] = f

    def open_contacts(self):
        """Contacts that can fail open, here and there."""
        r = self.added
        for id in sorted(self.elements):
            e = self.elements[id]
            if self.positions(id) and e.get("fallible", True) and r.random() < 0.3:
                e.setdefault("failures", {m: {} for m in self.modes(id)})["contacts"] = {}

    def make_one_shots(self):
        """Stores with few applications, modes that spend them and modes that bar others."""
        r = self.added
        stores = {}
        for id in self.kind_in("battery", "reservoir", "accumulator", "bottle", "external_power", "generator", "engine", "consumer"):
            if r.random() < (0.25 if self.elements[id]["kind"] in ("generator", "engine", "consumer") else 0.8):
                self.elements[id]["store"] = {"litres": 2} if r.random() < 0.3 else {"applications": r.randint(1, 3)}
                stores[id] = self.elements[id]["store"].get("applications", 1)
        for f in self.functions.values():
            modes = sorted(f["modes"])
            for mode in modes:
                if stores and r.random() < 0.5:
                    f["modes"][mode]["spend"] = {s: r.randint(1, stores[s]) for s in r.sample(sorted(stores), min(len(stores), r.choice([1, 1, 2])))}
                if r.random() < 0.3:
                    f["modes"][mode]["bars"] = sorted(r.sample(modes, r.randint(1, len(modes))))

    def sub_devices(self):
        """Followers and leaders that are not switches, relays that sense other devices."""
        r = self.r
        if r.random() < 0.4 and self.switches:
            fields = self.follower_fields(["closed", "open"])
            leader = self.new("follower", "relay", **fields)
            if r.random() < 0.5:
                leader = self.new("follower", "contactor", follows=leader)
            if r.random() < 0.5:
                self.elements[leader]["inputs"] = {"control": self.coil()}
            self.followers = [leader]
            self.loads.append(self.new("consumer", "consumer", inputs={"power": [{"from": r.choice(self.by_medium["power"]), "via": [leader]}]}))
        if r.random() < 0.3 and self.on["goes"]:
            relay = self.new("relay", "relay", rest="open", goes=[{"to": "closed", "when": self.condition(self.safe + self.loads, 2, free=True)}])
            self.loads.append(self.new("consumer", "consumer", inputs={"power": [{"from": r.choice(self.by_medium["power"]), "via": [relay]}]}))

    def build(self):
        r = self.r
        self.controls()
        self.sources()
        self.buses(max(1, min(5, self.size // 7)) if r.random() < 0.8 else 2)
        if self.on["hydraulic"] and self.size > 12:
            self.hydraulic()
        if self.on["pneumatic"] and self.size > 12:
            self.pneumatic()
        if self.on["custom_media"] and r.random() < 0.6:
            self.coolant()
        if self.on["diodes"] and r.random() < 0.45:
            self.dual_fed()
        self.tie_loops()
        if self.on["holders"]:
            self.holders()
        if self.on["chase"]:
            self.chase()
        if self.on["backfeed"]:
            self.backfeed()
        self.sub_devices()
        self.load()
        self.load()
        while len(self.elements) < self.size:
            self.load()
        if self.on["bad"]:
            self.bad()
        if self.on["unfitted"]:
            self.unfit()
        if self.on["functions"]:
            self.make_functions()
        if self.on["contacts"]:
            self.open_contacts()
        if self.on["one_shots"]:
            self.make_one_shots()
        model = {"format": "fedfrom/1", "name": "random", "given": self.given, "elements": self.elements}
        if self.ties:
            model["ties"] = self.ties
        if self.functions:
            model["functions"] = self.functions
        if self.media:
            model["media"] = self.media
        return model


def random_model(seed, size=None, *, features=None):
    """A model as a JSON document. Some of them have a cycle that must be rejected.

    features: {name of FEATURES: bool} to force features on or off.
    """
    return Builder(seed, size, features).build()


def failure_modes(element):
    if "failures" in element:
        return sorted(element["failures"])
    return list(KIND_FAILURES.get(element["kind"], ["loss"]))


def hands(model):
    """{id: positions} of what the crew can put somewhere."""
    out = {}
    for id, e in sorted(model["elements"].items()):
        positions, _, flags = KINDS[e["kind"]]
        if e.get("fitted", True) and (e.get("reach", "nobody") != "nobody" or "hand" in flags) and "follows" not in e and "goes" not in e:
            out[id] = e.get("positions", positions)
    return out


def random_events(seed, model, n):
    """n steps; no step has two events on one element. No device is reset twice."""
    r = random.Random(f"events {seed}")
    elements = {i: e for i, e in sorted(model["elements"].items()) if e.get("fitted", True)}
    fallible = [i for i in elements if elements[i].get("fallible", True)]
    weight = {"short": 5, "leak": 7, "jam": 4, "stuck": 3, "no_trip": 2, "contacts": 2}
    modes = [(i, m) for i in fallible for m in failure_modes(elements[i])]
    weights = [weight.get(m, 1) for _, m in modes]
    crew = hands(model)
    guards = [i for i, e in elements.items() if e["kind"] == "breaker" or (isinstance(e.get("protects"), dict) and e["protects"].get("reset_by") == "cockpit")]
    failed, steps = {}, []
    for _ in range(n):
        step, touched = [], set()
        for _ in range(r.choice([1, 1, 1, 2, 2, 3, 4])):
            x = r.random()
            if x < 0.5 and modes:
                id, mode = r.choices(modes, weights)[0]
                if id in touched:
                    continue
                if mode == "stuck" and r.random() < 0.35:
                    words = elements[id].get("positions", KINDS[elements[id]["kind"]][0])
                    step.append(("fail", id, mode, r.choice(words)))
                else:
                    step.append(("fail", id, mode))
                failed[id] = True
            elif x < 0.66 and failed:
                id = r.choice(sorted(failed))
                if id in touched:
                    continue
                step.append(("repair", id))
                del failed[id]
            elif x < 0.76 and guards:
                id = r.choice(guards)
                if id in touched:
                    continue
                guards.remove(id)
                step.append(("reset", id))
            elif x < 0.92 and crew:
                id = r.choice(sorted(crew))
                if id in touched:
                    continue
                step.append(("set", id, r.choice(crew[id])))
            else:
                id = r.choice(sorted(model["given"])) if model.get("given") else None
                if id is None or id in touched:
                    continue
                step.append(("given", id, r.random() < 0.5))
            touched.add(id)
        steps.append(step)
    return with_uses(seed, model, steps)


def with_uses(seed, model, steps):
    """The same steps with one-shot modes used now and then, and now and then all cleared. From a stream of its own."""
    r = random.Random(f"uses {seed}")
    modes = [(f, mode) for f, x in sorted(model.get("functions", {}).items()) for mode, m in sorted(x["modes"].items()) if m.get("spend") or m.get("bars")]
    out = []
    for step in steps:
        step = list(step)
        for _ in range(r.choice([0, 1, 1, 2])):
            if not modes:
                break
            f, mode = r.choice(modes)
            spends = {s: set(model["functions"][e[1]]["modes"][e[2]].get("spend", {})) | {e[1]} for s, e in enumerate(step) if e[0] == "use"}
            mine = set(model["functions"][f]["modes"][mode].get("spend", {})) | {f}
            # uses and refills of one store are the events whose order counts (M23)
            if any(mine & theirs for theirs in spends.values()) or any(e[0] == "repair" and e[1] in mine for e in step):
                continue
            step.append(("use", f, mode))
        if r.random() < 0.04:
            step = [("clear_all",)]
        out.append(step)
    return out


# ---------------------------------------------------------------- loads

CONDUCTORS = ("bus", "feeder", "pipe", "manifold")
MACHINES = ("engine", "battery", "external_power", "ram_air_turbine", "reservoir", "accumulator", "bottle", "manual", "generator", "starter_generator", "alternator")
CONVERTERS = ("inverter", "transformer_rectifier", "charger")


def with_loads(seed, model, units=("amps", "watts", "volt_amperes"), said=1.0, volts=True):
    """The model with loads in the condition "c", volts, ratings and efficiencies. Everything is given with probability `said`;
    at one voltage everywhere, so that amperes and watts can be converted, where `volts`."""
    r = random.Random(f"loads {seed}")
    model = json.loads(json.dumps(model))
    for id, e in sorted(model["elements"].items()):
        kind = e["kind"]
        rating, load = {}, {}
        source = kind in MACHINES or not set(e.get("inputs", {})) & {"power", "control", "field"} and kind not in CONDUCTORS
        if source or kind in CONVERTERS:
            if volts:
                rating["volts"] = 28
            rating["volt_amperes" if volts and r.random() < 0.5 else "amps"] = r.choice([50, 100, 300])
            if kind in CONVERTERS:
                rating["efficiency"] = r.choice([0.5, 0.8, 1])
                rating["power_factor"] = r.choice([1, 0.9])
        unit, amount = r.choice(units), r.choice([0, 1, 2.5, 40])
        load[unit] = amount
        factor, duty, inrush = r.random(), r.random(), r.random()
        if factor < 0.3 and volts:
            load["power_factor"] = 0.8
        if duty < 0.3:
            load["duty_s"] = r.choice([2, 60, 400])
        if inrush < 0.2:
            load["inrush_amps"] = r.choice([1, 20])
        gone = [r.random() >= said for _ in range(len(rating) + 1)]
        rating = {key: value for (key, value), g in zip(rating.items(), gone) if not g}
        if rating:
            e["rating"] = rating
        if not source and kind not in CONDUCTORS and kind not in ("diode", "check_valve") and (kind in ("inverter", "transformer_rectifier") or not gone[-1]):
            e["loads"] = {"c": load}
    return model


# ---------------------------------------------------------------- how often everything occurs


def model_features(model):
    """The names of what a model uses, read from the document."""
    found = set()
    E = model["elements"]

    def conditions(c, where):
        if isinstance(c, str):
            found.add("condition:supplied")
            return
        key = (set(c) - {"of"}).pop()
        found.add("condition:" + key)
        for x in (c.get("of") if key == "at_least" else c[key] if key in ("all", "any") else [c["not"]] if key == "not" else []):
            conditions(x, where)

    for id, e in E.items():
        found.add("kind:" + e["kind"])
        for key in ("needs", "goes", "follows", "without", "protects", "shows", "holds_in", "after_s", "store", "reach"):
            if e.get(key):
                found.add("key:" + key)
        if e.get("fitted") is False:
            found.add("unfitted:" + e.get("left", "plain"))
        if e.get("fallible") is False:
            found.add("fallible_false")
        if e.get("unpowered") == "stays":
            found.add("unpowered_stays")
        for m, f in e.get("failures", {}).items():
            found.add("mode:" + m + (":at" if f.get("at") else "") + (":fluid" if f.get("fluid") else ""))
        if any(w[1] == "stays" for w in e.get("without", [])):
            found.add("motor_valve")
        if e["kind"] == "relay" and any(w[1] == "closed" for w in e.get("without", [])):
            found.add("normally_closed")
        if len(e.get("without", [])) > 1:
            found.add("two_withouts")
        if len(e.get("inputs", {})) > 1:
            found.add("multi_port")
        for c in [e.get("needs")] + [g["when"] for g in e.get("goes", [])] + [s["when"] for s in e.get("shows", [])]:
            if c:
                conditions(c, id)
        for name, spec in e.get("inputs", {}).items():
            found.add("port:" + name)
            join = "priority" if isinstance(spec, list) else "at_least" if "at_least" in spec else "parallel"
            feeds = spec if isinstance(spec, list) else spec.get("of", spec.get("parallel"))
            if len(feeds) > 1:
                found.add("join:" + join)
            for f in feeds:
                if isinstance(f, dict):
                    if "tie" in f:
                        found.add("tie_placed")
                    for d in f.get("via", []):
                        found.add("via_subset" if isinstance(d, dict) else "via_plain")
                        if isinstance(d, str):
                            found.add("via:" + E[d]["kind"])
    for t in model.get("ties", {}).values():
        found.add("tie")
        for d in t.get("via", []):
            if isinstance(d, str):
                found.add("tie_via:" + E[d]["kind"])
    if len(model.get("ties", {})) > 2:
        found.add("ties_3_or_more")
    for f in model.get("functions", {}).values():
        found.add("function")
        if f.get("demand"):
            found.add("demand")
        for m in f["modes"].values():
            conditions(m["when"], "function")
            found.update("key:" + key for key in ("spend", "bars") if m.get(key))
    for m in model.get("media", {}):
        found.add("media:" + m)
    return found


def statistics(models, steps=5, first=0):
    """(counts of features in accepted models, counts of outcomes, accepted)."""
    features, outcomes, accepted = {}, {}, 0

    def add(table, key, by=1):
        table[key] = table.get(key, 0) + by

    for seed in range(first, first + models):
        model = random_model(seed)
        try:
            ref = Reference(model)
        except Rejected as why:
            add(outcomes, "rejected: " + why.why)
            continue
        accepted += 1
        for f in model_features(model):
            add(features, f)
        if any(len(c) > 1 for c in ref.strata):
            add(features, "loop of dependencies")
        st = ref.fresh(True)
        seen = set()
        cold = ref.cold_state()
        for i, step in enumerate([[]] + random_events(seed, model, steps)):
            out = ref.settle(st.apply(step))
            if i == 0 and cold.holding != st.holding:
                seen.add("model: bistable")
            add(outcomes, "settles")
            for s in out.status.values():
                add(outcomes, "status: " + s)
                seen.add("model: status " + s)
            for v in out.level.values():
                add(outcomes, "level: " + v)
            for name in ("hunting", "tripped", "empty", "holding", "zone"):
                if getattr(out, name):
                    seen.add("model: " + name)
            if any(c.startswith("holding") for c in out.hunting):
                seen.add("model: hunting of a holder")
            if any(t == "unknown" for t in out.status.values()):
                seen.add("model: unknown")
            if out.unions:
                seen.add("model: union of zones (M12)")
            if out.rounds > 2:
                seen.add("model: three passes or more")
            if out.runs > out.rounds + 2:
                seen.add("model: several inner rounds")
            for e in ref.elements.values():
                if e.unpowered == "stays" and e.shows and e.fitted and out.supplied[e.id] is False and out.shows[e.id]:
                    seen.add("model: frozen pointer with a reading")
                if e.memory and not e.goes and out.position.get(e.id) not in (None, e.rest):
                    seen.add("model: motor valve away from rest")
            media = {m for _, m in out.zone}
            for m in media:
                seen.add("model: zone " + m)
            if len(out.zone) > len({x for x in ref.seeds(st)}):
                seen.add("model: zone beyond its seeds")
        for s in seen:
            add(outcomes, s)
    return features, outcomes, accepted


def write_models(directory, n):
    """The first `n` models that are not rejected. One in four has something that chases itself."""
    from pathlib import Path
    folder = Path(directory)
    folder.mkdir(parents=True, exist_ok=True)
    seed = written = 0
    while written < n:
        model = random_model(seed, features={"chase": True, "memory": True} if seed % 4 == 0 else None)
        try:
            Reference(model)
        except Rejected:
            pass
        else:
            (folder / f"{seed:05d}.json").write_text(json.dumps(model))
            written += 1
        seed += 1


if __name__ == "__main__":
    import sys
    import time
    if sys.argv[1:2] == ["--write"]:
        write_models(sys.argv[2], int(sys.argv[3]))
        sys.exit()
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    start = time.time()
    features, outcomes, accepted = statistics(n)
    print(f"{n} models, {accepted} accepted ({100 * accepted / n:.0f} %), {time.time() - start:.0f} s")
    for table in (outcomes, features):
        for key in sorted(table):
            print(f"  {table[key]:8d}  {key}")
        print()
