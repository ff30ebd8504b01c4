"""Symptoms to candidates, quizzes and check coverage, as Python asks them; that they are right is tested in tests/oracle."""

from pathlib import Path

import fedfrom as ff
import pytest

OSTREA = Path(__file__).parents[2] / "examples/ostrea7/ostrea7.json"


@pytest.fixture(scope="module")
def net():
    return ff.Network(ff.read_model(OSTREA))


SEEN = [("standby_light", "lit"), ("avionics_2", "dead"), ("com_1", "works")]


def test_observations_are_written_as_pairs_triples_dicts_or_one_dict(net):
    found = ff.diagnose(net, SEEN)
    assert ff.diagnose(net, dict(SEEN)) == found
    assert ff.diagnose(net, [{"id": id, "seen": seen} for id, seen in SEEN]) == found
    assert ff.diagnose(net, [(id, seen, {}) for id, seen in SEEN]) == found
    assert ff.diagnose(net, found.observations) == found
    tried = ff.diagnose(net, [("standby_light", "lit", {"set": {"standby_switch": "BATT"}})])
    assert tried.observations[0]["set"] == {"standby_switch": "BATT"} and not tried.unexpected


@pytest.mark.parametrize("observations", [["standby_light"], [("standby_light",)], [("standby_light", "lit", "BATT")], [("standby_light", "lit", {"fail": []})], 3, [{"id": "fan", "saw": "x"}]], ids=str)
def test_what_is_no_observation_says_what_one_is(net, observations):
    with pytest.raises(ValueError, match="observation"):
        ff.diagnose(net, observations)


def test_what_cannot_be_seen_names_what_can(net):
    with pytest.raises(ff.UnknownId, match="standby_light"):
        ff.diagnose(net, {"standby_ligth": "lit"})
    with pytest.raises(ff.NotPossible, match="\"lit\""):
        ff.diagnose(net, {"standby_light": "on"})
    with pytest.raises(ff.NotPossible, match="normal, degraded"):
        ff.diagnose(net, {"wheel_braking": "lit"})


def test_a_dead_right_side_is_its_main_bus_before_anything_of_two(net):
    found = ff.diagnose(net, SEEN)
    assert found.complete and [c["failures"] for c in found][0] == [("main_r", "loss")]
    assert all(len(c["failures"]) < 3 for c in found)
    assert found.found[0] == sum(not c["contradicts"] for c in found)


def test_what_was_thought_beforehand_ranks(net):
    plain = ff.diagnose(net, {"fan": "dead"}, most_failures=1, mistaken=False)
    first, last = plain.candidates[0], plain.candidates[-1]
    moved = ff.diagnose(net, {"fan": "dead"}, {last["failures"][0]: 0.9}, most_failures=1, mistaken=False)
    assert moved.candidates[0]["failures"] == last["failures"] != first["failures"]
    assert ff.diagnose(net, {"fan": "dead"}, {"fan": 0.9}, most_failures=1).candidates[0]["likely"] == 0.9


def test_cancelled_it_is_incomplete_and_what_is_raised_comes_through(net):
    assert not ff.diagnose(net, SEEN, progress=lambda part: False).complete
    with pytest.raises(KeyError):
        ff.diagnose(net, SEEN, progress=lambda part: {}[part])


def test_a_diagnosis_is_given_in_every_form(net):
    found = ff.diagnose(net, SEEN)
    assert "For study and training only" in str(found) and "no procedure" in str(found)
    assert set(found.to_dict()) >= {"candidates", "looks", "complete"}
    assert len(found.to_dataframe()) == len(found) and len(found.to_dataframe("looks"))
    assert found.to_html().startswith("<!DOCTYPE html>") and found.to_markdown() and found.to_csv() and found.to_json()


def test_every_result_of_a_look_leaves_what_diagnosing_with_it_leaves(net):
    found = ff.diagnose(net, SEEN, most_failures=1)
    explaining = [c["failures"] for c in found if not c["contradicts"]]
    look = next(x for x in found.looks if x["id"] in net.elements)
    for result in look["results"]:
        after = ff.diagnose(net, [*SEEN, {"id": look["id"], "seen": result["reading"], "set": look["set"]}], most_failures=1)
        assert sorted(c["failures"] for c in after if not c["contradicts"]) == sorted(explaining[n] for n in result["leaves"])


def test_a_quiz_keeps_its_secret_and_answers_guesses(net):
    quiz = ff.quiz(net, ["main_r"])
    assert "Right main bus" not in str(quiz) and "main_r" not in repr(quiz) and "main_r" not in quiz.to_html()
    assert quiz.symptoms == quiz.seen
    before = len(quiz.seen)
    assert quiz.look("avionics_2") == "dead" and len(quiz.seen) == before + 1
    right = quiz.guess(["main_r"])
    assert right["right"] and right["looks_the_same"] and right["explains"] == list(range(before + 1))
    wrong = quiz.guess([("fan", "loss")])
    assert not wrong["right"] and wrong["contradicts"]
    assert {"main_r"} == {c["failures"][0][0] for c in ff.diagnose(net, quiz.seen, most_failures=1, mistaken=False)}
    with pytest.raises(ff.NotPossible):
        quiz.guess([("fan", "short")])


def test_checks_are_named_or_written(net):
    one = ff.check_coverage(net, "gear_cycle")
    assert {s["check"] for s in one.steps} == {"gear_cycle"} and ff.check_coverage(net, ["gear_cycle"]) == one
    written = {"gear_cycle": {"name": "Gear lights", "steps": [
        {"do": {"set": {"gear_handle": "DOWN"}}, "look_at": "gear_lights", "expect": "three green"},
        {"do": {"set": {"gear_handle": "UP"}}, "look_at": "gear_lights", "expect": "out"}]}}
    assert ff.check_coverage(net, written).to_dict() == one.to_dict()
    with pytest.raises(ff.UnknownId, match="gear_cycle"):
        ff.check_coverage(net, ["gear_cylce"])
    with pytest.raises(ValueError, match="look_at"):
        ff.check_coverage(net, {"own": {"steps": [{"expect": "out"}]}})
    with pytest.raises(ff.NotPossible, match="never shows"):
        ff.check_coverage(net, {"own": {"steps": [{"look_at": "gear_lights", "expect": "blue"}]}})


def test_the_standby_check_proves_the_battery_side(net):
    """Of the two feeds of the standby bus, the check that goes to the battery proves that one."""
    coverage = ff.check_coverage(net, ["standby_changeover"])
    feeds = {p["upstream"]: p for p in coverage.paths if p["element"] == "standby"}
    assert set(feeds) == {"main_r", "direct_bus"}
    assert feeds["direct_bus"]["proved_by"] == [("standby_changeover", 1)]
    assert ("cb_standby_batt", "loss") not in coverage.hidden and ("limiter_l", "loss") in coverage.silent
    assert "unproved" in str(coverage)


def test_coverage_is_given_in_every_form(net):
    coverage = ff.check_coverage(net)
    assert len(coverage.to_dataframe()) == len(coverage) == len(net.failures)
    assert len(coverage.to_dataframe("readings")) == sum(len(f) for s in coverage.steps for f in s["wrong"].values())
    assert len(coverage.to_dataframe("paths")) == len(coverage.paths)
    assert coverage.to_html().startswith("<!DOCTYPE html>")
    assert "For study and training only" in coverage.to_markdown()
