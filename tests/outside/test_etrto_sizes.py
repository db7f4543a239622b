"""Published: design dimensions of tyres by ETRTO and UN R30 annex 5, light trucks by UN R54 annex 5; from memory.

Tables print whole millimetres: section width to half a mm, diameter exactly. Of the rims a size may go on memory is
least certain; what is held there is our guide against those rows.
"""

import pytest

from cornerwright.mechanics.tyres import INCH, diameter_range, overall_diameter, rim_range, section_width
from cornerwright.model.tyre_marking import TyreMarking
from evidence import Outside

ETRTO = Outside("tyres", "ETRTO and UN R30 annex 5, design dimensions of tyres", "standard", memory=True)
R54 = Outside("tyres", "UN R54 annex 5, light truck tyres", "standard", memory=True)
GUIDE = Outside("tyres", "rims that tables allow for a size", "common practice", memory=True)

SIZES = [
    # marking, measuring rim [in], section width, overall diameter [mm], permitted rims [in]
    ("205/55R16", 6.5, 214, 632, (5.5, 7.5)),
    ("225/45R17", 7.5, 225, 634, (7.0, 8.5)),
    ("245/40R18", 8.5, 248, 653, (8.0, 9.5)),
    ("195/65R15", 6.0, 201, 635, (5.5, 7.0)),
    ("235/45R17", 8.0, 236, 644, (7.5, 9.0)),
    ("225/50R17", 7.0, 233, 658, (6.0, 8.0)),
    ("185/60R14", 5.5, 189, 578, (5.0, 6.5)),
    ("175/65R14", 5.0, 177, 584, (5.0, 6.0)),
    ("215/45R17", 7.0, 213, 626, (7.0, 8.0)),
    ("205/50R17", 6.5, 214, 638, (5.5, 7.5)),
    ("265/35R18", 9.5, 271, 643, (9.0, 10.5)),
]


@pytest.mark.parametrize(("text", "rim", "section", "diameter", "rims"), SIZES)
def test_metric_sizes(text, rim, section, diameter, rims):
    size = TyreMarking.read(text)
    ETRTO.agrees(
        "section width of a tyre", section, section_width(size.width, size.aspect, rim * INCH) * 1e3, "mm", abs=0.5
    )
    ETRTO.agrees(
        "overall diameter of a tyre",
        diameter,
        overall_diameter(size.width, size.aspect, size.rim_code) * 1e3,
        "mm",
        abs=1e-6,
    )
    GUIDE.agrees(
        "narrowest and widest rim of a size", rims, [width / INCH for width in rim_range(size.width, size.aspect)], "in"
    )


@pytest.mark.parametrize(
    ("text", "diameter", "section", "rim"),
    [
        ("LT245/75R16", 774, 248, 7.0),
        ("30x9.50R15LT", 750, 240, 7.5),
        ("31x10.50R15LT", 775, 268, 8.5),
        ("33x12.50R15LT", 826, 318, 10.0),
        ("35x12.50R15LT", 877, 318, 10.0),
    ],
)
def test_light_truck_sizes(text, diameter, section, rim):
    size = TyreMarking.read(text)
    found = overall_diameter(size.width, size.aspect, size.rim_code, size.diameter)
    R54.agrees("overall diameter of a light truck tyre", diameter, found * 1e3, "mm", abs=1.0)
    R54.agrees(
        "section width of a light truck tyre",
        section,
        section_width(size.width, size.aspect, rim * INCH) * 1e3,
        "mm",
        rel=0.02,
    )


def test_half_an_inch_of_rim_is_five_millimetres_of_tyre():
    wider = section_width(0.205, 0.55, 7.0 * INCH) - section_width(0.205, 0.55, 6.5 * INCH)
    ETRTO.agrees("section width for half an inch more of rim", 5.08, wider * 1e3, "mm")


def test_tolerance_of_the_diameter():
    """UN R30 6.1.5: 205/55R16, H = 113: 406 + 226 x 0.97 and x 1.04."""
    ETRTO.agrees(
        "least and greatest diameter of 205/55R16",
        [625.22, 641.04],
        [one * 1e3 for one in diameter_range(0.632, 16)],
        "mm",
    )
