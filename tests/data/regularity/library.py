#!/usr/bin/env python3
"""Writes library.json: sleep regularity by an independent library, pyActigraphy (its function `sri`).

Run in this folder:  python3 library.py
Needs numpy, pandas, and pyActigraphy, of which one file alone is loaded, so that it may be installed without what
the rest of it needs: pip install --no-deps pyActigraphy==1.2.2.

The library takes complete records, one state a minute; so the zone is UTC and no night is missing. Gaps and clock
changes are in reference.json. Sleep is given in minutes since the first noon.
"""
import importlib.util
import json
import pathlib
import sysconfig

import numpy as np
import pandas as pd

HERE = pathlib.Path(__file__).resolve().parent
FIRST = "2026-01-05"


def library():
    path = pathlib.Path(sysconfig.get_path("purelib")) / "pyActigraphy/sleep/scoring/sri.py"
    spec = importlib.util.spec_from_file_location("sri", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.sri


def record(rng, sri, days, wide, naps):
    state, asleep = np.zeros(days * 1440, int), []
    for day in range(days):
        onset = day * 1440 + int(np.clip(660 + rng.normal(0, wide), 300, 900))
        spans = [[onset, onset + int(rng.integers(300, 500))]]
        if rng.random() < naps:
            nap = day * 1440 + int(rng.integers(60, 240))
            spans.append([nap, nap + int(rng.integers(15, 90))])
        for start, end in spans:
            state[start:end] = 1
        asleep.append(spans)
    index = pd.date_range(f"{FIRST} 12:00", periods=len(state), freq="min")
    return {"asleep": asleep, "index": float(sri(pd.Series(state, index=index)))}


def main():
    rng = np.random.default_rng(7)
    sri = library()
    table = {"computed_with": {"pyActigraphy": "1.2.2", "numpy": np.__version__, "pandas": pd.__version__},
             "first": FIRST,
             "records": [record(rng, sri, days, wide, naps) for days in (2, 7, 14, 28)
                         for wide, naps in ((0, 0.0), (20, 0.2), (90, 0.5))]}
    (HERE / "library.json").write_text(json.dumps(table).replace('}, {"asleep', '},\n{"asleep') + "\n")


if __name__ == "__main__":
    main()
