// Reads and writes bundles with jose, by the description of the format alone.
//
// Put to it (see tests/src/node.rs): {"do": "check", "bundle": TEXT} answers what jose says of each
// signature, and what the entries say; {"do": "make", "jwk": PRIVATE, "entries": [PAYLOAD],
// "manifest": PAYLOAD} answers with a bundle.
import { createHash, webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { CompactSign, calculateJwkThumbprint, compactVerify, importJWK } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

const sha256 = (text) => createHash('sha256').update(text).digest('base64url')

// Header and payload, unverified: who is right is for jose to say.
const parts = (compact) =>
  compact
    .split('.')
    .slice(0, 2)
    .map((part) => JSON.parse(Buffer.from(part, 'base64url').toString('utf8')))

export async function fits(compact, key) {
  try {
    await compactVerify(compact, key, { algorithms: ['ES256'] })
    return true
  } catch (error) {
    if (error.code?.startsWith('ERR_JW')) return false
    throw error
  }
}

// Sums by day, as the format describes them.
function totals(payloads) {
  const days = new Map()
  for (const { kind, body } of payloads) {
    if (!['receipt', 'slip', 'cancellation', 'payment'].includes(kind)) continue
    const empty = { receipts: 0, slips: 0, cancellations: 0, pails: 0, net_g: 0, payable_minor: 0, paid_minor: 0 }
    const day = days.get(body.day) ?? { day: body.day, ...empty }
    days.set(body.day, day)
    if (kind === 'receipt') {
      day.receipts += 1
      day.pails += body.delivery.pails.length
      day.net_g += body.assessment.net_g
      day.payable_minor += body.assessment.payable_minor
      day.paid_minor += body.settlement.paid_minor
    } else if (kind === 'slip') {
      day.slips += 1
    } else if (kind === 'cancellation') {
      day.cancellations += 1
      day.pails -= body.pails
      day.net_g -= body.net_g
      day.payable_minor -= body.payable_minor
      day.paid_minor -= body.returned_minor
    } else {
      day.paid_minor += body.paid_minor
    }
  }
  return [...days.values()].sort((one, other) => (one.day < other.day ? -1 : 1))
}

export async function check(text) {
  const bundle = JSON.parse(text)
  const [, manifest] = parts(bundle.manifest)
  const key = await importJWK(manifest.jwk, 'ES256')
  const read = bundle.entries.map(parts)
  return {
    libraries: {
      jose: {
        thumbprint: await calculateJwkThumbprint(manifest.jwk),
        manifest_fits: await fits(bundle.manifest, key),
        entries_fit: await Promise.all(bundle.entries.map((entry) => fits(entry, key))),
      },
    },
    manifest,
    entries: read.map(([header, payload], place) => ({
      kid: header.kid,
      typ: header.typ,
      seq: payload.seq,
      prev: payload.prev,
      kind: payload.kind,
      hash: sha256(bundle.entries[place]),
    })),
    totals: totals(read.map(([, payload]) => payload)),
  }
}

// Chains and signs the payloads; only what depends on signatures is filled in here.
async function make({ jwk, entries, manifest }) {
  const key = await importJWK(jwk, 'ES256')
  const kid = await calculateJwkThumbprint(jwk)
  const sign = (typ, payload) =>
    new CompactSign(new TextEncoder().encode(JSON.stringify(payload)))
      .setProtectedHeader({ typ, kid, alg: 'ES256' })
      .sign(key)
  const compacts = []
  for (const payload of entries) {
    const chained = compacts.length > 0 ? { ...payload, prev: sha256(compacts.at(-1)) } : payload
    compacts.push(await sign('combgate-entry', chained))
  }
  const signed = await sign('combgate-manifest', { ...manifest, head: sha256(compacts.at(-1)) })
  return { jose: JSON.stringify({ entries: compacts, manifest: signed, format: 'combgate-bundle/1' }, null, 1) }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const question = JSON.parse(readFileSync(process.argv[2], 'utf8'))
  const answer = question.do === 'check' ? await check(question.bundle) : await make(question)
  process.stdout.write(JSON.stringify(answer))
}
