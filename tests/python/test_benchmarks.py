"""The Python benchmark runs and its answers agree; nothing is timed here."""

import runpy
from pathlib import Path

BENCH = Path(__file__).parent.parent / "bench" / "python_loop.py"


def test_the_loop_by_hand_and_the_library_agree(capsys):
    runpy.run_path(str(BENCH))["main"](True)
    assert "50 scenarios agree on 200 elements" in capsys.readouterr().out
