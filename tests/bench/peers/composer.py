"""Solves the composer's questions with a general mixed-integer solver (HiGHS), one JSON object a line on standard input.

Each object is one question: time, weights, candidates [{position, regions [[region, emphasis]], holds [[units, time,
cost]]}], half and full dose. One line is printed for each: the greatest value, and the seconds in the solver alone.
The model follows the doc comment of src/pure/routine/compose: one variable of 0 or 1 for each stretch and hold and
for each position, two continuous ones for each region, one for the doses up to half and one for those up to full.
The benefit is concave, so that the first of them fills up first without being told.
"""

import json
import sys
import time

import highspy


def solve(question):
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.999)  # values are whole numbers
    model.setOptionValue("threads", 1)
    one = {"type": highspy.HighsVarType.kInteger, "lb": 0, "ub": 1}
    candidates = question["candidates"]
    holds = [[model.addVariable(**one, obj=-cost) for _, _, cost in each["holds"]] for each in candidates]
    positions = {each["position"]: None for each in candidates}
    for position in positions:
        positions[position] = model.addVariable(**one, obj=0)
    for each, chosen in zip(candidates, holds):
        model.addConstr(sum(chosen) <= positions[each["position"]])
    used = [
        length * variable
        for each, chosen in zip(candidates, holds)
        for (_, length, _), variable in zip(each["holds"], chosen)
    ]
    if used:
        model.addConstr(sum(used) + sum(positions.values()) <= question["time"])
    half, full = question["half"], question["full"]
    for region, weight in enumerate(question["weights"]):
        given = [
            emphasis * units * variable
            for each, chosen in zip(candidates, holds)
            for at, emphasis in each["regions"]
            if at == region
            for (units, _, _), variable in zip(each["holds"], chosen)
        ]
        if not given:
            continue
        first = model.addVariable(lb=0, ub=half, obj=2 * weight)
        beyond = model.addVariable(lb=0, ub=full - half, obj=weight)
        model.addConstr(first + beyond <= sum(given))
    model.changeObjectiveSense(highspy.ObjSense.kMaximize)
    begun = time.perf_counter()
    model.run()
    seconds = time.perf_counter() - begun
    assert model.getModelStatus() == highspy.HighsModelStatus.kOptimal, model.getModelStatus()
    return {"value": model.getInfo().objective_function_value, "seconds": seconds}


for line in sys.stdin:
    print(json.dumps(solve(json.loads(line))), flush=True)
