"""What all screens share: two faces, a title line, the way back, help, and data that comes by a method.

Colours are those of the instrument: ivory, ebony, and the brass of the pedals for the one accent. The
red felt under the keys is for pain alone. No colour carries a meaning alone; words, marks and letters
do. Any other theme of Textual works too, ``ansi-dark`` and ``ansi-light`` among them for terminals with
colours of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final, Protocol, TypeVar, cast

from textual.app import ComposeResult
from textual.screen import Screen
from textual.theme import Theme
from textual.widget import Widget
from textual.widgets import Footer, Static
from textual.widgets._footer import FooterKey

from readiness.toml.write import Refusal
from readiness.words.english import called, verdict_brief
from readiness.words.grammar import capital, date_words, tidy
from tui.actions import Action, bindings_of, with_keys
from tui.outline import Outline
from tui.screens.forms import AreYouSure, FormField, Pick, TextPage, WorkForm, help_text, open_in_editor
from tui.writing import WORKS, Work, mark_of_last, noted_last, take_last_back

if TYPE_CHECKING:
    from tui.desk import Desk
    from tui.view import StudentRow, View

__all__ = [
    "FEW_COLOURS", "KEYS", "LID", "PAGE", "BaseScreen", "KeysFooter", "Program", "Title", "borrowed",
    "key_strip",
]  # fmt: skip


def _face(name: str, *, dark: bool, **colour: str) -> Theme:
    """Return a theme: words on paper, lit keys, one accent, the felt; the rest is made of these."""
    paper, words, lit, primary = (colour[one] for one in ("paper", "words", "lit", "primary"))
    return Theme(
        name, primary, colour["secondary"], primary, colour["accent"], primary, colour["accent"], words,
        paper, colour["surface"], colour["panel"], dark=dark,
        variables={
            "ivory": lit, "ink": paper, "quiet": colour["quiet"],
            "felt": colour["felt"], "felt-text": words if dark else paper,
            "block-cursor-background": lit, "block-cursor-foreground": paper,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": colour["blurred"], "block-cursor-blurred-foreground": words,
            "footer-background": colour["surface"],
            "footer-key-foreground": primary if dark else colour["accent"],
            "border": primary, "border-blurred": colour["blurred"],
        },
    )  # fmt: skip


LID: Final = _face(
    "lid", dark=True, words="#f1e9d8", paper="#141110", lit="#efe6d0", quiet="#a89a82",
    primary="#d8c7a0", secondary="#b8a98a", accent="#d9a441", felt="#8f3d3b",
    surface="#1b1716", panel="#2a2422", blurred="#3a322f",
)  # fmt: skip
PAGE: Final = _face(
    "page", dark=False, words="#1d1814", paper="#f5efe1", lit="#1d1814", quiet="#6b5d4c",
    primary="#4a3f33", secondary="#6b5d4c", accent="#7a5200", felt="#8f2f33",
    surface="#efe7d4", panel="#e4d9c1", blurred="#d9ccb0",
)  # fmt: skip

FEW_COLOURS: Final = "ansi-dark"
"""The theme of a terminal with sixteen colours, where the felt of ours would become a grey."""

KEYS: Final = " ▀ ▀  ▀ ▀ ▀ "
"""One octave from above: the groups of two and of three black keys between the white ones."""


def key_strip(width: int) -> str:
    """Return a row of keys of this width."""
    return (KEYS * (width // len(KEYS) + 1))[:width]


def borrowed(theme: Theme) -> dict[str, str]:
    """Return our own colours for a theme that does not name them."""
    if theme.ansi:
        light, dark = "ansi_white", "ansi_black"
        ivory, ink = (light, dark) if theme.dark else (dark, light)
        own = {"felt": "ansi_red", "felt-text": "ansi_bright_white", "quiet": "ansi_default"}
    else:
        ivory = theme.foreground or ("#e8e8e8" if theme.dark else "#202020")
        ink = theme.background or ("#121212" if theme.dark else "#f4f4f4")
        own = {"felt": "#8f2f33", "felt-text": "#f5efe1", "quiet": ivory}
    return {**own, "ivory": ivory, "ink": ink}


Told = TypeVar("Told")
TOO_SMALL = "There is not room enough here: make the window larger, or the letters smaller."


class Program(Protocol):
    """What a screen asks of the program it is shown by."""

    desk: Desk
    view: View | None
    is_whole: bool
    changes: tuple[str, ...]
    said: Iterable[str]

    def look_now(self) -> None:
        """Look at the files at once."""

    def go_to(self, student: str) -> None:
        """Show why a student moves up or not."""

    def open(self, what: str, sheet: BaseScreen) -> None:
        """Open another screen from this one."""


class Title(Static):
    """The first line: where one is, and which day is asked about; where nothing fits, that it does not."""

    def tell(self, left: str, right: str) -> None:
        """Show the two ends of the line; the left one gives way."""
        self._ends = (left, right)
        self._lay_out()

    _ends: tuple[str, str] = ("", "")

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        left, right = self._ends
        if self.screen.classes & {"-tiny", "-flat"}:
            self.update(TOO_SMALL)
            return
        room = max(10, (self.content_size.width or 78) - len(right) - 2)
        left = left if len(left) <= room else left[: room - 1] + "…"
        self.update(f"{left.ljust(room)}  {right}", layout=False)


class KeysFooter(Footer):
    """The keys of a screen: however little room there is, what hurts, the way back and help are seen."""

    def __init__(self) -> None:
        super().__init__(show_command_palette=False, compact=True)

    def compose(self) -> ComposeResult:
        keys = [key for key in super().compose() if isinstance(key, FooterKey)]
        for key in sorted(keys, key=lambda key: (key.action != "open('pause')", key.action != "back")):
            key.set_class(key.action == "help", "-command-palette", update=False)
            key.set_class(True, "-compact", update=False)  # told later, every key is styled twice
            yield key

    def bindings_changed(self, screen: Screen[object]) -> None:
        """Lay the keys out again where they are others: focus alone moves more often than they change."""
        keys = [(key, one.enabled) for key, one in screen.active_bindings.items() if one.binding.show]
        if not self._bindings_ready or keys != self._laid_out:
            self._laid_out = keys
            super().bindings_changed(screen)

    _laid_out: Sequence[tuple[str, bool]] = ()


class BaseScreen(Screen[None]):
    """A screen of ours. ``NAME`` is its name in the table of actions."""

    NAME: ClassVar[str] = ""
    ABOUT: ClassVar[str] = ""
    """Two or three sentences for the help page."""

    def __init_subclass__(cls, **how: bool) -> None:
        """Bind the keys that the table of actions has for a screen."""
        if cls.NAME:
            cls.BINDINGS = bindings_of(cls.NAME)
        super().__init_subclass__(**how)

    def __init__(self, about: str | None = None) -> None:
        super().__init__()
        self.about = about

    def compose(self) -> ComposeResult:
        yield Title(id="title")
        yield from self.body()
        yield KeysFooter()

    def body(self) -> Iterator[Widget]:
        """Yield what stands between the first line and the keys."""
        raise NotImplementedError

    @property
    def browse(self) -> Program:
        """The program."""
        return cast("Program", self.app)

    @property
    def desk(self) -> Desk:
        """Where every question to the engine is asked."""
        return self.browse.desk

    @property
    def student(self) -> str | None:
        """The student this screen is about, if it is about one."""
        return self.about

    @property
    def is_laid_out(self) -> bool:
        """Whether its parts are there to be written to: not just before it is shown, nor when it goes."""
        return self.is_mounted and bool(self.query(Title))

    def row(self) -> StudentRow | None:
        """Return the row of that student, None where there is none or the file cannot be read."""
        return self.desk.row(self.student) if self.student is not None else None

    @property
    def lesson_day(self) -> int | None:
        """The day of the lesson to be noted here, where that is another one than the day asked about."""
        return None

    def on_mount(self) -> None:
        self.again()

    def again(self) -> None:
        """Show it anew, as soon as anything was read."""
        if self.browse.view is not None:
            self.show(self.browse.view)

    def ask(self, question: Screen[Told], then: Callable[[Told], None]) -> None:
        """Show a question; what follows takes the answer, and without one nothing follows."""

        def go_on(answer: Told | None) -> None:
            if answer:
                then(answer)

        self.app.push_screen(question, go_on)

    def show(self, view: View) -> None:
        """Take a new view of the studio."""

    def show_progress(self, done: int, of: int) -> None:
        """Take how far the first reading is."""

    def tell_title(self, left: str) -> None:
        """Set the first line."""
        view = self.browse.view
        day = date_words(view.day) if view else ""
        demo = "demo · " if view and view.studio.where.is_demo else ""
        old = "from before · " if view and view.is_old else ""
        self.query_one(Title).tell(left, old + demo + day)

    def tell_unread(self) -> None:
        """Say in the first line that the file cannot be read or is gone; the rest is from before."""
        self.tell_title(self._unread("(`readiness check`)"))

    def _unread(self, more: str) -> str:
        """Return that a student's file cannot be read, with where to see more, or that it is gone."""
        view = self.browse.view
        is_there = view is not None and (view.is_old or self.student in view.studio.broken)
        told = f"the file cannot be read now {more}" if is_there else "the file is gone"
        return with_keys(f"{self.student}: {told}", self.NAME)

    def as_old(self, text: str) -> str:
        """Return a text, and before it that it is from before, where the files cannot be read now."""
        return "\n\n".join(filter(None, (self.browse.view.from_before if self.browse.view else "", text)))

    def doing(self, row: Action) -> Callable[[], None]:
        """Return what the command palette calls for an action."""

        def do() -> None:
            self.call_later(self.run_action, row.id)

        return do

    def say_nobody(self) -> None:
        """Say why there is nobody to note something of."""
        unread = self._unread("- `readiness check` shows where and why")
        self.notify(f"{unread}." if self.student else "Choose a student first.")

    def unkept(self) -> str:
        """Return what would be lost by leaving the program, in words; empty where nothing would."""
        return ""

    def action_back(self) -> None:
        """Go back; the first screen stays."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()

    def action_help(self) -> None:
        self.app.push_screen(TextPage(help_text(self.NAME, self.ABOUT)))

    def action_said(self) -> None:
        self.app.push_screen(TextPage("\n\n".join(("Messages, the latest first", *self.browse.said))))

    def action_open(self, what: str) -> None:
        """Open another screen, of this student where it is about one."""
        self.browse.open(what, self)

    def action_go(self, step: int) -> None:
        """Go to the next student of the list, or the one before; from none to the first."""
        view = self.browse.view
        if view is not None and view.rows:
            ids = [row.record.id for row in view.rows]
            at = ids.index(self.student) + step if self.student in ids else 0
            self.about = ids[at % len(ids)]
            self.show(view)

    def action_find(self) -> None:
        """Go to another student by a few letters."""
        if view := self.browse.view:
            titles = {
                one: f"{called(tidy(row.record.name), one, view.shared):<18}  "
                f"{verdict_brief(row.answer) if row.is_worked_out else ''}"
                for one, row in view.by_id.items()
            }
            self.ask(Pick("student", titles, view.names), self.browse.go_to)

    def action_work(self) -> None:
        """Choose what is to be written about this student, then write it in a form."""
        if (row := self._written_of()) is None:
            self.say_nobody()
            return
        titles = {"lesson": "A lesson of another day"} if self.student else {}
        titles |= {one.name: one.title for one in WORKS if self.student or one.is_for_all}
        titles["file"] = "Whatever else is set for the studio, in your editor"
        self.ask(Pick(f"Write about {tidy(row.record.name)}", titles), self._work)

    def _written_of(self) -> StudentRow | None:
        return self.row() if self.student else self.desk.nobody

    def _work(self, name: str) -> None:
        work, row = next((one for one in WORKS if one.name == name), None), self._written_of()
        if work is not None and row is not None:
            title = work.title if work.is_for_all else f"{work.title} · {tidy(row.record.name)}"
            typed = self.desk.words(work.name, None if work.is_for_all else row)
            form = WorkForm(title, self._fields(work, row), partial(self._carry_out, work), typed)
            self.ask(form, self._wrote)
        elif name == "lesson":
            self.browse.open("another day", self)
        elif name == "file" and (file := self.desk.settings):
            self.edit(file.path, 1)

    def _fields(self, work: Work, row: StudentRow) -> list[FormField]:
        choices = [tuple(ask.choices(self.desk, row)) for ask in work.asks]
        return [
            FormField(ask.name, ask.words, some[0] if some and ask.is_filled else "", some)
            for ask, some in zip(work.asks, choices, strict=True)
        ]

    def _carry_out(self, work: Work, given: Mapping[str, str]) -> Refusal | str:
        """Carry a work out on the student as the file is now."""
        row = self._written_of()
        gone = Refusal("gone", f"{self._unread('')}.")
        return gone if row is None else work.carry_out(self.desk, row, given)

    def _wrote(self, told: str) -> None:
        self.browse.look_now()
        self.notify(told, timeout=15)

    def action_take_last_back(self) -> None:
        """Ask whether to take back what was written last, of this student or for the whole studio."""
        row, mark = self.row(), ""
        if file := self.written_for_all(row):
            asked = f"Take back what was written last into {file.name}?"
        elif row:
            mark = mark_of_last(row.path)
            asked = f"{tidy(row.record.name)}: take back {noted_last(row)}?"
        else:
            self.say_nobody()
            return
        sure = AreYouSure(asked, "Take it back", is_usual=False)
        self.ask(sure, lambda _: self._take_last_back(file, row, mark))

    def written_for_all(self, row: StudentRow | None) -> Path | None:
        """Return the settings where they were written from here last, later than this student's file."""
        file = self.desk.settings
        return self.desk.written_last([file.path], row.path if row else None) if file else None

    def _take_last_back(self, file: Path | None, row: StudentRow | None, mark: str) -> None:
        told: Refusal | str = Refusal("later", "it was written again since, so it stays as it is.")
        if file:
            told = self.desk.put_back(file) or told
        elif row:
            told = take_last_back(self.desk, row, mark)
        if isinstance(told, Refusal):
            self.notify(capital(told.message), severity="warning", timeout=15)
        else:
            self._wrote(told)

    def action_fold(self) -> None:
        for outline in self.query("Outline").results(Outline):
            outline.action_select()

    def action_edit(self) -> None:
        """Open the file that is marked in the editor, at its line."""
        if (place := self.place()) is None:
            self.say_nobody()
        else:
            self.edit(*place)

    def place(self) -> tuple[Path, int] | None:
        """Return the file and the line that the marked thing rests on: here the student's last lesson."""
        row = self.row()
        return None if row is None else (row.path, max((one.line for one in row.record.lessons), default=1))

    def edit(self, file: Path, line: int) -> None:
        """Open a file in the editor; what it changes for whom is said as soon as it is read."""
        if why_not := open_in_editor(self.app, file, line):
            self.notify(why_not, severity="warning", timeout=15)
        self.app.refresh(layout=True)
