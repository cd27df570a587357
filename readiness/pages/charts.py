"""Plain charts as SVG that stands in a page: bars, and bars with a middle.

Drawn by matplotlib, which is loaded only here and only when a page is made. Words stay words,
so a chart can be searched and read aloud; the numbers are in the bars and in the list beside
it too. Nothing in it depends on the clock or on chance: the same counts give the same bytes.
"""

from __future__ import annotations

import hashlib
import io
import re
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from readiness.pages.document import Markup, tag

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["Bar", "Span", "bars", "spans"]

_INK: Final = "#1d3557"
_LIGHT: Final = "#a8bccf"
_ROW: Final = 0.32
"""The height of a row, in inches."""
_SETTINGS: Final[Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "readiness",
    "font.size": 9,
    "font.family": "sans-serif",
}
_NO_METADATA: Final = dict.fromkeys(("Creator", "Date", "Format", "Type"))
_ID: Final = re.compile(r"""(\bid="|href="#|url\(#)""")
_METADATA: Final = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_WIDEST: Final = 44
"""Letters of a name beside a bar."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A row with one count."""

    name: str
    count: int


@dataclass(frozen=True, slots=True)
class Span:
    """A row from ``low`` to ``high`` with a ``middle``, and a mark for what is ``usual``."""

    name: str
    low: float
    middle: float
    high: float
    usual: float


def bars(title: str, rows: Sequence[Bar]) -> Markup:
    """Return counts as horizontal bars, each with its number."""
    figure, axes = _chart(title, [row.name for row in rows])
    drawn = axes.barh(range(len(rows)), [row.count for row in rows], color=_INK, height=0.6)
    axes.bar_label(drawn, padding=3)
    axes.set_xlim(0, max((row.count for row in rows), default=1) * 1.12 or 1)
    axes.xaxis.set_visible(False)
    return _svg(figure, title)


def spans(title: str, rows: Sequence[Span], legend: Sequence[str]) -> Markup:
    """Return stretches as horizontal bars.

    Args:
        title: what it shows.
        rows: from the top.
        legend: what the bar, its dot and the mark are.
    """
    figure, axes = _chart(title, [row.name for row in rows])
    at = range(len(rows))
    lows = [row.low for row in rows]
    widths = [row.high - row.low for row in rows]
    axes.barh(at, widths, left=lows, color=_LIGHT, edgecolor=_INK, height=0.6, label=legend[0])
    axes.plot([row.middle for row in rows], at, "o", color=_INK, label=legend[1])
    axes.plot([row.usual for row in rows], at, "x", color="#9b2226", markersize=7, label=legend[2])
    axes.set_xlim(left=0)
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.6 / (len(rows) + 1)), ncols=3, frameon=False)
    return _svg(figure, title)


def _chart(title: str, names: Sequence[str]) -> tuple[Figure, Axes]:
    """Return an empty chart with a row for each name, the first on top."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context(_SETTINGS):
        figure = Figure(figsize=(7.2, 0.7 + _ROW * max(len(names), 1)))
        axes = figure.subplots()
    axes.set_yticks(range(len(names)), labels=[_short(name) for name in names], parse_math=False)
    axes.set_ylim(len(names) - 0.4, -0.6)
    axes.set_title(title, loc="left", fontsize=10, parse_math=False)
    axes.tick_params(length=0)
    axes.spines[["top", "right", "bottom"]].set_visible(False)
    return figure, axes


def _short(name: str) -> str:
    return name if len(name) <= _WIDEST else f"{name[: _WIDEST - 3]}..."


def _svg(figure: Figure, title: str) -> Markup:
    """Return a chart as an element of a page; no id in it is that of another chart."""
    import matplotlib as mpl

    text = io.StringIO()
    with mpl.rc_context(_SETTINGS), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # letters its own typeface lacks; the browser has them
        figure.savefig(text, format="svg", bbox_inches="tight", metadata=_NO_METADATA)
    svg = text.getvalue()
    own = hashlib.sha256(svg.encode()).hexdigest()[:8]
    drawing = _ID.sub(rf"\g<1>{own}-", _METADATA.sub("", svg[svg.index("<svg") :]))
    return tag("figure", Markup(drawing), class_="chart", **{"role": "img", "aria-label": title})
