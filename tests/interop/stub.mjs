// Reads and makes stubs, and reads the desk's list of handsets, with jose, by the description of
// the format alone.
//
// Put to it (see tests/src/node.rs): {"do": "check", "stub": TEXT, "jwk": PUBLIC, "entry": TEXT}
// answers what jose says of it and the entry's hash; {"do": "make", "jwk": PRIVATE, "payload":
// PAYLOAD} answers with a stub.
import { createHash, webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { CompactSign, calculateJwkThumbprint, compactVerify, decodeProtectedHeader, importJWK } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

async function check({ stub, jwk, entry }) {
  const key = await importJWK(jwk, 'ES256')
  const verified = await compactVerify(stub, key, { algorithms: ['ES256'] }).catch(() => undefined)
  const { kid, typ } = decodeProtectedHeader(stub)
  return {
    fits: verified !== undefined && kid === (await calculateJwkThumbprint(jwk)),
    kid,
    typ,
    payload: verified ? JSON.parse(new TextDecoder().decode(verified.payload)) : null,
    entry_hash: createHash('sha256').update(entry).digest('base64url'),
  }
}

async function make({ jwk, payload }) {
  const kid = await calculateJwkThumbprint(jwk)
  return new CompactSign(new TextEncoder().encode(JSON.stringify(payload)))
    .setProtectedHeader({ kid, typ: 'combgate-stub', alg: 'ES256' })
    .sign(await importJWK(jwk, 'ES256'))
}

const question = JSON.parse(readFileSync(process.argv[2], 'utf8'))
const answer = question.do === 'check' ? await check(question) : await make(question)
process.stdout.write(JSON.stringify(answer))
