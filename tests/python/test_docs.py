"""Docstrings: every example runs, every signature is the one that is bound, every stub says what the docstring says."""

import ast
import doctest
import inspect
import re
import runpy
from pathlib import Path

import fedfrom as ff
import pytest

CLASSES = [getattr(ff, name) for name in ff.__all__ if inspect.isclass(getattr(ff, name))]
FUNCTIONS = [getattr(ff, name) for name in ff.__all__ if inspect.isroutine(getattr(ff, name))]
STUB = Path(ff.__file__).with_name("_fedfrom.pyi")
FLAGS = doctest.ELLIPSIS | doctest.IGNORE_EXCEPTION_DETAIL


def members(of):
    """Its own methods and properties, without what pybind11 adds."""
    own = {name: getattr(of, name) for name in vars(of) if not name.startswith("_pybind11_")}
    return {name: value for name, value in own.items() if (inspect.isroutine(value) or isinstance(value, property)) and value.__doc__}


def documented():
    """Everything with a docstring, by the name a reader would look it up under."""
    found = {name: value for name, value in vars(ff).items() if name in ff.__all__ and not isinstance(value, str)}
    for cls in CLASSES:
        found.update({f"{cls.__name__}.{name}": value for name, value in members(cls).items() if not name.startswith("__")})
    return found


def bound_signature(function, name):
    """The signature pybind11 goes by, from its complaint about arguments that cannot be."""
    with pytest.raises(TypeError) as complaint:
        function(*[object()] * 20)
    (signature,) = re.findall(rf"^ +1\. (?:{name})?(\(.*\)) -> ", str(complaint.value), re.MULTILINE)
    return signature


def names_and_defaults(signature):
    """[("self", None), ("element", None), ("mode", "'loss'")] of the parameters, without their types."""
    (function,) = ast.parse(f"def f{signature}: ...").body
    a = function.args
    assert not a.vararg
    positional = [*a.posonlyargs, *a.args]
    defaults = [*[None] * (len(positional) - len(a.defaults)), *a.defaults, *a.kw_defaults]
    keyword_only = [p.arg for p in a.kwonlyargs]
    return [(p.arg, d and ast.unparse(d)) for p, d in zip([*positional, *a.kwonlyargs], defaults, strict=True)], keyword_only, a.kwarg is not None


# ------------------------------------------------------------------- examples


def test_every_example_runs(monkeypatch):
    monkeypatch.chdir(Path(ff.__file__).parent)  # no file of the checkout is needed
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(optionflags=FLAGS)
    first = parser.get_doctest(ff.__doc__, {}, "fedfrom", None, 0)
    runner.run(first, clear_globs=False)
    for name, value in documented().items():
        names = {**first.globs, "state": first.globs["state"].copy()}
        runner.run(parser.get_doctest(value.__doc__, names, name, None, 0))
    assert runner.summarize().attempted > 60
    assert runner.summarize().failed == 0


def test_everything_is_documented():
    for name, value in documented().items():
        assert value.__doc__ and value.__doc__[0].isupper(), name


# ------------------------------------------------------------------- signatures


def test_signatures_are_the_bound_ones():
    checked = 0
    for of in [None, *CLASSES]:
        for name, value in members(of).items() if of else [(f.__name__, f) for f in FUNCTIONS]:
            if not inspect.isroutine(value) or name.startswith("__") or issubclass(of or object, Exception):
                continue
            said = str(inspect.signature(value))
            assert names_and_defaults(said) == names_and_defaults(retyped(bound_signature(value, name))), name
            checked += 1
    assert checked > 50


def retyped(signature):
    """pybind11's signature as Python would parse it."""
    return re.sub(r"<[^>]*>", "None", signature)


# ------------------------------------------------------------------- stubs


def stub_docs(body, prefix=""):
    for node in body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef):
            yield prefix + node.name, ast.get_docstring(node)
        if isinstance(node, ast.ClassDef):
            yield from stub_docs(node.body, f"{node.name}.")


def test_stubs_say_what_the_docstrings_say():
    """Their first paragraph, for editors that cannot load the module."""
    said = {name: doc for name, doc in stub_docs(ast.parse(STUB.read_text(encoding="utf-8")).body) if "__" not in name}
    assert said == {name: " ".join(inspect.getdoc(value).split("\n\n")[0].split()) for name, value in documented().items()}


def test_the_typed_sample_runs():
    runpy.run_path(str(Path(__file__).with_name("typed.py")))
