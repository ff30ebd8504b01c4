"""The compiled half of fedfrom; `fedfrom` has all of it."""

import datetime
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from typing import Any, ClassVar, Literal, TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from .types import (
    Actions,
    BalanceRound,
    BatteryEndurance,
    BatteryLeft,
    BuildConfig,
    Candidate,
    CannotMove,
    CardLine,
    CauseRisk,
    CauseSets,
    Cell,
    Change,
    Check,
    Combined,
    ComparisonDict,
    Conflict,
    Consequence,
    Control,
    CoverageDict,
    CoverageFailure,
    CoverageStep,
    CutSetsDict,
    DeferralCheckDict,
    DiagnosisDict,
    DifferenceGroup,
    DispatchRow,
    DispatchTableDict,
    ElementChange,
    ElementLine,
    ElementPair,
    EnduranceDict,
    Failure,
    FailureRef,
    FailureRisk,
    FaultGrowth,
    Figure,
    Finding,
    FollowedDict,
    FollowedStep,
    FunctionLine,
    FunctionPair,
    GasEndurance,
    Guess,
    Impact,
    Implicant,
    Indication,
    Instant,
    InstructionSet,
    Interruption,
    LandingDistance,
    LastLine,
    LatentFinding,
    Level,
    LintDict,
    LoadFinding,
    LoadLine,
    LoadSheetDict,
    Malfunction,
    NextFailure,
    NextFailuresDict,
    NextLook,
    Observation,
    Observed,
    OnItsWay,
    OnlyOne,
    OpenAs,
    OpenItem,
    OperatingRule,
    Operation,
    OutcomeDict,
    Overloading,
    Path,
    PlanDict,
    PlannedQuantity,
    PowerBalanceDict,
    PreviewDict,
    PrimeImplicantsDict,
    Reach,
    Refused,
    RestoreDict,
    RestoreGoal,
    RestoringSet,
    RiskDict,
    RootCause,
    RootCausesDict,
    SessionChangeDict,
    Severity,
    SourceOut,
    SourcesLeft,
    Status,
    Step,
    StepDoes,
    StoredLine,
    SupplyLine,
    SupplyListDict,
    SupplyWay,
    SweepDict,
    SweepEvent,
    SweepRow,
    TableDict,
    TimelineDict,
    TruthControl,
    TruthRow,
    TruthTableDict,
    Undone,
    WhatWorksDict,
    WhyDict,
)

__version__: str
caution: str

def build_config() -> BuildConfig:
    """Say how this module was built, for a bug report."""

class Error(Exception):
    """Base of every exception the module raises itself."""

class ModelError(Error):
    """A model with problems; `diagnostics` lists every one."""

    diagnostics: list[Diagnostic]

class UnknownId(Error):
    """An id no collection knows; the message names the nearest."""

class NotPossible(Error):
    """An event or question the aircraft does not allow."""

class SnapshotMismatch(Error):
    """Bytes that are no state of this network; the message says what differs."""

class Diagnostic:
    """One problem of a model: where it is, what is wrong, how to mend it."""

    @property
    def code(self) -> str:
        """Stable id of the kind of problem."""
    @property
    def pointer(self) -> str:
        """RFC 6901 JSON pointer into the model."""
    @property
    def message(self) -> str:
        """What is wrong, in a sentence."""
    @property
    def hint(self) -> str:
        """How to mend it; empty where nothing is near."""
    @property
    def file(self) -> str:
        """The file it was read from; empty where the model did not come from one."""
    @property
    def line(self) -> int:
        """From 1; 0 where the model did not come from text."""
    @property
    def column(self) -> int:
        """From 1, in characters; 0 where the model did not come from text."""
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...

class Model:
    """One aircraft type as its author wrote it: plain data, checked."""

    def __init__(self, **values: Any) -> None: ...
    @staticmethod
    def from_dict(values: dict[str, Any]) -> Model:
        """Make a model from one dict; `format` may be left out."""
    def to_dict(self) -> dict[str, Any]:
        """Give the model as plain Python values, in canonical form."""
    def variant_of(self, variant: str) -> Model:
        """Give the model with a variant's patches applied; "" or the name of the base gives the model itself."""
    @property
    def name(self) -> str:
        """What the aircraft type is called."""
    @property
    def edition(self) -> str:
        """Which edition of the model this is."""
    @property
    def base(self) -> str:
        """What the unpatched aircraft is called."""
    @property
    def variant(self) -> str:
        """Which variant this is; empty: the base."""
    @property
    def groups(self) -> list[str]:
        """The order groups are shown in."""
    @property
    def elements(self) -> list[str]:
        """Element ids, in id order."""
    @property
    def functions(self) -> list[str]:
        """Function ids, in id order."""
    @property
    def variants(self) -> list[str]:
        """Variant ids, in id order."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def read_model(path: str | os.PathLike[str]) -> Model:
    """Read a model file."""
def parse_model(json: str | bytes, file: str = "") -> Model:
    """Read a model from JSON text."""
def write_model(model: Model) -> str:
    """Write a model as canonical JSON text; reading it back gives the same model."""

class Network:
    """One aircraft, compiled: immutable, cheap to copy, safe to share between threads."""

    def __init__(self, model: Model, variant: str = "") -> None: ...
    @property
    def model(self) -> Model:
        """The model this was built from, its variant applied."""
    @property
    def elements(self) -> list[str]:
        """Element ids, in id order."""
    @property
    def functions(self) -> list[str]:
        """Function ids, in id order."""
    @property
    def failures(self) -> list[tuple[str, str]]:
        """Every (element, mode) that can fail, in id order."""
    def positions(self, element: str) -> list[str]:
        """List the positions an element can stand in."""
    def running_state(self) -> State:
        """Give the running aircraft: nothing failed, everything at rest and holding, settled."""
    def cold_state(self) -> State:
        """Give an aircraft that has not been started: the same with nothing holding."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def __eq__(self, other: object, /) -> bool: ...
    def __hash__(self, /) -> int: ...

class State:
    """What has failed, where the crew's hands are and what the aircraft remembers. A value: copy and compare it."""

    @property
    def network(self) -> Network:
        """The aircraft this is a state of."""
    @property
    def failures(self) -> list[tuple[str, str]]:
        """Every (element, mode) that has failed, in id order."""
    def apply(self, step: Step) -> State:
        """Apply a step, written as in `what_works`: all of it, or nothing where something in it is not possible."""
    def fail(self, element: str, mode: str = "loss", *, at: str = "") -> State:
        """Insert a failure."""
    def repair(self, element: str) -> State:
        """Remove an element's failures, refill and untrip it."""
    def reset(self, element: str) -> State:
        """Reset a tripped device, as often as it may be."""
    def set(self, element: str, position: str) -> State:
        """Put a switch, handle or breaker where the crew wants it."""
    def given(self, id: str, value: bool) -> State:
        """Say whether a given holds."""
    def use(self, function: str, mode: str) -> State:
        """Use a one-shot mode of a function: it takes what it spends from its stores and bars the modes it bars."""
    def clear_all(self) -> State:
        """Undo every failure, trip, spent store, used mode and held position; hands and givens stay."""
    def hand(self, element: str) -> str:
        """Say where the crew's hand has put it; where it really stands is `Outcome.position`."""
    def copy(self) -> State:
        """Give a copy that goes its own way."""
    def __copy__(self) -> State: ...
    def __deepcopy__(self, memo: dict[Any, Any]) -> State: ...
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

class SessionChange:
    """One thing that changed in a session: before, after, and the next link of its cause. Prints as a line."""

    @property
    def of(self) -> Literal["status", "position", "tripped", "shown", "function"]:
        """What changed: status, position, tripped, shown, or function."""
    @property
    def id(self) -> str:
        """The element, or the function."""
    @property
    def before(self) -> str | bool | None:
        """As it was; None where unknown."""
    @property
    def after(self) -> str | bool | None:
        """As it is; None where unknown."""
    @property
    def mode_before(self) -> str | None:
        """Of a function, the mode it was in; None for none."""
    @property
    def mode_after(self) -> str | None:
        """Of a function, the mode it is in; None for none."""
    @property
    def now_before(self) -> bool | None:
        """Of a function, whether it was in operation; None where unknown."""
    @property
    def now_after(self) -> bool | None:
        """Of a function, whether it is in operation; None where unknown."""
    @property
    def reason(self) -> str:
        """What decided it; empty where nothing that changed decides it alone."""
    def to_dict(self) -> SessionChangeDict:
        """Give it as plain values."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

class Session:
    """One aircraft that runs along: told what happens, it tells what changed."""

    def __init__(self, start: State | Network, *, in_time: bool = False) -> None:
        """Go on from a state."""
    @property
    def network(self) -> Network:
        """The aircraft."""
    def apply(self, step: Step) -> Session:
        """Apply a step, written as in `what_works`: all of it, or nothing where something in it is not possible."""
    def fail(self, element: str, mode: str = "loss", *, at: str = "") -> Session:
        """Insert a failure; as `State.fail`."""
    def repair(self, element: str) -> Session:
        """Remove an element's failures, refill and untrip it."""
    def reset(self, element: str) -> Session:
        """Reset a tripped device, as often as it may be; as `State.reset`."""
    def set(self, element: str, position: str) -> Session:
        """Put a switch, handle or breaker where the crew wants it."""
    def given(self, id: str, value: bool) -> Session:
        """Say whether a given holds."""
    def use(self, function: str, mode: str) -> Session:
        """Use a one-shot mode; as `State.use`."""
    def clear_all(self) -> Session:
        """Undo every failure, trip, spent store, used mode and held position; hands and givens stay."""
    def settle(self, passes: int | None = None) -> list[SessionChange]:
        """Settle what happened, and give what changed: elements by id, then functions by id."""
    def advance(self, seconds: float) -> list[SessionChange]:
        """Let time pass, and give what changed by it: what is due moves, starts or stops, one instant after another, each settled."""
    @property
    def waiting(self) -> list[OnItsWay]:
        """What moves, starts or runs down, and when it is due by the session's clock. Empty for a session not in time."""
    @property
    def now_s(self) -> float:
        """Seconds since the session began or was loaded, as `advance` let them pass."""
    @property
    def still_moving(self) -> bool:
        """The passes ran out before everything stood still."""
    @property
    def hunting(self) -> list[str]:
        """Elements whose position or hold never came to rest."""
    def status(self, element: str) -> Status:
        """Say how an element is, as of the last `settle`."""
    def position(self, element: str) -> str | None:
        """Say where an element really stands; None where unknown or it has no positions."""
    def tripped(self, element: str) -> bool | None:
        """Say whether a protecting device has tripped; None where unknown."""
    def shows(self, element: str) -> str | None:
        """Say what a light, gauge or flag shows; None where unknown."""
    def level(self, function: str) -> Level:
        """Say how a function would work if asked for now."""
    def mode(self, function: str) -> str | None:
        """Say which mode of a function is in use; None where lost, not fitted or unknown."""
    def now(self, function: str) -> bool | None:
        """Say whether a function is in operation as things stand; None where unknown."""
    def state(self) -> State:
        """Give what is remembered as a State, which goes its own way."""
    def snapshot(self) -> bytes:
        """Write what is remembered as bytes; `read_snapshot` reads them."""
    def load(self, state: State) -> None:
        """Go on from another state of the same aircraft; the next `settle` gives what differs."""

class Outcome:
    """What holds in a settled state, element by element and function by function. Prints as the sheet."""

    def status(self, element: str) -> Status:
        """Say how an element is: supplied, unsupplied, off, failed, dragged_down, spent, overloaded, starting, not_fitted or unknown."""
    def position(self, element: str) -> str | None:
        """Say where an element really stands; None where unknown or it has no positions."""
    def passes(self, element: str) -> bool | None:
        """Say whether an element lets supply through; None where unknown."""
    def tripped(self, element: str) -> bool | None:
        """Say whether a protecting device has tripped; None where unknown."""
    def shows(self, element: str) -> str | None:
        """Say what a light, gauge or flag shows now; None where unknown."""
    def level(self, function: str) -> Level:
        """Say how a function would work if asked for now: normal, degraded, lost, not_fitted or unknown."""
    def mode(self, function: str) -> str | None:
        """Say which mode of a function is in use; None where lost, not fitted or unknown."""
    def now(self, function: str) -> bool | None:
        """Say whether a function is in operation as things stand; None where unknown."""
    @property
    def normal(self) -> list[str]:
        """Functions at level normal, in id order."""
    @property
    def degraded(self) -> list[str]:
        """Functions that fall back, in id order."""
    @property
    def lost(self) -> list[str]:
        """Functions lost, in id order."""
    @property
    def unknown(self) -> list[str]:
        """Functions whose level is unknown, in id order."""
    @property
    def hunting(self) -> list[str]:
        """Elements that never came to rest."""
    @property
    def network(self) -> Network:
        """The aircraft this is about."""
    @property
    def state(self) -> State:
        """A copy of the settled state this is the outcome of."""
    def to_dict(self) -> OutcomeDict:
        """Give everything as plain Python values, in id order."""
    def to_dataframe(self, of: Literal["functions", "elements", "stored"] = "functions") -> pd.DataFrame:
        """Give one row a function, or an element, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def settle(state: State) -> Outcome:
    """Settle a state in place, so that it remembers, and say what holds in it."""

class Table:
    """A table as a value: prints as text, and is written as Markdown, CSV, HTML or JSON."""

    def __init__(
        self,
        title: str,
        columns: Iterable[str | tuple[str, str]],
        rows: Iterable[Iterable[Cell]],
        *,
        captions: Sequence[tuple[str, str]] = [],
        footnotes: Sequence[str] = [],
    ) -> None:
        """Make a table."""
    @property
    def title(self) -> str:
        """What stands above it."""
    @property
    def captions(self) -> list[tuple[str, str]]:
        """The lines above the table: (label, text)."""
    @property
    def columns(self) -> list[str]:
        """Column names, the row heading first."""
    @property
    def units(self) -> list[str]:
        """The unit of each column; empty: none."""
    @property
    def rows(self) -> list[list[Cell]]:
        """A list a row; a marked cell is a pair of value and mark."""
    @property
    def footnotes(self) -> list[str]:
        """Lines below the table."""
    def to_text(self, width: int = 100) -> str:
        """Write it as aligned plain text, wrapped to a width."""
    def to_dict(self) -> TableDict:
        """Give the values of `to_json`."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give its cells as a pandas data frame; numbers are numbers, a marked text reads "degraded: backup"."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __getitem__(self, row: int, /) -> list[Cell]: ...
    def __iter__(self, /) -> Iterator[list[Cell]]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def to_html(tables: Sequence[Table], title: str) -> str:
    """Write several tables on one HTML page."""

class WhatWorks:
    """What still works, what falls back and what is lost. Prints as the sheet."""

    @property
    def outcome(self) -> Outcome:
        """The outcome behind it."""
    @property
    def order_matters(self) -> bool | None:
        """Whether the same events in another order end elsewhere; None where not examined."""
    @property
    def stored(self) -> list[StoredLine]:
        """What hangs on stored energy alone."""
    @property
    def functions(self) -> list[FunctionLine]:
        """One dict a function, in the order of groups."""
    @property
    def elements(self) -> list[ElementLine]:
        """One dict an element, in id order."""
    @property
    def tables(self) -> list[Table]:
        """Stored energy where there is any in use, functions, elements."""
    def status(self, element: str) -> Status:
        """Say how an element is: supplied, unsupplied, off, failed, dragged_down, spent, overloaded, starting, not_fitted or unknown."""
    def position(self, element: str) -> str | None:
        """Say where an element really stands; None where unknown or it has no positions."""
    def passes(self, element: str) -> bool | None:
        """Say whether an element lets supply through; None where unknown."""
    def tripped(self, element: str) -> bool | None:
        """Say whether a protecting device has tripped; None where unknown."""
    def shows(self, element: str) -> str | None:
        """Say what a light, gauge or flag shows now; None where unknown."""
    def level(self, function: str) -> Level:
        """Say how a function would work if asked for now: normal, degraded, lost, not_fitted or unknown."""
    def mode(self, function: str) -> str | None:
        """Say which mode of a function is in use; None where lost, not fitted or unknown."""
    def now(self, function: str) -> bool | None:
        """Say whether a function is in operation as things stand; None where unknown."""
    @property
    def normal(self) -> list[str]:
        """Functions at level normal, in id order."""
    @property
    def degraded(self) -> list[str]:
        """Functions that fall back, in id order."""
    @property
    def lost(self) -> list[str]:
        """Functions lost, in id order."""
    @property
    def unknown(self) -> list[str]:
        """Functions whose level is unknown, in id order."""
    @property
    def hunting(self) -> list[str]:
        """Elements that never came to rest."""
    @property
    def network(self) -> Network:
        """The aircraft this is about."""
    @property
    def state(self) -> State:
        """A copy of the settled state this is the outcome of."""
    def to_dict(self) -> WhatWorksDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["functions", "elements", "stored"] = "functions") -> pd.DataFrame:
        """Give one row a function, or an element, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def what_works(
    state: _Asked,
    failed: str | Iterable[Failure] = (),
    positions: Mapping[str, str] = {},
    given: Mapping[str, bool] = {},
    steps: Sequence[Step] = [],
) -> WhatWorks:
    """Say what still works, what falls back and what is lost, group by group."""

class Why:
    """Why something is lost, or on what it lives. Prints as indented sentences."""

    @property
    def id(self) -> str:
        """The element or function asked about."""
    @property
    def headline(self) -> str:
        """The answer in a sentence."""
    @property
    def roots(self) -> list[tuple[str, str]]:
        """The root causes, then what could help if changed: (id, failure mode, position or "true" or "false"). `to_dict()` has the kind of each."""
    @property
    def sets(self) -> list[list[tuple[str, str]]]:
        """Of what is lost: every smallest set of what is present that is enough alone, as lists like `roots`; fewest causes first."""
    @property
    def causes(self) -> CauseSets | None:
        """Of what is lost: the sets with all that is present, and whether they are complete; else None."""
    @property
    def last(self) -> LastLine | None:
        """Of what works: how many independent sources are left, and every single failure that takes it; else None."""
    @property
    def table(self) -> Table:
        """One row a sentence."""
    def to_dict(self) -> WhyDict:
        """Give id, headline, lines, roots, causes and last line of defence as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a sentence, with its depth and what it is about, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def why(state: _Asked, id: str) -> Why:
    """Explain why an element or function is lost or degraded, down to root causes; or the path it lives on."""
def live_sources(state: _Asked, id: str) -> list[str]:
    """List the sources behind an element or function now, in id order."""

class RootCauses:
    """Root causes, and their consequences under them. Prints as a sheet."""

    @property
    def causes(self) -> list[RootCause]:
        """All that is present: failures, trips and empty stores that follow from nothing else, modes used, hands away from rest, givens other than in the model."""
    @property
    def consequences(self) -> list[Consequence]:
        """What stands worse than in the running aircraft; `roots` are sets of places in `causes`, empty where no set is enough."""
    @property
    def remembered(self) -> list[str]:
        """Where no set of causes is enough for something: what the aircraft remembers beside them."""
    @property
    def complete(self) -> bool:
        """False with more than twelve causes, where not every set was tried."""
    @property
    def complete_to(self) -> int:
        """Every set of up to so many causes was tried."""
    @property
    def table(self) -> Table:
        """One row a set of roots and consequence."""
    def to_dict(self) -> RootCausesDict:
        """Give everything as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a set of roots and consequence, as a pandas data frame."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Consequence]: ...
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def root_causes(state: _Asked) -> RootCauses:
    """Sort what is worse than in the running aircraft under the causes that take it there."""

class SupplyList:
    """What hangs on a bus, breaker or source, and what feeds it. Prints as a sheet."""

    @property
    def id(self) -> str:
        """The element that was found."""
    @property
    def name(self) -> str:
        """Its name."""
    @property
    def lost_as(self) -> str:
        """What its loss is here, in a sentence."""
    @property
    def lost_already(self) -> bool:
        """True where it is lost as things stand: then nothing needs it or uses it."""
    @property
    def sure(self) -> bool:
        """False where something never comes to rest, and which feed is in use is not sure."""
    @property
    def ways(self) -> list[SupplyWay]:
        """What feeds it directly, by priority; of a device, the ways it stands in."""
    @property
    def path(self) -> list[str]:
        """What feeds it all the way, nearest first."""
    @property
    def sources(self) -> list[str]:
        """The live sources at the far end."""
    @property
    def others(self) -> list[str]:
        """Sources not in use for it from which some way leads, open or not."""
    @property
    def needs(self) -> list[SupplyLine]:
        """What loses supply, or may, when it alone is lost."""
    @property
    def uses(self) -> list[SupplyLine]:
        """What lives on it now and stays supplied by another feed; `sources` are those it then has."""
    @property
    def could(self) -> list[SupplyLine]:
        """What it could feed, and does not now."""
    @property
    def unknown(self) -> list[SupplyLine]:
        """What is perhaps supplied as things stand."""
    @property
    def functions(self) -> list[Change]:
        """Functions that stand otherwise when it is lost: worse first."""
    @property
    def tables(self) -> list[Table]:
        """What feeds it, what hangs on it, functions."""
    def to_dict(self) -> SupplyListDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["hanging", "ways", "functions"] = "hanging") -> pd.DataFrame:
        """Give one row a thing that hangs on it, a way in, or a function that changes, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def supply_list(state: _Asked, name: str) -> SupplyList:
    """List what hangs on a bus, breaker or source, and what feeds it, directly and all the way."""

class Lint:
    """What a model leaves open: one finding a thing. Prints as a sheet."""

    @property
    def findings(self) -> list[Finding]:
        """One dict a finding, by code and id: what is so, and how to mend it."""
    @property
    def table(self) -> Table:
        """One row a finding."""
    def to_dict(self) -> LintDict:
        """Give the findings as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a finding, as a pandas data frame."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Finding]: ...
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def lint(model: Model | Network) -> Lint:
    """Say what a model leaves open: what nothing reads, what can never matter, what its author did not say."""

class Indications:
    """What every light, gauge and flag shows, which mislead and which are dark. Prints as a table."""

    @property
    def shown(self) -> list[Indication]:
        """One dict an element that shows something, in id order."""
    @property
    def misleading(self) -> list[str]:
        """Those whose reading is wrong."""
    @property
    def dark(self) -> list[str]:
        """Those that are not supplied and show nothing of their own; they do not mislead."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def to_dict(self) -> list[Indication]:
        """Give `shown`."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row an indication as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Indication]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def indications(state: _Asked) -> Indications:
    """Say what every light, gauge and flag shows now, what a healthy aircraft would show, which mislead and which are dark."""

class ImpactTable:
    """Every failure and common cause, and combinations of failures, against every function. Prints as a table."""

    @property
    def rows(self) -> list[Impact]:
        """One dict a cause that changes something, worst first."""
    @property
    def functions(self) -> list[str]:
        """Functions any row changes."""
    @property
    def examined(self) -> int:
        """How many single causes were tried."""
    @property
    def combinations(self) -> int:
        """How many combinations of failures were tried; 0 with order 1."""
    @property
    def inert(self) -> int:
        """How many failures can reach no function examined, and are in no combination."""
    @property
    def unchanged(self) -> int:
        """How many of them change no function, of `goals` where given."""
    @property
    def goals(self) -> list[str]:
        """The only functions examined; empty: all."""
    @property
    def table(self) -> Table:
        """The table that is printed: causes × functions."""
    def to_dict(self) -> list[Impact]:
        """Give `rows`."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a changed function of a cause as a pandas data frame; `table.to_dataframe()` is causes × functions."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Impact]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def snapshot(state: State) -> bytes:
    """Write a state as bytes, by id, under a fingerprint of its network. Same state, same bytes."""

def read_snapshot(net: Network, bytes: bytes) -> State:
    """Read a state back, in this process or another."""

def malfunctions(net: Network) -> list[Malfunction]:
    """List every malfunction the aircraft can have, in the order of handles: what an instructor's station lists."""

def bistable(net: Network) -> list[str]:
    """List the elements that differ between the running and the cold aircraft: what depends on where it came from."""

def impact_table(
    state: _Asked,
    *,
    order: int = 1,
    causes: bool = True,
    goals: Sequence[str] = [],
) -> ImpactTable:
    """Add each failure and common cause to a settled state, against every function; and each pair or triple of failures."""

class NextFailures:
    """Which single failures hurt next, against the clean aircraft. Prints as a sheet."""

    @property
    def rows(self) -> list[NextFailure]:
        """One dict a failure that makes a function worse, worst first."""
    @property
    def newly_exposed(self) -> list[NextFailure]:
        """Those of the rows that take a function further than what is present, and than they do alone on the clean aircraft."""
    @property
    def sources(self) -> list[SourcesLeft]:
        """One dict a function: independent sources left, now and on the clean aircraft."""
    @property
    def changes(self) -> list[Change]:
        """Functions that stand worse already than on the clean aircraft."""
    @property
    def counted(self) -> list[str]:
        """The sources, controllers and drives that are counted, in id order."""
    @property
    def examined(self) -> int:
        """How many causes were tried."""
    @property
    def tables(self) -> list[Table]:
        """Newly exposed, sources left, and what hurts no more than before."""
    def to_dict(self) -> NextFailuresDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["failures", "sources"] = "failures") -> pd.DataFrame:
        """Give one row a failure, or a function with its sources, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[NextFailure]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def next_failures(
    state: _Asked,
    *,
    causes: bool = True,
    goals: Sequence[str] = [],
    sources: bool = True,
    most_settles: int = 30000,
) -> NextFailures:
    """List further single failures by harm, against the clean aircraft, and count the independent sources left."""

class DispatchTable:
    """The dispatch items of a model, with what each takes away. Prints as a sheet."""

    @property
    def rows(self) -> list[DispatchRow]:
        """One dict an item, by chapter; its units with what the deferral of each does alone."""
    @property
    def conflicts(self) -> list[Conflict]:
        """Pairs of deferrals that do not go together, and why."""
    @property
    def pairs(self) -> int:
        """How many pairs of units there are to examine."""
    @property
    def pairs_examined(self) -> int:
        """How many of them were; fewer where the budget ran out."""
    @property
    def table(self) -> Table:
        """One row a unit: the columns of the list in their order, then what is computed."""
    @property
    def tables(self) -> list[Table]:
        """For paper: the list, what each takes at once and exposes, conditions, pairs, symptoms."""
    def to_dict(self) -> DispatchTableDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["items", "exposed", "conditions", "conflicts", "hidden"] = "items") -> pd.DataFrame:
        """Give one row a unit, or one of what is computed, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[DispatchRow]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def dispatch_table(state: _Asked, *, causes: bool = True, most_settles: int = 300000) -> DispatchTable:
    """Tabulate every dispatch item: what its deferral takes, exposes and asks for, and which other deferrals it must not meet."""

class DeferralCheck:
    """What a set of open items takes together, and where they get in each other's way. Prints as a sheet."""

    @property
    def items(self) -> list[OpenItem]:
        """One dict an open item; its conditions with all of them out, its last day."""
    @property
    def changes(self) -> list[Change]:
        """Functions lost or degraded with all of them out."""
    @property
    def conflicts(self) -> list[Conflict]:
        """Where they get in each other's way, and why."""
    @property
    def next(self) -> NextFailures:
        """The next failures and sources left with all of them out."""
    @property
    def outcome(self) -> Outcome:
        """The outcome with all of them out."""
    @property
    def before(self) -> Outcome:
        """The outcome without them."""
    @property
    def tables(self) -> list[Table]:
        """Open items, conditions, conflicts, what each takes and all take, next failures, sources left."""
    def to_dict(self) -> DeferralCheckDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["items", "conflicts", "failures", "sources"] = "items") -> pd.DataFrame:
        """Give one row an open item, a conflict, a next failure or a function with its sources, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def check_deferrals(state: _Asked, items: Iterable[OpenAs], *, causes: bool = True) -> DeferralCheck:
    """Say what a set of open dispatch items takes together, which conditions they break, and what hurts next."""
def last_repair_day(category: str, found: datetime.date) -> datetime.date | None:
    """Give the last day of a repair interval: calendar days, the day of discovery excluded; None for category A."""

class Preview:
    """What crew actions would do, before they are taken. Prints as a sheet."""

    @property
    def actions(self) -> Step:
        """The actions taken, as a step: those asked for that are not refused."""
    @property
    def refused(self) -> list[Refused]:
        """Actions the aircraft does not allow, and why."""
    @property
    def gained(self) -> list[Change]:
        """Functions that then stand better."""
    @property
    def worse(self) -> list[Change]:
        """Functions that then stand worse, or are no longer known."""
    @property
    def other(self) -> list[Change]:
        """Functions lost before and then unknown, or in another mode as good."""
    @property
    def operation(self) -> list[Operation]:
        """Functions that go into or out of operation; None is unknown."""
    @property
    def elements(self) -> list[ElementChange]:
        """Elements whose status, position, trip or reading changes."""
    @property
    def fault(self) -> FaultGrowth:
        """How a fault gets more: its zone, what trips, stores a leak empties."""
    @property
    def undone(self) -> Undone:
        """What stays when the actions are taken back; `complete` where nothing does."""
    @property
    def stored(self) -> list[StoredLine]:
        """What then hangs on stored energy alone, and did not."""
    @property
    def sources_dropped(self) -> list[str]:
        """Sources in use before, and not after."""
    @property
    def sources_taken(self) -> list[str]:
        """Sources in use after, and not before."""
    @property
    def reach(self) -> Reach:
        """How far somebody goes for it: cockpit, cabin or ground."""
    @property
    def before(self) -> Outcome:
        """The outcome as things stand."""
    @property
    def after(self) -> Outcome:
        """The outcome with the actions taken."""
    @property
    def tables(self) -> list[Table]:
        """Functions and elements that change, what then hangs on stored energy, what stays."""
    def to_dict(self) -> PreviewDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["functions", "elements", "lasting"] = "functions") -> pd.DataFrame:
        """Give one row a function that changes, an element that changes, or a thing that stays, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def preview(state: _Asked, actions: Actions) -> Preview:
    """Say what crew actions would do, before they are taken: positions, resets and uses, all in one step."""

class Restore:
    """Every smallest set of crew actions that brings a function back, and what each costs. Prints as a sheet."""

    @property
    def goals(self) -> list[RestoreGoal]:
        """One dict a function asked for that stands below the level: `sets` are places in `sets`."""
    @property
    def sets(self) -> list[RestoringSet]:
        """One dict a set: fewest actions first, then least price, then ids."""
    @property
    def best_single(self) -> RestoringSet | None:
        """The one action that brings back most of all lost functions, as a set; None where none does."""
    @property
    def actions(self) -> int:
        """How many actions are in reach and possible."""
    @property
    def combinations(self) -> int:
        """How many combinations of them were examined; those that can reach no goal are not."""
    @property
    def complete(self) -> bool:
        """False where it was cancelled, ran out of time, or so much hunts that everything is unknown; what is listed holds all the same."""
    @property
    def complete_to(self) -> int:
        """Every set of up to so many actions was examined."""
    @property
    def before(self) -> Outcome:
        """The outcome as things stand."""
    @property
    def tables(self) -> list[Table]:
        """The functions asked for, and the sets."""
    def to_dict(self) -> RestoreDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["sets", "goals"] = "sets") -> pd.DataFrame:
        """Give one row a set and function it brings back, or a function asked for, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[RestoringSet]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def restore(
    state: _Asked,
    goals: str | Sequence[str] | None = None,
    *,
    to: Literal["normal", "degraded"] | None = None,
    most_actions: int = 3,
    reach: Reach = "cockpit",
    next: bool = False,
    seconds: float | None = None,
    progress: Callable[[float], object] | None = None,
) -> Restore:
    """Find every smallest set of crew actions that brings a function back."""

class LoadSheet:
    """What is drawn from every source, bus, converter and breaker in one operating condition. Prints as a sheet."""

    @property
    def condition(self) -> str:
        """The operating condition."""
    @property
    def shed(self) -> list[str]:
        """Loads taken off: shed by hand."""
    @property
    def lines(self) -> list[LoadLine]:
        """One dict a source, converter, bus, device and load, in this order; devices and loads where something may flow."""
    @property
    def one_source_out(self) -> list[SourceOut]:
        """With each source or converter lost: the lines of the others, and of what is, or may be, overloaded; loads that are then without supply."""
    @property
    def findings(self) -> list[LoadFinding]:
        """Overloads, generators above 80 percent, breakers against their wire, volts lost."""
    @property
    def delivered_watts(self) -> Figure:
        """What sources deliver continuously."""
    @property
    def consumed_watts(self) -> Figure:
        """What loads take continuously."""
    @property
    def lost_watts(self) -> Figure:
        """What converters lose continuously."""
    @property
    def missing(self) -> list[str]:
        """What is not in the model, so that figures are not sure."""
    @property
    def assumptions(self) -> list[str]:
        """What is assumed."""
    @property
    def outcome(self) -> Outcome:
        """What holds in the state asked about."""
    @property
    def tables(self) -> list[Table]:
        """Findings, sources, buses and converters, devices, loads, one source out: those that have rows."""
    def line(self, element: str) -> LoadLine | None:
        """Give the line of an element; None where it is not on the sheet."""
    def to_dict(self) -> LoadSheetDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["lines", "one_source_out", "without_supply", "findings"] = "lines") -> pd.DataFrame:
        """Give one row a line, a line or a load without supply with one source out, or a finding, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def load_conditions(net: Network) -> list[str]:
    """List the operating conditions a model names in its loads, in the order of their ids."""

def load_sheet(state: _Asked, condition: str, *, one_source_out: bool = True, shed: Sequence[str] = ()) -> LoadSheet:
    """Sum what is drawn along the supply in use, on every source, bus, converter and breaker."""

class PowerBalance:
    """Sources that cannot carry what rests on them, and what goes when they drop their bus. Prints as a sheet."""

    @property
    def rounds(self) -> list[BalanceRound]:
        """One dict a round: the groups of sources that gave no voltage at once, what that changed, and whether they stay off line."""
    @property
    def possible(self) -> list[Overloading]:
        """Groups that may be overloaded in any round: nothing was dropped for them."""
    @property
    def decided(self) -> bool:
        """False where what is possible, or not known, could have dropped more."""
    @property
    def missing(self) -> list[str]:
        """What is not in the model, so that figures are not sure."""
    @property
    def assumptions(self) -> list[str]:
        """What is assumed."""
    @property
    def before(self) -> Outcome:
        """What holds in the state asked about."""
    @property
    def after(self) -> Outcome:
        """What holds in the end; ask on from its state."""
    @property
    def tables(self) -> list[Table]:
        """Groups that are, or may be, overloaded; functions and elements that stand otherwise in the end, where any do."""
    def to_dict(self) -> PowerBalanceDict:
        """Give everything as plain Python values; gained, worse and the like are of all rounds together."""
    def to_dataframe(self, of: Literal["groups", "changes", "elements"] = "groups") -> pd.DataFrame:
        """Give one row a group, a function that stands otherwise in the end, or an element, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def power_balance(
    state: _Asked,
    condition: str,
    over: Literal["continuous", "five_minutes", "five_seconds", "inrush"] = "continuous",
    times_rating: float = 1.0,
) -> PowerBalance:
    """Weigh the load against what sources are rated at; those that cannot carry it drop their bus."""

class Endurance:
    """How long batteries last, what shedding buys, and what accumulators and bottles give. Prints as a sheet."""

    @property
    def batteries(self) -> list[BatteryEndurance]:
        """One dict a battery, with its phases and what shedding each load buys."""
    @property
    def gas(self) -> list[GasEndurance]:
        """One dict an accumulator or bottle that says what it holds."""
    @property
    def missing(self) -> list[str]:
        """What is not in the model or was not said, so that figures are not sure."""
    @property
    def assumptions(self) -> list[str]:
        """What is assumed."""
    @property
    def outcome(self) -> Outcome:
        """What holds in the state asked about."""
    @property
    def tables(self) -> list[Table]:
        """Batteries, what shedding buys, accumulators and bottles: those that have rows."""
    def to_dict(self) -> EnduranceDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["batteries", "sheds", "gas"] = "batteries") -> pd.DataFrame:
        """Give one row a battery, a load that could be shed, or an accumulator or bottle, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def endurance(
    state: _Asked,
    condition: str | None = None,
    *,
    store: str | None = None,
    before: str | None = None,
    landing: str | None = None,
    shed_after_min: float | None = None,
    landing_min: float | None = None,
    derating: float | None = None,
    charge: float | None = None,
    peukert: float | None = None,
    peukert_hours: float | None = None,
    shed: Sequence[str] = (),
    required_min: float | None = None,
    required_applications: int | None = None,
    rapid_exponent: float = 1.4,
) -> Endurance:
    """Say how long a battery lasts, what shedding buys, and how often an accumulator or bottle can be used."""

class Followed:
    """A checklist played step by step: what each step changed, and which did nothing. Prints as a sheet."""

    @property
    def steps(self) -> list[FollowedStep]:
        """One dict a step: what it changed against the one before, what was refused, and why nothing came of it."""
    @property
    def before(self) -> Outcome:
        """The outcome before the first step."""
    @property
    def after(self) -> Outcome:
        """The outcome after the last step."""
    @property
    def tables(self) -> list[Table]:
        """One row a step; functions that stand otherwise in the end."""
    def to_dict(self) -> FollowedDict:
        """Give the steps, and what differs in the end, as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a step as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[FollowedStep]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def follow(state: _Asked, steps: Sequence[Step]) -> Followed:
    """Play a checklist step by step, each settled before the next; mark what does nothing any more or is refused, and why."""

class Chart:
    """A drawing as SVG. A notebook shows it; `svg` is its text, to be written to a file."""

    @property
    def svg(self) -> str:
        """The drawing as text."""
    def _repr_svg_(self) -> str:
        """What a notebook shows."""

class Timeline:
    """What happens when, after events at their times. Prints as a sheet."""

    @property
    def before(self) -> Outcome:
        """The outcome at the beginning."""
    @property
    def after(self) -> Outcome:
        """The outcome at the end, with what is on its way standing still."""
    @property
    def outcomes(self) -> list[Outcome]:
        """The outcome after each instant."""
    @property
    def instants(self) -> list[Instant]:
        """One dict an instant: when, what happened, and what it changed."""
    @property
    def interruptions(self) -> list[Interruption]:
        """What was without supply for a while."""
    @property
    def cannot_move(self) -> list[CannotMove]:
        """What keeps its position in the end, whatever is selected: it has no supply, or has failed."""
    @property
    def on_its_way(self) -> list[OnItsWay]:
        """What moves, starts or runs down when the timeline ends, and when it is due."""
    @property
    def batteries(self) -> list[BatteryLeft]:
        """What batteries have left in the end: the part of what is usable, and ampere-hours. Empty without a condition."""
    @property
    def assumptions(self) -> list[str]:
        """What was taken for granted, in sentences."""
    @property
    def until_s(self) -> float:
        """The end, in seconds."""
    @property
    def complete(self) -> bool:
        """Whether everything to the end was played."""
    @property
    def open(self) -> str:
        """Where it is not complete: why what follows is not played."""
    @property
    def tables(self) -> list[Table]:
        """What happens when; functions over time; interruptions; what cannot be moved; what is on its way; what batteries have left."""
    def to_dict(self) -> TimelineDict:
        """Give the instants, what follows from them, and what differs in the end, as plain Python values."""
    def to_dataframe(self, of: Literal["functions", "interruptions"] = "functions") -> pd.DataFrame:
        """Give the level of each function at the beginning and after each instant, or the interruptions, as a pandas data frame."""
    def chart(self) -> Chart:
        """Draw it: a bar for each function, source and bus that changes, along one axis of time."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Instant]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def timeline(
    state: _Asked,
    steps: Iterable[tuple[float, Step]],
    until_s: float,
    *,
    condition: str | None = None,
    derating: float | None = None,
    charge: float | None = None,
    peukert: float | None = None,
    peukert_hours: float | None = None,
) -> Timeline:
    """Play events at their times, with the delays of what they set off, and say what happens when."""

class Coverage:
    """What a set of checks reveals, what stays hidden, what looks alike, which path each step proves. Prints as a sheet."""

    @property
    def steps(self) -> list[CoverageStep]:
        """One dict a step: what it reads, which wrong reading comes from which failures, which paths it proves."""
    @property
    def failures(self) -> list[CoverageFailure]:
        """One dict a failure: the checks that reveal it, and what shows it without any."""
    @property
    def hidden(self) -> list[tuple[str, str]]:
        """Failures that no check reveals, as (element, mode)."""
    @property
    def silent(self) -> list[tuple[str, str]]:
        """Those of them that no indication shows by itself either."""
    @property
    def alike(self) -> list[list[tuple[str, str]]]:
        """Groups of revealed failures that read the same in every step of every check."""
    @property
    def adds_nothing(self) -> list[str]:
        """Checks that reveal nothing that the others together do not."""
    @property
    def smallest(self) -> list[str]:
        """A smallest set of checks that reveals the same."""
    @property
    def smallest_exact(self) -> bool:
        """False where the search for it ran out, and there may be a smaller one."""
    @property
    def paths(self) -> list[Path]:
        """One dict a feed or tie of a port with several: the steps that prove it, and what shows where it is cut."""
    @property
    def before(self) -> Outcome:
        """The outcome as things stand."""
    @property
    def tables(self) -> list[Table]:
        """Steps, paths, what no check reveals, what looks alike, failures and checks."""
    def to_dict(self) -> CoverageDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["failures", "readings", "paths"] = "failures") -> pd.DataFrame:
        """Give one row a failure, a failure and step that reads wrong with it, or a path, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[CoverageFailure]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def check_coverage(state: _Asked, checks: str | Sequence[str] | Mapping[str, Check] | None = None) -> Coverage:
    """Say which single failures a set of checks reveals, which stay hidden, which look alike, and which path each step proves."""

class Diagnosis:
    """Which failures explain what was seen, and what to look at next. Prints as a sheet."""

    @property
    def candidates(self) -> list[Candidate]:
        """One dict a set: fewest contradictions first, then what surely explains, smallest, most likely, ids."""
    @property
    def looks(self) -> list[NextLook]:
        """What tells the candidates apart best, with what each result would leave."""
    @property
    def observations(self) -> list[Observed]:
        """What was seen, in the order given."""
    @property
    def unexpected(self) -> list[int]:
        """Places of observations that the aircraft as it stands contradicts."""
    @property
    def undecided(self) -> list[int]:
        """Places of those whose prediction is unknown as it stands."""
    @property
    def found(self) -> list[int]:
        """How many sets there are with no and with one contradiction, listed or not."""
    @property
    def considered(self) -> int:
        """How many candidates the next looks tell apart."""
    @property
    def by_rates(self) -> bool:
        """Whether these were weighed by rates; False: equally, since rates are missing."""
    @property
    def combinations(self) -> int:
        """How many sets were examined; those that can reach nothing observed are not."""
    @property
    def complete(self) -> bool:
        """False where it was cancelled or out of budget; what is listed holds all the same."""
    @property
    def complete_to(self) -> int:
        """Every set of up to so many failures was examined."""
    @property
    def before(self) -> Outcome:
        """The outcome as things stand."""
    @property
    def tables(self) -> list[Table]:
        """What was seen, what explains it, what to look at next."""
    def to_dict(self) -> DiagnosisDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["candidates", "looks"] = "candidates") -> pd.DataFrame:
        """Give one row a candidate, or a next look and result, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Candidate]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def diagnose(
    state: _Asked,
    observations: Iterable[tuple[str, str] | tuple[str, str, StepDoes] | Observation | Observed] | Mapping[str, str],
    prior: Mapping[str, float] | Mapping[tuple[str, str], float] | None = None,
    *,
    most_failures: int = 2,
    within: str | Iterable[Failure] | None = None,
    mistaken: bool = True,
    next: bool = True,
    reach: Reach = "cockpit",
    most_listed: int = 1000,
    seconds: float | None = None,
    progress: Callable[[float], object] | None = None,
) -> Diagnosis:
    """Find every smallest set of failures that explains what was seen, dead and alive, and what to look at next."""

class Quiz:
    """A quiz: what has failed is hidden, symptoms are given, guesses are taken. Prints as a table of what was seen."""

    @property
    def symptoms(self) -> list[Observed]:
        """The indications that surely changed."""
    @property
    def seen(self) -> list[Observed]:
        """The symptoms, then what was looked at since: observations for `diagnose`."""
    @property
    def answer(self) -> list[tuple[str, str] | tuple[str, str, str]]:
        """What is hidden."""
    @property
    def before(self) -> Outcome:
        """The outcome without what is hidden."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def look(self, id: str, set: Mapping[str, str] | None = None, given: Mapping[str, bool] | None = None) -> str | None:
        """Look at one thing more, and give what is seen: what an element shows, whether it works or where it stands, or the level of a function."""
    def guess(self, failures: str | Iterable[Failure]) -> Guess:
        """Say what a guess explains of all that was seen, what it contradicts, and whether it is what is hidden or looks exactly like it."""
    def to_dict(self) -> list[Observed]:
        """Give `seen`."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a thing seen as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""

def quiz(state: _Asked, hidden: str | Iterable[Failure] | None = None, *, seed: int = 0, failures: int = 1, within: str | Iterable[Failure] | None = None) -> Quiz:
    """Hide failures and give the symptoms: given ones, or drawn ones that show on some indication. The same seed hides the same."""

class DeadControls:
    """Which controls no longer change anything, and which still do. Prints as a table."""

    @property
    def controls(self) -> list[Control]:
        """One dict a control, in id order, with what each other position would change."""
    @property
    def dead(self) -> list[str]:
        """Those none of whose positions changes anything, for sure."""
    @property
    def alive(self) -> list[str]:
        """Those that still change something."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def to_dict(self) -> list[Control]:
        """Give `controls`."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a control and position as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[Control]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def dead_controls(state: _Asked, reach: Reach = "cockpit") -> DeadControls:
    """Say which controls no longer change anything, and what each position of the others would change, in count."""

class SweepResult:
    """The combinations of a sweep that change a function, as columns. Prints as a table."""

    NONE: ClassVar[int]
    LEVELS: ClassVar[tuple[Level, ...]]
    @property
    def events(self) -> npt.NDArray[np.uint32]:
        """What is added, rows × 3, uint32: places in `combined`, ascending; NONE behind the last."""
    @property
    def goal(self) -> npt.NDArray[np.uint32]:
        """The function it changes, one a row, uint32: a place in `functions`."""
    @property
    def level(self) -> npt.NDArray[np.uint8]:
        """The level it takes it to, one a row, uint8: a place in LEVELS."""
    @property
    def combined(self) -> list[Combined]:
        """The events that were combined, written as they are asked for, in the order asked."""
    @property
    def functions(self) -> list[str]:
        """All functions, in id order."""
    @property
    def goals(self) -> list[str]:
        """The only functions examined; empty: all."""
    @property
    def combinations(self) -> int:
        """How many combinations were examined."""
    @property
    def alone(self) -> int:
        """How many of them were settled alone, since something hunts."""
    @property
    def evaluated(self) -> int:
        """How many gates were evaluated, 512 combinations at a time."""
    @property
    def inert(self) -> int:
        """How many events can reach no function examined, and are in no combination; 0 with `all`."""
    @property
    def complete(self) -> bool:
        """False where it was cancelled or ran out of time; what is listed holds all the same."""
    @property
    def complete_to(self) -> int:
        """Every combination of up to so many events was examined."""
    @property
    def before(self) -> Outcome:
        """The outcome everything was added to."""
    @property
    def table(self) -> Table:
        """The table that is printed, with every row."""
    def to_dict(self) -> SweepDict:
        """Give rows, events and counts as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a combination and function as a pandas data frame of categories: event_1 to event_3, function, before, after."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __getitem__(self, index: int, /) -> SweepRow: ...
    def __iter__(self, /) -> Iterator[SweepRow]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def sweep(
    state: _Asked,
    *,
    order: int = 1,
    events: str | Iterable[SweepEvent] | None = None,
    goals: Sequence[str] | None = None,
    all: bool = False,
    one_mode_an_element: bool = True,
    threads: int = 1,
    instructions: InstructionSet | None = None,
    seconds: float | None = None,
    progress: Callable[[float], object] | None = None,
    executor: Executor | None = None,
    shards: int | None = None,
) -> SweepResult:
    """Add every combination of up to three events to a settled state, each in one step, and list those that change a function."""

class SweepShard:
    """A part of a sweep, to be called where it is to run. It pickles."""

    def __call__(self, /) -> SweepResult: ...

def sweep_shards(
    state: _Asked,
    *,
    shards: int,
    order: int = 1,
    events: str | Iterable[SweepEvent] | None = None,
    goals: Sequence[str] | None = None,
    all: bool = False,
    one_mode_an_element: bool = True,
    threads: int = 1,
    instructions: InstructionSet | None = None,
    seconds: float | None = None,
) -> list[SweepShard]:
    """Cut a sweep into shards that run anywhere; `join` makes one result of theirs."""

def join(results: Sequence[SweepResult]) -> SweepResult:
    """Make one result of those of all shards of a sweep, in any order; the same as that of the sweep in one piece."""

def instruction_sets() -> list[InstructionSet]:
    """List the instruction sets a sweep can use on this machine, the best last."""

class CutSets:
    """Which failures, together, take a function below a level; or what is enough to keep it. Prints as a table."""

    @property
    def function(self) -> str:
        """The function."""
    @property
    def sets(self) -> list[list[tuple[str, str]]]:
        """Lists of (element, mode), by how many, then ids."""
    @property
    def counts(self) -> list[int]:
        """How many sets there are of 0, 1, 2 … failures, listed or not."""
    @property
    def complete(self) -> bool:
        """Every minimal set is counted."""
    @property
    def complete_to(self) -> int | None:
        """Every minimal set of up to so many failures is counted; None where not even that is known."""
    @property
    def spreading_to(self) -> int | None:
        """Every minimal set in which at most so many failures spread is counted, of any order; None where that is not known."""
    @property
    def doubtful(self) -> list[tuple[str, str]]:
        """What `spreading_to` does not hold for: with these something may hunt, or was too much."""
    @property
    def complete_from(self) -> float | None:
        """Every minimal set that is at least so probable is counted; None where that is not what limits them."""
    @property
    def dropped(self) -> float | None:
        """With hours: on no flight is it likelier that the function is below the level without all of any set that is counted."""
    @property
    def missing(self) -> list[tuple[str, str]]:
        """With hours: failures with neither rate nor probability, that matter, or, where combinations are settled, any. Taken as certain."""
    @property
    def already(self) -> bool:
        """The function is below the level as it is."""
    @property
    def helping(self) -> list[tuple[str, str]] | None:
        """Failures that, in some combination, keep the function where it would else be below; None where that was not found out."""
    @property
    def by(self) -> str:
        """How the sets were found."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def to_dict(self) -> CutSetsDict:
        """Give everything as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a failure of a set as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[list[tuple[str, str]]]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def cut_sets(
    state: _Asked,
    function: str,
    *,
    below: Literal["normal", "degraded"] = "normal",
    order: int | None = None,
    within: str | Iterable[Failure] | None = None,
    hours: float = 0.0,
    at_least: float = 0.0,
    most_sets: int = 10000,
    nodes: int = 4194304,
    seconds: float = 0.0,
    progress: Callable[[float], object] | None = None,
) -> CutSets:
    """Find the smallest sets of failures that, added in one step, take a function below a level."""

def path_sets(
    state: _Asked,
    function: str,
    *,
    below: Literal["normal", "degraded"] = "normal",
    order: int | None = None,
    within: str | Iterable[Failure] | None = None,
    most_sets: int = 10000,
    nodes: int = 4194304,
) -> CutSets:
    """Find the smallest sets of failures that must not be there so that a function stays, whatever else fails."""

class PrimeImplicants:
    """With what failed, and what working, a function is below a level whatever the rest do. Prints as a table."""

    @property
    def function(self) -> str:
        """The function."""
    @property
    def sets(self) -> list[Implicant]:
        """Dicts of `failed` and `working`, lists of (element, mode), by how many they name, then ids."""
    @property
    def counts(self) -> list[int]:
        """How many name 0, 1, 2 … failures, listed or not."""
    @property
    def already(self) -> bool:
        """The function is below the level as it is."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def to_dict(self) -> PrimeImplicantsDict:
        """Give everything as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a failure of a set as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def prime_implicants(
    state: _Asked,
    function: str,
    *,
    below: Literal["normal", "degraded"] = "normal",
    within: str | Iterable[Failure] | None = None,
    most_sets: int = 10000,
    nodes: int = 4194304,
) -> PrimeImplicants:
    """Find, where a failure can help, with what failed and what working a function is below a level whatever the rest do."""

class Risk:
    """How likely it is that failures take a function below a level. Prints as a table."""

    @property
    def function(self) -> str:
        """The function."""
    @property
    def low(self) -> float:
        """Per flight, on average: it is at least so likely."""
    @property
    def high(self) -> float:
        """Per flight, on average: it is at most so likely; equal to `low` where exact."""
    @property
    def exact(self) -> bool:
        """It is the exact probability, of all that may happen."""
    @property
    def flights(self) -> int:
        """Over how many flights it is averaged: until all checks of hidden failures fall together."""
    @property
    def per_hour_low(self) -> float:
        """Of `low`, by the hours of a flight."""
    @property
    def per_hour_high(self) -> float:
        """Of `high`, by the hours of a flight."""
    @property
    def already(self) -> bool:
        """The function is below the level as it is."""
    @property
    def missing(self) -> list[tuple[str, str]]:
        """Failures with neither rate nor probability that matter, or, where combinations are settled, any: (element, mode)."""
    @property
    def parts(self) -> list[FailureRisk]:
        """One dict a failure, or a common cause, that matters: its probability and importances, most critical first; none where it is not exact, or they were not asked for."""
    @property
    def causes(self) -> list[CauseRisk]:
        """One dict a common cause with a probability, and one a common cause or zone that takes the function below alone; zones last."""
    @property
    def rare_event(self) -> float | None:
        """The sum of the cut sets' probabilities, never below the probability; None where it is not exact."""
    @property
    def cut_set_bound(self) -> float | None:
        """One less the product of (1 - probability) over the cut sets, never below the probability; None where it is not exact."""
    @property
    def severity(self) -> Severity | None:
        """Of the loss, as the author has it."""
    @property
    def objective(self) -> float | None:
        """Per flight hour, for that severity; None where there is none."""
    @property
    def limit(self) -> float | None:
        """What is taken as on the order of the objective: up to three times it, with AC 25.1309-1B."""
    @property
    def meets(self) -> bool | None:
        """Whether the objective is met; None where there is none, or the interval does not decide."""
    @property
    def single_failure(self) -> bool:
        """One failure alone does it, of a catastrophic loss."""
    @property
    def latent(self) -> list[LatentFinding]:
        """Pairs with a hidden failure that are beyond the limits for them, of a catastrophic loss."""
    @property
    def by(self) -> str:
        """How it was found."""
    @property
    def table(self) -> Table:
        """The table that is printed."""
    def to_dict(self) -> RiskDict:
        """Give everything as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give `parts` as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def risk(
    state: _Asked,
    function: str,
    *,
    hours: float,
    below: Literal["normal", "degraded"] = "normal",
    within: str | Iterable[Failure] | None = None,
    causes: bool = True,
    parts: bool = True,
    objectives: Literal["AC 25.1309-1B", "AC 23.1309-1E class I"] | None = None,
    nodes: int = 4194304,
    seconds: float = 0.0,
) -> Risk:
    """Say how likely it is that failures take a function below a level, on a flight and per flight hour."""

class Comparison:
    """Which outcomes differ between two aircraft, or two states of one. Prints as a hand-out."""

    @property
    def names(self) -> tuple[str, str]:
        """What the sheet calls the two."""
    @property
    def functions(self) -> list[FunctionPair]:
        """Functions that differ as the two stand."""
    @property
    def elements(self) -> list[ElementPair]:
        """Elements whose status differs as the two stand, where asked for."""
    @property
    def groups(self) -> list[DifferenceGroup]:
        """One dict a difference, with every single scenario that makes it: worst severity first."""
    @property
    def pairs(self) -> list[DifferenceGroup]:
        """The same of pairs of failures, where asked for: what differs with neither alone."""
    @property
    def only(self) -> list[OnlyOne]:
        """What only one of the two has, which is no difference of outcome."""
    @property
    def scenarios(self) -> int:
        """How many single scenarios were examined beside the two as they stand."""
    @property
    def unchanged(self) -> int:
        """How many of them leave the two exactly as different as they stand."""
    @property
    def combinations(self) -> int:
        """How many failures and pairs of failures were examined for `pairs`."""
    @property
    def complete(self) -> bool:
        """False where it was cancelled or ran out of time among the pairs; what is listed holds all the same."""
    @property
    def a(self) -> Outcome:
        """The outcome of the first, as it stands."""
    @property
    def b(self) -> Outcome:
        """The outcome of the second, as it stands."""
    @property
    def tables(self) -> list[Table]:
        """As the two stand, the scenarios, pairs where asked for, and what only one has."""
    def to_dict(self) -> ComparisonDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["scenarios", "functions", "only"] = "scenarios") -> pd.DataFrame:
        """Give one row a scenario and function that differs with it, a function that differs as the two stand, or a thing only one has, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[DifferenceGroup]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def compare(
    a: _Asked,
    b: _Asked,
    *,
    order: int = 1,
    elements: bool = False,
    goals: str | Sequence[str] | None = None,
    names: tuple[str, str] | None = None,
    seconds: float | None = None,
    progress: Callable[[float], object] | None = None,
) -> Comparison:
    """Say which outcomes differ between two aircraft or two states of one, and with which failures, positions and givens."""

class TruthTable:
    """Switch positions down, failures across, and what the target then does. Prints as a table."""

    @property
    def targets(self) -> list[str]:
        """The functions and elements asked for."""
    @property
    def controls(self) -> list[TruthControl]:
        """One dict a control, with the positions tried; `all` where it has no others."""
    @property
    def blocks(self) -> list[list[FailureRef]]:
        """The sets of failures, one block of columns each."""
    @property
    def rows(self) -> list[TruthRow]:
        """One dict a row: a position by control, None where it makes no difference, and a cell for each block and target."""
    @property
    def left_out(self) -> list[str]:
        """Controls the targets hang on that did not fit: they stand where they are."""
    @property
    def settled(self) -> int:
        """How many rows were settled, before any were joined."""
    @property
    def complete(self) -> bool:
        """False where there are more rows, or controls were left out."""
    @property
    def before(self) -> Outcome:
        """The outcome as things stand."""
    @property
    def table(self) -> Table:
        """The table."""
    def to_dict(self) -> TruthTableDict:
        """Give everything as plain Python values."""
    def to_dataframe(self) -> pd.DataFrame:
        """Give one row a cell, with a column a control, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __len__(self, /) -> int: ...
    def __iter__(self, /) -> Iterator[TruthRow]: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def truth_table(
    state: _Asked,
    target: str | Sequence[str],
    positions: Mapping[str, Sequence[str] | None] | Sequence[str] | None = None,
    failures: Iterable[str | Failure | Sequence[Failure]] | None = None,
    *,
    join: bool = False,
    most_rows: int = 128,
) -> TruthTable:
    """Make the table pilots write by hand: switch positions down, failures across, and in each cell what the target then does."""

class Plan:
    """What a state means for the landing: effects combined, each with its root causes, and the distance. Prints as a sheet."""

    @property
    def quantities(self) -> list[PlannedQuantity]:
        """One dict a quantity of the model: its effects, each with its root causes, and what they come to."""
    @property
    def landing(self) -> LandingDistance | None:
        """The landing distance, in metres and feet, and a line for each rule; None where it was not asked for."""
    @property
    def card(self) -> list[CardLine]:
        """The approach and landing card: headings, each with its functions."""
    @property
    def outcome(self) -> Outcome:
        """The outcome it was made of."""
    @property
    def tables(self) -> list[Table]:
        """The card, the effects, the quantities, and the landing distance where asked for."""
    def to_dict(self) -> PlanDict:
        """Give everything as plain Python values."""
    def to_dataframe(self, of: Literal["effects", "quantities", "landing"] = "effects") -> pd.DataFrame:
        """Give one row an effect, a quantity, or a line of the landing distance, as a pandas data frame."""
    def _repr_html_(self) -> str:
        """What a notebook shows."""
    def _repr_markdown_(self) -> str:
        """What a notebook without HTML shows."""
    def to_markdown(self) -> str:
        """Write it as Markdown, with pipe tables."""
    def to_csv(self) -> str:
        """Write it as CSV: RFC 4180, the head first, then the rows, then title, captions and the caution."""
    def to_html(self) -> str:
        """Write it as an HTML page that needs nothing else; it prints on A4 and Letter."""
    def to_excel(self, path: str | os.PathLike[str]) -> None:
        """Write it as an Excel workbook, a sheet a table, through pandas."""
    def to_json(self) -> str:
        """Write its table as JSON, or the list of its tables where it has several."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]

def operating_rules() -> list[OperatingRule]:
    """Say which operating rules `plan` knows by name: what a landing distance is multiplied by, and where that is published."""

def plan(
    state: _Asked,
    *,
    quantity: str | None = None,
    base_m: float | None = None,
    base_ft: float | None = None,
    available_m: float | None = None,
    available_ft: float | None = None,
    rules: str | Sequence[str | tuple[str, float]] | None = None,
    card: Mapping[str, str | Sequence[str]] | None = None,
) -> Plan:
    """Combine the effects of a state as the model's author says, each with its root causes, and hold the landing distance against the runway."""

_Asked: TypeAlias = Network | State | Outcome | WhatWorks
