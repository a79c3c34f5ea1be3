"""Reads an Undershell archive with nothing but Python: every hash, count, column, kind and reference is checked.

    python archive_reader.py ARCHIVE.zip        prints what it holds, or leaves with the first thing that is wrong
"""

import hashlib
import json
import re
import sys
import zipfile

KINDS = {"integer": int, "number": (int, float), "string": str, "null": type(None)}
UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def read(path):
    """Manifest and rows by table. Raises ValueError, with words, for anything that is not as it should be."""
    with zipfile.ZipFile(path) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(files["manifest.json"])
    want((manifest["format"], manifest["format_version"]) == ("undershell-archive", 1), "format or version")
    tables, schemas = {}, {}
    for entry in manifest["tables"]:
        name, text, schema = entry["name"], files[entry["file"]], files[entry["schema"]]
        want(hashlib.sha256(text).hexdigest() == entry["sha256"], f"{name}: hash")
        want(hashlib.sha256(schema).hexdigest() == entry["schema_sha256"], f"{name}: hash of the schema")
        tables[name], schemas[name] = json.loads(text), json.loads(schema)["items"]
        want((len(text), len(tables[name])) == (entry["bytes"], entry["rows"]), f"{name}: count")
    want(sum(map(len, tables.values())) == manifest["rows"], "count of all rows")
    want(len(files) == 2 + 2 * len(tables), "files that the manifest does not name")
    ids = {name: {row.get("id") for row in rows} for name, rows in tables.items()}
    for name, rows in tables.items():
        for row in rows:
            want(set(row) == set(schemas[name]["required"]), f"{name}: columns of {row}")
            for column, cell in row.items():
                check(cell, schemas[name]["properties"][column], ids, f"{name}.{column}: {cell!r}")
    return manifest, tables


def check(cell, rule, ids, where):
    kinds = rule["type"] if isinstance(rule["type"], list) else [rule["type"]]
    want(any(isinstance(cell, KINDS[k]) for k in kinds), where)
    if rule.get("format") == "uuid" and cell is not None:
        want(UUID.fullmatch(cell), where)
        refers = re.search(r"id of a row of (\w+)", rule.get("description", ""))
        want(refers is None or cell in ids[refers.group(1)], f"{where} refers to nothing")


def want(holds, what):
    if not holds:
        raise ValueError(what)


if __name__ == "__main__":
    held, found = read(sys.argv[1])
    print(held["holds"], {name: len(rows) for name, rows in found.items() if rows})
