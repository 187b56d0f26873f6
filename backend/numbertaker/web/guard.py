"""Who may ask, and what a page may do: the server is for the person at this machine and for no other site.

A page of another site can make a browser send requests here, so the name in `Host` must be one of this
machine's (against DNS rebinding), and a changing request must not name another site in `Origin`.
"""

from __future__ import annotations

from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from numbertaker.web.failures import TOO_LARGE, answer

HOSTS: Final = ("localhost", "127.0.0.1", "[::1]", "testserver")
"""The names under which the server answers; the last is that of the test client."""

POLICY: Final = (
    "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
NOTHING_RUNS: Final = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:"
"""The policy of documents and scans: they are shown, and nothing in them runs."""

_HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
_READING: Final = frozenset(("GET", "HEAD", "OPTIONS"))


class Guard:
    """Refuses requests from elsewhere and sets the headers of every answer."""

    def __init__(self, app: ASGIApp) -> None:
        """Stand before the app."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it with a refusal."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        replaced = False

        async def guarded(message: Message) -> None:
            nonlocal replaced
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
                if _is_bare(message["status"], headers):
                    await answer(413, "too-large", TOO_LARGE)(scope, receive, guarded)
                    replaced = True
            if not replaced:
                await send(message)

        refusal = _refusal(scope["method"], Headers(scope=scope))
        if refusal is None:
            await self.app(scope, receive, guarded)
        else:
            await answer(403, "refused", refusal)(scope, receive, guarded)


def _refusal(method: str, headers: Headers) -> str | None:
    """Why a request is refused; None where it is not."""
    host = headers.get("host", "").lower()
    if _name(host) not in HOSTS:
        return f"This server answers to {', '.join(HOSTS[:3])} only, and was called '{host}'."
    origin = headers.get("origin")
    if method in _READING:
        return None
    if origin is not None and origin.lower() not in (f"http://{host}", f"https://{host}"):
        return f"A change was asked for by another site, '{origin}'. Only pages of this server may do that."
    if headers.get("sec-fetch-site") == "cross-site":
        return "A change was asked for by another site. Only pages of this server may do that."
    return None


def _is_bare(status: int, headers: Headers) -> bool:
    """Whether this is the framework's refusal of a large request, which has not the shape of a failure."""
    return status == 413 and not headers.get("content-type", "").startswith("application/json")


def _name(host: str) -> str:
    """A `Host` header without its port."""
    return host if host.endswith("]") else host.rpartition(":")[0] or host
