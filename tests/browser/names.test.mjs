// Names that are written from right to left beside figures that are not: no figure changes its side
// (UAX #9; WCAG 2.2, 1.3.2). And a phone that is turned while somebody types.

import assert from 'node:assert/strict';
import { appendFile, cp } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { buy, deliver, desk, enrolled, from, go, keptDraft, look, openDay, press, takeBrief } from './officer.mjs';

const DELIVERY = { pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
/** Invented: Arabic letters alone, with digits within, Hebrew letters, and Latin ones to compare with. */
const NAMES = { M030: 'سالم الكمبي', M031: 'سالم 12 الكمبي', M032: 'אסתר 7', M033: 'Salim 12 Kombi' };
/** In a voice that says in writing what it would say. */
const VOICE = () => {
  window.told = [];
  Object.defineProperty(window, 'speechSynthesis', { value: {
    getVoices: () => [{ lang: 'sw-KE', name: 'Invented', localService: true, default: true, voiceURI: 'invented' }],
    speak: ({ text }) => { window.told.push(text); },
    cancel() {},
    addEventListener() {},
  } });
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
};

async function atTheGate(t, init) {
  const stand = await enrolled(t, init);
  const folder = join(stand.files, 'cooperative');
  await cp(from, folder, { recursive: true });
  const rows = Object.entries(NAMES).map(([number, name]) => `${number},${name},Kilindo,,sw,,,`);
  await appendFile(join(folder, 'members.csv'), `${rows.join('\n')}\n`);
  const own = join(stand.files, 'gate');
  await desk('init', own, '--from', folder);
  await desk('--desk', own, 'enrol', stand.card.path, '--code', 'G1');
  await takeBrief(stand.page, await stand.give(own, 'gate.jws'));
  await openDay(stand.page);
  return stand;
}

/** Lines of a screen in which a figure stands left of one that is written before it. */
function reordered() {
  const blocks = new Map();
  const texts = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    let block = texts.currentNode.parentElement;
    while (getComputedStyle(block).display === 'inline') block = block.parentElement;
    for (const { 0: figure, index } of texts.currentNode.data.matchAll(/\d[\d.,]*/g)) {
      const range = document.createRange();
      range.setStart(texts.currentNode, index);
      range.setEnd(texts.currentNode, index + figure.length);
      const { left, top, height, width } = range.getBoundingClientRect();
      if (width > 0) blocks.set(block, [...(blocks.get(block) ?? []), { figure, left, middle: top + height / 2 }]);
    }
  }
  const wrong = [];
  for (const [block, figures] of blocks) {
    const at = figures.findIndex(({ left, middle }, place) => {
      const before = figures[place - 1];
      return before && Math.abs(before.middle - middle) < 6 && left < before.left;
    });
    if (at > 0) wrong.push(`${figures[at].figure} in ${block.textContent}`);
  }
  return { wrong, lines: blocks.size };
}

/** What a line would be if its name were not set apart: the check above must see it. */
async function canFail(page, name) {
  return page.evaluate(([words]) => {
    const line = document.createElement('p');
    line.id = 'not-set-apart';
    line.textContent = `M030 ${words}, 25.14 kg, 12.50`;
    document.querySelector('main').append(line);
  }, [name]);
}

test('a name from right to left leaves every figure on its side', async (t) => {
  const { page } = await atTheGate(t, VOICE);
  const right = async (where) => {
    const { wrong, lines } = await page.evaluate(reordered);
    assert.ok(lines > 0, `${where} shows figures`);
    assert.deepEqual(wrong, [], where);
  };
  let seq = 2;
  for (const [number, name] of Object.entries(NAMES)) {
    await go(page, '/purchase/member');
    await page.fill('#member-search', number);
    await page.locator('.found').getByRole('button', { name: number }).waitFor();
    await right(`${name}, found`);
    await page.fill('#member-search', '');
    await buy(page, { ...DELIVERY, member: number, pail: number }, async (step) => right(`${name}, ${step}`));
    seq += 1;
    await right(`${name}, receipt`);
    await page.locator('.ways').getByRole('button').first().waitFor();
    for (const place of [`/cancel/${seq}`, '/today']) {
      await go(page, place);
      await page.getByText(number).first().waitFor();
      await right(`${name}, ${place}`);
    }
    // What is owed is paid later, on a screen of its own.
    await deliver(page, { ...DELIVERY, member: number, pail: `${number}-B` });
    await page.getByText('Nothing yet', { exact: true }).click();
    await page.fill('#due', '2099-12-31');
    await right(`${name}, decision, to be paid later`);
    await press(page, 'Issue the receipt');
    await page.locator('article.paper').waitFor();
    seq += 1;
    await right(`${name}, receipt of what is owed`);
    await go(page, `/pay/${seq}`);
    await page.locator('#pay-amount').waitFor();
    await page.locator('main').getByText(number).first().waitFor();
    await right(`${name}, pay`);
    if (number === 'M031') {
      await look(page, 'name-right-to-left-pay');
      await go(page, `/cancel/${seq}`);
      await page.locator('#cancel-back').waitFor();
      await look(page, 'name-right-to-left');
      await canFail(page, name);
      assert.match((await page.evaluate(reordered)).wrong.join(), /^25\.14 in M030/, 'the check sees a line without it');
      await page.evaluate(() => document.querySelector('#not-set-apart').remove());
    }
  }
});

test('a name is set apart in what is heard and passed on, where it needs to be', async (t) => {
  const { page } = await atTheGate(t, VOICE);
  for (const [number, heard] of [['M031', `M031 \u2068${NAMES.M031}\u2069`], ['M033', `M033 ${NAMES.M033}`]]) {
    await buy(page, { ...DELIVERY, member: number, pail: number });
    await page.evaluate(() => { window.told.length = 0; });
    await page.locator('.ways').getByRole('button', { name: /Read aloud|Soma/ }).click();
    await page.waitForFunction(() => window.told.length > 0);
    const told = (await page.evaluate(() => window.told)).join('\n');
    assert.ok(told.includes(heard), told);
    // A date is heard and passed on as it is written.
    assert.match(told, /\d{4}-\d\d-\d\d/);
  }
});

test('a phone that is turned while a weight is typed keeps draft, focus and cursor', async (t) => {
  const { page } = await atTheGate(t);
  await deliver(page, { ...DELIVERY, member: 'M033' });
  await go(page, '/purchase/weight');
  await page.fill('#gross-0', '');
  await page.locator('#gross-0').click();
  await page.keyboard.type('26.3');
  await page.keyboard.press('ArrowLeft');
  const state = async () => {
    const { pails: [{ gross }] } = JSON.parse(await keptDraft(page));
    return { gross, ...await shown() };
  };
  const shown = () => page.evaluate(() => {
    const { id, value, selectionStart } = document.activeElement;
    const { top, bottom } = document.activeElement.getBoundingClientRect();
    return { id, value, selectionStart, seen: top < innerHeight && bottom > 0, hash: location.hash };
  });
  const before = await state();
  assert.deepEqual([before.id, before.value, before.selectionStart, before.gross], ['gross-0', '26.3', 3, '26.3']);
  for (const [width, height] of [[640, 360], [360, 640], [640, 360]]) {
    await page.setViewportSize({ width, height });
    // Two frames on, the page is laid out anew.
    await page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));
    await page.waitForFunction(() => {
      const { top, bottom } = document.activeElement.getBoundingClientRect();
      return top < innerHeight && bottom > 0;
    });
    assert.deepEqual(await state(), before, `${width}x${height}`);
  }
  // What is typed goes on where it stopped.
  await page.keyboard.press('End');
  await page.keyboard.type('4');
  await page.locator('.sums').getByText('25.14').waitFor();
});
