"""Reads a calendar with icalendar and recurring-ical-events: one line an event, UID, start, end (UTC) and
the instants of its alarms. usage: read_back.py FILE FROM TO"""
import datetime
import sys

import icalendar
import recurring_ical_events


def utc(value):
    return value.astimezone(datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


with open(sys.argv[1], "rb") as file:
    calendar = icalendar.Calendar.from_ical(file.read())
span = [datetime.datetime.fromisoformat(text) for text in sys.argv[2:4]]
for event in recurring_ical_events.of(calendar).between(*span):
    start = event["DTSTART"].dt
    end = event["DTEND"].dt if "DTEND" in event else start
    alarms = []
    for alarm in event.walk("VALARM"):
        trigger = alarm["TRIGGER"]
        base = end if trigger.params.get("RELATED") == "END" else start
        # Elapsed time, so through UTC.
        alarms.append(utc(base.astimezone(datetime.timezone.utc) + trigger.dt))
    print(event["UID"], utc(start), utc(end), ",".join(alarms))
