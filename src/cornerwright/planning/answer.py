"""A plan in words and trade units: moves in stages, readings before and after."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, Outputs, outputs
from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_plan import ByGauge, Move, PartChange, PredictedReading, ShortOf, Stage, Tight
from cornerwright.model.target import Band
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.observe import Key, pick
from cornerwright.planning.order import STAGES, StageName, StageText, stage_of
from cornerwright.planning.seek import Chosen, Some
from cornerwright.planning.shortfall import Shortfall
from cornerwright.planning.trim import Trim

Array = NDArray[np.float64]

SHOWN = tuple(name for name in CORNER_OUTPUTS if name not in ("bind_margin", "half_track"))
"""Readings that every plan predicts; another one where it is wanted."""

SHOWN_CAR = tuple(name for name in CAR_OUTPUTS if name != "cg_height")
STAGE_READINGS = ("height", "load", "camber", "toe", "caster")


WIDER = 1.5
"""How much wider a tolerance is taken to see whether it holds the chance down."""

TIGHTEST = 3
"""Tight tolerances told at most."""


@dataclass(frozen=True)
class Planned:
    """Everything that the answer is made from."""

    chosen: Chosen
    before: Outputs
    """The believed car as it was read."""
    draws: Array
    """(k, q) readings of drawn cars after the stages, without gauge scatter"""
    unread: Array
    """(k, q) the same if nothing is read between the stages"""
    draw_keys: tuple[Key, ...]
    settling: Array
    """(q, 4) what friction may move each reading"""
    parts: tuple[PartChange, ...] = ()

    @property
    def rig(self) -> Rig:
        """The car, parts from the shelf fitted."""
        return self.chosen.sought.rig

    def scatter(self, keys: tuple[Key, ...]) -> Array:
        """Scatter (r,) of the gauges behind these readings."""
        return self.chosen.sought.scatter(keys)

    def noise(self, keys: tuple[Key, ...], seed: int) -> Array:
        """(k, r) what gauges and friction add to the readings of the drawn cars."""
        rng = np.random.default_rng(seed)
        moved = self.settling[[self.draw_keys.index(key) for key in keys]]
        own = rng.standard_normal((len(self.draws), len(keys))) * self.scatter(keys)
        return np.asarray(own + rng.standard_normal((len(self.draws), 4)) @ moved.T)

    def _bands(self) -> dict[Key, Band]:
        return {key: band for key, band in self.chosen.sought.targets.bands().items() if key in self.draw_keys}

    def _inside(self, keys: tuple[Key, ...], *, read: bool) -> tuple[Some, Some]:
        """Whether the gauges show each drawn car (k, r) inside on these readings, and inside a wider band."""
        places = [self.draw_keys.index(key) for key in keys]
        draws = (self.draws if read else self.unread)[:, places]
        seen = draws + self.noise(keys, len(draws))
        bands = self._bands()
        middle = np.array([band_middle(bands[key]) for key in keys])
        half = np.array([band_half(bands[key]) for key in keys])
        low = np.array([bands[key].low for key in keys])
        high = np.array([bands[key].high for key in keys])
        inside = (seen >= low) & (seen <= high)
        return np.asarray(inside), np.asarray(np.abs(seen - middle) <= WIDER * half)

    def chance(self, *, read: bool = True) -> float | None:
        """Share of the drawn cars whose gauges show every asked-for reading inside its range."""
        keys = tuple(self._bands())
        if not keys:
            return None
        return float(self._inside(keys, read=read)[0].all(axis=1).mean())

    def tight(self) -> tuple[Tight, ...]:
        """The tolerances that hold the chance down most."""
        keys = tuple(self._bands())
        if not keys:
            return ()
        inside, wider = self._inside(keys, read=True)
        whole = inside.all(axis=1).mean()
        found = []
        for r, (corner, name) in enumerate(keys):
            others = np.delete(inside, r, axis=1).all(axis=1)
            if_wider = float(np.mean(np.logical_and(others, wider[:, r])))
            if if_wider > whole:
                found.append(
                    Tight(
                        corner=corner or "car",
                        reading=key_of(name),
                        chance=float(inside[:, r].mean()),
                        chance_if_wider=if_wider,
                    )
                )
        return tuple(sorted(found, key=lambda one: -one.chance_if_wider)[:TIGHTEST])


def band_middle(band: Band) -> float:
    """Middle of a wanted range; its edge where one side is open."""
    if np.isfinite(band.low) and np.isfinite(band.high):
        return (band.low + band.high) / 2
    return band.low if np.isfinite(band.low) else band.high


def band_half(band: Band) -> float:
    """Half the width of a wanted range; infinite where one side is open."""
    return (band.high - band.low) / 2


def staged(planned: Planned) -> tuple[tuple[Move, ...], tuple[Stage, ...]]:
    """Moves in working order, and the stages with what the gauges show after each."""
    rig, chosen = planned.rig, planned.chosen
    place = {k: stage_of(rig, slot, k, chosen.at) for k, slot in enumerate(rig.slots) if chosen.steps[k] != 0}
    trims = chosen.sought.trims(chosen.at) if place else ()
    moves: list[Move] = []
    stages: list[Stage] = []
    settings = rig.settings.copy()
    bars = chosen.sought.loose.bars
    for text in STAGES:
        turned = [k for k, name in place.items() if name == text.name]
        for k in turned:
            settings[k] = chosen.settings[k]
            moves.append(_move(planned, k, text.name))
        own = [trim for trim in trims if trim.stage == text.name]
        if own or _has_work(text, turned, planned):
            joined = text.name in ("bars", "finish")
            after = None
            if own or text.check is not None or text.name == "finish":
                after = _standing(planned, settings, Loose((False, False) if joined else bars, True))
            stages.append(
                Stage(
                    name=text.name,
                    title=text.title,
                    tasks=_tasks(text, planned),
                    check=text.check,
                    by_gauge=tuple(_by_gauge(rig, trim, after) for trim in own) if after is not None else (),
                    predicted={} if after is None else _after(after),
                )
            )
    return tuple(moves), tuple(stages)


def _has_work(text: StageText, turned: list[int], planned: Planned) -> bool:
    """A stage with nothing to turn and nothing fitted that it speaks of is left out."""
    chosen = planned.chosen
    any_work = bool((chosen.steps != 0).any()) or bool(planned.parts)
    if text.name in ("prepare", "finish"):
        return any_work
    if text.name == "parts":
        return bool(planned.parts)
    if text.name == "bushes":
        return any_work and any(one.bushes for one in planned.rig.car.corners.values())
    if text.name == "bars":
        return any_work and any(chosen.sought.loose.bars)
    return bool(turned)


def _tasks(text: StageText, planned: Planned) -> tuple[str, ...]:
    if text.name == "parts":
        return tuple(
            f"{one.place.capitalize()}, both sides: take out {one.takes_out}, fit {one.puts_in}."
            for one in planned.parts
        )
    if text.name != "prepare":
        return text.tasks
    bars, bushes, ready = text.tasks
    has_bushes = any(corner.bushes for corner in planned.rig.car.corners.values())
    return (
        *((bars,) if any(planned.chosen.sought.loose.bars) else ()),
        *((bushes,) if has_bushes else ()),
        ready,
    )


def _by_gauge(rig: Rig, trim: Trim, after: Outputs) -> ByGauge:
    corner, name = trim.key
    assert corner is not None  # angles are a corner's
    slot = rig.slots[trim.adjuster]
    kind = KINDS[name]
    return ByGauge(
        corner=corner,
        adjuster=slot.short,
        reading=key_of(name),
        shows=shown(after.corner[name][0, CORNERS.index(corner)], kind),
        per_unit=shown(trim.per_travel * slot.adjuster.unit_travel, kind),
        unit=slot.adjuster.unit,
    )


def _move(planned: Planned, k: int, stage: StageName) -> Move:
    slot = planned.rig.slots[k]
    adjuster = slot.adjuster
    steps = float(planned.chosen.steps[k])
    start = adjuster.setting
    end = float(planned.chosen.settings[k])
    return Move.model_validate(
        {
            "corner": slot.place,
            "adjuster": slot.short,
            "kind": adjuster.kind,
            "stage": stage,
            "steps": round(steps),
            "unit": adjuster.unit,
            "amount": steps * adjuster.step,
            "from": start / adjuster.unit_travel,
            "to": end / adjuster.unit_travel,
            "from_mm": to_document(start, LENGTH),
            "to_mm": to_document(end, LENGTH),
            "do": adjuster.words(end - start),
            "minutes": adjuster.work,
        }
    )


def _standing(planned: Planned, settings: Array, loose: Loose) -> Outputs:
    variant = planned.rig.vary(settings, planned.chosen.sought.belief.mean, loose=loose)
    return outputs(variant, variant.stand(), gradients=False)


def _after(at: Outputs) -> dict[str, dict[str, float]]:
    """What the gauges will show there, by corner."""
    found: dict[str, dict[str, float]] = {}
    for i, corner in enumerate(CORNERS):
        found[corner] = {
            key_of(name): shown(at.corner[name][0, i], KINDS[name])
            for name in STAGE_READINGS
            if np.isfinite(at.corner[name][0, i])
        }
    cross = at.car["cross_weight"][0]
    if np.isfinite(cross):
        found["car"] = {key_of("cross_weight"): shown(cross, KINDS["cross_weight"])}
    return found


def predicted_readings(planned: Planned) -> dict[str, dict[str, PredictedReading]]:
    """Every reading now and after, by corner (and car) and by key with its unit."""
    sought = planned.chosen.sought
    bands = sought.targets.bands()
    read: dict[Key, float] = (
        {}
        if sought.reading is None
        else {
            (corner, name): value
            for corner, one in sought.reading.corners.items()
            for name, value in one.taken().items()
        }
    )
    found: dict[str, dict[str, PredictedReading]] = {}
    shown_names = [name for name in CORNER_OUTPUTS if name in SHOWN or any(name == key[1] for key in bands)]
    corner_keys: list[Key] = [(corner, name) for corner in CORNERS for name in shown_names]
    for key in (*corner_keys, *((None, name) for name in SHOWN_CAR)):
        value = pick(planned.chosen.final, (key,))[0, 0]
        if not np.isfinite(value):
            continue
        place = planned.draw_keys.index(key)
        scatter = float(np.hypot(planned.scatter((key,))[0], np.linalg.norm(planned.settling[place])))
        spread = float(np.nanstd(planned.draws[:, planned.draw_keys.index(key)]))
        now = read.get(key, float(pick(planned.before, (key,))[0, 0]))
        found.setdefault(key[0] or "car", {})[key_of(key[1])] = _predicted(
            planned, key, bands.get(key), now, key in read, float(value), spread, scatter
        )
    return found


def _predicted(
    planned: Planned,
    key: Key,
    band: Band | None,
    now: float,
    was_read: bool,
    value: float,
    spread: float,
    scatter: float,
) -> PredictedReading:
    kind = KINDS[key[1]]
    low = None if band is None or not np.isfinite(band.low) else shown(band.low, kind)
    high = None if band is None or not np.isfinite(band.high) else shown(band.high, kind)
    chance = inside = None
    if band is not None:
        column = planned.draws[:, planned.draw_keys.index(key)]
        seed = np.random.default_rng(planned.draw_keys.index(key))
        seen = column + scatter * seed.standard_normal(column.size)
        chance = float(((seen >= band.low) & (seen <= band.high)).mean())
        inside = bool(band.low - 1e-12 <= value <= band.high + 1e-12)
    return PredictedReading(
        now=shown(now, kind) if np.isfinite(now) else None,
        was_read=was_read,
        value=shown(value, kind),
        sigma=shown(float(np.hypot(spread, scatter)), kind),
        low=low,
        high=high,
        hard=band is not None and band.hard,
        inside=inside,
        chance=chance,
    )


def short_of(short: tuple[Shortfall, ...]) -> tuple[ShortOf, ...]:
    """Missed targets in trade units."""
    found = []
    for one in short:
        corner, name = one.want.key
        kind, band = KINDS[name], one.want.band
        found.append(
            ShortOf(
                corner=corner or "car",
                reading=key_of(name),
                predicted=shown(one.predicted, kind),
                low=shown(band.low, kind) if np.isfinite(band.low) else None,
                high=shown(band.high, kind) if np.isfinite(band.high) else None,
                why=one.why,
                needs=one.needs,
            )
        )
    return tuple(found)
