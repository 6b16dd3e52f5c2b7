#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Validate a report on standard input against a schema: check_schema.py SCHEMA < REPORT"""
import json
import sys

import jsonschema


def refuse(word):
    raise ValueError(f"{word} is not JSON")


with open(sys.argv[1], encoding="utf-8") as file:
    schema = json.load(file)
validator = jsonschema.Draft7Validator(schema)
jsonschema.Draft7Validator.check_schema(schema)
errors = list(validator.iter_errors(json.load(sys.stdin, parse_constant=refuse)))
for error in errors[:5]:
    print("/".join(map(str, error.path)), error.message[:200])
sys.exit(1 if errors else 0)
