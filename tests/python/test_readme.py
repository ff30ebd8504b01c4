"""What the README shows is what happens, and the main job on the demo aircraft does what it promises."""

import contextlib
import html
import io
import os
import re
import subprocess
import sys
from pathlib import Path

import fedfrom as ff
import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
JOB = ROOT / "examples/ostrea7/both_generators.py"


def of_language(language):
    return [code for found, code in BLOCKS if found == language]


def promised(language):
    """Every block of a language with the text block after it; empty where the next block is something else."""
    pairs = zip(BLOCKS, [*BLOCKS[1:], ("", "")], strict=True)
    return [(code, after if next_language == "text" else "") for (found, code), (next_language, after) in pairs if found == language]


# ------------------------------------------------------------------- the README


def test_python_prints_what_the_readme_says(monkeypatch):
    """One after the other, as a reader would type them, in the checkout's folder."""
    monkeypatch.chdir(ROOT)
    examples = promised("python")
    assert len(examples) >= 3
    names = {}
    for code, expected in examples:
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            exec(compile(code, "README.md", "exec"), names)  # noqa: S102
        assert printed.getvalue().rstrip("\n") == expected.rstrip("\n"), code


def test_the_cpp_programs_are_the_consumer_s():
    """That they print what the README says is tested where they are built: tests/install."""
    (asks, printed), (runs_along, told) = promised("cpp")
    assert asks == (ROOT / "examples/consumer/main.cpp").read_text(encoding="utf-8")
    assert printed.startswith("generator lost, talk normal\n") and ff.caution[:40] in printed
    assert runs_along == (ROOT / "examples/consumer/session.cpp").read_text(encoding="utf-8")
    assert told.startswith("generator: supplied -> failed, because generator loss\n")


def test_the_excerpt_is_of_the_sheet():
    (excerpt,) = re.findall(r"<!-- excerpt: .*? -->\n```text\n(.*?)```", README, re.DOTALL)
    sheet = str(ff.what_works(ff.Network(ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")), failed=["sg_l", "sg_r"]))
    parts = excerpt.split("…\n")
    assert len(parts) > 1 and all(part in sheet for part in parts)
    assert sorted(parts, key=sheet.index) == parts


def test_the_lines_of_a_model_are_of_the_two_bus_example():
    (lines,) = of_language("json")
    whole = (ROOT / "tests/models/two_bus.json").read_text(encoding="utf-8").splitlines()
    shown = [line for line in lines.splitlines() if line.strip() != "…"]
    assert len(shown) > 5 and [line for line in shown if line not in whole] == []


def test_the_kind_table_is_the_library_s():
    rows = re.findall(r"Kind::\w+, \.name = \"(\w+)\"(.*)\}", (ROOT / "include/fedfrom/model/kind.hpp").read_text(encoding="utf-8"))
    assert len(rows) == 40
    table = {}
    for line in README.split("| kind |")[1].splitlines()[2:]:
        if not line.startswith("|"):
            break
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        table.update({kind: cells[1:] for kind in re.findall(r"`(\w+)`", cells[0])})
    assert sorted(table) == sorted(kind for kind, _ in rows)

    def words(rest, member, default=()):
        found = re.search(rf"\.{member} = \{{(.*?)\}}", rest)
        return re.findall(r'"(\w+)"', found[1]) if found else list(default)

    for kind, rest in rows:
        positions, passes_in, moved_by, failures, _ = table[kind]
        assert failures.split(", ") == words(rest, "failures", ["loss"]), kind
        assert moved_by == "crew" or "reach =" not in rest, kind
        if positions not in ("", "as written"):
            assert positions.split(", ") == words(rest, "positions") and passes_in.split(", ") == words(rest, "passes_in"), kind


def test_every_file_the_readme_names_is_there():
    links = [link for link in re.findall(r"\]\((.*?)\)", README) if "://" not in link]
    assert links and [link for link in links if not (ROOT / link).exists()] == []
    assert ff.caution.split(": ")[1].split(",")[0] in " ".join(README.replace(">", "").split())


# ------------------------------------------------------------------- the main job


def work(folder, seed):
    """Runs the job as its script does; what it printed, and what it wrote."""
    done = subprocess.run(
        [sys.executable, str(JOB), folder.name], cwd=folder.parent, env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
        capture_output=True, check=True, timeout=300,
    )  # fmt: skip
    return done.stdout.decode("utf-8"), {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    folder = tmp_path_factory.mktemp("job") / "out"
    return *work(folder, "1"), folder


def section(printed, title):
    """The lines under a headline, up to the next."""
    text = printed.split(f"\n{title}\n{'=' * len(title)}\n")[1]
    return re.split(r"\n.+\n={8,}\n", text)[0]


def flat(text):
    return " ".join(text.split())


def test_every_file_named_is_written_and_carries_the_caution(job):
    printed, files, folder = job
    named = section(printed, "Written").split()
    assert sorted(named) == sorted(f"{folder.name}/{name}" for name in files)
    kinds = {".txt": 1, ".html": 4, ".md": 1, ".csv": 1}
    assert len(files) == 2 * sum(kinds.values()) + 3  # and the differences
    for name, content in files.items():
        assert ff.caution in flat(html.unescape(content.decode("utf-8"))), name
    assert printed.count(ff.caution) == 1 and flat(printed).count(ff.caution) >= 11  # two sheets, eight reasons, the end


@pytest.mark.parametrize(
    "variant, lines",
    [
        ("a", ["Extend the gear: hand pump, from Hydraulic reservoir, with Gear handle at DOWN, severity minor; The gear is pumped down by hand",
               "degraded Retract the gear: hand pump",
               "degraded Wheel brakes: accumulator, from Brake accumulator",
               "degraded Cabin pressure: one automatic channel",
               "Functions: kept 14, degraded 18, lost 7."]),
        ("b", ["Extend the gear: nitrogen, from Gear nitrogen bottle, with Gear handle at DOWN, severity minor; The bottle blows the gear down, once; It cannot be retracted again.",
               "lost Retract the gear: with Gear handle at UP",
               "kept Wheel brakes: pedals and master cylinders",
               "degraded Cabin pressure: manual, from Manual outflow control",
               "Functions: kept 15, degraded 16, lost 8."]),
    ],
)  # fmt: skip
def test_the_sheet(job, variant, lines):
    printed, files, _ = job
    sheet = section(printed, f"Variant {variant}: what is kept, what falls back, what is lost")
    assert sheet.strip() == files[f"both_generators_{variant}.txt"].decode("utf-8").strip()
    both = ["kept Engine fire detection: both engines, from Battery.", "lost Move the flaps: severity minor.", "lost Main buses: severity hazardous.",
            "Failed: Left starter-generator (sg_l) loss and Right starter-generator (sg_r) loss."]  # fmt: skip
    for line in [*both, *lines]:
        assert line in flat(sheet), line
    assert sheet.index("ON STORED ENERGY ALONE") < sheet.index("\nelectrical power\n") < sheet.index("\nmedical\n")


def test_the_reasons_lights_and_differences(job):
    printed, _, _ = job
    for variant in "ab":
        reasons = flat(section(printed, f"Variant {variant}: why"))
        for root in ("Left starter-generator (sg_l): loss", "Right starter-generator (sg_r): loss"):
            assert root in reasons
        assert "Move the flaps (flap_travel) is lost." in reasons and "Engine fire detection (fire_detection) is kept" in reasons
        net = ff.Network(ff.read_model(ROOT / "examples/ostrea7/ostrea7.json"), variant=variant)
        lights = ff.indications(ff.what_works(net, failed=["sg_l", "sg_r"]))
        assert lights.misleading == [] and "display_r" in lights.dark
    assert section(printed, "What differs between a and b, both starter-generators failed").strip().splitlines()[:4] == [
        "Extend the gear: degraded (hand pump) in a, degraded (nitrogen) in b",
        "Retract the gear: degraded (hand pump) in a, lost in b",
        "Wheel brakes: degraded (accumulator) in a, normal (pedals and master cylinders) in b",
        "Cabin pressure: degraded (one automatic channel) in a, degraded (manual) in b",
    ]


def test_the_impact_table_has_every_function(job):
    """On paper too: in the page, each group of functions is a table of its own."""
    _, files, _ = job
    model = ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")
    for variant in "ab":
        functions = [f["name"] for f in ff.what_works(ff.Network(model, variant=variant)).functions]
        head = files[f"impact_{variant}.csv"].decode("utf-8").splitlines()[0]
        assert head.split(",")[2:-1] == functions
        page = files[f"impact_{variant}.html"].decode("utf-8")
        assert [name for name in functions if f">{name}</th>" not in page] == []


def test_the_same_bytes_twice(job, tmp_path):
    printed, files, _ = job
    assert work(tmp_path / "out", "2") == (printed, files)


def test_without_a_folder_it_says_how_it_is_called():
    done = subprocess.run([sys.executable, str(JOB)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 1 and "out/ostrea7" in done.stderr
