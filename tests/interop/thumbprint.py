"""Names keys with joserfc and jwcrypto (RFC 7638), and hashes their canonical form by rfc8785.

Put to it (see tests/src/python.rs): {"jwks": [JWK]}. Answers {"thumbprints": {LIBRARY: [NAME]},
"canonical": {LIBRARY: [DIGEST]}}, each list in the order of the keys. Before it answers it holds
rfc8785 to the sample of RFC 8785, 3.2.2.
"""

import base64
import hashlib
import json
import sys

import rfc8785
from joserfc.jwk import import_key
from jwcrypto.jwk import JWK

SAMPLE = {
    "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
    "string": '\u20ac$\u000f\u000aA\'\u0042\u0022\u005c\\"/',
    "literals": [None, True, False],
}
CANONICAL = (
    '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
)


def digest(octets):
    return base64.urlsafe_b64encode(hashlib.sha256(octets).digest()).rstrip(b"=").decode()


def main():
    assert rfc8785.dumps(SAMPLE) == CANONICAL.encode(), rfc8785.dumps(SAMPLE)
    with open(sys.argv[1], encoding="utf-8") as file:
        jwks = json.load(file)["jwks"]
    answer = {
        "thumbprints": {
            "joserfc": [import_key(jwk).thumbprint() for jwk in jwks],
            "jwcrypto": [JWK(**jwk).thumbprint() for jwk in jwks],
        },
        "canonical": {"rfc8785": [digest(rfc8785.dumps(jwk)) for jwk in jwks]},
    }
    json.dump(answer, sys.stdout)


main()
