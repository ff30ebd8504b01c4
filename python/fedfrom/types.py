"""The types of what results hold, for annotations and type checkers; nothing here is needed to ask.

For study and training only. Not approved data: the approved flight manual, checklists and minimum equipment list, and
the authority's rules, govern.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Literal, TypeAlias, TypedDict

Level: TypeAlias = Literal["normal", "degraded", "lost", "not_fitted", "unknown"]
"""How a function would work if asked for now."""

Status: TypeAlias = Literal["supplied", "unsupplied", "off", "failed", "dragged_down", "spent", "overloaded", "starting", "not_fitted", "unknown"]
"""How an element is."""

Severity: TypeAlias = Literal["no_effect", "minor", "major", "hazardous", "catastrophic"]
"""How bad a level of a function is, where the author said."""

Mark: TypeAlias = Literal["kept", "degraded", "lost", "unknown", "not fitted", "changed", "exceeded"]
"""What a cell of a table stands for, beside its value."""

Value: TypeAlias = str | int | float | None
"""What a cell of a table holds."""

Cell: TypeAlias = Value | tuple[Value, Mark]
"""A cell of a table: its value, or value and mark."""

Failure: TypeAlias = str | Sequence[str]
"""A failure as it is asked for: "id", ("id", "mode") or ("id", "stuck", "position")."""


class Step(TypedDict, total=False):
    """Events that are settled together; `use` lists one-shot modes as ("function", "mode"), the order of which counts."""

    fail: str | Iterable[Failure]
    repair: Sequence[str]
    reset: Sequence[str]
    set: Mapping[str, str]
    given: Mapping[str, bool]
    use: Sequence[tuple[str, str]]
    clear_all: bool


class Actions(TypedDict, total=False):
    """What a crew can do, in one step: positions, resets, and uses as (function, mode)."""

    set: Mapping[str, str]
    reset: Sequence[str]
    use: Sequence[tuple[str, str]]


Reach: TypeAlias = Literal["cockpit", "cabin", "ground"]
"""How far somebody goes to reach something."""


SweepEvent: TypeAlias = Failure | tuple[str, bool] | Step
"""What a sweep combines, as it is asked for: a failure, ("id", "position"), ("given", bool), or a dict of fail, set and given."""

Combined: TypeAlias = tuple[str, str] | tuple[str, str, str] | tuple[str, bool] | Step
"""The same as a result writes it; a dict only where one word is a failure mode and a position of its element."""

InstructionSet: TypeAlias = Literal["baseline", "avx2", "avx512"]
"""What a sweep may be computed with."""


class SweepRow(TypedDict):
    """A combination and a function it changes."""

    events: list[Combined]
    function: str
    before: Level
    after: Level


class SweepDict(TypedDict):
    """A sweep as plain values."""

    rows: list[SweepRow]
    combined: list[Combined]
    combinations: int
    alone: int
    evaluated: int
    inert: int
    complete: bool
    complete_to: int


class _FailureRef(TypedDict):
    element: str
    mode: str


class FailureRef(_FailureRef, total=False):
    """A failure present; `at` where it sticks in a position."""

    at: str


class FunctionLine(TypedDict):
    """One function, judged as if asked for now."""

    id: str
    name: str
    group: str
    level: Level
    mode: str
    mode_name: str
    now: bool | None
    demand: str
    crew: list[str]
    effects: dict[str, float]
    severity: Severity | None
    sources: list[str]


class ElementLine(TypedDict):
    """One element; position and passing are empty where it has none."""

    id: str
    name: str
    status: Status
    position: str
    passing: str
    tripped: bool
    sources: list[str]


class StoredLine(TypedDict):
    """Something that would go, or fall back, were every store spent; `function`: else it is an element."""

    id: str
    name: str
    function: bool
    now: Level
    without: Level
    stores: list[str]


class OutcomeDict(TypedDict):
    """An outcome as plain values; what is unknown is None."""

    empty: list[str]
    holding: list[str]
    hunting: list[str]
    level: dict[str, Level]
    mode: dict[str, str | None]
    now: dict[str, bool | None]
    passes: dict[str, bool | None]
    position: dict[str, str | None]
    shows: dict[str, str | None]
    status: dict[str, Status]
    tripped: list[str]
    zone: list[tuple[str, str]]


class WhatWorksDict(OutcomeDict):
    """What works as plain values."""

    stored: list[StoredLine]
    functions: list[FunctionLine]
    elements: list[ElementLine]
    roots: list[FailureRef]
    consequences: list[str]
    assumptions: list[str]
    order_matters: bool | None


class WhyLine(TypedDict):
    """One sentence of an explanation, indented by `depth`."""

    depth: int
    id: str
    text: str


class RootCause(TypedDict):
    """Where an explanation ends: `word` is the failure mode, the position, "true" or "false"."""

    kind: Literal["failure", "trip", "empty", "overloaded", "starting", "hunting", "used", "position", "given", "rest_position", "usual_given"]
    id: str
    word: str
    text: str


class CauseSets(TypedDict):
    """Every smallest set of what is present that is enough; `running` where nothing present is to blame, `remembered` where no set is enough."""

    present: list[RootCause]
    sets: list[list[RootCause]]
    running: bool
    together: bool
    complete: bool
    complete_to: int
    remembered: list[str]


class SourceCount(TypedDict):
    """Independent sources: 0 where the function is gone, 4 for four or more; `exact` unless the budget ran out."""

    count: int
    exact: bool
    kept_without: bool
    sets: list[list[str]]


class LastLine(TypedDict):
    """What stands between something that works and its loss: independent sources, and every further single failure that takes it."""

    sources: SourceCount
    singles: list[FailureRef]
    complete: bool


class WhyDict(TypedDict):
    """An explanation as plain values."""

    id: str
    headline: str
    lines: list[WhyLine]
    roots: list[RootCause]
    causes: CauseSets | None
    last: LastLine | None


class Consequence(TypedDict):
    """What stands worse than in the running aircraft; `roots` are sets of places among the causes."""

    of: Literal["function", "element", "trip", "empty"]
    id: str
    name: str
    before: str
    after: str
    mode: str
    mode_name: str
    severity: Severity | None
    roots: list[list[int]]


class RootCausesDict(TypedDict):
    """Root causes and consequences as plain values."""

    causes: list[RootCause]
    consequences: list[Consequence]
    remembered: list[str]
    complete: bool
    complete_to: int


class Finding(TypedDict):
    """Something a model leaves open, and how to mend it; codes are stable."""

    code: str
    id: str
    text: str
    mend: str


class LintDict(TypedDict):
    """What a model leaves open as plain values."""

    findings: list[Finding]


class Indication(TypedDict):
    """What one light, gauge or flag shows; None where unknown."""

    id: str
    name: str
    status: Status
    shows: str | None
    supplied: str | None
    sensed: str | None
    healthy: str | None
    misleads: bool
    dark: bool
    reason: str


class Change(TypedDict):
    """A function before and after a cause."""

    function: str
    before: Level
    after: Level
    mode_before: str
    mode_after: str
    mode_name_before: str
    mode_name_after: str


SupplyWay = TypedDict(
    "SupplyWay",
    {"into": str, "port": str, "from": str, "text": str, "in_use": bool, "stands": str},
)
"""A way in: `into` is the element it leads into, `stands` is "in use", "live", or what blocks it."""


class SupplyLine(TypedDict):
    """Something that hangs on an element; `without` is its status, `sources` its live sources, with the element lost."""

    id: str
    name: str
    direct: bool
    now: Status
    without: Status
    sources: list[str]


class SupplyListDict(TypedDict):
    """A supply list as plain values."""

    id: str
    name: str
    lost_as: str
    lost_already: bool
    sure: bool
    ways: list[SupplyWay]
    path: list[str]
    sources: list[str]
    others: list[str]
    needs: list[SupplyLine]
    uses: list[SupplyLine]
    could: list[SupplyLine]
    unknown: list[SupplyLine]
    functions: list[Change]


class Impact(TypedDict):
    """A cause and what it changes."""

    cause: Literal["failure", "common_cause", "zone", "combination"]
    id: str
    mode: str
    name: str
    fails: list[FailureRef]
    changes: list[Change]
    elements_lost: int
    worst: Severity | None


class SessionChangeDict(TypedDict):
    """One thing that changed in a session; modes and `now` are a function's, None of anything else."""

    of: Literal["status", "position", "tripped", "shown", "function"]
    id: str
    before: str | bool | None
    after: str | bool | None
    mode_before: str | None
    mode_after: str | None
    now_before: bool | None
    now_after: bool | None
    reason: str


class Malfunction(TypedDict):
    """A malfunction the aircraft can have; `handle` is the same for the same model in every process."""

    handle: int
    element: str
    mode: str
    name: str
    ata: str
    group: str


class ExposedFunction(TypedDict):
    """A function that a further failure takes further than anything does alone."""

    function: str
    before: Level
    after: Level
    clean: Level
    mode_after: str
    mode_clean: str


class NextFailure(Impact):
    """A further failure: `worst` of all it makes worse now, `clean_worst` of what it does alone on the clean aircraft."""

    clean_worst: Severity | None
    exposed: list[ExposedFunction]
    exposed_worst: Severity | None


class SourcesLeft(TypedDict):
    """The independent sources of one function."""

    function: str
    now: SourceCount
    clean: SourceCount


class NextFailuresDict(TypedDict):
    """Next failures as plain values."""

    changes: list[Change]
    rows: list[NextFailure]
    sources: list[SourcesLeft]
    counted: list[str]
    examined: int


class Provided(TypedDict):
    """A condition of a dispatch item, with the item deferred; what is not decidable never counts as met."""

    text: str
    met: Literal["met", "if_set", "not_met", "not_decidable"]
    reason: str


class Deferral(TypedDict):
    """A unit of a dispatch item that is out."""

    item: str
    unit: str


class Conflict(TypedDict):
    """Deferrals that do not go together, or cost more together; of a condition, the one that asks for it first."""

    why: Literal["count", "contradiction", "condition", "not_decidable", "together"]
    deferrals: list[Deferral]
    text: str
    condition: str
    changes: list[Change]
    severity: Severity | None


class Hidden(Impact):
    """Another single failure that shows what the failed unit shows, and what it takes besides."""

    elements: list[str]
    checks: list[str]
    unit_works: bool


class DeferredUnit(TypedDict):
    """A unit of a dispatch item, deferred alone."""

    id: str
    name: str
    fitted: bool
    changes: list[Change]
    exposed: list[NextFailure]
    exposed_worst: Severity | None
    exposed_examined: bool
    provided: list[Provided]
    hidden: list[Hidden]
    not_known: list[str]


class DispatchRow(TypedDict):
    """A dispatch item, as the list has it, and its units."""

    id: str
    name: str
    ata: str
    category: Literal["A", "B", "C", "D"]
    installed: int
    required: int
    provided: list[str]
    maintenance: list[str]
    operational: list[str]
    remarks: list[str]
    units: list[DeferredUnit]


class DispatchTableDict(TypedDict):
    """A dispatch table as plain values."""

    rows: list[DispatchRow]
    conflicts: list[Conflict]
    pairs: int
    pairs_examined: int


class OpenItem(Deferral):
    """An open dispatch item; `last_day` of its repair interval where the date it was found and the category say it."""

    name: str
    unit_name: str
    ata: str
    category: Literal["A", "B", "C", "D"]
    found: date | None
    last_day: date | None
    changes: list[Change]
    provided: list[Provided]
    maintenance: list[str]
    operational: list[str]
    remarks: list[str]
    not_known: list[str]


class DeferralCheckDict(TypedDict):
    """A check of open items as plain values."""

    items: list[OpenItem]
    changes: list[Change]
    conflicts: list[Conflict]
    next: NextFailuresDict


OpenAs: TypeAlias = str | tuple[str, str] | tuple[str, str, date | None] | Sequence[str]
"""An open item as it is asked for: "item", ("item", "unit") or ("item", "unit", date found)."""


class CutSetsDict(TypedDict):
    """Cut sets, or path sets, as plain values."""

    function: str
    below: Literal["normal", "degraded"]
    already: bool
    sets: list[list[tuple[str, str]]]
    counts: list[int]
    complete: bool
    complete_to: int | None
    spreading_to: int | None
    doubtful: list[tuple[str, str]]
    complete_from: float | None
    dropped: float | None
    missing: list[tuple[str, str]]
    helping: list[tuple[str, str]] | None
    by: str


class Implicant(TypedDict):
    """What must have failed and what must not have."""

    failed: list[tuple[str, str]]
    working: list[tuple[str, str]]


class PrimeImplicantsDict(TypedDict):
    """Prime implicants as plain values."""

    function: str
    below: Literal["normal", "degraded"]
    already: bool
    sets: list[Implicant]
    counts: list[int]


class FailureRisk(TypedDict):
    """The part of one failure, or of one common cause, in losing a function; shares and worths are None where the whole is 0."""

    element: str | None
    mode: str | None
    cause: str | None
    probability: float
    birnbaum: float | None
    criticality: float | None
    fussell_vesely: float | None
    achievement: float | None
    reduction: float | None


class CauseRisk(TypedDict):
    """Failures that one thing brings together."""

    kind: Literal["common_cause", "zone"]
    id: str
    name: str
    fails: list[tuple[str, str] | tuple[str, str, str]]
    alone: bool
    probability: float | None


class LatentFinding(TypedDict):
    """A pair with a hidden failure that is beyond a limit."""

    rule: Literal["residual", "latency"]
    failure: tuple[str, str]
    value: float
    limit: float


class RiskDict(TypedDict):
    """A risk as plain values."""

    function: str
    below: Literal["normal", "degraded"]
    hours: float
    already: bool
    low: float
    high: float
    exact: bool
    flights: int
    per_hour_low: float
    per_hour_high: float
    missing: list[tuple[str, str]]
    parts: list[FailureRisk]
    causes: list[CauseRisk]
    rare_event: float | None
    cut_set_bound: float | None
    severity: Severity | None
    objective: float | None
    limit: float | None
    meets: bool | None
    single_failure: bool
    latent: list[LatentFinding]
    by: str


class TableColumn(TypedDict):
    """A column of a written table."""

    name: str
    unit: str


class TableCaption(TypedDict):
    """A line above a written table."""

    label: str
    text: str


class _TableDict(TypedDict):
    format: str
    title: str
    captions: list[TableCaption]
    columns: list[TableColumn]
    rows: list[list[Value]]
    footnotes: list[str]
    caution: str


class TableDict(_TableDict, total=False):
    """A table as `to_json` writes it; `marks` in the shape of the rows where any cell has one."""

    marks: list[list[str | None]]


class BuildConfig(TypedDict):
    """How the module was built."""

    version: str
    compiler: str
    cpp_standard: int
    build_type: str
    pybind11: str
    python: str
    platform: str


class Operation(TypedDict):
    """A function whose operation as things stand differs; None is unknown."""

    function: str
    before: bool | None
    after: bool | None


class ElementChange(TypedDict):
    """An element before and after; None is unknown, positions are empty where it has none."""

    id: str
    name: str
    before: Status
    after: Status
    position_before: str
    position_after: str
    tripped_before: bool | None
    tripped_after: bool | None
    shown_before: str | None
    shown_after: str | None


class Difference(TypedDict):
    """What differs between two outcomes."""

    gained: list[Change]
    worse: list[Change]
    other: list[Change]
    operation: list[Operation]
    elements: list[ElementChange]


class FaultGrowth(TypedDict):
    """How a fault gets more: (element, medium) dragged down, devices that trip, stores a leak empties."""

    zone: list[tuple[str, str]]
    trips: list[str]
    emptied: list[str]


class Lasting(TypedDict):
    """Something that stays as the actions made it when they are taken back."""

    why: Literal["position", "tripped", "spent", "used", "reset", "dropped", "holds", "reading", "hunting"]
    id: str
    text: str


class Undone(Difference):
    """What is left once the actions are taken back."""

    complete: bool
    lasting: list[Lasting]


class Effect(Difference):
    """What some actions do, taken in one step."""

    actions: Step
    fault: FaultGrowth
    undone: Undone
    stored: list[StoredLine]
    reach: Reach


class Refused(TypedDict):
    """An event that was refused, or did nothing, and why."""

    action: str
    reason: str


class PreviewDict(Effect):
    """A preview as plain values."""

    refused: list[Refused]
    sources_dropped: list[str]
    sources_taken: list[str]


class NextHurt(TypedDict):
    """A single failure that takes a function further with the actions taken than as things stand."""

    element: str
    mode: str
    function: str
    now: Level
    then: Level


class RestoringSet(Effect):
    """A smallest set of actions; `single_failures` is None where `next` was not asked for."""

    text: str
    goals: list[Change]
    order_matters: bool
    orders: int
    orders_restoring: int
    order: list[str]
    order_powers_fault: bool
    next: list[NextHurt]
    single_failures: int | None


class RestoreGoal(TypedDict):
    """A function asked for; `sets` are places among the sets."""

    function: str
    before: Level
    to: Level
    sets: list[int]


class RestoreDict(TypedDict):
    """What brings functions back, as plain values."""

    goals: list[RestoreGoal]
    sets: list[RestoringSet]
    best_single: RestoringSet | None
    actions: int
    combinations: int
    complete: bool
    complete_to: int


class Figure(TypedDict):
    """A number known within limits: without `high` at least `low`, without `low` at most `high`, without both unknown."""

    low: float | None
    high: float | None


class LoadFigures(TypedDict):
    """What is drawn at one place, on average over some time."""

    amps: Figure
    watts: Figure
    volt_amperes: Figure


class LoadLine(TypedDict):
    """What one element carries; `margin` is its rating less its continuous load, in `rating_unit`."""

    id: str
    name: str
    role: Literal["source", "converter", "bus", "device", "load"]
    status: Status
    volts: float | None
    continuous: LoadFigures
    five_minutes: LoadFigures
    five_seconds: LoadFigures
    inrush_amps: Figure
    rating: float | None
    rating_unit: Literal["amps", "volt_amperes", "watts", ""]
    margin: Figure
    overload: Literal["no", "possible", "yes", "no_rating"]


class WithoutSupply(TypedDict):
    """A load that draws as things stand and is not surely supplied then."""

    id: str
    name: str
    status: Status


class SourceOut(TypedDict):
    """What the others carry with one source or converter lost, and which loads are then without supply."""

    id: str
    name: str
    lines: list[LoadLine]
    without_supply: list[WithoutSupply]


class LoadFinding(TypedDict):
    """What stands out on a load sheet."""

    what: Literal["overload", "possible_overload", "short_overload", "eighty_percent", "wire", "voltage_drop"]
    id: str
    text: str


class LoadSheetDict(TypedDict):
    """A load sheet as plain values."""

    condition: str
    shed: list[str]
    lines: list[LoadLine]
    one_source_out: list[SourceOut]
    findings: list[LoadFinding]
    delivered_watts: Figure
    consumed_watts: Figure
    lost_watts: Figure
    missing: list[str]
    assumptions: list[str]


class Overloading(TypedDict):
    """Sources that stand together and cannot carry what rests on them, or of which it is not known."""

    sources: list[str]
    names: list[str]
    demand: Figure
    capacity: Figure
    unit: Literal["amps", "volt_amperes", "watts"]


class BalanceRound(Difference):
    """All groups that give no voltage at once, and what differs while they give none."""

    overloaded: list[Overloading]
    stays_off: bool


class PowerBalanceDict(Difference):
    """A power balance as plain values; the difference is of all rounds together."""

    condition: str
    over: Literal["continuous", "five_minutes", "five_seconds", "inrush"]
    times_rating: float
    rounds: list[BalanceRound]
    possible: list[Overloading]
    decided: bool
    missing: list[str]
    assumptions: list[str]


class BatteryPhase(TypedDict):
    """A part of the time on the battery; `once_amp_minutes` is what intermittent loads take in it."""

    what: Literal["before_shedding", "after_shedding", "landing"]
    condition: str
    minutes: Figure
    amps: Figure
    once_amp_minutes: Figure


class ShedLoad(TypedDict):
    """A load that could be shed: what it alone buys, and the time with all before it in the list shed too."""

    id: str
    name: str
    amps: Figure
    bought_min: Figure
    total_min: Figure
    off_by: str | None
    also_off: list[str]


class BatteryEndurance(TypedDict):
    """How long a battery lasts."""

    id: str
    name: str
    status: Status
    volts: float | None
    amp_hours: float | None
    usable_amp_hours: float | None
    in_use: bool
    minutes: Figure
    reserve_kept: bool | None
    phases: list[BatteryPhase]
    passed: bool | None
    sheds: list[ShedLoad]
    charger: str | None
    charger_supplied: bool | None


class GasEndurance(TypedDict):
    """What an accumulator or bottle gives between its pressures."""

    id: str
    name: str
    status: Status
    bottle: bool
    slow_litres: float | None
    rapid_litres: float | None
    slow_applications: int | None
    rapid_applications: int | None
    stated: int | None
    passed: bool | None
    missing: str


class EnduranceDict(TypedDict):
    """An endurance sheet as plain values."""

    batteries: list[BatteryEndurance]
    gas: list[GasEndurance]
    missing: list[str]
    assumptions: list[str]


class FollowedStep(Difference):
    """A step as it was played."""

    step: Step
    text: str
    refused: list[Refused]
    fault: FaultGrowth
    spent: bool
    nothing: bool
    idle: list[Refused]


class FollowedDict(Difference):
    """A checklist played, as plain values."""

    steps: list[FollowedStep]


class ControlPosition(TypedDict):
    """What one position of a control would change, in count."""

    position: str
    functions: int
    elements: int
    feeds: int


class Control(TypedDict):
    """A control, where the hand has it, and whether it still does something."""

    id: str
    name: str
    at: str
    does: Literal["something", "nothing", "not_known"]
    positions: list[ControlPosition]


class Instant(Difference):
    """A point in time at which something happened, and what it changed against just before."""

    seconds: float
    text: str
    refused: list[Refused]
    fault: FaultGrowth


class Interruption(TypedDict):
    """Something that had no supply for a while."""

    id: str
    name: str
    from_s: float
    to_s: float


class CannotMove(TypedDict):
    """Something that keeps its position whatever is selected; `since_s` is 0 where it did so at the beginning."""

    id: str
    name: str
    position: str
    since_s: float


class OnItsWay(TypedDict):
    """Something that moves, starts or runs down and is not there yet; `position` is where it moves."""

    id: str
    name: str
    what: Literal["moves", "starts", "runs_down"]
    position: str
    due_s: float


class BatteryLeft(TypedDict):
    """What a battery has left: the part of what is usable when full, and ampere-hours."""

    id: str
    name: str
    charge: float
    amp_hours: float


class TimelineDict(Difference):
    """What happens when, as plain values; the difference is from beginning to end."""

    until_s: float
    instants: list[Instant]
    interruptions: list[Interruption]
    cannot_move: list[CannotMove]
    on_its_way: list[OnItsWay]
    batteries: list[BatteryLeft]
    assumptions: list[str]
    complete: bool
    open: str


class StepDoes(TypedDict, total=False):
    """Hands and givens that a step of a check sets."""

    set: Mapping[str, str]
    given: Mapping[str, bool]


class CheckStep(TypedDict, total=False):
    """A step of a check, as a model writes it."""

    do: StepDoes
    look_at: str
    expect: str


class Check(TypedDict, total=False):
    """A check, as a model writes it."""

    name: str
    steps: Sequence[CheckStep]


class CoverageStep(TypedDict):
    """A step of a check: what it reads, which wrong reading comes from which failures, which paths (places) it proves."""

    check: str
    number: int
    do: StepDoes
    look_at: str
    expect: str
    reads: str | None
    met: bool
    wrong: dict[str, list[tuple[str, str]]]
    unknown: list[tuple[str, str]]
    proves: list[int]


class CoverageFailure(TypedDict):
    """A failure: the checks that reveal it, and the indications that change without any."""

    element: str
    mode: str
    checks: list[str]
    shows: list[str]


class Path(TypedDict):
    """One of several feeds or ties of a port; `proved_by` are checks and numbers of their steps."""

    element: str
    port: str
    upstream: str
    through: list[str]
    tie: bool
    proved_by: list[tuple[str, int]]
    shows: list[str]


class CoverageDict(TypedDict):
    """What checks reveal, as plain values."""

    steps: list[CoverageStep]
    failures: list[CoverageFailure]
    hidden: list[tuple[str, str]]
    silent: list[tuple[str, str]]
    alike: list[list[tuple[str, str]]]
    adds_nothing: list[str]
    smallest: list[str]
    smallest_exact: bool
    paths: list[Path]


class Observed(TypedDict):
    """What was seen of an element or function, and with which hands and givens."""

    id: str
    seen: str
    set: dict[str, str]
    given: dict[str, bool]


class Observation(TypedDict, total=False):
    """The same, as it is asked."""

    id: str
    seen: str
    set: Mapping[str, str]
    given: Mapping[str, bool]


class Candidate(TypedDict):
    """A set of failures that explains what was seen; `contradicts` and `undecided` are places among the observations."""

    failures: list[tuple[str, str]]
    contradicts: list[int]
    undecided: list[int]
    likely: float | None
    missing: list[tuple[str, str]]


class LookResult(TypedDict):
    """A result of a look: its share of the candidates' weight, and which it leaves, as places."""

    reading: str
    share: float
    leaves: list[int]


class NextLook(TypedDict):
    """Something to look at or try, with what set, how many bits it is expected to tell, and functions that setting it makes worse."""

    id: str
    set: dict[str, str]
    given: dict[str, bool]
    bits: float
    worse: list[str]
    results: list[LookResult]


class DiagnosisDict(TypedDict):
    """A diagnosis, as plain values."""

    observations: list[Observed]
    unexpected: list[int]
    undecided: list[int]
    candidates: list[Candidate]
    found: list[int]
    looks: list[NextLook]
    considered: int
    by_rates: bool
    combinations: int
    complete: bool
    complete_to: int


class Guess(TypedDict):
    """What a guess says of all that was seen, as places."""

    failures: list[tuple[str, str] | tuple[str, str, str]]
    explains: list[int]
    contradicts: list[int]
    undecided: list[int]
    right: bool
    looks_the_same: bool
class FunctionStanding(TypedDict):
    """How a function stands in one of two; `mode` is empty where there is none, or which is unknown."""

    level: Level
    mode: str
    mode_name: str


class FunctionPair(TypedDict):
    """How a function stands in both."""

    function: str
    a: FunctionStanding
    b: FunctionStanding


class ElementPair(TypedDict):
    """How an element stands in both."""

    element: str
    a: Status
    b: Status


class DifferenceGroup(TypedDict):
    """Scenarios that make the same difference, and which."""

    text: str
    scenarios: list[Step]
    functions: list[FunctionPair]
    alike: list[FunctionPair]
    elements: list[ElementPair]
    elements_alike: list[ElementPair]
    worst: Severity | None


class OnlyOne(TypedDict):
    """Something that one of two has; `not_fitted` where the other's model has it, not fitted."""

    what: Literal["element", "failure", "control", "position", "given", "function", "mode"]
    id: str
    word: str
    name: str
    has: Literal["a", "b"]
    not_fitted: bool


class ComparisonDict(TypedDict):
    """What differs between two, as plain values."""

    names: tuple[str, str]
    functions: list[FunctionPair]
    elements: list[ElementPair]
    groups: list[DifferenceGroup]
    pairs: list[DifferenceGroup]
    only: list[OnlyOne]
    scenarios: int
    unchanged: int
    combinations: int
    complete: bool


class TruthControl(TypedDict):
    """A control, and the positions tried; `all` where it has no others."""

    id: str
    name: str
    positions: list[str]
    all: bool


class TruthCell(TypedDict):
    """What a target does: of a function `level` and mode, of an element `status` and position."""

    target: str
    block: int
    level: Level | None
    mode: str
    mode_name: str
    status: Status | None
    position: str
    sources: list[str]
    sources_sure: bool


class TruthRow(TypedDict):
    """Positions by control, None where it makes no difference, and a cell for each block and target."""

    positions: dict[str, str | None]
    cells: list[TruthCell]
    stands_for: int


class TruthTableDict(TypedDict):
    """A truth table as plain values."""

    targets: list[str]
    controls: list[TruthControl]
    blocks: list[list[FailureRef]]
    rows: list[TruthRow]
    left_out: list[str]
    settled: int
    complete: bool


class PlannedEffect(TypedDict):
    """What the mode of a function does to a quantity; not `counted` where `instead` shares a root cause."""

    function: str
    mode: str
    mode_name: str
    value: float
    counted: bool
    instead: str
    roots: list[RootCause]


class PlannedQuantity(TypedDict):
    """What effects come to; where `unknown` says why, `value` is None."""

    quantity: str
    name: str
    unit: str
    combine: Literal["multiply", "add", "max"]
    once_per_root: bool
    effects: list[PlannedEffect]
    effects_alone: float | None
    rules: list[str]
    value: float | None
    unknown: list[str]


class OperatingRule(TypedDict):
    """What a landing distance is multiplied by, and where that is published; the source of your own is empty."""

    rule: str
    factor: float
    source: str


class LandingLine(OperatingRule):
    """A rule, what it requires, and available less required; None where no runway was given."""

    required_m: float
    required_ft: float
    margin_m: float | None
    margin_ft: float | None


class LandingDistance(TypedDict):
    """The landing distance; `actual_m` is None where what changes it is unknown, and then there are no lines."""

    base_m: float
    base_ft: float
    actual_m: float | None
    actual_ft: float | None
    available_m: float | None
    available_ft: float | None
    lines: list[LandingLine]


class CardLine(TypedDict):
    """A heading of the approach and landing card."""

    heading: str
    functions: list[FunctionLine]


class PlanDict(TypedDict):
    """A plan as plain values."""

    quantities: list[PlannedQuantity]
    landing: LandingDistance | None
    card: list[CardLine]
