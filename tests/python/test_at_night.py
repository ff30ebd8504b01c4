"""The example sheet: both generators lost at night, 40 minutes from the nearest long runway, in both variants."""

import html
import importlib.util
import re
from pathlib import Path

import fedfrom as ff
import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """What it prints, and the files it writes."""
    spec = importlib.util.spec_from_file_location("at_night", ROOT / "examples/ostrea7/at_night.py")
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    folder = tmp_path_factory.mktemp("night")
    script.main(folder)
    return {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}


def words(page):
    return " ".join(html.unescape(re.sub(r"<(style|title).*?</\1>|<[^>]+>", " ", page, flags=re.S)).split())


def test_a_sheet_and_a_drawing_a_variant_each_with_the_caution(told):
    assert sorted(told) == ["at_night_a.html", "at_night_a.svg", "at_night_b.html", "at_night_b.svg"]
    for page in told.values():
        assert ff.caution in words(page)


@pytest.mark.parametrize("variant", ["a", "b"])
def test_the_battery_outlasts_the_flight_and_the_hour_ends_dark(told, variant):
    page = words(told[f"at_night_{variant}.html"])
    assert "45 min required: pass" in page
    assert "Battery is empty" in page
    net = ff.Network(ff.read_model(ROOT / "examples/ostrea7/ostrea7.json"), variant=variant)
    lasts = ff.endurance(net.running_state().fail("sg_l").fail("sg_r"), "g10_emergency", derating=0.8, charge=0.9, shed=["probe_heat_r"], shed_after_min=5)
    (minutes,) = {b["minutes"]["low"] for b in lasts.batteries if b["in_use"]}
    # Played with its breaker pulled, the heater is off as the endurance sheet has it shed. An intermittent load draws its duty once
    # in each of that sheet's phases, and once when it comes on here: some seconds.
    assert float(re.search(r"([\d.]+) Battery is empty", page).group(1)) == pytest.approx(minutes * 60, abs=3)


def test_the_gear_comes_down_by_hand_in_a_and_by_nitrogen_in_b(told):
    a, b = (words(told[f"at_night_{variant}.html"]) for variant in "ab")
    assert "with Gear handle at DOWN" in a and "Gear nitrogen bottle" not in a
    assert "with Gear nitrogen handle at PULLED" in b and "nitrogen" in b


def test_the_short_runway_is_too_short_by_the_rule_named_and_the_long_one_is_not(told):
    a = words(told["at_night_a.html"])
    assert "115 percent at arrival" in a
    short, long = (ff.plan(ff.Network(ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")).running_state().fail("sg_l").fail("sg_r"), quantity="landing_distance", base_m=700, available_m=metres,
                           rules=["115 percent at arrival"]).landing["lines"][-1]["margin_m"] for metres in (1100, 1800))  # fmt: skip
    assert short < 0 < long
