"""Write the invented book of the invented Tarn Fell 1300: three months of a build that never was.

    python examples/tarn_fell/make_book.py

makes the folder `book` beside this file anew: an export, as `cornerwright book export` packs it. To have it as a book:

    cornerwright book import examples/tarn_fell/book tarn_fell.book

Every part, price, name and picture in it is invented.
"""

from __future__ import annotations

import json
import random
import struct
import zlib
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from cornerwright.book.tables import FIRST, chained
from cornerwright.book.transfer import ENTRIES, FORMAT, MANIFEST, PHOTOS, Manifest, line_of
from cornerwright.model.carfile import load_car, load_readings, load_targets
from cornerwright.model.entry import Entry

HERE = Path(__file__).parent
NAMES = UUID("7c1d0f4e-5a52-4d0b-9d4e-1a9d7a6b2f01")
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")

MOVES = (
    ("front_left.perch", 17.5), ("front_right.perch", 7.0), ("front_right.body", 27.75),
    ("rear_left.perch", 14.5), ("rear_right.perch", 15.25),
    ("rear_left.body", 18.25), ("rear_right.body", 18.25),
    ("front_left.camber_plate", -2.5), ("front_left.caster_plate", 12.0), ("front_right.camber_plate", -10.5),
    ("rear_right.inner_cam", -0.8), ("front_left.tie_rod", 30.75), ("front_right.tie_rod", 30.5),
    ("rear_left.outer_cam", -3.2), ("rear_right.outer_cam", -1.6), ("front.bar_link", 8.75),
)  # fmt: skip
"""The first pass, as planned from the readings beside this file."""

AFTER_PASS = {
    "front_left": {"height": 605.5, "load": 237.8, "camber": -1.92, "toe": 0.02, "caster": 4.5},
    "front_right": {"height": 604.0, "load": 235.1, "camber": -1.88, "toe": 0.03, "caster": 4.65},
    "rear_left": {"height": 616.0, "load": 206.4, "camber": -1.38, "toe": 0.11, "damper_length": 355.0},
    "rear_right": {"height": 616.5, "load": 204.1, "camber": -1.4, "toe": 0.12, "damper_length": 356.0},
}


def picture(seed: int, ground: tuple[int, int, int], spots: tuple[int, int, int]) -> bytes:
    """A small PNG of blotches on a ground: an invented photo."""
    draw = random.Random(seed)
    width, height = 160, 120
    rows = [[0] * width for _ in range(height)]
    for _ in range(9):
        x, y, r = draw.randrange(width), draw.randrange(height), draw.randrange(5, 22)
        for j in range(max(0, y - r), min(height, y + r)):
            for i in range(max(0, x - r), min(width, x + r)):
                if (i - x) ** 2 + (j - y) ** 2 < r * r * draw.uniform(0.6, 1.0):
                    rows[j][i] = 1
    raw = b"".join(b"\0" + bytes(row) for row in rows)

    def chunk(name: bytes, content: bytes) -> bytes:
        body = name + content
        return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        (chunk(b"IHDR", head), chunk(b"PLTE", bytes((*ground, *spots))), chunk(b"IDAT", zlib.compress(raw, 9)),
         chunk(b"IEND", b""))
    )  # fmt: skip


class Diary:
    """Entries one after the other, each some minutes after the last."""

    def __init__(self) -> None:
        self.when = datetime(2026, 2, 2, 18, 0, tzinfo=UTC)
        self.entries: list[Entry] = []
        self.photos: dict[str, bytes] = {}

    def evening(self, month: int, day: int) -> None:
        """Go on at six in the evening of this day."""
        self.when = datetime(2026, month, day, 18, 0, tzinfo=UTC)

    def say(
        self, who: str, kind: str, *, settles: tuple[str, ...] = (), photo: bytes | None = None, **body: Any
    ) -> Entry:
        """One entry; its photo is kept."""
        self.when += timedelta(minutes=7)
        digests = []
        if photo is not None:
            digests = [sha256(photo).hexdigest()]
            self.photos[digests[0]] = photo
        entry = Entry.model_validate(
            {
                "id": uuid5(NAMES, str(len(self.entries))).hex,
                "when": self.when,
                "who": who,
                "photos": digests,
                "settles": settles,
                "body": {"kind": kind, **body},
            }
        )
        self.entries.append(entry)
        return entry

    @property
    def number(self) -> int:
        """Of the last entry."""
        return len(self.entries)


def diary() -> Diary:
    """The whole build."""
    book = Diary()
    say = book.say
    _february(book)
    _march(book)
    _april(book)
    book.evening(5, 2)
    for side in ("left", "right"):
        setting = {"left": 26.5, "right": 27.25}[side]
        say(
            "M.", "move", adjuster=f"rear_{side}.perch", setting_to=setting, did="collar down on the arm's pad (car up)"
        )
    say("M.", "note", says="Rear raised four turns a side for the trailer's ramp; what else does that change?")
    return book


def _february(book: Diary) -> None:
    say = book.say
    say("R.", "car", car=load_car(HERE / "car.yaml"), currency="EUR")
    wanted = load_targets(HERE / "targets.yaml").to_document()
    wanted["rear"]["toe"]["within"] = 0.03
    say("R.", "targets", targets=wanted)
    book.evening(2, 3)
    say("R.", "finding", what="rust", place="rear_left", says="inner sill behind the jacking point, palm of a hand",
        stops_driving=True, photo=picture(1, (150, 152, 160), (122, 70, 38)))  # fmt: skip
    rust = f"finding_{book.number}@rear_left"
    say("R.", "finding", what="stiff", place="rear_right", says="damper pin seized in the arm's eye",
        photo=picture(2, (60, 62, 66), (140, 92, 60)))  # fmt: skip
    pin = f"finding_{book.number}@rear_right"
    say("M.", "finding", what="play", place="front_left", says="lower ball joint, 1 mm at the rim", stops_driving=True)
    ball = f"finding_{book.number}@front_left"
    say("M.", "finding", what="crack", place="rear_right", says="rubber of the outer arm bush split half round")
    bush = f"finding_{book.number}@rear_right"
    book.evening(2, 5)
    for corner in CORNERS:
        say("M.", "removed", part="damper", place=corner, kept="shelf B, for the core deposit")
    for corner in CORNERS[2:]:
        say("R.", "removed", part="coil spring", place=corner, kept="shelf B, tagged")
    say("R.", "put_off", job="paint the underside of the new sill", place="rear_left", until="when the weather is warm",
        stands="raised", hours=3, price=24)  # fmt: skip
    book.evening(2, 9)
    say("K.", "done", job="cut out and weld the inner sill", place="rear_left", hours=6.5, price=31.4, settles=(rust,),
        photo=picture(3, (150, 152, 160), (70, 72, 78)))  # fmt: skip
    say("M.", "done", job="pressed the seized pin out, eye reamed", place="rear_right", hours=2.25, price=8.0,
        settles=(pin,))  # fmt: skip
    book.evening(2, 14)
    say("R.", "fitted", part="lower ball joint", place="front_left", price=38.9, source="spares by post")
    say(
        "R.",
        "fitted",
        part="lower ball joint",
        place="front_right",
        price=38.9,
        source="spares by post",
    )
    say("R.", "done", job="both lower ball joints renewed", place="front", hours=2.5, settles=(ball,))
    for corner in CORNERS[2:]:
        for where in ("inner", "outer"):
            say("M.", "fitted", part=f"{where} arm bush", place=corner, price=19.5, source="spares by post")
            say("M.", "joint", joint=f"{corner.replace('_', ' ')} {where} arm bush", place=corner, state="finger_tight",
                clamp_at="ride_height", bolt="new", new_bolt_each_time=True)  # fmt: skip
    say("M.", "done", job="arm bushes pressed in, both sides", place="rear", hours=3.5, settles=(bush,))
    book.evening(2, 21)
    for corner in CORNERS:
        say("R.", "fitted", part="damper", place=corner, price=112.0, source="maker, adjustable body")
    for corner in CORNERS[2:]:
        say("R.", "fitted", part="coil spring", place=corner, price=58.0, source="wound to order, 84 N/mm")
    for corner in CORNERS[:2]:
        say("R.", "fitted", part="main spring with helper", place=corner, price=74.0, source="maker")
        say("R.", "fitted", part="camber plate top mount", place=corner, price=96.0, source="maker")
    say("R.", "done", job="springs and dampers in, all corners", hours=7.0)


def _march(book: Diary) -> None:
    say = book.say
    book.evening(3, 3)
    for corner in CORNERS[:2]:
        say("K.", "fitted", part="brake caliper", place=corner, price=64.0, source="breaker, rebuilt", used=True)
        say("K.", "fitted", part="brake disc", place=corner, price=33.0, source="spares by post")
        say("K.", "fitted", part="brake pads", place=corner, price=24.5, source="spares by post")
        say("K.", "fitted", part="brake hose", place=corner, price=17.0, source="maker, braided")
    for corner in CORNERS[2:]:
        say("K.", "fitted", part="brake hose", place=corner, price=17.0, source="maker, braided")
    for corner in CORNERS[:2]:
        say("K.", "joint", joint=f"{corner.replace('_', ' ')} caliper bolts", place=corner, torque=58,
            tool="wrench 20 to 100 N·m", bolt="new", thread_lock="medium")  # fmt: skip
    say("K.", "done", job="calipers, discs, hoses", place="front", hours=4.0)
    book.evening(3, 8)
    say("K.", "done", job="bled all four, fluid new, pedal hard", hours=1.5, price=18.0, settles=("bleed@car",))
    slip = say("M.", "joint", joint="front left strut foot clamp", place="front_left", torque=54,
               tool="wrench 20 to 100 N·m", bolt="reused")  # fmt: skip
    say("M.", "joint", joint="front right strut foot clamp", place="front_right", torque=45,
        tool="wrench 20 to 100 N·m", bolt="reused")  # fmt: skip
    say("M.", "correction", corrects=slip.id, says="read off the wrong scale",
        instead={"kind": "joint", "joint": "front left strut foot clamp", "place": "front_left", "torque": 45,
                 "tool": "wrench 20 to 100 N·m", "bolt": "reused"})  # fmt: skip
    book.evening(3, 15)
    for corner in CORNERS:
        say("R.", "fitted", part="wheel 6 J x 13", place=corner, price=45.0, source="club member", used=True)
        say("R.", "joint", joint=f"{corner.replace('_', ' ')} wheel nuts", place=corner, torque=80,
            tool="wrench 40 to 200 N·m", bolt="reused")  # fmt: skip
    say("R.", "put_off", job="clamp the rear arm bushes", place="rear",
        stands="on_wheels", hours=0.75, stops_driving=True)  # fmt: skip
    say("R.", "put_off", job="fit the long studs that came for the spacers", place="rear",
        until="when the spacers have come", stands="raised", hours=1.5)  # fmt: skip
    say("K.", "finding", what="wear", place="rear_right", says="tyre 2.5 mm on the inner rib, 5 mm on the outer")
    book.evening(3, 22)
    say("M.", "done", job="steering rack centred, track rods greased", place="front", hours=1.25)
    say("M.", "note", says="Scales levelled with lino and shims; marks on the floor for all four wheels.")


def _april(book: Diary) -> None:
    say = book.say
    clamp = next(
        f"later_{k}@rear"
        for k, one in enumerate(book.entries, 1)
        if "clamp the rear" in str(getattr(one.body, "job", ""))
    )
    book.evening(4, 11)
    first = load_readings(HERE / "readings.yaml").latest
    say("R.", "reading", reading=first)
    book.evening(4, 12)
    for adjuster, setting in MOVES:
        say("R." if adjuster.startswith("front") else "M.", "move", adjuster=adjuster, setting_to=setting)
    say("R.", "done", job="first pass of settings", hours=2.0, settles=("lock_nuts@front", "lock_nuts@rear"))
    book.evening(4, 14)
    again = {"when": "2026-04-14", "who": "R.", "how": "as before", **AFTER_PASS}
    say("R.", "reading", reading=again)
    for corner in CORNERS[2:]:
        for where in ("inner", "outer"):
            say("M.", "joint", joint=f"{corner.replace('_', ' ')} {where} arm bush", place=corner, torque=72,
                tool="wrench 40 to 200 N·m", stood="ride_height", clamp_at="ride_height", bolt="new",
                new_bolt_each_time=True)  # fmt: skip
    say("M.", "done", job="bushes clamped, car on its wheels", hours=1.0,
        settles=(clamp, "bushes@front", "bushes@rear", "bar@front"))  # fmt: skip
    say("K.", "done", job="hoses and cable looked over, droop to bump, lock to lock", hours=0.5,
        settles=("hoses@front", "hoses@rear", "cables@rear", "damper@front", "damper@rear"))  # fmt: skip
    say("K.", "done", job="lamps aimed at the wall", hours=0.5, settles=("lamps@car", "steering_wheel@front"))
    book.evening(4, 18)
    say("R.", "drive", distance=12)
    say("R.", "done", job="pads and discs bedded on the airfield", hours=1.0, settles=("bed_in@front", "bed_in@car"))
    book.evening(4, 25)
    say("R.", "drive", distance=58)
    for corner in CORNERS:
        end = corner.partition("_")[0]
        say("M.", "joint", joint=f"{corner.replace('_', ' ')} wheel nuts", place=corner, torque=80,
            tool="wrench 40 to 200 N·m", bolt="reused", settles=(f"wheel_nuts@{end}",))  # fmt: skip
    say("R.", "drive", distance=9)


def write(folder: Path) -> None:
    """The export as a folder: entries as JSON lines, photos, the manifest with their digests."""
    book = diary()
    (folder / PHOTOS).mkdir(parents=True, exist_ok=True)
    lines, digest = [], FIRST
    for number, one in enumerate(book.entries, 1):
        digest = chained(digest, number, one.line())
        lines.append(line_of(number, digest, one.line()) + "\n")
    content = "".join(lines).encode()
    photos = {name: f"{PHOTOS}/{name}.png" for name in sorted(book.photos)}
    for name, file in photos.items():
        (folder / file).write_bytes(book.photos[name])
    (folder / ENTRIES).write_bytes(content)
    manifest = Manifest(
        format=FORMAT,
        book=uuid5(NAMES, "the book").hex,
        car="Tarn Fell 1300 hillclimb saloon",
        invented=True,
        entries=len(book.entries),
        sha256=sha256(content).hexdigest(),
        head=digest,
        photos=photos,
    )
    (folder / MANIFEST).write_text(json.dumps(manifest.to_document(), indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(HERE / "book")
