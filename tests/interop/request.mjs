// Signed requests, as the library http-message-signatures (RFC 9421) sees them.
//
// A question (JSON) is read from the file named on the command line, the answer (JSON) printed.
// The library knows neither this project's coverage nor its names: they are given to it.
import { createPrivateKey, createPublicKey, createHash, sign, verify, webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { httpbis } from 'http-message-signatures'
import { calculateJwkThumbprint } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

const algorithm = 'ecdsa-p256-sha256'
const dsaEncoding = 'ieee-p1363'

// Whether a request fits the key, and its content the digest.
export async function check({ request, content, jwk, now }) {
  const key = { key: createPublicKey({ key: jwk, format: 'jwk' }), dsaEncoding }
  const id = await calculateJwkThumbprint(jwk)
  const named = []
  const fits = await httpbis.verifyMessage(
    {
      notAfter: now + 300,
      requiredParams: ['created', 'keyid'],
      requiredFields: ['@method', '@authority', '@path', ...(content === null ? [] : ['content-digest'])],
      keyLookup: async ({ keyid }) => {
        named.push(keyid)
        return keyid === id
          ? { id, algs: [algorithm], verify: async (data, signature) => verify('sha256', data, key, signature) }
          : null
      },
    },
    request,
  ).catch((error) => error.message)
  const digest = content === null ? undefined : digestOf(content)
  return { fits: fits === true, named, digest_fits: request.headers['Content-Digest'] === digest }
}

// Signs requests in the project's stead.
export async function make({ requests, jwk, created }) {
  const key = { key: createPrivateKey({ key: jwk, format: 'jwk' }), dsaEncoding }
  const { d, ...open } = jwk
  const id = await calculateJwkThumbprint(open)
  return Promise.all(
    requests.map(async ({ method, url, content, fields }) => {
      const headers = content === null ? {} : { 'Content-Digest': digestOf(content) }
      const signed = await httpbis.signMessage(
        {
          key: { id, alg: algorithm, sign: async (data) => sign('sha256', data, key) },
          name: 'theirs',
          params: ['keyid', 'alg', 'created'],
          fields,
          paramValues: { created: new Date(created * 1000) },
        },
        { method, url, headers },
      )
      return signed.headers
    }),
  )
}

const digestOf = (content) => `sha-256=:${createHash('sha256').update(content).digest('base64')}:`

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const question = JSON.parse(readFileSync(process.argv[2], 'utf8'))
  process.stdout.write(JSON.stringify(await (question.do === 'check' ? check(question) : make(question))))
}
