// A straightforward import of bundles with jose and better-sqlite3: every signature checked, the
// chain followed, entries and papers kept, one transaction a bundle. Nothing is judged.
//
//   node import.mjs LEDGER BUNDLE...     prints the seconds it took
import { createHash, webcrypto } from 'node:crypto'
import { readFileSync } from 'node:fs'
import Database from 'better-sqlite3'
import { compactVerify, importJWK } from 'jose'

// Node.js 18 has it under another name only.
globalThis.crypto ??= webcrypto

const [path, ...files] = process.argv.slice(2)
const started = process.hrtime.bigint()
const ledger = new Database(path)
ledger.pragma('journal_mode = WAL')
ledger.pragma('synchronous = FULL')
ledger.exec(`
  CREATE TABLE entry (handset TEXT NOT NULL, seq INTEGER NOT NULL, hash TEXT NOT NULL, kind TEXT NOT NULL,
    at TEXT NOT NULL, compact TEXT NOT NULL, PRIMARY KEY (handset, seq));
  CREATE TABLE paper (handset TEXT NOT NULL, seq INTEGER NOT NULL, number TEXT NOT NULL, day TEXT NOT NULL,
    member TEXT NOT NULL, net_g INTEGER, payable_minor INTEGER, PRIMARY KEY (handset, seq));
  CREATE INDEX paper_day ON paper (day);`)
const keepEntry = ledger.prepare('INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)')
const keepPaper = ledger.prepare('INSERT INTO paper VALUES (?, ?, ?, ?, ?, ?, ?)')

const decode = (part) => JSON.parse(Buffer.from(part, 'base64url').toString('utf8'))
const options = { algorithms: ['ES256'] }
const text = new TextDecoder()
let kept = 0
for (const file of files) {
  const bundle = JSON.parse(readFileSync(file, 'utf8'))
  const key = await importJWK(decode(bundle.manifest.split('.')[1]).jwk, 'ES256')
  const manifest = JSON.parse(text.decode((await compactVerify(bundle.manifest, key, options)).payload))
  let prev = manifest.prev
  const rows = []
  for (const compact of bundle.entries) {
    const entry = JSON.parse(text.decode((await compactVerify(compact, key, options)).payload))
    if (entry.prev !== prev) throw new Error(`${file}: entry ${entry.seq} does not link`)
    prev = createHash('sha256').update(compact).digest('base64url')
    rows.push({ entry, hash: prev, compact })
  }
  if (prev !== manifest.head) throw new Error(`${file}: the head differs`)
  ledger.transaction(() => {
    for (const { entry, hash, compact } of rows) {
      keepEntry.run(manifest.handset, entry.seq, hash, entry.kind, entry.at, compact)
      const { number, day, member, assessment } = entry.body
      if (assessment) {
        keepPaper.run(manifest.handset, entry.seq, number, day, member, assessment.net_g ?? null, assessment.payable_minor ?? null)
      }
      kept += 1
    }
  })()
}
console.log(`${Number(process.hrtime.bigint() - started) / 1e9} ${kept}`)
