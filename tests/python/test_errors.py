"""What Python is told when something is wrong, and that hostile names stay what they are: text."""

import csv
import html.parser
import io

import fedfrom as ff
import pytest

ONE_BUS = {
    "name": "One bus",
    "elements": {
        "battery": {"kind": "battery"},
        "bus": {"kind": "bus", "inputs": {"power": [{"from": "battery", "via": ["cb_bus"]}]}},
        "cb_bus": {"kind": "breaker"},
        "selector": {"kind": "switch", "positions": ["AUTO", "BATT"], "reach": "cockpit"},
        "relay": {"kind": "relay", "inputs": {"control": ["bus"]}},
        "perfect": {"kind": "consumer", "fallible": False, "inputs": {"power": ["bus"]}},
        "radio": {"kind": "consumer", "inputs": {"power": ["bus"]}},
    },
    "given": {"airborne": True},
    "functions": {"talk": {"modes": {"radio": {"rank": 1, "when": "radio"}}}},
}


@pytest.fixture
def net():
    return ff.Network(ff.Model.from_dict(ONE_BUS))


@pytest.fixture
def state(net):
    return net.running_state()


def message(error, ask, *args, **more):
    with pytest.raises(error) as raised:
        ask(*args, **more)
    return str(raised.value)


# ------------------------------------------------------------------- models

WRONG = """{ "format": "fedfrom/1", "name": "Wrong",
  "elements": {
    "battery": {"kind": "batery"},
    "bus": {"kind": "bus", "inputs": {"power": ["battry"]}, "colour": "red"},
    "bus": {"kind": "bus"} } }
"""


def test_a_wrong_model_lists_every_problem_with_its_place(tmp_path):
    file = tmp_path / "wrong.json"
    file.write_text(WRONG, encoding="utf-8")
    with pytest.raises(ff.ModelError) as raised:
        ff.read_model(file)
    problems = raised.value.diagnostics
    assert [(p.code, p.pointer, p.line) for p in problems] == [
        ("bad_word", "/elements/battery/kind", 3),
        ("dangling_id", "/elements/bus/inputs/power/0", 4),
        ("unknown_key", "/elements/bus/colour", 4),
        ("duplicate_key", "/elements/bus", 5),
    ]
    assert all(p.file == str(file) and p.column > 0 and p.message for p in problems)
    assert "`battery`" in problems[0].hint and "`battery`" in problems[1].hint  # the nearest word, the nearest id
    # The exception's own text is the list, one problem a line, as an editor's problem list reads it.
    assert str(raised.value).splitlines() == [str(p) for p in problems]
    assert str(problems[0]).startswith(f"{file}:3:")
    assert "Diagnostic" in repr(problems[0]) and isinstance(raised.value, ff.Error)


def test_a_model_that_is_no_text_or_no_file(tmp_path):
    assert "[cannot_read]" in message(ff.ModelError, ff.read_model, tmp_path / "none.json")
    assert message(ff.ModelError, ff.parse_model, "{", "half.json").startswith("half.json:1:2: ")
    assert message(ff.ModelError, ff.parse_model, b"\xff\xfe", "bytes.json").startswith("bytes.json:1:")
    with pytest.raises(ff.ModelError):
        ff.parse_model("")


def test_a_model_made_in_code_is_checked_as_one_read(net):
    with pytest.raises(ff.ModelError) as raised:
        ff.Model(name="In code", elements={"bus": {"kind": "bus", "inputs": {"power": ["nowhere"]}}}, tyres={})
    assert [(p.code, p.pointer) for p in raised.value.diagnostics] == [("dangling_id", "/elements/bus/inputs/power/0"), ("unknown_key", "/tyres")]
    assert ff.Model.from_dict(net.model.to_dict()) == net.model
    for value in (float("nan"), float("inf")):
        with pytest.raises(ValueError):
            ff.Model(name="Rate", elements={"a": {"kind": "battery", "failures": {"loss": {"rate": value}}}})


def test_a_model_without_meaning_is_refused_when_built():
    """A light that lights itself when it is out: no memory, no answer."""
    with pytest.raises(ff.ModelError) as raised:
        ff.Network(ff.Model(name="Chase", elements={"battery": {"kind": "battery"}, "lamp": {"kind": "light", "inputs": {"power": ["battery"]}, "needs": {"not": "lamp"}}}))
    (problem,) = raised.value.diagnostics
    assert problem.code == "negative_cycle" and "`lamp`" in problem.message


# ------------------------------------------------------------------- ids

def test_unknown_ids_name_the_nearest(net, state):
    out = ff.settle(state)
    for near, ask, args in [
        ("radio", state.fail, ["radoi"]), ("radio", state.repair, ["radios"]), ("cb_bus", state.reset, ["cb_buss"]), ("selector", state.set, ["selecter", "AUTO"]),
        ("selector", state.hand, ["seletor"]), ("airborne", state.given, ["airbourne", True]), ("radio", out.status, ["rado"]), ("relay", out.position, ["rellay"]),
        ("talk", out.level, ["tlak"]), ("talk", out.mode, ["talks"]), ("talk", out.now, ["tolk"]), ("radio", ff.why, [state, "radi"]),
        ("radio", ff.live_sources, [out, "radioo"]), ("bus", net.positions, ["bux"]),
    ]:  # fmt: skip
        assert f"`{near}`?" in message(ff.UnknownId, ask, *args), (ask, args)
    assert "`radio`?" in message(ff.UnknownId, ff.what_works, net, failed=["raido"])
    assert "`talk`?" in message(ff.UnknownId, ff.impact_table, net, goals=["tlak"])
    assert "`zzzzzz`" in message(ff.UnknownId, state.fail, "zzzzzz")
    assert issubclass(ff.UnknownId, ff.Error) and issubclass(ff.NotPossible, ff.Error)


def test_unknown_variants_name_the_nearest():
    model = ff.Model.from_dict({**ONE_BUS, "base": "a", "variants": {"long_nose": {"patch": {"elements": {"radio": {"zone": "nose"}}}}}})
    assert "`long_nose`" in message(ff.UnknownId, ff.Network, model, variant="long_noze")


# ------------------------------------------------------------------- what the aircraft does not allow

def test_not_possible_says_what_is(state):
    for words, ask, args, more in [
        (["loss", "short"], state.fail, ["bus", "leak"], {}),
        (["perfect"], state.fail, ["perfect"], {}),
        (["stuck"], state.fail, ["relay", "loss"], {"at": "open"}),
        (["closed", "open"], state.fail, ["relay", "stuck"], {"at": "half"}),
        (["AUTO", "BATT"], state.set, ["selector", "BAT"], {}),
        (["relay", "by itself"], state.set, ["relay", "open"], {}),
        (["bus"], state.hand, ["bus"], {}),
    ]:
        said = message(ff.NotPossible, ask, *args, **more)
        assert all(word in said for word in words), said
    assert "order" in message(ff.NotPossible, ff.impact_table, state, order=4)


def test_a_breaker_is_reset_as_often_as_it_may_be(state):
    state.fail("bus", "short")
    assert ff.settle(state).tripped("cb_bus")
    assert ff.settle(state.reset("cb_bus")).tripped("cb_bus")  # onto the fault
    before = state.copy()
    assert "cb_bus" in message(ff.NotPossible, state.reset, "cb_bus")
    assert state == before and ff.settle(state).to_dict() == ff.settle(before).to_dict()


def test_a_refused_event_changes_nothing(net, state):
    ff.settle(state.fail("radio").set("selector", "BATT").given("airborne", False))
    before, out = state.copy(), ff.settle(state).to_dict()
    for ask, args in [
        (state.fail, ["nothing"]), (state.fail, ["bus", "leak"]), (state.fail, ["selector", "stuck", ""]), (state.set, ["selector", "OFF"]), (state.set, ["bus", "in"]),
        (state.given, ["flying", True]), (state.repair, ["nothing"]), (state.reset, ["nothing"]),
    ]:  # fmt: skip
        with pytest.raises((ff.Error, TypeError)):
            ask(*args)
        assert state == before and ff.settle(state.copy()).to_dict() == out, args
    for name in ("what_works", "why", "indications", "impact_table", "live_sources"):  # nor does a question
        getattr(ff, name)(state, *(["talk"] if name in ("why", "live_sources") else []))
        assert state == before


# ------------------------------------------------------------------- wrong shapes

@pytest.mark.parametrize("failure", [(), ("bus", "loss", "open", "shut"), []])
def test_a_failure_of_the_wrong_shape(net, failure):
    assert '("id", "mode")' in message(ValueError, ff.what_works, net, failed=[failure])
    assert '("id", "mode")' in message(ValueError, ff.what_works, net, steps=[{"fail": [failure]}])


def test_every_shape_of_a_failure(net):
    for failure in ("relay", ("relay",), ["relay", "loss"], ("relay", "stuck"), ("relay", "stuck", "open")):
        assert len(ff.what_works(net, failed=[failure]).to_dict()["roots"]) == 1


def test_a_step_with_a_wrong_key_names_the_right_ones(net):
    said = message(ValueError, ff.what_works, net, steps=[{"fail": ["radio"]}, {"fails": ["bus"]}])
    assert "`fails`" in said and "fail, repair, reset, set, given and use" in said


def test_questions_are_asked_of_states(net):
    for ask in (ff.why, ff.live_sources):
        assert "State" in message(TypeError, ask, "one_bus.json", "talk")
    for ask in (ff.indications, ff.impact_table):
        assert "State" in message(TypeError, ask, net.model)


# ------------------------------------------------------------------- hostile names

SCRIPT = "<script>alert('x')</script>\"&amp;"
FORMULAS = ["=HYPERLINK(\"http://example.org\",\"pay\")", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"]


def hostile(name, formula):
    return ff.Network(ff.Model(
        name=name, edition=name, base="a", groups=[name],
        elements={"battery": {"kind": "battery", "name": formula}, "radio": {"kind": "consumer", "name": name, "inputs": {"power": ["battery"]}, "zone": "nose"},
                  "lamp": {"kind": "light", "name": name, "inputs": {"power": ["battery"]}, "shows": [{"text": formula, "when": "radio"}], "unpowered": name}},
        common_causes={"fire": {"name": formula, "fails": ["radio"]}},
        functions={"talk": {"name": formula, "group": name, "modes": {"radio": {"rank": 1, "name": formula, "when": "radio", "crew": [formula, name]}}, "severity": {"lost": "major"}},
                   "hear": {"name": name, "group": name, "modes": {"radio": {"rank": 1, "name": name, "when": "radio"}}}},
    ))  # fmt: skip


def tables_of(net):
    out = ff.what_works(net)
    return [*out.tables, *ff.what_works(net, failed=["radio"]).tables, ff.impact_table(net).table, ff.indications(out).table]


class Tags(html.parser.HTMLParser):
    def __init__(self, page):
        super().__init__()
        self.tags, self.attributes, self.words = set(), set(), []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attrs)

    def handle_data(self, data):
        self.words.append(data)


def test_markup_in_names_is_text_on_a_page():
    net, plain = hostile(SCRIPT, SCRIPT), hostile("name", "other")
    for table, same in zip(tables_of(net), tables_of(plain), strict=True):
        page, calm = Tags(table.to_html()), Tags(same.to_html())
        widths = {"style"}  # columns are as wide as their text
        assert page.tags == calm.tags and page.attributes - widths == calm.attributes - widths and "script" not in page.tags
        assert SCRIPT in " ".join(page.words)
        assert "<script" not in table.to_markdown()
    page = Tags(ff.to_html(tables_of(net), SCRIPT))
    assert "script" not in page.tags and SCRIPT in page.words


@pytest.mark.parametrize("formula", FORMULAS)
def test_formulas_in_names_do_not_run_in_a_spreadsheet(formula):
    for table in tables_of(hostile(formula, formula)):
        rows = list(csv.reader(io.StringIO(table.to_csv(), newline="")))
        cells = [cell for row in rows for cell in row]
        assert [cell for cell in cells if cell[:1] in set("=+-@\t\r")] == []
        assert any(formula.strip() in cell for cell in cells)
        assert ff.caution in cells


def test_a_name_cannot_command_a_terminal():
    net = hostile("red \x1b[31m", "title \x1b]0;owned\x07")
    out = ff.what_works(net)
    for text in (str(out), str(ff.why(out, "talk")), str(ff.indications(out)), str(ff.impact_table(net)), *(t.to_text() for t in out.tables)):
        assert "\x1b" not in text and "\x07" not in text
