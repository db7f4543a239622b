"""What the book's commands answer: the documents behind `--json`, each key with its unit in the name."""

from __future__ import annotations

from typing import Any, Literal

from cornerwright.model.results import CAUTION, Result

Standing = Literal["raised", "on_wheels", "either"]


class LogLine(Result):
    """One entry of the book."""

    number: int
    when: str
    who: str | None = None
    kind: str
    says: str
    corrected_by: int | None = None
    """Number of the entry that corrects it."""
    entry: dict[str, Any]
    """The entry as it was written."""


class LogResult(Result):
    """Entries in the order they were written."""

    book: str
    car: str
    entries: int
    """In the whole book."""
    lines: tuple[LogLine, ...]


class Costs(Result):
    """What the build has cost, and what the open jobs still need, as far as it was written down."""

    currency: str | None = None
    spent: float
    hours: float
    open_price: float
    """Of the jobs put off."""
    open_hours: float
    """Of the jobs put off as they were judged, of the others by our rough figures."""


class Setting(Result):
    """Where an adjuster stands."""

    adjuster: str
    setting_mm: float
    amount: float
    """Counted in `unit`."""
    unit: str


class PartHeld(Result):
    """A part on the car, or kept for later."""

    part: str
    place: str
    price: float | None = None
    source: str | None = None
    used: bool = False
    kept: str | None = None
    """Where it is kept; None: it is on the car."""
    since: int | None = None
    """Number of the entry."""


class ReadValue(Result):
    """What a gauge showed, by the last entry that has it."""

    corner: str
    reading: str
    """With its unit, as in `toe_deg`."""
    first: float
    last: float
    number: int
    when: str


class JointState(Result):
    """A threaded fastening as the book has it."""

    joint: str
    place: str
    state: str
    torque_nm: float | None = None
    angle_deg: float | None = None
    tool: str | None = None
    stood: str | None = None
    clamp_at: str
    bolt: str | None = None
    new_bolt_each_time: bool
    thread_lock: str | None = None
    marked: str | None = None
    """How it is marked once it is tight."""
    number: int
    when: str
    open: str | None = None
    """What is still to be done about it."""


class BookJointsResult(Result):
    """Every joint that the book knows, the open ones first."""

    book: str
    car: str
    joints: tuple[JointState, ...]
    caution: str = CAUTION


class CarNow(Result):
    """The car at one moment, as its book tells it."""

    book: str
    car: str
    at: str
    """The moment of the last event counted."""
    entries: int
    """Events counted."""
    driven_km: float
    costs: Costs
    settings: tuple[Setting, ...]
    parts: tuple[PartHeld, ...]
    kept: tuple[PartHeld, ...]
    read: tuple[ReadValue, ...]
    joints: tuple[JointState, ...]
    findings: tuple[str, ...]
    put_off: tuple[str, ...]
    written: str | None = None
    """File that the car as it then was has been written to."""
    caution: str = CAUTION


class Change(Result):
    """One thing that is not as it was."""

    what: str
    before: str | None
    after: str | None


class DiffResult(Result):
    """What changed between two moments."""

    book: str
    car: str
    since: str
    until: str
    entries: int
    """Events between them."""
    changes: tuple[Change, ...]


class Figure(Result):
    """A number behind a job."""

    place: str
    key: str
    """What it is, with its unit, as in `toe_deg`."""
    was: float | None
    """As it was when the job was last done, computed; None: there was none."""
    now: float | None
    shift: float | None
    tolerance: float | None = None
    """A shift beyond it makes the job stale; None: it is told, not judged."""


class Job(Result):
    """Something that is to be done."""

    name: str
    """To call it by, as in `toe@rear`."""
    title: str
    place: str
    do: str
    reason: str
    """What made it stale, and by how much."""
    rule: str
    """Why the trade wants it done."""
    source: str
    figures: tuple[Figure, ...] = ()
    stops_driving: bool = False
    stands: Standing
    waits: str | None = None
    """A condition that does not hold yet."""
    after: tuple[str, ...] = ()
    """Open jobs that come first."""
    minutes: float | None = None
    price: float | None = None
    entries: tuple[int, ...] = ()
    """Numbers of the entries that made it stale."""


class Visit(Result):
    """Jobs done while the car stands one way."""

    stands: Standing
    jobs: tuple[str, ...]


class JobsResult(Result):
    """Everything open, in working order; what stops the car being driven apart from the rest."""

    book: str
    car: str
    at: str
    stops_driving: tuple[str, ...]
    """Names of the jobs without which the car is not to be driven."""
    visits: tuple[Visit, ...]
    waiting: tuple[str, ...]
    """Names of the jobs whose condition does not hold yet."""
    jobs: tuple[Job, ...]
    """In working order, the waiting ones last."""
    costs: Costs
    link: str | None = None
    """What the code on a work card of these jobs says."""
    written: str | None = None
    caution: str = CAUTION


class AddResult(Result):
    """Entries that are safely in the book, and what they made stale."""

    book: str
    car: str
    written: tuple[int, ...]
    """Numbers of the entries."""
    ids: tuple[str, ...]
    stale: tuple[Job, ...]
    """Jobs that were not open before, or are worse than before."""
    settled: tuple[str, ...]
    """Names of jobs that were open and are not any more."""


class VerifyResult(Result):
    """Whether a book is whole."""

    book: str
    verdict: Literal["whole", "damaged"]
    entries: int
    photos: int
    unnamed_photos: int
    """Photos that no entry names: harmless, left by a writer that was stopped before its entry."""
    digest: str
    """Two books with the same one hold the same entries."""
    troubles: tuple[str, ...]


class BookResult(Result):
    """A book that was made, exported or imported."""

    book: str
    did: Literal["made", "exported", "imported"]
    file: str | None = None
    entries: int
    photos: int
    digest: str | None = None


class HandOverResult(Result):
    """The report of the whole car."""

    book: str
    car: str
    written: str
    open_jobs: int
    stops_driving: tuple[str, ...]
