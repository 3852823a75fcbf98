// What an officer does with the phone, and how a screen is looked at.

import assert from 'node:assert/strict';
import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import jsQR from 'jsqr';
import { combgate, folder, inTheWay, servePage, startPhone } from './stand.mjs';

const shots = process.env.COMBGATE_SHOTS;
export const from = 'demo-fixtures/cooperative';
/** Windows in px, and the size of the text in percent of the browser's own. */
const WINDOWS = [
  [320, 568, 100], [360, 640, 100], [412, 915, 100], [640, 360, 100], [1280, 800, 100], [360, 640, 200],
];

export const press = (page, name) => page.getByRole('button', { name, exact: true }).click();

/** A delivery's draft, as text, once the page did what it had begun: a draft is kept right after a key. */
export const keptDraft = (page) => page.evaluate(() => new Promise((done) => {
  setTimeout(() => done(localStorage.getItem('combgate-draft-delivery')));
}));

export async function go(page, hash) {
  await page.evaluate((to) => { location.hash = to; }, hash);
}

/** Figures and dates that cannot be read whole: cut off by their input, or parted between two lines. */
function cutFigures() {
  const inputs = [...document.querySelectorAll('input.figure')].filter((each) => each.scrollWidth > each.clientWidth + 1);
  const parted = [];
  // Codes are drawn by lot: each is looked at as if it were of wide signs, and no group of it is parted.
  const codes = [...document.querySelectorAll('dd:is([data-figure="key"], [data-figure="desk"]), .short-code strong')]
    .flatMap((each) => [...each.childNodes].filter(({ nodeType }) => nodeType === Node.TEXT_NODE))
    .map((node) => ({ node, drawn: node.data }));
  for (const { node } of codes) {
    node.data = node.data.replace(/^[\w-]{4} [\w-]{4}$/, 'WMWM WMWM').replace(/[\w-]{8}$/, 'WMWMWMWM');
  }
  const texts = document.createTreeWalker(document.querySelector('main') ?? document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const whole = codes.some(({ node }) => node === texts.currentNode) ? /\S+/g : /\d{4}-\d\d-\d\d|\d[\d,.]*\d/g;
    for (const figure of texts.currentNode.data.matchAll(whole)) {
      // An address on the network is no figure.
      if (figure[0].split('.').length > 2) continue;
      const range = document.createRange();
      range.setStart(texts.currentNode, figure.index);
      range.setEnd(texts.currentNode, figure.index + figure[0].length);
      const lines = [...range.getClientRects()].filter(({ width }) => width > 0).map(({ top }) => Math.round(top));
      if (new Set(lines).size > 1) parted.push(`${figure[0]} of '${texts.currentNode.data}'`);
    }
  }
  const { scrollWidth, clientWidth } = document.documentElement;
  if (scrollWidth > clientWidth) parted.push('a code that is wider than the window');
  for (const { node, drawn } of codes) node.data = drawn;
  return [...inputs.map(({ id, value }) => `${id}: ${value}`), ...parted];
}

/**
 * What moves on a page whose reader asked for less of that (Media Queries Level 5, prefers-reduced-motion):
 * animations that run, and whatever would move by its style, before and after elements too.
 */
export function moving() {
  const running = document.getAnimations().map((each) => `${each.constructor.name} ${each.effect?.target?.outerHTML}`);
  const lasts = (style) => [style.transitionDuration, style.animationDuration, style.transitionDelay]
    .some((list) => list.split(',').some((time) => parseFloat(time) > 0));
  const styled = [...document.querySelectorAll('*')].filter((each) => [undefined, '::before', '::after'].some((part) => {
    const style = getComputedStyle(each, part);
    return lasts(style) || style.scrollBehavior === 'smooth';
  }));
  return [...running, ...styled.map((each) => each.outerHTML.slice(0, 200))];
}

/** Looks at a screen in the language that it is in: in small and large windows, with large text. */
export async function lookOnce(page, name, language) {
  for (const [width, height, percent] of WINDOWS) {
    await page.setViewportSize({ width, height });
    // The page's own size of text is 112.5 %; a reader's wish multiplies it.
    await page.evaluate((size) => { document.documentElement.style.fontSize = size; }, `${1.125 * percent}%`);
    const where = `${name} in ${language} at ${width}x${height}, ${percent} % text`;
    if (shots) await page.screenshot({ path: join(shots, `${name}-${language}-${width}-${percent}.png`), fullPage: true });
    const wide = await page.evaluate(
      () => document.documentElement.scrollWidth > document.documentElement.clientWidth,
    );
    assert.equal(wide, false, `${where} is wider than the window`);
    // A finger at a gate wants 56 px (common practice here; WCAG 2.2, 2.5.5 asks for 44).
    const small = await page.locator('button, a, select, textarea, input:not([type=checkbox], [type=radio], .unseen), .choice').evaluateAll(
      (all) => all.filter((each) => each.getClientRects().length > 0 && each.getBoundingClientRect().height < 56).map((each) => each.outerHTML),
    );
    assert.deepEqual(small, [], `${where} has targets too small`);
    assert.deepEqual(await page.evaluate(cutFigures), [], `${where} shows figures in part`);
  }
  await page.evaluate(() => { document.documentElement.style.fontSize = ''; });
  for (const colorScheme of ['dark', 'light']) {
    await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    assert.deepEqual(await page.evaluate(moving), [], `${name} in ${language} moves`);
    // In the sun 7:1 is wanted, which axe looks at when asked (WCAG 2.2, 1.4.6).
    assert.deepEqual(await inTheWay(page, 'color-contrast-enhanced'), [], `${name} in ${language}, ${colorScheme}`);
  }
  await page.setViewportSize({ width: 360, height: 640 });
}

/** Looks at a screen as it stands, in both languages. */
export async function look(page, name) {
  for (const language of ['sw', 'en']) {
    await page.locator('#language').selectOption(language);
    await lookOnce(page, name, language);
  }
}

export async function saved(page, name) {
  const [download] = await Promise.all([page.waitForEvent('download'), press(page, name)]);
  return { name: download.suggestedFilename(), path: await download.path() };
}

/** The desk's program, which must do what it is asked. */
export async function desk(...words) {
  const done = await combgate(...words);
  assert.equal(done.code, 0, done.stdout + done.stderr);
}

/** A phone with an empty page of its own. */
export async function phoneOf(t, init, build) {
  const files = await folder(t);
  const server = await servePage(build);
  t.after(() => server.stop());
  const phone = await startPhone();
  t.after(() => phone.stop());
  if (init) await phone.context.addInitScript(init);
  // A fault that ends the program ends the test too, whatever it looked at last.
  const faults = [];
  phone.context.on('weberror', (event) => faults.push(event.error()));
  t.after(() => assert.deepEqual(faults.filter(({ name }) => name === 'RuntimeError'), [], 'the program stopped'));
  const page = await phone.context.newPage();
  page.setDefaultTimeout(10_000);
  await page.goto(server.address);
  await page.locator('#handset-name').waitFor();
  return { files, phone, page, server };
}

/** A phone with its key, two desks that know it, and briefs on demand. */
export async function enrolled(t, init, cooperative = from, build = undefined) {
  const { files, phone, page, server } = await phoneOf(t, init, build);
  await page.fill('#handset-name', 'Neema 1');
  await press(page, 'Make the key of this handset');
  const card = await saved(page, 'Download the enrolment card');
  const desks = [join(files, 'desk'), join(files, 'other')];
  for (const each of desks) {
    await desk('init', each, '--from', cooperative);
    await desk('--desk', each, 'enrol', card.path, '--code', 'G1');
  }
  const give = async (each, name, ...more) => {
    const out = join(files, name);
    const float = more.includes('--float') ? [] : ['--float', '120000'];
    await desk('--desk', each, 'brief', '--handset', 'G1', ...float, '--out', out, ...more);
    return out;
  };
  return { files, phone, page, server, card, desks, give };
}

/** The first brief, compared and taken in. */
export async function takeBrief(page, file) {
  await go(page, '/brief');
  await page.setInputFiles('#brief-file', file);
  await press(page, 'The codes are the same: take it in');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
}

/** The day opened, with instruments that pass their checks or without any. */
export async function openDay(page, { instruments = true } = {}) {
  await go(page, '/open-day');
  await page.fill('#officer', 'Neema Kitwana');
  await page.fill('#pails', '6');
  await page.fill('#seals', '6');
  if (instruments) {
    await page.fill('#scale-id', 'S1');
    await page.fill('#interval', '10');
    await page.fill('#known', '5');
    await page.fill('#shown', '5');
    await page.fill('#refractometer-id', 'R1');
    await page.check('#compensated');
    await page.fill('#reference', '18');
    await page.fill('#reading', '18');
    await page.fill('#temperature', '22');
  } else {
    await page.uncheck('#scale');
    await page.uncheck('#refractometer');
  }
  await press(page, 'Open the day now');
  await page.locator('#officer').waitFor({ state: 'detached' });
}

/** A phone with its brief, on an open day. */
export async function working(t, init) {
  const stand = await enrolled(t, init);
  await takeBrief(stand.page, await stand.give(stand.desks[0], 'own.jws'));
  await openDay(stand.page);
  return stand;
}

/** A PIN that the lock takes. */
export const PIN = '482913';

/** Puts the lock on; the page stays open until it is locked. */
export async function lockIt(page) {
  await go(page, '/health');
  await page.fill('#lock-pin', PIN);
  await page.fill('#lock-again', PIN);
  await press(page, 'Lock this page from now on');
  await page.getByRole('button', { name: 'Lock now' }).waitFor();
}

/** A delivery up to its decision, as an officer types it. */
export async function deliver(page, { member, pail, waters, gross, tare }, see = async () => {}) {
  await go(page, '/purchase/member');
  await page.fill('#member-search', member);
  await page.getByRole('button', { name: member }).click();
  await go(page, '/purchase/product');
  for (const choice of ['Honeybee', 'Cut comb', 'Top-bar hive']) {
    await page.getByText(choice, { exact: true }).click();
  }
  await go(page, '/purchase/pail');
  await page.fill('#pail-number-0', pail);
  await page.fill('#pail-tare-0', tare);
  await go(page, '/purchase/inspection');
  for (const room of ['Container', 'Harvest and dirt', 'Smell, sight and taste']) {
    await press(page, `All clear: ${room}`);
  }
  await see('inspection');
  await go(page, '/purchase/comb');
  for (let point = 0; point < 60; point += 1) {
    await press(page, point % 10 === 9 ? 'Open' : 'Capped');
  }
  await see('comb');
  await go(page, '/purchase/moisture');
  for (const [place, water] of waters.entries()) {
    await page.fill(`#reading-${place}`, water);
    await page.fill(`#temperature-${place}`, '24');
  }
  await see('moisture');
  await go(page, '/purchase/weight');
  await page.fill('#gross-0', gross);
  await see('weight');
  await go(page, '/purchase/decision');
  await page.locator('.decision').first().waitFor();
  await see('decision');
}

/** A purchase with its receipt; gives the figures that the farmer saw. */
export async function buy(page, delivery) {
  await deliver(page, delivery);
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  const figure = (name) => page.locator(`article.paper [data-figure="${name}"]`).innerText();
  return { net: await figure('net'), total: await figure('total') };
}

/** A sum of money as text, in minor units of a currency with two decimals. */
export const minor = (text) => Math.round(Number(text.replace(/[^\d.]/g, '')) * 100);

/**
 * Looks into what the phone stores, or changes it behind the program's back, in one step: each time a store,
 * a way of it, and what that takes. Gives the answers.
 */
export const inStore = (page, ...asked) => page.evaluate(async (all) => {
  const database = await new Promise((done, failed) => {
    const opening = indexedDB.open('combgate');
    opening.onsuccess = () => done(opening.result);
    opening.onerror = () => failed(opening.error);
  });
  const transaction = database.transaction([...new Set(all.map(([store]) => store))], 'readwrite');
  const answers = all.map(([store, how, ...words]) => transaction.objectStore(store)[how](...words));
  await new Promise((done, failed) => {
    transaction.oncomplete = done;
    transaction.onabort = () => failed(transaction.error);
  });
  database.close();
  return answers.map(({ result }) => result);
}, asked);

/**
 * Puts copies of a phone's one receipt into its journal, the last sixty of them on a day of their
 * own. The phone reads its journal without checking its own signatures again, so the copies need
 * none that fits.
 */
export async function fillJournal(page, receipts) {
  const [all] = await inStore(page, ['journal', 'getAll']);
  const text = (part) => Buffer.from(part, 'base64url').toString();
  const parts = all.map((entry) => entry.split('.'));
  const payloads = parts.map((part) => JSON.parse(text(part[1])));
  const [opened, receipt] = [1, 2];
  const puts = [];
  const put = (place, change) => {
    const payload = structuredClone(payloads[place]);
    payload.seq = puts.length + 2;
    change?.(payload.body);
    const encoded = Buffer.from(JSON.stringify(payload)).toString('base64url');
    puts.push(['journal', 'put', [parts[place][0], encoded, parts[place][2]].join('.'), payload.seq]);
  };
  const copy = (number, day) => put(receipt, (body) => {
    body.number = `G1-26-${String(number).padStart(5, '0')}`;
    body.delivery_id = randomUUID();
    if (day) body.day = day;
  });
  const older = receipts - 60;
  for (let number = 1; number <= older; number += 1) copy(number, '2026-01-05');
  put(opened);
  for (let number = older + 1; number <= receipts; number += 1) copy(number);
  await inStore(page, ...puts);
}

/** Goes on from control to control, as the key does, until one has this name. */
export async function tabTo(page, name, most = 120) {
  const seen = [];
  for (let press_ = 0; press_ < most; press_ += 1) {
    await page.keyboard.press('Tab');
    const label = await page.evaluate(() => {
      const each = document.activeElement;
      const words = each.getAttribute('aria-label') ?? each.labels?.[0]?.innerText ?? each.innerText ?? '';
      // A ring of keys is seen, and what it surrounds is on the screen.
      const target = each.matches('.choice input') ? each.closest('.choice') : each;
      const box = target.getBoundingClientRect();
      const shown = getComputedStyle(target).outlineStyle !== 'none' && box.bottom > 0 && box.top < innerHeight;
      return { words: words.trim().replace(/\s+/g, ' '), shown, tag: each.tagName };
    });
    seen.push(label.words);
    if (label.words === name) {
      assert.ok(label.shown, `${name} has the focus and shows it`);
      return;
    }
  }
  assert.fail(`'${name}' is not reached by the keyboard: ${seen.join(' | ')}`);
}

/** What an independent reader of codes (npm jsqr, ISO/IEC 18004) sees at a place of the screen. */
export async function seen(page, place) {
  const shot = (await page.locator(place).screenshot()).toString('base64');
  const { data, width, height } = await page.evaluate(async (png) => {
    const image = new Image();
    image.src = `data:image/png;base64,${png}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.width;
    canvas.height = image.height;
    const context = canvas.getContext('2d');
    context.drawImage(image, 0, 0);
    const pixels = context.getImageData(0, 0, image.width, image.height);
    return { data: [...pixels.data], width: image.width, height: image.height };
  }, shot);
  return jsQR(Uint8ClampedArray.from(data), width, height)?.data;
}
