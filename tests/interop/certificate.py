"""Makes a certificate for 127.0.0.1 that signs itself, with the library cryptography.

The question names the file for the certificate and the file for its key, both in PEM.
"""

import datetime
import ipaddress
import json
import sys

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

with open(sys.argv[1]) as file:
    question = json.load(file)
key = ec.generate_private_key(ec.SECP256R1())
name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "desk under test")])
now = datetime.datetime.now(datetime.timezone.utc)
made = (
    x509.CertificateBuilder()
    .subject_name(name)
    .issuer_name(name)
    .public_key(key.public_key())
    .serial_number(x509.random_serial_number())
    .not_valid_before(now - datetime.timedelta(days=1))
    .not_valid_after(now + datetime.timedelta(days=7))
    .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))]), False)
    .add_extension(x509.BasicConstraints(ca=True, path_length=0), True)
    .sign(key, hashes.SHA256())
)
pem = serialization.Encoding.PEM
with open(question["certificate"], "wb") as file:
    file.write(made.public_bytes(pem))
with open(question["key"], "wb") as file:
    file.write(
        key.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    )
print("{}")
