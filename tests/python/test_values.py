"""Results as values: tables, data frames, notebooks, equality, pickling, threads."""

import concurrent.futures
import html.parser
import json
import multiprocessing
import pickle
import re
import subprocess
import sys
import threading
from pathlib import Path
from typing import get_args, get_type_hints

import fedfrom as ff
import fedfrom.types
import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def model():
    return ff.read_model(ROOT / "tests/models/two_bus.json")


@pytest.fixture(scope="module")
def net(model):
    return ff.Network(model)


@pytest.fixture
def state(net):
    return net.running_state()


def results(net):
    works = ff.what_works(net, failed=["gen_l", ("hyd", "leak")])
    dispatch = [ff.next_failures(works), ff.dispatch_table(net), ff.check_deferrals(net, [("gen_24_30", "left")])]
    select = {"set": {"standby_switch": "BATT"}}
    crew = [ff.preview(works, select), ff.restore(works, next=True), ff.follow(works, [select, select]), ff.dead_controls(works)]
    return [works, works.outcome, ff.why(works, "gear_extension"), ff.indications(works), ff.impact_table(net), *dispatch, *crew, ff.impact_table(net).table]


# ------------------------------------------------------------------- tables

CELLS = [["radio", 3.5, ("backup", "degraded")], ["galley", 2, (None, "lost")], ["pump", None, ("x", "not fitted")]]


@pytest.fixture
def table():
    return ff.Table("Loads", ["What", ("Load", "A"), "Status"], CELLS, captions=[("Model", "Two-bus"), ("", "alone")], footnotes=["A note."])


def test_a_table_is_a_value(table):
    assert (table.title, table.columns, table.units) == ("Loads", ["What", "Load", "Status"], ["", "A", ""])
    assert table.rows == CELLS == list(table) and table[0] == table[-3] == CELLS[0] and len(table) == 3
    assert table.captions == [("Model", "Two-bus"), ("", "alone")] and table.footnotes == ["A note."]
    again = ff.Table(table.title, zip(table.columns, table.units, strict=True), table, captions=table.captions, footnotes=table.footnotes)
    assert again == table and again != ff.Table("Loads", [], []) and repr(table) == "<Table Loads: 3 rows>"
    with pytest.raises(IndexError):
        table[3]


def test_every_written_form_carries_title_and_caution(table):
    for text in (table.to_text(), str(table), table.to_markdown(), table.to_csv(), table.to_html(), table.to_json(), table._repr_html_(), table._repr_markdown_()):
        flat = " ".join(re.sub(r"&#39;", "'", text).split())
        assert "Loads" in flat and ff.caution in flat


def test_a_cell_is_of_a_kind_a_table_holds():
    for cell, error in [(True, TypeError), (object(), TypeError), ([1], TypeError), (("x", "fine"), ValueError)]:
        with pytest.raises(error):
            ff.Table("", ["a"], [[cell]])
    numpy = pytest.importorskip("numpy")
    assert ff.Table("", ["a"], [[numpy.int64(3)], [numpy.float64(1.5)]]).rows == [[3], [1.5]]


def test_several_tables_are_written_one_after_another(net):
    works = ff.what_works(net, failed=["gen_l"])
    tables = works.tables
    assert json.loads(works.to_json()) == [t.to_dict() for t in tables]
    assert works.to_csv() == "\r\n".join(t.to_csv() for t in tables)
    markdown = works.to_markdown()
    assert markdown.startswith("## What works: Two-bus example") and markdown.count(ff.caution) == 1
    assert [line for line in markdown.splitlines() if line.startswith("### ")] == [f"### {t.title}" for t in tables]
    assert markdown.count("**State:**") == 1


# ------------------------------------------------------------------- notebooks


class Balance(html.parser.HTMLParser):
    """Complains about tags that close what is not open, and collects what a page would load or run."""

    void = {"br", "wbr", "meta"}

    def __init__(self, text):
        super().__init__()
        self.open, self.loads = [], []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        if tag not in self.void:
            self.open.append(tag)
        self.loads += [name for name, value in attrs if name in ("src", "href") or name.startswith("on")] + [tag] * (tag == "script")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_everything_shows_itself_in_a_notebook(net, state):
    for value in [net.model, net, state, *results(net)]:
        page = value._repr_html_()
        assert Balance(page).loads == [] and page.count("<style>") == 1 and ff.caution in page.replace("&#39;", "'")
        assert ff.caution in value._repr_markdown_()
        assert len(repr(value)) < 120 and repr(value).startswith(f"<{type(value).__name__} ")


def test_a_notebook_escapes_what_an_author_wrote():
    script = "<script>alert(1)</script>"
    net = ff.Network(ff.Model(name=script, edition=script, elements={"bus": {"kind": "battery", "name": script}}, functions={"f": {"name": script, "modes": {"m": {"rank": 1, "when": "bus"}}}}))
    state = net.running_state()
    for value in [net.model, net, state, ff.settle(state), ff.why(state, "f"), ff.impact_table(net)]:
        assert Balance(value._repr_html_()).loads == []
        assert "<script" not in value._repr_markdown_()


def test_a_state_shows_what_happened(state):
    text = state.fail("gen_l").set("standby_switch", "BATT").given("airborne", False)._repr_markdown_()
    assert "| Failed | gen_l loss |" in text and "| Crew selections | standby_switch at BATT |" in text and "airborne false" in text


# ------------------------------------------------------------------- data frames


def test_data_frames_have_typed_columns(net):
    pandas = pytest.importorskip("pandas")
    works = ff.what_works(net, failed=["hyd"])
    functions = works.to_dataframe()
    assert functions["id"].tolist() == ["gear_extension"] and functions["level"].tolist() == ["degraded"]
    assert functions["effects.landing_distance"].dtype == "float64" and functions["effects.landing_distance"][0] == 1.1
    assert functions["now"].dtype == "boolean" and functions["crew"][0] == "cannot be retracted again" and functions["sources"].dtype == "string"
    elements = works.outcome.to_dataframe("elements")
    assert elements["id"].tolist() == net.elements and elements["tripped"].dtype == "boolean"
    assert pandas.api.types.is_integer_dtype(ff.why(works, "gear_extension").to_dataframe()["depth"])
    impact = ff.impact_table(net)
    assert len(impact.to_dataframe()) == sum(len(row["changes"]) for row in impact)
    assert len(impact.table.to_dataframe()) == len(impact)
    with pytest.raises(ValueError, match="stored"):
        works.to_dataframe("gauges")


def test_a_data_frame_without_rows_has_its_columns(net):
    pytest.importorskip("pandas")
    impact = ff.impact_table(net, causes=False, goals=["gear_extension"])
    full, empty = impact.to_dataframe(), ff.impact_table(ff.Network(ff.Model(name="None", elements={"b": {"kind": "battery"}}))).to_dataframe()
    assert list(empty.columns) == list(full.columns) and len(empty) == 0


def test_a_table_s_data_frame_has_numbers_and_marks(table):
    pytest.importorskip("pandas")
    data = table.to_dataframe()
    assert list(data.columns) == ["What", "Load (A)", "Status"] and data["Load (A)"].dtype == "float64"
    assert data["Load (A)"].tolist()[:2] == [3.5, 2.0] and data["Status"].tolist() == ["degraded: backup", "lost", "not fitted: x"]


def test_without_pandas_it_says_what_to_install():
    asked = "import sys; sys.modules['pandas'] = None; import fedfrom as ff; ff.Table('', ['a'], [[1]]).to_dataframe()"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, timeout=60)
    assert "ImportError: to_dataframe() needs pandas" in done.stderr and "pip install pandas" in done.stderr


def test_importing_imports_nothing_big():
    asked = "import sys, fedfrom; print(sorted({'pandas', 'numpy', 'json', 'typing', 'fedfrom.types'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-S", "-c", f"import sys; sys.path[:] = {sys.path!r}\n{asked}"], capture_output=True, text=True, check=True, timeout=60).stdout.strip() == "[]"


# ------------------------------------------------------------------- types


def same_keys(typed, value):
    hints = get_type_hints(typed)
    assert typed.__required_keys__ <= set(value) <= set(hints), typed
    for key, hint in hints.items():
        for inner in [hint, *get_args(hint)]:
            if isinstance(inner, type) and hasattr(inner, "__required_keys__"):
                for one in value.get(key, []) if isinstance(value.get(key), list) else []:
                    same_keys(inner, one)


def test_dicts_have_the_keys_of_their_types(net, table):
    works, out, why, indications, impact, *_ = results(net)
    same_keys(fedfrom.types.WhatWorksDict, works.to_dict())
    same_keys(fedfrom.types.OutcomeDict, out.to_dict())
    same_keys(fedfrom.types.WhyDict, why.to_dict())
    same_keys(fedfrom.types.TableDict, table.to_dict())
    same_keys(fedfrom.types.BuildConfig, ff.build_config())
    for typed, rows in [(fedfrom.types.Indication, indications), (fedfrom.types.Impact, impact)]:
        assert len(rows)
        for row in rows:
            same_keys(typed, row)


def test_words_are_those_of_the_library():
    def names(header, kind):
        body = re.search(rf"name_of\({kind} \w+\) {{.*?names\{{(.*?)\}};", (ROOT / "include/fedfrom" / header).read_text(encoding="utf-8"), re.DOTALL)[1]
        return re.findall(r'"(\w+)"', body)

    assert list(get_args(fedfrom.types.Status)) == names("solve/outcome.hpp", "Status")
    assert list(get_args(fedfrom.types.Severity)) == names("model/function.hpp", "Severity")
    assert sorted(get_args(fedfrom.types.Level)) == sorted(names("model/function.hpp", "Level"))


# ------------------------------------------------------------------- equality, pickling


def test_the_same_question_gives_an_equal_answer(net, model):
    for one, other in zip(results(net), results(net), strict=True):
        assert one == other and one != object()
    assert net == ff.Network(model) != ff.Network(model, "b") and len({net, ff.Network(model)}) == 1
    assert ff.settle(net.running_state()) != ff.settle(net.running_state().fail("hyd"))


@pytest.mark.parametrize("variant", ["", "b"])
def test_models_and_networks_pickle(model, variant):
    patched = model.variant_of(variant)
    assert pickle.loads(pickle.dumps(patched)) == patched
    net = ff.Network(model, variant)
    assert ff.Network(patched) == net
    again = pickle.loads(pickle.dumps(net))
    assert again == net and again.model.variant == net.model.variant == variant
    assert ff.impact_table(again).table == ff.impact_table(net).table


def test_tables_pickle(table, net):
    for one in [table, *ff.what_works(net).tables, ff.why(net, "gear").table]:
        assert pickle.loads(pickle.dumps(one)) == one


def test_what_is_asked_of_an_outcome_pickles(net, state):
    steps = [
        {"fail": [("gen_l", "loss"), "hyd"], "given": {"airborne": False}},
        {"repair": ["hyd"], "reset": ["line_contactor_l"], "set": {"standby_switch": "BATT"}},
        {"clear_all": True, "fail": [("tie", "stuck", "open")]},
    ]
    asked = [ff.what_works(net), ff.what_works(state), ff.what_works(net, failed=["gen_l", "gen_r"]), *(ff.what_works(net, steps=steps[:n]) for n in (1, 2, 3))]
    for value in [*results(net)[:4], *asked]:
        again = pickle.loads(pickle.dumps(value))
        assert again == value and type(again) is type(value)
        assert again.to_dict() == value.to_dict() and str(again) == str(value)


def test_what_does_not_pickle_says_so(net):
    for value in results(net)[4:-1]:
        with pytest.raises(TypeError, match=f"{type(value).__name__} objects cannot be pickled. Pickle its "):
            pickle.dumps(value)


def test_errors_survive_pickling():
    with pytest.raises(ff.ModelError) as raised:
        ff.parse_model('{"format": "fedfrom/1", "name": "x", "elements": {"a": {"kind": "bos"}}}', "x.json")
    again = pickle.loads(pickle.dumps(raised.value))
    assert type(again) is ff.ModelError and str(again) == str(raised.value)
    assert again.diagnostics == raised.value.diagnostics and hash(again.diagnostics[0]) == hash(raised.value.diagnostics[0])


def test_networks_and_errors_cross_processes(net):
    with concurrent.futures.ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        assert len(pool.submit(ff.Network, net.model).result(60).elements) == len(net.elements)
        with pytest.raises(ff.ModelError) as raised:
            pool.submit(ff.parse_model, "{").result(60)
        assert raised.value.diagnostics[0].line == 1


# ------------------------------------------------------------------- threads


def test_questions_let_other_threads_run():
    """While a long impact table is computed, Python goes on."""
    net = ff.Network(ff.read_model(ROOT / "examples/ostrea7/ostrea7.json"))
    ticks, done = [], threading.Event()

    def ask():
        for _ in range(3):
            ff.impact_table(net)
        done.set()

    asking = threading.Thread(target=ask)
    asking.start()
    while not done.wait(0.0005):
        ticks.append(None)
    asking.join()
    assert len(ticks) >= 5


def test_states_may_be_changed_while_they_are_settled(net):
    state = net.running_state()

    def settle():
        for _ in range(300):
            ff.settle(state)

    def change():
        for _ in range(300):
            state.fail("gen_l")
            state.repair("gen_l")

    with concurrent.futures.ThreadPoolExecutor(4) as pool:
        for future in [pool.submit(work) for work in (settle, change, settle, change)]:
            future.result(60)
    assert ff.settle(state.repair("gen_l")).status("main_l") == "supplied"


# ------------------------------------------------------------------- the build


def test_the_version_is_the_header_s():
    (version,) = re.findall(r'version = "(.*?)"', (ROOT / "include/fedfrom/version.hpp").read_text(encoding="utf-8"))
    assert ff.__version__ == version == ff.build_config()["version"]
    assert ff.build_config()["cpp_standard"] >= 202002
