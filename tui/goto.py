"""The command palette's "go to student ...": type part of a name, press Enter."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, cast

from textual.command import DiscoveryHit, Hit, Hits, Provider

from readiness.words.brief import verdict_brief

if TYPE_CHECKING:
    from tui.screens.base import Program
    from tui.view import Row

__all__ = ["GoToStudent"]


class GoToStudent(Provider):
    """Offers every student that can be read."""

    async def search(self, query: str) -> Hits:
        """Yield the students whose name fits."""
        matcher = self.matcher(query)
        for row in self._rows():
            score = matcher.match(self._title(row))
            if score > 0:
                yield Hit(score, matcher.highlight(self._title(row)), self._doing(row), help=self._help(row))

    async def discover(self) -> Hits:
        """Yield the first students, so that the way is seen before anything is typed."""
        for row in self._rows()[:8]:
            yield DiscoveryHit(self._title(row), self._doing(row), help=self._help(row))

    def _rows(self) -> tuple[Row, ...]:
        view = self._browse.view
        return view.rows if view else ()

    @property
    def _browse(self) -> Program:
        return cast("Program", self.app)

    def _title(self, row: Row) -> str:
        return f"Go to {row.record.name}"

    def _help(self, row: Row) -> str:
        return verdict_brief(row.answer)

    def _doing(self, row: Row) -> partial[None]:
        return partial(self._browse.go_to, row.record.id)
