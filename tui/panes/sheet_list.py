"""Today's sheet as a list: what was noted so far in front, why each line is there at the end."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from readiness.words.brief import HELP_LETTERS, WHY_BRIEF
from readiness.words.english import HELP_WORDS
from tui.messages import Pointed
from tui.round import Round

__all__ = ["SheetList", "noted_words"]


def noted_words(answer: int | str | None) -> str:
    """Return letter and word of what was noted for a line."""
    if isinstance(answer, int):
        return f"{HELP_LETTERS[answer]} {HELP_WORDS[answer]}"
    return {"left": "- not asked", "mixed": "* in parts"}.get(answer or "", ".")


class SheetList(OptionList):
    """The list. Says :class:`Pointed` with the number of the line under the cursor."""

    def __init__(self, id: str) -> None:  # noqa: A002 - Textual's own word
        """Begin empty."""
        super().__init__(id=id, markup=False)

    def show(self, round_: Round, at: int) -> None:
        """Show a round with the cursor on a line."""
        self.set_options(Option(self._line(round_, i)) for i in range(len(round_.asks)))
        self.highlighted = min(at, len(round_.asks) - 1) if round_.asks else None

    def _line(self, round_: Round, at: int) -> Content:
        ask = round_.asks[at]
        answer = round_.answer(at) if ask.skills else None
        noted = noted_words(answer) if ask.skills else ""
        why = WHY_BRIEF.get(ask.why, ask.why)
        words = round_.words(at)
        room = max(20, (self.size.width or 78) - 2 - 19 - 2 - 16)
        title = f'{round_.title(at)} "{words}"' if words else round_.title(at)
        title = title if len(title) <= room else title[: room - 1] + "…"
        line = Content(f"{noted:<19}  {title:<{room}}")
        if answer is not None:
            line = line.stylize("bold", 0, 19)
        return line + Content.styled(f"{why:>16}"[:16], "dim")

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Say which line the cursor is on."""
        event.stop()
        self.post_message(Pointed(str(event.option_index)))
