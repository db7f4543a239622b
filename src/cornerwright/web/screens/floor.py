"""The start: the car from above."""

from __future__ import annotations

from nicegui import ui

from cornerwright.drawing.lettering import place_words
from cornerwright.web.desk import Desk
from cornerwright.web.overview import WORDS, CornerCard, Floor, the_floor
from cornerwright.web.screens.frame import Words, box, link, picture, screen, worked_out

MOST_SAID = 2
CAR = """<svg viewBox="0 0 100 240" preserveAspectRatio="xMidYMid meet" role="img" aria-label="The car from above,
front at the top"><g fill="var(--plate)" stroke="var(--ink)" stroke-width="2"><rect x="8" y="38" width="16" height="40"
rx="3" fill="var(--ink)"/><rect x="76" y="38" width="16" height="40" rx="3" fill="var(--ink)"/><rect x="8" y="166"
width="16" height="40" rx="3" fill="var(--ink)"/><rect x="76" y="166" width="16" height="40" rx="3"
fill="var(--ink)"/><path d="M22 30 Q50 2 78 30 L84 92 L84 214 Q50 236 16 214 L16 92 Z"/><path d="M26 98 Q50 86 74 98
L70 118 Q50 110 30 118 Z M28 184 Q50 192 72 184 L70 170 Q50 176 30 170 Z" fill="var(--sunk)"/></g>
<path d="M50 30 l-8 14 h16 z" fill="var(--mark)"/></svg>"""


def register(desk: Desk) -> None:
    """The page at the root."""

    @ui.page("/")
    def floor_page() -> None:
        with screen("The floor", "/", desk.state.car.name):
            worked_out(lambda: the_floor(desk), _floor, "Looking at the car…", lambda: desk.stamp)


def _floor(told: Floor) -> None:
    if told.invented:
        Words("p", "An invented car, to try things on.", "soft")
    if told.stops:
        with box("plate out").props('role="status"'):
            Words("span", "not to be driven", "word out")
            for words in told.stops[:6]:
                Words("p", words)
            if len(told.stops) > 6:
                Words("p", f"and {len(told.stops) - 6} more", "soft")
    with box("row"):
        link(told.next_says, told.next_go, "tap first")
    with box("floor"):
        _corner(told.corners["front_left"], "")
        picture(CAR, "shape")
        _corner(told.corners["front_right"], "right-side")
        _corner(told.corners["rear_left"], "")
        _corner(told.corners["rear_right"], "right-side")
    for words in told.of_car:
        with box("plate out"):
            Words("span", "whole car", "word out")
            Words("p", words)


def _corner(card: CornerCard, side: str) -> None:
    tone = "soft" if card.standing == "unread" else card.standing
    with box(f"plate {tone} {side}"):
        Words("h2", place_words(card.corner))
        Words("span", WORDS[card.standing], f"word {tone}")
        for words in card.says[:MOST_SAID]:
            Words("p", words)
        if len(card.says) > MOST_SAID:
            Words("p", f"and {len(card.says) - MOST_SAID} more", "soft")
        with box("row").style("margin-top:8px"):
            link("open", card.go).props(f'aria-label="open {place_words(card.corner)}"')
            if not card.go.startswith("/corner"):
                link("corner", f"/corner/{card.corner}").props(f'aria-label="corner {place_words(card.corner)}"')
