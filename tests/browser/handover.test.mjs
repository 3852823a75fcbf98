// Handing over: only what the desk acknowledged counts. Bundles go out as files, acknowledgements
// come back as files or text, and what does not fit is explained and not taken.

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { desk, enrolled, go, inStore, look, openDay, press, saved, takeBrief } from './officer.mjs';
import { combgate } from './stand.mjs';

const waiting = (page) => page.locator('[data-figure=waiting]');

/** A bundle with its manifest, read by Node alone (RFC 7515, 7.1). */
async function bundle(file) {
  const whole = JSON.parse(await readFile(file, 'utf8'));
  const manifest = JSON.parse(Buffer.from(whole.manifest.split('.')[1], 'base64url').toString());
  const digest = createHash('sha256').update(whole.manifest).digest('base64url');
  return { entries: whole.entries, manifest, digest };
}

async function acknowledged(folder, file, out) {
  const done = await combgate('--desk', folder, 'import', file, '--acknowledgement', out);
  assert.equal(done.code <= 1, true, done.stdout + done.stderr);
  return out;
}

async function answer(page, file) {
  await page.setInputFiles('#acknowledgement-file', file);
}

test('entries count as handed over once the desk acknowledged them, and what it asks is shown', async (t) => {
  const { files, page, desks, give } = await enrolled(t);
  await takeBrief(page, await give(desks[0], 'own.jws'));
  await go(page, '/hand-over');
  await page.getByText('There is nothing to hand over yet.').waitFor();
  await openDay(page, { instruments: false });

  // Impossible to miss where the officer looks: how much, and since when.
  await go(page, '/today');
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
  assert.match(await waiting(page).innerText(), /oldest is from \d{4}-\d\d-\d\d \d\d:\d\d/);
  await look(page, 'today-waiting');
  await page.getByRole('link', { name: 'Hand over now' }).click();
  await page.locator('#acknowledgement-file').waitFor({ state: 'attached' });
  await waiting(page).getByText('In no exported file yet: 1').waitFor();
  await look(page, 'handover-before');

  const first = await saved(page, 'Export the bundle');
  const sent = await bundle(first.path);
  assert.deepEqual([sent.manifest.first_seq, sent.manifest.last_seq, sent.entries.length], [1, 2, 2]);
  assert.equal(sent.manifest.previous_bundle, undefined);
  // Exported is not handed over.
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
  await waiting(page).getByText('All of it is in an exported file').waitFor();
  const one = await acknowledged(desks[0], first.path, join(files, 'one.jws'));
  await answer(page, one);
  await page.getByText('The acknowledgement is taken in.', { exact: true }).waitFor();
  await waiting(page).getByText('The desk has everything').waitFor();
  await page.getByText('The clerk asks nothing.').waitFor();
  await page.reload();
  await waiting(page).getByText('The desk has everything').waitFor();

  await go(page, '/close-day');
  await page.fill('#cash', '119990.50');
  await page.fill('#full-pails', '0');
  await page.fill('#empty-pails', '6');
  await page.fill('#explanation', 'Bread for the driver');
  await press(page, 'Close the day now');
  await page.getByText('The day is closed.').waitFor();
  await waiting(page).getByText('Not yet handed over: 1').waitFor();

  // A bundle holds what is not acknowledged, and names the one before it.
  const second = await bundle((await saved(page, 'Export the bundle')).path);
  assert.deepEqual([second.manifest.first_seq, second.manifest.last_seq], [3, 3]);
  assert.equal(second.manifest.previous_bundle, sent.digest);
  assert.equal(second.manifest.prev, createHash('sha256').update(sent.entries[1]).digest('base64url'));
  const everything = await saved(page, 'Export everything');
  const all = await bundle(everything.path);
  assert.deepEqual([all.manifest.first_seq, all.manifest.last_seq, all.entries.length], [1, 3, 3]);
  assert.equal(all.manifest.previous_bundle, second.digest);

  // The second acknowledgement comes as pasted text, and on the page of the brief.
  const two = await acknowledged(desks[0], everything.path, join(files, 'two.jws'));
  await go(page, '/brief');
  await page.fill('#brief-text', await readFile(two, 'utf8'));
  await press(page, 'Take in a brief');
  await page.getByText('The acknowledgement is taken in.', { exact: true }).waitFor();
  await go(page, '/hand-over');
  await waiting(page).getByText('The desk has everything').waitFor();
  const asked = page.locator('[data-figure=questions]');
  await asked.getByText('The cash counted is not what should be there.').waitFor();
  // The desk's own words beside them: its sentence of the finding.
  assert.match(await asked.innerText(), /Entry 3[\s\S]*119990\.50/);
  await page.locator('#language').selectOption('sw');
  await asked.getByText('Fedha zilizohesabiwa').waitFor();
  await look(page, 'handover-questions');

  // What does not fit is explained with both facts, and changes nothing.
  const text = await readFile(two, 'utf8');
  const strange = await acknowledged(desks[1], everything.path, join(files, 'strange.jws'));
  await desk('--desk', desks[0], 'enrol', 'demo-fixtures/handset-k7/enrolment-card.jws', '--code', 'K7');
  const fixture = 'demo-fixtures/bundles/good/afternoon.json';
  const k7 = await acknowledged(desks[0], fixture, join(files, 'k7.jws'));
  const write = async (name, content) => {
    await writeFile(join(files, name), content);
    return join(files, name);
  };
  const refused = [
    [one, /ends with entry 2\. One that ends with entry 3/],
    [strange, /signed with key [\w-]{4} [\w-]{4}\. Your desk has key/],
    [k7, /for the handset with key .*This handset has key/],
    [await write('cut.jws', text.slice(0, 300)), /damaged or was changed/],
    [await write('flipped.jws', text.replace(/\.(.{40})(.)/, (_, before, each) => `.${before}${each === 'A' ? 'B' : 'A'}`)), /damaged or was changed/],
    [await write('garbage.jws', '<img src=x onerror=alert(1)>'), /damaged or was changed/],
    [await write('binary.jws', Buffer.from([0xff, 0xfe, 0x00, 0x80])), /not text/],
    [await write('huge.jws', Buffer.alloc(16 * 1024 * 1024 + 1, 'e')), /larger than 16\.7 MB/],
  ];
  for (const [file, words] of refused) {
    await answer(page, file);
    await page.locator('[role=alert]').getByText(words).waitFor();
    await waiting(page).getByText('The desk has everything').waitFor();
    assert.equal(await asked.locator('li').count(), 1, `${words}: the questions in hand stay`);
  }
  await look(page, 'handover-refused');
  // The same one again is no step back.
  await answer(page, two);
  await page.getByText('The acknowledgement is taken in.', { exact: true }).waitFor();

  // A phone that was set back to yesterday: the desk has an entry that it does not have.
  await inStore(page, ['journal', 'delete', 3], ['state', 'delete', 'acknowledgement']);
  await page.reload();
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
  await answer(page, two);
  await page.getByText('names entry 3 otherwise than this phone has it').waitFor();
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
});
