"""Business days with closures as numpy reckons them, a JSON object a line: random weeks, closures, days and offsets;
`numpy.busday_offset` (rolled forward) and `numpy.busday_count`.
"""

import json

import numpy


def main():
    dice = numpy.random.default_rng(7)
    first = numpy.datetime64("2024-01-01")
    for _ in range(300):
        week = dice.integers(0, 2, 7)
        week[dice.integers(0, 7)] = 1
        closed = []
        for _ in range(dice.integers(0, 5)):
            begin = first + int(dice.integers(0, 900))
            closed.append((begin, begin + int(dice.integers(0, 30))))
        holidays = [d for b, e in closed for d in numpy.arange(b, e + 1)]
        day = first + int(dice.integers(0, 800))
        until = day + int(dice.integers(0, 300))
        count = int(dice.integers(0, 60))
        mask = week.astype(bool)
        after = numpy.busday_offset(day, count, roll="forward", weekmask=mask, holidays=holidays)
        between = numpy.busday_count(day, until, weekmask=mask, holidays=holidays)
        print(json.dumps({
            "week": week.tolist(), "closed": [[str(b), str(e)] for b, e in closed], "day": str(day),
            "until": str(until), "count": count, "after": str(after), "between": int(between),
        }))


main()
