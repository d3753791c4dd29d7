#!/usr/bin/env python3
"""Writes agenda.csv: every prompt of the days around each clock change of 2026 and 2027, by Python's zoneinfo.

Run in this folder:  python3 generate.py
Needs Python 3.9 or later, nothing else: the zone files are those in ../nights/zoneinfo.

Rules: a wall time that is skipped moves on by the gap; of a wall time that happens twice a prompt takes the
first, waking the later one. Bedtime 00:30, wake 07:30, 15 minutes of settling, 8 of routine, the prompt 5
minutes before it, all in real time. Columns: zone, first local date, days, kind, due instant.
"""
import csv
import datetime as dt
import pathlib
import zoneinfo

HERE = pathlib.Path(__file__).resolve().parent
zoneinfo.reset_tzpath([str(HERE.parent / "nights" / "zoneinfo")])
ZONES = ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/Santiago", "Africa/Cairo",
         "Africa/Casablanca", "Pacific/Chatham"]
UTC = dt.timezone.utc
DAYS = 4


def instant(date, time, zone, later=False):
    early, late = (dt.datetime.combine(date, time, zone).replace(fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return early.astimezone(UTC)
    repeated = early.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == early.replace(tzinfo=None)
    return (late if repeated and later else early).astimezone(UTC)


def prompts(first, zone):
    day = dt.timedelta(days=1)
    begin, end = (instant(date, dt.time(0), zone) for date in (first, first + DAYS * day))
    found = []
    for shift in range(-2, DAYS + 2):
        date = first + shift * day
        bed = instant(date + day, dt.time(0, 30), zone)
        wake = instant(date + day, dt.time(7, 30), zone, later=True)
        found.append(("wind_down", bed - dt.timedelta(minutes=15 + 8 + 5)))
        found.append(("lights_out", bed))
        found.append(("morning", wake + dt.timedelta(minutes=10)))
        found.append(("own", instant(date, dt.time(2, 15), zone)))
        found.append(("own", instant(date, dt.time(0, 20), zone)))
        if date.weekday() == 6:
            found.append(("week_review", instant(date, dt.time(18), zone)))
    return sorted((at, kind) for kind, at in found if begin <= at < end)


def changes(zone):
    day, last = dt.date(2026, 1, 1), dt.date(2027, 12, 31)
    while day <= last:
        noon = [dt.datetime.combine(d, dt.time(12), zone).utcoffset() for d in (day - dt.timedelta(days=1), day)]
        if noon[0] != noon[1]:
            yield day
        day += dt.timedelta(days=1)


with open(HERE / "agenda.csv", "w", newline="", encoding="utf-8") as file:
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(["zone", "first", "days", "kind", "due_at"])
    for name in ZONES:
        zone = zoneinfo.ZoneInfo(name)
        for change in changes(zone):
            first = change - dt.timedelta(days=2)
            for at, kind in prompts(first, zone):
                rows.writerow([name, first, DAYS, kind, at.strftime("%Y-%m-%dT%H:%M:%SZ")])
