"""Results as pandas data frames; pandas is imported when one is asked for, and not before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pandas as pd


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


def _data_frame(columns: Sequence[tuple[str, Sequence[Any], Any]]) -> pd.DataFrame:
    try:
        import pandas as pd
    except ImportError as missing:
        raise ImportError("to_dataframe() needs pandas, which is not installed: pip install pandas") from missing
    data = pd.DataFrame({i: pd.Series(list(values), dtype=_dtype(values, empty)) for i, (_, values, empty) in enumerate(columns)})
    data.columns = pd.Index([name for name, _, _ in columns])
    return data


def _dtype(values: Sequence[Any], empty: Any) -> Any:
    kinds = {type(value) for value in [*values, empty] if value is not None}
    if kinds == {bool}:
        return "boolean"
    if kinds == {int}:
        return "Int64"
    if kinds and kinds <= {int, float}:
        return "float64"
    return "string"
