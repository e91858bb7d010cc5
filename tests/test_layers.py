"""Who may import whom: the floors of the house, read from the source without importing it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent.parent
QT = {"PySide6", "shiboken6", "pyqtgraph"}
SLOW_TO_IMPORT = {"pint", "pvlib", "scipy", "pandas", "tomlkit"}

# The engine from the roof down. A part imports itself and lower floors; its neighbours on a floor are closed
# to it. A new module has to be given its floor here.
FLOORS = (
    {"engine"},  # the front door, engine/__init__.py: load, evaluate, dump
    {"flip", "in_hand", "money", "editions", "compare"},  # answers made from whole evaluations
    {"evaluation", "needs", "usual_loads", "year", "papers", "records", "verify"},
    {"rules"},
    {"sections"},
    {"physics"},
    {"steps"},
    {"worksheet_text"},
    {"tables"},
    {"finding"},
    {"worksheet"},
    {"weather"},
    {"writer", "module_table", "starting_file", "turbine_log"},
    {"codec", "edit", "meant"},
    {"design"},
    {"toml_edit"},
    {"toml_places"},
    {"nonsense"},
    {"entry"},
    {"fields"},
    {"problems", "sources", "sizes", "thresholds"},
    {"units"},
)
FLOOR = {part: height for height, parts in enumerate(reversed(FLOORS)) for part in parts}


@dataclass(frozen=True)
class Import:
    """One name that one module imports; ``at_start``: by being imported itself, not by a later call."""

    module: str
    target: str
    line: int
    at_start: bool

    def __str__(self) -> str:
        return f"{self.module} line {self.line} imports {self.target}"


def modules(package: str) -> dict[str, Path]:
    """Every module of a package by its dotted name."""
    paths = sorted((HERE / package).rglob("*.py"))
    named = {".".join(path.relative_to(HERE).with_suffix("").parts): path for path in paths}
    return {name.removesuffix(".__init__"): path for name, path in named.items()}


MODULES = modules("engine") | modules("app")


def imports_of(module: str, path: Path) -> Iterator[Import]:
    """Every import in a module's text, the ones inside functions too."""

    def visit(node: ast.AST, at_start: bool) -> Iterator[Import]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Import):
                for alias in child.names:
                    yield Import(module, alias.name, child.lineno, at_start)
            elif isinstance(child, ast.ImportFrom):
                assert child.level == 0, f"{module} line {child.lineno}: write the import in full"
                for alias in child.names:
                    inner = f"{child.module}.{alias.name}"
                    yield Import(
                        module, inner if inner in MODULES else str(child.module), child.lineno, at_start
                    )
            else:
                called = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
                for_types = isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test)
                yield from visit(child, at_start and not called and not for_types)

    yield from visit(ast.parse(path.read_text(encoding="utf-8")), True)


IMPORTS = [found for module, path in MODULES.items() for found in imports_of(module, path)]


def top(name: str) -> str:
    """The distribution or package that a dotted name lives in."""
    return name.split(".", 1)[0]


def part(name: str) -> str:
    """The part of the engine that a dotted name lives in; "engine" for its front door."""
    return name.split(".")[1] if "." in name else "engine"


def refuse(wrong: list[Import]) -> None:
    """Fail with every wrong import, a line each."""
    if wrong:
        pytest.fail("\n".join(map(str, wrong)), pytrace=False)


def test_that_the_engine_knows_neither_the_window_nor_qt() -> None:
    refuse([i for i in IMPORTS if top(i.module) == "engine" and top(i.target) in QT | {"app"}])


def test_that_every_part_of_the_engine_has_a_floor() -> None:
    assert {part(name) for name in MODULES if top(name) == "engine"} - FLOOR.keys() == set()


def test_that_the_engine_imports_only_lower_floors() -> None:
    inside = [i for i in IMPORTS if top(i.module) == top(i.target) == "engine"]
    steps = [(i, part(i.module), part(i.target)) for i in inside]
    refuse([i for i, upper, lower in steps if upper != lower and FLOOR[upper] <= FLOOR[lower]])


def test_that_no_modules_import_each_other_in_a_ring() -> None:
    graph: dict[str, set[str]] = {name: set() for name in MODULES}
    for found in IMPORTS:
        if found.at_start and found.target in MODULES and found.target != found.module:
            graph[found.module].add(found.target)
    while leaves := {name for name, targets in graph.items() if not targets & graph.keys()}:
        graph = {name: targets for name, targets in graph.items() if name not in leaves}
    assert sorted(graph) == []


def test_that_slow_packages_are_imported_only_where_they_are_used() -> None:
    refuse([i for i in IMPORTS if i.at_start and top(i.target) in SLOW_TO_IMPORT])


def test_that_panes_never_import_each_other() -> None:
    panes = [i for i in IMPORTS if i.module.startswith("app.panes.")]
    refuse([i for i in panes if i.target.startswith("app.panes.") and i.target != i.module])


def test_that_views_know_neither_the_session_nor_the_panes() -> None:
    closed = ("app.session", "app.commands", "app.panes", "app.window", "app.bind")
    refuse([i for i in IMPORTS if i.module.startswith("app.views") and i.target.startswith(closed)])


def test_that_the_terminal_needs_no_qt_to_start() -> None:
    plain = ("app.__main__", "app.display", "app.places", "app.terminal")
    seen: set[str] = set()
    waiting = [name for name in MODULES if name.startswith(plain)]
    while waiting:
        name = waiting.pop()
        seen.add(name)
        waiting += [
            i.target for i in IMPORTS if i.module == name and i.at_start and i.target in MODULES.keys() - seen
        ]
    refuse([i for i in IMPORTS if i.module in seen and i.at_start and top(i.target) in QT])
