"""The app served: on this machine alone, or with a pass phrase on the network."""

from __future__ import annotations

import asyncio
import gc
import secrets
import socket
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from pathlib import Path
from threading import Thread

import uvicorn
from fastapi import FastAPI
from nicegui import ui

from cornerwright.book.store import Location
from cornerwright.model.errors import Refusal
from cornerwright.web.beginning import Beginning, is_new
from cornerwright.web.desk import Desk
from cornerwright.web.guard import SHORTEST, Guard
from cornerwright.web.idle import Watched, end_when_quiet
from cornerwright.web.screens import (
    brakes,
    cards,
    choose,
    corner,
    floor,
    history,
    jobs,
    joints,
    learned,
    measure,
    more,
    parts,
    plan,
    road,
    start,
    why,
)

LOOPBACK = "127.0.0.1"
OWN_NAMES = frozenset({"127.0.0.1", "localhost", "::1"})
PHRASE_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"
"""None that is taken for another one."""


def pages(desk: Desk) -> None:
    """Every screen of the app."""
    for one in (
        floor,
        corner,
        measure,
        plan,
        jobs,
        joints,
        parts,
        brakes,
        history,
        learned,
        cards,
        road,
        choose,
        why,
        more,
    ):
        one.register(desk)
    start.register_another(desk)


def beginning_pages(beginning: Beginning) -> None:
    """The screens of a car that is being entered; when its papers are written, every screen of the app."""
    start.register_root()
    start.register(lambda: beginning, pages)


def new_phrase() -> str:
    """A pass phrase to be read from one screen and typed on another: 79 bits."""
    signs = [secrets.choice(PHRASE_SIGNS) for _ in range(16)]
    return "-".join("".join(signs[k : k + 4]) for k in range(0, 16, 4))


def app_of(car: Desk | Beginning, hosts: frozenset[str], phrase: str | None) -> Guard:
    """The whole app behind its guard. Raises Refusal for a pass phrase that is too short."""
    if phrase is not None and len(phrase) < SHORTEST:
        raise Refusal.of("a short pass phrase", f"one of at least {SHORTEST} signs", field="--lan")
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    pages(car) if isinstance(car, Desk) else beginning_pages(car)
    ui.run_with(app, title="Cornerwright", dark=False, tailwind=False, show_welcome_message=False, reconnect_timeout=60)
    return Guard(app, hosts, phrase)


def own_addresses() -> list[str]:
    """Addresses of this machine on its networks, without asking anybody."""
    found = []
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as one:
        try:
            one.connect(("192.0.2.1", 9))  # no packet is sent: the system says which way it would go
            found.append(one.getsockname()[0])
        except OSError:
            pass
    return [address for address in found if not address.startswith("127.")]


def _ahead(desk: Desk | Beginning) -> None:
    """Work out what the first screens ask for, before they do; what is wrong they will tell themselves."""
    if isinstance(desk, Beginning):
        return
    with suppress(Refusal, OSError):
        desk.known()
        desk.checked() if desk.papers.book is None else desk.jobs()
        desk.known().ready()
        gc.freeze()  # what is here stays: it is not looked through again while fingers wait


async def _ahead_once_served(server: uvicorn.Server, desk: Desk | Beginning) -> None:
    """Only once the server is up.

    While it starts it looks through every object there is (gc.get_objects), and CPython then refuses to finish a
    tuple that another thread is filling ("bad argument to internal function").
    """
    while not server.started:
        await asyncio.sleep(0.02)
    Thread(target=_ahead, args=(desk,), daemon=True).start()


def _opened(where: str | Path) -> Desk | Beginning:
    folder = Location.of(where).folder
    return Beginning(folder) if folder is not None and is_new(folder) else Desk(where)


def serve(
    where: str | Path,
    port: int,
    lan: bool,
    phrase: str | None,
    tell: Callable[[str], None],
    quiet: float | None = None,
    called: Sequence[str] = (),
) -> None:
    """Serve until Ctrl-C, or until no page has been open for `quiet` [s]; where there is no car, one is begun.

    called: names and addresses, besides those this machine knows of, by which browsers call it.

    Raises Refusal for a car that cannot be opened or a port that is taken.
    """
    if called and not lan:
        raise Refusal.of(", ".join(called), "--lan too, which answers other machines", field="--called")
    host = "0.0.0.0" if lan else LOOPBACK
    with closing(socket.socket(socket.AF_INET, socket.SOCK_STREAM)) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, port))
            listening.listen(128)  # whoever comes early waits, and is not sent away
        except OSError as error:
            found = f"{port}: {(error.strerror or 'no').lower()}"
            raise Refusal.of(found, "a port that is free", field="--port") from None
        taken = listening.getsockname()[1]
        with closing(_opened(where)) as desk:
            addresses = own_addresses() if lan else []
            asked = (phrase or new_phrase()) if lan else None
            app = Watched(app_of(desk, OWN_NAMES | frozenset((*addresses, *called)), asked))
            reached = next(iter((*called, *addresses)), None)
            desk.address = None if reached is None else f"http://{reached}:{taken}"
            opened = "A new car is begun" if isinstance(desk, Beginning) else "The car is open"
            tell(f"{opened}: http://{LOOPBACK}:{taken}/")
            for address in (*addresses, *called):
                tell(f"From the phone:  http://{address}:{taken}/")
            if asked is not None and phrase is None:
                tell(f"Pass phrase:     {asked}")
            if lan:
                tell("What is sent is not encrypted: use it on a network of your own.")
            if isinstance(desk, Desk) and desk.papers.book is not None and desk.papers.book.store.server:
                tell(f"What is entered and not kept yet is in {desk.papers.ledger}")
            tell("Ctrl-C ends it.")
            config = uvicorn.Config(app, log_level="error", ws="wsproto", server_header=False, ws_max_size=1 << 20)
            asyncio.run(_served(uvicorn.Server(config), listening, app, quiet, desk))


async def _served(
    server: uvicorn.Server, listening: socket.socket, app: Watched, quiet: float | None, desk: Desk | Beginning
) -> None:
    ahead = asyncio.create_task(_ahead_once_served(server, desk))
    watching = None if quiet is None else asyncio.create_task(end_when_quiet(server, app, quiet))
    await server.serve([listening])
    ahead.cancel()
    if watching is not None:
        watching.cancel()
