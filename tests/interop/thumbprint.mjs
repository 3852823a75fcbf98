// Names keys with jose (RFC 7638), and hashes their canonical form by canonicalize (RFC 8785).
//
// Put to it (see tests/src/node.rs): {"jwks": [JWK]}. Answers {"thumbprints": {LIBRARY: [NAME]},
// "canonical": {LIBRARY: [DIGEST]}}, each list in the order of the keys.
import { createHash, webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import canonicalize from 'canonicalize'
import { calculateJwkThumbprint } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

const { jwks } = JSON.parse(readFileSync(process.argv[2], 'utf8'))
const digest = (text) => createHash('sha256').update(text).digest('base64url')
const answer = {
  thumbprints: { jose: await Promise.all(jwks.map((jwk) => calculateJwkThumbprint(jwk))) },
  canonical: { canonicalize: jwks.map((jwk) => digest(canonicalize(jwk))) },
}
process.stdout.write(JSON.stringify(answer))
