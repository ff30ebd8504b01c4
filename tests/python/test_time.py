"""What happens in time: starting, running down, cooling, batteries running empty; a session that plays the clock; the drawing."""

import json
import xml.etree.ElementTree as ET

import fedfrom as ff
import pytest

CHAIN = {
    "format": "fedfrom/1", "name": "Chain <of & four>",
    "given": {"fuel": True},
    "elements": {
        "engine": {"kind": "engine", "needs": {"given": "fuel"}, "spin_up_s": 30, "run_down_s": 5},
        "generator": {"kind": "generator", "inputs": {"drive": ["engine"]}, "run_down_s": 2},
        "bus": {"kind": "bus", "name": "Bus <main>", "inputs": {"power": ["generator"]}},
        "fan": {"kind": "motor", "inputs": {"power": ["bus"]}},
        "display": {"kind": "panel", "inputs": {"power": ["bus"], "cooling": ["fan"]}, "runs_without_s": {"cooling": 600}},
    },
    "functions": {"see": {"name": "See \"it\"", "modes": {"display": {"rank": 1, "when": "display"}}}},
}  # fmt: skip


def chain(steps, until_s=1000, **options):
    return ff.timeline(ff.Network(ff.Model.from_dict(CHAIN)), steps, until_s, **options)


def lost_at(played, id):
    """When an element's supply is first gone; None: never."""
    for instant, out in zip(played.instants, played.outcomes):
        if out.status(id) != "supplied":
            return instant["seconds"]
    return None


def test_each_runs_down_from_where_the_one_before_it_has():
    played = chain([(10, {"given": {"fuel": False}})])
    assert {id: lost_at(played, id) for id in CHAIN["elements"]} == {"engine": 15, "generator": 17, "bus": 17, "fan": 17, "display": 17}
    assert [i["text"] for i in played.instants] == ["with fuel false", "engine runs on no longer", "generator runs on no longer"]


def test_what_has_failed_itself_runs_on_for_no_time():
    assert lost_at(chain([(10, {"fail": ["generator"]})]), "generator") == 10
    assert lost_at(chain([(10, {"fail": ["generator"]})]), "engine") is None


def test_cooling_lost_is_survived_for_its_time_and_power_lost_is_not():
    assert lost_at(chain([(10, {"fail": ["fan"]})]), "display") == 610
    assert lost_at(chain([(10, {"fail": ["fan"]}), (100, {"fail": ["bus"]})]), "display") == 100
    assert lost_at(chain([(10, {"fail": ["fan"]}), (600, {"repair": ["fan"]})]), "display") is None
    again = chain([(10, {"fail": ["fan"]}), (600, {"repair": ["fan"]}), (605, {"fail": ["fan"]})], until_s=2000)
    assert lost_at(again, "display") == 1205  # it begins anew


def test_starting_takes_its_time_and_a_start_broken_off_begins_anew():
    off_and_on = [(0, {"given": {"fuel": False}}), (100, {"given": {"fuel": True}})]
    played = chain(off_and_on)
    assert [(i["seconds"], i["text"]) for i in played.instants][-2:] == [(100, "with fuel true"), (130, "engine has started after 30 s")]
    assert played.outcomes[-2].status("engine") == "starting" and played.outcomes[-1].status("display") == "supplied"
    assert str(played.outcomes[-2].level("see")) == "lost"
    broken_off = chain([*off_and_on, (120, {"given": {"fuel": False}}), (125, {"given": {"fuel": True}})])
    assert broken_off.instants[-1]["seconds"] == 155
    on_its_way = chain(off_and_on, until_s=110).on_its_way
    assert on_its_way == [{"id": "engine", "name": "engine", "what": "starts", "position": "", "due_s": 130}]


def test_why_says_that_it_has_not_started_yet():
    played = chain([(0, {"given": {"fuel": False}}), (100, {"given": {"fuel": True}})], until_s=110)
    why = ff.why(played.after, "see")
    assert [(r["kind"], r["id"]) for r in why.to_dict()["roots"]] == [("starting", "engine")]
    assert "engine has not started yet" in str(why)


WORKED = {
    "format": "fedfrom/1", "name": "Worked example",
    "elements": {
        "battery": {"kind": "battery", "store": {"amp_hours": 35}, "rating": {"volts": 12}},
        "shed_switch": {"kind": "switch", "positions": ["ON", "OFF"], "reach": "cockpit"},
        "landing_switch": {"kind": "switch", "positions": ["OFF", "ON"], "reach": "cockpit"},
        "bus": {"kind": "bus", "inputs": {"power": ["battery"]}},
        "always": {"kind": "consumer", "inputs": {"power": ["bus"]}, "loads": {"emergency": {"amps": 34}}},
        "shed": {"kind": "consumer", "inputs": {"power": [{"from": "bus", "via": [{"shed_switch": ["ON"]}]}]}, "loads": {"emergency": {"amps": 9.5}}},
        "landing": {"kind": "consumer", "inputs": {"power": [{"from": "bus", "via": [{"landing_switch": ["ON"]}]}]}, "loads": {"emergency": {"amps": 14.1}}},
    },
}  # fmt: skip


def worked(steps, until_min=120, **options):
    options = {"condition": "emergency", "derating": 0.75, "charge": 1, **options}
    return ff.timeline(ff.Network(ff.Model.from_dict(WORKED)), [(60 * at, step) for at, step in steps], 60 * until_min, **options)


def test_the_worked_battery_example_played_ends_when_it_says():
    """Two AML STC installation manuals, 190-02246-10 Rev 11 p. 3-38 and 190-01007-A3 Rev 4 p. 3-45 Fig 3-19: 35 Ah derated to 75
    percent; 43.5 A for 5 min, 34.0 A for 25.8 min, 48.1 A for 10 min: 40.8 min in all."""
    played = worked([(5, {"set": {"shed_switch": "OFF"}}), (5 + 25.7794, {"set": {"landing_switch": "ON"}})])
    assert played.instants[-1]["text"] == "battery is empty"
    assert played.instants[-1]["seconds"] / 60 == pytest.approx(40.7794, abs=1e-3)
    assert played.after.status("always") == "unsupplied"


def test_peukert_and_charge_shorten_it():
    """t = H (C / (I H))^k at the 20-hour rate, k 1.2: computed."""
    (empty,) = worked([], derating=1, charge=0.5, peukert=1.2, peukert_hours=20).instants
    assert empty["seconds"] / 3600 == pytest.approx(0.5 * 20 * (35 / (43.5 * 20)) ** 1.2, rel=1e-6)


def test_times_are_shown_to_a_tenth_and_kept_in_full():
    played = worked([(0.0125, {"set": {"shed_switch": "OFF"}}), (30, {"set": {"landing_switch": "ON"}})])
    empty = played.instants[-1]
    assert empty["text"] == "battery is empty" and empty["seconds"] != round(empty["seconds"], 1)
    times = [row[0] for row in json.loads(played.to_json())[0]["rows"]]
    assert times == [0.75, 1800, round(empty["seconds"], 1)]
    assert f"{empty['seconds']:.1f}" in str(played) and f"{empty['seconds']:.3f}" not in str(played)


def test_a_battery_replaced_is_as_full_as_at_the_beginning():
    played = worked([(20, {"fail": ["battery"]}), (30, {"repair": ["battery"]})], until_min=60)
    used = 20 * 43.5 / 60  # failed, it gives nothing, and keeps what it has
    assert played.instants[-1]["seconds"] / 60 == pytest.approx(30 + (26.25 - used) * 60 / 43.5)
    emptied = worked([(50, {"repair": ["battery"]})], until_min=60)
    assert emptied.batteries[0]["charge"] == pytest.approx(1 - 10 * 43.5 / 60 / 26.25)


def test_a_load_the_model_does_not_say_ends_the_timeline_where_it_comes_on():
    model = {**WORKED, "elements": {**WORKED["elements"], "landing": {k: v for k, v in WORKED["elements"]["landing"].items() if k != "loads"}}}
    played = ff.timeline(ff.Network(ff.Model.from_dict(model)), [(60, {"set": {"landing_switch": "ON"}}), (120, {"set": {"shed_switch": "OFF"}})], 7200, condition="emergency", derating=1, charge=1)
    assert not played.complete and len(played.instants) == 1
    assert "How long battery lasts is not known" in played.open and "landing" in played.open


@pytest.mark.parametrize(("options", "said"), [
    ({"condition": "emergency", "derating": 1}, "`charge` must be said"),
    ({"condition": "emergency", "charge": 1}, "`derating` must be said"),
    ({"derating": 1}, "no `condition`"),
    ({"condition": "emergency", "derating": 1.5, "charge": 1}, "above 0 and up to 1"),
])  # fmt: skip
def test_options_that_do_not_go_together_are_refused(options, said):
    with pytest.raises(ff.NotPossible, match=said):
        ff.timeline(ff.Network(ff.Model.from_dict(WORKED)), [], 10, **options)


def test_a_condition_there_is_none_of_is_named_with_the_nearest():
    with pytest.raises(ff.UnknownId, match="emergency"):
        worked([], condition="emergncy")


def test_a_session_in_time_tells_what_happened_meanwhile_and_why():
    session = ff.Session(ff.Network(ff.Model.from_dict(CHAIN)), in_time=True)
    assert [str(c) for c in session.given("fuel", False).settle()] == []
    assert [(w["id"], w["what"], w["due_s"]) for w in session.waiting] == [("engine", "runs_down", 5)]
    assert session.advance(4.999) == []
    changes = [str(c) for c in session.advance(3)]
    assert "engine: supplied -> off, because engine has run down" in changes
    assert "bus: supplied -> unsupplied, because generator has no supply" in changes
    assert "see: normal (display) -> lost, not now, because display has no supply" in changes
    assert session.now_s == pytest.approx(7.999) and session.waiting == []


def bus(*feeds):
    return {"kind": "bus", "inputs": {"power": list(feeds)}}


def net_of(elements, functions=None, **more):
    return ff.Network(ff.Model.from_dict({"format": "fedfrom/1", "name": "t", "elements": elements, "functions": functions or {}, **more}))


@pytest.mark.parametrize("times", [(10, 15), (15, 10), (10, 10)])
def test_two_that_run_down_do_not_keep_each_other_alive(times):
    """Each has its own time once: what only another that runs down feeds does not begin anew."""
    ends = {"ma": "pa", "mb": "pb"}
    net = net_of(
        {"pa": {"kind": "pump"}, "pb": {"kind": "pump"}, "valve": {"kind": "valve", "positions": ["closed", "open"], "reach": "cockpit", "rest": "open"},
         **{m: {"kind": "manifold", "inputs": {"hydraulic": [p]}, "run_down_s": t} for (m, p), t in zip(ends.items(), times)}},
        ties={"x": {"between": ["ma", "mb"], "via": ["valve"]}})  # fmt: skip
    played = ff.timeline(net, [(0, {"fail": ["pa", "pb"]})], 1000)
    assert played.complete and {played.after.status(m) for m in ends} == {"unsupplied"}
    assert max(lost_at(played, m) for m in ends) <= sum(times)
    session = ff.Session(net, in_time=True)
    session.fail("pa").fail("pb").settle()
    session.advance(1000)
    assert {session.status(m) for m in ends} == {"unsupplied"}


def test_what_does_without_cooling_does_not_do_without_power_in_any_question():
    net = net_of(
        {"g": {"kind": "generator"}, "bus": bus("g"), "cb": {"kind": "breaker"}, "fan": {"kind": "motor", "inputs": {"power": ["bus"]}},
         "d": {"kind": "panel", "inputs": {"power": [{"from": "bus", "via": ["cb"]}], "cooling": ["fan"]}, "runs_without_s": {"cooling": 60}}},
        {"see": {"modes": {"a": {"rank": 1, "when": "d"}}}, "dark": {"demand": {"set": {"cb": "pulled"}}, "modes": {"a": {"rank": 1, "when": "d"}}}})  # fmt: skip
    played = ff.timeline(net, [(0, {"fail": ["fan"]})], 10)
    assert str(played.after.level("see")) == "normal" and str(played.after.level("dark")) == "lost"
    state = played.after.state
    assert [c["function"] for c in ff.preview(state, {"set": {"cb": "pulled"}}).worse] == ["see"]
    assert sorted(s[0][0] for s in ff.cut_sets(state, "see").sets if len(s) == 1) == ["bus", "bus", "cb", "d", "g", "g"]
    for session in (ff.Session(state), ff.Session(net, in_time=True).fail("fan")):
        session.settle()
        session.fail("bus").settle()
        assert session.status("d") == "unsupplied"


def test_what_was_unknown_does_not_run_on():
    net = net_of(
        {"g": {"kind": "generator"}, "bus": bus("g"), "sw": {"kind": "switch", "positions": ["OFF", "ON"], "reach": "cockpit"},
         "v": {"kind": "valve", "inputs": {"power": ["bus"]}, "without": [["power", "stays"]], "goes": [{"to": "closed", "when": {"all": ["l", {"at": {"sw": "ON"}}]}}], "rest": "open"},
         "l": bus({"from": "bus", "via": ["v"]}), "m": {"kind": "consumer", "inputs": {"power": ["l"]}, "run_down_s": 5}},
        {"t": {"modes": {"a": {"rank": 1, "when": "m"}}}})  # fmt: skip
    session = ff.Session(net, in_time=True)
    session.set("sw", "ON").settle()
    assert session.status("m") == "unknown" and session.hunting == ["v"]
    session.fail("bus").settle()
    assert session.status("m") == "unsupplied" and session.level("t") == "lost"


def test_a_current_that_is_not_known_exactly_ends_the_timeline():
    """Unrated batteries in parallel share as they will: one that is taken as empty too early may shed what empties the other."""
    net = net_of(
        {"b1": {"kind": "battery", "store": {"amp_hours": 10}}, "b2": {"kind": "battery", "store": {"amp_hours": 20}},
         "bus": {"kind": "bus", "inputs": {"power": {"parallel": ["b1", "b2"]}}}, "k": {"kind": "relay", "goes": [{"to": "closed", "when": "b1"}], "rest": "open"},
         "r": {"kind": "consumer", "inputs": {"power": [{"from": "bus", "via": ["k"]}]}, "loads": {"c": {"amps": 10}}},
         "r2": {"kind": "consumer", "inputs": {"power": ["bus"]}, "loads": {"c": {"amps": 1}}}})  # fmt: skip
    played = ff.timeline(net, [], 20 * 3600, condition="c", derating=1, charge=1)
    assert not played.complete and "How long b1 lasts is not known" in played.open and "0 to 11 A" in played.open


def test_what_starts_draws_its_load():
    net = net_of(
        {"b": {"kind": "battery", "store": {"amp_hours": 1}}, "sw": {"kind": "switch", "positions": ["OFF", "ON"], "reach": "cockpit"}, "bus": bus("b"),
         "gyro": {"kind": "consumer", "inputs": {"power": [{"from": "bus", "via": [{"sw": ["ON"]}]}]}, "spin_up_s": 1800, "loads": {"c": {"amps": 1}}},
         "x": {"kind": "consumer", "inputs": {"power": ["bus"]}, "loads": {"c": {"amps": 0.5}}}})  # fmt: skip
    played = ff.timeline(net, [(0, {"set": {"sw": "ON"}})], 9999, condition="c", derating=1, charge=1)
    assert played.instants[-1]["text"] == "b is empty" and played.instants[-1]["seconds"] == pytest.approx(2400, abs=0.001)


def test_a_clock_that_begins_half_way_into_a_start_begins_the_start():
    net = net_of({"e": {"kind": "engine", "needs": {"given": "fuel"}, "spin_up_s": 60}}, given={"fuel": False})
    session = ff.Session(net, in_time=True)
    session.given("fuel", True).settle()
    session.advance(10)
    state = session.state()
    again = ff.Session(state, in_time=True)
    assert again.status("e") == "starting" and [w["due_s"] for w in again.waiting] == [60]
    played = ff.timeline(state, [], 100)
    assert played.before.status("e") == "starting"
    assert [(i["seconds"], i["text"]) for i in played.instants] == [(60, "e has started after 60 s")]


def test_a_session_not_in_time_has_no_clock():
    session = ff.Session(ff.Network(ff.Model.from_dict(CHAIN)))
    with pytest.raises(ValueError, match="in_time=True"):
        session.advance(1)
    with pytest.raises(ValueError, match="0 seconds or more"):
        ff.Session(ff.Network(ff.Model.from_dict(CHAIN)), in_time=True).advance(-1)
    with pytest.raises(ValueError, match="at most 1e9 seconds"):
        ff.Session(ff.Network(ff.Model.from_dict(CHAIN)), in_time=True).advance(1.1e9)
    assert {c.id for c in session.given("fuel", False).settle()} >= {"engine", "bus", "display"}  # all at once


def test_a_snapshot_of_a_session_in_time_goes_on_where_it_stood():
    net = ff.Network(ff.Model.from_dict(CHAIN))
    session = ff.Session(net, in_time=True)
    session.fail("fan").settle()
    session.advance(100)
    state = ff.read_snapshot(net, session.snapshot())
    assert state == session.state()
    assert ff.settle(state).status("display") == "supplied"  # it runs on, until a clock that begins from here says otherwise
    session.load(state)
    session.settle()
    assert session.now_s == 0 and session.status("display") == "unsupplied"  # what was on its way is there


def test_the_drawing_says_in_words_what_its_bars_say_and_is_well_formed():
    played = chain([(10, {"given": {"fuel": False}})], until_s=60)
    svg = played.chart().svg
    root = ET.fromstring(svg)
    titles = [t.text for t in root.iter("{http://www.w3.org/2000/svg}title")]
    assert 'See "it": display, 0 s to 17 s' in titles and 'See "it": lost, 17 s to 60 s' in titles
    assert "Bus <main>: supplied, 0 s to 17 s" in titles
    words = " ".join(t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "Chain <of & four>" in words and ff.caution in words.replace("  ", " ")
    assert played.chart().svg == svg == played.chart()._repr_svg_()
