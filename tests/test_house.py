"""The house rules that a reader cannot keep an eye on: who imports whom, sizes, drift of docs."""

import ast
import importlib.util
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "register"
MODULES = sorted(p for p in PACKAGE.rglob("*.py"))

EVERYONE = {"errors", "columns", "resources", "text"}
LOOSE = {"errors", "resources", "text"}
# What a report is made of: what the rooms conclude, and never how they came to it.
# fmt: off
MODELS = {
    "audit.report", "audit.outline", "audit.finding", "audit.priority", "audit.scores", "audit.concessions",
    "audit.actions", "audit.comparison", "audit.annual_review", "starts.model", "planning.model", "planning.replace.shortlist",
    "planning.stock.holdings", "planning.years.plan", "rulebook.model",
    "rounds.model", "rounds.stations", "rounds.follow_ups", "rounds.book_lines", "maintenance.model",
    "intake.nameplate.model", "fleet.model",
}
# fmt: on
BELOW_AUDIT = {"store", "intake", "calc", "facts", "rulebook", "starts"}
MAY_IMPORT = {
    "columns": set(),
    "store": set(),
    "calc": set(),
    "rulebook": set(),
    "intake": {"store"},
    "facts": {"store", "calc"},
    "starts": {"store", "intake", "calc", "facts"},
    "audit": BELOW_AUDIT - {"calc"} | {"maintenance"},
    "maintenance": {"store"},
    "planning": BELOW_AUDIT | {"audit", "maintenance"},
    "rounds": BELOW_AUDIT - {"calc"} | {"audit", "maintenance.model"},
    "fleet": BELOW_AUDIT | {"audit", "maintenance"},
    "reports": MODELS | {"store.output_file", "store.overview"},
    "cli": BELOW_AUDIT | {"audit", "maintenance", "planning", "rounds", "fleet", "reports"},
}


def _name(path: Path) -> str:
    """The dotted name of a module below `register`; of a folder, its own."""
    return ".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix("__init__").rstrip(".")


NAMES = {_name(path) for path in MODULES}


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _imported(path: Path) -> set[str]:
    """Modules of our own that a file imports, late and for types only too, as dotted names below `register`."""
    names = set()
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.ImportFrom) and f"{node.module}.".startswith("register."):
            whole = [f"{node.module}.{alias.name}".removeprefix("register.") for alias in node.names]
            names |= {name if name in NAMES else name.rpartition(".")[0] for name in whole}
        elif isinstance(node, ast.Import):
            names |= {a.name.removeprefix("register.") for a in node.names if a.name.startswith("register.")}
    return names - {""}


@cache
def imported() -> dict[str, set[str]]:
    """Who imports whom."""
    return {_name(path): _imported(path) for path in MODULES}


def _room(name: str) -> str:
    return name.partition(".")[0]


def test_each_room_imports_only_what_it_may():
    wrong = []
    for name in sorted(NAMES - {""}):
        allowed = tuple(f"{a}." for a in MAY_IMPORT.get(_room(name), set()) | EVERYONE | {_room(name)})
        wrong += [f"{name} imports {other}" for other in imported()[name] if not f"{other}.".startswith(allowed)]
    assert wrong == []


def test_few_rooms_and_nothing_loose():
    inside = {p.name for p in PACKAGE.iterdir() if not p.name.startswith("__")}
    rooms = {name for name in inside if (PACKAGE / name).is_dir()}
    assert {name.removesuffix(".py") for name in inside - rooms} == LOOSE
    assert len(inside) <= 17 and rooms == set(MAY_IMPORT)


def test_no_module_imports_itself_by_way_of_others():
    TopologicalSorter(imported()).prepare()  # raises CycleError, which names the circle


def test_the_rooms_stand_on_few_floors():
    above = {room: set() for room in (*MAY_IMPORT, *LOOSE)}
    for name, others in imported().items():
        if name:
            above[_room(name)] |= {_room(other) for other in others} - {_room(name)}
    floor: dict[str, int] = {}
    for room in TopologicalSorter(above).static_order():
        floor[room] = 1 + max((floor[under] for under in above[room]), default=0)
    assert max(floor.values()) <= 8, floor


def test_reports_know_no_database_and_only_cli_opens_one():
    for name, path in ((_name(path), path) for path in MODULES):
        text = path.read_text(encoding="utf-8")
        if _room(name) == "reports":
            assert "sqlite" not in text, name
        if _room(name) not in ("store", "cli") and name not in OPENERS:
            assert "database import opened" not in text, f"{name} opens a register: let it be handed one"


# A session opens the register for cli; the others are handed files, and one of them a new process.
OPENERS = {"audit.session", "intake.take_in"}


def test_calc_is_pure():
    for path in (PACKAGE / "calc").glob("*.py"):
        roots = set()
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.Import):
                roots |= {a.name.split(".")[0] for a in node.names}
            elif isinstance(node, ast.ImportFrom):
                roots.add((node.module or "").split(".")[0])
        assert not roots & {"os", "pathlib", "io", "sqlite3", "time", "datetime", "csv", "random"}


def test_files_stay_readable():
    """None is longer than one sitting."""
    lengths = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8").count("\n") for path in MODULES}
    assert {path: length for path, length in lengths.items() if length > 350} == {}


def test_functions_stay_readable():
    lengths = {}
    for path in MODULES:
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                lengths[f"{path.name}:{node.lineno} {node.name}"] = (
                    (body[-1].end_lineno - body[0].lineno + 1) if body else 0
                )
    assert {name: length for name, length in lengths.items() if length > 40} == {}


def test_command_bodies_stay_thin():
    for path in (PACKAGE / "cli").glob("*.py"):
        for node in _tree(path).body:
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
