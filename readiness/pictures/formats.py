"""What a picture shows: the whole course, one unit with what is around it, or a sheet for each unit.

Decides which skills and links are on the picture and how each skill is marked; where things
stand on the page, and in which language it is drawn, is decided elsewhere.

As plain text it is for a screen reader, a mail or a printer that knows letters only.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cache
from typing import Final

from readiness.course.model import Course, Skill, Strand, Unit
from readiness.judging.answer import GAP_STATES, Answer
from readiness.lazy import dataclass
from readiness.terms import State
from readiness.words.english import STATE_LETTERS, STATE_WORDS
from readiness.words.grammar import counted, date_words, listed, tidy, wrap

__all__ = [
    "AFTER", "BEFORE", "FEWER_CROSS", "LINE_WORDS", "MOST", "STATE_ORDER", "Link", "Shown", "footings",
    "letters_line", "map_as_dot", "map_as_mermaid", "map_as_text", "map_title", "plain_name", "sheets",
    "shown", "small_print", "state_words", "unit_words",
]  # fmt: skip

BEFORE: Final = "builds on"
AFTER: Final = "leads to"
"""The columns on both sides of a unit that has a sheet of its own."""
MOST: Final = 12
"""Boxes in a column of such a sheet, so that its letters can be read."""


@dataclass(frozen=True)
class Link:
    """``before`` comes before ``after``; ``some``: as one of a group, not by itself."""

    before: str
    after: str
    some: bool = False


@dataclass(frozen=True)
class Shown:
    """The content of a picture. Units, strands and skills are in the order of the file.

    Attributes:
        title: the course's name, and the student's.
        states: of a student, by skill; empty without one.
        here, ahead: the unit the student is in, and the next.
        focus: the unit the picture is about, None for the whole course.
    """

    title: tuple[str, ...]
    units: tuple[Unit, ...]
    strands: tuple[Strand, ...]
    skills: tuple[Skill, ...]
    links: tuple[Link, ...]
    states: Mapping[str, State] = field(default_factory=dict)
    on: int | None = None
    here: str | None = None
    ahead: str | None = None
    focus: str | None = None


def shown(course: Course, answer: Answer | None = None, unit: str | None = None) -> Shown:
    """Return what a picture of a course shows.

    Args:
        answer: of the student to be shown on it, if any.
        unit: the id of the unit to show with its footings and what stands on it.
    """
    whole = Shown((course.name,), course.units, course.strands, course.skills, _links(course))
    if answer is not None:
        states = {skill: standing.state for skill, standing in answer.standings.items()}
        title = (course.name, answer.name)
        whole = replace(
            whole, title=title, states=states, on=answer.on, here=answer.unit, ahead=answer.next_unit
        )
    return whole if unit is None else _around(whole, unit)


def _links(course: Course) -> tuple[Link, ...]:
    """Return every link once; a skill that is named by itself needs no link as one of a group."""
    found: dict[tuple[str, str], bool] = {}
    for skill in course.skills:
        for before in skill.stands_on:
            found[before, skill.id] = False
        for group in skill.stands_on_some:
            for member in group.of:
                found.setdefault((member, skill.id), True)
    return tuple(Link(before, after, some) for (before, after), some in found.items())


def _around(whole: Shown, unit: str) -> Shown:
    """Return a unit with what its skills stand on and what stands on them."""
    own = {skill.id for skill in whole.skills if skill.unit == unit}
    links = tuple(link for link in whole.links if own & {link.before, link.after})
    near = own.union(*({link.before, link.after} for link in links))
    return _with(whole, tuple(skill for skill in whole.skills if skill.id in near), links, unit)


def _with(whole: Shown, skills: Sequence[Skill], links: tuple[Link, ...], unit: str) -> Shown:
    """Return a picture of these skills alone, with the units and strands that they need."""
    strands = {skill.strand for skill in skills}
    units = {skill.unit for skill in skills} | {unit}
    return replace(
        whole,
        units=tuple(one for one in whole.units if one.id in units),
        strands=tuple(one for one in whole.strands if one.id in strands),
        skills=tuple(skills),
        links=links,
        states={skill.id: whole.states[skill.id] for skill in skills} if whole.states else {},
        focus=unit,
    )


def sheets(whole: Shown) -> Iterator[Shown]:
    """Yield a sheet for each unit, two or more where one could not be read.

    The unit stands in the middle, what it builds on to the left and what it leads to on the right; a
    skill there has the number of its unit behind its name, and an id of its own.
    """
    joined: dict[str, list[int]] = {skill.id: [] for skill in whole.skills}
    for at, link in enumerate(whole.links):
        for skill_id in (link.before, link.after):
            joined[skill_id].append(at)
    place = {skill.id: at for at, skill in enumerate(whole.skills)}
    number = {one.id: one.number for one in whole.units}

    @cache
    def moved(skill_id: str, side: str) -> Skill:
        skill = whole.skills[place[skill_id]]
        name = f"{skill.name} (unit {number[skill.unit]})"
        return replace(skill, id=f"{skill.id} {side}", name=name, unit=side)

    for unit in whole.units:
        own = [skill for skill in whole.skills if skill.unit == unit.id]
        for parts in _parts(len(own)):
            size = -(-len(own) // parts) or 1
            groups = [own[at : at + size] for at in range(0, len(own) or 1, size)]
            near = [_near(whole, group, joined, place) for group in groups]
            if parts >= len(own) or max(map(_fullest, near, groups)) <= MOST:
                yield from (_sheet(one, unit, group, moved) for one, group in zip(near, groups, strict=True))
                break


def _parts(many: int) -> Iterator[int]:
    """Yield into how many sheets a unit may be parted: the fewest first, later twice as many each time."""
    parts = fewest = max(-(-many // MOST), 1)
    while parts < many:
        yield parts
        parts = parts + 1 if parts < fewest + MOST else 2 * parts
    yield max(many, 1)


def _near(
    whole: Shown, own: Iterable[Skill], joined: Mapping[str, Sequence[int]], place: Mapping[str, int]
) -> Shown:
    """Return the whole with those links alone that some skills have, and what these join.

    ``joined``: by skill, the places of its links; ``place``: its own.
    """
    links = tuple(whole.links[at] for at in sorted({at for skill in own for at in joined[skill.id]}))
    ends = {place[end] for link in links for end in (link.before, link.after)}
    return replace(whole, links=links, skills=tuple(whole.skills[at] for at in sorted(ends)))


def _fullest(near: Shown, own: Sequence[Skill]) -> int:
    """Return how many skills stand in the fullest column of a sheet."""
    before, after = {link.before for link in near.links}, {link.after for link in near.links}
    here = {skill.id for skill in own}
    return max(len(here), len(before - here), len(after - here))


def _sheet(whole: Shown, unit: Unit, own: Sequence[Skill], moved: Callable[[str, str], Skill]) -> Shown:
    """Return a sheet; ``moved`` gives a skill as it stands on a side of it."""
    here = {skill.id for skill in own}
    links, beside = [], {BEFORE: set[str](), AFTER: set[str]()}
    for link in whole.links:
        if link.after in here and link.before not in here:
            beside[BEFORE].add(link.before)
            links.append(replace(link, before=f"{link.before} {BEFORE}"))
        elif link.before in here and link.after not in here:
            beside[AFTER].add(link.after)
            links.append(replace(link, after=f"{link.after} {AFTER}"))
        elif link.before in here:
            links.append(link)
    sides = {side: [moved(skill.id, side) for skill in whole.skills if skill.id in found]
             for side, found in beside.items()}  # fmt: skip
    skills = (*sides[BEFORE], *own, *sides[AFTER])
    columns = (Unit(BEFORE, "Builds on", 0, 0), unit, Unit(AFTER, "Leads to", 0, 0))
    states = {skill.id: whole.states[skill.id.partition(" ")[0]] for skill in skills} if whole.states else {}
    return replace(_with(replace(whole, states=states), skills, tuple(links), unit.id), units=columns)


# The words on a picture of the course: its title, its legend, the names of units.

LINE_WORDS: Final = (
    ("link", "comes before"),
    ("some", "comes before, as one of a group"),
    ("bridge", "lines that only cross: one passes over"),
    ("always", "thick frame: looked at in every check"),
)
"""What the lines and frames of a picture mean, by the name of the sample beside it."""

FEWER_CROSS: Final = "So many skills leave too much to compare: fewer lines may cross in another picture."
"""What is said where not every order was tried (``Layout.suffices``)."""

STATE_ORDER: Final = (
    State.SECURE, State.BUILDING, State.WOBBLING, State.STALE, State.UNTRIED,
    State.WITH_HELP, State.NOT_SHOWN, State.SLIPPED, State.SET_ASIDE,
)  # fmt: skip
"""The states in the order of the legend: settled, open, where help was needed, left out."""


def map_title(shown: Shown) -> str:
    """Return the title of a picture."""
    course, *student = (tidy(name) for name in shown.title)
    whole = course
    if shown.focus is not None:
        unit = next(one for one in shown.units if one.id == shown.focus)
        whole = f"{unit_words(unit)}, what it builds on and what builds on it - {course}"
    if not student or shown.on is None:
        return whole
    return f"{student[0]}, {date_words(shown.on)} - {whole}"


def unit_words(unit: Unit) -> str:
    """Return a unit's number and name; a column that is no unit has its name alone."""
    return f"{unit.number} {tidy(unit.name)}" if unit.number else tidy(unit.name)


def state_words(state: State) -> str:
    """Return a state for the legend."""
    return STATE_WORDS[state]


def plain_name(shown: Shown, skill: Skill) -> str:
    """Return a skill's name, behind the letter of its state where a student is shown."""
    state = shown.states.get(skill.id)
    return tidy(skill.name) if state is None else f"{STATE_LETTERS[state]}  {tidy(skill.name)}"


def letters_line() -> str:
    """Return what the letters mean, in one line."""
    return "; ".join(f"{STATE_LETTERS[state]} {state_words(state)}" for state in STATE_ORDER)


def footings(shown: Shown, skill: Skill) -> str:
    """Return what a skill builds on, as far as it is on the picture; empty where nothing is."""
    here = {one.id: one for one in shown.skills}
    number = {unit.id: unit.number for unit in shown.units}

    def named(other: str) -> str:
        one = here[other]
        return tidy(one.name) + (f" (unit {number[one.unit]})" if one.unit != skill.unit else "")

    drawn = {link.before for link in shown.links if link.after == skill.id}
    parts = [named(other) for other in skill.stands_on if other in drawn]
    for group in skill.stands_on_some:
        members = [named(member) for member in group.of if member in drawn]
        if members:
            parts.append(f"at least {group.at_least} of {listed(members)}")
    return f"builds on {'; '.join(parts)}" if parts else ""


def small_print(shown: Shown) -> str:
    """Return what stands small at the foot of a picture: how much is on it, and what it is not."""
    much = f"{counted(len(shown.skills), 'skill')}, {counted(len(shown.links), 'line')}."
    if not shown.states:
        return f"{much} Read from left to right: a skill builds on what its lines come from."
    return f"{much} The letters say what was noted up to this day; they compare nobody. The teacher decides."


def map_as_text(shown: Shown, width: int = 80) -> str:
    """Return the outline, no line wider than ``width``."""
    return "\n".join(_lines(shown, width)) + "\n"


def _lines(shown: Shown, width: int) -> Iterator[str]:
    yield from wrap(map_title(shown), width)
    yield from wrap(small_print(shown), width)
    if shown.states:
        yield from wrap(letters_line(), width)
    strands = {strand.id: tidy(strand.name) for strand in shown.strands}
    for unit in shown.units:
        yield ""
        mark = {shown.here: " <- here", shown.ahead: " <- next"}.get(unit.id, "")
        yield from wrap(f"{unit_words(unit)}{mark}", width)
        for skill in shown.skills:
            if skill.unit == unit.id:
                state = shown.states.get(skill.id)
                lead = "- " if state is None else f"{STATE_LETTERS[state]}  "
                name = f"{tidy(skill.name)} ({skill.id}) - {strands[skill.strand]}"
                yield from wrap(name, width, indent=2, lead=lead)
                yield from wrap(footings(shown, skill), width, indent=4 + len(lead))


# The picture in the DOT language of Graphviz, for whoever wants to lay it out anew.
#
# Each unit is a cluster. Where things stand is left to the program that
# reads it; what is shown, and how a state is marked, is the same as in the SVG.

_OPEN: Final = (State.BUILDING, State.WOBBLING, State.STALE)
_SHADINGS: Final = {
    State.SECURE: "fillcolor=black, fontcolor=white",
    **dict.fromkeys(GAP_STATES, 'style="filled,diagonals", fillcolor=gray80'),
    **dict.fromkeys(_OPEN, "fillcolor=gray92"),
    State.SET_ASIDE: 'style="filled,dashed"',
}


def map_as_dot(shown: Shown) -> str:
    """Return the picture as one DOT file."""
    return "\n".join(_dot_lines(shown)) + "\n"


def _dot_lines(shown: Shown) -> Iterator[str]:
    label = [map_title(shown), small_print(shown), *([letters_line()] if shown.states else [])]
    yield f"digraph {_quoted(map_title(shown))} {{"
    yield f"  graph [rankdir=LR, labelloc=t, ranksep=1.2, label={_quoted(*label)}];"
    yield '  node [shape=box, style=filled, fillcolor=white, fontname="Helvetica", fontsize=11];'
    yield "  edge [arrowsize=0.6];"
    for unit in shown.units:
        yield f"  subgraph {_quoted(f'cluster {unit.id}')} {{"
        here = ", penwidth=3" if unit.id in (shown.here, shown.focus) else ""
        yield f"    graph [label={_quoted(unit_words(unit))}{here}];"
        yield from (f"    {_skill(shown, one)}" for one in shown.skills if one.unit == unit.id)
        yield "  }"
    for link in shown.links:
        dashed = " [style=dashed]" if link.some else ""
        yield f"  {_quoted(link.before)} -> {_quoted(link.after)}{dashed};"
    yield "}"


def _skill(shown: Shown, skill: Skill) -> str:
    always = "penwidth=3" if skill.always_look else ""
    shading = _SHADINGS.get(shown.states.get(skill.id, State.UNTRIED), "")
    marks = filter(None, (f"label={_quoted(plain_name(shown, skill))}", always, shading))
    return f"{_quoted(skill.id)} [{', '.join(marks)}];"


def _quoted(*lines: str) -> str:
    """Return lines of text as one DOT string."""
    escaped = (tidy(line).replace("\\", "\\\\").replace('"', '\\"') for line in lines)
    return '"' + "\\n".join(escaped) + '"'


# The picture as a Mermaid flowchart, to be pasted where such charts are shown.
#
# Names are escaped with Mermaid's own entities, and skills are numbered, so that no id can be
# taken for a word of the language. What is shown is the same as in the SVG.

_LOOKS: Final = {
    State.SECURE: "fill:#000,color:#fff,stroke:#000",
    **dict.fromkeys(GAP_STATES, "fill:#bbb,stroke:#000,stroke-width:3px"),
    **dict.fromkeys(_OPEN, "fill:#eee,stroke:#000"),
    State.UNTRIED: "fill:#fff,stroke:#000",
    State.SET_ASIDE: "fill:#fff,stroke:#000,stroke-dasharray:4 3",
}
_SPECIAL: Final = re.compile(r"[^\w .,:!?()+/-]")


def map_as_mermaid(shown: Shown) -> str:
    """Return the picture as one flowchart."""
    return "\n".join(_mermaid_lines(shown)) + "\n"


def _mermaid_lines(shown: Shown) -> Iterator[str]:
    number = {skill.id: f"s{at}" for at, skill in enumerate(shown.skills)}
    yield "flowchart LR"
    yield f"  title[{_mermaid_quoted(map_title(shown))}]"
    for at, unit in enumerate(shown.units):
        yield f"  subgraph u{at}[{_mermaid_quoted(unit_words(unit))}]"
        for skill in shown.skills:
            if skill.unit == unit.id:
                yield f"    {number[skill.id]}[{_mermaid_quoted(plain_name(shown, skill))}]"
        yield "  end"
    for link in shown.links:
        yield f"  {number[link.before]} {'-.->' if link.some else '-->'} {number[link.after]}"
    yield from _states(shown, number)


def _states(shown: Shown, number: dict[str, str]) -> Iterator[str]:
    """Yield the legend of the letters, and how each state looks."""
    if not shown.states:
        return
    yield "  subgraph letters"
    for state in STATE_ORDER:
        yield f"    {_name(state)}[{_mermaid_quoted(f'{STATE_LETTERS[state]}  {state_words(state)}')}]"
    yield "  end"
    for state in STATE_ORDER:
        same = [number[skill] for skill, its in shown.states.items() if its == state]
        yield f"  classDef {_name(state)}Look {_LOOKS[state]}"
        yield f"  class {','.join([_name(state), *same])} {_name(state)}Look"


def _name(state: State) -> str:
    return f"state{STATE_ORDER.index(state)}"


def _mermaid_quoted(text: str) -> str:
    """Return a text with everything but letters, digits and plain stops as an entity."""
    return f'"{_SPECIAL.sub(lambda found: f"#{ord(found[0])};", tidy(text))}"'
