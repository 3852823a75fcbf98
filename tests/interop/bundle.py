"""Reads and writes bundles with joserfc and jwcrypto, by the description of the format alone.

Put to it (see tests/src/python.rs): {"do": "check", "bundle": TEXT} answers what each library says
of each signature, and what the entries say; {"do": "make", "jwk": PRIVATE, "entries": [PAYLOAD],
"manifest": PAYLOAD} answers with one bundle made by each library.
"""

import base64
import hashlib
import json
import sys

from joserfc import jws as joserfc_jws
from joserfc.errors import JoseError
from joserfc.jwk import ECKey
from jwcrypto.common import JWException
from jwcrypto.jwk import JWK
from jwcrypto.jws import JWS


def sha256(text):
    return base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()


def parts(compact):
    """Header and payload, unverified: who is right is for the libraries to say."""
    return [
        json.loads(base64.urlsafe_b64decode(part + "=" * (-len(part) % 4)))
        for part in compact.split(".")[:2]
    ]


class Joserfc:
    def __init__(self, jwk):
        self.key = ECKey.import_key(jwk)

    def thumbprint(self):
        return self.key.thumbprint()

    def fits(self, compact):
        try:
            joserfc_jws.deserialize_compact(compact, self.key, algorithms=["ES256"])
        except JoseError:
            return False
        return True

    def sign(self, header, payload):
        return joserfc_jws.serialize_compact(header, payload, self.key, algorithms=["ES256"])


class Jwcrypto:
    def __init__(self, jwk):
        self.key = JWK(**jwk)

    def thumbprint(self):
        return self.key.thumbprint()

    def fits(self, compact):
        jws = JWS()
        jws.allowed_algs = ["ES256"]
        try:
            jws.deserialize(compact)
            jws.verify(self.key)
        except JWException:
            return False
        return True

    def sign(self, header, payload):
        jws = JWS(payload.encode())
        jws.add_signature(self.key, protected=json.dumps(header))
        return jws.serialize(compact=True)


LIBRARIES = {"joserfc": Joserfc, "jwcrypto": Jwcrypto}


def totals(payloads):
    """Sums by day, as the format describes them."""
    days = {}
    for payload in payloads:
        kind, body = payload["kind"], payload["body"]
        if kind not in ("receipt", "slip", "cancellation", "payment"):
            continue
        names = ("receipts", "slips", "cancellations", "pails", "net_g", "payable_minor", "paid_minor")
        day = days.setdefault(body["day"], dict.fromkeys(names, 0))
        if kind == "receipt":
            day["receipts"] += 1
            day["pails"] += len(body["delivery"]["pails"])
            day["net_g"] += body["assessment"]["net_g"]
            day["payable_minor"] += body["assessment"]["payable_minor"]
            day["paid_minor"] += body["settlement"]["paid_minor"]
        elif kind == "slip":
            day["slips"] += 1
        elif kind == "cancellation":
            day["cancellations"] += 1
            day["pails"] -= body["pails"]
            day["net_g"] -= body["net_g"]
            day["payable_minor"] -= body["payable_minor"]
            day["paid_minor"] -= body["returned_minor"]
        else:
            day["paid_minor"] += body["paid_minor"]
    return [{"day": day, **sums} for day, sums in sorted(days.items())]


def check(bundle):
    bundle = json.loads(bundle)
    manifest = parts(bundle["manifest"])[1]
    read = [parts(entry) for entry in bundle["entries"]]
    entries = [
        {
            "kid": header["kid"],
            "typ": header["typ"],
            "seq": payload["seq"],
            "prev": payload["prev"],
            "kind": payload["kind"],
            "hash": sha256(compact),
        }
        for compact, (header, payload) in zip(bundle["entries"], read)
    ]
    libraries = {}
    for name, library in LIBRARIES.items():
        library = library(manifest["jwk"])
        libraries[name] = {
            "thumbprint": library.thumbprint(),
            "manifest_fits": library.fits(bundle["manifest"]),
            "entries_fit": [library.fits(entry) for entry in bundle["entries"]],
        }
    return {
        "libraries": libraries,
        "manifest": manifest,
        "entries": entries,
        "totals": totals(payload for _, payload in read),
    }


def make(library, entries, manifest):
    """Chains and signs the payloads; only what depends on signatures is filled in here."""
    kid = library.thumbprint()
    compacts = []
    for payload in entries:
        if compacts:
            payload = {**payload, "prev": sha256(compacts[-1])}
        header = {"alg": "ES256", "kid": kid, "typ": "combgate-entry"}
        compacts.append(library.sign(header, json.dumps(payload)))
    manifest = {**manifest, "head": sha256(compacts[-1])}
    header = {"alg": "ES256", "kid": kid, "typ": "combgate-manifest"}
    return json.dumps(
        {
            "format": "combgate-bundle/1",
            "manifest": library.sign(header, json.dumps(manifest)),
            "entries": compacts,
        }
    )


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        question = json.load(file)
    if question["do"] == "check":
        answer = check(question["bundle"])
    else:
        answer = {
            name: make(library(question["jwk"]), question["entries"], question["manifest"])
            for name, library in LIBRARIES.items()
        }
    json.dump(answer, sys.stdout)


main()
