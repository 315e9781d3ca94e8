"""Writes base32 texts and their check symbols as the package `base32-crockford` makes them, a JSON object a line:
small numbers, and random keys of 32 bytes as a shop's key file holds them.
"""

import json
import random

import base32_crockford

DIGITS = 52


def checked(number, digits):
    text = base32_crockford.encode(number, checksum=True).lower()
    return {"text": text[:-1].rjust(digits, "0"), "check": text[-1]}


def main():
    dice = random.Random(32)
    for number in range(5000):
        print(json.dumps({"bytes": None, **checked(number, 1)}))
    for _ in range(2000):
        key = dice.randbytes(32)
        # 256 bits are 51 symbols and one bit: four zero bits fill the last symbol up.
        print(json.dumps({"bytes": key.hex(), **checked(int.from_bytes(key, "big") << 4, DIGITS)}))


main()
