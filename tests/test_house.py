"""The house rules that a reader cannot keep an eye on: who imports whom, sizes, drift of docs."""

import ast
import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "register"
MODULES = sorted(p for p in PACKAGE.rglob("*.py"))

EVERYONE = {"errors", "columns", "resources", "source", "text"}
BELOW_AUDIT = {"store", "intake", "calc", "facts", "rulebook", "starts"}
MAY_IMPORT = {
    "errors": set(),
    "text": set(),
    "resources": set(),
    "source": set(),
    "columns": set(),
    "store": set(),
    "calc": set(),
    "rulebook": set(),
    "intake": {"store"},
    "facts": {"store", "calc"},
    "starts": {"store", "intake", "calc", "facts"},
    "audit": BELOW_AUDIT,
    "planning": BELOW_AUDIT | {"audit"},
    "reports": {"audit", "starts", "planning", "rulebook", "store", "intake"},
    "cli": BELOW_AUDIT | {"audit", "planning", "reports"},
}


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _imported(path: Path) -> set[str]:
    """Modules of our own that a file imports, as dotted names below `register`."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            if node.module == "register":
                names |= {alias.name for alias in node.names}
            elif node.module.startswith("register."):
                names.add(node.module.removeprefix("register."))
        elif isinstance(node, ast.Import):
            names |= {a.name.removeprefix("register.") for a in node.names if a.name.startswith("register.")}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_each_room_imports_only_what_it_may(path):
    room = _room(path)
    if room == "__init__":
        return
    allowed = MAY_IMPORT[room] | EVERYONE | {room}
    for name in _imported(path):
        ok = any(name == a or name.startswith(a + ".") for a in allowed) or name == "__version__"
        assert ok, f"{path.relative_to(ROOT)} imports register.{name}"


def test_calc_is_pure():
    for path in (PACKAGE / "calc").glob("*.py"):
        roots = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                roots |= {a.name.split(".")[0] for a in node.names}
            elif isinstance(node, ast.ImportFrom):
                roots.add((node.module or "").split(".")[0])
        assert not roots & {"os", "pathlib", "io", "sqlite3", "time", "datetime", "csv", "random"}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_files_and_functions_stay_readable(path):
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 350, f"{path.relative_to(ROOT)} is longer than one sitting"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            length = (body[-1].end_lineno - body[0].lineno + 1) if body else 0
            assert length <= 40, f"{path.name}: {node.name} has {length} lines"


def test_command_bodies_stay_thin():
    for path in (PACKAGE / "cli").glob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                lines = body[-1].end_lineno - body[0].lineno + 1 if body else 0
                assert lines <= 25, f"{path.name}: {node.name}"


def _docs_write():
    spec = importlib.util.spec_from_file_location("docs_write", ROOT / "docs" / "write.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_generated_docs_are_current():
    made = _docs_write().pages()
    stale = [
        name
        for name, text in made.items()
        if not (ROOT / "docs" / name).exists() or (ROOT / "docs" / name).read_text(encoding="utf-8") != text
    ]
    assert not stale, f"run `make docs`: {stale[:5]}"
    lying = {p.relative_to(ROOT / "docs").as_posix() for p in (ROOT / "docs/rules").glob("**/*.md")}
    assert lying <= set(made), "pages of rules that are gone: run `make docs`"


def test_a_column_has_one_name_everywhere():
    from register import columns

    bearers: dict[str, list[str]] = {}
    for table in columns.TABLES.values():
        for column in table.columns:
            if not column.references:
                bearers.setdefault(column.name, []).append(table.name)
    assert {n: t for n, t in bearers.items() if len(t) > 1} == {}
