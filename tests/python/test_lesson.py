"""The lesson on Ostrea 7: it runs, says the same every time, and says what an engineer reads off the drawings."""

import html
import os
import re
import subprocess
import sys
from pathlib import Path

import fedfrom as ff
import pytest

FOLDER = Path(__file__).parents[2] / "examples/ostrea7"


@pytest.fixture(scope="module")
def modules():
    """lesson.py and its chapters, as the script sees them."""
    sys.path.insert(0, str(FOLDER))
    import lesson
    import lesson_chapters

    yield lesson, lesson_chapters
    sys.path.remove(str(FOLDER))


@pytest.fixture(scope="module")
def nets():
    model = ff.read_model(FOLDER / "ostrea7.json")
    return {variant: ff.Network(model, variant=variant) for variant in "ab"}


def give(folder, seed):
    """Gives the lesson as its script does; what it printed, and what it wrote."""
    done = subprocess.run(
        [sys.executable, str(FOLDER / "lesson.py"), folder.name], cwd=folder.parent, env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
        capture_output=True, check=True, timeout=300,
    )  # fmt: skip
    return done.stdout.decode("utf-8"), {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    return give(tmp_path_factory.mktemp("lesson") / "out", "1")


def flat(text):
    return " ".join(text.split())


def section(printed, number):
    """What is printed under an event, up to the next."""
    (text,) = re.findall(rf"^{re.escape(number)} .*?$(.*?)(?=^\d\.\d |^Chapter |\Z)", printed, re.MULTILINE | re.DOTALL)
    return flat(text)


def test_the_same_bytes_twice(given, tmp_path):
    assert give(tmp_path / "out", "2") == given


def test_what_is_printed_is_written_and_all_of_it_carries_the_caution(given):
    printed, files = given
    assert printed.startswith(files["lesson.txt"].decode("utf-8"))
    assert printed.split()[-len(files) :] == [f"out/{name}" for name in files]
    assert sorted(files) == ["lesson.txt", *(f"lesson_{n}.html" for n in range(1, 8))]
    for name, content in files.items():
        text = flat(html.unescape(content.decode("utf-8")))
        assert ff.caution in text and "Ostrea 7, edition 1, variants a and b" in text, name


# Written from the drawings of examples/ostrea7/README.md, not copied from a run.
SAID = {
    "1.1": ["both: Battery current limiter, Left tie current limiter and Left line contactor trip, because Left main bus has failed (short).",
            "both: Main tie contactor goes from open to closed, because Left line contactor has tripped.",
            "only b: Extend the gear: nitrogen,", "only b: Propeller reverse: lost,", "both: Main buses: one main bus only,"],
    "1.2": ["both: Nothing changes."],
    "1.3": ["both: It cannot be done, because Left line contactor has been reset as often as it may be (1)."],
    "1.4": ["Extend the gear: in a normal; in b nitrogen.", "Propeller reverse: in a normal; in b lost.", "Main buses: one main bus only."],
    "2.1": ["both: Nothing changes."],
    "2.2": ["both: Battery current limiter, Left line contactor and Right line contactor trip, because Left main bus has failed (short).",
            "only a: Wheel brakes: accumulator, because Hydraulic pressure line has no supply.", "only b: Cabin pressure: manual,"],
    "2.3": ["both: Nothing changes."],
    "2.4": ["Main buses: lost.", "Standby bus: from the battery side.", "Wheel brakes: in a accumulator; in b normal."],
    "3.2": ["both: Right main bus has supply again, because Right line contactor passes.", "both: Move the flaps: normal again, because Flaps have supply."],
    "4.1": ["both: Nothing changes."],
    "4.2": ["both: Battery current limiter; Standby bus breaker, right main side trip, because Standby bus has failed (short).",
            "only b: Second battery breaker trips, because Standby bus has failed (short).",
            "both: Standby changeover relay goes from energised to released, because Standby changeover relay has no supply.",
            "both: Battery and Battery direct bus are dragged down by the fault.", "only a: Extend the gear: free fall,"],
    "4.3": ["both: Battery and Battery direct bus have supply again.", "both: Put out an engine fire: normal again,"],
    "4.4": ["both: It cannot be done, because Battery current limiter is replaced on the ground; repair it instead of resetting it."],
    "5.1": ["both: Shut off fuel to the left engine: lost, because Left fuel shutoff valve stands at open."],
    "5.2": ["both: Left air supply valve goes from open to closed, because Left fire handle is set to PULLED."],
    "5.3": ["both: Left fuel shutoff valve goes from open to closed, because Fuel shutoff and fire extinguisher breaker is mended.",
            "both: Left engine loses its supply, because Left fuel shutoff valve blocks.",
            'both: Torque gauges show "right engine only", no longer "both engines", because Left engine has no supply.'],
    "5.6": ["Shut off fuel to the right engine: lost.", "Engine power: one engine."],
    "6.1": ["both: Nothing changes."],
    "6.2": ["both: Battery charging: lost, because Battery has no supply."],
    "6.3": ["both: Left line contactor and Left starter-generator lose their supply, because Left generator control unit has no supply."],
    "6.4": ["both: Left generator control unit has no supply."],
    "6.5": ["both: Nothing changes."],
    "6.6": ["both: Main buses: normal again, because Left main bus has supply."],
    "6.7": ["Every function is normal."],
    "7.1": ['both: Inverter 1 off light shows "lit", no longer "out", because Inverter 1 has no supply.'],
    "7.3": ["both: Air to the cabin and Engine power: one engine, because Left engine has no supply."],
    "7.4": ['both: Torque gauges show "right engine only", no longer "both engines", because Torque gauges have supply.'],
    "7.5": ['both: Left generator light shows "out", no longer "lit", because Left generator light has no supply.'],
}  # fmt: skip

NOT_SAID = {
    "2.2": ["tie contactor", "tie current limiter trip"],  # it closes and opens again
    "4.2": ["battery side trip", "Main buses"],
    "5.1": ["goes from", "shows"],
    "5.5": ["fuel shutoff valve"],
    "6.4": ["starter-generator", "Main"],
    "7.2": ["show"],
    "7.3": ["Torque"],
    "7.6": ["generator light", "generator lights show"],
}


@pytest.mark.parametrize("number", SAID)
def test_what_is_said(given, number):
    for sentence in SAID[number]:
        assert sentence in section(given[0], number)


@pytest.mark.parametrize("number", NOT_SAID)
def test_what_does_not_change_is_not_told(given, number):
    told = section(given[0], number).split("both: ", 1)[1]
    assert [words for words in NOT_SAID[number] if words in told] == []


def test_every_sentence_holds_settled_step_by_step_too(modules, nets):
    """Without a session that runs along: what `settle` says of the same steps."""
    lesson, chapters = modules
    sentences = 0
    for chapter in chapters.CHAPTERS:
        states = {variant: net.running_state() for variant, net in nets.items()}
        for event in (*chapter.before, *chapter.events):
            for state in states.values():
                if event.refused:
                    with pytest.raises(ff.NotPossible, match=re.escape(event.refused)):
                        state.apply(event.step)
                else:
                    ff.settle(state.apply(event.step))
            for say in event.says:
                lesson.check(say, {variant: ff.Session(state) for variant, state in states.items()})
                sentences += 1
    assert sentences > 40


def test_the_lights_that_are_out_would_be_out_on_a_healthy_aircraft(modules, nets):
    _, chapters = modules
    for net in nets.values():
        works = ff.what_works(net, steps=[event.step for event in chapters.CHAPTERS[-1].events])
        lights = {light["id"]: light for light in ff.indications(works).shown}
        for id in ("gen_light_l", "gen_light_r"):
            assert lights[id]["healthy"] == lights[id]["shows"] == "out"


def test_a_lesson_that_says_what_is_not_so_is_not_given(modules, nets):
    lesson, chapters = modules
    names = {variant: lesson.Names(net) for variant, net in nets.items()}

    def give(step, *says, refused=""):
        sessions = {variant: ff.Session(net) for variant, net in nets.items()}
        return lesson.follow("1.1", chapters.Event("It happens.", step, says, refused), sessions, names)

    fails = {"fail": ["main_l"]}
    assert give(fails, chapters.Say("So it is.", {"status": {"main_l": "failed"}})).says == ["So it is."]
    for step, says, refused, complaint in [
        (fails, [chapters.Say("All is well.", {"level": {"main_power": "normal"}})], "", "In a, level of main_power is degraded, not normal: All is well."),
        (fails, [chapters.Say("Both.", b={"level": {"main_power": "degraded"}})], "", "Nothing is checked in a of: Both."),
        (fails, [chapters.Say("In b it is normal.", {"status": {"main_l": "failed"}}, b={"level": {"gear_extension": "normal"}})], "", "In b, level of gear_extension is degraded"),
        ({"reset": ["batt"]}, [], "", "It happens. The aircraft says: `batt` does not trip"),
        (fails, [], "It cannot.", "It happens. The aircraft says: it can be done."),
    ]:
        with pytest.raises(lesson.NotSo, match=re.escape(complaint)):
            give(step, *says, refused=refused)


def test_what_is_unknown_is_said_to_be(modules):
    """A relay that sends itself to and fro, and what hangs on it."""
    lesson, _ = modules
    relay = {"kind": "relay", "name": "Relay", "positions": ["off", "on"], "after_s": 1, "passes_in": ["on"],
             "goes": [{"to": "on", "when": {"all": [{"at": {"relay": "off"}}, {"contact": {"switch": "ON"}}]}}]}  # fmt: skip
    net = ff.Network(ff.Model(name="Flasher", elements={
        "battery": {"kind": "battery", "name": "Battery"},
        "switch": {"kind": "switch", "name": "Switch", "positions": ["OFF", "ON"], "reach": "cockpit"},
        "relay": relay,
        "lamp": {"kind": "light", "name": "Lamp", "inputs": {"power": [{"from": "battery", "via": ["relay"]}]}, "shows": [{"text": "lit", "when": "battery"}], "unpowered": "out"},
    }, functions={"see": {"name": "See", "modes": {"lamp": {"rank": 1, "when": "lamp"}}}}))  # fmt: skip
    names = {variant: lesson.Names(net) for variant in "ab"}
    sessions = {variant: ff.Session(net) for variant in "ab"}

    def told(position):
        changes = {variant: session.set("switch", position).settle() for variant, session in sessions.items()}
        return [sentence for where, sentence, _ in lesson.sentences(changes, names) if where == "both"]

    assert told("ON") == ["Relay is not known any more (position).", "Lamp is not known to work.", "Lamp is not known any more (shown).", "See: unknown."]
    assert told("OFF") == ["Relay goes from unknown to off.", "Switch goes from ON to OFF.", "Lamp has no supply.", 'Lamp shows "out".', "See: lost."]


def test_without_a_folder_it_says_how_it_is_called():
    done = subprocess.run([sys.executable, str(FOLDER / "lesson.py")], capture_output=True, text=True, timeout=60)
    assert done.returncode == 1 and "out/ostrea7" in done.stderr
