"""Whoever reads a share reads what the list of left-out parts leaves, and nothing of a later day.

Every part of a file gets a word of its own; a word in a text, or in the JSON, must be of a part that its
reader may see. The parts are those of ``record.consents.KEPT``.
"""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import product

from drawn import situations
from hypothesis import Phase, given, settings

from readiness.advice.handover import hand_over
from readiness.cli.students import shared_to_dict
from readiness.judging import judge
from readiness.record.consents import may_see
from readiness.record.model import (
    Alternative,
    Correction,
    Decision,
    Hold,
    Lesson,
    Particulars,
    Promise,
    Record,
    SetAside,
    Showing,
    Task,
    Told,
)
from readiness.terms import Verdict
from readiness.testing import Situation
from readiness.testing.situation import record_of
from readiness.words.layout import lay_out
from readiness.words.phrases import Phrases
from readiness.words.share import share_sections

CONSENTS = ("share_family", "share_substitute", "share_school", "share_set_aside", "touch")
WORDS = {
    "Qname": "name", "Qfamily": "family", "Qpain": "hold-words", "Qclosed": "pause-ended",
    "Qnote": "lesson-notes", "Qremark": "remarks", "Qtask": "tasks", "Qpromise": "promises",
    "Qasideby": "set-aside", "Qstop": "stop-and-seat", "Qbench": "stop-and-seat", "Qown": "own-words",
    "Qupsets": "own-words", "Qcollects": "collects", "Qway": "alternatives", "Qwas": "told",
    "share_school": "consents", "Qunit": "unit", "Qskill": "live-skills", "Qreason": "lesson-notes",
}  # fmt: skip
"""The word planted in each part."""
NEVER = ("Qlater", "Qother")


def named(situation: Situation) -> Situation:
    """Return the question with names of its own for units and skills."""
    graph = dict(situation.graph)
    for kind, word in (("unit", "Qunit"), ("skill", "Qskill")):
        graph[kind] = {
            key: {**table, "name": f"{word}{at}q"} for at, (key, table) in enumerate(graph[kind].items())
        }
    return replace(situation, graph=graph)


def planted(record: Record, day: int, skill: str, other: str) -> Record:
    """Return a record with a word of its own in every part."""
    unit = record.unit_starts[-1].unit if record.unit_starts else ""
    noted = Lesson(day - 3, (Showing(skill, 1, 0),), note="Qnote", remarks={skill: "Qremark"})
    return replace(
        record,
        name="Qname", family="Qfamily",
        lessons=(*(one for one in record.lessons if one.on != noted.on), noted),
        holds=(*record.holds, Hold(day - 60, "Qpain", "hand", day - 20, "Qother adult", "Qclosed")),
        set_aside=(*record.set_aside, SetAside(other, day - 4, "Qasideby")),
        decisions=(*record.decisions, Decision(day - 2, unit, Verdict.LOOK_AGAIN, "stay", "Qreason")),
        tasks=(*record.tasks, Task(day - 2, skill, "Qtask", 2, 3)),
        promises=(*record.promises, Promise(day - 2, "the aunt", "Qpromise")),
        particulars=Particulars("Qstop", "Qbench", words="Qown", upsets="Qupsets", collects="Qcollects"),
        alternatives=(Alternative(skill, "Qway", "Qway", day - 3),),
        told=(Told("the aunt", "Qwas", day - 3),),
    )  # fmt: skip


def with_later(record: Record, day: int, skill: str) -> Record:
    """Return a record in which more was noted after the day."""
    return replace(
        record,
        lessons=(*record.lessons, Lesson(day + 1, (Showing(skill, 0, 0),), note="Qlater")),
        holds=(*record.holds, Hold(day + 1, "Qlater", "hand")),
        set_aside=(*record.set_aside, SetAside(skill, day + 1, "Qlater")),
        tasks=(*record.tasks, Task(day + 1, skill, "Qlater", 2, 3)),
        promises=(*record.promises, Promise(day + 1, "Qlater", "Qlater")),
        alternatives=(*record.alternatives, Alternative(skill, "Qlater", "Qlater", day + 1)),
        told=(*record.told, Told("Qlater", "Qlater", day + 1)),
        corrected=(Correction(skill, 0, day, day + 1, "Qlater", "Qlater"),),
    )


def shares(situation: Situation, record: Record):
    """Yield for every reader what it may see, and all it reads: the text, and the JSON as a text."""
    day = situation.on.toordinal()
    answer = judge(situation.course, record, day)
    say, page = Phrases(answer, situation.course, record), hand_over(situation.course, record, answer)
    for reader in ("family", "substitute", "school"):
        sharing = may_see(record, reader, day)
        found = json.dumps(shared_to_dict(sharing, say, page, answer))
        yield sharing, lay_out(share_sections(sharing, say, page), 400), found


@given(situations())
@settings(max_examples=30, phases=(Phase.explicit, Phase.generate))
def test_share_is_what_may_be_seen(situation: Situation) -> None:
    asked = named(situation)
    day, skills = asked.on.toordinal(), list(asked.course.skill)
    aside = next((one.name for one in asked.course.skills if one.id == skills[-1]), "")
    for given_ in product((True, False), repeat=2):
        record = planted(record_of(asked, asked.course), day, skills[0], skills[-1])
        agreed = dict(zip(CONSENTS, (given_[0], given_[0], given_[0], given_[1], True), strict=True))
        record = replace(record, consents=agreed)
        for sharing, text, found in shares(asked, record):
            texts = text, found if sharing.reader != "family" else ""
            read = {word for word in WORDS if word in texts[0].partition("Left out for")[0]}
            read |= {word for word in WORDS if word in texts[1]} - {"share_school"}
            wrong = {word for word in read if WORDS[word] not in sharing.sees and sharing.reader != "family"}
            assert not wrong, (sharing.reader, wrong)
            assert sharing.may("set-aside") or aside not in text
            if sharing.reader == "family" and sharing.sees:
                assert {word for word in WORDS if word not in text} <= {"Qunit"}
        later = with_later(record, day, skills[0])
        for (_, text, found), (_, text_then, found_then) in zip(
            shares(asked, later), shares(asked, record), strict=True
        ):
            assert text == text_then
            assert found == found_then

