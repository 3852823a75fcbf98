// The field that the page begins with before its program is there: what is typed into it is not lost, it
// says nothing of anybody, and whatever stands where it is written down, the page starts.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { deliver, go, keptDraft, lockIt, lookOnce, PIN, press, working } from './officer.mjs';

const PROGRAM = '**/program-*.wasm';
const EARLY = '#boot input';
const OWN = 'body > .frame';

const left = (page) => page.evaluate(() => JSON.parse(localStorage.getItem('combgate-left')));

/** What the next loads of the page find written down; what it writes at leaving comes before. */
async function written(page, text) {
  await page.evaluate((what) => sessionStorage.setItem('written', what), text);
  await page.addInitScript(() => localStorage.setItem('combgate-left', sessionStorage.getItem('written')));
}

/** Loads the page with its program on the way until `come` is called. */
async function waiting(page, shown = '#boot') {
  // The worker would answer at once.
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())?.unregister());
  let come;
  const held = new Promise((done) => { come = done; });
  await page.route(PROGRAM, async (route) => {
    await held;
    await route.continue();
  });
  await page.reload({ waitUntil: 'commit' });
  await page.waitForLoadState('domcontentloaded');
  // Before it the browser shows nothing, and what is asked of the page is not yet what it will be.
  await page.waitForFunction(() => document.querySelector('link[rel=stylesheet]').sheet !== null);
  await page.locator(shown).waitFor({ state: 'attached' });
  return async () => {
    come();
    await page.locator('#boot').waitFor({ state: 'detached' });
    await page.unroute(PROGRAM);
  };
}

for (const language of ['en', 'sw']) {
  test(`letters typed before the program is there are looked for (${language})`, async (t) => {
    const { page } = await working(t);
    await page.locator('#language').selectOption(language);
    await go(page, '/purchase/member');
    await page.locator('.found button').first().waitFor();
    const box = () => page.locator('#member-search').boundingBox();
    const heading = await page.locator('h1').innerText();
    const [before, come] = [await box(), await waiting(page)];
    await page.locator(EARLY).waitFor();
    assert.equal(await page.locator('h1:visible').innerText(), heading);
    assert.deepEqual(await box(), before, 'it stands where the program puts its own');
    await lookOnce(page, 'early-search', language);
    await page.locator(EARLY).click();
    await page.keyboard.type('wam');
    await page.keyboard.press('ArrowLeft');
    await come();
    await page.keyboard.type('ku');
    const own = page.locator(`${OWN} #member-search`);
    assert.equal(await own.inputValue(), 'wakum', 'the caret stands where it stood');
    await own.fill('wamuru');
    await page.locator('.found button:only-child', { hasText: 'Wamuru' }).waitFor();
  });
}

test('what was typed before the program is there finds its member', async (t) => {
  const { page } = await working(t);
  await go(page, '/purchase/member');
  await page.locator('.found button').first().waitFor();
  const come = await waiting(page);
  await page.locator(EARLY).fill('wamuru');
  await come();
  await page.locator('.found button', { hasText: 'Wamuru' }).waitFor();
  assert.equal(await page.locator('.found button').count(), 1);
  // What is looked for is the draft's, and the program's own to show.
  assert.equal(JSON.parse(await keptDraft(page)).search, 'wamuru');
  await page.reload();
  await page.locator(OWN).waitFor();
  assert.equal(await page.locator(`${OWN} #member-search`).inputValue(), 'wamuru');
});

test('a page begins with no field where its screen does not', async (t) => {
  const { page } = await working(t);
  await go(page, '/purchase/member');
  await page.waitForFunction(() => localStorage.getItem('combgate-left'));
  const search = await left(page);
  await deliver(page, { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' });
  // The member is chosen by now.
  await go(page, '/purchase/member');
  for (const place of ['/purchase/member', '/purchase/weight', '/today']) {
    await go(page, place);
    const come = await waiting(page);
    assert.equal(await page.locator(EARLY).count(), 0, place);
    await come();
  }
  // Whoever comes by another address than the page was left at.
  await written(page, JSON.stringify(search));
  const come = await waiting(page);
  assert.equal(await page.locator(EARLY).count(), 0);
  await come();
  // That this says something: at its own address it stands.
  await written(page, JSON.stringify({ ...search, at: '#/today' }));
  await (await waiting(page, EARLY))();
});

test('a locked page begins with the PIN wherever it was left, and names nobody', async (t) => {
  const { page } = await working(t);
  await lockIt(page);
  await press(page, 'Lock now');
  await page.locator('#pin').waitFor();
  await page.waitForFunction(() => JSON.parse(localStorage.getItem('combgate-left'))?.field.id === 'pin');
  await page.fill('#pin', PIN);
  await page.keyboard.press('Enter');
  for (const place of ['/today', '/purchase/member']) {
    await go(page, place);
    const come = await waiting(page);
    await page.locator(EARLY).fill(PIN);
    if (place === '/today') await lookOnce(page, 'early-pin', 'en');
    await come();
    await page.keyboard.press('Enter');
    await page.locator('nav.places').waitFor();
    assert.equal((await left(page)).field.id, 'pin');
    assert.doesNotMatch(JSON.stringify(await left(page)), new RegExp(`Asha|Mrembwe|${PIN}`));
  }
  await go(page, '/health');
  await page.fill('#lock-pin', PIN);
  await press(page, 'Take the lock off');
  await page.getByRole('button', { name: 'Lock this page from now on' }).waitFor();
  // Known at the next start.
  await (await waiting(page))();
  await page.waitForFunction(() => !localStorage.getItem('combgate-left'));
});

test('whatever stands where the field is written down, the page starts', async (t) => {
  const { page } = await working(t);
  await go(page, '/purchase/member');
  await page.waitForFunction(() => localStorage.getItem('combgate-left'));
  const image = '<img src=x onerror=alert(1)>';
  const field = { ...(await left(page)).field, outerHTML: image, innerHTML: image };
  for (const [text, fields] of [['', 0], ['{', 0], ['null', 0], ['7', 0], ['[]', 0], ['{}', 0], ['{"at":null}', 0],
    ['{"at":null,"field":null}', 0], [JSON.stringify({ at: null, field, label: image, heading: [image], below: image }), 1]]) {
    await written(page, text);
    const come = await waiting(page);
    assert.equal(await page.locator(EARLY).count(), fields, text);
    assert.equal(await page.locator('#boot-failed').isVisible(), false, text);
    assert.equal(await page.locator('img').count(), 0, text);
    await come();
    await page.locator(`${OWN} #member-search`).waitFor();
  }
});

test('a page whose program does not come says so, and takes no letters', async (t) => {
  const { page } = await working(t);
  await go(page, '/purchase/member');
  await page.waitForFunction(() => localStorage.getItem('combgate-left'));
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())?.unregister());
  await page.route(PROGRAM, (route) => route.abort());
  await page.reload();
  await page.locator('#boot-failed').waitFor();
  assert.equal(await page.locator(EARLY).isVisible(), false);
  await lookOnce(page, 'early-failed', 'en');
});
