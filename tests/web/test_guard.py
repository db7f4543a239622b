"""Who may come in, and how often somebody may try."""

from __future__ import annotations

import asyncio
from typing import Any
from urllib.parse import urlencode

import pytest

from cornerwright.model.errors import Refusal
from cornerwright.web.guard import COOKIE, IN, MOST_BODY, TRIES, TRIES_OF_ALL, Guard, Sessions, Tries
from cornerwright.web.serving import app_of, new_phrase

HOSTS = frozenset({"127.0.0.1", "localhost", "192.168.1.20"})
PHRASE = "four corners as one"


async def behind(scope: Any, receive: Any, send: Any) -> None:
    """An app that answers everybody, and reads what it is sent."""
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.accept"})
        return
    size, more = 0, True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            size = -1
            break
        size, more = size + len(message.get("body", b"")), message.get("more_body", False)
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": f"inside {size}".encode()})


class Answer:
    """What came back."""

    def __init__(self, sent: list[dict[str, Any]]) -> None:
        self.sent = sent
        self.status = sent[0].get("status")
        self.headers = {name.decode(): value.decode() for name, value in sent[0].get("headers", [])}
        self.body = b"".join(one.get("body", b"") for one in sent).decode()

    @property
    def inside(self) -> bool:
        """Whether the app behind has answered."""
        return self.body.startswith("inside") or self.sent[0]["type"] == "websocket.accept"


def ask(
    guard: Guard, path: str = "/", method: str = "GET", body: bytes | list[bytes] = b"", kind: str = "http",
    client: str = "192.168.1.50", **headers: str,
) -> Answer:  # fmt: skip
    """One request."""
    told = {"host": "192.168.1.20:8480", **{name.replace("_", "-"): value for name, value in headers.items()}}
    scope = {
        "type": kind, "method": method, "path": path, "client": (client, 5000),
        "headers": [(name.encode(), value.encode()) for name, value in told.items()],
    }  # fmt: skip
    parts = [body] if isinstance(body, bytes) else body
    messages: list[dict[str, Any]] = [{"type": "websocket.connect"}]
    if kind == "http":
        messages = [
            {"type": "http.request", "body": part, "more_body": k < len(parts) - 1} for k, part in enumerate(parts)
        ]
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return messages.pop(0)

    async def send(message: Any) -> None:
        sent.append(dict(message))

    asyncio.run(guard(scope, receive, send))
    return Answer(sent)


def come_in(guard: Guard, phrase: str, client: str = "192.168.1.50") -> Answer:
    """Fill in the door's form."""
    body = f"phrase={phrase.replace(' ', '+')}".encode()
    return ask(guard, "/come-in", "POST", body, client=client, origin="http://192.168.1.20:8480")


@pytest.fixture
def open_guard():
    return Guard(behind, HOSTS)


@pytest.fixture(scope="module")
def hashed():
    return Guard(behind, HOSTS, PHRASE)


@pytest.fixture
def guard(hashed):
    hashed.tries = Tries()
    return hashed


def test_without_a_phrase_everybody_of_this_machine_is_in(open_guard):
    assert ask(open_guard, host="localhost:8480").inside
    assert ask(open_guard, host="127.0.0.1").inside


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example:8480", "", "[::1", "localhost@evil.example"])
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_a_foreign_name_for_this_machine_is_refused(open_guard, host, kind):
    assert not ask(open_guard, host=host, kind=kind, origin=f"http://{host}").inside


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://192.168.1.20:9999", "http://192.168.1.20"])
def test_a_foreign_page_opens_no_socket_and_sends_no_form(open_guard, origin):
    assert not ask(open_guard, kind="websocket", origin=origin).inside
    assert ask(open_guard, method="POST", origin=origin).status == 403
    assert ask(open_guard, method="POST", sec_fetch_site="cross-site").status == 403


def test_our_own_page_does(open_guard):
    assert ask(open_guard, kind="websocket", origin="http://192.168.1.20:8480").inside
    assert ask(open_guard, method="POST", origin="http://192.168.1.20:8480").inside


def test_nothing_is_reached_without_the_phrase(guard):
    for path in ("/", "/measure", "/photo/x", "/_nicegui/client", "/come-in", "//", "/_nicegui_ws/socket.io/"):
        answer = ask(guard, path)
        assert answer.status == 401
        assert "Pass phrase" in answer.body
    assert ask(guard, kind="websocket", origin="http://192.168.1.20:8480").sent[0]["type"] == "websocket.close"


def test_with_the_phrase_one_is_in_and_stays(guard):
    answer = come_in(guard, PHRASE)
    assert (answer.status, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    held = cookie.split(";")[0]
    assert ask(guard, "/measure", cookie=f"theme=dark; {held}").inside
    assert ask(guard, kind="websocket", origin="http://192.168.1.20:8480", cookie=held).inside


@pytest.mark.parametrize("wrong", ["", "four corners", PHRASE.upper(), PHRASE + " ", "x" * 4000])
def test_another_phrase_is_not_it(guard, wrong):
    answer = come_in(guard, wrong)
    assert answer.status in (401, 413)
    assert "set-cookie" not in answer.headers


def test_a_form_that_never_ends_is_cut_off(guard):
    answer = ask(guard, "/come-in", "POST", [b"x" * 1000] * 100, origin="http://192.168.1.20:8480")
    assert answer.status == 413


def test_who_tries_too_often_waits(guard):
    now = [0.0]
    guard.tries = Tries(lambda: now[0])
    for _ in range(TRIES):
        assert come_in(guard, "wrong phrase").status == 401
    assert come_in(guard, PHRASE).status == 429
    assert come_in(guard, PHRASE, client="192.168.1.51").status == 303
    now[0] = IN + 1
    assert come_in(guard, PHRASE).status == 303


def test_many_who_try_together_wait_too():
    tries = Tries(lambda: 0.0)
    for k in range(TRIES_OF_ALL):
        assert tries.may(f"192.168.2.{k}")
        tries.failed(f"192.168.2.{k}")
    assert not tries.may("192.168.3.1")


def test_a_cookie_is_ours_or_nothing():
    now = [1000.0]
    sessions = Sessions(lambda: now[0])
    cookie = sessions.issue()
    assert sessions.holds(cookie)
    name, until, signed = cookie.split(".")
    for forged in (None, "", "..", f"{name}.{int(until) + 1}.{signed}", f"{name}.{until}.{'0' * 64}", cookie + "x",
                   f"{name}.{until}", "é.1.2", f"{name}.x.{signed}"):  # fmt: skip
        assert not sessions.holds(forged)
    assert not Sessions().holds(cookie)
    now[0] = float(until) + 1
    assert not sessions.holds(cookie)
    assert COOKIE


def test_what_is_too_large_is_not_taken(open_guard):
    origin = "http://192.168.1.20:8480"
    for length in (str(MOST_BODY + 1), "-1", "1e9", "9" * 40):
        assert ask(open_guard, method="POST", origin=origin, content_length=length).status == 413
    # A body that does not tell its length is cut off as it comes.
    part = b"x" * (1 << 20)
    assert ask(open_guard, method="POST", origin=origin, body=[part] * 20).body == "inside -1"


def test_pages_are_in_no_frame(open_guard):
    headers = ask(open_guard).headers
    assert headers["x-frame-options"] == "DENY"
    assert headers["x-content-type-options"] == "nosniff"


def test_a_phrase_of_ours_is_long_and_never_twice():
    phrases = {new_phrase() for _ in range(50)}
    assert len(phrases) == 50
    assert all(len(one) == 19 for one in phrases)
    with pytest.raises(Refusal, match="at least 8"):
        app_of(None, HOSTS, "short")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("asked", "led_to"),
    [
        ("/book/0123456789abcdef0123456789abcdef/card?jobs=toe@rear,hoses@rear",) * 2,
        ("/measure",) * 2,
        ("//evil.example/", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example/", "/"),
        ("/x\r\nset-cookie: a=b", "/"),
        ('/"><script>', "/"),
        ("", "/"),
    ],
)
def test_who_comes_in_is_led_to_what_was_asked_for_and_nowhere_else(asked, led_to):
    guard = Guard(behind, HOSTS, PHRASE)
    body = urlencode({"phrase": PHRASE, "to": asked}).encode()
    answer = ask(guard, "/come-in", "POST", body, origin="http://192.168.1.20:8480")
    assert answer.status == 303
    assert answer.headers["location"] == led_to


def test_the_door_remembers_what_was_asked_for():
    guard = Guard(behind, HOSTS, PHRASE)
    assert 'name="to" value="/measure"' in ask(guard, "/measure").body.replace("\n", " ")
    assert "script" not in ask(guard, "/<script>").body


@pytest.mark.parametrize("gone", [True, False])
def test_a_phone_that_has_gone_is_no_fault(gone):
    async def without_answer(scope: Any, receive: Any, send: Any) -> None:
        await receive()
        raise RuntimeError("No response returned.")

    async def receive() -> dict[str, Any]:
        return {"type": "http.disconnect"} if gone else {"type": "http.request", "body": b""}

    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {"type": "http", "method": "GET", "path": "/", "headers": [(b"host", b"127.0.0.1:8480")]}
    asked = Guard(without_answer, HOSTS)(scope, receive, send)
    if gone:
        asyncio.run(asked)
    else:
        with pytest.raises(RuntimeError, match="No response"):
            asyncio.run(asked)
    assert sent == []
