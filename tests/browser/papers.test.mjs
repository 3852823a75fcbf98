// What becomes of a paper after it is issued: cancelled with a reason, replaced by one that names
// it, listed, summed and found again among thousands.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import {
  buy, deliver, enrolled, fillJournal, go, inStore, look, minor, openDay, press, saved, takeBrief,
} from './officer.mjs';
import { combgate, until } from './stand.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };

async function bought(t) {
  const stand = await enrolled(t);
  await takeBrief(stand.page, await stand.give(stand.desks[0], 'own.jws'));
  await openDay(stand.page);
  return { ...stand, paper: await buy(stand.page, DELIVERY) };
}

/** The member's paper is in the member's language until somebody chooses another. */
const inEnglish = (page) => page.locator('.ways .choice').getByText('English', { exact: true }).click();
const figure = (page, name) => page.locator(`[data-figure="${name}"]`);

test('a receipt is cancelled with its reason and replaced by one that names it', async (t) => {
  const { page, desks, paper } = await bought(t);
  await go(page, '/today');
  const cash = async () => minor(await figure(page, 'cash').innerText());
  assert.equal(await cash(), 12_000_000 - minor(paper.total));
  assert.match(await figure(page, 'grades').innerText(), /25\.14/);
  await look(page, 'today-one');

  await page.getByText('G1-26-00001').click();
  await page.getByRole('link', { name: 'Cancel this receipt' }).click();
  await page.getByText('Give the pails back: P1').waitFor();
  await page.getByText(`Take the money back: ${paper.total}`).waitFor();
  // Nothing is cancelled without a reason and before everything is back.
  await press(page, 'Cancel the receipt now');
  await page.getByText('Choose the reason.').waitFor();
  await look(page, 'cancel-missing');
  await page.getByText('Another reason', { exact: true }).click();
  await press(page, 'Cancel the receipt now');
  await page.locator('#cancel-words[aria-invalid=true]').waitFor();
  await page.fill('#cancel-words', '<img src=x onerror=alert(1)> scale on sand');
  await press(page, 'Cancel the receipt now');
  await page.getByText('First give back and take back').waitFor();
  await page.check('#cancel-back');
  await page.evaluate(() => {
    const button = document.querySelector('button.primary');
    button.click();
    button.click();
  });
  await figure(page, 'undone').getByText('CANCELLED', { exact: true }).waitFor();
  assert.match(await figure(page, 'undone').innerText(), /<img src=x onerror=alert\(1\)> scale on sand/);
  assert.equal(await page.locator('main img').count(), 0);
  await look(page, 'cancelled');

  await go(page, '/today');
  await page.locator('.row').getByText('Cancelled', { exact: true }).waitFor();
  assert.equal(await cash(), 12_000_000);
  assert.equal(await figure(page, 'net').innerText(), '0.00');
  assert.equal(await figure(page, 'grades').count(), 0);
  await look(page, 'today-cancelled');

  // The replacement begins with everything as it was.
  await page.reload();
  await page.locator('nav.places').waitFor();
  await page.getByText('G1-26-00001').click();
  await figure(page, 'undone').waitFor();
  await page.getByRole('link', { name: 'Make the replacement' }).click();
  await press(page, 'Make the replacement');
  await page.getByText('Asha Mrembwe').first().waitFor();
  await go(page, '/purchase/weight');
  assert.equal(await page.inputValue('#gross-0'), '26.34');
  await page.fill('#gross-0', '25.34');
  await go(page, '/purchase/decision');
  await page.locator('.decision.buy').first().waitFor();
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  await inEnglish(page);
  await page.getByText('Replaces the cancelled receipt G1-26-00001').waitFor();
  assert.equal(await page.locator('article.paper [data-figure=net]').innerText(), '24.14 kg');
  await go(page, '/today');
  await page.locator('.row').getByText('Replaced by receipt G1-26-00002').waitFor();
  await page.getByText('Replaced by receipt G1-26-00002').click();
  await inEnglish(page);
  await figure(page, 'undone').getByText('Replaced by receipt G1-26-00002').waitFor();
  // It is replaced once.
  assert.equal(await page.getByRole('link', { name: 'Make the replacement' }).count(), 0);

  // The desk finds nothing wrong with it.
  await go(page, '/hand-over');
  const bundle = await saved(page, 'Export the bundle');
  const imported = await combgate('--desk', desks[0], 'import', bundle.path);
  assert.equal(imported.code, 0, imported.stdout + imported.stderr);
});

test('a slip is not cancelled, and a receipt not while another delivery is open or no day is', async (t) => {
  const { page } = await bought(t);
  await deliver(page, { ...DELIVERY, member: 'Esta Wamuru', pail: 'P2', waters: ['20.1', '20', '20.1'] });
  await press(page, 'Issue the hold slip');
  await page.locator('article.paper').waitFor();
  assert.equal(await page.getByRole('link', { name: 'Cancel this receipt' }).count(), 0);
  const place = Number((await page.evaluate(() => location.hash)).split('/').pop());
  await go(page, `/cancel/${place}`);
  await page.getByText('Only a receipt can be cancelled.').waitFor();
  await look(page, 'cancel-slip');
  await go(page, `/cancel/${place - 1}`);
  await page.getByText('The member does not sell', { exact: true }).click();
  await page.check('#cancel-back');
  await press(page, 'Cancel the receipt now');
  await figure(page, 'undone').waitFor();
  // A draft is never pushed aside.
  await go(page, '/purchase/member');
  await page.fill('#member-search', 'Esta Wamuru');
  await page.getByRole('button', { name: 'Esta Wamuru' }).click();
  await go(page, `/cancel/${place - 1}`);
  await press(page, 'Make the replacement');
  await page.getByText('A delivery is in progress.').waitFor();
});

test('sixty papers of the day and five thousand in all', async (t) => {
  const { page } = await bought(t);
  // Copies of the receipt with places, numbers and days of their own. A phone does not check its
  // own signatures again, so the copies need none that fits.
  await fillJournal(page, 5000);

  const timed = async (what, work) => {
    const begin = performance.now();
    await work();
    t.diagnostic(`${what}: ${Math.round(performance.now() - begin)} ms`);
  };
  await page.reload();
  await page.locator('nav.places').waitFor();
  // The first start after it reads all, and the next one what came since.
  await page.waitForTimeout(1000);
  await timed('start', async () => {
    await page.reload();
    await page.locator('nav.places').waitFor();
  });
  await timed('today', async () => {
    await go(page, '/today');
    await page.getByText('G1-26-05000').waitFor();
  });
  assert.equal(await page.locator('.rows .row').count(), 60);
  assert.match(await figure(page, 'grades').innerText(), /\b60\b/);
  await look(page, 'today-sixty');
  await timed('search', async () => {
    await page.fill('#find-paper', 'g1-26-00017');
    await page.locator('.row').getByText('G1-26-00017').waitFor();
  });
  // Spelt as somebody might who has only heard it.
  await page.fill('#find-paper', 'ASHA  Mrembwè');
  await page.getByText('4970 more.').waitFor();
  assert.equal(await page.locator('.rows .row').count(), 30);
  await look(page, 'today-found');
  await page.fill('#find-paper', 'nobody');
  await page.getByText('No paper found on this phone.').waitFor();

  // Where the journal stands is believed only beside the entry that it was kept after, and by the rules
  // of this very program.
  const kept = async () => JSON.parse((await inStore(page, ['state', 'get', 'snapshot']))[0]);
  for (const part of ['hash', 'rules']) {
    const snapshot = await kept();
    assert.ok(snapshot.seq > 5000, `the snapshot was kept after entry ${snapshot.seq}`);
    snapshot.standing.last_running = 1;
    snapshot[part] = snapshot[part].replace(/^./, (each) => (each === 'A' ? 'B' : 'A'));
    await inStore(page, ['state', 'put', JSON.stringify(snapshot), 'snapshot']);
    await page.reload();
    await page.locator('nav.places').waitFor();
    await until(async () => (await kept()).standing.last_running === 5000, `a snapshot of other ${part} is kept anew`);
  }

  // The next number follows the last, and everything goes out in one file that a desk takes.
  const next = await buy(page, { ...DELIVERY, pail: 'P9' });
  assert.match(next.total, /KES/);
  await page.locator('article.paper').getByText('G1-26-05001').waitFor();
  await go(page, '/hand-over');
  await saved(page, 'Export everything');
});
