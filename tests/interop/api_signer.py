"""Signs what schemathesis makes up, so that it comes past the signature (RFC 9421, RFC 9530).

Named in SCHEMATHESIS_HOOKS by app/desk/tests/sync/interface.rs. COMBGATE_SCALAR is the handset's
private key in hex; where it is not set, everything is sent as it was made up.
"""

import base64
import hashlib
import json
import os
import re
import time
from urllib.parse import urlsplit

import schemathesis
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from requests.auth import AuthBase

BUNDLES = "/v1/bundles/"
DIGEST = re.compile(r"[A-Za-z0-9_-]{42}[AEIMQUYcgkosw048]")
# What the description asks of the fields; one that was made up to be wrong stays wrong.
INPUT = re.compile(r"[a-z*][a-z0-9_.*-]*=\(.*\);.*keyid=\"[A-Za-z0-9_-]{43}\".*")
SIGNATURE = re.compile(r"[a-z*][a-z0-9_.*-]*=:[A-Za-z0-9+/]{85}[AQgw]==:")
CONTENT_DIGEST = re.compile(r"sha-256=:[A-Za-z0-9+/]{42}[AEIMQUYcgkosw048]=:")


@schemathesis.deserializer("application/jose")
def compact(context, response):
    return response.content.decode("ascii")


def base64url(data):
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def said(request, name):
    value = request.headers.get(name, "")
    return value.decode("latin-1") if isinstance(value, bytes) else value


class Handset(AuthBase):
    def __init__(self, scalar):
        self.key = ec.derive_private_key(int(scalar, 16), ec.SECP256R1())
        public = self.key.public_key().public_numbers()
        jwk = {"crv": "P-256", "kty": "EC"}
        jwk["x"], jwk["y"] = (base64url(each.to_bytes(32, "big")) for each in (public.x, public.y))
        # RFC 7638.
        canonical = json.dumps(jwk, sort_keys=True, separators=(",", ":"))
        self.thumbprint = base64url(hashlib.sha256(canonical.encode()).digest())

    def __call__(self, request):
        url = urlsplit(request.url)
        asked = {"Signature-Input": INPUT, "Signature": SIGNATURE}
        if request.method == "PUT":
            asked["Content-Digest"] = CONTENT_DIGEST
        right = all(form.fullmatch(said(request, name)) for name, form in asked.items())
        if request.method not in ("GET", "PUT") or not right:
            return request
        content = request.body or b""
        if isinstance(content, str):
            content = content.encode()
        path = url.path
        covered = [("@method", request.method), ("@authority", url.netloc.lower())]
        if request.method == "PUT":
            digest = hashlib.sha256(content).digest()
            # What is no digest at all stays as it was made up.
            if path.startswith(BUNDLES) and DIGEST.fullmatch(path[len(BUNDLES) :]):
                path = BUNDLES + base64url(digest)
                request.url = url._replace(path=path).geturl()
            field = f"sha-256=:{base64.b64encode(digest).decode()}:"
            request.headers["Content-Digest"] = field
            covered += [("@path", path), ("content-digest", field)]
        else:
            covered.append(("@path", path))
        names = " ".join(f'"{name}"' for name, _ in covered)
        parameters = f'({names});created={int(time.time())};keyid="{self.thumbprint}"'
        lines = [f'"{name}": {value}' for name, value in covered]
        base = "\n".join([*lines, f'"@signature-params": {parameters}'])
        r, s = decode_dss_signature(self.key.sign(base.encode(), ec.ECDSA(SHA256())))
        signature = base64.b64encode(r.to_bytes(32, "big") + s.to_bytes(32, "big")).decode()
        request.headers["Signature-Input"] = f"handset={parameters}"
        request.headers["Signature"] = f"handset=:{signature}:"
        return request


if scalar := os.environ.get("COMBGATE_SCALAR"):
    schemathesis.auth.set_from_requests(Handset(scalar))
