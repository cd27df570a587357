"""A program that notes lessons one after the other and says each time that it is done.

Usage: writer.py COURSE STUDENT_FILE NAME COUNT. It waits for a line before it begins.
"""

from __future__ import annotations

import sys
from pathlib import Path

from readiness.course.load import load_course
from readiness.days import day_number
from readiness.record.entries import answer_promise, give_promise
from readiness.record.load import load_record
from readiness.record.noting import NewLesson, note_lesson

DAY = day_number("2025-12-10")


def main() -> None:
    """Note, or give and answer promises where the name begins with a p."""
    course_folder, file, name, count = sys.argv[1:]
    course, path = load_course(Path(course_folder)).course, Path(file)
    assert course is not None
    record = load_record(path, course).record
    assert record is not None
    print("here", flush=True)
    sys.stdin.readline()
    for i in range(int(count)):
        told = f"{name}-{i}"
        if name.startswith("p"):
            promise(course, path, told)
        else:
            lesson = NewLesson(DAY, {"wrist-lift": 0}, note=f"{told} {'x' * 60}")
            assert note_lesson(course, record, lesson, path.parent, DAY) == ()
        print(told, flush=True)


def promise(course, path, told) -> None:
    """Give a promise and answer it; where somebody else put one in between, look again."""
    record = load_record(path, course).record
    assert record is not None
    assert give_promise(record, path.parent, DAY, "the mother", told, None) is None
    while True:
        record = load_record(path, course).record
        assert record is not None
        number = [one.text for one in record.promises].index(told) + 1
        refusal = answer_promise(record, path.parent, number, DAY, "done")
        if refusal is None:
            return
        assert refusal.id == "changed", refusal


if __name__ == "__main__":
    main()
