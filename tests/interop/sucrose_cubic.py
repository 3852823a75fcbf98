"""Index of sucrose solutions by SciPy's monotone cubic, on nodes read from the published table.

The nodes follow the rule stated in core/src/honey/sucrose.rs, worked out here anew: the CRC rows,
and in their place, or besides, the OIV rows at whole degrees and at 29.3 and 30.

Question: {"table": path, "brix": [degrees, ...]}. Answer: {"nodes": count, "index": [...]}.
"""

import csv
import json
import sys

from scipy.interpolate import PchipInterpolator


def nodes(table):
    chosen = {}
    with open(table, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for source in ("CRC", "OIV"):
        for row in rows:
            brix = float(row["brix_g_per_100g"])
            whole = brix == int(brix)
            if row["source"].startswith(source) and (source == "CRC" or whole or brix == 29.3):
                chosen[brix] = float(row["refractive_index_nD20"])
    return sorted(chosen.items())


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        question = json.load(file)
    brix, index = zip(*nodes(question["table"]))
    curve = PchipInterpolator(brix, index, extrapolate=False)
    answer = [float(value) for value in curve(question["brix"])]
    print(json.dumps({"nodes": len(brix), "index": answer}))


main()
