"""The JSON Schema and the reader accept the same texts, as far as a schema can see.

Good models are changed at random (keys dropped and renamed, values replaced, swapped and moved), and
both judge the result. Only the reader's *structural* complaints count: a schema sees no references.
"""

import copy
import json
import pathlib
import random
import re

import fedfrom as ff
import jsonschema
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "schemas/fedfrom-1.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
MODELS = sorted((ROOT / "tests/models").glob("*.json"))
CODES = (ROOT / "include/fedfrom/model/diagnostic_codes.hpp").read_text(encoding="utf-8")
STRUCTURAL = {code for code, structural in re.findall(r'DiagnosticCode\{"(\w+)", (true|false),', CODES) if structural == "true"}

ODD_VALUES = [
    None, True, False, 0, 1, -1, 2.0, 1.5, 33, 1001, 1e10, "", "stays", "open", "AUTO", "A", "main", "Main", "a b",
    "x" * 129, [], {}, [[]], [1], ["main"], ["main", "main"], ["main", "loss"], ["main", "stuck", {"at": "in"}],
    {"main": "open"}, {"main": ["open"]}, {"main": {"a": "b"}}, {"main": {}}, {"from": "main"}, {"from": "main", "tie": "main_tie"},
    {"tie": "main_tie"}, {"all": []}, {"any": ["main"]}, {"not": "main"}, {"at_least": 1, "of": ["main"]}, {"at_least": 1},
    {"parallel": ["main"]}, {"parallel": [], "of": []}, {"at": {"main": "a"}}, {"at": {}}, {"level": {"f": "lost"}}, {"needs": "main"},
    {"rate": 1e-3, "probability": 0.1}, {"look_at": "lamp"}, {"amps": -1}, {"op": "add"},
]


def structural_complaints(document):
    try:
        ff.parse_model(json.dumps(document))
    except ff.ModelError as error:
        # What a variant makes of the model is not in the text itself.
        return [d for d in error.diagnostics if d.code in STRUCTURAL and not d.message.startswith("In variant ")]
    return []


def places(value, path=()):
    """Every (container path, key) of a document."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        yield path, key
        yield from places(inner, (*path, key))


def at(document, path):
    for key in path:
        document = document[key]
    return document


def mutate(document, rng):
    """Changes one place, and says how."""
    path, key = rng.choice(list(places(document)))
    container = at(document, path)
    where = "/".join(map(str, (*path, key)))
    choice = rng.choice(["drop", "rename", "replace", "replace", "transplant", "transplant", "extend", "number"])
    if choice == "drop":
        del container[key]
    elif choice == "rename" and isinstance(container, dict):
        new = rng.choice([key + "s", key[:-1], key.upper(), "Bad Key", "of", "at_least", "when", "tie", "from", "kind", "main", ""])
        container[new] = container.pop(key)
    elif choice == "transplant":
        other_path, other = rng.choice(list(places(document)))
        container[key] = copy.deepcopy(at(document, other_path)[other])
    elif choice == "extend" and isinstance(container[key], dict):
        other_path, other = rng.choice(list(places(document)))
        container[key][other if isinstance(other, str) else "extra"] = copy.deepcopy(at(document, other_path)[other])
    elif choice == "extend" and isinstance(container[key], list):
        container[key].append(copy.deepcopy(rng.choice(container[key])) if container[key] else None)
    elif choice == "number" and isinstance(container[key], (int, float)) and not isinstance(container[key], bool):
        container[key] = rng.choice([-container[key], container[key] * 1e12, container[key] + 0.5, float(container[key])])
    else:
        choice = "replace"
        container[key] = copy.deepcopy(rng.choice(ODD_VALUES))
    return f"{choice} at {where}"


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("path", MODELS, ids=lambda p: p.stem)
def test_good_models_fit(path):
    document = json.loads(path.read_text(encoding="utf-8"))
    assert VALIDATOR.is_valid(document)
    assert structural_complaints(document) == []


def test_every_key_is_used():
    """So that the mutations below reach every rule."""
    text = (ROOT / "tests/models/every_key.json").read_text(encoding="utf-8")

    def keys(schema):
        if isinstance(schema, dict):
            yield from schema.get("properties", {}) if isinstance(schema.get("properties"), dict) else ()
            for value in schema.values():
                yield from keys(value)
        elif isinstance(schema, list):
            for value in schema:
                yield from keys(value)

    assert [k for k in sorted(set(keys(SCHEMA)) - {"$schema", "variant"}) if f'"{k}":' not in text] == []


@pytest.mark.parametrize("seed", range(8))
def test_schema_and_reader_agree(seed):
    rng = random.Random(seed)
    documents = [json.loads(path.read_text(encoding="utf-8")) for path in MODELS]
    agreed = {True: 0, False: 0}
    for _ in range(150):
        document = copy.deepcopy(rng.choice(documents))
        changes = [mutate(document, rng) for _ in range(rng.choice([1, 1, 1, 2]))]
        fits = VALIDATOR.is_valid(document)
        complaints = structural_complaints(document)
        assert fits == (not complaints), f"seed {seed}: {changes}: the schema says {fits}, the reader {complaints}"
        agreed[fits] += 1
    assert min(agreed.values()) > 10  # both verdicts are tested
