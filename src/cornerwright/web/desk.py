"""What the screens ask and tell: one car, its papers, what is entered. Nothing here knows a browser."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from cornerwright import __version__
from cornerwright.assembly.at_hand import reached
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.what_if import Trial
from cornerwright.drawing.wheel_pose import wheel_pose
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.entry import DIGEST
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import CheckResult
from cornerwright.model.results_book import JobsResult
from cornerwright.model.results_plan import Move, PlanResult
from cornerwright.model.results_pose import CornerPose, WhatIf
from cornerwright.model.units import LENGTH, from_document, to_document
from cornerwright.planning.alternatives import Way
from cornerwright.planning.check import check
from cornerwright.planning.learn import Belief, learn
from cornerwright.planning.open_work import work_open
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.plan import plan
from cornerwright.planning.trying import Trying
from cornerwright.web.following import Places
from cornerwright.web.kept import Kept
from cornerwright.web.ledger import Ledger, Line
from cornerwright.web.look import on_screen
from cornerwright.web.papers import Papers, State, Turned

Array = NDArray[np.float64]
Tell = Callable[[float, str], None]
"""Told how much is done [0..1] and what is being done; it raises Stopped when the hand has stopped it."""


class Stopped(Exception):  # noqa: N818  (the hand stopped it: no fault)
    """The work was stopped by hand."""


class Closing(Protocol):
    """Anything that can be let go."""

    def close(self) -> None:
        """Let it go."""


@dataclass(frozen=True)
class Known:
    """The car as it is believed to be now: learned from its passes, at the settings it has been turned to."""

    state: State
    trial: Trial

    @cached_property
    def posers(self) -> dict[str, Poser]:
        """One for each corner."""
        return {name: Poser(self.trial.variant, self.trial.stance, k) for k, name in enumerate(CORNERS)}

    @cached_property
    def places(self) -> dict[str, Places]:
        """Of each corner, to be moved by hand."""
        return {name: Places(one) for name, one in self.posers.items()}

    def ready(self) -> None:
        """Work out ahead what fingers will ask for."""
        for one in self.places.values():
            one.at(0.0)

    @cached_property
    def trying(self) -> Trying:
        """Adjusters turned on paper."""
        return Trying(self.trial, self.state.targets)


class Desk:
    """One car that is worked on. Use it from any thread."""

    def __init__(self, where: str | Path) -> None:
        """where: a book's folder or URL, a folder with car.yaml, or a car file. Raises Refusal."""
        self.papers = Papers(where)
        self.address: str | None = None
        """By which phones reach the app; None: only this machine does."""
        try:
            self.ledger = Ledger(self.papers.ledger)
            self.papers.state()
        except BaseException:
            self.papers.close()
            raise
        self._lock = threading.RLock()
        self.kept = Kept()
        self.beside: list[Closing] = []
        """What is open beside this car, and is let go with it."""

    def close(self) -> None:
        """Let everything go."""
        for one in self.beside:
            one.close()
        self.ledger.close()
        self.papers.close()

    def begin_book(self) -> Path:
        """Make a book of a car's files and go on in it, with all that is entered; its folder. Raises Refusal."""
        with self._lock:
            if self.papers.book is not None:
                raise Refusal.of("a car that has a book", "a car file without one")
            papers = Papers(self.papers.begin(self.ledger.get("who")))
            try:
                ledger = Ledger(papers.ledger)
                ledger.put_all({name: line.text for name, line in self.ledger.under("")})
            except BaseException:
                papers.close()
                raise
            before, self.papers = self.papers, papers
            entered, self.ledger = self.ledger, ledger
            self.kept.forget()
            entered.close()
            before.close()
            return papers.folder / papers.stem

    # ------------------------------------------------------------------ what is known

    @property
    def state(self) -> State:
        """The papers as they are."""
        return self.papers.state()

    @property
    def stamp(self) -> str:
        """Another one means that a screen is to be shown anew."""
        return f"{self.state.stamp} {self.ledger.version}"

    def known(self) -> Known:
        """The car as it is believed to be now. Raises Refusal for one that does not stand."""
        state = self.state
        settings = self.settings()

        def work() -> Known:
            rig, belief = self.learned(state)
            mean = belief.mean if belief.verdict == "fitted" else None
            return Known(state, Trial(rig, mean, state.targets, settings))

        found = self.kept.once("known", f"{state.stamp} {sorted(settings.items())}", work)
        if not found.trial.stance.stands[0]:
            raise Refusal.of("a car that does not stand on its springs", "springs, masses and settings that carry it")
        return found

    def learned(self, state: State) -> tuple[Rig, Belief]:
        """The car at the settings of its last pass, and what all its passes teach about it."""

        def work() -> tuple[Rig, Belief]:
            rig = Rig(as_it_stands(state.car, state.readings))
            return rig, learn(rig, state.readings)

        return self.kept.once("learned", state.stamp, work)

    def checked(self) -> CheckResult:
        """What is wrong with the car as described."""
        state = self.state
        return self.kept.once("check", state.stamp, lambda: check(state.car))

    def jobs(self) -> JobsResult | None:
        """Open jobs; None without a book."""
        state, book = self.state, self.papers.book
        if book is None or state.record is None:
            return None
        record = state.record
        return self.kept.once("jobs", state.stamp, lambda: work_open(record, book, book.where, __version__))

    # ------------------------------------------------------------------ a corner

    def pose(self, corner: str, lift_mm: float | None = None, rack_mm: float = 0.0) -> CornerPose:
        """The corner there; without a lift as it stands. Raises Refusal."""
        if corner not in CORNERS:
            raise Refusal.of(f"'{corner}'", f"a corner: {', '.join(CORNERS)}")
        poser = self.known().posers[corner]
        return poser.soon(poser.sweep.rest_mm if lift_mm is None else lift_mm, rack_mm)

    def picture(self, pose: CornerPose) -> str:
        """The corner at this pose, in the colours of the screen."""
        return on_screen(wheel_pose(pose, self.known().places[pose.corner].rest).svg())

    def adjusters(self, place: str) -> dict[str, Adjuster]:
        """Those of a corner and of its axle, by full name, as they stand now."""
        known = self.known()
        at = dict(zip((slot.name for slot in known.trial.rig.slots), known.trial.settings, strict=True))
        places = (place, place.split("_", maxsplit=1)[0])
        return {
            name: one.model_copy(update={"setting": float(at[name])})
            for name, one in self.state.car.adjusters().items()
            if name.split(".")[0] in places and name in at
        }

    def places(self, corner: str) -> Places:
        """The places of a corner that is moved by hand. Raises Refusal."""
        if corner not in CORNERS:
            raise Refusal.of(f"'{corner}'", f"a corner: {', '.join(CORNERS)}")
        return self.known().places[corner]

    def what_if(self, steps: Mapping[str, int]) -> WhatIf:
        """What the car answers to so many smallest steps of these adjusters. Raises Refusal."""
        known = self.known()
        at = dict(zip((slot.name for slot in known.trial.rig.slots), known.trial.settings, strict=True))
        adjusters = self.state.car.adjusters()
        stand = {name: adjusters[name].model_copy(update={"setting": float(at[name])}) for name in steps}
        return known.trying.of({name: reached(stand[name], count) for name, count in steps.items()})

    # ------------------------------------------------------------------ photos

    def photo(self, digest: str) -> bytes | None:
        """A photo of the book; None for what is no photo of it."""
        book = self.papers.book
        return None if book is None or not DIGEST.fullmatch(digest) else book.photo(digest)

    # ------------------------------------------------------------------ the plan

    def make_plan(self, tell: Tell, *, other_ways: bool = False, way: Way | None = None) -> PlanResult:
        """Work out the moves and keep them as the plan that is followed. Raises Refusal, and what `tell` raises.

        other_ways: look for others too, to pick from; way: the one that was picked.
        """
        state = self.state
        if state.targets is None:
            raise Refusal.of("no targets", "a targets file, or targets in the book: what is wanted")
        if self.ticked():
            raise Refusal.of(
                "moves that are made and not read yet", "a round of readings first, or the ticks taken back"
            )
        found = plan(state.car, state.readings, state.targets, tell, alternatives=other_ways, way=way)
        tell(1.0, "keeping the plan")
        text = found.model_dump_json(by_alias=True)
        self.ledger.clear("tick.")
        self.ledger.put_all({"plan": text} if way is not None else {"plan": text, "ways": text if other_ways else None})
        return found

    def ways(self) -> PlanResult | None:
        """The plan with its other ways, as it was worked out; None: they were not looked for."""
        return self._plan_in("ways")

    def best_way(self) -> None:
        """Follow the best plan again. Raises Refusal."""
        text = self.ledger.get("ways")
        if text is None or self.ticked():
            raise Refusal.of("moves that are made, or no other ways", "the ticks taken back first")
        self.ledger.put("plan", text)

    def last_plan(self) -> tuple[PlanResult, bool] | None:
        """The plan that the last round followed, and whether all of it was done; None: there was none."""
        found = self._plan_in("followed")
        return None if found is None else (found, self.ledger.get("followed.whole") is not None)

    def plan(self) -> PlanResult | None:
        """The plan that is followed; None: none yet."""
        return self._plan_in("plan")

    def _plan_in(self, field: str) -> PlanResult | None:
        text = self.ledger.get(field)
        if text is None:
            return None
        key = hashlib.sha256(text.encode()).hexdigest()
        return self.kept.once(field, key, lambda: self._read_plan(text))

    def _read_plan(self, text: str) -> PlanResult | None:
        """None: another version of the program wrote it, and nothing hangs on it. Raises Refusal where ticks do."""
        try:
            return PlanResult.of_text(text)
        except ValueError:
            if not self._ticks():
                return None
            raise self._not_ours("a plan with moves that are made") from None

    def _not_ours(self, what: str) -> Refusal:
        found = f"{what} that this version of the program did not write"
        expected = "the file as the app left it; move it away, then measure and plan anew"
        return Refusal.of(found, expected, file=str(self.ledger.path))

    def ticked(self) -> frozenset[int]:
        """Numbers of the moves that are made. Raises Refusal."""
        return frozenset(self._ticks())

    def _ticks(self) -> dict[int, Line]:
        """The line of each move that is made."""
        ticks = dict(self.ledger.under("tick."))
        if not all(name.isdecimal() for name in ticks):
            raise self._not_ours("a tick")
        return {int(name): line for name, line in ticks.items()}

    def tick(self, number: int, made: bool, who: str = "") -> None:
        """Say that a move of the plan is made, or not made after all. Raises Refusal."""
        found = self.plan()
        if found is None or not 0 <= number < len(found.moves):
            raise Refusal.of(f"move {number + 1}", "a move of the plan")
        if made != (number in self.ticked()):
            self.ledger.put(f"tick.{number}", "made" if made else None, who)

    def turned(self) -> list[Turned]:
        """The moves that are made and not in the papers yet, in the order they were ticked."""
        found = self.plan()
        if found is None:
            return []
        ticks = sorted((line.number, k, line) for k, line in self._ticks().items())
        return [_turned(found.moves[k], line.at) for _, k, line in ticks if k < len(found.moves)]

    def settings(self) -> dict[str, float]:
        """Where adjusters stand that were turned since the last pass [m]."""
        return {move.adjuster: from_document(move.to_mm, LENGTH) for move in self.turned()}

    def settings_mm(self) -> dict[str, float]:
        """Where every adjuster stands now [mm], as a pass of readings tells it."""
        known = self.known()
        names = (slot.name for slot in known.trial.rig.slots)
        return {
            name: round(to_document(float(at), LENGTH), 6) for name, at in zip(names, known.trial.settings, strict=True)
        }


def full_name(move: Move) -> str:
    """Of the adjuster of a move."""
    return f"{move.corner}.{move.adjuster}"


def _turned(move: Move, at: str) -> Turned:
    when = datetime.fromisoformat(at).astimezone(UTC)
    return Turned(full_name(move), move.from_mm, move.to_mm, when, move.do)
