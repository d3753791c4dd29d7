"""The readiness arithmetic of evenfall in numpy and in pandas, timed, on one CSV file of mornings.

Usage: readiness.py numpy|pandas MORNINGS.csv ROUNDS

Prints one JSON object: the deviation and the score of every morning by the date of the morning, and the median
seconds of ROUNDS repetitions of the arithmetic alone (the file is read before). The formulas are those in the
doc comments of src/pure/readiness; the code here shares nothing with it.
"""

import csv
import datetime
import json
import statistics
import sys
import time

ITEMS = {"sleep_quality": 0.10, "freshness": 0.50, "soreness": 0.20, "mood": 0.20}
WINDOW_DAYS = 365
USUAL_SPREAD = 0.50
USUAL_SPREAD_DAYS = 14


def with_numpy(rows):
    import numpy

    first = min(rows)
    length = (max(rows) - first).days + 1
    answers = {item: numpy.full(length, numpy.nan) for item in ITEMS}
    for date, row in rows.items():
        for item in ITEMS:
            if row[item]:
                answers[item][(date - first).days] = float(row[item])

    def before(values):
        """The sum over the 365 days before each day, the day itself left out."""
        total = numpy.concatenate([[0.0], numpy.cumsum(values)])
        day = numpy.arange(length)
        return total[day] - total[numpy.maximum(day - WINDOW_DAYS, 0)]

    def score():
        deviation = numpy.zeros(length)
        for item, weight in ITEMS.items():
            known = ~numpy.isnan(answers[item])
            count = before(known.astype(float))
            total = before(numpy.where(known, answers[item], 0.0))
            typical = numpy.maximum(0.0, 7.0 - count / 2.0)
            usual = (typical * 3.0 + total) / (typical + count)
            deviation += numpy.where(known, weight * (answers[item] - usual), 0.0)
        answered = {item: ~numpy.isnan(answers[item]) for item in ITEMS}
        others = answered["sleep_quality"] & answered["soreness"] & answered["mood"]
        enough = answered["freshness"] | others
        squares = before(numpy.where(enough, deviation, 0.0) ** 2)
        count = before(enough.astype(float))
        spread = numpy.sqrt((USUAL_SPREAD_DAYS * USUAL_SPREAD**2 + squares) / (USUAL_SPREAD_DAYS + count))
        spread = numpy.maximum(USUAL_SPREAD, spread)
        return deviation, deviation / spread, enough

    def told(result):
        deviation, value, enough = result
        return {
            (first + datetime.timedelta(days=int(day))).isoformat(): [deviation[day], value[day]]
            for day in numpy.flatnonzero(enough)
        }

    return score, told


def with_pandas(rows):
    import pandas

    dates = sorted(rows)
    frame = pandas.DataFrame(
        {item: [float(rows[date][item]) if rows[date][item] else None for date in dates] for item in ITEMS},
        index=pandas.to_datetime(dates),
        dtype=float,
    )

    def score():
        past = frame.rolling(f"{WINDOW_DAYS}D", closed="left")
        count, total = past.count().fillna(0.0), past.sum().fillna(0.0)
        typical = (7.0 - count / 2.0).clip(lower=0.0)
        usual = (typical * 3.0 + total) / (typical + count)
        parts = (frame - usual) * pandas.Series(ITEMS)
        known = frame.notna()
        enough = known["freshness"] | known[["sleep_quality", "soreness", "mood"]].all(axis=1)
        deviation = parts.sum(axis=1).where(enough)
        past = (deviation**2).rolling(f"{WINDOW_DAYS}D", closed="left")
        count, squares = past.count().fillna(0.0), past.sum().fillna(0.0)
        spread = ((USUAL_SPREAD_DAYS * USUAL_SPREAD**2 + squares) / (USUAL_SPREAD_DAYS + count)) ** 0.5
        return pandas.DataFrame({"deviation": deviation, "score": deviation / spread.clip(lower=USUAL_SPREAD)})

    def told(result):
        scored = result.dropna()
        return {date.date().isoformat(): list(row) for date, row in zip(scored.index, scored.to_numpy())}

    return score, told


def main():
    way, path, rounds = sys.argv[1], sys.argv[2], int(sys.argv[3])
    day = datetime.timedelta(days=1)
    with open(path, newline="") as file:
        # A night is named by its evening, a morning by its own date.
        rows = {datetime.date.fromisoformat(row["night"]) + day: row for row in csv.DictReader(file)}
    score, told = {"numpy": with_numpy, "pandas": with_pandas}[way](rows)
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        result = score()
        times.append(time.perf_counter() - begun)
    json.dump({"seconds": statistics.median(times), "scores": told(result)}, sys.stdout)


main()
