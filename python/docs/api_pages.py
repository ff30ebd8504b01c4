"""Writes the pages of the Python interface with pdoc: the types of the stub, the docstrings of the module.

python python/docs/api_pages.py build/docs
"""

import ast
import inspect
import operator
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import fedfrom

PACKAGE = Path(fedfrom.__file__).parent


def documented(node, path=()):
    """Gives every class and function of the stub the whole docstring; the stub has only its first paragraph."""
    for child in node.body:
        if isinstance(child, ast.ClassDef | ast.FunctionDef):
            name = (*path, child.name)
            if ast.get_docstring(child):
                child.body[0] = ast.Expr(ast.Constant(inspect.getdoc(operator.attrgetter(".".join(name))(fedfrom))))
            if isinstance(child, ast.ClassDef):
                documented(child, name)


def main(folder):
    stub = ast.parse((PACKAGE / "_fedfrom.pyi").read_text(encoding="utf-8"))
    documented(stub)
    # Annotations name classes that come later, as they may in a stub.
    stub.body[:1] = [ast.Expr(ast.Constant(fedfrom.__doc__)), *ast.parse("from __future__ import annotations").body]
    with tempfile.TemporaryDirectory() as scratch:
        package = Path(scratch, "fedfrom")
        package.mkdir()
        (package / "__init__.py").write_text(ast.unparse(stub), encoding="utf-8")
        shutil.copy(PACKAGE / "types.py", package)
        pages = ["fedfrom", "-o", str(folder.resolve()), "-d", "google", "--footer-text", fedfrom.caution, "--no-show-source", "--no-search"]
        # It cannot tell where inherited keys of a TypedDict were written, and need not.
        subprocess.run([sys.executable, "-W", "ignore::UserWarning:pdoc.doc", "-m", "pdoc", *pages], cwd=scratch, check=True)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
