"""What a book says, as answers: entries in words, the car at a moment, what changed between two."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from cornerwright.model.adjuster import Adjuster
from cornerwright.model.record import Record, adjusters_in
from cornerwright.model.results_book import (
    CarNow,
    Change,
    Costs,
    DiffResult,
    JointState,
    PartHeld,
    ReadValue,
    Setting,
)
from cornerwright.model.units import LENGTH, from_document
from cornerwright.planning.knock_events import joint_open

READING_KEYS = {
    "height": "height_mm",
    "load": "load_kg",
    "camber": "camber_deg",
    "toe": "toe_deg",
    "caster": "caster_deg",
    "damper_length": "damper_mm",
    "spring_length": "spring_mm",
}


# ---------------------------------------------------------------------- entries in words


def entry_words(plain: Mapping[str, Any]) -> str:
    """One entry in one line."""
    body = plain["body"]
    says = _BODIES[body["kind"]](body)
    if plain.get("note"):
        says += f" ({plain['note']})"
    photos = len(plain.get("photos", ()))
    if photos:
        says += f" [{photos} photo{'' if photos == 1 else 's'}]"
    if plain.get("settles"):
        says += f"; settles {', '.join(plain['settles'])}"
    if plain.get("ready"):
        says += f"; waits no longer: {', '.join(plain['ready'])}"
    return says


def _place(body: Mapping[str, Any]) -> str:
    place = str(body.get("place", "car")).replace("_", " ")
    return "" if place == "car" else f"{place}: "


def _fitted(body: Mapping[str, Any]) -> str:
    more = ["used"] if body.get("used") else []
    more += [f"price {body['price']:.2f}"] if body.get("price") is not None else []
    more += [f"from {body['source']}"] if body.get("source") else []
    more += [f"sets {name} to {value}" for name, value in (body.get("sets") or {}).items()]
    return f"{_place(body)}{body['part']} fitted" + (f", {', '.join(more)}" if more else "")


def _removed(body: Mapping[str, Any]) -> str:
    return f"{_place(body)}{body['part']} removed" + (f", kept: {body['kept']}" if body.get("kept") else "")


def _move(body: Mapping[str, Any]) -> str:
    name = body["adjuster"].replace("_", " ").replace(".", " ")
    was = "" if body.get("setting_from") is None else f"from {body['setting_from']:.2f} "
    return f"{name} {was}to {body['setting_to']:.2f} mm" + (f", {body['did']}" if body.get("did") else "")


def _reading(body: Mapping[str, Any]) -> str:
    taken = body["reading"]
    names = dict.fromkeys(
        name
        for corner in ("front_left", "front_right", "rear_left", "rear_right")
        for name in READING_KEYS
        if (taken.get(corner) or {}).get(name) is not None
    )
    count = sum(
        (taken.get(corner) or {}).get(name) is not None
        for corner in ("front_left", "front_right", "rear_left", "rear_right")
        for name in names
    )
    return f"{count} values read: {', '.join(name.replace('_', ' ') for name in names)}"


def _measured(body: Mapping[str, Any]) -> str:
    sets = ", ".join(f"{name} {value}" for name, value in body["sets"].items())
    return f"{_place(body)}{body['what']} measured: {sets}"


def _joint(body: Mapping[str, Any]) -> str:
    if body.get("did") == "marked":
        return f"{_place(body)}{body['joint']} marked" + (f": {body['marked']}" if body.get("marked") else "")
    says = f"{_place(body)}{body['joint']} {body['state'].replace('_', ' ')}"
    if body.get("torque") is not None:
        says += f", {body['torque']:.4g} N·m"
    if body.get("angle") is not None:
        says += f" + {body['angle']:g}°"
    if body.get("stood"):
        says += ", " + ("at ride height" if body["stood"] == "ride_height" else "hanging")
    if body.get("bolt"):
        says += f", {body['bolt']} bolt"
    if body.get("marked"):
        says += f", marked: {body['marked']}"
    if body.get("thread_lock"):
        says += f", {body['thread_lock']}"
    return says + (f", {body['tool']}" if body.get("tool") else "")


def _finding(body: Mapping[str, Any]) -> str:
    stops = "; not to be driven like this" if body.get("stops_driving") else ""
    return f"{_place(body)}{body['what']}: {body['says']}{stops}"


def _put_off(body: Mapping[str, Any]) -> str:
    of = f" ({body['of']})" if body.get("of") else ""
    return f"{_place(body)}put off: {body['job']}{of}" + (f", until {body['until']}" if body.get("until") else "")


def _done(body: Mapping[str, Any]) -> str:
    says = f"{_place(body)}done: {body['job']}"
    if body.get("hours") is not None:
        says += f", {body['hours']:g} h"
    return says + (f", {body['price']:.2f}" if body.get("price") is not None else "")


def _correction(body: Mapping[str, Any]) -> str:
    instead = body.get("instead")
    what = "struck out" if instead is None else f"instead: {_BODIES[instead['kind']](instead)}"
    return f"corrects an entry, {body['says']}; {what}"


_BODIES: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "car": lambda body: f"the car described: {body['car']['name']}",
    "targets": lambda body: f"targets set: {body['targets'].get('name') or 'without a name'}",
    "fitted": _fitted,
    "removed": _removed,
    "measured": _measured,
    "move": _move,
    "reading": _reading,
    "joint": _joint,
    "finding": _finding,
    "put_off": _put_off,
    "done": _done,
    "drive": lambda body: f"driven {body['distance']:g} km",
    "note": lambda body: str(body["says"]),
    "correction": _correction,
}


# ---------------------------------------------------------------------- the car at a moment


def car_now(record: Record, costs: Costs, book: str) -> CarNow:
    """The car of this record."""
    return CarNow(
        book=book,
        car=record.name,
        at=record.moment,
        entries=record.step,
        driven_km=record.km,
        costs=costs,
        settings=_settings(record),
        parts=tuple(_part(one) for one in record.parts.values()),
        kept=tuple(
            PartHeld(part=one["part"], place=one["place"], price=one.get("price"), kept=one["where"])
            for one in record.kept.values()
        ),
        read=_read(record),
        joints=joint_states(record),
        findings=tuple(f"{name}: {one['what']}, {one['says']}" for name, one in record.findings.items()),
        put_off=tuple(f"{name}: {one['job']}" for name, one in record.put_off.items()),
    )


def _settings(record: Record) -> tuple[Setting, ...]:
    if not record.doc:
        return ()
    found = []
    for name, plain in adjusters_in(record.docs[record.doc]).items():
        adjuster = Adjuster.model_validate(plain)
        travel = from_document(record.settings[name], LENGTH)
        found.append(
            Setting(
                adjuster=name,
                setting_mm=record.settings[name],
                amount=round(travel / adjuster.unit_travel, 6),
                unit=adjuster.unit,
            )
        )
    return tuple(found)


def _part(one: Mapping[str, Any]) -> PartHeld:
    return PartHeld(
        part=one["part"],
        place=one["place"],
        price=one.get("price"),
        source=one.get("source"),
        used=bool(one.get("used")),
        since=one["mark"]["number"],
    )


def _read(record: Record) -> tuple[ReadValue, ...]:
    return tuple(
        ReadValue(
            corner=corner,
            reading=READING_KEYS[name],
            first=one["first"],
            last=one["value"],
            number=one["mark"]["number"],
            when=one["mark"]["moment"],
        )
        for corner, own in record.read.items()
        for name, one in own.items()
    )


def joint_states(record: Record) -> tuple[JointState, ...]:
    """Every joint, the open ones first."""
    found = [
        JointState(
            joint=joint,
            place=one.get("place", "car"),
            state=one["state"],
            torque_nm=one.get("torque"),
            angle_deg=one.get("angle"),
            tool=one.get("tool"),
            stood=one.get("stood"),
            clamp_at=one.get("clamp_at", "any"),
            bolt=one.get("bolt"),
            new_bolt_each_time=bool(one.get("new_bolt_each_time")),
            thread_lock=one.get("thread_lock"),
            marked=one.get("marked"),
            number=one["mark"]["number"],
            when=one["mark"]["moment"],
            open=joint_open(one),
        )
        for joint, one in record.joints.items()
    ]
    return tuple(sorted(found, key=lambda one: (one.open is None, one.place, one.joint)))


# ---------------------------------------------------------------------- what changed


def difference(before: Record, after: Record, book: str) -> DiffResult:
    """What changed between two moments, whichever way round they are given."""
    if after.step < before.step:
        before, after = after, before
    return DiffResult(
        book=book,
        car=after.name,
        since=before.moment,
        until=after.moment,
        entries=after.step - before.step,
        changes=changes(before, after),
    )


def by_group(found: Iterable[Change]) -> dict[str, tuple[Change, ...]]:
    """Changes by what they are about, in the order of `changes`, their names without that."""
    groups: dict[str, list[Change]] = {}
    for one in found:
        start = next(start for start, _ in _GROUPS if one.what.startswith(start))
        what = one.what.removeprefix(start)
        groups.setdefault(GROUP_TITLES[start], []).append(one.model_copy(update={"what": what}))
    return {title: tuple(ones) for title, ones in groups.items()}


def changes(before: Record, after: Record) -> tuple[Change, ...]:
    """Everything that is not as it was."""
    found: list[Change] = []
    for what, words in _GROUPS:
        was, now = words(before), words(after)
        for name in dict.fromkeys((*was, *now)):
            if was.get(name) != now.get(name):
                found.append(Change(what=f"{what}{name}", before=was.get(name), after=now.get(name)))
    return tuple(found)


def _flat(value: Any, path: str = "") -> dict[str, str]:
    """Fields of a document by dotted path; settings are told apart."""
    if isinstance(value, dict):
        return {
            name: said
            for key, one in value.items()
            if not (key == "setting" and ".adjusters." in f"{path}.")
            for name, said in _flat(one, f"{path}.{key}" if path else str(key)).items()
        }
    if isinstance(value, list):
        found: dict[str, str] = {}
        for place, one in enumerate(value):
            found |= _flat(one, f"{path}[{place}]")
        return found
    return {path: json.dumps(value, ensure_ascii=False)}


def _document(record: Record) -> dict[str, str]:
    return _flat(record.docs[record.doc]) if record.doc else {}


def _joint_words(one: Mapping[str, Any]) -> str:
    return _joint({**one, "joint": "", "place": "car"}).strip()


def _values(record: Record) -> dict[str, str]:
    return {
        f"{corner.replace('_', ' ')} {READING_KEYS[name]}": f"{one['value']:g}"
        for corner, own in record.read.items()
        for name, one in own.items()
    }


def _money(record: Record) -> dict[str, str]:
    unit = f" {record.currency}" if record.currency else ""
    return {
        "driven": f"{record.km:g} km",
        "spent": f"{record.cents / 100:.2f}{unit}",
        "work": f"{record.hours:g} h",
    }


_GROUPS: tuple[tuple[str, Any], ...] = (
    ("setting ", lambda record: {name: f"{value:.2f} mm" for name, value in record.settings.items()}),
    ("part ", lambda record: dict.fromkeys(record.parts, "on the car")),
    ("kept ", lambda record: {key: one["where"] for key, one in record.kept.items()}),
    ("car file ", _document),
    ("read ", _values),
    ("joint ", lambda record: {joint: _joint_words(one) for joint, one in record.joints.items()}),
    ("finding ", lambda record: {name: f"{one['what']}: {one['says']}" for name, one in record.findings.items()}),
    ("put off ", lambda record: {name: one["job"] for name, one in record.put_off.items()}),
    ("targets ", lambda record: _flat(record.targets) if record.targets else {}),
    ("", _money),
)

GROUP_TITLES = {
    "setting ": "Settings",
    "part ": "Parts",
    "kept ": "Kept for later",
    "car file ": "The car's own file",
    "read ": "Readings",
    "joint ": "Joints",
    "finding ": "Found",
    "put off ": "Put off",
    "targets ": "Wanted",
    "": "So far",
}
