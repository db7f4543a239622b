"""Every joint of the car by place: what its file knows of it, what the book was told, and the entry that tells more."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from cornerwright.model.car import Car
from cornerwright.model.entry import PLACES
from cornerwright.model.errors import Refusal
from cornerwright.model.fastening import Tightening
from cornerwright.model.record import Record
from cornerwright.model.results_book import JointState
from cornerwright.model.results_joint import JointAnswer
from cornerwright.planning.joints import WHEEL, joint_answers
from cornerwright.planning.telling import joint_states

Told = Literal["tightened", "snug", "loose", "never told"]
Did = Literal["tightened", "snug", "loose", "marked"]

STATES: Mapping[str, Told] = {"tight": "tightened", "finger_tight": "snug", "loose": "loose"}


@dataclass(frozen=True)
class JointLine:
    """One joint."""

    name: str
    """As the book calls it: always the same for the same joint."""
    place: str
    words: str
    """The same without its place."""
    state: Told
    told_by: Literal["book", "car file"] | None
    answer: JointAnswer | None
    """What its document gives; None: the car file does not list it."""
    told: JointState | None
    """What the book was told last."""
    bush: bool
    """It clamps a rubber bush: final tightening at ride height."""
    renew: bool
    """Its maker asks for a new bolt or nut each time."""

    @property
    def value_nm(self) -> float | None:
        """The torque of its document, see `JointAnswer.torque_from` for whose it is."""
        return None if self.answer is None else self.answer.torque_nm

    @property
    def makers(self) -> bool:
        """Whether that torque is the maker's; ours is a check, no value to use."""
        return self.answer is not None and self.answer.torque_from == "maker"


def joint_sheet(car: Car, record: Record | None) -> tuple[JointLine, ...]:
    """Joints of the car's file in their order by place, then those that only the book knows."""
    told = {} if record is None else {_plain(one.joint): one for one in joint_states(record)}
    found = list(_of_file(car, told))
    known = {_plain(name) for line in found for name in (line.name, *_names(line.answer))}
    for key, state in told.items():
        if key not in known:
            found.append(_of_book(state))
    return tuple(sorted(found, key=lambda line: PLACES.index(line.place)))


def _names(answer: JointAnswer | None) -> tuple[str, ...]:
    return () if answer is None else (answer.name,)


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", name.lower()).strip()


def _of_file(car: Car, told: Mapping[str, JointState]) -> Iterator[JointLine]:
    for answer in joint_answers(car):
        tight, bush = _document(car, answer)
        words = _words(answer, bush)
        name = f"{answer.place.replace('_', ' ')} {words}"
        state = told.get(_plain(name)) or told.get(_plain(answer.name))
        stands: Told = {"tight": "tightened", "loose": "loose"}.get(tight.stands, "never told")  # type: ignore[assignment]
        yield JointLine(
            name=name if state is None else state.joint,
            place=answer.place,
            words=words,
            state=stands if state is None else STATES[state.state],
            told_by="book" if state is not None else None if stands == "never told" else "car file",
            answer=answer,
            told=state,
            bush=bush or (state is not None and state.clamp_at == "ride_height"),
            renew=tight.renew or (state is not None and state.new_bolt_each_time),
        )


def _of_book(state: JointState) -> JointLine:
    start = f"{state.place.replace('_', ' ')} "
    return JointLine(
        name=state.joint,
        place=state.place,
        words=state.joint.removeprefix(start),
        state=STATES[state.state],
        told_by="book",
        answer=None,
        told=state,
        bush=state.clamp_at == "ride_height",
        renew=state.new_bolt_each_time,
    )


def _document(car: Car, answer: JointAnswer) -> tuple[Tightening, bool]:
    """How its document says it is tightened, and whether it clamps a bush."""
    place, _, key = answer.name.partition(".")
    if place in car.corners:
        corner = car.corners[place]
        if key == WHEEL:
            assert corner.fastening is not None  # it was answered for
            return corner.fastening.tightening, False
        one = corner.joints[key]
    else:
        one = dict(zip(("front", "rear"), car.axles, strict=True))[place].joints[key]
    return one.tightening, one.bush


def _words(answer: JointAnswer, bush: bool) -> str:
    """Words by which the trade's rules know it: wheel nuts are tightened again, bushes are clamped at ride height."""
    key = answer.name.partition(".")[2]
    if answer.wheel is not None:
        return "wheel nuts" if answer.wheel.held_by == "stud" else "wheel bolts"
    words = key.replace("_", " ")
    return f"{words} bush" if bush and "bush" not in words else words


def find_joint(lines: tuple[JointLine, ...], name: str) -> JointLine:
    """The joint of this name, as the book or the car file calls it. Raises Refusal."""
    wanted = _plain(name)
    for line in lines:
        if wanted in {_plain(one) for one in (line.name, *_names(line.answer))}:
            return line
    raise Refusal.of(f"'{name[:60]}'", "a joint of this car")


def joint_body(
    line: JointLine,
    did: Did,
    *,
    torque: str = "",
    angle: str = "",
    tool: str = "",
    stood: str = "",
    bolt: str = "",
    marked: str = "",
    thread_lock: str = "",
) -> dict[str, Any]:
    """Body of the entry that tells what was done to a joint; empty texts are left out.

    A torque without a unit is in N·m, an angle in degrees.
    """
    body: dict[str, Any] = {"kind": "joint", "joint": line.name, "place": line.place}
    if did == "marked":
        return body | {"did": "marked", "marked": marked.strip() or "paint"}
    body |= {
        "state": {"tightened": "tight", "snug": "finger_tight", "loose": "loose"}[did],
        "clamp_at": "ride_height" if line.bush else "any",
        "new_bolt_each_time": line.renew,
    }
    if did != "tightened":
        return body
    given = {
        "torque": _number(torque),
        "angle": _number(angle),
        "tool": tool.strip(),
        "stood": stood,
        "bolt": bolt,
        "marked": marked.strip(),
        "thread_lock": thread_lock.strip(),
    }
    return body | {name: value for name, value in given.items() if value != ""}


def _number(text: str) -> float | str:
    plain = text.strip().replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return text.strip()
