#!/usr/bin/env python3
"""Writes reference.json: circular statistics by SciPy and sleep regularity by numpy.

Run in this folder:  python3 generate.py
Needs numpy and scipy (versions used are written into the table), and the zone files in ../nights/zoneinfo.

Circular mean and deviation: scipy.stats.circmean and circstd over 86,400 s. Spread around the mean: numpy's
sample deviation of the differences from it, each brought to within half a day.

Regularity: written from the formula of Phillips AJK et al. 2017 (Scientific Reports 7:3216), on one array of
minutes over the whole record instead of day by day; unknown minutes are NaN. Days run from noon to noon by the
local clock; the minutes a clock change skips are NaN, of the minutes it repeats the first pass counts. Sleep
is given as universal time in seconds, the local clock is Python's zoneinfo.
"""
import datetime as dt
import json
import pathlib
import platform
import zoneinfo

import numpy as np
import scipy
from scipy.stats import circmean, circstd

HERE = pathlib.Path(__file__).resolve().parent
zoneinfo.reset_tzpath([str(HERE.parent / "nights" / "zoneinfo")])
UTC = dt.timezone.utc
DAY = 86400


def spread(seconds):
    values = np.array(seconds, float)
    mean = circmean(values, high=DAY, low=0)
    apart = (values - mean + DAY / 2) % DAY - DAY / 2
    return {"seconds": seconds, "mean_s": float(mean),
            "sd_s": float(np.sqrt(np.sum(apart ** 2) / (len(values) - 1))),
            "circular_sd_s": float(circstd(values, high=DAY, low=0))}


def minutes(first, days, zone, nights):
    """One state a minute, from noon of the first evening, by the local clock."""
    state = np.full(days * 1440, np.nan)
    for evening, asleep in nights.items():
        noon = dt.datetime.combine(evening, dt.time(12))
        for minute in range(1440):
            wall = noon + dt.timedelta(minutes=minute)
            local = wall.replace(tzinfo=zone, fold=0)
            if local.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != wall:
                continue
            at = local.timestamp()
            place = (evening - first).days * 1440 + minute
            state[place] = any(start <= at < end for start, end in asleep)
    return state


def index(state):
    """-100 + 200 / pairs * same, over minutes 24 h apart."""
    one, next_day = state[:-1440], state[1440:]
    known = ~(np.isnan(one) | np.isnan(next_day))
    if not known.any():
        return None, 0
    return float(-100 + 200 * np.mean(one[known] == next_day[known])), int(known.sum())


def record(rng, name, first, days, missing):
    zone = zoneinfo.ZoneInfo(name)
    nights = {}
    for day in range(days):
        evening = first + dt.timedelta(days=day)
        lag = float(rng.normal(0, 50))
        start = dt.datetime.combine(evening, dt.time(23), zone) + dt.timedelta(minutes=lag)
        onset = int(start.timestamp()) // 60 * 60
        asleep = [[onset, onset + int(rng.integers(330, 540)) * 60]]
        if rng.random() < 0.2:
            nap = dt.datetime.combine(evening, dt.time(14), zone).timestamp()
            asleep.append([int(nap), int(nap) + 1800])
        if day in (0, days - 1) or rng.random() >= missing:
            nights[evening] = asleep
    state = minutes(first, days, zone, nights)
    value, pairs = index(state)
    return {"zone": name, "nights": {str(evening): asleep for evening, asleep in nights.items()},
            "index": value, "known_pairs": pairs}


def main():
    rng = np.random.default_rng(20260113)
    around = lambda centre, wide, n: [int(x) % DAY for x in rng.normal(centre, wide, n)]
    table = {
        "computed_with": {"python": platform.python_version(), "numpy": np.__version__,
                          "scipy": scipy.__version__, "tzdata": "2026f"},
        "spread": [spread(around(centre, wide, n)) for centre in (0, 10800, 43000, 86000)
                   for wide, n in ((600, 2), (2400, 7), (5400, 28), (14400, 60))],
        "regularity": [
            record(rng, "Europe/Berlin", dt.date(2026, 1, 5), 7, 0.0),
            record(rng, "Europe/Berlin", dt.date(2026, 3, 23), 14, 0.2),
            record(rng, "America/New_York", dt.date(2026, 10, 26), 14, 0.2),
            record(rng, "Australia/Lord_Howe", dt.date(2026, 3, 30), 10, 0.0),
            record(rng, "Australia/Lord_Howe", dt.date(2026, 9, 28), 10, 0.3),
            record(rng, "America/Santiago", dt.date(2026, 9, 1), 9, 0.0),
            record(rng, "Asia/Kathmandu", dt.date(2026, 6, 1), 28, 0.4),
            record(rng, "Africa/Cairo", dt.date(2026, 4, 20), 3, 1.0),
        ],
    }
    text = json.dumps(table).replace("}, {", "},\n{").replace('}, "', '},\n"')
    (HERE / "reference.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
