"""Compile time of a minimal host: the headers it needs, nothing else.

    python3 tests/bench/host_compile.py [--smoke]

Seconds of processor time, best of three, beside the standard headers alone.
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

INCLUDE = Path(__file__).resolve().parents[2] / "include"
HOSTS = {
    "standard headers alone": "#include <algorithm>\n#include <map>\n#include <string>\n#include <vector>\nint main() {}\n",
    "model.hpp": "#include <fedfrom/model/model.hpp>\nint main() { fedfrom::Model m; }\n",
    "host that settles": "#include <fedfrom/solve/settle.hpp>\n"
    "int main() { fedfrom::State s = fedfrom::running_state(fedfrom::Network(fedfrom::Model{})); return (int)fedfrom::settle(s).lost().size(); }\n",
    "host that links nothing": "#include <fedfrom/bodies.ipp>\n#include <fedfrom/solve/settle.hpp>\n"
    "int main() { fedfrom::State s = fedfrom::running_state(fedfrom::Network(fedfrom::Model{})); return (int)fedfrom::settle(s).lost().size(); }\n",
}


def seconds(source, level, folder):
    file = Path(folder) / "host.cpp"
    file.write_text(source)
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    subprocess.run([os.environ.get("CXX", "c++"), "-std=c++20", level, f"-I{INCLUDE}", "-c", file, "-o", Path(folder) / "host.o"], check=True)
    return resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before


def main(smoke):
    runs = 1 if smoke else 3
    print(f"{'':26} {'-O0 s':>7} {'-O2 s':>7}")
    with tempfile.TemporaryDirectory() as folder:
        for name, source in HOSTS.items():
            times = [min(seconds(source, level, folder) for _ in range(runs)) for level in ("-O0", "-O2")]
            print(f"{name:26} {times[0]:7.2f} {times[1]:7.2f}")


if __name__ == "__main__":
    main("--smoke" in sys.argv)
