"""What a type checker must make of the module: `mypy --strict` reads this file, test_docs.py runs it."""

import datetime
from typing import assert_type

import fedfrom as ff
import numpy as np
import numpy.typing as npt
from fedfrom.types import Change, Combined, FunctionLine, Level, Status, Step, SweepEvent

model: ff.Model = ff.Model(
    name="One bus",
    elements={
        "battery": {"kind": "battery"},
        "cb_bus": {"kind": "breaker"},
        "bus": {"kind": "bus", "inputs": {"power": [{"from": "battery", "via": ["cb_bus"]}]}},
        "light": {"kind": "light", "inputs": {"power": ["bus"]}, "shows": [{"text": "lit", "when": "bus"}], "unpowered": "out"},
    },
    functions={"see": {"modes": {"light": {"rank": 1, "when": "light"}}}},
)
net = ff.Network(model)
state = net.running_state().fail("bus", "short").set("cb_bus", "pulled")
out = ff.settle(state)
assert_type(out, ff.Outcome)
assert_type(out.level("see"), Level)
assert_type(out.status("bus"), Status)
assert_type(out.tripped("cb_bus"), bool | None)
assert_type(out.to_dict()["level"], dict[str, Level])

steps: list[Step] = [{"fail": ["bus", ("cb_bus", "no_trip")]}, {"repair": ["bus"], "set": {"cb_bus": "pulled"}}]
works = ff.what_works(net, failed=["battery", ("cb_bus", "stuck", "in")][:1], steps=steps)
lines: list[FunctionLine] = works.functions
names: list[str] = [line["name"] for line in lines]
order: bool | None = works.order_matters

changes: list[Change] = [change for row in ff.impact_table(net, goals=["see"]) for change in row["changes"]]
roots: list[tuple[str, str]] = ff.why(out, "see").roots
readings: list[str | None] = [shown["shows"] for shown in ff.indications(works)]

check = ff.check_deferrals(net, [("no_items", "here", datetime.date(2024, 9, 10))][:0])
assert_type(check.next, ff.NextFailures)
left: list[int] = [row["now"]["count"] for row in check.next.sources]
units: list[str] = [unit["name"] for row in ff.dispatch_table(net) for unit in row["units"]]
assert_type(ff.last_repair_day("C", datetime.date(2024, 9, 10)), datetime.date | None)

events: list[SweepEvent] = ["battery", ("bus", "short"), ("cb_bus", "pulled"), {"set": {"cb_bus": "in"}}]
swept = ff.sweep(net, order=2, events=events, progress=lambda part: part < 2)
levels: npt.NDArray[np.uint8] = swept.level
combinations: list[list[Combined]] = [row["events"] for row in swept]
assert_type(ff.join([shard() for shard in ff.sweep_shards(net, shards=2)]), ff.SweepResult)

assert_type(ff.read_snapshot(net, ff.snapshot(net.running_state())), ff.State)
back = ff.restore(net, "see", to="degraded", reach="cabin", next=True)
assert_type(back, ff.Restore)
actions: list[Step] = [found["actions"] for found in back]
stays: list[str] = [left_over["text"] for left_over in ff.preview(net, {"set": {"cb_bus": "pulled"}}).undone["lasting"]]
idle: list[str] = [event["reason"] for step in ff.follow(net, [{"use": []}]) for event in step["idle"]]
late: list[float] = [gap["to_s"] for gap in ff.timeline(net, [(1, {"fail": ["battery"]})], until_s=10).interruptions]
dead: list[str] = ff.dead_controls(net, "ground").dead
seen = ff.compare(net, state, order=2, elements=True, goals="see", names=("clean", "shorted"), seconds=5)
assert_type(seen, ff.Comparison)
then: list[tuple[Level, Level]] = [(pair["a"]["level"], pair["b"]["level"]) for group in seen for pair in group["functions"]]
missing: list[str] = [only["id"] for only in seen.only if only["has"] == "a"]
truth = ff.truth_table(net, ["see", "bus"], {"cb_bus": ["in", "pulled"]}, [[], "battery", [("bus", "short")]], join=True)
assert_type(truth, ff.TruthTable)
at: list[str | None] = [row["positions"]["cb_bus"] for row in truth]
plan = ff.plan(state, card={"see": "see"})
assert_type(plan, ff.Plan)
short: list[float | None] = [line["margin_ft"] for line in (plan.landing or {"lines": []})["lines"]]
factors: list[float] = [rule["factor"] for rule in ff.operating_rules()]

loaded = ff.Network(ff.Model(name="Loaded", elements={"battery": {"kind": "battery", "store": {"amp_hours": 10}}, "light": {"kind": "light", "inputs": {"power": ["battery"]}, "loads": {"night": {"amps": 2}}}}))
most: list[float | None] = [line["continuous"]["amps"]["high"] for line in ff.load_sheet(loaded, "night").lines]
dropped: list[list[str]] = [group["sources"] for balance_round in ff.power_balance(loaded, "night", "inrush").rounds for group in balance_round["overloaded"]]
lasts: list[float | None] = [b["minutes"]["low"] for b in ff.endurance(loaded, "night", derating=0.8, charge=1).batteries]

table = ff.Table("Loads", ["Load", ("Current", "A")], [["radio", 3.5], ["galley", (None, "lost")]], captions=[("Model", "One bus")])
page: str = ff.to_html([table, *works.tables], "Loads")
cells = [cell for row in table for cell in row]

try:
    ff.read_model("no_such_file.json")
except ff.ModelError as error:
    problems: list[ff.Diagnostic] = error.diagnostics
    places: list[tuple[str, int]] = [(problem.pointer, problem.line) for problem in problems]

frame = works.to_dataframe("elements")
count: int = len(frame)
