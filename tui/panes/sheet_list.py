"""Today's sheet as a list: what was noted so far in front, why each line is there at the end."""

from __future__ import annotations

from functools import partial

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from readiness.words.brief import HELP_LETTERS, WHY_BRIEF
from readiness.words.grammar import HELP_WORDS
from tui.messages import Pointed
from tui.panes.lines import Columns, MarkedList, columns
from tui.round import Round

__all__ = ["SheetList", "noted_words"]


def noted_words(answer: int | str | None) -> str:
    """Return letter and word of what was noted for a line."""
    if isinstance(answer, int):
        return f"{HELP_LETTERS[answer]} {HELP_WORDS[answer]}"
    return {"left": "- not asked", "mixed": "* in parts"}.get(answer or "", "  to ask")


class SheetList(MarkedList):
    """The list. Says :class:`Pointed` with the number of the line under the cursor."""

    def show(self, round_: Round, at: int) -> None:
        """Show a round with the cursor on a line."""
        self.set_options(Option(Columns(self, partial(_line, round_, i))) for i in range(len(round_.asks)))
        self.highlighted = min(at, len(round_.asks) - 1) if round_.asks else None

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Say which line the cursor is on."""
        event.stop()
        self.post_message(Pointed(str(event.option_index)))


def _line(round_: Round, at: int, width: int) -> tuple[Content, str]:
    """Return a line of the sheet; what was answered is bold, what was not is quiet."""
    ask, words = round_.asks[at], round_.words(at)
    answer = round_.answer(at) if ask.skills else None
    title = f'{round_.title(at)} "{words}"' if words else round_.title(at)
    noted = noted_words(answer) if ask.skills else ""
    cells = [(noted, 19 if width >= 70 else 16), (title, 0), (WHY_BRIEF.get(ask.why, ask.why), 16)]
    line = Content(columns(cells if width >= 60 else cells[:2], width))
    return line.stylize("bold", 0, 19) if answer is not None else line, ""
