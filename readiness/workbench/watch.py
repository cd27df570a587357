"""Watching a course while it is edited: after each save, what the files now say.

A :class:`Watcher` looks when it is told to and never waits; whoever calls it has the clock. An
editor saves in more than one step, so a change counts once two looks in a row find the files
alike. Everything is compared with the studio as it was when watching began, so that what is
told is what the edit as a whole does; taking it back tells that nobody changes.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from readiness.course.layers import read_files
from readiness.course.load import course_of
from readiness.studio.load import Studio
from readiness.workbench.trial import Trial, try_course

__all__ = ["Watcher"]

Stamp = tuple[tuple[Path, int, int], ...]


class Watcher:
    """Looks at the files of one course, those it is based on included."""

    def __init__(self, studio: Studio, folder: Path, on: int) -> None:
        """Begin to watch.

        Args:
            studio: the studio as it is now, with a course.
            folder: the course that is edited.
            on: the day asked about.
        """
        self.studio, self.folder, self.on = studio, folder, on
        self.files = self._files()
        self.seen = self.last = self._stamp()

    def look(self) -> Trial | None:
        """Return what the course does to the students if it was saved since the last look."""
        now = self._stamp()
        settled, self.last = now == self.last, now
        if not settled or now == self.seen:
            return None
        self.seen = now
        files = read_files(self.folder)
        self.files = self._files()
        self.last = self.seen = self._stamp()
        return try_course(self.studio, course_of(files, self.folder), self.on)

    def _files(self) -> tuple[Path, ...]:
        """Return the files that make the course."""
        read = read_files(self.folder)
        own = (self.folder / "graph.toml", self.folder / "pacing.toml")
        return tuple(dict.fromkeys((*own, read.pacing.path, *read.graph.bases, *read.pacing.bases)))

    def _stamp(self) -> Stamp:
        """Return when the files were last written, and how long they are; a missing one is left out."""
        stamps: list[tuple[Path, int, int]] = []
        for path in self.files:
            with suppress(OSError):
                state = path.stat()
                stamps.append((path, state.st_mtime_ns, state.st_size))
        return tuple(stamps)
