"""What a session tells, as sentences one can read aloud: names instead of ids, and what changes alike in one sentence."""

import re

ORDER = ("tripped", "position", "status", "shown", "function")  # causes first


class Names:
    """What elements, functions and modes are called in a variant."""

    def __init__(self, net):
        written = net.model.to_dict()
        self.functions = written["functions"]
        self.name = {id: thing["name"] for id, thing in (written["elements"] | self.functions).items()}
        self.any_id = re.compile(r"\b(?:" + "|".join(self.name) + r")\b")

    def mode(self, function, id):
        return self.functions[function]["modes"][id].get("name", id.replace("_", " "))

    def clause(self, reason):
        """The reason of a change: "cb_radio set to pulled" becomes "Radio breaker is set to pulled"."""
        first, *rest = reason.split() or [""]
        if first not in self.name:
            return self.any_id.sub(lambda id: self.name[id[0]], reason)
        words = re.sub(r"^\w+ is repaired$", "is mended", " ".join(rest)).replace("set to", "is set to")
        if len(rest) == 1 and rest[0] not in ("passes", "blocks"):
            words = f"has failed ({rest[0].replace('_', ' ')})"
        if many([self.name[first]]):
            words = PLURAL.get(words.split()[0], words.split()[0]) + words[len(words.split()[0]) :]
        return f"{self.name[first]} {words}"


PLURAL = {"has": "have", "is": "are", "stands": "stand", "passes": "pass", "blocks": "block", "loses": "lose", "goes": "go", "trips": "trip", "shows": "show"}


def many(names):
    """Several, or one that is several: Panel lights, but not Standby bus."""
    return len(names) > 1 or (names[0].endswith("s") and not names[0].endswith("us"))


def listed(names):
    if any("," in name or " and " in name for name in names):
        return "; ".join(names)
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def of_status(change):
    if change.after == "supplied":
        return "has supply again"
    if change.after == "unsupplied":
        return "loses its supply" if change.before == "supplied" else "has no supply"
    return "is " + {"dragged_down": "dragged down by the fault", "unknown": "not known to work"}.get(change.after, change.after)


def of_function(change, names):
    """None where only being in operation changed: the elements tell that."""
    if (change.before, change.mode_before) == (change.after, change.mode_after):
        return None
    if change.after == "degraded":
        return names.mode(change.id, change.mode_after)
    return "normal again" if change.after == "normal" else change.after


def ending(change, names):
    """What follows the name in the sentence of a change; None where it need not be told."""
    own = change.reason.startswith(change.id + " ")
    if change.after is None:
        return f"is not known any more ({change.of})"
    if change.of == "status":
        return None if change.after == "failed" and own else of_status(change)  # the event itself
    if change.of == "position":
        return None if own and " set to " in change.reason else f"goes from {change.before or 'unknown'} to {change.after}"
    if change.of == "tripped":
        return "trips" if change.after else "is reset"
    if change.of == "shown":
        return f'shows "{change.after}"' + ("" if change.before is None else f', no longer "{change.before}"')
    return of_function(change, names)


def grouped(changes, names):
    """{(of, ending, reason): [names]}, in the order to be told."""
    tripping = {change.id for change in changes if change.of == "tripped"}
    told = {}
    for change in sorted(changes, key=lambda change: ORDER.index(change.of)):
        how = ending(change, names)
        if how is None or (change.of == "position" and change.id in tripping):  # that it trips says where it goes
            continue
        itself = change.of in ("status", "tripped") and change.id in change.reason.split()  # "is reset, because it is reset"
        told.setdefault((change.of, how, "" if itself else names.clause(change.reason)), []).append(names.name[change.id])
    return told


def sentence(of, names, how):
    if of == "function":
        return f"{listed(names)}: {how}."
    verb, *rest = how.split(" ")
    if many(names):
        verb = PLURAL[verb]
        rest = ["their" if word == "its" else word for word in rest]
    return " ".join([listed(names), verb, *rest]) + "."


def sentences(changes, names):
    """[(where, sentence, reason)] of the changes in variants a and b: what both have, then what one has alone."""
    told = {variant: grouped(changes[variant], names[variant]) for variant in ("a", "b")}
    found = []
    for key in sorted(dict.fromkeys([*told["a"], *told["b"]]), key=lambda key: ORDER.index(key[0])):
        of, how, reason = key
        in_a, in_b = told["a"].get(key, []), told["b"].get(key, [])
        both = [name for name in in_a if name in in_b]
        for where, those in (("both", both), ("only a", [n for n in in_a if n not in both]), ("only b", [n for n in in_b if n not in both])):
            if those:
                found.append((where, sentence(of, those, how), reason))
    return found
