// What comes to a phone from around it: a newer build, a register of twenty thousand, people with
// strange names, thousands of receipts.

import assert from 'node:assert/strict';
import { cp, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import {
  buy, deliver, enrolled, from, go, inStore, keptDraft, look, openDay, press, saved, takeBrief,
} from './officer.mjs';
import { combgate, copyOfPage, folder } from './stand.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '1.3', tare: '1.2' };
const HOSTILE = '<img src=x onerror=window.fooled=1>';

test('a newer build waits for the draft, and what is not handed over outlives the change', async (t) => {
  const build = await copyOfPage(t);
  const stand = await enrolled(t, undefined, from, build.folder);
  const { page } = stand;
  await takeBrief(page, await stand.give(stand.desks[0], 'own.jws'));
  await openDay(page);
  await deliver(page, DELIVERY);
  const draft = await keptDraft(page);
  await build.release('newer-build');

  const running = () => page.evaluate(() => new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => done(data);
    navigator.serviceWorker.controller.postMessage({ ask: 'builds' }, [port2]);
  }));
  const before = (await running()).running;
  await page.reload();
  await page.getByText('A newer version is ready.').waitFor();
  await page.getByText('It can be used once what is in progress is finished or given up.').waitFor();
  assert.equal(await page.getByRole('button', { name: 'Use the new version' }).count(), 0);
  // Neither loading again nor the worker's own start changes over an open draft.
  await page.reload();
  await page.getByRole('button', { name: 'Issue the receipt' }).waitFor();
  assert.deepEqual(await running(), { running: before, newest: 'newer-build' });
  assert.equal(await keptDraft(page), draft);

  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  await Promise.all([page.waitForEvent('load'), press(page, 'Use the new version')]);
  await page.locator('article.paper').getByText('G1-26-00001').waitFor();
  assert.deepEqual(await running(), { running: 'newer-build', newest: 'newer-build' });
  await go(page, '/today');
  await page.locator('[data-figure=waiting]').getByText('Not yet handed over: 2').waitFor();
});

test('storage, clock, version and the whole journal on one screen', async (t) => {
  // A browser says so when it likes; here only the event below does.
  const stand = await enrolled(t, () => addEventListener('beforeinstallprompt', (event) => {
    if (event.isTrusted) event.stopImmediatePropagation();
  }, true));
  const { page } = stand;
  await takeBrief(page, await stand.give(stand.desks[0], 'own.jws'));
  await openDay(page);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await page.locator('nav.places').waitFor();
  await page.evaluate(() => {
    const offer = new Event('beforeinstallprompt', { cancelable: true });
    offer.prompt = async () => { window.asked = (window.asked ?? 0) + 1; };
    dispatchEvent(offer);
  });
  await go(page, '/');
  await page.getByRole('link', { name: 'Storage and version' }).click();
  await page.locator('[data-figure=kept]').waitFor();
  await page.getByText('Nothing was exported yet.').waitFor();
  await page.getByText('The clock shows no jump.').waitFor();
  await page.locator('[data-figure=waiting]').getByText('Not yet handed over: 1').waitFor();
  assert.match(await page.locator('[data-figure=free]').innerText(), /^[\d,.]+ MB left$/);
  assert.match(await page.locator('[data-figure=key]').innerText(), /^[\w-]{4} [\w-]{4}$/);
  const worker = await (await fetch(new URL('service-worker.js', stand.server.address))).text();
  const [, version] = worker.match(/VERSION="([^"]+)"/);
  assert.equal(await page.locator('[data-figure=version]').innerText(), `Version ${version}`);
  await press(page, 'Check the whole journal');
  await page.locator('[data-figure=whole]').getByText('2 entries').waitFor();
  await look(page, 'health');
  await press(page, 'Install on this phone');
  await page.getByRole('button', { name: 'Install on this phone' }).waitFor({ state: 'detached' });
  assert.equal(await page.evaluate(() => window.asked), 1);

  await go(page, '/hand-over');
  await saved(page, 'Export everything');
  await go(page, '/health');
  await page.locator('[data-figure=exported]').getByText(/Last export: \d{4}-\d\d-\d\d \d\d:\d\d/).waitFor();

  // One letter of a signature is another: what the screen says of the whole journal can fail.
  const [entry] = await inStore(page, ['journal', 'get', 2]);
  const place = entry.lastIndexOf('.') + 20;
  const other = entry[place] === 'A' ? 'B' : 'A';
  await inStore(page, ['journal', 'put', `${entry.slice(0, place)}${other}${entry.slice(place + 1)}`, 2]);
  await press(page, 'Check the whole journal');
  await page.getByRole('alert').getByText('The journal on this phone has a gap.').waitFor();
  assert.equal(await page.locator('[data-figure=unproven]').innerText(), '1');
  await look(page, 'health-damaged');
});

/** A cooperative with so many members, the last of whom has a name that is also HTML. */
async function manyMembers(t, count) {
  const cooperative = join(await folder(t), 'many');
  await cp(from, cooperative, { recursive: true });
  const file = join(cooperative, 'members.csv');
  const head = (await readFile(file, 'utf8')).trimEnd();
  const columns = head.split('\n')[0].split(',').length;
  const row = (number, name) => [number, name, 'Kilindo', '', 'sw'].concat(Array(columns - 5).fill('')).join(',');
  const first = ['Zuhura', 'Pendo', 'Baraka', 'Juma', 'Rehema', 'Salome', 'Tumaini'];
  const rows = [];
  for (let place = head.split('\n').length; place < count; place += 1) {
    rows.push(row(`N${String(place).padStart(5, '0')}`, `${first[place % first.length]} Ombaka${place}`));
  }
  rows.push(row('X1', HOSTILE));
  await writeFile(file, `${[head, ...rows].join('\n')}\n`);
  return cooperative;
}

/** Adds receipts to the journal as the phone itself would: each signed with its own key. */
async function issueMany(page, count) {
  await page.evaluate(async (wanted) => {
    const database = await new Promise((done) => {
      const opening = indexedDB.open('combgate');
      opening.onsuccess = () => done(opening.result);
    });
    const looking = database.transaction(['journal', 'keys']);
    const read = (store, what, ...words) => new Promise((done) => {
      const reading = looking.objectStore(store)[what](...words);
      reading.onsuccess = () => done(reading.result);
    });
    const [all, pair] = await Promise.all([read('journal', 'getAll'), read('keys', 'get', 'handset')]);
    const url = (bytes) => {
      let text = '';
      for (const byte of bytes) text += String.fromCharCode(byte);
      return btoa(text).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
    };
    const utf8 = (text) => new TextEncoder().encode(text);
    let previous = all.at(-1);
    const [header, body] = previous.split('.');
    const payload = JSON.parse(new TextDecoder().decode(Uint8Array.from(
      atob(body.replaceAll('-', '+').replaceAll('_', '/')), (each) => each.charCodeAt(0),
    )));
    const made = [];
    for (let number = 2; number <= wanted; number += 1) {
      payload.seq += 1;
      payload.prev = url(new Uint8Array(await crypto.subtle.digest('SHA-256', utf8(previous))));
      payload.body.number = `G1-26-${String(number).padStart(5, '0')}`;
      payload.body.delivery_id = payload.body.delivery_id.replace(/.{12}$/, String(number).padStart(12, '0'));
      const signed = `${header}.${url(utf8(JSON.stringify(payload)))}`;
      const signature = await crypto.subtle.sign({ name: 'ECDSA', hash: 'SHA-256' }, pair.privateKey, utf8(signed));
      previous = `${signed}.${url(new Uint8Array(signature))}`;
      made.push([payload.seq, previous, payload.body.delivery_id]);
    }
    const writing = database.transaction(['journal', 'receipts_by_delivery'], 'readwrite');
    for (const [seq, entry, delivery] of made) {
      writing.objectStore('journal').add(entry, seq);
      writing.objectStore('receipts_by_delivery').add(seq, delivery);
    }
    await new Promise((done, failed) => {
      writing.oncomplete = done;
      writing.onabort = () => failed(writing.error);
    });
    database.close();
  }, count);
}

test('twenty thousand members, one of them named in HTML, and five thousand receipts', async (t) => {
  const stand = await enrolled(t, undefined, await manyMembers(t, 20_000));
  const { page, desks, files } = stand;
  const timed = async (what, work) => {
    const begin = performance.now();
    const result = await work();
    t.diagnostic(`${what}: ${Math.round(performance.now() - begin)} ms`);
    return result;
  };
  const brief = await stand.give(desks[0], 'own.jws');
  await timed('brief taken in', () => takeBrief(page, brief));
  await openDay(page);
  await go(page, '/purchase/member');
  await timed('member found among 20,000', async () => {
    await page.fill('#member-search', 'Ombaka19321');
    await page.getByRole('button', { name: 'Ombaka19321' }).waitFor();
  });

  await buy(page, { ...DELIVERY, member: HOSTILE });
  const shown = await page.locator('article.paper').innerText();
  assert.ok(shown.includes(HOSTILE), 'the name stands on the receipt as it was written');
  assert.equal(await page.locator('img[src=x]').count(), 0);

  await issueMany(page, 5000);
  await timed('first start with 5,000 receipts', async () => {
    await page.reload();
    await page.locator('nav.places').waitFor();
  });
  await page.waitForTimeout(1000);
  // From which place the next start asks for entries, before its program has read the snapshot.
  const early = await page.evaluate(() => localStorage.getItem('combgate-snapshot'));
  const [kept] = await inStore(page, ['state', 'get', 'snapshot']);
  const snapshot = JSON.parse(kept).seq;
  // The card, the opening, and a receipt for each.
  assert.equal(snapshot, 2 + 5000);
  assert.equal(early, String(snapshot));
  await timed('second start', async () => {
    await page.reload();
    await page.locator('nav.places').waitFor();
  });
  await buy(page, { ...DELIVERY, pail: 'P2' });
  await page.locator('article.paper').getByText('G1-26-05001').waitFor();
  await go(page, '/today');
  await page.getByText('G1-26-05001').waitFor();
  assert.equal(await page.evaluate(() => window.fooled), undefined, 'nothing in a name is run');
  await go(page, '/health');
  await timed('whole journal checked', async () => {
    await press(page, 'Check the whole journal');
    await page.locator('[data-figure=whole]').getByText('5003 entries').waitFor();
  });
  await go(page, '/hand-over');
  const bundle = await timed('everything exported', () => saved(page, 'Export everything'));
  const answer = join(files, 'answer.jws');
  const done = await timed('imported by the desk', () => combgate(
    '--desk', desks[0], 'import', bundle.path, '--acknowledgement', answer,
  ));
  const booked = JSON.parse(Buffer.from((await readFile(answer, 'utf8')).split('.')[1], 'base64url'));
  assert.equal(booked.booked_to, 5003, done.stderr);
});
