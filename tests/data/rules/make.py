"""Makes rules.json: 240 recurrence rules drawn by lot and their dates from 2026-01-01 to 2028-12-31.
The dates come from python-dateutil 2.9.0; every rule starts at its own first date, as the standard asks for
(RFC 5545, section 3.8.5.3). usage: python make.py > rules.json"""
import datetime
import json
import random

from dateutil.rrule import rrulestr

random.seed(5545)
FIRST, LAST = datetime.datetime(2026, 1, 1), datetime.datetime(2028, 12, 31, 23, 59, 59)
DAYS = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]


def some(values, most):
    return sorted(random.sample(values, random.randint(1, most)), key=values.index)


def joined(values):
    return ",".join(str(value) for value in values)


def draw():
    frequency = random.choice(["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY"])
    parts = [f"FREQ={frequency}"]
    if random.random() < 0.5:
        parts.append(f"INTERVAL={random.randint(2, 5)}")
    if frequency == "YEARLY" or random.random() < 0.3:
        parts.append("BYMONTH=" + joined(some(list(range(1, 13)), 3)))
    by = random.random()
    if frequency in ("YEARLY", "MONTHLY") and by < 0.4:
        ordinals = [f"{n}{day}" for n in (1, 2, 3, 4, -1, -2) for day in DAYS]
        parts.append("BYDAY=" + joined(some(ordinals, 2)))
    elif frequency in ("YEARLY", "MONTHLY", "DAILY", "HOURLY") and by < 0.7:
        days = list(range(1, 32)) + [-1, -2, -5]
        parts.append("BYMONTHDAY=" + joined(some(days, 3)))
    else:
        parts.append("BYDAY=" + joined(some(DAYS, 4)))
        if frequency in ("YEARLY", "MONTHLY") and random.random() < 0.7:
            parts.append("BYSETPOS=" + joined(some([1, 2, 3, -1, -2], 2)))
    if frequency != "HOURLY" and random.random() < 0.2:
        parts.append("BYHOUR=" + joined(some(list(range(24)), 2)))
    if frequency == "WEEKLY" and random.random() < 0.5:
        parts.append(f"WKST={random.choice(DAYS)}")
    end = random.random()
    if end < 0.3:
        parts.append(f"COUNT={random.randint(1, 40)}")
    elif end < 0.6:
        until = datetime.datetime(2026, 1, 1) + datetime.timedelta(hours=random.randint(0, 26000))
        parts.append(f"UNTIL={until:%Y%m%dT%H%M%SZ}")
    return ";".join(parts)


rules = []
while len(rules) < 240:
    rule = draw()
    start = datetime.datetime(2025, random.randint(1, 12), random.randint(1, 28), random.randint(0, 23), 30)
    bare = ";".join(part for part in rule.split(";") if not part.startswith(("COUNT", "UNTIL")))
    first = next(iter(rrulestr(bare, dtstart=start)), None)
    if first is None:
        continue
    # Naive times, so UNTIL without its Z.
    dates = rrulestr(rule[:-1] if rule.endswith("Z") else rule, dtstart=first)
    inside = []
    for date in dates:
        if date > LAST:
            break
        if date >= FIRST:
            inside.append(date)
    if len(inside) > 4000:
        continue
    rules.append(
        {
            "start": f"{first:%Y%m%dT%H%M%SZ}",
            "rule": rule,
            "count": len(inside),
            "first": [f"{date:%Y-%m-%dT%H:%M}" for date in inside[:12]],
            "last": [f"{date:%Y-%m-%dT%H:%M}" for date in inside[-3:]],
        }
    )
print("[\n" + ",\n".join(json.dumps(rule) for rule in rules) + "\n]")
