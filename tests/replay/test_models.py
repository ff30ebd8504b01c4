"""The models themselves: what the schema and the independent reference say of them."""

import json
import sys
from pathlib import Path

import fedfrom as ff
import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "oracle"))
from compare import compare  # noqa: E402

MODELS = sorted(HERE.glob("*.json"))
VARIANTS = [(path, variant) for path in MODELS for variant in ("", *ff.read_model(str(path)).variants)]


@pytest.mark.parametrize("path", MODELS, ids=lambda p: p.stem)
def test_each_follows_the_schema(path):
    jsonschema = pytest.importorskip("jsonschema")
    schema = json.loads((HERE.parents[1] / "schemas" / "fedfrom-1.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(("path", "variant"), VARIANTS, ids=lambda v: v.stem if isinstance(v, Path) else v or "base")
def test_the_reference_agrees_on_random_events(path, variant):
    """Twenty flights of random failures and selections: what tests/oracle/reference.py says, read from the rules alone."""
    model = ff.read_model(str(path)).variant_of(variant).to_dict()
    model = {key: value for key, value in model.items() if key not in ("variant", "variants")}  # an aircraft of its own
    for seed in range(20):
        assert compare(seed, model=model) == ("accepted", [])


@pytest.mark.parametrize("path", MODELS, ids=lambda p: p.stem)
def test_each_has_its_row_and_its_test(path):
    assert f"`{path.stem}`" in (HERE / "README.md").read_text(encoding="utf-8")
    assert (HERE / f"test_{path.stem}.py").exists()
