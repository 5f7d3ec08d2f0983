"""Plain range checks on records, as a script would do them: what the program's speed is compared with.

Reads every record below a folder with PyYAML's loader in C, turns `79.86 mm` into 79.86, and holds the lengths of each to a
JSON Schema of ranges with the jsonschema library, in so many processes. No conversions, no derived values, no rounding, no
places, no words: much less than a check. Prints the seconds it took once everything was loaded, and how many values are outside.

    python3 range_checks.py FOLDER [PROCESSES]

Needs `pip install pyyaml jsonschema`.
"""

import multiprocessing
import pathlib
import re
import sys
import time

import jsonschema
import yaml

LENGTH = re.compile(r"^(-?[0-9]+(?:\.[0-9]+)?) mm$")


def plain(value):
    """A record with its lengths as numbers."""
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    if isinstance(value, str) and (length := LENGTH.match(value)):
        return float(length.group(1))
    return value


def ranges(value):
    """A schema that takes what is within two percent of each length of a record."""
    if isinstance(value, dict):
        return {"type": "object", "properties": {key: ranges(inner) for key, inner in value.items()}}
    if isinstance(value, list):
        return {"type": "array", "items": ranges(value[0]) if value else {}}
    if isinstance(value, float):
        return {"type": "number", "minimum": value - abs(value) * 0.02, "maximum": value + abs(value) * 0.02}
    return {}


def read(path):
    return plain(yaml.load(path.read_bytes(), Loader=yaml.CSafeLoader))


def begin(schema):
    global validator
    validator = jsonschema.Draft202012Validator(schema)


def check(path):
    return sum(1 for _ in validator.iter_errors(read(path)))


def main():
    folder, processes = pathlib.Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1
    records = sorted(folder.rglob("*.yaml"))
    schema = ranges(read(records[0]))
    with multiprocessing.Pool(processes, begin, [schema]) as pool:
        pool.map(check, records[:2])
        began = time.perf_counter()
        outside = sum(pool.imap(check, records, chunksize=16))
        print(time.perf_counter() - began, outside)


main()
