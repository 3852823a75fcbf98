// What must hold for every page of the desk: it fits small windows and large text, axe finds nothing,
// Tab reaches all that can be used, and paper shows all of it. The pages are read out of the
// router's source, so that none is left out.
//
// COMBGATE_SHOTS=DIR keeps a picture of every page, and what is printed.

import assert from 'node:assert/strict';
import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { atWork, fixtures, shoot, shots, take, wider } from './clerk.mjs';
import { inTheWay } from './stand.mjs';

/** Addresses that answer with a file, a style, a script or another address. */
const NO_PAGES = [/\/file$/, /\/key$/, /^\/acknowledgements/, /^\/language/, /^\/register\/\{form\}/, /^\/days$/];
/** The first account is made in one hour of a desk's life: tour.test.mjs looks at that page. */
const SELDOM = [/^\/set-up/];

/** Pages of the desk by the router's source, each as a pattern. */
async function patterns() {
  const source = await readFile('app/desk/src/pages/mod.rs', 'utf8');
  const routes = source.split('pub fn router')[1].split('.route(').slice(1);
  return routes
    .filter((route) => route.split('.fallback(')[0].includes('get('))
    .map((route) => route.match(/^\s*"([^"]+)"/)?.[1])
    .filter((path) => path && ![...NO_PAGES, ...SELDOM].some((each) => each.test(path)));
}

const matches = (pattern, path) =>
  new RegExp(`^${pattern.replace(/\{\w+\}/g, '[^/]+')}$`).test(path.split('?')[0]);

/** Forgets the first member who may be; the key then waits on the page to be taken away. */
async function forgetSomebody(page, address) {
  for (let number = 12; number > 6; number -= 1) {
    const member = `M${String(number).padStart(3, '0')}`;
    await page.goto(`${address}/members/${member}/forget`);
    if ((await page.locator('#again').count()) === 0) continue;
    await page.locator('#reason').fill('She asked for it.');
    await page.locator('#asked').check();
    await page.locator('#again').fill(member);
    await page.locator('button.grave').click();
    await page.locator('a[download][href$="/key"]').waitFor();
    return member;
  }
  throw new Error('nobody may be forgotten');
}

/** A desk with something on every page; its pages by name. */
async function everything(t, size) {
  const { address, command, desk, page } = await atWork(t, { size });
  // Questions end a command with 1, and are what these days are for.
  const ask = (...words) => {
    try {
      return command(words);
    } catch (error) {
      assert.equal(error.status, 1, error.stderr);
      return error.stdout;
    }
  };
  const week = join(fixtures, 'fortnight');
  for (const code of ['b1', 'b2', 'b3']) ask('enrol', join(week, `${code}-card.jws`), '--code', code.toUpperCase());
  ask('brief', '--all', '--float', '80000', '--out', join(desk, '..'));
  ask('import', ...['b1', 'b2', 'b3'].map((code) => join(week, `${code}-week-1.json`)));
  await take(page, address, ['bad/dishonest.json', 'bad/altered-byte.json']);
  const [owed] = JSON.parse(ask('pay', 'list', '--json')).receipts;
  ask('pay', 'propose', '--means', 'cash', '--receipt', owed.receipt, '--by', 'Asha');
  ask('receive', 'P-900', '--gross', '18.4', '--no-seal', '--interval', '10', '--by', 'Juma');
  ask('close', '2026-10-01', '--by', 'Asha');
  const forgotten = await forgetSomebody(page, address);
  const finding = JSON.parse(ask('findings', '--json')).find(({ code }) => code === 'price-differs').id;
  const terms = JSON.parse(ask('terms', 'list', '--json'));
  const { handset, seq } = JSON.parse(ask('entry', owed.receipt, '--json'));
  const { day } = owed;
  const pages = [
    ['overview', '/'],
    ['import', '/import'],
    ['findings', '/findings'],
    ['finding', `/findings/${finding}`],
    ['days', '/days/2026-10-09'],
    ['day', `/days/${day}`],
    ['entry', '/entries/K7/5'],
    ['receipt', `/entries/${handset}/${seq}`],
    ['paper-none', '/papers?number=K7-26-00099'],
    ['paper-wrong', '/papers?number=nothing'],
    ['handsets', '/handsets'],
    ['handset', '/handsets/K7'],
    ['briefs', '/briefs'],
    ['members', '/members'],
    ['member', `/members/${owed.member}`],
    ['register', '/register'],
    ['card', '/members/M002/card'],
    ['card-new', '/register/new'],
    ['forget', '/members/M006/forget'],
    ['forgotten', `/members/${forgotten}/forget`],
    ['receiving', '/receiving'],
    ['received', '/receiving/1'],
    ['payments', '/payments'],
    ['payment-list', '/payments/1'],
    ['terms', '/terms'],
    ...terms.map(({ digest }, at) => [`terms-${at}`, `/terms/${digest}`]),
    ['terms-prices', '/terms/new/prices'],
    ['terms-policy', '/terms/new/policy'],
    ['statistics', '/statistics'],
    ['reconcile', `/reconcile?day=${day}`],
    ['closing', '/closing?day=2026-10-10'],
    ['export', '/export'],
    ['backup', '/backup'],
    ['sign-in', '/sign-in'],
    ['nowhere', '/nowhere'],
    ['wrong-field', '/register?added=abc'],
  ];
  const left = (await patterns()).filter((pattern) => !pages.some(([, path]) => matches(pattern, path)));
  assert.deepEqual(left, [], 'pages that nobody looks at');
  return { address, page, pages };
}

for (const [width, height] of [[360, 640], [1280, 800]]) {
  test(`every page fits ${width}x${height} and 200 % text, and axe finds nothing`, async (t) => {
    const { address, page, pages } = await everything(t, { width, height });
    const problems = [];
    const look = async (name, looks) => {
      for (const [scheme, text, byAxe] of looks) {
        await page.emulateMedia({ colorScheme: scheme });
        await page.evaluate((size) => { document.documentElement.style.fontSize = size; }, text);
        const place = `${name}, ${scheme}, text ${text}`;
        for (const each of await wider(page)) problems.push(`${place}: ${each} is wider than the window`);
        assert.equal(await page.locator('h1').first().isVisible(), true, place);
        for (const each of byAxe ? await inTheWay(page) : []) problems.push(`${place}: ${each}`);
        await shoot(page, `${name}-${width}-${scheme}-${parseInt(text, 10)}`);
      }
    };
    for (const language of ['en', 'sw']) {
      await page.goto(`${address}/language/${language}?to=/`);
      // Axe takes a second a page: in the small window it looks at dark colours and at large text,
      // where something may have to scroll; in the other at the second language.
      const small = width < 500;
      const looks = language === 'en'
        ? [['light', '100%', false], ['dark', '100%', small], ['light', '200%', small]]
        : [['light', '100%', !small], ['light', '200%', false]];
      for (const [name, path] of pages) {
        await page.goto(address + path);
        await look(`${name}-${language}`, looks);
      }
      // What comes of forms.
      await page.goto(`${address}/terms`);
      await page.locator('#document').setInputFiles(join(fixtures, 'new-prices/prices.json'));
      await page.locator('button[value=try]').click();
      await page.locator('h1').waitFor();
      await look(`terms-tried-${language}`, looks);
      await take(page, address, ['bad/altered-byte.json', 'bad/truncated.json', 'good/morning.json']);
      await look(`imported-${language}`, looks);
    }
    // All at once, so that whoever mends them need not come back for each.
    assert.deepEqual(problems, []);
  });
}

test('Tab reaches all that can be used on every page, and shows where it is', async (t) => {
  const { address, page, pages } = await everything(t, { width: 1280, height: 800 });
  const problems = [];
  for (const [name, path] of pages) {
    await page.goto(address + path);
    const count = await page.evaluate(() => {
      const usable = 'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]';
      const all = [...document.querySelectorAll(usable)];
      const seen = all.filter((each) => each.checkVisibility() && !each.disabled);
      // The keys between radio buttons are the arrows: one of a group is enough.
      const groups = new Set();
      window.expected = seen.filter((each) => {
        if (each.type !== 'radio') return true;
        const group = `${each.form?.action}-${each.name}`;
        return !groups.has(group) && groups.add(group);
      });
      window.reached = new Set();
      window.shown = new Set();
      return window.expected.length;
    });
    assert.ok(count > 2, `${name}: ${count} can be used`);
    // A field for a day has a stop for day, month and year.
    for (let press = 0, again = 0; press < 6 * count + 20 && again < 2; press += 1) {
      await page.keyboard.press('Tab');
      const at = await page.evaluate(() => {
        const each = document.activeElement;
        if (!each || each === document.body) return 'body';
        const group = each.type === 'radio' && window.expected.find((other) => other.name === each.name && other.form === each.form);
        const known = window.reached.size;
        window.reached.add(group || each);
        const { outlineStyle, outlineWidth } = getComputedStyle(each);
        // The browser's own calendar within a field shows itself.
        if (outlineStyle !== 'none' && parseFloat(outlineWidth) > 0) window.shown.add(group || each);
        return known === window.reached.size ? 'again' : 'new';
      });
      if (at === 'body') again += 1;
    }
    const missed = await page.evaluate(() =>
      window.expected.filter((each) => !window.reached.has(each)).map((each) => each.outerHTML.slice(0, 100)));
    for (const each of missed) problems.push(`${name}: Tab does not reach ${each}`);
    const unseen = await page.evaluate(() =>
      [...window.reached].filter((each) => !window.shown.has(each)).map((each) => each.outerHTML.slice(0, 100)));
    for (const each of unseen) problems.push(`${name}: nothing shows that Tab is at ${each}`);
  }
  assert.deepEqual([...new Set(problems)], []);
});

test('what a clerk prints is whole: no way of the page on it, nothing beyond the edge, every row', async (t) => {
  // A4 upright, less a margin of 10 mm each side, at 96 dots an inch.
  const { address, page, pages } = await everything(t, { width: 718, height: 1000 });
  const problems = [];
  for (const language of ['en', 'sw']) {
    await page.goto(`${address}/language/${language}?to=/`);
    for (const [name, path] of pages) {
      if (['sign-in', 'nowhere', 'wrong-field'].includes(name)) continue;
      await page.emulateMedia({ media: 'screen' });
      await page.goto(address + path);
      // What a form or a fold that is no figure of a plot holds, is not for paper.
      const rows = await page.evaluate(() =>
        [...document.querySelectorAll('main tbody tr')].filter((each) => !each.closest('form, details:not(.behind)')).length);
      await page.emulateMedia({ media: 'print' });
      const found = await page.evaluate(() => {
        const shows = (each) => each.checkVisibility();
        const ways = [...document.querySelectorAll('nav, form, button, .skip')].filter(shows);
        const edge = document.documentElement.clientWidth;
        const beyond = [...document.querySelectorAll('main *')].filter(
          (each) => shows(each) && !each.closest('.unseen, svg') && each.getBoundingClientRect().right > edge + 1,
        );
        const cut = [...document.querySelectorAll('main *')].filter((each) => {
          const { overflowX, overflowY } = getComputedStyle(each);
          return shows(each) && !each.closest('.unseen') && [overflowX, overflowY].some((how) => how !== 'visible')
            && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1);
        });
        const folded = [...document.querySelectorAll('main details.behind')].filter((each) => !each.querySelector('table')?.checkVisibility());
        const name = (each) => `${each.tagName} ${each.className}`;
        return {
          ways: ways.map(name),
          beyond: beyond.map(name).slice(0, 3),
          cut: cut.map(name).slice(0, 3),
          folded: folded.length,
          heading: shows(document.querySelector('h1')),
          rows: [...document.querySelectorAll('main tbody tr')].filter(shows).length,
        };
      });
      const place = `${name} in ${language}`;
      if (!found.heading) problems.push(`${place}: no heading`);
      for (const each of found.ways) problems.push(`${place}: ${each} is printed`);
      for (const each of found.beyond) problems.push(`${place}: ${each} is beyond the edge`);
      for (const each of found.cut) problems.push(`${place}: ${each} is cut`);
      if (found.folded > 0) problems.push(`${place}: ${found.folded} tables stay folded`);
      if (found.rows < rows) problems.push(`${place}: ${found.rows} of ${rows} rows`);
      if (shots && language === 'en') {
        await mkdir(shots, { recursive: true });
        const file = join(shots, `${name}.pdf`);
        await page.pdf({ path: file, format: 'A4', margin: { left: '10mm', right: '10mm', top: '10mm', bottom: '10mm' } });
      }
    }
  }
  assert.deepEqual([...new Set(problems)], []);
});
