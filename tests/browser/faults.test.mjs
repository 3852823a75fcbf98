// What can go wrong with a phone while a receipt is being issued, in a real Chromium: the tab is
// killed, storage fails or is full, the clock is set back, the journal itself is damaged.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { deliver, enrolled, go, inStore, keptDraft, look, openDay, press, saved, takeBrief } from './officer.mjs';
import { combgate } from './stand.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '1.3', tare: '1.2' };
const DRAFT = 'combgate-draft-delivery';
const KILLS = 100;
const seed = Number(process.env.COMBGATE_SEED ?? 20261125);

/** Numbers from 0 to 1, the same for the same seed (a published generator: mulberry32). */
function random(state) {
  let a = state;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** The journal as it lies in the browser: entries by place, and which delivery has which. */
async function stored(page) {
  const [places, entries, deliveries] = await inStore(
    page, ['journal', 'getAllKeys'], ['journal', 'getAll'], ['receipts_by_delivery', 'getAllKeys'],
  );
  const payload = (entry) => JSON.parse(Buffer.from(entry.split('.')[1], 'base64url').toString());
  return { places, deliveries, entries: entries.map(payload) };
}

/** Numbers and deliveries of all receipts, after a look that nothing is lost, double or half. */
function receiptsOf({ places, deliveries, entries }) {
  assert.deepEqual(places, places.map((_, place) => place + 1), 'places without a gap');
  const receipts = entries.filter(({ kind }) => kind === 'receipt').map(({ body }) => body);
  assert.deepEqual(
    receipts.map(({ number }) => number),
    receipts.map((_, place) => `G1-26-${String(place + 1).padStart(5, '0')}`),
    'numbers without a gap',
  );
  assert.deepEqual(receipts.map((each) => each.delivery_id).sort(), [...deliveries].sort(), 'one receipt a delivery');
  return receipts;
}

/** A day that is open, with a delivery typed up to its decision. */
async function decided(t, init) {
  const stand = await enrolled(t, init);
  await takeBrief(stand.page, await stand.give(stand.desks[0], 'own.jws'));
  await openDay(stand.page);
  await deliver(stand.page, DELIVERY);
  return stand;
}

const issue = (page) => press(page, 'Issue the receipt');
const paper = (page) => page.locator('article.paper').waitFor();
const decision = (page) => page.getByRole('button', { name: 'Issue the receipt', exact: true }).waitFor();
const alert = (page, words) => page.getByRole('alert').getByText(words).waitFor();

async function importAll(stand, page) {
  await go(page, '/hand-over');
  const bundle = await saved(page, 'Export everything');
  const answer = join(stand.files, 'answer.jws');
  const done = await combgate('--desk', stand.desks[0], 'import', bundle.path, '--acknowledgement', answer);
  const booked = JSON.parse(Buffer.from((await readFile(answer, 'utf8')).split('.')[1], 'base64url'));
  return { ...done, booked, sent: JSON.parse(await readFile(bundle.path, 'utf8')).entries.length };
}

test(`the tab is killed ${KILLS} times between the tap and the receipt`, async (t) => {
  t.diagnostic(`seed ${seed}`);
  const stand = await decided(t);
  const { phone, server } = stand;
  let { page } = stand;
  const draft = await keptDraft(page);
  const drafted = (round) => {
    const copy = JSON.parse(draft);
    copy.delivery = copy.delivery.replace(/.{12}$/, String(round).padStart(12, '0'));
    copy.pails[0].number = `P${round}`;
    return JSON.stringify(copy);
  };
  await page.evaluate(() => navigator.serviceWorker.ready);

  /** Brings a fresh delivery to its decision without leaving the page. */
  const prepare = async (round) => {
    await go(page, '/today');
    await page.locator('#find-paper').waitFor();
    await page.evaluate(([key, text]) => localStorage.setItem(key, text), [DRAFT, drafted(round)]);
    await go(page, '/purchase/decision');
    await decision(page);
  };
  // How long it takes undisturbed: the middle of five is what the kills are spread over.
  const times = [];
  for (let round = 1; round <= 5; round += 1) {
    await prepare(round);
    const took = await page.evaluate(() => new Promise((done) => {
      const begin = performance.now();
      new MutationObserver((_, observer) => {
        if (!document.querySelector('article.paper')) return;
        observer.disconnect();
        done(performance.now() - begin);
      }).observe(document.body, { childList: true, subtree: true });
      [...document.querySelectorAll('button.primary')].find((each) => each.textContent.trim() === 'Issue the receipt').click();
    }));
    times.push(took);
  }
  const usual = times.sort((one, other) => one - other)[2];
  let receipts = receiptsOf(await stored(page));
  assert.equal(receipts.length, 5);

  const next = random(seed);
  const outcome = { 'before it was stored': 0, 'after it was stored': 0, 'after the draft was given up': 0 };
  for (let kill = 1; kill <= KILLS; kill += 1) {
    const round = 5 + kill;
    await prepare(round);
    const cdp = await phone.context.newCDPSession(page);
    const after = next() * usual;
    const click = "[...document.querySelectorAll('button.primary')].find((each) => each.textContent.trim() === 'Issue the receipt').click()";
    cdp.send('Runtime.evaluate', { expression: click }).catch(() => {});
    await new Promise((done) => setTimeout(done, after));
    const crashed = page.waitForEvent('crash');
    cdp.send('Page.crash').catch(() => {});
    await crashed;
    await page.close();

    page = await phone.context.newPage();
    page.setDefaultTimeout(10_000);
    await page.goto(`${server.address}#/today`);
    await page.locator('#find-paper').waitFor();
    const found = receiptsOf(await stored(page)).length - receipts.length;
    const open = await page.evaluate((key) => localStorage.getItem(key) !== null, DRAFT);
    assert.ok(found === 0 || found === 1, `kill ${kill} after ${after} ms left ${found} receipts`);
    assert.ok(open || found === 1, `kill ${kill} after ${after} ms lost draft and receipt`);
    outcome[open ? ['before it was stored', 'after it was stored'][found] : 'after the draft was given up'] += 1;
    // The officer, who saw nothing, goes on with it: there is its receipt, or it is issued now.
    if (open && found === 1) {
      await go(page, '/purchase/decision');
      await page.getByText('This delivery already has its receipt.').waitFor();
      assert.equal(await page.evaluate((key) => localStorage.getItem(key), DRAFT), null);
    } else if (open) {
      await go(page, '/purchase/decision');
      await decision(page);
      await issue(page);
      await paper(page);
    }
    receipts = receiptsOf(await stored(page));
    assert.equal(receipts.length, round, `kill ${kill} after ${after} ms`);
    assert.ok(receipts[round - 1].delivery_id.endsWith(String(round).padStart(12, '0')));
  }
  t.diagnostic(`killed within ${usual.toFixed(0)} ms: ${JSON.stringify(outcome)}`);
  assert.ok(outcome['before it was stored'] > 0, 'some kills came before the receipt was stored');
  assert.ok(outcome['before it was stored'] < KILLS, 'some kills came after the receipt was stored');

  // Signatures and chain, by the desk's program.
  const { booked, sent, stdout, stderr } = await importAll(stand, page);
  assert.equal(booked.booked_to, sent, stdout + stderr);
});

/** Lets the page's storage fail at a word, and its clock run behind. */
function disturbed() {
  const add = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = function disturbedAdd(...words) {
    if (this.name !== 'journal' || !window.failing) return add.apply(this, words);
    if (window.failing === 'throws') throw new DOMException('the disk is gone', 'UnknownError');
    const request = add.apply(this, words);
    if (window.failing === 'aborts') this.transaction.abort();
    else request.addEventListener('success', () => this.transaction.abort());
    return request;
  };
  const Clock = Date;
  const behind = () => Number(localStorage.getItem('test-behind') ?? 0);
  window.Date = class extends Clock {
    constructor(...words) {
      if (words.length === 0) super(Clock.now() - behind());
      else super(...words);
    }

    static now() { return Clock.now() - behind(); }
  };
}

test('storage that fails in the middle of a receipt, and storage that is full', async (t) => {
  const stand = await decided(t, disturbed);
  const { page, phone, server } = stand;
  const before = await stored(page);
  for (const failing of ['throws', 'aborts', 'aborts late']) {
    await page.evaluate((how) => { window.failing = how; }, failing);
    await issue(page);
    await alert(page, 'Saving failed. Nothing of this step was saved.');
    assert.deepEqual(await stored(page), before, failing);
  }
  await page.evaluate(() => { window.failing = undefined; });

  const cdp = await phone.context.newCDPSession(page);
  const origin = new URL(server.address).origin;
  await cdp.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1 });
  // Chromium goes by the room that it saw when the database was opened, which it closes a moment
  // after the last page that uses it.
  await page.goto('about:blank');
  await page.waitForTimeout(4000);
  await page.goto(`${server.address}#/purchase/decision`);
  await issue(page);
  await alert(page, "The phone's storage is full.");
  assert.deepEqual(await stored(page), before, 'full');
  // What is there can still be handed over with no room left.
  await go(page, '/hand-over');
  await press(page, 'Export everything');
  await page.locator('h1').waitFor();
  await cdp.send('Storage.overrideQuotaForOrigin', { origin });
  await go(page, '/purchase/decision');
  await issue(page);
  await paper(page);
  const [receipt] = receiptsOf(await stored(page));
  assert.equal(receipt.number, 'G1-26-00001');
});

test('a clock that is set back a day keeps numbers and day, and the desk is told', async (t) => {
  const stand = await decided(t, disturbed);
  const { page } = stand;
  await issue(page);
  await paper(page);
  await deliver(page, { ...DELIVERY, pail: 'P2' });
  await page.evaluate(() => localStorage.setItem('test-behind', String(24 * 3600 * 1000)));
  await go(page, '/health');
  await alert(page, 'The clock was set back by 14');
  await page.reload();
  await alert(page, 'The newest entry is from');
  await go(page, '/purchase/decision');
  await decision(page);
  await issue(page);
  await paper(page);
  const { entries, ...rest } = await stored(page);
  const receipts = receiptsOf({ entries, ...rest });
  assert.equal(receipts.length, 2);
  assert.equal(receipts[1].day, receipts[0].day, 'the day is the one that was opened');
  const [first, second] = entries.slice(-2).map(({ at }) => Date.parse(at));
  assert.ok(second < first - 23 * 3600 * 1000, 'the entry says what the clock said');
  const { booked, sent } = await importAll(stand, page);
  assert.equal(booked.booked_to, sent);
  assert.match(JSON.stringify(booked.questions), /clock/, 'the clerk asks about the clock');
});

test('a damaged journal gives out all that can be read of it', async (t) => {
  const stand = await decided(t);
  const { page } = stand;
  await issue(page);
  await paper(page);
  // The opening of the day is no text any more, and place 5 follows a gap.
  await inStore(page, ['journal', 'put', [0, 0, 0], 2], ['journal', 'put', 'e30.e30.AAAA', 5]);
  await page.reload();
  await alert(page, 'The journal on this phone has a gap.');
  const figure = (name) => page.locator(`[data-figure="${name}"]`).innerText();
  assert.deepEqual([await figure('left'), await figure('unreadable'), await figure('missing')], ['2', '2', '1']);
  await look(page, 'damaged');
  const names = await page.getByRole('button').allInnerTexts();
  assert.deepEqual(names, ['combgate-left-1-1.json', 'combgate-left-3-3.json', 'combgate-unreadable.json'].map((name) => `Download ${name}`));
  const first = await saved(page, names[0]);
  assert.equal((await combgate('--desk', stand.desks[0], 'import', first.path)).code, 0);
  const later = await saved(page, names[1]);
  assert.equal(JSON.parse(await readFile(later.path, 'utf8')).entries.length, 1);
  const rest = JSON.parse(await readFile((await saved(page, names[2])).path, 'utf8'));
  assert.deepEqual(rest.places, [{ seq: 2 }, { seq: 5, text: 'e30.e30.AAAA' }]);
});
