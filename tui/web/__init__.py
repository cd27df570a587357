"""The screens in a browser of the same machine (extra ``web``).

The page is our own and asks nothing of any other machine. The server listens on 127.0.0.1
alone, and answers only a page it has served itself: another page open in the same browser
must not be able to read about the students.
"""

from __future__ import annotations

from pathlib import Path

from aiohttp import web
from textual_serve.server import Server

__all__ = ["HOST", "StudioServer"]

HOST = "127.0.0.1"


class StudioServer(Server):
    """Serves one command to one browser."""

    def __init__(self, command: str, port: int) -> None:
        """Take the command that shows the screens, and the port."""
        super().__init__(
            command, host=HOST, port=port, title="readiness", templates_path=Path(__file__).resolve().parent
        )

    def initialize_logging(self) -> None:
        """Write no log: the addresses of a studio's page are nobody's business."""

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing; the command has said where the page is."""

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """Open a session for our own page alone."""
        self._refuse_strangers(request)
        if request.headers.get("Origin") != self.public_url:
            raise web.HTTPForbidden(text="This page is not ours.")
        return await super().handle_websocket(request)

    async def handle_index(self, request: web.Request) -> web.StreamResponse:
        """Give the page out under its own name alone."""
        self._refuse_strangers(request)
        response: web.StreamResponse = await super().handle_index(request)
        response.headers["Content-Security-Policy"] = (
            f"default-src 'self' 'unsafe-inline' data:; connect-src 'self' ws://{HOST}:{self.port}"
        )
        return response

    def _refuse_strangers(self, request: web.Request) -> None:
        if request.host != f"{HOST}:{self.port}":
            raise web.HTTPForbidden(text=f"Please open {self.public_url}")
