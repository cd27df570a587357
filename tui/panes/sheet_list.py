"""Today's sheet: what was noted so far in front, how it was shown last at the end; its columns wrap."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from readiness.advice.offer import LADDER, Answers, line_letter
from readiness.words.english import HELP_WORDS
from tui.messages import Pointed
from tui.panes.lines import Columns, MarkedList, columns

__all__ = ["SheetList", "noted_words"]

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
        self.set_options(Option(Columns(self, partial(_line, answers, title, last, at))) for at in lines)
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
