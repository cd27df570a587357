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

LID: Final = Theme(
    name="lid",
    primary="#d8c7a0",
    secondary="#b8a98a",
    accent="#d9a441",
    warning="#d8c7a0",
    error="#d9a441",
    success="#d8c7a0",
    foreground="#f1e9d8",
    background="#141110",
    surface="#1b1716",
    panel="#2a2422",
    dark=True,
    variables={
        "ivory": "#efe6d0",
        "ink": "#141110",
        "felt": "#8f3d3b",
        "felt-text": "#f1e9d8",
        "quiet": "#a89a82",
        "block-cursor-background": "#efe6d0",
        "block-cursor-foreground": "#141110",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#3a322f",
        "block-cursor-blurred-foreground": "#f1e9d8",
        "footer-background": "#1b1716",
        "footer-key-foreground": "#d8c7a0",
        "border": "#d8c7a0",
        "border-blurred": "#3a322f",
    },
)

PAGE: Final = Theme(
    name="page",
    primary="#4a3f33",
    secondary="#6b5d4c",
    accent="#7a5200",
    warning="#4a3f33",
    error="#7a5200",
    success="#4a3f33",
    foreground="#1d1814",
    background="#f5efe1",
    surface="#efe7d4",
    panel="#e4d9c1",
    dark=False,
    variables={
        "ivory": "#1d1814",
        "ink": "#f5efe1",
        "felt": "#8f2f33",
        "felt-text": "#f5efe1",
        "quiet": "#6b5d4c",
        "block-cursor-background": "#1d1814",
        "block-cursor-foreground": "#f5efe1",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#d9ccb0",
        "block-cursor-blurred-foreground": "#1d1814",
        "footer-background": "#efe7d4",
        "footer-key-foreground": "#7a5200",
        "border": "#4a3f33",
        "border-blurred": "#d9ccb0",
    },
)

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
