// What an officer types wrongly, leaves out or forgets: said where it happens, before it becomes a
// weight, a price or a paper.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { deliver, go, look, minor, press, working } from './officer.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
const ISSUES = ['Issue the receipt', 'Issue the hold slip', 'Issue the refusal slip'];

const strip = (page) => page.locator('.strip');
const choose = (page, name) => page.locator('.choice').getByText(name, { exact: true }).click();
const trouble = (page) => page.locator('main .trouble');

/** The ways to a paper that are offered. */
async function offered(page) {
  await go(page, '/purchase/decision');
  await page.locator('h1').getByText('Decision and price').waitFor();
  const buttons = await page.locator('button.primary').allInnerTexts();
  return buttons.filter((name) => ISSUES.includes(name));
}

test('a weight that cannot be is said beside it, and buys nothing', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  const sum = minor(await strip(page).locator('[data-figure=payable]').innerText());
  // No figure at all: marked, and neither bought nor held.
  for (const typed of ['26,34', 'abc', '1e3', '26.34 kg', '26 34', '26.3.4', '٢٦', '-26.34']) {
    await go(page, '/purchase/weight');
    await page.fill('#gross-0', typed);
    await page.locator('#gross-0[aria-invalid=true]').waitFor();
    assert.match(await page.locator('#gross-0-problem').innerText(), /decimal point|cannot be/, typed);
    assert.deepEqual(await offered(page), [], typed);
  }
  // A figure that no scale of 10 g shows (OIML R 76-1, Table 3: class III, at most 10,000 steps), or
  // no honey in the pail: what is wrong stands on this step, not only on the last one.
  for (const typed of ['26.345', '0', '0.5', '1.2', '100.01', '99999']) {
    await go(page, '/purchase/weight');
    await page.fill('#gross-0', typed);
    await trouble(page).getByText('The weights cannot be').waitFor();
    assert.equal(await page.locator('.sums').count(), 0, typed);
    assert.deepEqual(await offered(page), ['Issue the hold slip'], typed);
  }
  await go(page, '/purchase/weight');
  await look(page, 'mistake-weight');
  await page.fill('#gross-0', ' 26.34 ');
  await page.locator('.sums').getByText('25.14').waitFor();
  assert.equal(await trouble(page).count(), 0);
  assert.equal(minor(await strip(page).locator('[data-figure=payable]').innerText()), sum);
});

test('a digit left out of moisture buys nothing', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  // The published table begins at 13.0 % (AOAC 969.38B, which is Chataway's of 1932).
  for (const [typed, paper] of [
    ['7.8', 'Issue the hold slip'], ['12.9', 'Issue the hold slip'], ['1.78', undefined], ['178', undefined],
    ['0', undefined], ['-17.8', undefined], ['17,8', undefined],
  ]) {
    await go(page, '/purchase/moisture');
    await page.fill('#reading-1', typed);
    if (paper) await trouble(page).getByText('The moisture readings cannot be used').waitFor();
    assert.deepEqual(await offered(page), [paper].filter(Boolean), typed);
  }
  await go(page, '/purchase/moisture');
  await page.fill('#reading-1', '12.9');
  await look(page, 'mistake-moisture');
  await page.fill('#reading-1', '18');
  await page.fill('#temperature-1', '80');
  await trouble(page).getByText('The moisture readings cannot be used').waitFor();
  assert.deepEqual(await offered(page), ['Issue the hold slip']);
});

test('a pail that was weighed and has no number goes on no paper', async (t) => {
  const { page } = await working(t);
  await deliver(page, { ...DELIVERY, waters: ['20.1', '20', '20.1'] });
  await go(page, '/purchase/pail');
  await press(page, 'Another pail');
  await page.fill('#pail-tare-1', '1.1');
  await page.locator('#pail-number-1[aria-invalid=true]').waitFor();
  await page.locator('#pail-number-1-problem').getByText('Fill this in.').waitFor();
  // A slip of the first pail alone would say half of what was brought.
  await strip(page).getByText('each pail has its own number').waitFor();
  assert.deepEqual(await offered(page), []);
  await go(page, '/purchase/pail');
  await page.fill('#pail-number-1', 'P2');
  await go(page, '/purchase/weight');
  await page.fill('#gross-1', '10');
  await page.locator('.sums').getByText('34.04').waitFor();
  assert.deepEqual(await offered(page), ['Issue the hold slip']);
});

test('a seal is put on one pail of a day', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  const said = trouble(page).getByText('This seal is on another pail already.');
  await go(page, '/purchase/pail');
  await page.fill('#pail-seal-0', 'S7');
  await press(page, 'Another pail');
  await page.fill('#pail-number-1', 'P2');
  await page.fill('#pail-seal-1', ' S7 ');
  await said.waitFor();
  await look(page, 'mistake-seal');
  await page.fill('#pail-seal-1', 'S8');
  await page.fill('#pail-tare-1', '1.2');
  await page.waitForFunction(() => document.querySelectorAll('main .trouble').length === 0);
  await go(page, '/purchase/weight');
  await page.fill('#gross-1', '11.2');
  await go(page, '/purchase/decision');
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  // The next delivery of the same day.
  await go(page, '/purchase/pail');
  await page.fill('#pail-number-0', 'P3');
  await page.fill('#pail-seal-0', 'S8');
  await said.waitFor();
  await page.fill('#pail-seal-0', 'S9');
  await page.waitForFunction(() => document.querySelectorAll('main .trouble').length === 0);
});

test('a pail that a receipt of the day has already is said, and the officer decides', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  await go(page, '/purchase/decision');
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  const said = trouble(page).getByText(/Receipt G1-\d\d-00001 of today has a pail of this number already\./);
  await go(page, '/purchase/pail');
  await page.fill('#pail-number-0', 'P10');
  await page.fill('#pail-tare-0', '1.2');
  assert.equal(await trouble(page).count(), 0);
  await page.fill('#pail-number-0', ' P1 ');
  await said.waitFor();
  await look(page, 'mistake-pail');
  // It may have been emptied: nothing stands in the way.
  await deliver(page, DELIVERY);
  assert.deepEqual(await offered(page), ['Issue the receipt']);

  // A cancelled receipt gives its pail back.
  await go(page, '/cancel/3');
  await page.getByText('The member does not sell', { exact: true }).click();
  await page.check('#cancel-back');
  await press(page, 'Cancel the receipt now');
  await page.locator('[data-figure=undone]').waitFor();
  await go(page, '/purchase/pail');
  await page.locator('#pail-number-0').waitFor();
  assert.equal(await page.inputValue('#pail-number-0'), 'P1');
  assert.equal(await trouble(page).count(), 0);
});

test('what was wrong with the payment is not said any more once it is mended', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  await choose(page, 'A part');
  for (const [typed, words] of [
    ['0', 'Choose the day on which the rest is paid.'], ['-5', 'Use digits and a decimal point'],
    ['1,000', 'Use digits and a decimal point'], ['', 'Use digits and a decimal point'],
    ['999999999999', 'More than the total. Check the figure.'],
  ]) {
    await page.fill('#paid-now', typed);
    await press(page, 'Issue the receipt');
    await trouble(page).getByText(words).waitFor();
    assert.equal(await page.locator('article.paper').count(), 0, typed);
  }
  await page.fill('#paid-now', '4000');
  await page.waitForFunction(() => document.querySelectorAll('main .trouble').length === 0);
  await page.fill('#due', '2099-12-31');
  // A hand that trembles taps twice.
  await page.getByRole('button', { name: 'Issue the receipt', exact: true }).dblclick();
  await page.locator('article.paper').waitFor();
  await go(page, '/today');
  await page.locator('#find-paper').waitFor();
  assert.equal(await page.locator('.rows .row').count(), 1);
  // The way back leads to a new delivery, and to no second paper of this one.
  await page.goBack();
  await page.goBack();
  await page.locator('.strip').waitFor();
  assert.deepEqual(await offered(page), []);
});

test('a day left open yesterday is said before anything is bought on it', async (t) => {
  const { page } = await working(t);
  await deliver(page, DELIVERY);
  assert.deepEqual(await trouble(page).allInnerTexts(), []);
  const tomorrow = new Date();
  tomorrow.setDate(tomorrow.getDate() + 1);
  await page.clock.setFixedTime(tomorrow);
  await page.reload();
  await page.locator('.strip').waitFor();
  for (const step of ['member', 'weight', 'decision']) {
    await go(page, `/purchase/${step}`);
    await trouble(page).getByText('An earlier day is still open. Close it first.').waitFor();
  }
  await look(page, 'mistake-left-open');
  await go(page, '/');
  await page.getByText('An earlier day is still open. Close it first.').waitFor();
  await page.locator('main').getByRole('link', { name: 'Close the day' }).click();
  // What is in progress is said there: after the closing it would wait for the next opening.
  await page.getByText('A delivery is in progress.').waitFor();
  await look(page, 'mistake-close-with-draft');
  await page.getByRole('link', { name: 'Go on with it' }).click();
  await page.locator('.strip [data-figure=payable]').waitFor();
});

test('empty pails that should be there are asked for', async (t) => {
  const { page } = await working(t);
  await deliver(page, { ...DELIVERY, waters: ['20.1', '20', '20.1'] });
  await press(page, 'Issue the hold slip');
  await page.locator('article.paper').waitFor();
  await go(page, '/close-day');
  await page.fill('#cash', '120000');
  await page.fill('#full-pails', '0');
  // Six were taken; the pail that the member took home is one of them or the member's own.
  await page.getByText('Should be there: 5–6').waitFor();
  await page.fill('#empty-pails', '3');
  await page.getByText('Missing: 2').waitFor();
  await press(page, 'Close the day now');
  await page.locator('#explanation[aria-invalid=true]').waitFor();
  await look(page, 'mistake-empty-pails');
  await page.fill('#empty-pails', '7');
  await page.getByText('Too much: 1').waitFor();
  await page.fill('#empty-pails', '5');
  await press(page, 'Close the day now');
  await page.getByText('The day is closed.').waitFor();
});
