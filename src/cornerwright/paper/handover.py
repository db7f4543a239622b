"""The hand-over report: the whole car as its book has it, for whoever takes it over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cornerwright.book.photos import kind_of
from cornerwright.drawing.lettering import DECIMALS, PLACES, figure, place_words, reading_words
from cornerwright.model.entry import day_of
from cornerwright.model.results_book import CarNow, JobsResult, JointState
from cornerwright.paper.job_card import hours_words
from cornerwright.paper.press import can_be_printed, press
from cornerwright.planning.cautions import RAISED, ROAD, WHEELS

Photo = tuple[int, str, str, bytes]
"""Number and moment of its entry, the entry in words, the bytes."""


def hand_over(car: CarNow, jobs: JobsResult, photos: Sequence[Photo]) -> bytes:
    """The report as A4 pages (PDF)."""
    pictures: dict[str, bytes] = {}
    shown = []
    for number, moment, says, content in photos:
        name = f"photo-{len(pictures) + 1}.{kind_of(content)}"
        good = can_be_printed(name, content)
        if good:
            pictures[name] = content
        shown.append({"file": name if good else "", "says": f"#{number}, {day_of(moment)}: {says}"})
    data = {
        "title": f"Hand-over: {car.car}",
        "car": car.car,
        "subtitle": f"Hand-over report · book as of {day_of(car.at)} · {car.entries} entries"
        f" · {car.driven_km:g} km driven",
        "alarm": _alarm(jobs),
        "costs": _costs(car),
        "parts": [
            [one.part, one.place.replace("_", " "), "used" if one.used else "", _money(one.price), one.source or ""]
            for one in sorted(car.parts, key=lambda one: (one.place, one.part))
        ],
        "kept": [[one.part, one.place.replace("_", " "), one.kept or ""] for one in car.kept],
        "settings": [
            [
                one.adjuster.replace("_", " ").replace(".", " "),
                f"{one.amount:.4g} {one.unit}",
                f"{one.setting_mm:.2f} mm",
            ]
            for one in car.settings
        ],
        "places": [place_words(place) for place in PLACES],
        "readings": _readings(car),
        "joints": [_joint(one) for one in car.joints],
        "jobs": [
            {
                "title": one.title,
                "stops": one.stops_driving,
                "reason": one.reason,
                "waits": f"Waits {one.waits}." if one.waits else "",
            }
            for one in jobs.jobs
        ],
        "photos": shown,
        "cautions": [RAISED, WHEELS, ROAD],
        "caution": car.caution,
    }
    return press("handover.typ", data, pictures)


def _alarm(jobs: JobsResult) -> str:
    count = len(jobs.stops_driving)
    if not count:
        return ""
    return f"NOT TO BE DRIVEN: {count} open job{'' if count == 1 else 's'} must be done first."


def _money(price: float | None) -> str:
    return "" if price is None else f"{price:.2f}"


def _costs(car: CarNow) -> str:
    costs = car.costs
    unit = f" {costs.currency}" if costs.currency else ""
    return (
        f"So far {costs.spent:.2f}{unit} and {costs.hours:g} h of work as written down; "
        f"the open jobs still need about {hours_words(60 * costs.open_hours)}"
        + (f" and {costs.open_price:.2f}{unit}." if costs.open_price else ".")
    )


def _readings(car: CarNow) -> list[dict[str, Any]]:
    """One row a reading: first and last at each corner."""
    found = {(one.corner, one.reading): one for one in car.read}
    rows = []
    for key in dict.fromkeys(one.reading for one in car.read):
        name, unit = reading_words(key)
        cells = []
        for place in PLACES:
            one = found.get((place, key))
            decimals = DECIMALS[unit]
            cells.append("" if one is None else f"{figure(one.first, decimals)} → {figure(one.last, decimals)}")
        rows.append({"name": f"{name}, {unit}", "cells": cells})
    return rows


def _joint(one: JointState) -> list[str]:
    value = "" if one.torque_nm is None else f"{one.torque_nm:.4g} N·m"
    if one.angle_deg is not None:
        value += f" + {one.angle_deg:g}°"
    how = {"ride_height": "at ride height", "hanging": "hanging"}.get(one.stood or "", "")
    bolt = f"{one.bolt} bolt" if one.bolt else ""
    more = ", ".join(word for word in (how, bolt, one.thread_lock or "", one.tool or "") if word)
    state = one.state.replace("_", " ") if one.open is None else one.open
    return [one.joint, one.place.replace("_", " "), value, more, state, day_of(one.when)]
