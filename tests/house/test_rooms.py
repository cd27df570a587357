"""The rooms of the house: who may use whom, no circle of rooms or of modules, nothing named in two ways."""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import get_args

import networkx as nx

from readiness.course import schema as course_file
from readiness.record import schema as student_file
from readiness.terms import Fade, Help, Kind, State, Verdict

ROOT = Path(__file__).parents[2]
ORDER = (
    "toml", "course", "record", "judging", "advice", "school", "studio", "cohort", "editing", "words",
    "pictures", "pages", "testing", "tui", "cli",
)  # fmt: skip
"""Each room may use those before it. What stands in no room (days, terms, ...) uses none, but ``api`` all."""
TELLING = ("words", "pages", "pictures", "cli", "tui")
"""What a room below works out, these tell, and may do so under the same name."""
PARALLEL = {"__init__", "load", "schema", "as_json", "model", "find"}
"""Basenames that rooms have alike because they do the same for another thing."""


def _modules() -> dict[str, Path]:
    found = {}
    for path in (*ROOT.glob("readiness/**/*.py"), *ROOT.glob("tui/**/*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = _modules()


@cache
def tree_of(module: str) -> ast.Module:
    """Return what a module says."""
    return ast.parse(MODULES[module].read_text(encoding="utf-8"))


@cache
def nodes_of(module: str) -> tuple[ast.AST, ...]:
    """Return every part of a module."""
    return tuple(ast.walk(tree_of(module)))


@cache
def used_by(module: str) -> set[str]:
    """Return the modules that a module names anywhere, in functions and for types too."""
    found = set()
    for node in nodes_of(module):
        if isinstance(node, ast.ImportFrom) and node.module:
            inside = {f"{node.module}.{one.name}" for one in node.names} & MODULES.keys()
            found |= inside or {node.module}
        elif isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
    return found & MODULES.keys()


def room_of(module: str) -> str | None:
    """Return the room a module is in, None for one that stands in no room."""
    top, *rest = module.split(".")
    if top == "tui":
        return "tui"
    return rest[0] if rest and rest[0] in ORDER else None


def of_each_module(asked: Callable[[str], None]) -> Callable[[], None]:
    """Make one test of a question that is asked of every module."""

    def test() -> None:
        for module in sorted(MODULES):
            asked(module)

    test.__doc__ = asked.__doc__
    return test


@of_each_module
def test_a_room_uses_only_the_rooms_below_it(module: str) -> None:
    room = room_of(module)
    for used in used_by(module):
        below = room_of(used)
        if room is not None and below is not None:
            assert ORDER.index(below) <= ORDER.index(room), used
        elif room is None and module not in ("readiness", "readiness.api", "readiness.__main__"):
            assert below is None, used


def test_no_module_comes_back_to_itself() -> None:
    graph = nx.DiGraph((module, used) for module in MODULES for used in used_by(module) if used != module)
    assert not [sorted(ring) for ring in nx.strongly_connected_components(graph) if len(ring) > 1]


def test_a_basename_is_there_twice_only_where_rooms_are_parallel() -> None:
    homes = Counter(
        (room if (room := room_of(module)) in TELLING else "below", path.stem)
        for module, path in MODULES.items()
    )
    assert {name for (_, name), count in homes.items() if count > 1} == PARALLEL


def test_no_class_name_is_there_twice() -> None:
    """But for the two of the door for other programs, which are named after what they stand before."""
    names = Counter(
        node.name
        for path in MODULES.values()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert {name for name, count in names.items() if count > 1} == {"Answer", "Studio"}


@of_each_module
def test_a_frozen_value_holds_nothing_that_can_be_changed(module: str) -> None:
    """As far as types say it: a field is a tuple, a mapping or a frozenset, and no list, dict or set."""
    for node in nodes_of(module):
        if not isinstance(node, ast.ClassDef):
            continue
        is_frozen = any("frozen=True" in ast.unparse(one) for one in node.decorator_list)
        for field in node.body if is_frozen else ():
            named = ast.walk(field.annotation) if isinstance(field, ast.AnnAssign) else ()
            kinds = {one.id for one in named if isinstance(one, ast.Name)}
            assert not kinds & {"list", "dict", "set", "bytearray"}, f"{module}:{field.lineno}"


def test_the_rooms_are_those_on_the_plan() -> None:
    rooms = {path.parent.name for path in ROOT.glob("readiness/*/__init__.py")}
    assert rooms | {"tui"} == set(ORDER)


def test_the_words_of_the_files_are_the_terms() -> None:
    assert set(get_args(course_file.Kind)) == set(Kind)
    assert set(get_args(course_file.Fade)) == set(Fade)
    assert set(get_args(course_file.CountingHelp)) < set(Help)
    assert set(get_args(student_file.Verdict)) == set(Verdict)


_BY_A_NAME = ("getattr", "setattr", "hasattr", "delattr")
_BY_NAMES = ("attrgetter", "methodcaller", "vars", "__dict__", "__getattribute__", "__setattr__")
NAMING = {
    "readiness": "its public names are loaded when one is asked for",
    "readiness.testing": "the same",
    "readiness.lazy": "fields and methods that are made when one is asked for",
    "readiness.cli.main": "the streams of the system",
    "tui.view": "of itself, what is worked out already",
}
"""The modules that reach something by a name that is worked out, and what it is for."""


def _reaches(node: ast.AST) -> bool:
    """Return whether something is reached by a name that no type checker sees."""
    match node:
        case ast.Call(ast.Name("vars"), [ast.Name("args")]):
            return False  # what was typed on a command line, which has no type
        case ast.Call(ast.Attribute(_, "__setattr__"), [_, ast.Constant(), _]):
            return False
        case ast.Call(ast.Name(how), [_, name, *_]) if how in _BY_A_NAME:
            return not isinstance(name, ast.Constant)
        case ast.Call(ast.Name(how) | ast.Attribute(_, how)) | ast.Attribute(_, "__dict__" as how):
            return how in _BY_NAMES
    return False


@of_each_module
def test_no_field_is_reached_by_a_name_in_a_string(module: str) -> None:
    """Else neither a type checker nor an editor knows that it is used."""
    tree = tree_of(module)
    lines = [node.lineno for node in ast.walk(tree) if isinstance(node, ast.expr) and _reaches(node)]
    assert bool(lines) == (module in NAMING), f"{module}: {lines}"


@of_each_module
def test_an_idea_is_compared_by_its_type_and_a_parameter_says_what_it_is(module: str) -> None:
    """No bare string of a term beside ``==`` or ``in``; ``one`` is for a loop of one line."""
    for node in nodes_of(module):
        if isinstance(node, ast.Compare):
            sides = {side.value for side in ast.walk(node) if isinstance(side, ast.Constant)}
            assert not sides & _TERMS, f"{module}:{node.lineno}"
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            given = node.args
            names = {name.arg for name in (*given.posonlyargs, *given.args, *given.kwonlyargs)}
            assert not names & {"one", "say"}, f"{module}:{node.lineno}"


_TERMS = frozenset(str(term) for terms in (Verdict, State, Kind) for term in terms)
"""Those that mean nothing else: "fast" is also a pace, and "cue" a switch."""
