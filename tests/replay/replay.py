"""What the replays share: a model of this folder, and short questions to an outcome."""

import pathlib

import fedfrom as ff

HERE = pathlib.Path(__file__).parent


def network(name, variant=""):
    return ff.Network(ff.read_model(str(HERE / f"{name}.json")), variant=variant)


def supplied(out, *ids):
    """Those of the elements that are supplied; unknown is not."""
    return {id for id in ids if out.status(id) == "supplied"}


def unsupplied(out, *ids):
    """Those of the elements that are certainly not supplied; unknown is neither this nor supplied."""
    return {id for id in ids if out.status(id) not in ("supplied", "unknown")}


def levels(out, *functions):
    return {id: str(out.level(id)) for id in functions}


def shown(state):
    """What every light and gauge shows."""
    return {i["id"]: i["shows"] for i in ff.indications(state).shown}
