"""A straightforward day book and member's season over the desk's own ledger: the rows of the papers
and their entries are read, every entry is taken apart, and kilograms and sums are added up by
grade. No page is made of it, and nobody is asked to sign in.

    python books.py LEDGER DAY MEMBER     prints the milliseconds of each, the middle of five
"""

import base64
import json
import sqlite3
import statistics
import sys
import time

PAPERS = """SELECT paper.grade, paper.net_g, paper.payable_minor, paper.paid_minor, entry.compact
  FROM paper JOIN entry ON entry.handset = paper.handset AND entry.seq = paper.seq AND entry.booked = 1
  WHERE paper.cancelled_by IS NULL AND """


def decoded(compact):
    part = compact.split(".")[1]
    return json.loads(base64.urlsafe_b64decode(part + "=" * (-len(part) % 4)))


def book(path, wanted, value):
    ledger = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    sums = {}
    for grade, net, payable, paid, compact in ledger.execute(PAPERS + wanted, (value,)):
        body = decoded(compact)["body"]
        if "number" not in body:
            raise SystemExit("an entry without a number is no paper")
        of_grade = sums.setdefault(grade, [0, 0, 0, 0])
        for place, more in enumerate((1, net, payable, paid)):
            of_grade[place] += more
    ledger.close()
    if not sums:
        raise SystemExit(f"no papers: {wanted} {value}")
    return sums


def middle(*question):
    took = []
    for _ in range(5):
        started = time.perf_counter()
        book(*question)
        took.append(time.perf_counter() - started)
    return statistics.median(took) * 1000


def main(path, day, member):
    print(middle(path, "paper.day = ?", day), middle(path, "paper.member = ?", member))


main(*sys.argv[1:])
