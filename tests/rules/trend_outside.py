"""Compares what trend.c says of a thousand made series with matrices, and with SciPy.

The line by (X'WX)^-1 X'W, its covariance by the full covariance matrix of the readings between two
of these, its days by looking at one day after the other, its bounds by SciPy's root finder.

usage: trend_outside.py PROGRAM     exit status 1 when any differs, 77 (skipped) without SciPy
"""
import json
import math
import subprocess
import sys

try:
    import numpy
    from scipy import optimize, stats
except ImportError as missing:
    print(f"skipped: {missing} (Debian: python3-scipy)")
    sys.exit(77)

TOLERANCE = 1e-9
FAR_DAYS = 36525
Z = stats.norm.ppf(0.975)


def covariance_of(case):
    """Of the readings: what each scatters by, and what those of one meter share."""
    day, value, meter, percent, uohm, extra = numpy.array(case["points"]).T
    size = case["first_m"] if case["drop"] else value[0]
    share = numpy.maximum(0.5 * numpy.sqrt(case["temp"] ** 2 + case["repeat"] ** 2 + extra ** 2),
                          max(case["scatter"], 1e-4))
    common = percent / 100 * size if case["drop"] else 0.5 * (percent / 100 * size + uohm)
    own = numpy.diag((size * share) ** 2)
    return day, value, own, own + numpy.outer(common, common) * (meter[:, None] == meter[None, :])


def line_of(day, value, own, covariance):
    """Mean day, level, slope, and the covariance of the last two."""
    weight = numpy.linalg.inv(own)
    mean = (weight @ day).sum() / weight.sum()
    design = numpy.column_stack([numpy.ones(len(day)), day - mean])
    lever = numpy.linalg.solve(design.T @ weight @ design, design.T @ weight)
    level, slope = lever @ value
    return mean, level, slope, lever @ covariance @ lever.T


def newest(day):
    """The smallest number of at least four that spans 730 days."""
    for count in range(4, len(day)):
        if day[-1] - day[-count] >= 730:
            return count
    return len(day)


def first_day(curve, last, limit):
    days = numpy.arange(last + 1, last + FAR_DAYS + 1)
    reached = numpy.nonzero(curve(days) >= limit)[0]
    return int(days[reached[0]]) if len(reached) else None


def curves(line, sigma):
    mean, level, slope, cov = line

    def at(day):
        return level + slope * (day - mean)

    def upper(day):
        x = day - mean
        return at(day) + Z * numpy.sqrt(cov[0, 0] + 2 * cov[0, 1] * x + cov[1, 1] * x * x +
                                           sigma ** 2)
    return at, upper


def check_bounds(case, line, last):
    """The lower bound by the upper curve of the line itself, the upper one by the lower; of the days
    after the last reading."""
    at, upper = curves(line, 0)
    far, ago = last + FAR_DAYS, last - 1e7
    low = optimize.brentq(lambda day: upper(day) - case["limit"], ago, far)
    if math.floor(max(low, last + 1)) != case["low"]:
        yield "low", case["low"], low
    if case["high"] is not None:
        high = optimize.brentq(lambda day: 2 * at(day) - upper(day) - case["limit"], ago, far)
        if math.ceil(max(high, last + 1)) != case["high"]:
            yield "high", case["high"], high


def differences(case):
    """What differs, as (name, ours, theirs)."""
    day, value, own, covariance = covariance_of(case)
    last, limit = int(day[-1]), case["limit"]
    size = case["first_m"] if case["drop"] else max(value[0], limit)
    share = max(0.5 * math.hypot(case["temp"], case["repeat"]), case["scatter"], 1e-4)
    counts = [len(day)] + ([newest(day)] if newest(day) < len(day) else [])
    found, days, rises, lines = [], {"crosses": [], "early": []}, [], []

    def compare(name, ours, theirs, scale):
        if not abs(ours - theirs) <= TOLERANCE * scale:
            found.append((name, ours, theirs))

    compare("sigma_next", case["sigma_next"], share * size, share * size)
    if [line[0] for line in case["lines"]] != counts:
        return [("lines", [line[0] for line in case["lines"]], counts)]
    for ours, n in zip(case["lines"], counts):
        line = mean, level, slope, cov = line_of(day[-n:], value[-n:], own[-n:, -n:],
                                                 covariance[-n:, -n:])
        error = math.sqrt(cov[1, 1])
        lines.append(line)
        compare("mean day", ours[1], mean, mean)
        compare("level", ours[2], level, abs(level))
        compare("slope", ours[3], slope, abs(slope) + error)
        compare("var level", ours[4], cov[0, 0], cov[0, 0])
        compare("cov", ours[5], cov[0, 1], math.sqrt(cov[0, 0] * cov[1, 1]))
        compare("var slope", ours[6], cov[1, 1], cov[1, 1])
        rises.append(2 if slope > 3.2 * error else 1 if slope > 2 * error else 0)
        if rises[-1] == 2:
            at, upper = curves(line, share * size)
            days["crosses"].append(first_day(at, last, limit))
            days["early"].append(first_day(upper, last, limit))
    rise = ["not_rising", "perhaps_rising", "rising"][max(rises)]
    if rise != case["rise"]:
        found.append(("rise", case["rise"], rise))
    for name, of in days.items():
        of = min((one for one in of if one is not None), default=None)
        if of != case[name]:
            found.append((name, case[name], of))
    if case["crosses"] is not None:
        found += check_bounds(case, lines[case["crosses_line"]], last)
    sen = stats.theilslopes(value, day, method="separate")
    compare("theil_sen", case["theil_sen"], sen[0], abs(sen[0]))
    compare("theil_sen_at_mean", case["theil_sen_at_mean"], sen[1] + sen[0] * case["lines"][0][1],
            abs(value).max())
    return found


def main():
    out = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout
    cases = [json.loads(line) for line in out.splitlines()]
    wrong = 0
    for i, case in enumerate(cases):
        for name, ours, theirs in differences(case):
            print(f"series {i} of {len(case['points'])}: {name} is {ours!r}, outside {theirs!r}")
            wrong += 1
    given = sum(case["early"] is not None for case in cases)
    two = sum(len(case["lines"]) == 2 for case in cases)
    bounds = sum(case["high"] is not None for case in cases)
    print(f"{len(cases)} series, {two} with two lines, {given} with a day, {bounds} with bounds; "
          f"{wrong} differences")
    return 1 if wrong or len(cases) != 1000 or min(given, two, bounds) < 200 else 0


sys.exit(main())
