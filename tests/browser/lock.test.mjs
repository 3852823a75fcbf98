// The lock: what it hides, that the right PIN gives everything back, and that a forgotten one loses
// no receipt.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { test } from 'node:test';
import { buy, deliver, go, inStore, keptDraft, lockIt, look, PIN, press, working } from './officer.mjs';
import { combgate } from './stand.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };

/** Everything that the browser keeps for the page but the journal, as one text. */
async function stored(page) {
  const [kept] = await inStore(page, ['state', 'getAll']);
  const plain = (text) => String(text).split('.').map((part) => Buffer.from(part, 'base64url').toString('latin1')).join(' ');
  const beside = await page.evaluate(() => Object.values(localStorage));
  return [...kept.map(plain), ...kept, ...beside].join('\n');
}

async function unlock(page, pin = PIN) {
  await page.fill('#pin', pin);
  await page.keyboard.press('Enter');
}

const locked = (page) => page.getByRole('heading', { name: 'Locked' }).waitFor();

test('a PIN hides what is known of members, and gives everything back', async (t) => {
  const { page } = await working(t);
  await go(page, '/purchase/member');
  await deliver(page, DELIVERY);
  await go(page, '/health');
  assert.match(await stored(page), /Asha Mrembwe/, 'without a lock the register lies open');
  for (const [pin, again, said] of [
    ['12345', '12345', '6 to 12 digits and nothing else.'],
    ['12ab56', '12ab56', '6 to 12 digits and nothing else.'],
    ['777777', '777777', 'Too easy to guess.'],
    ['456789', '456789', 'Too easy to guess.'],
    [PIN, '482914', 'The two PINs differ.'],
  ]) {
    await page.fill('#lock-pin', pin);
    await page.fill('#lock-again', again);
    await press(page, 'Lock this page from now on');
    await page.getByText(said).waitFor();
  }
  await look(page, 'lock-off');
  // A lock that cannot be stored seals nothing: a secret kept nowhere would open nothing again.
  await page.evaluate(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function failing(value, key) {
      if (key === 'lock') throw new DOMException('no', 'UnknownError');
      return put.call(this, value, key);
    };
    window.mend = () => { IDBObjectStore.prototype.put = put; };
  });
  await page.fill('#lock-again', PIN);
  await press(page, 'Lock this page from now on');
  await page.getByText('Saving failed. Nothing of this step was saved.').waitFor();
  await page.evaluate(() => window.mend());
  await go(page, '/purchase/weight');
  await page.fill('#gross-0', '26.35');
  await page.fill('#gross-0', '26.34');
  assert.match(await keptDraft(page), /^\{/);
  await go(page, '/health');
  await lockIt(page);
  await look(page, 'lock-on');
  const sealed = await stored(page);
  for (const known of ['Asha Mrembwe', 'M001', '"P1"', '26.34']) {
    assert.ok(!sealed.includes(known), `${known} lies open in the browser's storage`);
  }

  await press(page, 'Lock now');
  await locked(page);
  await look(page, 'locked');
  assert.ok(!(await page.locator('body').innerText()).includes('Asha'));
  // No address leads past it.
  await go(page, '/today');
  await locked(page);
  await unlock(page, '482914');
  await page.getByText('This is not the PIN.').waitFor();
  await unlock(page);
  await page.getByRole('heading', { name: 'Today' }).waitFor();
  // The draft is as it was, and is issued.
  await go(page, '/purchase/weight');
  assert.equal(await page.inputValue('#gross-0'), '26.34');
  await go(page, '/purchase/decision');
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();

  await go(page, '/health');
  await page.fill('#lock-pin', '999998');
  await press(page, 'Take the lock off');
  await page.getByText('This is not the PIN.').waitFor();
  await page.fill('#lock-pin', PIN);
  await press(page, 'Take the lock off');
  await page.getByRole('button', { name: 'Lock this page from now on' }).waitFor();
  await page.reload();
  await page.getByRole('heading', { name: 'Storage and version' }).waitFor();
  assert.match(await stored(page), /Asha Mrembwe/);
});

test('nobody touches the phone, and the page locks', async (t) => {
  const { page } = await working(t);
  await lockIt(page);
  await press(page, 'Lock now');
  await locked(page);
  await page.clock.install();
  await page.reload();
  await unlock(page);
  await page.getByRole('heading', { name: 'Storage and version' }).waitFor();
  await page.clock.fastForward('04:00');
  await page.keyboard.press('Shift');
  await page.clock.fastForward('04:00');
  await page.getByRole('heading', { name: 'Storage and version' }).waitFor();
  await page.clock.fastForward('01:10');
  await locked(page);
});

test('a wrong PIN is slower each time, also after the page was closed', async (t) => {
  const { page } = await working(t);
  await lockIt(page);
  await press(page, 'Lock now');
  const tried = async () => {
    const begun = performance.now();
    await unlock(page, '482914');
    await page.getByText('Looking…').waitFor();
    await page.getByText('Looking…').waitFor({ state: 'detached' });
    await page.getByText('This is not the PIN.').waitFor();
    return performance.now() - begun;
  };
  for (let time = 0; time < 6; time += 1) await tried();
  await page.reload();
  await locked(page);
  // Two seconds after six wrong ones; a wait that was counted anew would be none.
  assert.ok(await tried() >= 2_000);
});

test('a journal that lost an entry says so behind a PIN too', async (t) => {
  const { page } = await working(t);
  await buy(page, DELIVERY);
  await lockIt(page);
  await inStore(page, ['journal', 'delete', 2]);
  await page.reload();
  await page.getByRole('alert').getByText('The journal on this phone has a gap.').waitFor();
  assert.equal(await page.locator('[data-figure=missing]').innerText(), '1');
  assert.equal(await page.locator('#pin').count(), 0, 'a PIN would lead to a phone that cannot buy');
});

test('a forgotten PIN loses no receipt: sealed for the desk, and lifted by a newer brief', async (t) => {
  const { page, files, desks, give } = await working(t);
  await buy(page, DELIVERY);
  await lockIt(page);
  await press(page, 'Lock now');
  await locked(page);
  await page.getByText('PIN forgotten?').click();
  await look(page, 'locked-forgotten');
  const [download] = await Promise.all([
    page.waitForEvent('download'), press(page, 'Download everything for the desk'),
  ]);
  const file = await download.path();
  const theirs = await combgate('--desk', desks[1], 'import', file);
  assert.equal(theirs.code, 2, 'another desk opens it');
  const booked = await combgate('--desk', desks[0], 'import', file, '--json');
  assert.equal(booked.code, 0, booked.stdout + booked.stderr);
  assert.match(booked.stdout, /"booked_to": *3/);

  // The brief in hand lifts nothing, a newer one does.
  await page.setInputFiles('#brief-file', join(files, 'own.jws'));
  await page.getByText('This is the brief that was in hand').waitFor();
  await locked(page);
  await page.setInputFiles('#brief-file', await give(desks[0], 'newer.jws'));
  await page.getByRole('heading', { name: 'Locked' }).waitFor({ state: 'detached' });
  await go(page, '/today');
  await page.getByText('G1-26-00001').waitFor();
  await page.reload();
  await page.getByText('G1-26-00001').waitFor();
  assert.match(await stored(page), /Asha Mrembwe/);
});
