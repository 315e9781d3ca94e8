"""Sealed pages by other hands: HMAC of Python's standard library, HKDF and AES-GCM of PyPI's `cryptography` (OpenSSL).

    sealed.py vectors                  test vectors of NIST (CAVP, GCM with keys of 256 bits) and of RFC 5869, one a line
    sealed.py addresses COUNT          folders and keys of random jobs, by a base32 of its own; the seed is fixed
    sealed.py open FOLDER KEY ROLE...  opens files of a private folder; the format is told in src/seal/file.rs
"""

import hashlib
import hmac
import json
import random
import string
import sys
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

# Douglas Crockford, "Base 32": the symbols in the order of their values, in lower case.
SYMBOLS = "0123456789abcdefghjkmnpqrstvwxyz"


def base32(data, count):
    bits = "".join(f"{byte:08b}" for byte in data)
    return "".join(SYMBOLS[int(bits[at:at + 5], 2)] for at in range(0, 5 * count, 5))


def hkdf(secret, salt, info, length):
    return HKDF(SHA256(), length, salt, info).derive(secret)


def opened(folder, key, role):
    secret = key.encode()
    name = base32(hkdf(secret, b"", b"name/" + role.encode(), 32), 26) + ".bin"
    file = (folder / name).read_bytes()
    mark, salt, text = file[:8], file[8:40], file[40:]
    drawn = hkdf(secret, salt, b"file/" + role.encode(), 44)
    try:
        plain = AESGCM(drawn[:32]).decrypt(drawn[32:], text, mark)
    except InvalidTag:
        return {"name": name, "whole": False}
    length = int.from_bytes(plain[:8], "big")
    content, padding = plain[8:8 + length], plain[8 + length:]
    own = hkdf(secret, b"", b"salt", 32)
    return {
        "name": name, "whole": True, "mark": mark.decode(), "length": len(file), "sha256": hashlib.sha256(content).hexdigest(),
        "padding": set(padding) <= {0}, "salt": hmac.new(own, role.encode() + b"\0" + content, "sha256").digest() == salt,
        "text": content.decode() if role.endswith((".html", ".ics")) else None,
    }


def addresses(count):
    dice = random.Random(27)
    for _ in range(count):
        key = dice.randbytes(32)
        number = dice.choice(string.ascii_letters + string.digits)
        number += "".join(dice.choices(string.ascii_letters + string.digits + "-", k=dice.randrange(20)))
        link = dice.choice([1, 2, 3, dice.randrange(1, 2**32)])
        word = dice.choice([None, dice.randbytes(10)])

        def branch(purpose, symbols):
            info = f"{purpose}/{number.lower()}/{link}".encode()
            if word is not None:
                info = b"drawn " + info + b"/" + base32(word, 16).encode()
            return base32(hkdf(key, b"benchlight sealed pages 1", info, 32), symbols)

        row = {"key": key.hex(), "number": number, "link": link, "word": None if word is None else word.hex()}
        print(json.dumps({**row, "folder": branch("folder", 16), "page_key": branch("key", 26)}))


def vectors():
    import cryptography_vectors

    root = Path(cryptography_vectors.__file__).parent
    for kind in ["gcmEncryptExtIV256", "gcmDecrypt256"]:
        head, case = {}, {}
        for line in (root / f"ciphers/AES/GCM/{kind}.rsp").read_text().splitlines() + ["Count = end"]:
            if line.startswith("["):
                word, number = line.strip("[]").split(" = ")
                head[word] = int(number)
            elif line.strip() == "FAIL":
                case["fails"] = True
            elif " = " in line or line.endswith(" ="):
                word, value = (line + " ").split(" = ", 1) if " = " in line else (line[:-2], "")
                if word == "Count":
                    if case and case["IVlen"] == 96 and case["Taglen"] == 128:
                        print(json.dumps({"of": kind} | case))
                    case = dict(head)
                else:
                    case[word] = value.strip()
    case = {}
    for line in (root / "KDF/rfc-5869-HKDF-SHA256.txt").read_text().splitlines() + ["COUNT = end"]:
        if "=" in line and not line.startswith("#"):
            word, value = (part.strip() for part in line.split("=", 1))
            if word == "COUNT":
                if case:
                    print(json.dumps({"of": "rfc5869"} | case))
                case = {}
            else:
                case[word] = value


def main():
    match sys.argv[1:]:
        case ["vectors"]:
            vectors()
        case ["addresses", count]:
            addresses(int(count))
        case ["open", folder, key, *roles]:
            print(json.dumps({role: opened(Path(folder), key, role) for role in roles}))


main()
