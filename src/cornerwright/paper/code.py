"""The square code on a work card: what it says, how it is read back, how it is drawn."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from urllib.parse import parse_qs, quote, urlencode, urlsplit

from cornerwright.model.entry import ENTRY_ID, JOB
from cornerwright.model.errors import Refusal

SCHEME = "cornerwright"
MOST = 900
"""A longer text makes a code that a telephone no longer reads from paper."""


def card_link(book_id: str, jobs: Sequence[str], app: str | None = None) -> str:
    """What opens the card of these jobs: in the app at this address, or by the program's own name."""
    base = f"{SCHEME}:" if app is None else app.rstrip("/")
    link = f"{base}/book/{book_id}/card"
    whole = f"{link}?{urlencode({'jobs': ','.join(jobs)}, quote_via=quote, safe='@,._')}"
    # Too many to name: the card then opens as everything that is open.
    return whole if len(whole) <= MOST else link


def read_link(link: str) -> tuple[str, tuple[str, ...]]:
    """Id of the book and names of the jobs; none: all that are open. Raises Refusal."""
    parts = urlsplit(link.strip())
    match = re.fullmatch(r"(?:.*)/book/([0-9a-f]{32})/card", parts.path)
    if match is None or not ENTRY_ID.fullmatch(match[1]):
        raise Refusal.of(f"'{link[:60]}'", "what the code on a work card says", field="--card")
    names = [name for one in parse_qs(parts.query).get("jobs", []) for name in one.split(",") if name]
    bad = next((name for name in names if not JOB.fullmatch(name)), None)
    if bad is not None:
        raise Refusal.of(f"the job '{bad[:60]}'", "what the code on a work card says", field="--card")
    return match[1], tuple(names)


def code_svg(text: str) -> str:
    """The code as SVG, its quiet zone included."""
    # Imported here: most who ask for a link draw no code.
    import segno  # noqa: PLC0415

    stream = io.BytesIO()
    segno.make(text, error="m", micro=False).save(stream, kind="svg", border=4, xmldecl=False, svgns=True)
    return stream.getvalue().decode()
