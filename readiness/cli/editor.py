"""``readiness editor``: a language server for the files of a course, on pygls.

The protocol is the Language Server Protocol 3.17 (microsoft.github.io/language-server-protocol); everything
that is said comes from :mod:`readiness.editing.at_cursor`. Columns are counted there in letters, and told in
the units that the editor asked for: those of UTF-16, unless it said otherwise.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlparse

from readiness import __version__
from readiness.cli.commands import CommandError, Exit, command, epilog
from readiness.cli.context import add_day_option, day_asked, read_studio
from readiness.course.layers import GRAPH, PACING
from readiness.editing.at_cursor import Bench, Located, Span
from readiness.studio.find import StudioNotFoundError, find_studio

if TYPE_CHECKING:
    from lsprotocol import types as lsp
    from pygls.lsp.server import LanguageServer

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
    written = lines[span.line][span.start : span.end]
    quoted = f'"{instead}"' if written.startswith(('"', "'")) else instead
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
