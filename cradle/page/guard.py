"""Who may ask, and what the page may fetch: this machine alone, and nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final, TypeAlias

HERE: Final = "127.0.0.1"
"""The one address the page listens on."""

Scope: TypeAlias = MutableMapping[str, Any]
Receive: TypeAlias = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send: TypeAlias = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App: TypeAlias = Callable[[Scope, Receive, Send], Awaitable[None]]


class Guard:
    """Turns away requests that name another host or come from another page, and tells browsers to stay here.

    A page from elsewhere that has the browser ask us names itself as the origin;
    one that has its own name lead to this machine names itself as the host.

    Parameters
    ----------
    app : App
        The application behind it.
    port : int
    """

    def __init__(self, app: App, *, port: int) -> None:
        self._app = app
        hosts = [f"{name}:{port}" for name in (HERE, "localhost")]
        self._hosts = {host.encode() for host in hosts}
        self._origins = {f"http://{host}".encode() for host in hosts}
        lines = " ".join(f"ws://{host}" for host in hosts)
        self._headers = [
            (
                b"content-security-policy",
                "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline';"
                f" img-src 'self' data:; font-src 'self' data:; connect-src 'self' {lines}; frame-src 'self';"
                " frame-ancestors 'self'; object-src 'none'; base-uri 'none'; form-action 'none'".encode(),
            ),
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
        ]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or turn it away."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        origin = headers.get(b"origin")
        if headers.get(b"host") not in self._hosts or (origin is not None and origin not in self._origins):
            await _turn_away(scope["type"], send)
            return

        async def with_headers(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", []), *self._headers]
            await send(message)

        await self._app(scope, receive, with_headers)


async def _turn_away(kind: str, send: Send) -> None:
    if kind == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    await send({"type": "http.response.start", "status": 403, "headers": [(b"content-type", b"text/plain")]})
    await send({"type": "http.response.body", "body": b"only for pages of this machine\n"})
