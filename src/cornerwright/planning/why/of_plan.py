"""What `plan`, `learn` and `doubt` say of themselves: every number and its equation."""

from __future__ import annotations

from cornerwright.planning.why.explained import DEFINED, PRACTICE, Explained, of

DRAWN = "share of the cars drawn from what is believed in which it holds, the gauges' scatter on top"
LEARNED = "Tarantola, Inverse Problem Theory, ch. 3 (from memory)"
NORMAL = "normal distribution"
PROGRAM = (
    "whole steps with the least sum of -log(chance of each target) + 0.002 x minutes, under the hard limits, checked "
    "on the full model"
)
HIGHS = "mixed-integer program, HiGHS through SciPy; tests/outside/test_plan_brute_force.py"
ASKED = "the targets file"
SOBOL = "Sobol' (2001), Saltelli et al. (2010), Jansen (1999), from memory"
POSTERIOR = "C = I - J'(J J' + R)^-1 J, times the doubt before"

MOVE: dict[str, Explained] = {
    "steps": of("Smallest steps to take", PROGRAM, HIGHS),
    "amount": of("The same in the unit of the hand", "steps x step", DEFINED, "steps"),
    "from_": of("Setting before", "as the readings or the car file have it", DEFINED),
    "to": of("Setting after", "before + amount", DEFINED, "from_ amount"),
    "from_mm": of("Travel before", "setting x pitch", DEFINED),
    "to_mm": of("Travel after", "setting x pitch", DEFINED),
    "minutes": of("Work of this move", "table by kind of adjuster, or as the car file has it", PRACTICE),
}  # fmt: skip
SHORT: dict[str, Explained] = {
    "predicted": of("What the gauge will show", "full model at the plan's settings", LEARNED),
    "low": of("Least that is wanted", "aim - within", ASKED),
    "high": of("Most that is wanted", "aim + within", ASKED),
}  # fmt: skip
PLAN: dict[str, Explained] = {
    "stages.by_gauge.shows": of("What the gauge must show at this stage", "value then - what later stages add",
                                PRACTICE),
    "stages.by_gauge.leave_within": of("Off by no more than this, nothing is turned",
                                       "half of a step's effect", DEFINED),
    "stages.by_gauge.per_unit": of("Change of the reading for one unit", "exact sensitivity x pitch", LEARNED),
    "stages.predicted": of("What the gauges will show after this stage", "full model at the settings then", LEARNED),
    "predicted.now": of("What it shows now", "as read, or as computed where it was not", DEFINED),
    "predicted.value": of("What it will show", "full model at the plan's settings, most probable car", LEARNED),
    "predicted.sigma": of("Standard deviation of that", "sqrt(G C G' + gauge²), what is set by the gauge: its scatter",
                          LEARNED),
    "predicted.low": of("Least that is wanted", "aim - within", ASKED),
    "predicted.high": of("Most that is wanted", "aim + within", ASKED),
    "predicted.chance": of("Probability that it is inside", DRAWN, NORMAL, "value sigma low high"),
    "chance": of("Probability that everything wanted is inside at once", DRAWN, "counting"),
    "chance_unread": of("The same if nothing is read on the way", DRAWN, "counting"),
    "tight.chance": of("Probability that this reading is inside", DRAWN, "counting"),
    "tight.chance_if_wider": of("Chance of the pass with half as much tolerance again", DRAWN, "counting"),
    "parts.price": of("Price of the part", "given on the shelf", ASKED),
    "parts.rate_n_per_mm": of("Rate of the spring or bar", "given on the shelf", ASKED),
    "parts.minutes": of("Work of changing the part", "table by kind of part", PRACTICE),
    "alternatives.chance": of("Chance of the other way", DRAWN, "counting"),
    "alternatives.minutes": of("Work of the other way", "sum of its moves", DEFINED),
    "minutes": of("Work of the whole plan", "sum of moves and parts", DEFINED),
    "rounds": of("Linearisations used", "counted", DEFINED),
}  # fmt: skip
for _before in ("moves", "alternatives.moves"):
    PLAN |= {f"{_before}.{key}": one for key, one in MOVE.items()}
for _before in ("short_of", "alternatives.short_of"):
    PLAN |= {f"{_before}.{key}": one for key, one in SHORT.items()}

LEARN: dict[str, Explained] = {
    "passes_used": of("Passes that taught", "counted", DEFINED),
    "passes_without_settings": of("Passes that could not teach", "their settings are not named", DEFINED),
    "learned.change": of("Against what the car file says", "most probable z x doubt before", LEARNED),
    "learned.sigma": of("Standard deviation left", POSTERIOR, LEARNED),
    "learned.sigma_before": of("Standard deviation before", "the file's doubt", "the car file"),
    "more_learned": of("Lessons that are not told", "counted", DEFINED),
    "read_next.takes_off_percent": of("Share of the doubt that the reading would take off",
                                      "trace of the covariance before and after it", LEARNED),
}  # fmt: skip

DOUBT: dict[str, Explained] = {
    "rows": of("Cars in each sample that counted", "drawn - lost", DEFINED),
    "lost": of("Rows left out", "a car of theirs does not stand", DEFINED),
    "cars": of("Cars stood in all", "counted", DEFINED),
    "random": of("Number that the cars were drawn from", "given", "the question"),
    "readings.mean": of("Mean of the drawn cars", "mean", DEFINED),
    "readings.sigma": of("Scatter of the drawn cars", "standard deviation", DEFINED),
    "readings.low": of("Below this lie 5 % of them", "percentile", DEFINED),
    "readings.high": of("Above this lie 5 % of them", "percentile", DEFINED),
    "readings.causes.total_percent": of("Variance left if all else were known", "total Sobol' index", SOBOL),
    "readings.causes.alone_percent": of("Variance gone if only this were known", "first order Sobol' index", SOBOL),
    "readings.causes.scatter_percent": of("Scatter of the total index", "standard error of the sample", SOBOL),
    "measure.share_percent": of("Total index, averaged over readings", "mean", SOBOL),
    "measure.scatter_percent": of("Scatter of that average", "standard error of the sample", SOBOL),
    "compared.here": of("Mean of this car", "mean of the drawn cars", DEFINED),
    "compared.there": of("Mean of the other car", "mean of the cars drawn from the same numbers", DEFINED),
    "compared.difference": of("Mean of the differences", "mean over pairs of there - here", DEFINED),
    "compared.difference_low": of("Where that mean lies, 95 %", "difference - 1.96 x standard error", NORMAL),
    "compared.difference_high": of("Where that mean lies, 95 %", "difference + 1.96 x standard error", NORMAL),
    "compared.low": of("Below this differ 5 % of the pairs", "percentile", DEFINED),
    "compared.high": of("Above this differ 5 % of the pairs", "percentile", DEFINED),
    "compared.more_percent": of("Pairs in which the other car has more", "counted", DEFINED),
}  # fmt: skip
