"""What still works in an aircraft's systems, what is lost, and why.

Write an aircraft's systems down once, as a model; build a network of it; take a state; ask. The examples of every
page go on from this one:

>>> import fedfrom as ff
>>> model = ff.Model(name="One bus", given={"airborne": True}, elements={
...     "generator": {"kind": "generator"},
...     "battery": {"kind": "battery"},
...     "bus": {"kind": "bus", "inputs": {"power": ["generator", "battery"]}},
...     "cb_radio": {"kind": "breaker"},
...     "radio": {"kind": "consumer", "inputs": {"power": [{"from": "bus", "via": ["cb_radio"]}]}},
...     "bus_light": {"kind": "annunciator", "inputs": {"power": ["battery"]},
...                   "shows": [{"text": "lit", "when": {"not": "generator"}}], "unpowered": "out"},
... }, functions={"talk": {"name": "Talk on the radio", "modes": {"radio": {"rank": 1, "when": "radio"}}}},
... dispatch={
...     "item_24_30": {"name": "Generator", "ata": "24-30", "category": "C", "installed": 1, "required": 0,
...                    "units": {"generator": {"elements": ["generator"]}}, "provided": ["battery"]},
...     "item_24_31": {"name": "Battery", "ata": "24-31", "category": "B", "installed": 1, "required": 0,
...                    "units": {"battery": {"elements": ["battery"]}}, "provided": ["generator"]},
... },
... variants={"b": {"patch": {"elements": {"battery": {"fitted": False}}}}})
>>> net = ff.Network(model)
>>> state = net.running_state()
>>> ff.settle(state.copy().fail("generator")).level("talk")
'normal'
>>> print(ff.why(state.copy().set("cb_radio", "pulled"), "talk").headline)
Talk on the radio (talk) is lost.

Every result is a value: it prints as text, shows itself in a notebook, gives plain values (`to_dict`) and pandas data
frames (`to_dataframe`), and is written as Markdown, CSV, HTML or JSON (`to_markdown` and so on). The types of what
they hold are in `fedfrom.types`.

For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and
the authority's rules, govern.
"""

from ._fedfrom import (
    CutSets,
    DeferralCheck,
    Diagnostic,
    DispatchTable,
    Error,
    ImpactTable,
    Indications,
    Model,
    ModelError,
    Network,
    NextFailures,
    NotPossible,
    Outcome,
    Risk,
    Session,
    SessionChange,
    SnapshotMismatch,
    State,
    SweepResult,
    SweepShard,
    Table,
    UnknownId,
    WhatWorks,
    Why,
    __version__,
    bistable,
    build_config,
    caution,
    check_deferrals,
    cut_sets,
    dispatch_table,
    impact_table,
    indications,
    instruction_sets,
    join,
    last_repair_day,
    live_sources,
    next_failures,
    malfunctions,
    parse_model,
    path_sets,
    read_model,
    restore,
    risk,
    settle,
    snapshot,
    sweep,
    sweep_shards,
    to_html,
    what_works,
    why,
    write_model,
)

__all__ = [
    "CutSets",
    "DeferralCheck",
    "Diagnostic",
    "DispatchTable",
    "Error",
    "ImpactTable",
    "Indications",
    "Model",
    "ModelError",
    "Network",
    "NextFailures",
    "NotPossible",
    "Outcome",
    "Risk",
    "Session",
    "SessionChange",
    "SnapshotMismatch",
    "State",
    "SweepResult",
    "SweepShard",
    "Table",
    "UnknownId",
    "WhatWorks",
    "Why",
    "__version__",
    "bistable",
    "build_config",
    "caution",
    "check_deferrals",
    "cut_sets",
    "dispatch_table",
    "impact_table",
    "indications",
    "instruction_sets",
    "join",
    "last_repair_day",
    "live_sources",
    "next_failures",
    "malfunctions",
    "parse_model",
    "path_sets",
    "read_model",
    "restore",
    "risk",
    "settle",
    "snapshot",
    "sweep",
    "sweep_shards",
    "to_html",
    "what_works",
    "why",
    "write_model",
]
