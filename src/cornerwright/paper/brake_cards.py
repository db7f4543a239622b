"""The service cards of the brakes: one A4 page a card, in the order of the work."""

from __future__ import annotations

from cornerwright.model.results_brakes import BrakesResult
from cornerwright.paper.press import press

NOTES = {
    "wear": "In brackets: what was measured last; write the new value beside it.",
    "hoses": "Computed from the car's file at its present settings; mm. R: tightest bend, in brackets what its "
    "maker allows. A jack table knows nothing of lock: look.",
    "bedding": "Predicted for the hotter side of each axle, starting cold; rough, read the rotors.",
}


def service_pages(result: BrakesResult) -> bytes:
    """Every service card of this car (PDF). Raises DoesNotFitError for a card that needs more than a page."""
    data = {
        "title": f"Brake service: {result.car}",
        "car": result.car,
        "caution": result.caution,
        "cards": [
            {
                "title": card.title,
                "cautions": list(card.cautions),
                "steps": [{"says": step.says, "write": list(step.write)} for step in card.steps],
                "head": list(card.table_head),
                "rows": [list(row) for row in card.table],
                "note": NOTES.get(card.key, ""),
            }
            for card in result.cards
        ],
    }
    return press("brakes.typ", data)
