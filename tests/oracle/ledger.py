"""Writes random ledgers with the results that Python's `decimal` and `fractions` come to, a JSON object a line.

An outside check: it shares no code with the program, keeps amounts in major units (`12.34`), and follows the
rules as they are written down, not as they are programmed. Standard library only; the seed is fixed.

usage: ledger.py COUNT
"""

import calendar
import datetime
import json
import random
import sys
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, ROUND_UP, Decimal, getcontext
from fractions import Fraction

getcontext().prec = 80

# ISO 4217: digits after the point.
DIGITS = {"USD": 2, "EUR": 2, "JPY": 0, "KWD": 3}
ROUNDINGS = {"half-up": ROUND_HALF_UP, "half-even": ROUND_HALF_EVEN, "up": ROUND_UP, "down": ROUND_DOWN}
KINDS = ["work", "goods", "shipping"]
START = datetime.date(2026, 1, 5)


def rounded(value, digits, rounding):
    """A fraction as a decimal with so many digits. Only what is exactly a half may count as one, so the
    fraction is first cut to 60 digits and a tail put after them if anything was cut off."""
    scaled = value * 10**60
    whole = scaled.numerator // scaled.denominator
    exact = Decimal(whole).scaleb(-60)
    if scaled.denominator != 1:
        exact += Decimal(1).scaleb(-61)
    return exact.quantize(Decimal(1).scaleb(-digits), rounding=rounding)


def day(dice, most):
    return START + datetime.timedelta(days=dice.randrange(most))


def amount(dice, digits, most, least=0):
    return Decimal(dice.randint(least * 10**digits, most * 10**digits)).scaleb(-digits)


def any_taxes(dice):
    taxes = []
    for _ in range(dice.choice([0, 1, 1, 2, 3])):
        common = [Decimal(text) for text in ("0", "4", "5.5", "6.25", "7.375", "8.875", "19", "20")]
        rate = dice.choice(common + [Decimal(dice.randint(0, 30_000_000)).scaleb(-6)])
        on = dice.sample(KINDS + ["storage"], dice.randint(1, 4))
        taxes.append({"rate": rate, "on": on, "included": dice.random() < 0.3})
    return taxes


def any_rules(dice, digits):
    half, any_share = Decimal(50), Decimal(dice.randint(0, 2000)).scaleb(-1)
    deposits = [None, ("percent", any_share), ("percent", half), ("flat", amount(dice, digits, 400))]
    storage = None
    if dice.random() < 0.7:
        storage = {
            "grace": dice.randint(0, 60),
            "fee": amount(dice, digits, 30),
            "per": dice.choice(["day", "week", "month", "once"]),
            "cap": amount(dice, digits, 200) if dice.random() < 0.4 else None,
        }
    return {
        "taxes": any_taxes(dice),
        "by": dice.choice(["whole", "line"]),
        "rounding": dice.choice(sorted(ROUNDINGS)),
        "deposit": dice.choice(deposits),
        "storage": storage,
    }


def any_charge(dice, digits):
    charge = {"kind": dice.choice(KINDS), "on": day(dice, 120) if dice.random() < 0.4 else START}
    if dice.random() < 0.4:
        charge["each"] = amount(dice, digits, 50, -5)
        charge["count"] = Decimal(dice.randint(0, 100_000)).scaleb(-dice.randint(0, 4))
    else:
        charge["amount"] = amount(dice, digits, 1500, -50)
    return charge


def any_discount(dice, digits):
    less = {"on": day(dice, 120) if dice.random() < 0.4 else START}
    if dice.random() < 0.5:
        less["percent"] = Decimal(dice.randint(0, 600)).scaleb(-1)
    else:
        less["amount"] = amount(dice, digits, 800)
    return less


def any_flow(dice, digits, most):
    smallest = Decimal(1).scaleb(-digits)
    return {"on": day(dice, 250), "amount": max(smallest, amount(dice, digits, most))}


def make(dice):
    """A random ledger: rules, dated facts and the day it is looked at."""
    currency = dice.choice(sorted(DIGITS))
    digits = DIGITS[currency]
    rules = any_rules(dice, digits)
    job = {
        "charges": [any_charge(dice, digits) for _ in range(dice.randint(0, 6))],
        "discounts": [any_discount(dice, digits) for _ in range(dice.choice([0, 0, 0, 1, 1, 2]))],
        "paid": [any_flow(dice, digits, 800) for _ in range(dice.randint(0, 4))],
        "refunds": [any_flow(dice, digits, 200) for _ in range(dice.choice([0, 0, 0, 1, 2]))],
        "written_off": [any_flow(dice, digits, 300) for _ in range(dice.choice([0, 0, 0, 1, 1, 2]))],
        "ready": None,
        "told": None,
        "collected": None,
        "deposit": amount(dice, digits, 300) if dice.random() < 0.1 else None,
    }
    if dice.random() < 0.7:
        job["ready"] = day(dice, 200)
        if dice.random() < 0.7:
            job["told"] = job["ready"] + datetime.timedelta(days=dice.randrange(20))
        if dice.random() < 0.4:
            last = job["told"] or job["ready"]
            job["collected"] = last + datetime.timedelta(days=dice.randrange(300))
    today = START + datetime.timedelta(days=dice.randrange(700))
    return {"currency": currency, "rules": rules, "job": job, "today": today}


def charged(charge, unit):
    if "amount" in charge:
        return charge["amount"]
    return (charge["each"] * charge["count"]).quantize(unit, rounding=ROUND_HALF_UP)


def taken_off(discounts, gross, unit):
    """What all discounts take together: percentages are of all charges, and no more than there is."""
    off = Decimal(0)
    for discount in discounts:
        if "amount" in discount:
            asked = discount["amount"]
        else:
            asked = (gross * discount["percent"] / 100).quantize(unit, rounding=ROUND_HALF_UP)
        off = min(off + max(asked, Decimal(0)), max(gross, Decimal(0)))
    return off


def shares(off, amounts, unit):
    """The largest-remainder method: all shares cut down, the rest to the largest remainders."""
    if off == 0:
        return [Decimal(0)] * len(amounts)
    exact = [Fraction(off) * Fraction(a) / Fraction(sum(amounts)) for a in amounts]
    units = [e / Fraction(unit) for e in exact]
    cut = [Decimal(u.numerator // u.denominator) * unit for u in units]
    left = int((off - sum(cut)) / unit)
    # Python's sort keeps the order of equals: the earlier line comes first.
    for at in sorted(range(len(cut)), key=lambda i: Fraction(cut[i]) - exact[i])[:left]:
        cut[at] += unit
    assert sum(cut) == off
    return cut


def tax_parts(rules, tax, lines):
    """The exact tax on each line that it is on."""
    for kind, net in lines:
        if kind in tax["on"]:
            over = Fraction(100)
            if tax["included"]:
                over += sum(Fraction(t["rate"]) for t in rules["taxes"] if t["included"] and kind in t["on"])
            yield Fraction(net) * Fraction(tax["rate"]) / over


def bill(case, today, storage):
    """Charges of the day less its discounts, with storage and tax: the taxes, and all together."""
    digits, rules, job = DIGITS[case["currency"]], case["rules"], case["job"]
    unit = Decimal(1).scaleb(-digits)
    charges = [c for c in job["charges"] if c["on"] <= today]
    amounts = [charged(c, unit) for c in charges]
    gross = sum(amounts, Decimal(0))
    off = taken_off([d for d in job["discounts"] if d["on"] <= today], gross, unit)
    nets = [a - share for a, share in zip(amounts, shares(off, amounts, unit))]
    lines = [(c["kind"], net) for c, net in zip(charges, nets)]
    lines += [("storage", storage)] if storage else []
    taxes, total = [], gross - off + storage
    for tax in rules["taxes"]:
        parts = list(tax_parts(rules, tax, lines))
        if not parts:
            continue
        parts = [sum(parts, Fraction(0))] if rules["by"] == "whole" else parts
        value = sum((rounded(p, digits, ROUNDINGS[rules["rounding"]]) for p in parts), Decimal(0))
        taxes.append(value)
        total += Decimal(0) if tax["included"] else value
    return taxes, total


def storage(case, today):
    """What a finished piece costs that stayed: day by day the grace is counted off, then the fees."""
    rule, job = case["rules"]["storage"], case["job"]
    if rule is None or job["ready"] is None or job["ready"] > today:
        return Decimal(0)
    if job["told"] is None or job["told"] > today:
        return Decimal(0)  # nobody owes storage before being told
    start = max(job["ready"], job["told"])
    until = job["collected"] if job["collected"] and job["collected"] <= today else today
    first = start + datetime.timedelta(days=rule["grace"] + 1)
    fees, at = 0, first
    while at <= until:
        fees += 1
        if rule["per"] == "once":
            break
        if rule["per"] == "month":
            month = first.month - 1 + fees
            year, month = first.year + month // 12, month % 12 + 1
            at = datetime.date(year, month, min(first.day, calendar.monthrange(year, month)[1]))
        else:
            at += datetime.timedelta(days=1 if rule["per"] == "day" else 7)
    cost = rule["fee"] * fees
    return cost if rule["cap"] is None else min(cost, rule["cap"])


def deposit(case):
    """What is asked, by the rule that stands nearest."""
    digits = DIGITS[case["currency"]]
    first_day = max(bill(case, START, Decimal(0))[1], Decimal(0))
    own = case["job"]["deposit"]
    rule = case["rules"]["deposit"] if own is None else ("flat", own)
    if rule is None:
        return Decimal(0)
    if rule[0] == "flat":
        return rule[1] if first_day == 0 else min(rule[1], first_day)
    share = (first_day * rule[1] / 100).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    return min(share, first_day)


def deposit_met(case, asked, today):
    """The first day from which the balance of payments never again ended a day below what is asked."""
    if asked <= 0:
        return START
    flows = [(p["on"], p["amount"]) for p in case["job"]["paid"]]
    flows += [(r["on"], -r["amount"]) for r in case["job"]["refunds"]]
    days = sorted({on for on, _ in flows if on <= today})
    ends = [sum(a for on, a in flows if on <= d) for d in days]
    for at, first in enumerate(days):
        if all(end >= asked for end in ends[at:]):
            return first
    return None


def want(case):
    today, unit = case["today"], Decimal(1).scaleb(-DIGITS[case["currency"]])
    stored = storage(case, today)
    taxes, total = bill(case, today, stored)
    known = lambda key: sum((p["amount"] for p in case["job"][key] if p["on"] <= today), Decimal(0))
    paid, asked = known("paid") - known("refunds"), deposit(case)
    off = known("written_off")
    # More written off than was left to pay cannot be right; the last good page stays.
    if off > max(total - paid, Decimal(0)):
        return "too much written off"
    sums = {"total": total, "storage": stored, "paid": paid, "deposit": asked}
    # Every sum stands alone: what came in, what went back, what was let go.
    sums["due"] = total - known("paid") + known("refunds") - off
    sums["written_off"] = off
    # Adding zero makes a plain zero of a negative one.
    sums = {key: value.quantize(unit) + 0 for key, value in sums.items()}
    taxes = [tax.quantize(unit) + 0 for tax in taxes]
    return {**sums, "taxes": taxes, "deposit_met": deposit_met(case, asked, today)}


def as_json(value):
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, datetime.date):
        return value.isoformat()
    raise TypeError(value)


def main():
    dice = random.Random(20260105)
    for _ in range(int(sys.argv[1])):
        case = make(dice)
        case["want"] = want(case)
        print(json.dumps(case, default=as_json))


main()
