"""Which springs, bars and dampers from the shelf meet the wishes of the ride: choices that nothing beats.

Every pair of sets within the car's hard limits is weighed quickly. Only those that no other beats are fitted to the
car as it is believed to be, planned in whole steps, and looked at as `stand`, `corner` and `road` look at a car; what
is beaten then is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.report import stand
from cornerwright.assembly.rig import bump_length
from cornerwright.assembly.turn_inputs import Driven, turn_inputs
from cornerwright.mechanics.pareto import non_dominated
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.results_choose import Choice, ChoicePlan, ChooseResult, LeftOut
from cornerwright.model.results_corner import CornerResult
from cornerwright.model.results_plan import PartChange
from cornerwright.model.target import Targets
from cornerwright.model.units import ANGLE, LENGTH, SHARE, SPEED, from_document, to_document
from cornerwright.planning.cautions import RAISED, ROAD, SPRINGS
from cornerwright.planning.cornering import corner
from cornerwright.planning.plan import alternative, ask, before_of, planned_of
from cornerwright.planning.ride import road
from cornerwright.planning.seek import Chosen, Sought, seek
from cornerwright.planning.shelf import ENDS, PartSet, fitted_with
from cornerwright.planning.shelf_axle import REASONS, AxleSets, axle_sets
from cornerwright.planning.shelf_order import ordered, to_order
from cornerwright.planning.shelf_pairs import RADIUS, Pairing, Pairs, misses, wanted
from cornerwright.planning.shelf_words import figures_told, gives_up, in_the_way, nothing_fits

Array = NDArray[np.float64]
Progress = Callable[[float, str], None]

MOST = 12
"""Choices that are told where no other number is asked for."""
SECONDS = 20.0
"""Of road that each choice is driven over."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

ASSUMED = (
    "All sets of parts were weighed at the heights wanted, perches set for them, as figures of one axle and of steady "
    "roll; those told here were then fitted, planned and computed in full.",
    "A part changes nothing but what the shelf tells of it: masses, bushes and angles of its mounts stay as they are.",
    "Inside a wanted range one value is as good as another; prices as the shelf has them.",
)


@dataclass(frozen=True, eq=False)
class _Member:
    """One pair of sets in full."""

    parts: tuple[PartChange, ...]
    sets: tuple[PartSet, PartSet]
    plan: ChoicePlan
    figures: dict[str, Array]
    miss: Array
    price: float

    @property
    def rank(self) -> tuple[float, float, float]:
        """Nearest to the wishes first, then by price and work."""
        return float(self.miss.sum()), self.price, self.plan.minutes


def choose(
    car: Car,
    targets: Targets,
    readings: Readings | Reading | None = None,
    *,
    driven: Driven = "rear",
    most: int = MOST,
    progress: Progress = lambda _share, _words: None,
) -> ChooseResult:
    """Choices of parts from the car's shelf for the wishes under `ride` in the targets, each with its plan.

    readings: as for `plan`. most: choices that are computed in full, 26 at most. Raises Refusal for an empty shelf,
    no wishes, a car that does not stand or corner, or a damper without the curve that a wish asks for.
    """
    ride = targets.ride
    bands = wanted(ride)
    _refuse(car, bands, most)
    asked = ask(car, readings, targets, tell=progress)
    sought = asked.sought
    stance = None if sought is None else sought.rig.vary(unknowns=sought.belief.mean).stand()
    if sought is None or stance is None or not stance.stands[0]:
        raise Refusal.of("a car that does not stand on its wheels", "springs that carry it; see cornerwright check")
    progress(0.1, "weighing the shelf")
    turned = turn_inputs(sought.car, driven)
    base = turned.car
    axles = axle_sets(sought.car, sought.rig, stance, targets, turned)
    whole = len(axles[0].sets) * len(axles[1].sets)
    left_out = tuple(row for axle in axles for row in _left_out(axle))
    kept = tuple(axle.take(np.flatnonzero(axle.broken() == "")) for axle in axles)
    within = len(kept[0].sets) * len(kept[1].sets)
    told = {
        "car": car.name,
        "currency": car.shelf.currency,
        "tried": whole,
        "left_out": left_out,
        "road": f"class {ride.road} of ISO 8608",
        "speed_km_per_h": round(to_document(ride.speed, SPEED), 2),
        "findings": asked.findings,
        "assumed": ASSUMED,
        "cautions": (RAISED, SPRINGS, ROAD),
    }
    if not within:
        ways = tuple(one for axle in axles for one in nothing_fits(axle))
        return ChooseResult(verdict="nothing fits", choices=(), in_the_way=ways, within_limits=0, **told)
    pairing = Pairing(kept[0], kept[1], base, ride, bands)
    pairing, front = _with_orders(pairing, pairing.front_of(), most)
    chosen = _nearest(pairing, front, most)
    members, broken = [], 0
    for k, pair in enumerate(chosen):
        progress(0.2 + 0.75 * k / len(chosen), f"planning choice {k + 1} of {len(chosen)}")
        member = _in_full(sought, pairing, pair, driven)
        if member is None:
            broken += 1
        else:
            members.append(member)
    members = _unbeaten(members)
    if broken:
        left = LeftOut(place="car", count=broken, why="no plan in whole steps keeps every hard limit")
        told["left_out"] = (*left_out, left)
    names = _letters(members)
    choices = tuple(
        Choice(
            letter=letter,
            parts=one.parts,
            price=round(one.price, 2),
            unpriced=sum(part.price is None for part in one.parts),
            price_outside=dict(zip(bands, (round(float(off), 3) for off in one.miss), strict=True)).get("price"),
            minutes=one.plan.minutes,
            figures=figures_told(one.figures, one.miss, bands),
            meets_all=not one.miss.any(),
            gives_up=gives_up(one.figures, one.miss, bands, car.shelf.currency, one.plan),
            plan=one.plan,
        )
        for letter, one in names
    )
    if not choices:
        return ChooseResult(verdict="nothing fits", choices=(), within_limits=within, **told)
    meets = choices[0].meets_all
    ways = () if meets else in_the_way(pairing, axles, members[0].miss, choices[0].letter)
    return ChooseResult(
        verdict="meets all wishes" if meets else "gives something up",
        choices=choices,
        in_the_way=ways,
        within_limits=within,
        more=len(front) - len(chosen),
        **told,
    )


def _refuse(car: Car, bands: Mapping[str, object], most: int) -> None:
    shelf = car.shelf
    if not (shelf.springs or shelf.bars or shelf.dampers):
        raise Refusal.of("nothing", "springs, bars or dampers to choose from", field="shelf")
    if not bands:
        expected = "what is wanted of the ride: front_frequency, roll, front_transfer, stroke_used, most_price..."
        raise Refusal.of("nothing", expected, field="ride")
    if not 1 <= most <= len(LETTERS):
        raise Refusal.of(f"{most} choices", f"from 1 to {len(LETTERS)}")
    asks = [name for name in ("front_damping", "rear_damping", "stroke_used") if name in bands]
    dampers = [(f"{name.replace('_', '.', 1)}.damper", one.damper) for name, one in car.corners.items()]
    dampers += [(f"shelf.dampers[{k}].damper", one.damper) for k, one in enumerate(shelf.dampers)]
    for where, damper in dampers:
        if asks and damper.curve is None:
            expected = f"curve: rows of speed, bump and rebound, which the wish {asks[0]} asks for"
            raise Refusal.of("a damper without a curve", expected, field=f"{where}.curve")


def _left_out(axle: AxleSets) -> list[LeftOut]:
    broken = axle.broken()
    return [
        LeftOut(place=axle.end, count=int((broken == name).sum()), why=why)
        for name, why in REASONS.items()
        if (broken == name).any()
    ]


def _with_orders(pairing: Pairing, front: Pairs, most: int) -> tuple[Pairing, Pairs]:
    """The front again, with the best rates of parts that are made to order."""
    more: list[list[PartSet]] = [[], []]
    seen: set[tuple[str, ...]] = set()
    for f, r in _nearest(pairing, front, most):
        pair = pairing.front.sets[f], pairing.rear.sets[r]
        names = tuple(f"{end} {part.name}" for end, one in zip(ENDS, pair, strict=True) for part in one.parts)
        if names not in seen and any(to_order(one) for one in pair):
            seen.add(names)
            for side, one in enumerate(ordered(pairing, *pair)):
                if to_order(one) and one not in more[side]:
                    more[side].append(one)
    if not any(more):
        return pairing, front
    joined = pairing.joined(more[0], more[1])
    return joined, joined.front_of()


def _nearest(pairing: Pairing, front: Pairs, most: int) -> Pairs:
    """The pairs of the front nearest to the wishes, the cheapest always among them."""
    costs = pairing.costs(front)
    price, miss = costs[:, -1], costs[:, :-1]
    order = np.lexsort((price, miss.sum(axis=1)))
    cheapest = int(np.lexsort((miss.sum(axis=1), price))[0])
    rows = order[:most]
    if cheapest not in rows:
        rows = np.append(rows[: most - 1], cheapest) if most > 1 else rows
    return np.asarray(front[rows])


def _in_full(sought: Sought, pairing: Pairing, pair: Pairs, driven: Driven) -> _Member | None:
    """These parts fitted, planned and computed; None where no plan keeps every hard limit."""
    sets = pairing.front.sets[pair[0]], pairing.rear.sets[pair[1]]
    tried, parts = fitted_with(sought, sets)
    chosen = seek(tried)
    if chosen is None or chosen.broken:
        return None
    way = alternative("least work", planned_of(chosen, before_of(sought), parts), [])
    plan = ChoicePlan.model_validate(
        {name: getattr(way, name) for name in ("verdict", "chance", "minutes", "moves", "short_of")}
    )
    quick = pairing.figures(pair[None])
    figures = quick | _figures(tried.car, chosen, pairing, driven)
    price = float(sum(one.price for one in sets))
    figures["price"] = np.array([price])
    return _Member(parts, sets, plan, figures, misses(figures, pairing.bands)[0], price)


def _figures(car: Car, chosen: Chosen, pairing: Pairing, driven: Driven) -> dict[str, Array]:
    """Figures of a car at the settings of its plan, as `stand`, `corner` and `road` tell them."""
    after = car.at_settings(
        {slot.name: float(setting) for slot, setting in zip(chosen.sought.rig.slots, chosen.settings, strict=True)}
    )
    found: dict[str, float] = {}
    standing = stand(after)
    for end in ENDS:
        own = [one.ride_frequency_hz for name, one in standing.corners.items() if name.startswith(end)]
        found[f"{end}_frequency"] = float(np.mean([np.nan if one is None else one for one in own]))
    turned: CornerResult | None = None
    try:
        turned = corner(after, RADIUS, driven, lock=False)
    except Refusal:
        turned = None
    names = ("roll", "front_transfer", "understeer", "limit_push")
    found |= dict.fromkeys(names, np.nan)
    if turned is not None:
        found["roll"] = from_document(turned.roll_deg_per_g, ANGLE)
        found["front_transfer"] = from_document(turned.front_transfer_slow_percent, SHARE)
        found["understeer"] = from_document(turned.understeer_deg_per_g, ANGLE)
        push = turned.limit.front_used_percent - turned.limit.rear_used_percent
        found["limit_push"] = from_document(push, SHARE)
    if "stroke_used" in pairing.bands:
        found["stroke_used"] = stroke_used(after, pairing.ride.road, pairing.ride.speed)
    return {name: np.array([value]) for name, value in found.items()}


def stroke_used(car: Car, on: str, speed: float) -> float:
    """Largest share [1] of the damper's way from rest to full bump, or to its open end, that a road takes."""
    driven = road(car, on, speed=speed, seconds=SECONDS)  # type: ignore[arg-type]  # the targets hold it to A to H
    shares = []
    for name, one in driven.corners.items():
        damper = car.corners[name].damper  # type: ignore[index]  # corners by their own names
        end = to_document(bump_length(damper) - damper.closed, LENGTH)
        shares.append((one.stands_at_mm - one.least_mm) / max(one.stands_at_mm - end, 1e-6))
        shares.append((one.most_mm - one.stands_at_mm) / max(one.stroke_mm - one.stands_at_mm, 1e-6))
    return max(shares, default=np.nan)


def _unbeaten(members: list[_Member]) -> list[_Member]:
    """Those that none beats in full figures, the nearest to the wishes first."""
    if not members:
        return []
    keep = non_dominated(np.array([[*one.miss, one.price] for one in members]))
    return sorted((one for one, kept in zip(members, keep, strict=True) if kept), key=lambda one: one.rank)


def _letters(members: list[_Member]) -> list[tuple[str, _Member]]:
    return list(zip(LETTERS, members, strict=False))
