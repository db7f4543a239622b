"""What the program answers about doubt: the document behind `cornerwright doubt --json`.

Like `results`: at the edge, in trade units. One reading's numbers are in the unit that stands beside them.
"""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Result


class Cause(Result):
    """One group of things not known for sure, and its share of a reading's doubt."""

    what: str
    """`front spring rate`, `rear jack table, camber`: both sides of an axle together."""
    total_percent: float
    """Variance that would be left if all else were known (total Sobol' index)."""
    alone_percent: float
    """Variance that would go if only this were known (first order index)."""
    scatter_percent: float
    """Standard deviation of the total index itself: it comes from a sample."""


class ReadingDoubt(Result):
    """What a reading will be, as far as the file goes, before it is taken."""

    place: str
    """A corner, or `car`."""
    reading: str
    unit: str
    mean: float
    sigma: float
    """One standard deviation."""
    low: float
    """5 % of the cars that the file could mean read less."""
    high: float
    """5 % read more."""
    causes: tuple[Cause, ...]
    """The five largest, largest first."""


class ToMeasure(Result):
    """A group of unknowns by what it does to all readings."""

    what: str
    share_percent: float
    """Its total index, averaged over all readings that vary."""
    scatter_percent: float
    """Standard deviation of that average: it comes from a sample."""
    most_on: str
    """The reading that it does most to."""
    how: str | None
    """How it is measured better, common practice; None where we know no way."""


class Compared(Result):
    """One figure of the other car less that of this one, each pair of cars drawn from the same numbers."""

    place: str
    reading: str
    unit: str
    here: float
    """Mean of this car; likewise the other's."""
    there: float
    difference: float
    """Mean of the differences."""
    difference_low: float
    """With `difference_high`: where that mean lies, 95 %; it comes from a sample."""
    difference_high: float
    low: float
    """5 % of the pairs differ by less."""
    high: float
    """5 % differ by more."""
    more_percent: float
    """Pairs in which the other car has more."""
    says: Literal["more", "less", "not sure"]
    """`more` or `less` where nine pairs of ten say so, all but the largest and the smallest twentieth."""


class DoubtResult(Result):
    """How sure the car's figures are, and what to measure better."""

    car: str
    of: tuple[Literal["stand", "corner", "road", "brakes"], ...]
    """The commands whose figures are asked about."""
    against: str | None
    """The car compared."""
    verdict: Literal["computed", "too few stand"]
    rows: int
    """Cars in each sample that counted."""
    lost: int
    """That did not, because one that belongs to them does not stand."""
    cars: int
    """Cars computed in all."""
    random: int
    """The number that the cars were drawn from; the same gives the same answer."""
    readings: tuple[ReadingDoubt, ...]
    measure: tuple[ToMeasure, ...]
    """What matters, most first."""
    compared: tuple[Compared, ...]
    """Empty where nothing is compared."""
    caution: str = CAUTION
