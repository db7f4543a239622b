"""A car that is being entered: each answer on the disk as it is typed, until its papers are written."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from cornerwright.book.making import make_book
from cornerwright.book.store import FILE
from cornerwright.model.car import Car
from cornerwright.model.entry import CarDescribed, Entry, ReadingTaken, TargetsSet
from cornerwright.model.errors import Refusal
from cornerwright.model.files import write_text
from cornerwright.model.mirror import with_right_corners
from cornerwright.model.reading import Readings
from cornerwright.model.target import Targets
from cornerwright.planning.starting.asked import Given, Remark, Step
from cornerwright.planning.starting.papers import papers
from cornerwright.planning.starting.remarks import remarks
from cornerwright.planning.starting.steps import steps
from cornerwright.web.desk import Desk
from cornerwright.web.ledger import Ledger
from cornerwright.web.papers import BOOK_IN_FOLDER

PREFIX = "start."
AT = "at.start"
"""Field of the ledger that holds the step that was last looked at."""
NAME = re.compile(r"[a-z][a-z0-9_.]{0,80}")
LONGEST_ANSWER = 200
LONGEST_FOLDER = 40


def has_car(where: Path) -> bool:
    """Whether there is a car to open: a file, a book, or a folder with either."""
    inside = (FILE, "car.yaml", f"{BOOK_IN_FOLDER}/{FILE}")
    return where.is_file() or any((where / one).is_file() for one in inside)


def is_new(where: Path) -> bool:
    """Whether a car may be begun there: a folder without one, or a name that is free and no file's."""
    if where.exists():
        return where.is_dir() and not has_car(where)
    return where.suffix == "" and where.absolute().parent.is_dir()


def _not_another(path: Path, text: str) -> None:
    """Refuse to write over a file that a beginning did not leave: one with the same first line it may."""
    try:
        first = path.read_text(encoding="utf-8").partition("\n")[0]
    except FileNotFoundError:
        return
    except (OSError, UnicodeDecodeError):
        first = ""
    if first != text.partition("\n")[0]:
        raise Refusal.of("a file that is there already", "a folder without one of that name", file=str(path))


class Beginning:
    """A car that is being entered. Use it from any thread."""

    def __init__(self, folder: Path, ledger: Path | None = None) -> None:
        """folder: where its papers will lie; made if need be. Raises Refusal.

        ledger: another place for what is entered; then the papers go into a new folder beside `folder`, named after
        the car.
        """
        self.folder = folder
        self.beside = ledger is not None
        if ledger is None:
            try:
                folder.mkdir(exist_ok=True)
            except OSError as error:
                found = (error.strerror or "no folder").lower()
                raise Refusal.of(found, "a place for a new folder", file=str(folder)) from None
        self._path = folder / "car.entered.jsonl" if ledger is None else ledger
        self.ledger = Ledger(self._path)
        self.written: Path | None = None
        """Where the papers are, once they are written."""
        self.desk: Desk | None = None
        """The car, once it is open in this app."""
        self.address: str | None = None
        """Where phones reach this app."""

    def close(self) -> None:
        """Let everything go."""
        if self.desk is not None:
            self.desk.close()
        self.ledger.close()

    @property
    def given(self) -> Given:
        """All answers."""
        return Given({name: line.text or "" for name, line in self.ledger.under(PREFIX)})

    @property
    def stamp(self) -> str:
        """Another one means that a screen is to be shown anew."""
        return f"{self.ledger.version} {self.written}"

    @property
    def steps(self) -> tuple[Step, ...]:
        """As the answers have them."""
        return steps(self.given)

    def enter(self, name: str, text: str, who: str = "") -> None:
        """Store an answer as the hand typed it. Raises Refusal when the disk cannot."""
        if not NAME.fullmatch(name):
            raise Refusal.of(f"'{name[:40]}'", "the name of a question")
        text = text.strip()[:LONGEST_ANSWER]
        if (self.ledger.get(PREFIX + name) or "") != text:
            self.ledger.put(PREFIX + name, text or None, who)

    def remarks(self, step: Step) -> dict[str, Remark]:
        """What is to be said about the answers of a step, by question."""
        return remarks(step, self.given)

    @property
    def at(self) -> str:
        """The step that was last looked at."""
        found = self.ledger.get(AT)
        names = [step.name for step in self.steps]
        return found if found in (*names, "all") else names[0]

    def look_at(self, step: str) -> None:
        """Remember the step."""
        if self.ledger.get(AT) != step:
            self.ledger.put(AT, step)

    @property
    def place(self) -> Path:
        """Folder that the papers go into."""
        if not self.beside:
            return self.folder
        name = re.sub(r"[^a-z0-9]+", "-", self.given.text("name").lower()).strip("-")[:LONGEST_FOLDER].strip("-")
        return self.folder.absolute().parent / (name or "new-car")

    def write(self, book: bool, who: str = "") -> Path:
        """Write car, readings and targets, with a book if wanted; the car last, so that it is whole or not there.

        Raises Refusal, with all that is missing.
        """
        now = datetime.now().astimezone().replace(microsecond=0)
        made = papers(self.given, now.date(), who)
        place = self.place
        if has_car(place):
            raise Refusal.of("a car that is there already", "a folder without one", file=str(place))
        try:
            place.mkdir(exist_ok=True)
        except OSError as error:
            raise Refusal.of((error.strerror or "no folder").lower(), "a new folder", file=str(place)) from None
        for name, text in (("readings.yaml", made.readings_text), ("targets.yaml", made.targets_text)):
            if text is not None:
                _not_another(place / name, text)
        if made.readings_text is not None:
            write_text(place / "readings.yaml", made.readings_text, Readings)
        if made.targets_text is not None:
            write_text(place / "targets.yaml", made.targets_text, Targets)
        if book:
            bodies: list[object] = [CarDescribed(kind="car", car=made.car)]
            if made.targets is not None:
                bodies.append(TargetsSet(kind="targets", targets=made.targets))
            if made.readings is not None:
                bodies.append(ReadingTaken(kind="reading", reading=made.readings.latest))
            entries = [Entry.model_validate({"when": now, "who": who or None, "body": body}) for body in bodies]
            make_book(place / BOOK_IN_FOLDER, entries).close()
        write_text(place / "car.yaml", made.car_text, Car, with_right_corners)
        self.ledger.clear(PREFIX, AT)
        self.written = place
        return place

    def open(self, then: Callable[[Desk], None]) -> None:
        """Open the car that was written, in place of its beginning. Raises Refusal."""
        if self.desk is not None or self.written is None or self.beside:
            return
        self.ledger.close()
        try:
            self.desk = Desk(self.written)
        except BaseException:
            self.ledger = Ledger(self._path)
            raise
        self.desk.address = self.address
        then(self.desk)
