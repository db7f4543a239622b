"""The floor: the car from above, each corner with what is out, stale or next, and what stops the car being driven."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.drawing.lettering import counted, figure, place_words, reading_words
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_book import Job
from cornerwright.model.results_plan import Move
from cornerwright.web.desk import Desk

Standing = Literal["out", "stale", "next", "right", "unread"]
WORDS: dict[Standing, str] = {
    "out": "out",
    "stale": "to be redone",
    "next": "next",
    "right": "as wanted",
    "unread": "not read",
}
DECIMALS = {"mm": 1, "kg": 1, "°": 2, "%": 1}


@dataclass(frozen=True)
class CornerCard:
    """One corner on the floor."""

    corner: str
    standing: Standing
    says: tuple[str, ...]
    """What is out by how much, what is stale, what is next; the first is the most urgent."""
    go: str
    """Path of the job."""


@dataclass(frozen=True)
class Floor:
    """The start."""

    car: str
    invented: bool
    corners: dict[str, CornerCard]
    stops: tuple[str, ...]
    """What stops the car being driven."""
    of_car: tuple[str, ...]
    """What is out of the car as a whole."""
    next_says: str
    next_go: str


def value_words(value: float, key: str) -> str:
    """A reading with its unit: `612.1 mm`."""
    _, unit = reading_words(key)
    space = "" if unit == "°" else " "
    return f"{figure(value, DECIMALS.get(unit, 1))}{space}{unit}"


def where_words(place: str) -> str:
    """A place of the car as a screen heads it: `front left`, `whole car`."""
    return "whole car" if place == "car" else place_words(place)


def job_words(job: Job) -> str:
    """What it is called, its place said once."""
    place = place_words(job.place)
    return job.title if place in job.title.lower() or job.place == "car" else f"{place}: {job.title}"


def the_floor(desk: Desk) -> Floor:
    """The floor as it is now. Raises Refusal."""
    state = desk.state
    outs = _outs(desk)
    stale, stops = _stale(desk)
    moves = _next_moves(desk)
    read = state.readings is not None
    cards: dict[str, CornerCard] = {}
    for corner in CORNERS:
        out, old = outs.get(corner, []), stale.get(corner, [])
        move = moves.get(corner)
        todo = [] if move is None else [_move_words(move[1])]
        if move is not None:
            standing: Standing = "next"
        elif out:
            standing = "out"
        elif old:
            standing = "stale"
        else:
            standing = "right" if read else "unread"
        says = (*(f"turn: {one}" for one in todo), *out, *(f"redo: {one}" for one in old))
        go = "/plan" if move is not None else f"/corner/{corner}"
        cards[corner] = CornerCard(corner, standing, says, go)
    return Floor(
        car=state.car.name,
        invented=state.car.invented,
        corners=cards,
        stops=tuple(stops),
        of_car=tuple(outs.get("car", [])),
        **_next(desk, read=read, out=bool(outs), moves=bool(moves)),
    )


def _outs(desk: Desk) -> dict[str, list[str]]:
    """What the last pass read outside the wanted range, by corner; `car` for the whole."""
    state = desk.state
    if state.targets is None or state.readings is None:
        return {}
    last = state.readings.latest
    told = {(one.corner, one.reading): one.before for one in desk.known().trial.of({}).readings}
    found: dict[str, list[str]] = {}
    for (corner, name), band in state.targets.bands().items():
        key = key_of(name)
        if corner is None:
            value = told.get(("car", key))
        else:
            was = getattr(last.corners[corner], name, None)
            value = told.get((corner, key)) if was is None or desk.ticked() else shown(was, KINDS[name])
        if value is None:
            continue
        low, high = shown(band.low, KINDS[name]), shown(band.high, KINDS[name])
        off = value - high if value > high else value - low if value < low else 0.0
        if off:
            words, _ = reading_words(key)
            way = "too high" if off > 0 else "too low"
            if name in ("camber", "toe", "caster"):
                way = "over" if off > 0 else "under"
            found.setdefault(corner or "car", []).append(f"{words} {value_words(abs(off), key)} {way}")
    return found


def _stale(desk: Desk) -> tuple[dict[str, list[str]], list[str]]:
    """Titles of jobs by corner, and of those that stop the car being driven."""
    jobs = desk.jobs()
    if jobs is None:
        broken = [one for one in desk.checked().findings if one.level == "limit"]
        return {}, [f"{one.place.replace('_', ' ')}: {one.says}" for one in broken]
    found: dict[str, list[str]] = {}
    for job in jobs.jobs:
        if job.waits is not None:
            continue
        for corner in CORNERS:
            if job.place == corner or (job.place in ("front", "rear") and corner.startswith(job.place)):
                found.setdefault(corner, []).append(job.title)
    titles = {job.name: job_words(job) for job in jobs.jobs}
    return found, [titles[name] for name in jobs.stops_driving]


def _next_moves(desk: Desk) -> dict[str, tuple[int, Move]]:
    """The first move of the plan at each corner that is not made."""
    found: dict[str, tuple[int, Move]] = {}
    planned = desk.plan()
    if planned is None:
        return {}
    made = desk.ticked()
    for number, move in enumerate(planned.moves):
        if number not in made:
            found.setdefault(move.corner, (number, move))
    return found


def _move_words(move: Move) -> str:
    return f"{move.adjuster.replace('_', ' ')} {counted(move.amount, move.unit)}"


def _next(desk: Desk, *, read: bool, out: bool, moves: bool) -> dict[str, str]:
    """The one thing to do now."""
    entered = sum(1 for _ in desk.ledger.under("read."))
    if entered:
        return {"next_says": f"Go on reading: {entered} entered", "next_go": "/measure"}
    if moves:
        return {"next_says": "Go on turning", "next_go": "/plan"}
    if desk.ticked():
        return {"next_says": "All is turned: read the car again", "next_go": "/measure"}
    if not read:
        return {"next_says": "Read the car", "next_go": "/measure"}
    if out:
        return {"next_says": "Work out what to turn", "next_go": "/plan"}
    return {"next_says": "See what is open", "next_go": "/jobs"}
