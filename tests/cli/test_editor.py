"""The language server, spoken to by a client: pygls's own, over the streams of a new process."""

from __future__ import annotations

import asyncio
import os
import shutil
import sys
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException
from pygls.lsp.client import LanguageClient

from readiness.studio.schema import EXPLAINED

ROOT = Path(__file__).parents[2]


@pytest.fixture
def graph(tmp_path, course_folder, demo_folder):
    """Return the graph of a studio with the invented students."""
    shutil.copytree(course_folder, tmp_path / "course")
    shutil.copytree(demo_folder, tmp_path / "students", ignore=lambda *_: ["studio.toml", "two-courses"])
    where = 'course = "course"\nstudents = "students"\n'
    (tmp_path / "studio.toml").write_text(f'format = 1\nname = "S"\n{where}', encoding="utf-8")
    return tmp_path / "course" / "graph.toml"


class Hands:
    """An editor with one file open."""

    def __init__(self, path):
        self.path, self.uri, self.told, self.shown = path, path.as_uri(), asyncio.Event(), []
        self.client = LanguageClient("tests", "1")
        self.problems = ()

        @self.client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def publish(params):
            self.problems = params.diagnostics
            self.told.set()

        @self.client.feature(lsp.WINDOW_SHOW_MESSAGE)
        def show(params):
            self.shown.append(params.message)

    async def open(self):
        os.environ["PYTHONPATH"] = str(ROOT)
        await self.client.start_io(sys.executable, "-m", "readiness", "editor", "--on", "2026-01-05")
        await self.client.initialize_async(lsp.InitializeParams(capabilities=lsp.ClientCapabilities()))
        self.client.initialized(lsp.InitializedParams())
        self.text = self.path.read_text(encoding="utf-8")
        item = lsp.TextDocumentItem(self.uri, "toml", 1, self.text)
        self.client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))
        await asyncio.wait_for(self.told.wait(), 120)

    async def type(self, text):
        self.text = text
        self.told.clear()
        whole = lsp.TextDocumentContentChangeWholeDocument(text)
        document = lsp.VersionedTextDocumentIdentifier(2, self.uri)
        self.client.text_document_did_change(lsp.DidChangeTextDocumentParams(document, [whole]))
        await asyncio.wait_for(self.told.wait(), 120)

    def at(self, words, more=0):
        """Return the place of some words, and so many letters on."""
        before = self.text[: self.text.index(words) + more]
        position = lsp.Position(before.count("\n"), len(before.rpartition("\n")[2]))
        return {"text_document": lsp.TextDocumentIdentifier(self.uri), "position": position}


def hold(path, talk):
    async def all_of_it():
        hands = Hands(path)
        await hands.open()
        try:
            await talk(hands)
        finally:
            await hands.client.shutdown_async(None)
            hands.client.exit(None)
            await hands.client.stop()

    asyncio.run(all_of_it())


def test_what_an_editor_asks_is_answered(graph):
    async def talk(hands):
        assert not hands.problems
        client = hands.client
        hover = await client.text_document_hover_async(lsp.HoverParams(**hands.at("[skill.wrist-lift]", 9)))
        assert "builds on: rounded-hand-keys" in hover.contents.value
        assert "needed by: arm-arc-octave, separate-arm-gestures, phrase-lift" in hover.contents.value
        assert "Temwa: 3 days, last 2025-12-09" in hover.contents.value
        hover = await client.text_document_hover_async(lsp.HoverParams(**hands.at("shown_when", 3)))
        assert hover.contents.value == EXPLAINED["shown_when"]
        link = 'stands_on = ["rounded-hand-keys"]'
        found = await client.text_document_definition_async(lsp.DefinitionParams(**hands.at(link, 18)))
        line = hands.text.split("[skill.rounded-hand-keys]")[0].count("\n")
        assert (found.uri, found.range.start.line) == (hands.uri, line)

        async def offered(*place):
            params = lsp.CompletionParams(**hands.at(*place))
            return {one.label for one in await client.text_document_completion_async(params)}

        assert {"wrist-lift", "feet-supported"} <= await offered(link, 14)
        assert await offered('kind = "motor"', 8) == {"motor", "knowledge", "ear", "reading", "habit"}
        assert "black-key-groups" in await offered('unit = "', 8)
        assert {"alternative", "asks_pain"} <= await offered("[skill.wrist-lift]\nname", 19)

    hold(graph, talk)


def test_a_mistake_is_told_as_it_is_typed_and_its_word_is_put_right(graph):
    async def talk(hands):
        good = hands.text
        await hands.type(good.replace(
            'stands_on = ["rounded-hand-keys"]', 'stands_on = ["rounded-hand-kesy"]', 1
        ))
        (one,) = [one for one in hands.problems if one.severity == lsp.DiagnosticSeverity.Error]
        line = hands.text.split("\n")[one.range.start.line]
        assert line[one.range.start.character : one.range.end.character] == '"rounded-hand-kesy"'
        assert (one.code, one.source) == ("unknown-skill", "readiness")
        asked = lsp.CodeActionParams(
            lsp.TextDocumentIdentifier(hands.uri), one.range, lsp.CodeActionContext([one])
        )
        (action,) = await hands.client.text_document_code_action_async(asked)
        (edit,) = action.edit.changes[hands.uri]
        start, end = edit.range.start.character, edit.range.end.character
        mended = hands.text.split("\n")
        mended[edit.range.start.line] = line[:start] + edit.new_text + line[end:]
        assert "\n".join(mended) == good
        await hands.type(good)
        assert not hands.problems

    hold(graph, talk)


def test_a_rename_keeps_the_notes(graph):
    async def talk(hands):
        params = lsp.RenameParams(new_name="wrist-rises", **hands.at("[skill.wrist-lift]", 9))
        edits = (await hands.client.text_document_rename_async(params)).changes[hands.uri]
        lines = hands.text.split("\n")
        for one in edits:
            at, (start, end) = one.range.start.line, (one.range.start.character, one.range.end.character)
            lines[at] = lines[at][:start] + one.new_text + lines[at][end:]
        await hands.type("\n".join(lines))
        assert [one for one in hands.problems if one.severity == lsp.DiagnosticSeverity.Error] == []
        assert 'retired = 2026-01-05\nreplaced_by = ["wrist-rises"]\n\n[skill.wrist-rises]' in hands.text
        assert any("of 2 students" in told and 'count for "wrist-rises"' in told for told in hands.shown)
        for name in ("feet-supported", "No id"):
            params = lsp.RenameParams(new_name=name, **hands.at("[skill.wrist-lift]", 9))
            with pytest.raises(JsonRpcException):
                await hands.client.text_document_rename_async(params)

    hold(graph, talk)


def test_columns_are_those_of_the_protocol(graph):
    """LSP 3.17: a position counts UTF-16 units unless the editor asks for others; a G clef has two."""

    async def talk(hands):
        odd = "stands_on = ['\N{MUSICAL SYMBOL G CLEF}', 'rounded-hand-kesy']"
        await hands.type(hands.text.replace('stands_on = ["rounded-hand-keys"]', odd, 1))
        found = [one for one in hands.problems if one.code == "unknown-skill"]
        assert [(one.range.start.character, one.range.end.character) for one in found] == [(13, 17), (19, 38)]
        text, place = hands.text, hands.at("rounded-hand-kesy", -1)
        await hands.type(text.replace("rounded-hand-kesy", "feet-supported", 1))
        place["position"].character += 3 + 13
        hover = await hands.client.text_document_hover_async(lsp.HoverParams(**place))
        assert "(feet-supported)" in hover.contents.value

    hold(graph, talk)


def test_a_strand_has_another_id_everywhere_and_a_unit_keeps_the_one_that_students_are_in(graph):
    async def talk(hands):
        params = lsp.RenameParams(new_name="arms", **hands.at("[strand.hand-arm]", 9))
        edits = (await hands.client.text_document_rename_async(params)).changes[hands.uri]
        assert len(edits) == 1 + hands.text.count('strand = "hand-arm"')
        params = lsp.RenameParams(new_name="wrists", **hands.at("[unit.hand-shape-wrist]", 9))
        with pytest.raises(JsonRpcException, match="students are in units"):
            await hands.client.text_document_rename_async(params)

    hold(graph, talk)


def test_without_the_extra_it_says_which_one(say, monkeypatch):
    monkeypatch.setitem(sys.modules, "pygls", None)
    said = say("editor")
    assert said.code == 2
    assert "pip install '.[editor]'" in said.told
