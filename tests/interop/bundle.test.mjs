// jose and the published examples agree on what a bundle's signatures are worth.
import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { test } from 'node:test'
import { calculateJwkThumbprint, importJWK } from 'jose'
import { check, fits } from './bundle.mjs'

const read = (path) => readFileSync(new URL(`../../demo-fixtures/bundles/${path}.json`, import.meta.url), 'utf8')
const rfc7515 = {
  crv: 'P-256',
  kty: 'EC',
  x: 'f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU',
  y: 'x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0',
}

// Source: RFC 7515, A.3, as kept in tests/reference/crypto_and_format_vectors.md, section 1.
test('jose accepts the published signature and its low twin', async () => {
  const text =
    'eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ'
  const key = await importJWK(rfc7515, 'ES256')
  const high = 'DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q'
  const low = 'DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmU69fgrc8OPGycO0lD3tat_FoFp57SETepkeks4eL_QfA'
  assert.ok(await fits(`${text}.${high}`, key))
  assert.ok(await fits(`${text}.${low}`, key))
  assert.ok(!(await fits(`${text.slice(0, -1)}R.${high}`, key)))
})

// Source: RFC 9449, figures 2 and 9.
test('jose names the published key by its published thumbprint', async () => {
  const jwk = {
    kty: 'EC',
    crv: 'P-256',
    x: 'l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs',
    y: '9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA',
  }
  assert.equal(await calculateJwkThumbprint(jwk), '0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I')
})

for (const name of ['example', 'good/day', 'good/morning', 'good/afternoon']) {
  test(`${name}: signatures, names of keys, chain and totals`, async () => {
    const { libraries, manifest, entries, totals } = await check(read(name))
    assert.ok(libraries.jose.manifest_fits)
    assert.deepEqual(
      libraries.jose.entries_fit,
      entries.map(() => true),
    )
    let before = manifest.prev
    for (const [place, entry] of entries.entries()) {
      assert.equal(entry.seq, manifest.first_seq + place)
      assert.equal(entry.prev, before)
      assert.equal(entry.kid, libraries.jose.thumbprint)
      before = entry.hash
    }
    assert.equal(manifest.head, before)
    assert.equal(manifest.last_seq, entries.at(-1).seq)
    assert.equal(manifest.count, entries.length)
    assert.deepEqual(manifest.days, totals)
  })
}

test('the example is signed with the key that RFC 7515 publishes', async () => {
  assert.deepEqual((await check(read('example'))).manifest.jwk, rfc7515)
})

test('jose refuses the altered entry and the forged manifest', async () => {
  const altered = (await check(read('bad/altered-byte'))).libraries.jose
  assert.deepEqual(
    altered.entries_fit.flatMap((good, place) => (good ? [] : [place + 1])),
    [5],
  )
  const forged = (await check(read('bad/forged-manifest'))).libraries.jose
  assert.ok(!forged.manifest_fits)
})
