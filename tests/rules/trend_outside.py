"""Compares what trend.c says of a thousand made series with SciPy.

usage: trend_outside.py PROGRAM     exit status 1 when any differs, 77 (skipped) without SciPy
"""
import json
import math
import subprocess
import sys

try:
    import numpy
    from scipy import optimize, special, stats
except ImportError as missing:
    print(f"skipped: {missing} (Debian: python3-scipy)")
    sys.exit(77)

TOLERANCE = 1e-9
FAR_DAYS = 36525
DAY_NONE = -2**31


def student(p, df):
    """The quantile, by the incomplete beta function: SciPy 1.10's stats.t.ppf is only good to about
    5e-9, which its own distribution function shows."""
    z = special.betaincinv(df / 2, 0.5, 2 * (1 - p))
    return math.sqrt(df * (1 - z) / z)


def upper_limit(x, y, t):
    """The upper prediction limit as a function of the day: a regression over the distance from
    that day has the fitted value as its intercept."""
    fit = stats.linregress(x, y)
    variance = (fit.stderr ** 2 * ((x - x.mean()) ** 2).sum())

    def limit_on(day):
        there = stats.linregress(x - day, y)
        return there.intercept + t * math.sqrt(variance + there.intercept_stderr ** 2)
    return limit_on


def first_day(reached, last):
    """The first whole day after the last on which it is; DAY_NONE when that is too far off."""
    low, high = last, last + FAR_DAYS
    if not reached(high):
        return DAY_NONE
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reached(middle) else (middle, high)
    return high


def least_upper(x, y, t):
    """The lowest that this or a higher last reading gives, found by trying."""
    last = max((value, i) for i, value in enumerate(y) if x[i] == x[-1])[1]
    line = stats.linregress(numpy.delete(x, last), numpy.delete(y, last))
    reach = max(0.0, line.intercept + line.slope * x[-1] - y[last])

    def limit_on(day):
        def raised(by):
            other = y.copy()
            other[last] += by
            return upper_limit(x, other, t)(day)
        if reach == 0:
            return raised(0)
        best = optimize.minimize_scalar(raised, bounds=(0, reach), method="bounded",
                                        options={"xatol": 1e-9 * max(1, reach)})
        return min(best.fun, raised(0), raised(reach))
    return limit_on


def differences(case):
    """What differs, as (name, ours, theirs)."""
    x, y = numpy.array(case["x"]), numpy.array(case["y"])
    df = len(x) - 2
    fit = stats.linregress(x, y)
    t975, t95 = student(0.975, df), student(0.95, df)
    ts = stats.theilslopes(y, x, method="separate")
    s = math.sqrt(((y - y.mean() - fit.slope * (x - x.mean())) ** 2).sum() / df)
    # linregress forms its standard error from 1 - r2, which loses digits where the line is steep
    lost = max(1, 1e-6 / (1 - fit.rvalue ** 2))
    wanted = [("slope", fit.slope, abs(fit.slope) + fit.stderr),
              ("se", fit.stderr, fit.stderr * lost),
              ("se", s / math.sqrt(((x - x.mean()) ** 2).sum()), fit.stderr),
              ("s", s, s), ("r2", fit.rvalue ** 2, fit.rvalue ** 2),
              ("t975", t975, t975), ("t95", t95, t95),
              ("theil_sen", ts[0], abs(ts[0])),
              ("theil_sen_at_mean", ts[1] + ts[0] * case["mean_day"], abs(y).max())]
    found = [(name, case[name], value) for name, value, scale in wanted
             if not abs(case[name] - value) <= TOLERANCE * scale]

    upper = upper_limit(x, y, t975)
    for day, at, half in case["bands"]:
        there = stats.linregress(x - day, y).intercept
        if abs(at - there) > TOLERANCE * abs(y).max():
            found.append((f"fitted on {day}", at, there))
        if abs(half - (upper(day) - there)) > TOLERANCE * (half + abs(there)):
            found.append((f"half band on {day}", half, upper(day) - there))

    last, limit = int(x[-1]), case["limit"]
    rising = fit.slope > 0 and fit.slope / fit.stderr >= t95
    over = fit.intercept + fit.slope * last >= limit
    if over != (case["lack"] == "crossed"):
        found.append(("crossed", case["lack"], over))
    if not over and not case["held"] and rising != (case["lack"] != "not_rising"):
        found.append(("rising", case["lack"], rising))
    if case["lack"] in ("complete", "far"):
        crosses = first_day(lambda day: fit.intercept + fit.slope * day >= limit, last)
        if case["lack"] == "complete" and crosses != case["crosses_day"]:
            found.append(("crosses_day", case["crosses_day"], crosses))
        rule = least_upper(x, y, t975) if case["held"] else upper
        early = first_day(lambda day: rule(day) >= limit, last)
        # the lowest, found by trying, is good to a day
        if abs(early - case["early_day"]) > (1 if case["held"] else 0):
            found.append(("early_day", case["early_day"], early))
    return found


def main():
    out = subprocess.run([sys.argv[1]], check=True, capture_output=True, text=True).stdout
    cases = [json.loads(line) for line in out.splitlines()]
    wrong = 0
    for i, case in enumerate(cases):
        for name, ours, theirs in differences(case):
            print(f"series {i} of {len(case['x'])}: {name} is {ours!r}, SciPy says {theirs!r}")
            wrong += 1
    lacks = [case["lack"] for case in cases]
    held = sum(case["held"] for case in cases)
    print(f"{len(cases)} series, {lacks.count('complete')} with a forecast, {held} of them held; "
          f"{wrong} differences")
    return 1 if wrong or len(cases) != 1000 or lacks.count("complete") < 100 else 0


sys.exit(main())
