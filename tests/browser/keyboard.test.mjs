// Every screen from the keyboard alone: each thing that can be worked is reached in reading order,
// shows that it has the focus, and lets it go again; and a day is done without a finger, but for the
// purchase itself, which purchase.test.mjs does by keys.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { deliver, enrolled, go, moving, openDay, phoneOf, tabTo, takeBrief } from './officer.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
const STEPS = ['member', 'product', 'pail', 'inspection', 'comb', 'moisture', 'weight', 'decision'];

/** Puts the focus before the first thing on the page. */
const before = (page) => page.evaluate(() => {
  scrollTo(0, 0);
  document.body.tabIndex = -1;
  document.body.focus();
  document.body.removeAttribute('tabindex');
});

/** Notes what can be worked on the page, in the order of its text, and how it looks without the focus. */
const noteStops = (page) => page.evaluate(() => {
  const can = 'a[href], button:not(:disabled), select, textarea, input, summary, [tabindex]:not([tabindex="-1"])';
  const all = [...document.querySelectorAll(can)].filter((each) => each.checkVisibility());
  // A group of radio buttons is one stop (WAI-ARIA Authoring Practices, Radio Group).
  const key = (each) => (each.type === 'radio' ? `radio ${each.name}` : each);
  const stops = [...new Set(all.map(key))];
  const target = (each) => {
    if (each.matches('.choice input')) return each.closest('.choice');
    return each.matches('.unseen') ? each.nextElementSibling : each;
  };
  const look = (each) => {
    const { outlineStyle, outlineWidth, outlineColor } = getComputedStyle(target(each));
    return `${outlineStyle} ${outlineWidth} ${outlineColor}`;
  };
  const plain = new Map(all.map((each) => [each, look(each)]));
  window.stops = { key, stops, target, look, plain };
  return stops.map((stop) => (typeof stop === 'string' ? stop : stop.outerHTML.slice(0, 120)));
});

/** Which of them has the focus, what is wrong with how it is shown, and where it stands on the page. */
const atStop = (page) => page.evaluate(() => {
  const { key, stops, target, look, plain } = window.stops;
  const each = document.activeElement;
  if (each === document.body || each === document.documentElement) return { place: -1 };
  const place = stops.indexOf(key(each));
  if (place < 0) return { place: `somewhere else: ${each.outerHTML.slice(0, 200)}` };
  const box = target(each).getBoundingClientRect();
  const wrong = [];
  if (look(each) === plain.get(each)) wrong.push('looks as it does without the focus');
  // WCAG 2.2, 2.4.13: an outline of 2 px and more; 2.4.11: not hidden under anything.
  if (parseFloat(getComputedStyle(target(each)).outlineWidth) < 2) wrong.push('has a thin outline');
  const [x, y] = [box.left + box.width / 2, Math.max(box.top, 0) + Math.min(box.height, 56) / 2];
  const seen = document.elementFromPoint(x, y);
  const own = seen && (target(each).contains(seen) || seen.contains(target(each)));
  if (!own || box.bottom <= 0 || box.top >= innerHeight) wrong.push(`is not seen, but ${seen?.outerHTML.slice(0, 80)}`);
  return { place, wrong, top: box.top + scrollY, bottom: box.bottom + scrollY };
});

/** Goes through a screen by Tab and back by Shift and Tab. */
async function walk(page, name) {
  await page.waitForTimeout(100);
  await before(page);
  const stops = await noteStops(page);
  assert.ok(stops.length > 1, `${name} has something to work`);
  let last = { top: -Infinity };
  for (let each = 0; each < stops.length; each += 1) {
    await page.keyboard.press('Tab');
    let at = await atStop(page);
    // Day, month, year and calendar of a date are the browser's own stops.
    for (let part = 0; part < 3 && each > 0 && at.place === each - 1 && stops[at.place].includes('type="date"'); part += 1) {
      await page.keyboard.press('Tab');
      at = await atStop(page);
    }
    assert.equal(at.place, each, `${name}: key ${each + 1} goes to ${stops[at.place] ?? at.place}, not to ${stops[each]}`);
    assert.deepEqual(at.wrong, [], `${name}: ${stops[at.place]}`);
    assert.ok(at.bottom > last.top, `${name}: ${stops[at.place]} stands above the one before it`);
    last = at;
  }
  await page.keyboard.press('Tab');
  const after = await atStop(page);
  assert.ok([-1, 0].includes(after.place), `${name} lets the focus go at its end: ${after.place}`);

  // Between the end of a page and its beginning a browser has stops of its own.
  const back = [];
  for (let each = 0; back.at(-1) !== 0 && each < stops.length + 8; each += 1) {
    await page.keyboard.press('Shift+Tab');
    const { place } = await atStop(page);
    if (place !== back.at(-1)) back.push(place);
  }
  assert.deepEqual(back.filter((place) => place !== -1), stops.map((_, place) => place).reverse(), `${name}, backwards`);
}

const walkTo = async (page, hash, name = hash) => {
  await go(page, hash);
  await page.locator('h1').waitFor();
  await walk(page, name);
};

/** Types into what has this name, or presses Enter on it. */
const type = async (page, name, text) => {
  await tabTo(page, name);
  await page.keyboard.press('ControlOrMeta+A');
  await page.keyboard.type(text);
};
const enter = async (page, name) => {
  await tabTo(page, name);
  await page.keyboard.press('Enter');
};
const space = async (page, name) => {
  await tabTo(page, name);
  await page.keyboard.press('Space');
};

test('a new phone, place by place', async (t) => {
  const { page } = await phoneOf(t);
  for (const place of ['/', '/health', '/brief', '/open-day', '/purchase/member', '/today', '/close-day', '/hand-over', '/nowhere']) {
    await walkTo(page, place);
  }
  // What `look` asks of every screen can fail: with no wish for less motion a button takes its time.
  await go(page, '/');
  await page.locator('#handset-name').waitFor();
  await page.emulateMedia({ reducedMotion: 'no-preference' });
  assert.notDeepEqual(await page.evaluate(moving), []);
});

test('a brief is taken in and the day opened without a finger', async (t) => {
  const { page, desks, give } = await enrolled(t);
  const file = await give(desks[0], 'own.jws');

  await walkTo(page, '/brief');
  await before(page);
  await tabTo(page, 'Choose the file of the brief');
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), page.keyboard.press('Space')]);
  await chooser.setFiles(file);
  await page.locator('[data-figure=desk]').waitFor();
  await walk(page, 'brief to compare');
  await before(page);
  await enter(page, 'The codes are the same: take it in');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
  await walk(page, 'brief in hand');

  await walkTo(page, '/open-day');
  await before(page);
  for (const [name, text] of [['Officer', 'Neema Kitwana'], ['Pails taken', '6'], ['Seals taken', '6']]) {
    await type(page, name, text);
  }
  await space(page, 'A weighing scale is taken');
  await space(page, 'A refractometer is taken');
  await enter(page, 'Open the day now');
  await page.locator('#officer').waitFor({ state: 'detached' });
  await walk(page, 'day opened');

  for (const step of STEPS) await walkTo(page, `/purchase/${step}`, `${step}, empty`);
});

test('what is owed is paid, a receipt cancelled and the day closed without a finger', async (t) => {
  const { page, desks, give } = await enrolled(t);
  await takeBrief(page, await give(desks[0], 'own.jws'));
  await openDay(page);
  await deliver(page, DELIVERY);
  for (const step of STEPS) await walkTo(page, `/purchase/${step}`, `${step}, filled in`);
  await before(page);
  await space(page, 'All');
  await page.keyboard.press('ArrowDown');
  await type(page, 'Paid now (KES)', '5000');
  await tabTo(page, 'The rest is due on');
  await page.keyboard.type('12312099');
  await walk(page, 'decision, to be paid in part');
  await before(page);
  await enter(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  await walk(page, 'receipt');
  for (const place of ['/today', '/hand-over', '/close-day', '/cancel/3', '/pay/3', '/', '/health']) await walkTo(page, place);

  await go(page, '/pay/3');
  await page.locator('#pay-amount').waitFor();
  await before(page);
  await type(page, 'Paid now', '1000');
  await enter(page, 'Pay now');
  await page.locator('article.paper').waitFor();

  await go(page, '/cancel/3');
  await page.locator('#cancel-back').waitFor();
  await before(page);
  await space(page, 'The weight is wrong');
  for (let down = 0; down < 5; down += 1) await page.keyboard.press('ArrowDown');
  await type(page, 'The reason in your own words', 'Weighed on sand');
  await walk(page, 'cancellation, filled in');
  await before(page);
  await space(page, 'Pails and money are back');
  await enter(page, 'Cancel the receipt now');
  await page.locator('[data-figure=undone]').getByText('Weighed on sand').waitFor();
  await walk(page, 'cancelled receipt');

  await go(page, '/close-day');
  await page.locator('#cash').waitFor();
  await before(page);
  await type(page, 'Cash counted', '119000');
  await type(page, 'Full pails counted', '0');
  await type(page, 'Empty pails counted', '6');
  await type(page, 'Why it differs', 'Bread for the driver');
  await walk(page, 'closing, filled in');
  await before(page);
  await enter(page, 'Close the day now');
  await page.getByText('The day is closed.').waitFor();
  await walk(page, 'day closed');
});
