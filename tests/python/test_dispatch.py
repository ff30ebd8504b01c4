"""Dispatch items, open deferrals and next failures: Ostrea 7's list, the stories that hurt people, and what is written."""

import datetime
import json
import re
from pathlib import Path
from typing import get_args, get_type_hints

import fedfrom as ff
import fedfrom.types
import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def nets():
    model = ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")
    return {variant: ff.Network(model, variant=variant) for variant in ("a", "b")}


@pytest.fixture(scope="module")
def items(nets):
    return ff.dispatch_table(nets["a"])


def row(items, id):
    return next(r for r in items if r["id"] == id)


def unit(items, item, id):
    return next(u for u in row(items, item)["units"] if u["id"] == id)


def pairs(table, why):
    return {(c["deferrals"][0]["item"], c["deferrals"][1]["item"]) for c in table.conflicts if c["why"] == why}


# ------------------------------------------------------------------- Ostrea 7, read off its drawing


def test_the_list_is_long_enough_and_complete(nets, items):
    assert len(items) >= 20
    for r in items:
        assert re.fullmatch(r"\d\d-\d\d-\d\d", r["ata"]) and r["name"], r["id"]
        assert r["installed"] == len(r["units"]) and 0 <= r["required"] < r["installed"], r["id"]
        assert all(u["fitted"] and set(u["not_known"]) <= {"Nothing the model shows tells that it has failed."} for u in r["units"]), r["id"]
        if r["category"] == "A":
            assert r["remarks"], r["id"]  # where else would its interval be
    assert [r["ata"] for r in items] == sorted(r["ata"] for r in items)
    assert len({r["ata"] for r in items}) == len(items)
    assert {r["id"] for r in items} - {"item_32_40_antiskid"} | {"item_24_30_second_battery"} == {r["id"] for r in ff.dispatch_table(nets["b"])}


def test_every_condition_can_be_had_alone(nets):
    """An item that cannot meet its own conditions would be no relief."""
    for net in nets.values():
        for r in ff.dispatch_table(net):
            for u in r["units"]:
                assert all(p["met"] in ("met", "if_set") for p in u["provided"]), (r["id"], u["provided"])


def test_generators_inverters_and_the_tie(items):
    """Without a generator the tie carries one side, so the tie may not be out; the AC bus asks for both inverters."""
    broken = pairs(items, "condition")
    assert ("item_24_60_main_tie", "item_24_30_generator") in broken
    assert ("item_24_30_generator", "item_24_20_inverter") in broken
    left = unit(items, "item_24_30_generator", "left")
    assert {c["function"] for c in left["changes"]} == {"main_power", "medical_power"}
    engine = next(e for e in left["exposed"] if (e["id"], e["mode"]) == ("eng_r", "loss"))
    assert engine["exposed_worst"] == "hazardous" and engine["clean_worst"] == "major"


def test_one_display_out_leaves_one_probe_between_the_pilots_and_nothing(items):
    """The standby airspeed shares the right probe with the right display."""
    left = unit(items, "item_34_20_display", "left")
    probe = next(e for e in left["exposed"] if e["id"] == "pitot_r")
    assert probe["exposed_worst"] == "catastrophic"
    assert [e for e in unit(items, "item_34_20_display", "right")["exposed"] if e["id"] == "pitot_r"] == []


def test_antiskid_and_reverse_ask_for_each_other(items):
    broken = pairs(items, "condition")
    assert {("item_32_40_antiskid", "item_61_20_reverse"), ("item_61_20_reverse", "item_32_40_antiskid")} <= broken


def test_the_medical_switch_cannot_be_in_two_positions(items):
    assert pairs(items, "contradiction") == {("item_24_30_generator", "item_25_60_medical_dc")}
    (asked,) = [p for p in unit(items, "item_25_60_medical_dc", "outlets")["provided"] if p["met"] == "if_set"]
    assert asked["reason"] == "with Medical outlets switch at OVERRIDE"


def test_a_radio_found_dead_may_be_a_breaker_that_took_more(items):
    hidden = {(h["id"], h["mode"]): h for h in unit(items, "item_23_10_radio", "first")["hidden"]}
    assert set(hidden) == {("cb_radios_1", "loss"), ("head_1", "loss")}
    assert hidden["cb_radios_1", "loss"]["elements"] == ["nav_1", "transponder"]
    # The fan shares the head's breaker, but then both displays are dark and it is no longer the same symptom.
    assert ("cb_head_1", "loss") not in hidden


def test_secured_open_keeps_inlet_heat_and_takes_climb_power(items):
    valves = unit(items, "item_30_20_inlet_valves", "valves")
    assert {c["function"] for c in valves["changes"]} == {"power_margin"}
    assert pairs(items, "condition") >= {("item_77_10_torque", "item_30_20_inlet_valves")}


def test_sources_left_with_a_generator_out(nets):
    sources = {s["function"]: s for s in ff.check_deferrals(nets["a"], [("item_24_30_generator", "left")]).next.sources}
    assert (sources["main_power"]["now"]["count"], sources["main_power"]["clean"]["count"]) == (1, 2)
    assert (sources["standby_power"]["now"]["count"], sources["standby_power"]["clean"]["count"]) == (2, 3)
    assert sources["cabin_intercom"]["now"]["sets"][0] == ["batt", "eng_r"]
    assert sources["landing_flaps"]["now"]["kept_without"]


# ------------------------------------------------------------------- stories


def network(**model):
    return ff.Network(ff.Model(name="Story", **model))


def item(element, provided=(), **more):
    return {"name": element, "category": "C", "installed": 1, "required": 0, "units": {"unit": {"elements": [element]}}, "provided": list(provided)} | more


def bus(*feeds):
    return {"kind": "bus", "inputs": {"power": list(feeds)}}


def test_another_generator_behind_the_same_controller_is_no_other_source():
    """Catalogue 9: the source was changed, the faulty control unit was not."""
    net = network(
        elements={
            "control": {"kind": "controller"},
            "gen": {"kind": "generator", "inputs": {"field": ["control"]}},
            "apu_gen": {"kind": "generator", "inputs": {"field": ["control"]}},
            "bus": bus("gen", "apu_gen"),
            "light": {"kind": "annunciator", "inputs": {"power": ["bus"]}, "shows": [{"text": "lit", "when": {"not": "gen"}}, {"text": "out", "when": "gen"}], "unpowered": "out"},
        },
        functions={"power": {"modes": {"bus": {"rank": 1, "when": "bus"}}, "severity": {"lost": "catastrophic"}}},
        dispatch={"generator": item("gen", ["apu_gen"])},
    )
    check = ff.check_deferrals(net, ["generator"])
    assert check.items[0]["provided"][0]["met"] == "met"
    assert check.next.sources[0]["now"] == {"count": 1, "exact": True, "kept_without": False, "sets": [["apu_gen"], ["control"]]}
    assert check.next.sources[0]["clean"]["count"] == 1


def test_shed_units_are_no_reserve_for_a_deferred_one():
    """Catalogue 11: air data 1 deferred, 2 and 3 shed in the emergency configuration."""
    net = network(
        elements={
            "gen": {"kind": "generator"},
            "battery": {"kind": "battery"},
            "emergency": bus("gen", "battery"),
            "shed": bus("gen"),
            "adc_1": {"kind": "sensor", "inputs": {"power": ["emergency"]}},
            "adc_2": {"kind": "sensor", "inputs": {"power": ["shed"]}},
            "adc_3": {"kind": "sensor", "inputs": {"power": ["shed"]}},
        },
        functions={"airspeed": {"modes": {"any": {"rank": 1, "when": {"any": ["adc_1", "adc_2", "adc_3"]}}}, "severity": {"lost": "catastrophic"}}},
        dispatch={"adc": {"category": "C", "installed": 3, "required": 2, "units": {f"u{n}": {"elements": [f"adc_{n}"]} for n in (1, 2, 3)}}},
    )
    units = {u["id"]: u for u in ff.dispatch_table(net).rows[0]["units"]}
    assert [e["id"] for e in units["u1"]["exposed"]] == ["gen", "gen", "shed", "shed"]
    assert {e["exposed_worst"] for e in units["u1"]["exposed"]} == {"catastrophic"}
    assert units["u2"]["exposed"] == units["u3"]["exposed"] == []


def test_restored_from_one_source_is_said_to_hang_on_it():
    """Catalogue 17: the bus is back, independence is gone."""
    net = network(
        elements={"gen_l": {"kind": "generator"}, "gen_r": {"kind": "generator"}, "left": bus("gen_l", "gen_r"), "right": bus("gen_r")},
        functions={"power": {"modes": {"both": {"rank": 1, "when": {"all": ["left", "right"]}}, "one": {"rank": 2, "when": {"any": ["left", "right"]}}}, "severity": {"lost": "hazardous"}}},
    )
    next_ = ff.next_failures(net.running_state().fail("gen_l"))
    assert next_.changes == [] and next_.sources[0]["now"]["count"] == 1 and next_.sources[0]["clean"]["count"] == 2
    assert ("gen_r", "loss") in {(r["id"], r["mode"]) for r in next_.newly_exposed}


def test_deferred_is_not_failed_and_not_fitted_is_neither():
    """Catalogue 18."""
    valve = {"kind": "valve", "rest": "open"}
    net = network(
        elements={"engine": {"kind": "engine"}, "valve": valve, "spare": {"kind": "engine", "fitted": False},
                  "duct": {"kind": "manifold", "inputs": {"pneumatic": [{"from": "engine", "via": ["valve"]}]}}},
        functions={"air": {"modes": {"duct": {"rank": 1, "when": "duct"}}}},
        dispatch={
            "valve_open": item("valve", units={"unit": {"elements": ["valve"], "secured": {"valve": "open"}}}),
            "valve_out": item("valve"),
            "spare_item": item("spare", ["engine"]),
            "asks": item("engine", ["spare"]),
        },
    )  # fmt: skip
    items = ff.dispatch_table(net)
    assert unit(items, "valve_open", "unit")["changes"] == []
    assert [c["function"] for c in unit(items, "valve_out", "unit")["changes"]] == ["air"]
    assert not unit(items, "spare_item", "unit")["fitted"]
    assert unit(items, "asks", "unit")["provided"] == [{"text": "spare supplied", "met": "not_decidable", "reason": "spare not fitted"}]


def test_a_pack_in_its_standby_mode_does_not_operate_normally():
    """Catalogue 19, as a deferral asks for it."""
    net = network(
        elements={"pack_l": {"kind": "controller"}, "pack_r": {"kind": "controller", "failures": {"standby_only": {}}}},
        functions={"air": {"modes": {"both": {"rank": 1, "when": {"all": ["pack_l", "pack_r", {"not": {"failure": {"pack_r": "standby_only"}}}]}}, "one": {"rank": 2, "when": {"any": ["pack_l", "pack_r"]}}}}},
        dispatch={"pack": item("pack_l", ["pack_r", {"level": {"air": "normal"}}])},
    )
    state = net.running_state().fail("pack_r", "standby_only")
    met = [p["met"] for p in ff.check_deferrals(state, ["pack"]).items[0]["provided"]]
    assert met == ["not_decidable", "not_met"]


def test_the_auxiliary_unit_must_run_and_must_not_run():
    net = network(
        given={"apu_runs": False},
        elements={"apu": {"kind": "engine", "needs": {"given": "apu_runs"}}, "gen": {"kind": "generator"}, "sensor": {"kind": "sensor"}, "bus": bus("gen", "apu")},
        functions={"power": {"modes": {"bus": {"rank": 1, "when": "bus"}}}},
        dispatch={"generator": item("gen", ["apu"]), "fire_sensor": item("sensor", [{"not": {"given": "apu_runs"}}]), "other": item("sensor", [{"given": "apu_runs"}])},
    )
    items = ff.dispatch_table(net)
    assert unit(items, "other", "unit")["provided"] == [{"text": "apu runs", "met": "if_set", "reason": "with apu runs true"}]
    assert ("fire_sensor", "other") in pairs(items, "contradiction")


# ------------------------------------------------------------------- as values


def same_keys(typed, value):
    hints = get_type_hints(typed)
    assert typed.__required_keys__ <= set(value) <= set(hints), (typed, set(value) ^ set(hints))
    for key, hint in hints.items():
        for inner in [hint, *get_args(hint)]:
            if isinstance(inner, type) and hasattr(inner, "__required_keys__"):
                for one in value[key] if isinstance(value[key], list) else [value[key]]:
                    same_keys(inner, one)


def test_dicts_have_the_keys_of_their_types(nets, items):
    check = ff.check_deferrals(nets["a"], [("item_24_30_generator", "left", datetime.date(2024, 9, 10)), "item_32_40_antiskid", "item_61_20_reverse"])
    same_keys(fedfrom.types.DispatchTableDict, items.to_dict())
    same_keys(fedfrom.types.DeferralCheckDict, check.to_dict())
    same_keys(fedfrom.types.NextFailuresDict, check.next.to_dict())


def test_words_are_those_of_the_library():
    header = (ROOT / "include/fedfrom/study/deferral.hpp").read_text(encoding="utf-8")
    for kind, typed, key in [("Met met", fedfrom.types.Provided, "met"), ("Conflict::Why why", fedfrom.types.Conflict, "why")]:
        body = re.search(rf"name_of\({kind}\) {{.*?names\{{(.*?)\}};", header, re.DOTALL)[1]
        assert list(get_args(get_type_hints(typed)[key])) == re.findall(r'"(\w+)"', body)


def test_the_table_has_the_columns_of_the_list_first(items):
    assert items.table.columns[:5] == ["Item", "Category", "Number installed", "Number required for dispatch", "Remarks or exceptions"]
    assert len(items.table) == sum(len(r["units"]) for r in items)
    generator = next(r for r in items.table if r[0] == "24-30-01 Starter-generator")
    assert generator[1:4] == ["B", 2, 1] and generator[4].startswith("(O) The flight is by day")


def test_every_form_carries_the_caution_and_says_nothing_of_going(nets, items):
    check = ff.check_deferrals(nets["a"], [("item_24_30_generator", "left")])
    for answer in (items, check, check.next):
        for text in (str(answer), answer.to_markdown(), answer.to_csv(), answer.to_html(), answer.to_json(), answer._repr_html_()):
            flat = " ".join(text.replace("&#39;", "'").split())
            assert ff.caution in flat
            assert not re.search(r"\b(legal|legally|safe|safely|airworthy|permitted)\b", flat)
        assert [t["title"] for t in json.loads(answer.to_json())] == [t.title for t in answer.tables]


def test_colour_is_never_alone(items):
    """Every cell with a class that colours it shows a sign as well."""
    for cell in re.findall(r'<t[dh][^>]*class="[^"]*\b(?:kept|degraded|lost|unknown|changed|not-fitted|exceeded)\b[^"]*"[^>]*>(.*?)</t[dh]>', items.to_html(), re.DOTALL):
        assert cell.startswith("<abbr title=")


def test_frames_and_workbooks(nets, items, tmp_path):
    pandas = pytest.importorskip("pandas")
    openpyxl = pytest.importorskip("openpyxl")
    frame = items.to_dataframe()
    assert list(frame.columns)[:4] == ["Item", "Category", "Number installed", "Number required for dispatch"] and frame["Number installed"].dtype == "Int64"
    for of in ("exposed", "conditions", "conflicts", "hidden"):
        assert len(items.to_dataframe(of))
    with pytest.raises(ValueError, match="hidden"):
        items.to_dataframe("unknown")
    path = tmp_path / "items.xlsx"
    items.to_excel(path)
    book = openpyxl.load_workbook(path)
    assert len(book.sheetnames) == len(items.tables) and all(len(name) <= 31 for name in book.sheetnames)
    for sheet in book:
        cells = [str(cell.value) for cells in sheet.iter_rows() for cell in cells if cell.value is not None]
        assert ff.caution in cells and not any(cell.data_type == "f" for cells in sheet.iter_rows() for cell in cells)
    assert pandas.read_excel(path, sheet_name=0).iloc[0, 0].startswith("21-30-01")


def test_a_workbook_runs_no_formula_and_names_each_sheet_once(tmp_path):
    pytest.importorskip("pandas")
    openpyxl = pytest.importorskip("openpyxl")
    tables = [ff.Table("A title: longer than what Excel takes [1]", ["a", "b"], [["=1+1", -2], ["@x", None]])] * 2
    from fedfrom._frames import write_excel

    write_excel(tmp_path / "t.xlsx", tables)
    book = openpyxl.load_workbook(tmp_path / "t.xlsx")
    assert len(set(book.sheetnames)) == 2
    assert [[c.value for c in r] for r in book.worksheets[0].iter_rows(min_row=2, max_row=3)] == [["'=1+1", -2], ["'@x", None]]


def test_the_same_question_gives_an_equal_answer(nets, items):
    assert items == ff.dispatch_table(nets["a"]) and items != ff.dispatch_table(nets["b"])
    open_items = [("item_24_30_generator", "left")]
    assert ff.check_deferrals(nets["a"], open_items) == ff.check_deferrals(nets["a"], open_items) != ff.check_deferrals(nets["a"], [])
    assert str(items) == str(ff.dispatch_table(nets["a"]))


def test_open_items_that_are_none_say_so(nets):
    for open_items, error in [
        ("item_32_40_antiskid", TypeError), ([("item_32_40_antiskid", "controller", "10 Sep")], TypeError), ([("item_32_40_antiskid", 1)], ValueError),
        ([()], ValueError), ([3], TypeError), (["item_32_40_antiskidd"], ff.UnknownId), (["item_24_30_generator"], ff.NotPossible),
        (["item_32_40_antiskid"] * 2, ff.NotPossible),
    ]:  # fmt: skip
        with pytest.raises(error):
            ff.check_deferrals(nets["a"], open_items)
    with pytest.raises(ff.NotPossible):
        ff.last_repair_day("E", datetime.date(2024, 9, 10))
    with pytest.raises(TypeError):
        ff.last_repair_day("B", "2024-09-10")


def test_days(nets):
    day = datetime.date(2024, 9, 10)
    assert ff.last_repair_day("C", day) == datetime.date(2024, 9, 20) and ff.last_repair_day("A", day) is None
    assert ff.last_repair_day("B", datetime.datetime(2024, 9, 10, 23, 59)) == datetime.date(2024, 9, 13)
    (item_,) = ff.check_deferrals(nets["a"], [("item_32_40_antiskid", "", day)]).items
    assert (item_["found"], item_["last_day"]) == (day, datetime.date(2024, 9, 20))
