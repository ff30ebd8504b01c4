"""Checks what is distributed: the files in the sdist and the wheel, and that the wheel works where nothing else is installed.

python tests/distribution.py build/dist

The clean environment is build/dist/clean; in it runs the first Python example of the README, which must print what it says.
"""

import re
import subprocess
import sys
import tarfile
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).parents[1]


def check_files(wheel, sdist):
    files = set(zipfile.ZipFile(wheel).namelist())
    package = {f"fedfrom/{path.name}" for path in (ROOT / "python/fedfrom").iterdir() if path.is_file()}
    beside = {name for name in files - package if ".dist-info/" not in name}
    assert package <= files, package - files
    assert len(beside) == 1 and re.fullmatch(r"fedfrom/_fedfrom\..*(so|pyd)", *beside), beside

    kept = {name.split("/", 1)[1] for name in tarfile.open(sdist).getnames()}
    needed = {"CMakeLists.txt", "LICENSE", "PKG-INFO", "README.md", "pyproject.toml"}
    assert needed <= kept
    strays = {name for name in kept - needed if name.split("/")[0] not in ("cmake", "include", "python", "src")}
    assert not strays, strays
    print(f"{len(files)} files in the wheel, {len(kept)} in the sdist")


def check_clean(wheel, folder):
    venv.create(folder, clear=True, with_pip=True)
    python = folder / "bin/python"
    # Without an index: it needs nothing.
    subprocess.run([python, "-m", "pip", "install", "-q", "--no-index", "--disable-pip-version-check", wheel], check=True)
    code, expected = re.search(r"^```python\n(.*?)^```\n\n```text\n(.*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL).groups()
    printed = subprocess.run([python, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    assert printed == expected, printed
    print("the README's example, in a clean environment, prints what it says")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    dist = Path(sys.argv[1])
    (wheel,), (sdist,) = dist.glob("*.whl"), dist.glob("*.tar.gz")
    check_files(wheel, sdist)
    check_clean(wheel, dist / "clean")
