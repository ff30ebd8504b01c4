"""How long `import fedfrom` takes: a fresh interpreter each time, medians, beside one that imports nothing.

python tests/bench/import_time.py
"""

import statistics
import subprocess
import sys
import time

STATEMENTS = {"nothing": "pass", "import json": "import json", "import fedfrom": "import fedfrom"}


def seconds(statement):
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", statement], check=True)
    return time.perf_counter() - begin


def main(smoke):
    times = {name: [] for name in STATEMENTS}
    for _ in range(2 if smoke else 31):
        for name, statement in STATEMENTS.items():  # in turn, so that a busy moment hits all alike
            times[name].append(seconds(statement))
    nothing = statistics.median(times["nothing"])
    print(f"{'new interpreter and':20} {'median':>9} {'more than nothing':>18}")
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:20} {1000 * median:6.1f} ms {1000 * (median - nothing):15.1f} ms")


if __name__ == "__main__":
    main("--smoke" in sys.argv)
