"""``readiness course``: add to a course, or put its files in order; ``editor``: a language server for them.

The protocol is the Language Server Protocol 3.17 (microsoft.github.io/language-server-protocol); everything
that is said comes from :mod:`readiness.editing.at_cursor`. Columns are counted there in letters, and told in
the units that the editor asked for: those of UTF-16, unless it said otherwise.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple
from urllib.parse import unquote, urlparse

import tomli

from readiness import __version__
from readiness.cli.commands import CommandError, Exit, Parser, command, epilog
from readiness.cli.context import add_day_option, day_asked, locate_studio, print_problems, read_studio
from readiness.cli.inputs import refuse, whole
from readiness.cli.keys import Keys, is_terminal
from readiness.cli.output import as_sentence, text_width
from readiness.course.checks.units import RANGES
from readiness.course.find import find_skill, find_unit
from readiness.course.layers import GRAPH, PACING, read_files
from readiness.course.load import course_of, load_course
from readiness.course.model import Course
from readiness.course.schema import GraphFile, PacingFile
from readiness.editing.at_cursor import Bench, Located, Span
from readiness.editing.spelling import insert_table, table_text, tidied
from readiness.record.noting import odd_letters
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.schema import EXPLAINED
from readiness.toml.problems import Problem, errors, render
from readiness.toml.read import read_toml
from readiness.toml.texts import AN_ID, as_id
from readiness.toml.write import WRITTEN, Refusal, replace
from readiness.words.grammar import listed, typed, uncapital

if TYPE_CHECKING:
    from lsprotocol import types as lsp
    from pygls.lsp.server import LanguageServer


class _Key(NamedTuple):
    """What is asked for one key: the question, and how it is taken."""

    ask: str
    needed: bool = True
    takes: str = "text"  # text | number | list | texts


_ASKED: Final[Mapping[str, Mapping[str, _Key]]] = {
    "strand": {"name": _Key('what it is called, as in "Ear and singing"')},
    "unit": {
        "name": _Key('what it is called, as in "Arms that travel"'),
        "lesson_weeks": _Key("how many weekly lessons it usually takes", takes="number"),
        "aim": _Key("what a child can do after it", needed=False),
        "after": _Key("the unit it comes after (Enter: the last)", needed=False),
    },
    "skill": {
        "name": _Key('what it is called, as in "Lifts the wrist"'),
        "unit": _Key("the unit it is taught in"),
        "strand": _Key("what it belongs to"),
        "kind": _Key("motor, knowledge, ear, reading or habit"),
        "fade": _Key("how soon it goes without use: fast, medium or slow"),
        "minutes": _Key("minutes of teaching until it is first shown without help", takes="number"),
        "shown_when": _Key("what is seen or heard when it is shown, with numbers"),
        "stands_on": _Key("the skills that come first, with commas between", needed=False, takes="list"),
        "remedies": _Key("an activity for when it does not come", needed=False, takes="texts"),
        "alternative": _Key("another way of showing the same", needed=False),
        "age_note": _Key("what is different at which age", needed=False),
        "days": _Key("so many different days, where its kind does not say", needed=False, takes="number"),
    },
}
_FLAGS: Final = ("quiet", "safety", "always_look", "must_be_seen", "piece", "beats")


def course_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument("what", metavar="WHAT", choices=["add", "tidy"], help="add something, or tidy")
    parser.add_argument(
        "kind_of", metavar="KIND", nargs="?", choices=list(_ASKED), help="skill, unit or strand"
    )
    parser.add_argument("id", metavar="NEW", nargs="?", help="a short id: a-z, 0-9 and hyphen; it stays")
    where = "the folder with graph.toml and pacing.toml"
    parser.add_argument("--course", metavar="DIR", type=Path, help=where)
    places: dict[str, tuple[str, _Key]] = {}
    for kind, keys in _ASKED.items():
        for key, asked in keys.items():
            kinds, first = places.get(key, ("", asked))
            places[key] = f"{kinds}, {kind}" if kinds else kind, first
    for key, (kinds, asked) in places.items():
        parser.add_argument(
            _option(key), metavar="TEXT" if asked.takes != "number" else "N", dest=f"new_{key}",
            action="append" if asked.takes == "texts" else "store", help=f"{kinds}: {asked.ask}",
        )  # fmt: skip
    for flag in _FLAGS:
        told = f"skill: {uncapital(EXPLAINED[flag]).removesuffix('.')}"
        parser.add_argument(_option(flag), action="store_true", dest=f"new_{flag}", help=told)
    parser.epilog = "What is needed and was not typed is asked for at a terminal."


@command("course", course_arguments)
def run_course(args: argparse.Namespace) -> Exit:
    """Write into the files of a course, every other line of them as it was."""
    folder = _own_course(args.course)
    if args.what == "tidy":
        return _tidy(folder)
    if args.kind_of is None:
        raise CommandError("what is to be added? `readiness course add skill`, `unit` or `strand`.")
    graph = read_toml(folder / GRAPH, GraphFile)
    if not graph.is_toml:
        print_problems(graph.problems)
        raise CommandError("please correct this first; nothing was written.")
    if not is_terminal() and (gone := _missing(args)):
        told = "all about it: `readiness course --help`"
        raise CommandError(f"{listed(gone)} must be there, or ask at a terminal; {told}.")
    _refuse_other_keys(args)
    id_ = _id(args.id or _answer(_Key("a short id of your own: a-z, 0-9 and hyphen")))
    if id_ in read_files(folder).graph.data.get(args.kind_of, {}):
        raise CommandError(f'there is a {args.kind_of} "{id_}" already; nothing was written.')
    values = {key: _value(args, key, asked) for key, asked in _ASKED[args.kind_of].items()}
    if args.kind_of == "skill":
        values |= {flag: _typed(args)[flag] or None for flag in _FLAGS}
        values["quiet"] = bool(values["quiet"])
    refuse(odd_letters(*(one for one in values.values() if isinstance(one, str)), also="\n\t"))
    refuse(tuple(_meant(load_course(folder).course, values)))
    behind = values["unit"] if args.kind_of == "skill" else values.get("after")
    if args.kind_of == "unit":
        values["after"] = behind if graph.data.get("based_on") else None
    added = table_text(f"{args.kind_of}.{id_}", values)
    units = graph.data.get("unit") if args.kind_of == "unit" else None
    last = list(units)[-1] if isinstance(units, dict) and units else None
    text = insert_table(graph.text, added, behind if isinstance(behind, str) else last)
    return _write_if_right(folder, graph.text, text, added)


def _id(typed: str) -> str:
    if not AN_ID.fullmatch(typed):
        meant = f", as in {as_id(typed)}" if as_id(typed) else ""
        raise CommandError(f'"{typed}" is no id: a-z, 0-9 and hyphen{meant}; nothing was written.')
    return typed


def _refuse_other_keys(args: argparse.Namespace) -> None:
    own = {*_ASKED[args.kind_of], *(_FLAGS if args.kind_of == "skill" else ())}
    every = dict.fromkeys((*(key for keys in _ASKED.values() for key in keys), *_FLAGS))
    if odd := [_option(key) for key in every if key not in own and _typed(args)[key]]:
        raise CommandError(f"a {args.kind_of} has no {listed(odd)}; nothing was written.")


def _meant(course: Course | None, values: dict[str, object]) -> Iterator[Refusal]:
    """Put the ids of units and skills that were typed in place of what was; yield what names none."""
    for key in ("unit", "after", "stands_on"):
        if course is None:
            return
        typed, find = values.get(key), find_skill if key == "stands_on" else find_unit
        words = typed if isinstance(typed, list) else [typed] if typed else []
        found = [find(course, str(word)) for word in words]
        told = (one for one in found if isinstance(one, Refusal))
        yield from (Refusal(one.id, f"{_option(key)}: {one.message}") for one in told)
        values[key] = found if isinstance(typed, list) else next(iter(found), None)


def _write_if_right(folder: Path, before: str, text: str, added: str) -> Exit:
    """Write the graph if no mistake comes with what is added, and say what `check` says of it."""
    path = folder / GRAPH
    known = {(one.id, one.message) for one in load_course(folder).problems}
    found = course_of(read_files(folder, {path: text}), folder).problems
    first = text.replace("\r\n", "\n").partition(added)[0].count("\n")
    lines = range(first, first + added.count("\n") + 1)
    newly = [one for one in found if (one.id, one.message) not in known]
    newly = [one for one in newly if one.severity == "error" or one.place.line - 1 in lines]
    newly = [one for one in newly if one.id not in ("small-unit", "unused-strand")]  # so of all just begun
    if wrong := errors(newly):
        raise CommandError("\n".join((*(_told(one, text) for one in wrong), "nothing was written.")))
    for problem in newly:
        print(render(problem, {path: text}, width=text_width()), end="\n\n")
    _put(path, before, text)
    print(f"Written to {path}:\n{added}\nNext: `readiness check {typed(str(folder))}`")
    return Exit.READY


def _told(problem: Problem, text: str) -> str:
    """Return what is wrong with what was typed, by the option: its line was not written."""
    key = text.split("\n")[problem.place.line - 1].partition(" ")[0]
    option = _option(key) if key in {key for keys in _ASKED.values() for key in keys} else "NEW"
    return f"{option}: {problem.message}. {as_sentence(problem.hint)}".strip()


def _tidy(folder: Path) -> Exit:
    done = []
    for path, model in ((folder / GRAPH, GraphFile), (folder / PACING, PacingFile)):
        if not path.exists() and path.name == PACING:
            continue
        loaded = read_toml(path, model)
        if not loaded.is_toml:
            print_problems(loaded.problems)
            raise CommandError("please correct this first; nothing was written.")
        text = tidied(loaded.text)
        new = tomli.loads(text)
        if new != loaded.data or list(new.get("unit", ())) != list(loaded.data.get("unit", ())):
            raise CommandError(f"{path} is written in a way this cannot put in order; it is as it was.")
        if text != loaded.text:
            _put(path, loaded.text, text)
            done.append(path)
    for path in done:
        print(f"In order now: {path}. It means the same as before.")
    if not done:
        print(f"Nothing to do: the files in {folder} are in order.")
    return Exit.READY


def _put(path: Path, before: str, text: str) -> None:
    """Write a text in place of the one that was read."""

    def edit(there: bytes) -> bytes | Refusal:
        mark = b"\xef\xbb\xbf" if there.startswith(b"\xef\xbb\xbf") else b""
        if there != mark + before.encode():
            return Refusal("changed", f"nothing was written: {path} was changed by somebody else just now.")
        return mark + text.encode()

    refuse(replace(path, path.parent, edit))
    WRITTEN.set()


def _own_course(typed: Path | None) -> Path:
    """Return the folder of the course to write to, never the one that comes with the program."""
    if typed is not None:
        if not (typed / GRAPH).is_file():
            raise CommandError(f"there is no {GRAPH} in {typed}. `readiness start DIR --empty` makes one.")
        return typed
    where = locate_studio(None, None)
    print_problems(where.problems)
    if where.is_demo or where.course is None:
        told = "`readiness start DIR` makes one, or name the course's folder with --course"
        raise CommandError(f"there is no studio here. {told}.")
    return where.course


def _value(args: argparse.Namespace, key: str, asked: _Key) -> object:
    """Return what was typed or answered for a key, None for nothing."""
    typed = _typed(args)[key]
    if typed is None and (asked.needed or (is_terminal() and not any(_typed(args).values()))):
        typed = _answer(asked)  # also for what may be left out, where hardly anything was typed
    if asked.takes == "texts":
        return typed if isinstance(typed, list) else [typed] if typed else None
    if not typed or not typed.strip():
        return None
    if asked.takes == "number":
        return whole(typed.strip(), _option(key), 1, RANGES.get(key, RANGES["days_needed.motor"]).most or 1)
    if asked.takes == "list":
        return [one.strip() for one in typed.split(",") if one.strip()]
    return typed.strip()


def _typed(args: argparse.Namespace) -> dict[str, Any]:
    """Return what was typed, by the keys of the file."""
    return {name.removeprefix("new_"): one for name, one in vars(args).items() if name.startswith("new_")}


def _missing(args: argparse.Namespace) -> list[str]:
    needed = [key for key, asked in _ASKED[args.kind_of].items() if asked.needed]
    return [*([] if args.id else ["NEW"]), *(_option(key) for key in needed if not _typed(args)[key])]


def _answer(asked: _Key) -> str:
    """Ask for a value until there is one, where there must be one."""
    while True:
        line = Keys().line(f"  {asked.ask}: ")
        if line is None and asked.needed:
            raise CommandError("nothing was written.")
        if (typed := (line or "").strip()) or not asked.needed:
            return typed


def _option(key: str) -> str:
    said = {"remedies": "remedy", "lesson_weeks": "weeks", "fade": "goes"}
    return f"--{said.get(key, key).replace('_', '-')}"


_MISSING = "the language server needs pygls: pip install '.[editor]'."


@command(
    "editor",
    lambda parser: add_day_option(parser, "the day on which a renamed skill is retired"),
    epilog("An editor starts it, and speaks the Language Server Protocol with it."),
)
def run_editor(args: argparse.Namespace) -> Exit:
    """Serve until the editor ends it."""
    try:
        import pygls  # noqa: F401 - only whether it is there
    except ModuleNotFoundError:
        raise CommandError(_MISSING) from None
    from lsprotocol import types as lsp
    from pygls.lsp.server import LanguageServer

    server = LanguageServer("readiness", __version__, text_document_sync_kind=lsp.TextDocumentSyncKind.Full)
    _tells_what_is_wrong(server)
    _answers(server)
    _changes(server, day_asked(args.on, None))
    server.start_io()
    return Exit.READY


def _tells_what_is_wrong(server: LanguageServer) -> None:
    from lsprotocol import types as lsp

    def tell(uri: str) -> None:
        folder = _path(uri).parent
        bench = _bench(server, folder)
        for one in server.workspace.text_documents.values():
            path = _path(one.uri)
            if path.parent == folder and path.name in (GRAPH, PACING):
                found = [_diagnostic(server, bench, path, number) for number in bench.problems(path)]
                server.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(one.uri, found))

    @server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: lsp.DidOpenTextDocumentParams) -> None:
        tell(params.text_document.uri)

    @server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: lsp.DidChangeTextDocumentParams) -> None:
        tell(params.text_document.uri)


def _at(server: LanguageServer, params: Any) -> tuple[Bench, Path, int, int]:  # noqa: ANN401 - of many kinds
    path = _path(params.text_document.uri)
    bench = _bench(server, path.parent)
    position = server.workspace.position_codec.position_from_client_units(bench.lines(path), params.position)
    return bench, path, position.line, position.character


def _answers(server: LanguageServer) -> None:
    from lsprotocol import types as lsp

    @server.feature(lsp.TEXT_DOCUMENT_COMPLETION, lsp.CompletionOptions(trigger_characters=['"']))
    def completion(params: lsp.CompletionParams) -> list[lsp.CompletionItem]:
        bench, path, line, column = _at(server, params)
        offered = bench.offered(path, line, column)
        return [lsp.CompletionItem(label=word, detail=told) for word, told in offered]

    @server.feature(lsp.TEXT_DOCUMENT_HOVER)
    def hover(params: lsp.HoverParams) -> lsp.Hover | None:
        bench, path, line, column = _at(server, params)
        told = bench.about(path, line, column)
        return lsp.Hover(lsp.MarkupContent(lsp.MarkupKind.PlainText, told)) if told else None

    @server.feature(lsp.TEXT_DOCUMENT_DEFINITION)
    def definition(params: lsp.DefinitionParams) -> lsp.Location | None:
        bench, path, line, column = _at(server, params)
        found = bench.defined(bench.word(path, line, column))
        if found is None:
            return None
        span = Span(found.line - 1, found.column - 1, found.column)
        return lsp.Location(found.file.as_uri(), _range(server, bench.lines(found.file), span))


def _changes(server: LanguageServer, day: int) -> None:
    from lsprotocol import types as lsp
    from pygls.exceptions import JsonRpcInvalidParams

    @server.feature(lsp.TEXT_DOCUMENT_RENAME)
    def rename(params: lsp.RenameParams) -> lsp.WorkspaceEdit:
        bench, path, line, column = _at(server, params)
        found = bench.renamed(bench.word(path, line, column), params.new_name, day)
        if isinstance(found, str):
            raise JsonRpcInvalidParams(found)
        changes, told = found
        server.window_show_message(lsp.ShowMessageParams(lsp.MessageType.Info, told))
        graph = bench.folder / GRAPH
        edits = [lsp.TextEdit(_range(server, bench.lines(graph), one.span), one.text) for one in changes]
        return lsp.WorkspaceEdit(changes={graph.as_uri(): edits})

    @server.feature(lsp.TEXT_DOCUMENT_CODE_ACTION)
    def code_action(params: lsp.CodeActionParams) -> list[lsp.CodeAction]:
        uri = params.text_document.uri
        return [
            lsp.CodeAction(
                title=f"Put {one.data} here",
                kind=lsp.CodeActionKind.QuickFix,
                diagnostics=[one],
                edit=lsp.WorkspaceEdit(changes={uri: [lsp.TextEdit(one.range, str(one.data))]}),
            )
            for one in params.context.diagnostics
            if one.data
        ]


def _bench(server: LanguageServer, folder: Path) -> Bench:
    """Return the course of a folder as it stands in the editor, with the students of its studio."""
    texts = {_path(one.uri): one.source for one in server.workspace.text_documents.values()}
    try:
        where = find_studio(None, None, folder, os.environ)
        is_its = where.course is not None and where.course.resolve() == folder.resolve()
        records = tuple(read_studio(where).records.values()) if is_its else ()
    except StudioNotFoundError:
        records = ()
    return Bench(folder, {path: text.replace("\r\n", "\n") for path, text in texts.items()}, records)


def _diagnostic(server: LanguageServer, bench: Bench, path: Path, found: Located) -> lsp.Diagnostic:
    from lsprotocol import types as lsp

    problem, span, instead = found
    lines = bench.lines(path)
    quoted = f'"{instead}"' if lines[span.line][span.start : span.end].startswith(('"', "'")) else instead
    severe = lsp.DiagnosticSeverity.Error if problem.severity == "error" else lsp.DiagnosticSeverity.Warning
    return lsp.Diagnostic(
        range=_range(server, lines, span),
        message=f"{problem.message}\n{problem.hint}" if problem.hint else problem.message,
        severity=severe,
        code=problem.id,
        source="readiness",
        data=quoted or None,
    )


def _range(server: LanguageServer, lines: list[str], span: Span) -> lsp.Range:
    from lsprotocol import types as lsp

    letters = lsp.Range(lsp.Position(span.line, span.start), lsp.Position(span.line, span.end))
    return server.workspace.position_codec.range_to_client_units(lines, letters)


def _path(uri: str) -> Path:
    return Path(unquote(urlparse(uri).path))
