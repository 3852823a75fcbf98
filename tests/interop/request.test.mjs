// http-message-signatures and the published example agree on what a signed message is.
import assert from 'node:assert/strict'
import { createPublicKey, verify } from 'node:crypto'
import { test } from 'node:test'
import { httpbis } from 'http-message-signatures'

// Source: RFC 9421, appendix B: key B.1.3, response B.2, signature B.2.4.
test('the published response fits its published signature', async () => {
  const jwk = {
    kty: 'EC',
    crv: 'P-256',
    x: 'qIVYZVLCrPZHGHjP17CTW0_-D9Lfw0EkjqF7xB4FivA',
    y: 'Mc4nN9LTDOBhfoUeg8Ye9WedFRhnZXZJA12Qp0zZ6F0',
  }
  const key = { key: createPublicKey({ key: jwk, format: 'jwk' }), dsaEncoding: 'ieee-p1363' }
  const response = (status) => ({
    status,
    headers: {
      'Content-Type': 'application/json',
      'Content-Digest':
        'sha-512=:mEWXIS7MaLRuGgxOBdODa3xqM1XdEvxoYhvlCFJ41QJgJc4GTsPp29l5oGX69wWdXymyU0rjJuahq4l5aGgfLQ==:',
      'Content-Length': '23',
      'Signature-Input':
        'sig-b24=("@status" "content-type" "content-digest" "content-length");created=1618884473;keyid="test-key-ecc-p256"',
      Signature: 'sig-b24=:wNmSUAhwb5LxtOtOpNa6W5xj067m5hFrj0XQ4fvpaCLx0NKocgPquLgyahnzDnDAUy5eCdlYUEkLIj+32oiasw==:',
    },
  })
  const lookup = {
    keyLookup: async () => ({ verify: async (data, signature) => verify('sha256', data, key, signature) }),
  }
  assert.equal(await httpbis.verifyMessage(lookup, response(200)), true)
  assert.equal(await httpbis.verifyMessage(lookup, response(201)), false)
})
