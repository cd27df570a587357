"""The screens in a browser of the same machine (extra ``web``).

The page is our own and asks nothing of any other machine. The server listens on 127.0.0.1 alone, and answers
only a page it has served itself, at an address with a word in it that is said once: neither another page open
in the same browser nor another user of the machine must be able to read about the students.
"""

from __future__ import annotations

import secrets
from pathlib import Path

from aiohttp import web
from textual_serve.server import Server

__all__ = ["HOST", "StudioServer"]

HOST = "127.0.0.1"


class StudioServer(Server):
    """Serves one command to one browser."""

    def __init__(self, command: str, port: int) -> None:
        super().__init__(
            command, host=HOST, port=port, title="readiness", templates_path=Path(__file__).resolve().parent
        )
        self._word = secrets.token_urlsafe(24)

    @property
    def address(self) -> str:
        """The whole address of the page."""
        return f"{self.public_url}/{self._word}/"

    async def _make_app(self) -> web.Application:
        """Put everything under the word."""
        app = web.Application()
        app.add_subapp(f"/{self._word}", await super()._make_app())
        return app

    def initialize_logging(self) -> None:
        """Write no log: the addresses of a studio's page are nobody's business."""

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing; the command has said where the page is."""

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """Open a connection for our own page alone."""
        self._refuse_strangers(request)
        if request.headers.get("Origin") != self.public_url:
            raise web.HTTPForbidden(text="This page is not ours.")
        return await super().handle_websocket(request)

    async def handle_index(self, request: web.Request) -> web.StreamResponse:
        """Give the page out under its own name alone."""
        self._refuse_strangers(request)
        response: web.StreamResponse = await super().handle_index(request)
        response.headers["Content-Security-Policy"] = (
            f"default-src 'self' 'unsafe-inline' data:; connect-src 'self' ws://{HOST}:{self.port}; "
            "frame-ancestors 'none'"
        )
        return response

    def _refuse_strangers(self, request: web.Request) -> None:
        if request.host != f"{HOST}:{self.port}":
            raise web.HTTPForbidden(text="Please open the address that was said.")
