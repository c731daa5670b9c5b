"""Who may ask, and what the page may fetch: whoever has its whole address, and nothing from elsewhere.

Every user of a machine can ask what listens on it. So the address holds a
token that nobody can guess; the browser that opens it gets the token as a
cookie and shows it with everything that the page fetches afterwards.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final, TypeAlias

from starlette.datastructures import QueryParams
from starlette.requests import cookie_parser

HERE: Final = "127.0.0.1"
"""The one address the page listens on."""
TOKEN: Final = "token"
"""What the token is called in the page's address."""
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:;"
    " connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
REPORT_POLICY: Final = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:;"
    " frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
"""For the report, which holds its scripts itself and fetches nothing."""
_SAFE: Final = ("GET", "HEAD")
"""Methods that change nothing."""

Scope: TypeAlias = MutableMapping[str, Any]
Receive: TypeAlias = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send: TypeAlias = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App: TypeAlias = Callable[[Scope, Receive, Send], Awaitable[None]]


class Guard:
    """Turns away requests without the token, for another host or from another page, and tells browsers to stay here.

    A page from elsewhere that has the browser ask us names itself as the origin;
    one that has its own name lead to this machine names itself as the host. What
    changes something must name this page as its origin.

    Parameters
    ----------
    app : App
        The application behind it.
    port : int
    token : str
        Letters, digits, hyphens and underscores.
    """

    def __init__(self, app: App, *, port: int, token: str) -> None:
        self._app = app
        self._token = token
        self._cookie = f"cradle-{port}"
        hosts = [f"{name}:{port}" for name in (HERE, "localhost")]
        self._hosts = {host.encode() for host in hosts}
        self._origins = {f"http://{host}".encode() for host in hosts}
        self._headers = [
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"same-origin"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"),
        ]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or turn it away."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        origin = headers.get(b"origin")
        changes = scope.get("method") not in _SAFE
        foreign = origin not in self._origins and (changes or origin is not None)
        if headers.get(b"host") not in self._hosts or foreign:
            await _turn_away(send, words="only for pages of this machine")
            return
        invited = self._is_token(_asked_with(scope))
        if not invited and not self._is_token(_cookie(headers, self._cookie)):
            await _turn_away(send, words="open the whole address that cradle page printed on its terminal")
            return
        cookie = f"{self._cookie}={self._token}; Path=/; HttpOnly; SameSite=Strict".encode()
        more = [*self._headers, (b"set-cookie", cookie)] if invited else self._headers

        async def with_headers(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", []))
                if not any(name.lower() == b"content-security-policy" for name, _ in given):
                    given.append((b"content-security-policy", _POLICY.encode()))
                message["headers"] = [*given, *more]
            await send(message)

        await self._app(scope, receive, with_headers)

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode("utf-8", "replace"), self._token.encode())


def _asked_with(scope: Scope) -> str:
    """The token in a request's address."""
    return str(QueryParams(scope.get("query_string", b"").decode("latin-1")).get(TOKEN, ""))


def _cookie(headers: MutableMapping[bytes, bytes], name: str) -> str:
    return cookie_parser(headers.get(b"cookie", b"").decode("latin-1")).get(name, "")


async def _turn_away(send: Send, *, words: str) -> None:
    await send({"type": "http.response.start", "status": 403, "headers": [(b"content-type", b"text/plain")]})
    await send({"type": "http.response.body", "body": f"{words}\n".encode()})
