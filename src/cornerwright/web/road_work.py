"""What the road screen asks: the car as it is believed to be now, on the road and on a circle."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import cast

from cornerwright.assembly.turn_inputs import Driven
from cornerwright.mechanics.road import CLASS_MEAN, RoadClass
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.results_corner import CornerResult
from cornerwright.model.results_doubt import DoubtResult
from cornerwright.model.results_road import RoadResult
from cornerwright.model.units import SPEED, from_document
from cornerwright.planning.cornering import corner
from cornerwright.planning.doubt import doubt
from cornerwright.planning.ride import road
from cornerwright.planning.taught import taught_car
from cornerwright.web.desk import Desk, Tell

SECONDS = 60.0
"""Driven for a screen [s]."""
DRIVEN = ("rear", "front", "both")


@dataclass(frozen=True)
class Wish:
    """One thing to be entered: kept in the ledger under `wish.` and its name."""

    name: str
    words: str
    usual: str
    among: tuple[str, ...] = ()
    """What can be chosen; empty: a number from `least` to `most`."""
    least: float = 0.0
    most: float = 0.0

    def wrong(self, text: str) -> str | None:
        """What is wrong with a text, in words."""
        if self.among:
            return None if text in self.among else f"expected one of {', '.join(self.among)}"
        number = _number(text)
        if number is None or not self.least <= number <= self.most:
            return f"expected a number from {self.least:g} to {self.most:g}"
        return None


CLASS = Wish("road.class", "road, by ISO 8608: A very good, C average, E poor", "C", tuple(CLASS_MEAN))
SPEED_WISH = Wish("road.speed", "speed, km/h", "60", least=5.0, most=200.0)
RADIUS = Wish("road.radius", "radius of the circle, m", "30", least=5.0, most=1000.0)
OF = Wish("road.of", "how sure are figures of", "stand", ("stand", "corner", "road", "brakes"))
AXLE = Wish("road.driven", "driven axle", "rear", DRIVEN)


class RoadWork:
    """The road of one desk. The desk keeps what was worked out last until car or wish is another one."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def wished(self, wish: Wish) -> str:
        """What is entered, or what is usual."""
        return self.desk.ledger.get(f"wish.{wish.name}") or wish.usual

    def enter(self, wish: Wish, text: str) -> str | None:
        """Keep it as entered; what is wrong with it, if anything."""
        text = text.strip()
        if text != self.wished(wish):
            self.desk.ledger.put(f"wish.{wish.name}", text or None)
        return wish.wrong(text) if text else None

    def car(self) -> Car:
        """The car of today: as its passes have taught it, at the settings it has been turned to. Raises Refusal."""
        state = self.desk.known().state
        rig, belief = self.desk.learned(state)
        car = taught_car(rig, belief) if belief.verdict == "fitted" and state.readings else rig.car
        return car.at_settings(self.desk.settings())

    def road(self, tell: Tell) -> RoadResult:
        """The road that is wished. Raises Refusal, and what `tell` raises."""
        tell(0.0, "learning the car")
        on, speed = self._checked(CLASS), float(_number(self._checked(SPEED_WISH)) or 0.0)

        def work() -> RoadResult:
            at = from_document(speed, SPEED)
            return road(self.car(), cast("RoadClass", on), speed=at, seconds=SECONDS, progress=tell)

        return self.desk.kept.anew("road", self._stamp(CLASS, SPEED_WISH), work)

    def circle(self, tell: Tell) -> CornerResult:
        """The circle that is wished. Raises Refusal, and what `tell` raises."""
        tell(0.0, "turning faster and faster")
        radius, driven = float(_number(self._checked(RADIUS)) or 0.0), self._checked(AXLE)

        def work() -> CornerResult:
            found = corner(self.car(), radius, cast("Driven", driven))
            tell(1.0, "done")
            return found

        return self.desk.kept.anew("circle", self._stamp(RADIUS, AXLE), work)

    def doubt(self, tell: Tell) -> DoubtResult:
        """How sure the wished figures are, of the car as the file and its passes have it. Raises as `road` does."""
        tell(0.0, "drawing cars that the file could mean")
        of = self._checked(OF)
        return self.desk.kept.anew("doubt", self._stamp(OF), lambda: doubt(self.car(), progress=tell, of=(of,)))

    def last_doubt(self) -> DoubtResult | None:
        """As worked out last, if the car and the wish are still the same."""
        return cast("DoubtResult | None", self.desk.kept.last("doubt", self._stamp(OF)))

    def last_road(self) -> RoadResult | None:
        """As worked out last, if the car and the wishes are still the same."""
        return cast("RoadResult | None", self.desk.kept.last("road", self._stamp(CLASS, SPEED_WISH)))

    def last_circle(self) -> CornerResult | None:
        """Likewise."""
        return cast("CornerResult | None", self.desk.kept.last("circle", self._stamp(RADIUS, AXLE)))

    def _checked(self, wish: Wish) -> str:
        text = self.wished(wish)
        wrong = wish.wrong(text)
        if wrong is not None:
            raise Refusal.of(f"'{text}'", wrong.removeprefix("expected "), field=wish.words)
        return text

    def _stamp(self, *wishes: Wish) -> str:
        at = sorted(self.desk.settings().items())
        return f"{self.desk.state.stamp} {at} {[self.wished(wish) for wish in wishes]}"


def _number(text: str) -> float | None:
    """A plain number, with a point or a comma."""
    plain = text.strip().replace(",", ".")
    return float(plain) if re.fullmatch(r"\d{1,6}(\.\d{0,6})?", plain) else None
