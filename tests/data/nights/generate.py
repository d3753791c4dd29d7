#!/usr/bin/env python3
"""Writes nights.csv: what every night of 2024 to 2030 is in eight zones, by Python's zoneinfo.

Run in this folder:  python3 generate.py
Needs Python 3.9 or later, nothing else: the zone files are those in zoneinfo/ beside this script.

Rules: a wall time that is skipped moves on by the gap (the offset before the change counts); of a wall
time that happens twice, lights out takes the first and waking the later; the wake time is the first time
the clock shows it after lights out; the wind-down starts LEAD seconds before lights out, in real time.

Columns: zone, bedtime, wake as planned; first evening and number of evenings of a run in which all that
follows is the same; then seconds after 00:00 universal time of the evening's date for lights out, waking
and start; then the offsets from universal time in seconds that hold at these three instants; then what
happened to bedtime and wake time: "-" nothing, "s" skipped, "r" repeated.
"""
import csv
import datetime as dt
import pathlib
import zoneinfo

HERE = pathlib.Path(__file__).resolve().parent
zoneinfo.reset_tzpath([str(HERE / "zoneinfo")])

ZONES = [
    "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu",
    "Pacific/Chatham", "Africa/Cairo", "America/Santiago", "Africa/Casablanca",
]
PLANS = [("22:30", "06:30"), ("00:30", "07:30"), ("02:30", "09:00"), ("21:00", "02:15"),
         ("01:45", "06:00"), ("23:45", "00:15"), ("19:00", "03:00")]
LEAD = 15 * 60 + 480
FIRST, LAST = dt.date(2024, 1, 1), dt.date(2030, 12, 31)
UTC = dt.timezone.utc


def instant(wall, zone, later):
    """The instant of a wall time, and whether it is usual, skipped or repeated."""
    early, late = (wall.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return early.astimezone(UTC), "-"
    back = early.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    if back == wall:
        return (late if later else early).astimezone(UTC), "r"
    # Skipped: fold 0 reads it with the offset before the change, which moves it on by the gap.
    return early.astimezone(UTC), "s"


def night(evening, bedtime, wake, zone):
    bed_date = evening if bedtime >= dt.time(12) else evening + dt.timedelta(days=1)
    wake_date = bed_date if wake > bedtime else bed_date + dt.timedelta(days=1)
    bed_at, bed_kind = instant(dt.datetime.combine(bed_date, bedtime), zone, False)
    wake_at, wake_kind = instant(dt.datetime.combine(wake_date, wake), zone, True)
    start_at = bed_at - dt.timedelta(seconds=LEAD)
    zero = dt.datetime.combine(evening, dt.time(0), UTC)
    instants = (bed_at, wake_at, start_at)
    return (
        *(int((at - zero).total_seconds()) for at in instants),
        *(int(at.astimezone(zone).utcoffset().total_seconds()) for at in instants),
        bed_kind, wake_kind,
    )


def main():
    with open(HERE / "nights.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow("zone bedtime wake first nights lights_out_s waking_s start_s "
                     "lights_out_offset_s waking_offset_s start_offset_s bedtime_is wake_is".split())
        for name in ZONES:
            zone = zoneinfo.ZoneInfo(name)
            for bedtime, wake in PLANS:
                times = dt.time.fromisoformat(bedtime), dt.time.fromisoformat(wake)
                run, evening = None, FIRST
                while evening <= LAST:
                    values = night(evening, *times, zone)
                    if run and run[2] == values:
                        run[1] += 1
                    else:
                        if run:
                            out.writerow([name, bedtime, wake, run[0], run[1], *run[2]])
                        run = [evening, 1, values]
                    evening += dt.timedelta(days=1)
                out.writerow([name, bedtime, wake, run[0], run[1], *run[2]])


if __name__ == "__main__":
    main()
