"""Writes private addresses of random jobs, made with Python's `hmac` and `hashlib` and a base32 of its own: a JSON
object a line. Standard library only; the seed is fixed.

usage: addresses.py COUNT
"""

import hashlib
import hmac
import json
import random
import string
import sys

# Douglas Crockford, "Base 32": the symbols in the order of their values, in lower case.
SYMBOLS = "0123456789abcdefghjkmnpqrstvwxyz"


def symbols_of(data):
    """All bits of some bytes, the highest first, five to a symbol."""
    bits = "".join(f"{byte:08b}" for byte in data)
    return "".join(SYMBOLS[int(bits[at:at + 5], 2)] for at in range(0, len(bits), 5))


def address(key, number, link, word):
    """The first 130 bits of the code, the highest first, five to a symbol."""
    message = b"see/" + number.lower().encode("ascii") + b"/" + str(link).encode("ascii")
    if word is not None:
        message = b"drawn" + message[3:] + b"/" + symbols_of(word).encode("ascii")
    bits = "".join(f"{byte:08b}" for byte in hmac.new(key, message, hashlib.sha256).digest())
    return "".join(SYMBOLS[int(bits[at:at + 5], 2)] for at in range(0, 130, 5))


def main():
    dice = random.Random(26)
    for _ in range(int(sys.argv[1])):
        key = dice.randbytes(32)
        number = dice.choice(string.ascii_letters + string.digits)
        number += "".join(dice.choices(string.ascii_letters + string.digits + "-", k=dice.randrange(20)))
        link = dice.choice([1, 2, 3, dice.randrange(1, 2**32)])
        word = dice.choice([None, dice.randbytes(10)])
        row = {"key": key.hex(), "number": number, "link": link, "address": address(key, number, link, word)}
        print(json.dumps({**row, "word": None if word is None else word.hex()}))


main()
