"""The two faces of the program: the lid (dark lacquer) and the page (paper and ink).

Colours are those of the instrument: ivory, ebony, and the brass of the pedals for the one accent. The
red felt under the keys is for pain alone. No colour carries a meaning alone; words, marks and letters
do. Any other theme of Textual works too, ``ansi-dark`` and ``ansi-light`` among them for terminals with
colours of their own.
"""

from __future__ import annotations

from typing import Final

from textual.theme import Theme

__all__ = ["FEW_COLOURS", "KEYS", "LID", "PAGE", "borrowed", "key_strip"]


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
        return {
            "ivory": ivory,
            "ink": ink,
            "felt": "ansi_red",
            "felt-text": "ansi_bright_white",
            "quiet": "ansi_default",
        }
    ivory = theme.foreground or ("#e8e8e8" if theme.dark else "#202020")
    ink = theme.background or ("#121212" if theme.dark else "#f4f4f4")
    own = {"felt": "#8f2f33", "felt-text": "#f5efe1"}
    return own | {"ivory": ivory, "ink": ink, "quiet": ivory}
