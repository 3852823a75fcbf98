// The day around the deliveries: key and card, briefs that are not taken, opening and closing.

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import {
  desk, enrolled, go, look, phoneOf, press, saved, seen, takeBrief as brief,
} from './officer.mjs';
import { combgate } from './stand.mjs';

async function taken(page, brief) {
  await page.setInputFiles('#brief-file', brief);
}

const refusal = (page) => page.locator('main [role=alert]').innerText();

test('a handset is named, makes its key, and gives out its card', async (t) => {
  const { page } = await phoneOf(t);
  await look(page, 'start-new');
  await press(page, 'Make the key of this handset');
  assert.match(await page.locator('#handset-name-problem').innerText(), /\S/);
  await page.fill('#handset-name', 'Neema 1');
  await press(page, 'Make the key of this handset');
  const card = await saved(page, 'Download the enrolment card');
  assert.equal(card.name, 'combgate-card-Neema-1.jws');
  await look(page, 'start-enrolled');

  // The code on the screen is the card, read by another program's eye.
  await press(page, 'Show the card as a code');
  await page.locator('svg.qr').waitFor();
  await look(page, 'start-code');
  // Two dots of the screen to a CSS pixel, as on a cheap phone.
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setDeviceMetricsOverride', { width: 360, height: 640, deviceScaleFactor: 2, mobile: true });
  for (const colorScheme of ['dark', 'light']) {
    await page.emulateMedia({ colorScheme });
    assert.equal(await seen(page, 'svg.qr'), await readFile(card.path, 'utf8'), colorScheme);
  }
});

test('a brief is compared, taken in, and one that does not fit is refused', async (t) => {
  const { files, page, desks, give } = await enrolled(t);
  const own = await give(desks[0], 'own.jws');
  const newer = await give(desks[0], 'newer.jws');
  const strange = await give(desks[1], 'strange.jws');

  await go(page, '/brief');
  await taken(page, own);
  await page.locator('[data-figure=desk]').waitFor();
  await look(page, 'brief-compare');
  await press(page, 'The codes differ');
  assert.match(await refusal(page), /not from your desk/);
  await page.reload();
  await page.locator('#brief-file').waitFor();
  assert.equal(await page.getByText('Ridge Hives Honey Cooperative').count(), 0);

  // The code on the phone is the one that the desk printed.
  await taken(page, own);
  const code = await page.locator('[data-figure=desk]').innerText();
  const { desk_jwk: jwk } = JSON.parse(Buffer.from((await readFile(own, 'utf8')).split('.')[1], 'base64url'));
  const canonical = JSON.stringify({ crv: jwk.crv, kty: jwk.kty, x: jwk.x, y: jwk.y });
  const thumbprint = createHash('sha256').update(canonical).digest('base64url');
  assert.equal(code.replace(' ', ''), thumbprint.slice(0, 8), 'RFC 7638 thumbprint, first eight');
  await press(page, 'The codes are the same: take it in');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
  await look(page, 'brief');

  const serial = () => page.locator('dt:text-is("Brief number") + dd').innerText();
  assert.equal(await serial(), '1');
  // The next one as a message brings it, with blanks around it.
  await page.fill('#brief-text', `\n ${await readFile(newer, 'utf8')} \n`);
  await press(page, 'Take in a brief');
  await page.locator('dt:text-is("Brief number") + dd').getByText('2', { exact: true }).waitFor();

  const damaged = join(files, 'damaged.jws');
  const text = await readFile(own, 'utf8');
  await writeFile(damaged, text.slice(0, 500) + text.slice(501));
  const cut = join(files, 'cut.jws');
  await writeFile(cut, text.slice(0, 900));
  const huge = join(files, 'huge.jws');
  await writeFile(huge, Buffer.alloc(16 * 1024 * 1024 + 1, 'e'));
  const binary = join(files, 'binary.jws');
  await writeFile(binary, Buffer.from([0xff, 0xfe, 0x00, 0x80]));
  await desk('--desk', desks[0], 'enrol', 'demo-fixtures/handset-k7/enrolment-card.jws', '--code', 'K7');
  const k7 = join(files, 'k7.jws');
  await desk('--desk', desks[0], 'brief', '--handset', 'K7', '--out', k7);
  const refused = [
    [k7, /is for handset K7\. This handset is G1/],
    [own, /has number 1\. Number 2 is already in hand/],
    [strange, /comes from .+ \([\w-]{4} [\w-]{4}\)\. This handset belongs to Ridge Hives Honey Cooperative \([\w-]{4} [\w-]{4}\)/],
    [damaged, /damaged/],
    [cut, /damaged/],
    [binary, /not text/],
    [huge, /larger than [\d.]+ MB/],
  ];
  for (const [file, words] of refused) {
    await taken(page, file);
    await page.getByText(words).waitFor();
    assert.match(await refusal(page), words);
    assert.equal(await serial(), '2', `${words}: the brief in hand stays`);
  }
  await look(page, 'brief-refused');
  await page.fill('#brief-text', 'no brief');
  await press(page, 'Take in a brief');
  await page.getByText(/damaged/).waitFor();

  // Months later by the phone's clock, a brief that was good then is good no more.
  const until = await page.locator('dt:text-is("Good until") + dd').innerText();
  const later = new Date(`${until}T12:00:00`);
  later.setDate(later.getDate() + 40);
  await page.clock.setFixedTime(later);
  await taken(page, newer);
  const late = page.locator('main [role=alert]');
  await late.getByText(`good until ${until}`).waitFor();
  const day = [later.getFullYear(), later.getMonth() + 1, later.getDate()];
  const today = day.map((part) => String(part).padStart(2, '0')).join('-');
  assert.ok((await late.innerText()).includes(`today is ${today}`));
  // Nor is a day opened by it.
  await go(page, '/open-day');
  await page.getByText(`The brief in hand was good until ${until}. Today is ${today}.`).waitFor();
  assert.equal(await page.locator('#officer').count(), 0);
  await look(page, 'open-expired');
});

test('the day is opened once, keeps what was typed, and says what a check found', async (t) => {
  const { page, desks, give } = await enrolled(t);
  await brief(page, await give(desks[0], 'own.jws'));
  await go(page, '/');
  await page.getByRole('link', { name: 'Open the day' }).click();
  assert.equal(await page.inputValue('#float'), '120000.00');
  await look(page, 'open-empty');

  // Nothing is guessed: what is missing is marked, and the first of it has the focus.
  await press(page, 'Open the day now');
  await page.locator('#officer[aria-invalid=true]').waitFor();
  await page.waitForFunction(() => document.activeElement?.id === 'officer');
  await look(page, 'open-missing');

  await page.fill('#officer', 'Neema Kitwana');
  await page.fill('#pails', '6');
  await page.fill('#seals', '6');
  await page.fill('#scale-id', 'S1');
  await page.fill('#interval', '10');
  const scale = page.locator('[data-figure=scale-check]');
  await scale.getByText('not made').waitFor();
  // OIML R 76-1, Tables 3 and 6: class III, from 20 e; 0.5 e up to 500 e, in service twice that.
  for (const [known, shown, words] of [
    ['5', '5.02', 'failed'], ['5', '5.01', 'passed'], ['0.19', '0.19', 'at least 0.20 kg'],
  ]) {
    await page.fill('#known', known);
    await page.fill('#shown', shown);
    await scale.getByText(words).waitFor();
  }
  await page.fill('#refractometer-id', 'R1');
  const refractometer = page.locator('[data-figure=refractometer-check]');
  await refractometer.getByText('not made').waitFor();
  await page.fill('#reference', '18');
  await page.fill('#temperature', '22');
  for (const [reading, words] of [['18', 'exactly'], ['18.2', '0.2 too high'], ['17.75', '0.25 too low'], ['40', 'too far off']]) {
    await page.fill('#reading', reading);
    await refractometer.getByText(words).waitFor();
  }
  await page.fill('#reading', '17.75');
  await page.check('#compensated');
  assert.equal(await page.locator('main [role=alert]').count(), 0);
  await look(page, 'open-filled');

  await page.reload();
  await page.locator('#officer').waitFor();
  const kept = {};
  for (const id of ['officer', 'float', 'pails', 'known', 'reading']) kept[id] = await page.inputValue(`#${id}`);
  assert.deepEqual(kept, { officer: 'Neema Kitwana', float: '120000.00', pails: '6', known: '0.19', reading: '17.75' });
  assert.equal(await page.isChecked('#compensated'), true);

  await page.uncheck('#refractometer');
  await page.getByText('Without a refractometer').waitFor();
  await look(page, 'open-without');
  await page.check('#refractometer');
  assert.equal(await page.inputValue('#reading'), '17.75');

  // Two taps are one wish.
  await page.evaluate(() => {
    const button = document.querySelector('button.primary');
    button.click();
    button.click();
  });
  await page.locator('#officer').waitFor({ state: 'detached' });
  await look(page, 'open-done');
  await go(page, '/');
  await page.locator('[data-figure=waiting]').getByText('Not yet handed over: 1').waitFor();
  await look(page, 'start-open');
  assert.equal(await page.evaluate(() => localStorage.getItem('combgate-draft-day-opening')), null);
});

test('the day is closed once, a difference is explained, and the bundle goes out again and again', async (t) => {
  const share = () => {
    Object.defineProperty(navigator, 'canShare', { value: ({ files }) => files.length === 1 });
    Object.defineProperty(navigator, 'share', {
      value: async ({ files: [file] }) => {
        if (globalThis.nobody) throw new DOMException('nobody chosen', 'AbortError');
        globalThis.passed = { name: file.name, type: file.type, text: await file.text() };
      },
    });
  };
  const { files, page, desks, give } = await enrolled(t, share);
  await brief(page, await give(desks[0], 'own.jws'));
  await go(page, '/close-day');
  await page.getByText('No day is open.').waitFor();
  await go(page, '/open-day');
  await page.fill('#officer', 'Neema Kitwana');
  await page.fill('#pails', '6');
  await page.fill('#seals', '0');
  await page.uncheck('#scale');
  await page.uncheck('#refractometer');
  await press(page, 'Open the day now');
  await page.locator('#officer').waitFor({ state: 'detached' });

  await go(page, '/today');
  await page.locator('[data-figure=cash]').waitFor();
  await look(page, 'today-empty');
  await go(page, '/close-day');
  await page.getByText('Taken this morning: 6').waitFor();
  await page.fill('#cash', '119990.50');
  await page.fill('#full-pails', '0');
  await page.fill('#empty-pails', '5');
  await page.fill('#cash', '120009.50');
  await page.getByText('Too much: KES 9.50').waitFor();
  await page.fill('#cash', '119990.50');
  await page.getByText('Missing: KES 9.50').waitFor();
  // Nothing else asks to be tapped before the day is closed.
  assert.equal(await page.getByRole('button', { name: 'Export the bundle' }).count(), 0);
  await press(page, 'Close the day now');
  await page.locator('#explanation[aria-invalid=true]').waitFor();
  await look(page, 'close-differs');
  await page.reload();
  await page.locator('#explanation').waitFor();
  assert.equal(await page.inputValue('#cash'), '119990.50');
  await page.fill('#explanation', 'Bread for the driver');
  await press(page, 'Close the day now');
  await page.getByText('The day is closed.').waitFor();
  await look(page, 'closed');

  const first = await saved(page, 'Export the bundle');
  assert.match(first.name, /^combgate-G1-\d{4}-\d\d-\d\d-3\.json$/);
  await page.getByText('All of it is in an exported file').waitFor();
  await page.evaluate(() => { globalThis.nobody = true; });
  await press(page, 'Pass the bundle on');
  await page.getByText('The bundle was not passed on.').waitFor();
  await page.evaluate(() => { globalThis.nobody = false; });
  await press(page, 'Pass the bundle on');
  await page.getByText('The bundle was passed on.').waitFor();
  const passed = await page.evaluate(() => globalThis.passed);
  assert.equal(passed.type, 'text/plain');
  const second = join(files, passed.name);
  await writeFile(second, passed.text);
  await look(page, 'exported');

  // Both are the same entries to the desk, whatever the file is called.
  const imported = await combgate('--desk', desks[0], 'import', first.path);
  assert.equal(imported.code <= 1, true, imported.stderr);
  assert.match(imported.stdout, /Bread for the driver/);
  const again = await combgate('--desk', desks[0], 'import', second);
  assert.equal(again.code <= 1, true, again.stderr);

  await go(page, '/open-day');
  await page.getByText('This day is closed already.').waitFor();
  await page.reload();
  await page.locator('nav.places').waitFor();
  await go(page, '/hand-over');
  await saved(page, 'Export the bundle');
});
