"""Results as pandas data frames; pandas is imported when one is asked for, and not before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from os import PathLike

    import pandas as pd

    from ._fedfrom import SweepResult, Table
    from .types import Level


def frame(blank: Mapping[str, Any], records: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """One row a record. `blank` names the columns and their types, so that a result without rows has them too.

    A list becomes "a, b"; a dict becomes one column a key, as in "effects.landing_distance".
    """
    columns: list[tuple[str, Sequence[Any], Any]] = []
    for name, empty in blank.items():
        values = [record[name] for record in records]
        if isinstance(empty, dict):
            for key in sorted({key for value in values for key in value}):
                columns.append((f"{name}.{key}", [value.get(key) for value in values], None))
        elif isinstance(empty, list):
            columns.append((name, [", ".join(value) for value in values], ""))
        else:
            columns.append((name, values, empty))
    return _data_frame(columns)


def table_frame(names: Sequence[str], rows: Sequence[Sequence[Any]]) -> pd.DataFrame:
    """The cells of a table under their heads."""
    return _data_frame([(name, [row[i] for row in rows], None) for i, name in enumerate(names)])


def sweep_frame(result: SweepResult, events: Sequence[str], before: Sequence[Level]) -> pd.DataFrame:
    """One row a combination and function. Categories, made of the codes as they are: no text is copied row by row.

    `events` says those combined in words, `before` the level of every function before.
    """
    _need_pandas()
    import pandas as pd

    codes = result.events.astype("int64")
    codes[result.events == result.NONE] = -1
    levels = list(result.LEVELS)
    code_before = pd.Series([levels.index(level) for level in before], dtype="int64").to_numpy()[result.goal]
    columns: dict[str, Any] = {f"event_{i + 1}": (codes[:, i], events) for i in range(3)}
    columns |= {"function": (result.goal, result.functions), "before": (code_before, levels), "after": (result.level, levels)}
    return pd.DataFrame({name: pd.Categorical.from_codes(code, categories=pd.Index(list(words))) for name, (code, words) in columns.items()})


def _data_frame(columns: Sequence[tuple[str, Sequence[Any], Any]]) -> pd.DataFrame:
    _need_pandas()
    import pandas as pd

    data = pd.DataFrame({i: pd.Series(list(values), dtype=_dtype(values, empty)) for i, (_, values, empty) in enumerate(columns)})
    data.columns = pd.Index([name for name, _, _ in columns])
    return data


def _need_pandas() -> None:
    try:
        import pandas  # noqa: F401
    except ImportError as missing:
        raise ImportError("to_dataframe() needs pandas, which is not installed: pip install pandas") from missing


def _dtype(values: Sequence[Any], empty: Any) -> Any:
    kinds = {type(value) for value in [*values, empty] if value is not None}
    if kinds == {bool}:
        return "boolean"
    if kinds == {int}:
        return "Int64"
    if kinds and kinds <= {int, float}:
        return "float64"
    return "string"


def write_excel(path: str | PathLike[str], tables: Sequence[Table]) -> None:
    """A sheet a table: head and rows, then title, captions, footnotes and the caution as rows that fill only their first field."""
    frames = [table.to_dataframe() for table in tables]
    import pandas as pd

    from ._fedfrom import caution

    names: list[str] = []
    with pd.ExcelWriter(path) as writer:
        for table, data in zip(tables, frames, strict=True):
            name = _sheet_name(table.title, names)
            names.append(name)
            notes = [table.title, *(f"{label}: {text}" if label else text for label, text in table.captions), *table.footnotes, caution]
            safe = pd.DataFrame({i: data.iloc[:, i].map(_neutral, na_action="ignore") for i in range(len(data.columns))})
            safe.columns = data.columns
            safe.to_excel(writer, sheet_name=name, index=False)
            pd.DataFrame({0: [_neutral(note) for note in notes]}).to_excel(writer, sheet_name=name, index=False, header=False, startrow=len(data) + 2)
            if writer.engine == "openpyxl":
                _lay_out(writer.sheets[name], len(data))


def _neutral(value: Any) -> Any:
    """What a spreadsheet would take for a formula, with an apostrophe in front."""
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def _sheet_name(title: str, taken: Sequence[str]) -> str:
    """At most 31 characters, none of []:*?/\\, and no name twice."""
    name = "".join(" " if c in "[]:*?/\\" else c for c in title).strip(" '")[:31] or "Sheet"
    used, n = {t.lower() for t in taken}, 1
    unique = name
    while unique.lower() in used:
        n += 1
        unique = f"{name[: 30 - len(str(n))]} {n}"
    return unique


def _lay_out(sheet: Any, rows: int) -> None:
    """Columns wide enough to read and no wider, lines wrapped, as wide as a page on paper, the head on every one."""
    from openpyxl.styles import Alignment  # type: ignore[import-untyped, unused-ignore]

    for column in sheet.iter_cols(max_row=rows + 1):
        widest = max((len(line) for cell in column for line in str(cell.value or "").split("\n")), default=0)
        sheet.column_dimensions[column[0].column_letter].width = min(max(widest + 2, 8), 50)
        for cell in column:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.page_setup.orientation = "landscape"
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToHeight = 0
    sheet.print_title_rows = "1:1"
    sheet.freeze_panes = "A2"
