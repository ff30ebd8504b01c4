"""What somebody who looks sees: an unlit lamp looks the same, whether it has nothing to say or no supply."""

import random

from reference import KINDS


def parts_of(condition):
    """(ids it names itself, conditions in it)."""
    if isinstance(condition, str):
        return [condition], []
    key = next(k for k in condition if k != "of")
    value = condition[key]
    if key in ("all", "any"):
        return [], value
    if key == "at_least":
        return [], condition["of"]
    if key == "not":
        return [], [value]
    return ([value] if isinstance(value, str) else list(value)), []


def reads_only(condition, ids):
    own, inside = parts_of(condition)
    return all(id in ids for id in own) and all(reads_only(c, ids) for c in inside)


def is_lamp(element):
    if element["kind"] not in ("light", "annunciator") or element.get("unpowered") == "stays":
        return False
    whens = [s["when"] for s in element.get("shows", [])]
    own = set()
    for port in element.get("inputs", {}).values():
        for feed in port if isinstance(port, list) else port.get("of") or port.get("parallel"):
            if isinstance(feed, dict):
                own |= {d if isinstance(d, str) else next(iter(d)) for d in feed.get("via", [])}
    always = any(w == {"all": []} or {"not": w} in whens for w in whens)
    return not always and any(not reads_only(w, own) for w in whens)


def seen_as(element, text):
    return element.get("unpowered", "") if text == "" and is_lamp(element) else text


def seen(model, outcome):
    """What is seen of everything that shows."""
    return {id: seen_as(model["elements"][id], text) for id, text in outcome.to_dict()["shows"].items()}


def with_lamps(seed, model):
    """The same model with lamps and gauges that sense supplies here and there, and hang on one themselves."""
    r = random.Random(f"lamps {seed}")
    elements = model["elements"]
    fed = [id for id, e in sorted(elements.items()) if e.get("inputs") and not e.get("positions") and not KINDS[e["kind"]][0] and e.get("fitted", True)]
    for n in range(4 if fed else 0):
        a, b = r.choice(fed), r.choice(fed)
        kind = r.choice(["annunciator", "light", "gauge"])
        shows = r.choice([[{"text": "lit", "when": {"not": a}}], [{"text": "one", "when": {"all": [a, {"not": b}]}}, {"text": "both", "when": {"all": [a, b]}}], [{"text": "up", "when": a}, {"text": "down", "when": {"not": a}}]])
        elements[f"zlamp_{n}"] = {"kind": kind, "inputs": {"power": [r.choice(fed)]}, "shows": shows, "unpowered": r.choice(["out", "dark", "stays"])}
    return model
