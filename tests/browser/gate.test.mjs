// A day at the farm gate: two deliveries with no network, one bought and one held; the bundle is
// imported by the desk's program, and the day book holds what the farmer saw. A flipped byte in
// that bundle is refused with the entry named. Libraries of three other makers find the signatures
// of the browser's WebCrypto good; with COMBGATE_KEEP=1 the bundle is kept for
// tests/tests/outside/bundles.rs.

import assert from 'node:assert/strict';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { deliver as typed, go, press, saved as download } from './officer.mjs';
import { check } from '../interop/bundle.mjs';
import { combgate, folder, inTheWay, python, servePage, startPhone } from './stand.mjs';

const shots = process.env.COMBGATE_SHOTS;

async function look(page, name) {
  if (shots) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
  assert.deepEqual(await inTheWay(page), [], name);
}

const deliver = (page, delivery) => typed(page, delivery, (name) => look(page, `${name}-${delivery.pail}`));

async function saved(page, name) {
  return (await download(page, name)).path;
}

test('two deliveries offline, the bundle, the day book, and a flipped byte', async (t) => {
  const files = await folder(t);
  const desk = join(files, 'desk');
  const server = await servePage();
  t.after(() => server.stop());
  const phone = await startPhone();
  t.after(() => phone.stop());
  const page = await phone.context.newPage();
  page.setDefaultTimeout(10_000);
  await page.goto(server.address);

  // The handset is enrolled at the desk and gets its brief.
  await page.fill('#handset-name', 'Officer one');
  await press(page, 'Make the key of this handset');
  const card = await saved(page, 'Download the enrolment card');
  await look(page, 'start');
  const from = 'demo-fixtures/cooperative';
  assert.equal((await combgate('init', desk, '--from', from)).code, 0);
  const enrolled = await combgate('--desk', desk, 'enrol', card, '--code', 'G1');
  assert.equal(enrolled.code, 0, enrolled.stderr);
  const brief = join(files, 'brief.jws');
  const briefed = await combgate('--desk', desk, 'brief', '--handset', 'G1', '--float', '120000', '--out', brief);
  assert.equal(briefed.code, 0, briefed.stderr);

  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await page.locator('nav.places').waitFor();
  await go(page, '/brief');
  await page.setInputFiles('#brief-file', brief);
  await press(page, 'The codes are the same: take it in');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
  await look(page, 'brief');

  // From here on there is no network.
  server.stop();
  await phone.context.setOffline(true);
  await page.reload();
  await page.locator('nav.places').waitFor();

  await go(page, '/open-day');
  await page.fill('#officer', 'Neema Kitwana');
  await page.fill('#pails', '6');
  await page.fill('#seals', '6');
  await page.check('#scale');
  await page.fill('#scale-id', 'S1');
  await page.fill('#interval', '10');
  await page.fill('#known', '5');
  await page.fill('#shown', '5');
  await page.check('#refractometer');
  await page.fill('#refractometer-id', 'R1');
  await page.selectOption('#reads', 'water');
  await page.check('#compensated');
  await page.fill('#reference', '18');
  await page.fill('#reading', '18');
  await page.fill('#temperature', '22');
  await look(page, 'open-day');
  await press(page, 'Open the day now');
  await page.locator('#officer').waitFor({ state: 'detached' });

  await deliver(page, { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' });
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  await look(page, 'receipt');
  const figure = (name) => page.locator(`[data-figure="${name}"]`).innerText();
  const net = await figure('net');
  const total = await figure('total');
  assert.equal(net, '25.14 kg');
  assert.match(total, /^KES [\d,]+\.\d\d$/);

  // The phone dies with the second delivery half done, and gives it back.
  await deliver(page, { member: 'Esta Wamuru', pail: 'P2', waters: ['20.1', '20', '20.1'], gross: '12', tare: '1.2' });
  await page.reload();
  await page.locator('.decision.hold').waitFor();
  await press(page, 'Issue the hold slip');
  await page.locator('article.paper').waitFor();
  await look(page, 'slip');

  await go(page, '/today');
  await page.getByText('G1-26-00001').waitFor();
  await page.getByText('G1-26-00002').waitFor();
  await look(page, 'today');

  await go(page, '/close-day');
  await page.fill('#cash', (120000 - Number(total.replace(/[^\d.]/g, ''))).toFixed(2));
  await page.fill('#full-pails', '1');
  await page.fill('#empty-pails', '5');
  await look(page, 'close-day');
  await press(page, 'Close the day now');
  const bundle = await saved(page, 'Export the bundle');
  await look(page, 'closed');

  // What the browser signed is good to jose, joserfc and jwcrypto, and adds up.
  const text = await readFile(bundle, 'utf8');
  for (const theirs of [await check(text), await python('bundle.py', { do: 'check', bundle: text })]) {
    for (const [name, library] of Object.entries(theirs.libraries)) {
      assert.ok(library.manifest_fits, name);
      assert.deepEqual(library.entries_fit, theirs.entries.map(() => true), name);
      assert.ok(theirs.entries.every((entry) => entry.kid === library.thumbprint), name);
    }
    assert.deepEqual(theirs.totals, theirs.manifest.days);
    assert.equal(theirs.entries.at(-1).hash, theirs.manifest.head);
  }
  if (process.env.COMBGATE_KEEP) await writeFile('tests/interop/from-a-browser.json', text);

  // At the desk: a flipped byte first, then the bundle as it is.
  const whole = JSON.parse(text);
  const place = whole.entries.length - 2;
  const [header, payload, signature] = whole.entries[place].split('.');
  const at = Math.floor(payload.length / 2);
  const flipped = payload.slice(0, at) + (payload[at] === 'A' ? 'B' : 'A') + payload.slice(at + 1);
  const altered = join(files, 'altered.json');
  await writeFile(altered, text.replace(whole.entries[place], [header, flipped, signature].join('.')));
  const refused = await combgate('--desk', desk, 'import', altered);
  assert.equal(refused.code, 1, refused.stdout + refused.stderr);
  assert.match(refused.stdout + refused.stderr, new RegExp(`\\b${place + 1}\\b`));

  const imported = await combgate('--desk', desk, 'import', bundle);
  assert.equal(imported.code, 0, imported.stdout + imported.stderr);
  const day = await page.evaluate(() => {
    const now = new Date();
    return new Date(now - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
  });
  const book = await combgate('--desk', desk, 'daybook', '--day', day, '--json');
  assert.equal(book.code, 0, book.stderr);
  const shown = (await combgate('--desk', desk, 'daybook', '--day', day)).stdout;
  assert.ok(shown.includes('25.14'), shown);
  assert.ok(shown.includes(total.replace('KES ', '')), shown);
});
