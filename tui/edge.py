"""What is said at the upper edge of the screen: one short message at a time.

A new message takes the place of the one before, so that none covers what people work on. News
of saved files wait until nothing more serious stands there; the map's key v keeps them.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import App
from textual.notifications import SeverityLevel

__all__ = ["OneAtATime"]


class OneAtATime(App[None]):
    """A program that says one thing at a time at the edge."""

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: SeverityLevel = "information",
        timeout: float | None = None,
        markup: bool = False,
    ) -> None:
        """Say something at the edge as it is, without markup."""
        super().notify(message, title=title, severity=severity, timeout=timeout, markup=markup)

    def on_notify(self) -> None:
        """Let what is said now take the place of what was said before."""
        self.clear_notifications()

    def notify_changes(self, changes: Sequence[str]) -> None:
        """Say whose answer a saved file changed, unless a warning stands there."""
        if not changes or any(one.severity != "information" for one in self._notifications):
            return
        more = f" (and {len(changes) - 1} more: key v on the map)" if len(changes) > 1 else ""
        self.notify(f"A file was saved. {changes[0]}{more}")
