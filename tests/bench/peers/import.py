"""A straightforward import of bundles with joserfc and sqlite3: every signature checked, the chain
followed, entries and papers kept, one transaction a bundle. Nothing is judged.

    python import.py LEDGER BUNDLE...     prints the seconds it took
"""

import base64
import hashlib
import json
import sqlite3
import sys
import time

from joserfc import jws
from joserfc.jwk import ECKey


def decoded(part):
    return json.loads(base64.urlsafe_b64decode(part + "=" * (-len(part) % 4)))


def sha256(text):
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()


def verified(compact, key):
    return json.loads(jws.deserialize_compact(compact, key, algorithms=["ES256"]).payload)


def main(path, *files):
    started = time.perf_counter()
    ledger = sqlite3.connect(path)
    ledger.executescript(
        """
        PRAGMA journal_mode = WAL;
        PRAGMA synchronous = FULL;
        CREATE TABLE entry (handset TEXT NOT NULL, seq INTEGER NOT NULL, hash TEXT NOT NULL, kind TEXT NOT NULL,
          at TEXT NOT NULL, compact TEXT NOT NULL, PRIMARY KEY (handset, seq));
        CREATE TABLE paper (handset TEXT NOT NULL, seq INTEGER NOT NULL, number TEXT NOT NULL, day TEXT NOT NULL,
          member TEXT NOT NULL, net_g INTEGER, payable_minor INTEGER, PRIMARY KEY (handset, seq));
        CREATE INDEX paper_day ON paper (day);
        """
    )
    kept = 0
    for file in files:
        with open(file, encoding="utf-8") as opened:
            bundle = json.load(opened)
        key = ECKey.import_key(decoded(bundle["manifest"].split(".")[1])["jwk"])
        manifest = verified(bundle["manifest"], key)
        handset, prev = manifest["handset"], manifest["prev"]
        entries, papers = [], []
        for compact in bundle["entries"]:
            entry = verified(compact, key)
            if entry["prev"] != prev:
                raise SystemExit(f"{file}: entry {entry['seq']} does not link")
            prev = sha256(compact)
            entries.append((handset, entry["seq"], prev, entry["kind"], entry["at"], compact))
            body = entry["body"]
            if "assessment" in body:
                found = body["assessment"]
                papers.append(
                    (handset, entry["seq"], body["number"], body["day"], body["member"],
                     found.get("net_g"), found.get("payable_minor"))
                )
        if prev != manifest["head"]:
            raise SystemExit(f"{file}: the head differs")
        with ledger:
            ledger.executemany("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)", entries)
            ledger.executemany("INSERT INTO paper VALUES (?, ?, ?, ?, ?, ?, ?)", papers)
        kept += len(entries)
    print(time.perf_counter() - started, kept)


main(*sys.argv[1:])
