"""Ostrea 7, the demo aircraft: its size, and scenarios reasoned from its drawing.

The expectations in ostrea7_expected.json were written from the architecture
(examples/ostrea7/README.md), each with its reason, and not copied from a run.
"""

import json
import random
from pathlib import Path

import pytest

import fedfrom as ff

MODEL = Path(__file__).parents[2] / "examples" / "ostrea7" / "ostrea7.json"
SCENARIOS = json.loads(Path(__file__).with_name("ostrea7_expected.json").read_text(encoding="utf-8"))
WORSE = {"normal": 0, "degraded": 1, "lost": 2}

written = json.loads(MODEL.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def nets():
    model = ff.read_model(str(MODEL))
    return {variant: ff.Network(model, variant=variant) for variant in ("a", "b")}


def outcome(nets, scenario, variant=None):
    return ff.what_works(
        nets[variant or scenario["variant"]],
        failed=[tuple(f) for f in scenario["fail"]],
        positions=scenario.get("set", {}),
        given=scenario.get("given", {}),
    )


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda s: f"{s['variant']}: {s['title']}")
def test_what_works(nets, scenario):
    out = outcome(nets, scenario)
    said = {
        "level": {id: str(out.level(id)) for id in scenario["level"]},
        "status": {id: str(out.status(id)) for id in scenario["status"]},
    }
    assert said == {"level": scenario["level"], "status": scenario["status"]}, scenario["why"]


def test_the_aircraft_is_of_the_promised_size():
    assert 100 <= len(written["elements"]) <= 150
    assert len(written["functions"]) >= 25
    assert len(written["checks"]) >= 4
    assert len(written["dispatch"]) >= 20


def test_both_variants_stay_in_that_size(nets):
    for net in nets.values():
        assert 100 <= len(net.model.to_dict()["elements"]) <= 150


def test_every_function_is_in_a_listed_group():
    groups = written["groups"]
    assert {f["group"] for f in written["functions"].values()} == set(groups)


def test_every_element_and_function_has_a_name_for_a_printed_sheet():
    things = written["elements"] | written["functions"] | written["dispatch"] | written["checks"]
    assert [id for id, thing in things.items() if not thing.get("name")] == []
    names = [e["name"] for e in written["elements"].values()]
    assert len(set(names)) == len(names)


def test_scenarios_are_enough_and_each_says_why():
    assert len(SCENARIOS) >= 15
    for s in SCENARIOS:
        assert s["why"], s["title"]
        assert len(s["level"]) + len(s["status"]) >= 5, s["title"]


def worse(nets, scenario, function):
    """-1: worse in a; 1: worse in b; 0: the same."""
    a = WORSE[str(outcome(nets, scenario, "a").level(function))]
    b = WORSE[str(outcome(nets, scenario, "b").level(function))]
    return (b > a) - (b < a)


@pytest.mark.parametrize(
    "failed, function, which",
    [
        ([["main_l", "loss"]], "gear_extension", 1),  # gear control on the left main bus in b
        ([["main_l", "loss"]], "reverse", 1),  # and the air/ground relay with it
        ([["main_r", "loss"]], "cabin_pressure", 1),  # pressure channel 2 on the right main bus in b
        ([["main_r", "loss"]], "wheel_braking", -1),  # pedal brakes need no power pack
        ([["hyd_pressure", "leak"]], "wheel_braking", -1),  # and have fluid of their own
        ([["brakes_l", "leak"]], "gear_extension", -1),  # so that their leak stays theirs
        ([["standby", "short"]], "gear_extension", -1),  # gear control on the standby bus in a
        ([["direct_bus", "short"], ["main_r", "loss"]], "standby_power", -1),  # second battery in b
        ([["sg_l", "loss"], ["sg_r", "loss"]], "gear_retraction", 1),
        ([["sg_l", "loss"], ["sg_r", "loss"]], "wheel_braking", -1),
        ([["eng_l", "loss"]], "thrust", 0),
    ],
)
def test_the_variants_differ_both_ways(nets, failed, function, which):
    assert worse(nets, {"fail": failed}, function) == which


def test_what_hangs_on_the_battery_alone(nets):
    """Both generators gone: taking the battery too kills exactly these, and leaves the pilots' arms and cables."""
    generators = [("sg_l", "loss"), ("sg_r", "loss")]
    with_battery = ff.what_works(nets["a"], failed=generators)
    without = ff.what_works(nets["a"], failed=[*generators, ("batt", "loss")])
    gone = [id for id in sorted(written["functions"]) if str(with_battery.level(id)) != "lost" and str(without.level(id)) == "lost"]
    assert gone == [
        "ac_power", "attitude", "cabin_altitude_warning", "cabin_intercom", "central_warnings", "cockpit_lighting",
        "engine_indication", "fire_detection", "fire_extinguishing", "fuel_shutoff_l", "fuel_shutoff_r",
        "gear_indication", "gear_retraction", "precision_approach", "probe_heat", "radio_navigation",
        "standby_power", "surveillance", "voice_radio",
    ]  # fmt: skip


@pytest.mark.parametrize("variant", ["a", "b"])
def test_whatever_takes_a_function_holds_one_of_its_cut_sets(nets, variant):
    """Of any size, with what keeps its position and holds itself in: random failures settled, against the sets found at once."""
    net = nets[variant]
    losses = [f for f in net.failures if f[1] == "loss"]
    spreading = [f for f in net.failures if f[1] in ("short", "leak", "jam")]
    by_losses = {id: ff.cut_sets(net, id, within=losses, most_sets=10**6) for id in net.functions}
    assert all(c.complete for c in by_losses.values())
    by_all = {id: ff.cut_sets(net, id, within=losses + spreading, most_sets=10**6) for id in ("gear_extension", "wheel_braking")}
    assert all(c.complete_to == 3 and c.spreading_to == 1 for c in by_all.values())
    r = random.Random(7)
    taken = {False: 0, True: 0}
    for n in range(300):
        spreads = n % 3 == 0
        chosen = set(r.sample(losses, r.randint(4, 12)) + ([r.choice(spreading)] if spreads else []))
        if len({element for element, _ in chosen}) < len(chosen):
            continue
        state = net.running_state()
        for failure in sorted(chosen):
            state.fail(*failure)
        out = ff.settle(state)
        for id, c in (by_all if spreads else by_losses).items():
            if out.level(id) != "normal" and not chosen & set(c.doubtful):
                assert any(chosen.issuperset(s) for s in c.sets), (id, sorted(chosen))
                taken[spreads] += 1
    assert taken[False] > 1000 and taken[True] > 50
