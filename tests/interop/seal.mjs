// Seals and opens documents with jose, by the description of the format alone (RFC 7516).
//
// Put to it (see tests/src/node.rs): {"do": "open", "sealed": TEXT, "key": JWK OR BASE64URL}
// answers with the text and the header; {"do": "seal", "text": TEXT, "jwk": PUBLIC} answers with
// what only the holder of that key opens.
import { webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { CompactEncrypt, base64url, compactDecrypt, importJWK } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

async function open({ sealed, key }) {
  const secret = typeof key === 'string' ? base64url.decode(key) : await importJWK(key, 'ECDH-ES')
  const { plaintext, protectedHeader } = await compactDecrypt(sealed, secret)
  return { text: new TextDecoder().decode(plaintext), header: protectedHeader }
}

async function seal({ text, jwk }) {
  return new CompactEncrypt(new TextEncoder().encode(text))
    .setProtectedHeader({ alg: 'ECDH-ES', enc: 'A256GCM' })
    .encrypt(await importJWK(jwk, 'ECDH-ES'))
}

const question = JSON.parse(readFileSync(process.argv[2], 'utf8'))
process.stdout.write(JSON.stringify(await (question.do === 'open' ? open : seal)(question)))
