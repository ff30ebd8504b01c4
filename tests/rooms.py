#!/usr/bin/env python3
"""Check that no room includes one it must not know, and no public header a slow one.

    python3 tests/rooms.py          # of the checkout this file is in

Rooms are the folders under include/fedfrom/ and src/; KNOWS below says what each
may include. Prints every offending line as file:line and exits 1 if there is any.
"""

import re
import sys
from pathlib import Path

# Each room, and the rooms it may include; with a room, all that room may.
KNOWS = {
    "model": [],
    "table": [],
    "logic": [],
    "io": ["model", "table"],
    "network": ["model"],
    "solve": ["network"],
    "study": ["solve", "table", "logic"],
    "show": ["study", "io"],
    "c": ["show"],
}
# Compile-time cost that no user may be made to pay, and who may all the same.
SLOW = {"nlohmann": [], "boost/": ["include/fedfrom/network/boost_graph.hpp"]}

ROOT = Path(__file__).resolve().parent.parent
INCLUDE = re.compile(r'\s*#\s*include\s*[<"]([^>"]+)[>"]')


def reachable(room):
    """The room itself and all it may include, at any depth."""
    seen, todo = set(), [room]
    while todo:
        here = todo.pop()
        if here not in seen:
            seen.add(here)
            todo += KNOWS[here]
    return seen


def room_of(path):
    """The room of a file under include/fedfrom/ or src/; None for the files beside the rooms."""
    for base in ("include/fedfrom", "src"):
        if path.is_relative_to(ROOT / base):
            parts = path.relative_to(ROOT / base).parts
            return parts[0] if len(parts) > 1 else None
    return None


def target(path, name):
    """The file an include means, or None where it is none of ours."""
    for candidate in (path.parent / name, ROOT / "include" / name, ROOT / "src" / name):
        if candidate.is_file():
            return candidate.resolve()
    return None


def problems(path):
    public = path.is_relative_to(ROOT / "include")
    shown = path.relative_to(ROOT).as_posix()
    room = room_of(path)
    if room is not None and room not in KNOWS:
        yield f"{shown}:1: the room {room}/ is not one of {', '.join(KNOWS)}"
        return
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        match = INCLUDE.match(line)
        if not match:
            continue
        name = match[1]
        for slow, allowed in SLOW.items():
            if public and name.startswith(slow) and shown not in allowed:
                yield f"{shown}:{number}: a public header includes {name}"
        file = target(path, name)
        if file is None:
            if name.startswith("fedfrom/"):
                yield f"{shown}:{number}: there is no {name}"
            continue
        if public and file.is_relative_to(ROOT / "src"):
            yield f"{shown}:{number}: a public header includes {name}, which is not installed"
        other = room_of(file)
        if room and other and other not in reachable(room):
            yield f"{shown}:{number}: {room}/ must not know {other}/ ({name})"


def main():
    files = [p for base in ("include", "src") for p in sorted((ROOT / base).rglob("*")) if p.suffix in {".hpp", ".ipp", ".h", ".cpp"}]
    found = [problem for path in files for problem in problems(path)]
    print("\n".join(found or [f"{len(files)} files, every room includes only what it may"]))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
