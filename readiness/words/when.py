"""When at the earliest, and apart from it what earlier cases took: two different things, said apart.

The first follows from the rules and promises nothing. The second is an estimate from this studio's
own records, for the teacher alone: no text for a child or a family has it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.planning.estimates import FEWEST, Estimate
from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.grammar import KIND_WORDS, capital, counted, date_words, listed, tidy
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.verdicts import plain_verdict

__all__ = ["tell_when"]


def tell_when(
    answer: Answer, found: Sequence[Estimate], course: Course, record: Record, width: int = 80
) -> str:
    """Return when a student could move on, as a text for the teacher.

    Args:
        answer: the answer of the day; found: the estimates for what keeps the student here.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    where = f" - {say.unit(answer.unit)}" if answer.unit else ""
    estimated = [] if answer.verdict == "paused" else list(found)
    cautions = ["C12"] if any(one.is_silent and (one.cases or one.under_way) for one in estimated) else []
    sections = (
        Section("", (
            Paragraph(f"{tidy(answer.name)}{where} - {date_words(answer.on)}"),
            Paragraph(f"{capital(plain_verdict(answer))}."),
        )),
        hold_section(record, answer.on),
        Section("Earliest possible, by the rules", tuple(map(item, _earliest(say)))),
        Section(
            "An estimate from this studio's own records - for you alone, not for the child or the family",
            tuple(_estimates(estimated, say)),
        ),
        Section("Cautions", tuple(item(caution(one)) for one in (*cautions, "C14"))),
    )  # fmt: skip
    return lay_out(sections, width)


def _earliest(say: Phrases) -> Iterator[str]:
    answer = say.answer
    if answer.verdict == "paused":
        yield "Paused for care: no date."
    elif answer.placing is not None:
        yield f"Not placed yet: `readiness place {answer.student}` finds where to start."
    elif answer.is_ready:
        yield f"{say.day(answer.on)}: nothing stands in the way."
    elif answer.earliest is None:
        yield "Not within 52 lessons, even if everything is shown without help each time."
    else:
        yield f"{say.day(answer.earliest)}, if everything is shown without help each time."
        yield from say.kept_back()
        yield "Later by every lesson in which something is not shown or not asked, and that is fine."


def _estimates(found: Sequence[Estimate], say: Phrases) -> Iterator[Paragraph]:
    told = [one for one in found if one.cases or one.under_way]
    if len(told) < len(found):
        none = [one.skill for one in found if one not in told]
        like = "it" if len(none) == 1 else "them"
        yield item(f"No earlier case here is like {like}, so nothing is said of {say.names(none)}.")
    for one in told:
        yield item(f"{say.titled(one.skill)}: {say.state(one.skill)}.")
        for text in _cases(one):
            yield under(text)
    for unit in dict.fromkeys(say.course.skill[one.skill].unit for one in found if one.low is None):
        weeks = counted(say.course.unit[unit].lesson_weeks, "week")
        yield item(f"The course gives {weeks} for {say.unit(unit)}. That is its own number, not measured.")
    if told:
        yield Paragraph(
            "Counted from the lesson in which such a skill was first asked for to the one that made it "
            "secure. A case still under way counts as longer than it has taken so far."
        )


def _cases(one: Estimate) -> Iterator[str]:
    """Yield the range and what it rests on; without a range the cases themselves."""
    so_far = f", beyond the {counted(one.so_far, 'lesson')} so far" if one.so_far else ""
    finished = counted(len(one.cases), "finished case")
    rests = f"{finished} of {KIND_WORDS[one.kind]} at age {one.band}{so_far}; {one.under_way} still under way"
    if one.is_silent:
        yield f"{rests}. Fewer than {FEWEST} are finished, so nothing is said."
    elif one.low is None or one.high is None:
        often = [f"{lessons} ({times} times)" for lessons, times in sorted(Counter(one.cases).items())]
        yield f"{rests}. Too few are finished for a range. In lessons, they took {listed(often)}."
    else:
        yield f"{_range(one.low, one.high)}. At least 8 in 10 such ranges hold."
        yield f"It rests on {rests}."


def _range(low: int, high: int) -> str:
    return counted(low, "more lesson") if low == high else f"{low} to {high} more lessons"
