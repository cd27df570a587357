"""What our lists add to Textual's: a mark before the line with the cursor, and lines in columns.

The mark says without any colour where the cursor is. Columns are measured in cells of the terminal, and
a line is laid out when it is seen, for the width it has then: fifteen hundred cost no more than fifteen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import ClassVar, cast

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.css.styles import RulesMap
from textual.geometry import Size, Spacing
from textual.reactive import reactive
from textual.strip import Strip
from textual.style import Style
from textual.visual import Padding, RenderOptions, Visual
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

__all__ = ["Columns", "Fitted", "Hanging", "MarkedList", "columns", "fitted"]


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


class Columns(Visual):
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
