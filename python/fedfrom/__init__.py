"""What still works in an aircraft's systems, what is lost, and why.

    >>> import fedfrom as ff
    >>> model = ff.read_model("examples/ostrea7/ostrea7.json")
    >>> net = ff.Network(model, variant="b")
    >>> print(ff.what_works(net, failed=["sg_l", "sg_r"]))

For study and training only. Not approved data: the approved flight manual,
checklists and minimum equipment list, and the authority's rules, govern.
"""

from ._fedfrom import (
    Diagnostic,
    Error,
    ImpactTable,
    Indications,
    Model,
    ModelError,
    Network,
    NotPossible,
    Outcome,
    State,
    Table,
    UnknownId,
    WhatWorks,
    Why,
    __version__,
    caution,
    impact_table,
    indications,
    live_sources,
    parse_model,
    read_model,
    settle,
    to_html,
    what_works,
    why,
    write_model,
)

__all__ = [
    "Diagnostic",
    "Error",
    "ImpactTable",
    "Indications",
    "Model",
    "ModelError",
    "Network",
    "NotPossible",
    "Outcome",
    "State",
    "Table",
    "UnknownId",
    "WhatWorks",
    "Why",
    "__version__",
    "caution",
    "impact_table",
    "indications",
    "live_sources",
    "parse_model",
    "read_model",
    "settle",
    "to_html",
    "what_works",
    "why",
    "write_model",
]
