"""Writes the minor units of every current currency as the package `iso4217` holds them, which carries the table of the
ISO 4217 maintenance agency: a JSON object a line, null where the table has no minor unit.
"""

import json

import iso4217

for currency in iso4217.Currency:
    print(json.dumps({"code": currency.code, "digits": currency.exponent}))
