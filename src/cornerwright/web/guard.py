"""Who may come in: everybody on this machine, or on the network whoever knows the pass phrase.

Pure ASGI around the whole app, pages and sockets alike, so that nothing behind it is reached without it.
"""

from __future__ import annotations

import hmac
import re
import secrets
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable, MutableMapping
from hashlib import sha256
from html import escape
from typing import Any
from urllib.parse import parse_qs, urlsplit

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from cornerwright.web.look import style

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

COOKIE = "cornerwright"
STAYS = 14 * 24 * 3600
"""How long a phone is remembered [s]."""
TRIES, IN = 5, 60.0
"""So many wrong phrases from one address in so many seconds; then it waits."""
TRIES_OF_ALL = 30
"""Likewise from all addresses together."""
MOST_ADDRESSES = 2000
MOST_FORM = 4096
MOST_BODY = 13 * 1024 * 1024
"""Bytes of any request: a photo and its envelope."""
SHORTEST = 8
"""Signs of a pass phrase."""

SAFE_HEADERS = [
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
]


class Tries:
    """Wrong phrases of late."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._wrong: OrderedDict[str, list[float]] = OrderedDict()

    def may(self, address: str) -> bool:
        """Whether this address may try."""
        return len(self._late(address)) < TRIES and len(self._late("")) < TRIES_OF_ALL

    def failed(self, address: str) -> None:
        """Count a wrong phrase."""
        for who in (address, ""):
            self._wrong[who] = [*self._late(who), self._now()]
            self._wrong.move_to_end(who)
        while len(self._wrong) > MOST_ADDRESSES:
            oldest = next(one for one in self._wrong if one)
            del self._wrong[oldest]

    def _late(self, address: str) -> list[float]:
        since = self._now() - IN
        return [at for at in self._wrong.get(address, ()) if at > since]


class Sessions:
    """Cookies that this server has signed."""

    def __init__(self, now: Callable[[], float] = time.time, key: bytes | None = None) -> None:
        self._key = key or secrets.token_bytes(32)
        self._now = now

    def issue(self) -> str:
        """A new one."""
        plain = f"{secrets.token_hex(16)}.{int(self._now()) + STAYS}"
        return f"{plain}.{self._sign(plain)}"

    def holds(self, cookie: str | None) -> bool:
        """Whether it is one of ours and not too old."""
        if cookie is None or cookie.count(".") != 2:
            return False
        plain, _, signed = cookie.rpartition(".")
        if not hmac.compare_digest(self._sign(plain).encode(), signed.encode()):
            return False
        return int(plain.rpartition(".")[2]) > self._now()

    def _sign(self, plain: str) -> str:
        return hmac.new(self._key, plain.encode(), sha256).hexdigest()


class Guard:
    """The app behind it, for those who may come in.

    phrase: the pass phrase asked for; None: nobody is asked, and only names of this machine are answered to.
    hosts: names and addresses, without port, by which the app may be called; others are refused, so that no foreign
    page can reach the app by a name of its own.
    """

    def __init__(self, app: App, hosts: frozenset[str], phrase: str | None = None) -> None:
        self._app, self._hosts = app, hosts
        self._hasher = PasswordHasher()
        self._hash = None if phrase is None else self._hasher.hash(phrase)
        self.sessions, self.tries = Sessions(), Tries()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or answer it here."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        socket = scope["type"] == "websocket"
        method = scope.get("method", "GET")
        if _name(headers.get("host", "")) not in self._hosts:
            await _refuse(socket, receive, send, 421, "This is not the address of the app.")
        elif (socket or method not in ("GET", "HEAD", "OPTIONS")) and not _same_origin(headers):
            await _refuse(socket, receive, send, 403, "A page of another address may not do this.")
        elif _length(headers) > MOST_BODY:
            await _refuse(socket, receive, send, 413, "Too large.")
        elif self._hash is None or self.sessions.holds(_cookie(headers)):
            reader = _Reader(receive, MOST_BODY)
            try:
                await self._app(scope, reader, send if socket else _with_headers(send))
            except RuntimeError:
                # A phone that has gone on to another page gets no answer, and the terminal no account of that.
                if not reader.left:
                    raise
        elif socket:
            await _refuse(socket, receive, send, 401, "")
        elif scope["path"] == "/come-in" and method == "POST":
            await self._ask(scope, receive, send)
        else:
            await _page(send, 401, "", _asked(scope))

    async def _ask(self, scope: Scope, receive: Receive, send: Send) -> None:
        address = (scope.get("client") or ("?", 0))[0]
        if not self.tries.may(address):
            await _page(send, 429, "Too many wrong tries. Wait a minute.")
            return
        body = b""
        async for part in _parts(receive):
            body += part
            if len(body) > MOST_FORM:
                await _page(send, 413, "Too long.")
                return
        form = parse_qs(body.decode("utf-8", "replace"))
        phrase, to = form.get("phrase", [""])[0], _own_path(form.get("to", ["/"])[0])
        if not self._right(phrase):
            self.tries.failed(address)
            await _page(send, 401, "That is not the pass phrase.", to)
            return
        cookie = f"{COOKIE}={self.sessions.issue()}; HttpOnly; SameSite=Strict; Path=/; Max-Age={STAYS}"
        start = {"type": "http.response.start", "status": 303,
                 "headers": [(b"location", to.encode()), (b"set-cookie", cookie.encode()), *SAFE_HEADERS]}  # fmt: skip
        await send(start)
        await send({"type": "http.response.body", "body": b""})

    def _right(self, phrase: str) -> bool:
        assert self._hash is not None
        try:
            return self._hasher.verify(self._hash, phrase)
        except (Argon2Error, InvalidHashError):
            return False


OWN_PATH = re.compile(r"/(?!/)[A-Za-z0-9_.~/?&=%@,-]{0,900}")


def _own_path(text: str) -> str:
    """A path of this app, with nothing in it that could lead elsewhere; else its start."""
    return text if OWN_PATH.fullmatch(text) else "/"


def _asked(scope: Scope) -> str:
    """What was asked for before the phrase was."""
    query = scope.get("query_string", b"").decode("latin-1")
    return _own_path(scope["path"] + (f"?{query}" if query else ""))


def _name(host: str) -> str:
    """A host without its port, small."""
    try:
        return (urlsplit(f"//{host}").hostname or "").lower()
    except ValueError:
        return ""


def _same_origin(headers: dict[str, str]) -> bool:
    """Whether the page that asks is one of this app. Browsers say so at every socket and every form."""
    origin = headers.get("origin")
    if origin is None:
        return headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")
    return urlsplit(origin).netloc.lower() == headers.get("host", "").lower()


def _length(headers: dict[str, str]) -> int:
    told = headers.get("content-length", "0")
    return int(told) if told.isascii() and told.isdigit() and len(told) < 16 else MOST_BODY + 1


def _cookie(headers: dict[str, str]) -> str | None:
    for part in headers.get("cookie", "").split(";"):
        name, _, value = part.strip().partition("=")
        if name == COOKIE:
            return value
    return None


async def _parts(receive: Receive) -> Any:
    more = True
    while more:
        message = await receive()
        if message["type"] != "http.request":
            return
        yield message.get("body", b"")
        more = message.get("more_body", False)


class _Reader:
    """What one request sends, cut off where it is more than `most` bytes."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._most, self._taken = receive, most, 0
        self.left = False
        """Whoever asked has gone."""

    async def __call__(self) -> MutableMapping[str, Any]:
        """The next part."""
        message = await self._receive()
        self.left = self.left or message["type"] == "http.disconnect"
        if message["type"] == "http.request":
            self._taken += len(message.get("body", b""))
            if self._taken > self._most:
                return {"type": "http.disconnect"}
        return message


def _with_headers(send: Send) -> Send:
    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            there = {name.lower() for name, _ in message.get("headers", ())}
            more = [(name, value) for name, value in SAFE_HEADERS if name not in there]
            message = {**message, "headers": [*message.get("headers", ()), *more]}
        await send(message)

    return sending


async def _refuse(socket: bool, receive: Receive, send: Send, status: int, words: str) -> None:
    if socket:
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    await _answer(send, status, f"<p>{escape(words)}</p>")


async def _page(send: Send, status: int, words: str, to: str = "/") -> None:
    """The door."""
    told = f'<p class="word out" role="alert">{escape(words)}</p>' if words else ""
    await _answer(
        send,
        status,
        f"""<h1>Cornerwright</h1><p>The car is open on another machine. Its pass phrase stands in the window where the
app was started.</p>{told}<form method="post" action="/come-in"><input type="hidden"
name="to" value="{escape(to)}"><label for="phrase">Pass phrase</label>
<input class="field" id="phrase" name="phrase" type="password" autocomplete="current-password" autofocus required>
<p><button class="tap first" type="submit">Come in</button></p></form>""",
    )


async def _answer(send: Send, status: int, inner: str) -> None:
    page = f"""<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Cornerwright</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><style>{style()}</style></head>
<body><main class="cw">{inner}</main></body></html>""".encode()
    headers = [(b"content-type", b"text/html; charset=utf-8"), (b"content-length", str(len(page)).encode()),
               *SAFE_HEADERS]  # fmt: skip
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": page})
