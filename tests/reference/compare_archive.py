"""The demo's archives, whole and one conversion each, read by a reader that shares nothing with the program; then
damaged at random, which the reader and the program must both see; CSV read by Python's own csv."""

import csv
import io
import json
import os
import subprocess
import tempfile
import urllib.request
import zipfile

from archive_reader import read
from common import Score, program, seeded

DAMAGED = 40


def run(binary, *arguments):
    return subprocess.run([binary, *arguments], capture_output=True, text=True, encoding="utf-8")


def exported(binary, folder, notebook, *more):
    path = os.path.join(folder, f"archive{len(os.listdir(folder))}.zip")
    done = run(binary, "export", path, "--file", notebook, *more)
    if done.returncode != 0:
        raise SystemExit(f"export ended with {done.returncode}: {done.stderr.strip()}")
    return path


def damage(rng, path, out):
    """The archive with one row changed and its hash left as it was."""
    with zipfile.ZipFile(path) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    name = rng.choice([n for n in files if n.startswith(("tables/", "schemas/")) and len(files[n]) > 50])
    text = bytearray(files[name])
    at = rng.choice([i for i, byte in enumerate(text) if chr(byte).isalnum()])
    text[at] = ord("z") if text[at] != ord("z") else ord("y")
    files[name] = bytes(text)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)


def tables_for_a_spreadsheet(score, address, found):
    for name, table in (("readings", "reading"), ("parts", "part")):
        with urllib.request.urlopen(f"{address}/transfer/{name}.csv") as answer:
            text = answer.read().decode("utf-8")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        score.check(all(len(row) == len(rows[0]) for row in rows), f"{name}.csv: rows of one length")
        # what was put aside is in the archive and not in the table
        aside = {c["id"] for c in found["conversion"] if c["aside_at"]}
        wanted = [r for r in found[table] if not r.get("aside_at") and r["conversion_id"] not in aside]
        score.check(len(rows) == 1 + len(wanted), f"{name}.csv: {len(rows) - 1} rows, {len(wanted)} in the archive")
        formulas = [c for row in rows for c in row if c[:1] in ("=", "+", "-", "@", "\t", "\r")]
        score.check(all(c.lstrip("+-").replace(".", "", 1).replace("e-", "", 1).isdigit() for c in formulas), f"{formulas}")
    values = sorted(r["value"] for r in found["reading"] if r["value"] is not None and r["conversion_id"] not in aside)
    with urllib.request.urlopen(f"{address}/transfer/readings.csv") as answer:
        table = list(csv.DictReader(io.StringIO(answer.read().decode("utf-8"), newline="")))
    score.check(sorted(float(r["value"]) for r in table if r["value"]) == values, "values of readings.csv")


def main():
    binary, rng, score = program(), seeded("archive"), Score("archive")
    with tempfile.TemporaryDirectory() as folder:
        notebook = os.path.join(folder, "demo.sqlite")
        server = subprocess.Popen(
            [binary, "demo", "--file", notebook, "--port", "0"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        try:
            address = next(line.split()[-1] for line in server.stdout if line.startswith("listening on"))
            whole = exported(binary, folder, notebook)
            manifest, found = read(whole)
            score.check(manifest["holds"] == {"what": "everything"}, "what it holds")
            for name, rows in found.items():
                score.check(True, name)
                score.check(len({json.dumps(r, sort_keys=True) for r in rows}) == len(rows), f"{name}: a row twice")
            for conversion in found["conversion"]:
                if conversion["aside_at"]:
                    continue
                one = exported(binary, folder, notebook, "--conversion", str(conversion["no"]))
                held, part = read(one)
                score.check(held["holds"]["id"] == conversion["id"], "the conversion it holds")
                for name in ("reading", "wheel", "snag", "note", "part", "judgement"):
                    wanted = [r for r in found[name] if r["conversion_id"] == conversion["id"]]
                    got = [r for r in part[name] if r["conversion_id"] == conversion["id"]]
                    score.check(wanted == got, f"№ {conversion['no']}: {name}")
            tables_for_a_spreadsheet(score, address, found)
            out = os.path.join(folder, "damaged.zip")
            for _ in range(DAMAGED):
                damage(rng, whole, out)
                done = run(binary, "import", "--dry-run", out, "--file", notebook)
                score.check(done.returncode == 1 and "is not taken" in done.stderr, f"{done.returncode} {done.stderr}")
                try:
                    read(out)
                    score.check(False, "the reader took a damaged archive")
                except (ValueError, KeyError):
                    score.check(True, "")
        finally:
            server.terminate()
            server.wait()
    score.end()


main()
