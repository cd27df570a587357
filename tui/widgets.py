"""What our lists and fields add to Textual's: a mark before the line with the cursor, lines in columns.

The mark says without any colour where the cursor is. Columns are measured in cells of the terminal, and
a line is laid out when it is seen, for the width it has then: fifteen hundred cost no more than fifteen.

While a field is open the footer shows the keys that work in it, and no letter is a command.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil
from typing import ClassVar, Literal, cast

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.css.styles import RulesMap
from textual.geometry import Size, Spacing
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.style import Style
from textual.visual import Padding, RenderOptions, Visual
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from readiness.advice.offer import LADDER, Answers, line_letter
from readiness.words.english import HELP_WORDS
from tui.actions import key_words
from tui.view import View

__all__ = [
    "Chosen", "Field", "Fitted", "Hanging", "LazyLine", "MarkedList", "Pointed", "Reading",
    "Scrolled", "SheetList", "ViewRead", "WordField", "columns", "fitted", "noted_words",
]  # fmt: skip


@dataclass
class Reading(Message):
    """The first reading, and working out everybody's answer, has come this far."""

    done: int
    of: int

    def can_replace(self, message: Message) -> bool:
        """Let only the latest count."""
        return isinstance(message, Reading)


@dataclass
class ViewRead(Message):
    """The files were read: in words whose answer changed, and whether everybody's is worked out."""

    view: View
    changes: tuple[str, ...] = ()
    is_whole: bool = True


@dataclass
class Chosen(Message):
    """Something in a pane was chosen (Enter or a click); ``key`` says what."""

    key: str


class Pointed(Chosen):
    """The cursor of a pane came to rest on something."""


class Fitted(Static):
    """A text made for the width that it has, and again when that is another one."""

    _told: Callable[[int], Content] | None = None

    def tell(self, told: Callable[[int], Content]) -> None:
        """Show what ``told`` gives for a width, as soon as there is one."""
        self._told = told
        self.on_resize()

    def on_resize(self) -> None:
        if self._told and self.size.width:
            self.update(self._told(self.size.width))


class Scrolled(VerticalScroll, can_focus=False):
    """What Tab leads to, and keys scroll, where it has more than is seen; it says so at its edge.

    Where it holds fields, Tab leads to those alone.
    """

    def on_resize(self) -> None:
        self.call_after_refresh(self._say_more)

    watch_virtual_size = on_resize

    def watch_scroll_y(self, before: float, now: float) -> None:
        super().watch_scroll_y(before, now)
        self._say_more()

    def _say_more(self) -> None:
        self.can_focus = self.can_focus or bool(self.max_scroll_y and not self.query(Input))
        is_more = self.scroll_offset.y < self.max_scroll_y
        if self.styles.border_bottom[0]:
            keys = "Page Down" if self.query(Input) else "arrow keys, Page Down, End"
            self.border_subtitle = f"more below: {keys}" if is_more else ""
        else:
            self.border_title = "more below: Tab, then arrow keys" if is_more else ""


class MarkedList(OptionList, inherit_bindings=False):
    """A list with a mark. Enter is left to the screen, so that its table of keys says what it does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        one for one in OptionList.BINDINGS if isinstance(one, Binding) and one.key != "enter"
    ]

    highlighted: reactive[int | None] = reactive(None, repaint=False)
    virtual_size: reactive[Size] = reactive(Size(0, 0))
    """How many lines there are moves nothing beside the list; Textual's lays the whole screen out anew."""

    def __init__(self, id: str) -> None:  # noqa: A002 - Textual's own word
        super().__init__(id=id, markup=False)

    def watch_highlighted(self, before: int | None, now: int | None) -> None:  # type: ignore[override]
        """Draw the two lines that the mark leaves and reaches; Textual's draws all."""
        lines = self._line_cache
        for one in (before, now):
            if one is not None and one in lines.index_to_line:
                self.refresh_lines(lines.index_to_line[one], lines.heights[one])
        super().watch_highlighted(now)

    def on_resize(self) -> None:
        """Keep the mark in sight."""
        self.call_after_refresh(self.scroll_to_highlight)

    def watch_scroll_y(self, before: float, now: float) -> None:
        """Draw the lines, and the bar where its thumb is seen to move; Textual's draws it at every line."""
        bar = self.vertical_scrollbar
        whole, part = bar.window_virtual_size, max(1, bar.window_size)
        eighths, way = 8 * (part - max(1, part * part / whole)), whole - part
        is_long = way > eighths > 0 and self.show_vertical_scrollbar
        bar.position = ceil(int(now * eighths / way) * way / eighths) if is_long else now
        if round(before) != round(now):
            self.refresh(self.size.region)

    def _get_left_gutter_width(self) -> int:
        return 1

    def _update_lines(self) -> None:
        """Measure the lines once; Textual's asks at each that is drawn."""
        if len(self._line_cache.heights) < len(self.options) or not self.options:
            super()._update_lines()

    def _move_page(self, direction: Literal[-1, 1]) -> None:
        """Go on by a page; Textual's fails where a window is so small that no line of the list is seen."""
        if self.scrollable_content_region:
            super()._move_page(direction)

    def _get_option_render(self, option: Option, style: Style) -> list[Strip]:
        """Draw an entry behind its mark, once with it and once without."""
        is_marked, drawn = option is self.highlighted_option, self._option_render_cache
        key = option, style, Spacing(left=is_marked)
        if key not in drawn:
            width, visual = self.scrollable_content_region.width, self._get_visual(option)
            if padding := self.get_component_styles("option-list--option").padding:
                visual = Padding(visual, padding)
            options = RenderOptions(self._get_style, cast("RulesMap", self.styles))
            lines = visual.render_strips(width - 1, None, style, options)
            look, meta = style.rich_style, RichStyle.from_meta({"option": self._option_to_index[option]})

            def behind(mark: str, line: Strip) -> Strip:
                whole = [Segment(mark, next((one.style for one in line), look)), *line]
                whole = Segment.adjust_line_length(whole, width, look)
                return Strip(Segment.apply_style(whole, post_style=meta), width)

            drawn[key] = [behind("▸" if is_marked and not at else " ", line) for at, line in enumerate(lines)]
        return drawn[key]


class LazyLine(Visual):
    """One line, drawn when it is seen; ``draw`` gives it for a width, ``look`` its style without a cursor."""

    def __init__(self, owner: OptionList, draw: Callable[[int], tuple[Content, str]]) -> None:
        self._owner, self._draw = owner, draw

    def render_strips(
        self, width: int, height: int | None, style: Style, options: RenderOptions
    ) -> list[Strip]:
        del height, options
        line, look = self._draw(width)
        if look and style == self._owner.get_visual_style("option-list--option"):
            style += self._owner.get_visual_style(look)
        return [Strip(line.render_segments(style), width)]

    def get_optimal_width(self, rules: RulesMap, container_width: int) -> int:
        """Take all there is."""
        del rules
        return container_width

    def get_height(self, rules: RulesMap, width: int) -> int:
        """Take one line."""
        del rules, width
        return 1


class Hanging(Visual):
    """A text behind a mark, its later lines under the first word; spaced by an empty line before."""

    def __init__(self, lead: str, text: Content, *, is_spaced: bool = False) -> None:
        self._lead, self._text, self._above = lead, text, int(is_spaced)

    def render_strips(
        self, width: int, height: int | None, style: Style, options: RenderOptions
    ) -> list[Strip]:
        del height
        hang, look = cell_len(self._lead), style.rich_style
        lines = self._text.render_strips(max(1, width - hang), None, style, options)
        leads = [self._lead, *[" " * hang] * (len(lines) - 1)]
        drawn = [Strip([Segment(lead, look), *line]) for lead, line in zip(leads, lines, strict=True)]
        return [*[Strip.blank(width, look)] * self._above, *drawn]

    def get_optimal_width(self, rules: RulesMap, container_width: int) -> int:
        """Take all there is."""
        del rules
        return container_width

    def get_height(self, rules: RulesMap, width: int) -> int:
        """Count the lines."""
        return self._above + self._text.get_height(rules, max(1, width - cell_len(self._lead)))


def columns(cells: Sequence[tuple[str, int]], width: int) -> str:
    """Return texts in columns of so many cells each, two apart; one of width 0 takes what is left.

    >>> columns([("Temwa", 7), ("ready", 0), ("6", 2)], 20)
    'Temwa    ready    6 '
    """
    room = width - sum(wide for _, wide in cells) - 2 * (len(cells) - 1)
    return fitted("  ".join(fitted(text, wide or max(1, room)) for text, wide in cells), width)


def fitted(text: str, width: int) -> str:
    """Return a text of exactly so many cells, cut with a sign."""
    return set_cell_size(text, width) if cell_len(text) <= width else set_cell_size(text, width - 1) + "…"


Told = Callable[[tuple[str, ...]], str]


def noted_words(answer: int | str | None) -> str:
    """Return key and words of what was noted for a line."""
    if isinstance(answer, int):
        return f"{LADDER[answer]} {HELP_WORDS[answer]}"
    return {"left": "- not asked", "mixed": "  in parts"}.get(answer or "", "  to ask")


class SheetList(MarkedList):
    """The list. Says :class:`Pointed` with the number of the line under the cursor."""

    def show(self, answers: Answers, title: Told, last: Told) -> None:
        """Show what is asked, the cursor on the line that the next answer is for; none where all are done.

        Args:
            answers: the lines and their answers.
            title, last: what a line is called, and how its skills were shown last.
        """
        lines = range(len(answers.lines))
        self.set_options(Option(LazyLine(self, partial(_line, answers, title, last, at))) for at in lines)
        at = (answers.picked or [answers.at])[-1]
        self.highlighted = at if at in lines else None

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.post_message(Pointed(str(event.option_index)))


def _line(answers: Answers, title: Told, last: Told, at: int, width: int) -> tuple[Content, str]:
    """Return a line of the sheet; what was answered is bold, what was not is quiet."""
    line = answers.lines[at]
    given, words = answers.given(line), answers.words(line.skills)
    named = f'{title(line.skills)} "{words}"' if words else title(line.skills)
    letter = line_letter(at) + "+" * (len(answers.picked) > 1 and at in answers.picked)
    noted = noted_words(given), 19 if width >= 70 else 16
    cells = [(letter, 2), noted, (named, 0), (last(line.skills).partition(",")[0], 22)]
    shown = Content(columns(cells if width >= 60 else cells[:3], width))
    return shown.stylize("bold", 0, 23) if given is not None else shown, ""


class Field(Input):
    """A field that takes every key that types something."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "submit", "Keep", tooltip="Keep what was typed", key_display=key_words("enter")),
        Binding("ctrl+c", "app.quit", show=False),
    ]
    virtual_size: reactive[Size] = reactive(Size(0, 0))
    """A letter more moves nothing beside the field; Textual's lays the whole screen out anew."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Say that a key types something; Textual does not know it of all that have a name."""
        return super().check_consume_key(key, character) or len(key_words(key)) == 1


class WordField(Field):
    """A field that is not seen until it is opened; ``Input.Submitted`` says that Enter keeps the words."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Back", tooltip="Back to the sheet", key_display=key_words("escape")),
    ]

    def __init__(self, typed: dict[tuple[str, ...], str], asked: str = "") -> None:
        """Begin closed; ``typed`` is what was typed before and not kept, by what it is about."""
        words = f"{asked or 'a few words - Enter keeps them'}, Esc goes back"
        super().__init__(placeholder=words, id="remark", select_on_focus=False)
        self.subject: tuple[str, ...] = ()
        self.typed = typed
        self._stood = ""
        self._from: Widget | None = None

    def open(self, subject: tuple[str, ...], words: str) -> None:
        """Open the field with words about something (skills; none: the whole lesson)."""
        self.subject, self._stood, self._from = subject, words, self.screen.focused
        self.value = self.typed.get(subject, words)
        self.display = True
        self.screen.add_class("-typing")
        self.focus()

    def hold(self) -> None:
        """Remember what stands in the field, as not kept."""
        if self.display and self.value.strip() not in ("", self._stood):
            self.typed[self.subject] = self.value
        elif self.display:
            self.typed.pop(self.subject, None)

    def close(self, *, is_kept: bool = True) -> None:
        """Close the field; the keys go where they went before."""
        self.hold()
        self.display = False
        if is_kept:
            self.typed.pop(self.subject, None)
        self.screen.remove_class("-typing")
        if self._from is not None:
            self._from.focus()

    def action_leave(self) -> None:
        """Close the field without keeping the words; they are there the next time."""
        self.close(is_kept=False)
        if self.subject in self.typed:
            self.notify("These words are not kept yet. The same key brings them back.")
