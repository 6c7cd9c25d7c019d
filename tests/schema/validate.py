#!/usr/bin/env python3
"""validate.py SCHEMA FILE...: judges JSON files by a JSON Schema.

A file is one document, or holds one a line if it is named *.jsonl. Prints a line "FILE[:LINE] ok" or
"FILE[:LINE] PATH: why" for each. Status 1 if any is refused.
"""
import json
import sys

from jsonschema import Draft202012Validator


def documents(path):
    with open(path, encoding="utf-8") as file:
        if not path.endswith(".jsonl"):
            yield path, json.load(file)
            return
        for number, line in enumerate(file, 1):
            yield f"{path}:{number}", json.loads(line)


def main(schema_path, *paths):
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    refused = 0
    for path in paths:
        for name, document in documents(path):
            error = next(validator.iter_errors(document), None)
            if error is None:
                print(f"{name} ok")
                continue
            refused += 1
            place = "/".join(str(step) for step in error.absolute_path)
            print(f"{name} {place}: {error.message[:300]}")
    return 1 if refused else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
