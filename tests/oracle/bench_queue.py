"""A shop's open queue played forward in `simpy`, as a process for each step and one for the bench.

Reads a shop as JSON from standard input: `minutes` (of each day from today), `routes` (steps with `after` and `bench`,
`rest` or `away` and its three figures), `partners` (three figures, `leaves`: for each day the next parcel's day), `pieces`
(route, and the day on which it comes), in line order. Writes for each piece its 10, 50 and 90 percent days, and last how many
seconds the trials took.
"""

import json
import sys
import time

import numpy
import simpy

MORNING = 1e-6


def beta(dice, figures):
    a, m, b = figures
    if a == b:
        return m
    x = ((a + 4 * m + b) / 6 - a) / (b - a)
    both = x * (1 - x) * 36 - 1
    return a + (b - a) * dice.beta(x * both, (1 - x) * both)


def play(shop, dice):
    env = simpy.Environment()
    ready = []
    parcels = {}
    finished = [None] * len(shop["pieces"])

    def bench():
        for day, minutes in enumerate(shop["minutes"]):
            yield env.timeout(day + MORNING - env.now if day + MORNING > env.now else 0)
            left = minutes
            while left > 0 and ready:
                first = min(ready, key=lambda item: item[0])
                worked = min(left, first[1])
                yield env.timeout(worked / 1440 / 1.001)
                left -= worked
                first[1] -= worked
                if first[1] <= 0:
                    ready.remove(first)
                    first[2].succeed()
                    # What this sets off comes first.
                    yield env.timeout(0)
                    yield env.timeout(0)
            if all(f is not None for f in finished):
                return

    def step(piece, at, plan, done, arrives):
        before = [done[n] for n in plan["after"]]
        if before:
            yield env.all_of(before)
        elif arrives:
            yield env.timeout(arrives)
        day = int(env.now)
        if "bench" in plan:
            event = env.event()
            ready.append([(piece, at), round(beta(dice, plan["bench"])), event])
            yield event
        else:
            if "rest" in plan:
                until = day + round(beta(dice, plan["rest"]))
            else:
                partner = shop["partners"][plan["away"]]
                leaves = partner["leaves"][day]
                # One draw for all that is in one parcel.
                key = (plan["away"], leaves)
                if key not in parcels:
                    parcels[key] = round(beta(dice, partner["days"]))
                until = leaves + parcels[key]
            if until > env.now:
                yield env.timeout(until - env.now)
        done[at].succeed()

    def piece(number, plan):
        steps = shop["routes"][plan["route"]]
        done = [env.event() for _ in steps]
        for at, own in enumerate(steps):
            env.process(step(number, at, own, done, plan["arrives"]))
        yield env.all_of(done)
        finished[number] = int(env.now)

    for number, plan in enumerate(shop["pieces"]):
        env.process(piece(number, plan))
    env.process(bench())
    env.run()
    return finished


def main():
    shop = json.load(sys.stdin)
    trials = int(sys.argv[1])
    dice = numpy.random.default_rng(5)
    begun = time.perf_counter()
    days = numpy.array([play(shop, dice) for _ in range(trials)])
    seconds = time.perf_counter() - begun
    for column in numpy.quantile(days, [0.1, 0.5, 0.9], axis=0, method="nearest").T:
        print(json.dumps([int(day) for day in column]))
    print(json.dumps({"seconds": seconds}))


main()
