"""The picture as SVG, for a sheet of paper lying on its side, in black and white.

A state is told by its letter and by a shading, never by a colour. Every line has a white edge,
so that where two cross one is seen to pass over the other, and neighbours differ in grey. All
text is escaped; the same course always gives the same bytes.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from readiness.pictures.formats import (
    FEWER_CROSS,
    LINE_WORDS,
    STATE_ORDER,
    Shown,
    map_title,
    small_print,
    state_words,
    unit_words,
)
from readiness.pictures.geometry import (
    FOOT,
    LINE_HEIGHT,
    MARK,
    PADDING,
    POSTER,
    SHEET,
    Box,
    Layout,
    LayoutRow,
    Measure,
    UnitColumn,
    lay_out_map,
)
from readiness.pictures.lines import Curve, DrawnLine
from readiness.terms import State
from readiness.words.english import STATE_LETTERS
from readiness.words.grammar import tidy

__all__ = ["PAPERS", "map_as_svg", "mark_as_svg", "shadings_as_svg", "sheet_as_svg"]

PAPERS: Final = {"a3": (420, 297), "a4": (297, 210), "letter": (279.4, 215.9)}
"""Width and height of a sheet lying on its side, in mm."""

EDGE: Final = 8
"""White margin of the sheet, in mm."""

_GREYS: Final = ("#000", "#4d4d4d", "#808080")
_SHADES: Final = {
    State.SECURE: "black", State.BUILDING: "grey", State.WOBBLING: "dots", State.STALE: "bars",
    State.UNTRIED: "white", State.WITH_HELP: "hatch", State.NOT_SHOWN: "cross", State.SLIPPED: "back",
    State.SET_ASIDE: "white",
}  # fmt: skip
_STROKES: Final = {
    "dots": "M1 2A1 1 0 1 0 3 2A1 1 0 1 0 1 2",
    "bars": "M0 1L5 1M0 3.5L5 3.5",
    "hatch": "M-1 6L6 -1M-1 1L1 -1M4 6L6 4",
    "back": "M-1 -1L6 6M-1 4L1 6M4 -1L6 1",
    "cross": "M0 0L5 5M0 5L5 0",
}
"""The shadings, each on a tile of 5 by 5."""
_STYLE: Final = """\
text{font-family:"DejaVu Sans","Liberation Sans",Arial,Helvetica,sans-serif;fill:#000}
.n{font-size:12.5px}.t{font-size:22px;font-weight:bold}.u{font-size:13px;font-weight:bold}
.s{font-size:10.5px;font-style:italic;fill:#333}.f{font-size:12px}.m{font-size:12px;font-weight:bold;text-anchor:middle}
.b{fill:#fff;stroke:#000;stroke-width:1}.a{stroke-width:2.6}.l{fill:none;stroke-linecap:round}
"""


def map_as_svg(shown: Shown, paper: str = "a3") -> str:
    """Return the picture as one SVG file for a ``paper``, one of ``PAPERS``."""
    return "\n".join(_Page(shown, POSTER).parts(PAPERS[paper])) + "\n"


def sheet_as_svg(sheet: Shown, name: str, prefix: str) -> tuple[str, bool]:
    """Return a sheet as a picture that stands in a page: with its name, without a legend.

    Beside it is whether every order that was to be tried was tried (``Layout.suffices``).

    Args:
        sheet: one of ``pictures.formats.sheets``.
        prefix: stands before every id in it, so that no two of a page are the same.
    """
    page = _Page(sheet, SHEET, prefix)
    return "\n".join(page.inner(name)), page.layout.suffices


def mark_as_svg(state: State) -> str:
    """Return the mark of a state alone, to stand beside its name."""
    size = f'width="6mm" height="6mm" viewBox="-1 -1 {_num(MARK + 2)} 22" aria-hidden="true"'
    return f"<svg {size}>{''.join(_mark(0, 0, 20, state))}</svg>"


def shadings_as_svg() -> str:
    """Return the style and the shadings that the pictures of a page share."""
    hidden = 'width="0" height="0" style="position:absolute" aria-hidden="true"'
    return f"<svg {hidden}><style>{_STYLE}</style>{''.join(_shadings())}</svg>"


def _num(value: float) -> str:
    """Return a number with at most one decimal, the same everywhere."""
    return f"{value:.1f}".removesuffix(".0")


def _text(x: float, y: float, words: str, kind: str, more: str = "") -> str:
    return f'<text x="{_num(x)}" y="{_num(y)}" class="{kind}"{more}>{escape(tidy(words))}</text>'


class _Page:
    def __init__(self, shown: Shown, measure: Measure, prefix: str = "") -> None:
        self.shown = shown
        self.layout: Layout = lay_out_map(shown, measure)
        self.prefix = prefix

    def inner(self, name: str) -> Iterator[str]:
        width, height = self.layout.width, self.layout.height - FOOT - 26
        yield f'<svg viewBox="0 36 {_num(width)} {_num(height)}" role="img" aria-label={quoteattr(name)}>'
        yield from self._drawing()
        yield "</svg>"

    def parts(self, paper: tuple[float, float]) -> Iterator[str]:
        wide, high = (round(side - 2 * EDGE, 1) for side in paper)
        width, height = max(self.layout.width, 900.0), self.layout.height
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
            f'viewBox="0 0 {_num(width)} {_num(height)}">'
        )
        yield f"<title>{escape(map_title(self.shown))}</title>"
        sheet = "{" + f"size:{paper[0]}mm {paper[1]}mm;margin:{EDGE}mm" + "}"
        yield f"<style>@page{sheet}\n{_STYLE}</style>"
        yield from _shadings()
        yield f'<rect width="{_num(width)}" height="{_num(height)}" fill="#fff"/>'
        yield _text(24, 26, map_title(self.shown), "t")
        yield from self._drawing()
        yield from self._legend(height - FOOT + 44)
        yield "</svg>"

    def _drawing(self) -> Iterator[str]:
        yield from (self._row(at, row) for at, row in enumerate(self.layout.rows))
        for column in self.layout.columns:
            yield from self._head(column)
        for line, grey in self._greys():
            yield from _line(line, grey)
        for box in self.layout.boxes:
            yield from self._box(box)
        for row in self.layout.rows:
            yield from (
                f'<text x="{_num(x)}" y="{_num(y)}" class="s" stroke="#fff" stroke-width="3" '
                f'paint-order="stroke">{escape(tidy(row.strand.name))}</text>'
                for x, y in row.names
            )

    def _greys(self) -> Iterator[tuple[DrawnLine, str]]:
        """Yield the lines, in the order they lie over each other, each with its grey."""
        place = {box.skill.id: (box.x, box.y) for box in self.layout.boxes}
        order = sorted(self.layout.lines, key=lambda line: place[line.before])
        skills = list(dict.fromkeys(line.before for line in order))
        grey = {skill: _GREYS[at % len(_GREYS)] for at, skill in enumerate(skills)}
        yield from ((line, grey[line.before]) for line in reversed(order))

    def _row(self, at: int, row: LayoutRow) -> str:
        """Return a row as a ribbon, every second one shaded."""
        xs = [(column.x - 8, column.x + column.width + 8) for column in self.layout.columns]
        over = _rim(xs, row.top)
        back = _rim([(b, a) for a, b in reversed(xs)], tuple(reversed(row.bottom)))
        fill = "#f1f1f1" if at % 2 else "#fff"
        return f'<path d="M{over}L{back}Z" fill="{fill}" stroke="#ddd" stroke-width="0.7"/>'

    def _head(self, column: UnitColumn) -> Iterator[str]:
        is_black = column.unit.id in (self.shown.here, self.shown.focus)
        frame = f'<rect x="{_num(column.x - 5)}" y="40" width="{_num(column.width + 10)}" height="66" '
        if is_black:
            yield frame + 'fill="#000"/>'
        elif column.unit.id == self.shown.ahead:
            yield frame + 'fill="#fff" stroke="#000" stroke-width="3"/>'
        lines = textwrap.wrap(unit_words(column.unit), int(column.width / 8.4))[:4]
        more = ' style="fill:#fff"' if is_black else ""
        for number, words in enumerate(lines):
            yield _text(column.x, 54 + 15 * number, words, "u", more)

    def _box(self, box: Box) -> Iterator[str]:
        always = " a" if box.skill.always_look else ""
        yield f"<g id={quoteattr(self.prefix + box.skill.id.replace(' ', '-'))}>"
        yield _rect(box.x, box.y, box.width, box.height, f'class="b{always}"')
        state = self.shown.states.get(box.skill.id)
        if state is not None:
            yield from _mark(box.x, box.y, box.height, state)
            dash = ' stroke-dasharray="3 2"' if state == State.SET_ASIDE else ""
            yield _rect(box.x, box.y, box.width, box.height, f'class="b{always}" style="fill:none"{dash}')
        x = box.x + 5 + (MARK if state is not None else 0)
        for number, words in enumerate(box.words):
            yield _text(x, box.y + PADDING + LINE_HEIGHT * (number + 0.78), words, "n")
        yield "</g>"

    def _legend(self, y: float) -> Iterator[str]:
        x = 24.0
        for kind, words in LINE_WORDS:
            if kind == "always":
                yield _rect(x + 4, y - 8, 30, 16, 'class="b a"')
            elif kind == "bridge":
                for up, grey in ((7, "#4d4d4d"), (-7, "#000")):
                    curve = Curve((x, y + up), (x + 36, y - up), 14, 14)
                    yield from _line(DrawnLine("", some=False, curves=(curve,)), grey)
            else:
                yield from _line(
                    DrawnLine("", kind == "some", (Curve((x, y), (x + 36, y), after="x"),)), "#000"
                )
            yield _text(x + 44, y + 4, words, "f")
            x += 60 + 6.9 * len(words)
        y += 26
        x = 24.0
        for state in STATE_ORDER if self.shown.states else ():
            words = state_words(state)
            yield from _mark(x, y - 10, 20, state)
            yield _rect(x, y - 10, MARK, 20, 'class="b" style="fill:none"')
            yield _text(x + MARK + 6, y + 4, words, "f")
            x += MARK + 26 + 6.9 * len(words)
        if self.shown.states:
            y += 24
        less = "" if self.layout.suffices else f" {FEWER_CROSS}"
        yield _text(24, y + 2, small_print(self.shown) + less, "f")


def _shadings() -> Iterator[str]:
    yield "<defs>"
    for name, strokes in _STROKES.items():
        yield (
            f'<pattern id="{name}" width="5" height="5" patternUnits="userSpaceOnUse">'
            f'<rect width="5" height="5" fill="#fff"/>'
            f'<path d="{strokes}" fill="none" stroke="#000" stroke-width="1.2"/></pattern>'
        )
    yield "</defs>"


def _rim(xs: list[tuple[float, float]], ys: tuple[float, ...]) -> str:
    """Return an edge of a ribbon: level at each column, smooth between them."""
    parts = []
    for at, ((a, b), y) in enumerate(zip(xs, ys, strict=True)):
        if at:
            last = xs[at - 1][1]
            middle = (last + a) / 2
            parts.append(f"C{_num(middle)} {_num(ys[at - 1])} {_num(middle)} {_num(y)} {_num(a)} {_num(y)}")
        else:
            parts.append(f"{_num(a)} {_num(y)}")
        parts.append(f"L{_num(b)} {_num(y)}")
    return "".join(parts)


def _rect(x: float, y: float, width: float, height: float, more: str) -> str:
    return f'<rect x="{_num(x)}" y="{_num(y)}" width="{_num(width)}" height="{_num(height)}" {more}/>'


def _mark(x: float, y: float, height: float, state: State) -> Iterator[str]:
    """Yield the strip that shows a state: its shading, and its letter on a plate."""
    shade = _SHADES[state]
    fill = {"black": "#000", "grey": "#c8c8c8", "white": "#fff"}.get(shade, f"url(#{shade})")
    yield _rect(x, y, MARK, height, f'fill="{fill}" stroke="#000" stroke-width="0.8"')
    middle = y + height / 2
    if shade not in ("black", "white"):
        yield _rect(x + 2.2, middle - 7, MARK - 4.4, 14, 'fill="#fff"')
    more = ' style="fill:#fff"' if shade == "black" else ""
    yield _text(x + MARK / 2, middle + 4.3, STATE_LETTERS[state], "m", more)


def _line(line: DrawnLine, grey: str) -> Iterator[str]:
    way = "".join(map(_piece, line.curves))
    dash = ' stroke-dasharray="5 3"' if line.some else ""
    yield f'<path class="l" d="{way}" stroke="#fff" stroke-width="4"/>'
    yield f'<path class="l" d="{way}" stroke="{grey}" stroke-width="1.15"{dash}/>'
    arrows = "".join(_arrow(curve) for curve in line.curves if curve.after)
    if arrows:
        yield f'<path d="{arrows}" fill="{grey}"/>'


def _piece(curve: Curve) -> str:
    (x1, y1), (x2, y2) = curve.start, curve.end
    if not curve.pull:
        return f"M{_num(x1)} {_num(y1)}L{_num(x2)} {_num(y2)}"
    (a, b), (c, d) = curve.controls()
    return f"M{_num(x1)} {_num(y1)}C{_num(a)} {_num(b)} {_num(c)} {_num(d)} {_num(x2)} {_num(y2)}"


def _arrow(curve: Curve) -> str:
    (x1, y1), (x2, y2) = curve.start, curve.end
    if x1 == x2 and not curve.bulge:
        back = 5.5 if y1 < y2 else -5.5
        return f"M{_num(x2)} {_num(y2)}L{_num(x2 - 3)} {_num(y2 - back)}L{_num(x2 + 3)} {_num(y2 - back)}Z"
    return f"M{_num(x2)} {_num(y2)}L{_num(x2 - 5.5)} {_num(y2 - 2.8)}L{_num(x2 - 5.5)} {_num(y2 + 2.8)}Z"
