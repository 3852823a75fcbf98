// What the phone's page weighs and how fast it is, beside a bare Leptos page and an empty one in
// the same shell, served by the same desk and kept by the same service worker; and one table of that
// and of what the desk's benches measured, each figure beside its floor and its peer:
//
//   node tests/browser/bench.mjs FOLDER     FOLDER/floor is the bare page; FOLDER/import.md and
//                                           FOLDER/ledger.md are what the desk's benches printed;
//                                           FOLDER/table.md is the result
//
// A floor is the least that the same tools can do. A peer is a straightforward other way to the same
// result (tests/bench/peers), which does less. COMBGATE_KEEP=1 puts the table into README.md.
//
// Times are taken in a Chromium slowed down six times, as a cheap phone is. Only ratios within one
// run mean anything. The phone holds 5,000 receipts and 20,000 members; all of them are invented.

import { cpSync, existsSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, totalmem } from 'node:os';
import { extname, join } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';
import { buy, deliver, enrolled, fillJournal, from, go, openDay, takeBrief } from './officer.mjs';
import { folder as temporary, servePage, startPhone } from './stand.mjs';

const [into] = process.argv.slice(2);
const ours = process.env.COMBGATE_PAGE ?? 'target/phone';
const floor = join(into, 'floor');
const empty = join(into, 'empty');
const SLOWER = 6;
const STARTS = 15;
const KEYS = 40;
/** Each gives another price than the one before it. */
const WEIGHTS = Array.from({ length: KEYS }, (_, key) => `2${key % 10}.${key % 7}4`);
const RECEIPTS = 5000;
const MEMBERS = 20_000;

const ends = [];
/** Looks like a test to what the browser tests share. */
const scene = { after: (end) => ends.push(end) };

const median = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
const slowest = (all, share) => [...all].sort((a, b) => a - b)[Math.min(all.length - 1, Math.floor(all.length * share))];

const PROGRAM = ['.wasm', '.js'];
/** What a start loads; icons and the manifest are the browser's own affair. */
const START = [...PROGRAM, '.html', '.css'];

/** Files of a page as they are sent, brotli at its best; a script that stands in a page counts as one. */
function weight(page, kinds) {
  const walk = (at) => readdirSync(at, { withFileTypes: true }).flatMap((entry) => (
    entry.isDirectory() ? walk(join(at, entry.name)) : [join(at, entry.name)]));
  const sent = walk(page).flatMap((path) => {
    const content = readFileSync(path);
    if (kinds.includes(extname(path))) return [content];
    if (extname(path) !== '.html') return [];
    const scripts = content.toString().matchAll(/<script[^>]*>([^]+?)<\/script>/g);
    return Array.from(scripts, ([, script]) => Buffer.from(script));
  });
  return sent.reduce((sum, content) => sum + brotliCompressSync(content, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_SIZE_HINT]: content.length,
    },
  }).length, 0);
}

/** The same shell with one field and no program. */
function makeEmpty() {
  rmSync(empty, { recursive: true, force: true });
  cpSync(floor, empty, { recursive: true, filter: (path) => !path.endsWith('.br') });
  for (const name of readdirSync(empty)) {
    const path = join(empty, name);
    if (/^program-.*\.js$/.test(name)) {
      writeFileSync(path, `const put = () => document.body.append(document.createElement('input'));
        if (document.readyState === 'loading') addEventListener('DOMContentLoaded', put);
        else put();\n`);
    }
    if (name.endsWith('.wasm')) writeFileSync(path, '');
  }
}

async function slow(page) {
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
}

/**
 * Milliseconds from navigation to the first field that takes letters (`field`), and to the one of the
 * program itself (`program`), which may come later and takes the letters over; in a page of its own. There
 * is none before the style sheet: until then the browser shows nothing. The page says by itself when that
 * is: asked for it, or looked at frame by frame, it would have to do the asker's work in the middle of its
 * start.
 */
async function startOf({ context, address, field }) {
  const page = await context.newPage();
  await page.addInitScript((selector) => {
    let first;
    const look = () => {
      if (!document.querySelector('link[rel=stylesheet]')?.sheet) return;
      const found = [...document.querySelectorAll(selector)].filter(({ disabled }) => !disabled);
      if (found.length) first ??= performance.now();
      if (!found.some((each) => !each.closest('#boot'))) return;
      changes.disconnect();
      console.log(`usable after ${first} ms, ${performance.now()} ms`);
    };
    const changes = new MutationObserver(look);
    changes.observe(document, { childList: true, subtree: true, attributeFilter: ['disabled'] });
    document.addEventListener('load', look, true);
  }, field);
  await slow(page);
  const said = page.waitForEvent('console', (message) => message.text().startsWith('usable after '));
  await page.goto(address, { waitUntil: 'commit' });
  const [first, own] = (await said).text().match(/[\d.]+/g).map(Number);
  await page.close();
  return { field: first, program: own };
}

/** Starts of several pages in turn, so that what else the machine does at a time meets all of them. */
async function startsInTurn(all) {
  const times = all.map(() => []);
  for (let run = 0; run < STARTS; run += 1) {
    for (const [place, each] of all.entries()) times[place].push(await startOf(each));
  }
  return times;
}

/** A page that a service worker keeps; its network is gone. */
async function kept(page) {
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await page.context().setOffline(true);
}

/** A page kept by its service worker, to be started. */
async function standing(pageFolder) {
  const server = await servePage(pageFolder);
  ends.push(() => server.stop());
  const phone = await startPhone();
  ends.push(() => phone.stop());
  const page = await phone.context.newPage();
  await page.goto(server.address);
  await page.evaluate(() => navigator.serviceWorker.register('service-worker.js'));
  await kept(page);
  await page.close();
  return { context: phone.context, address: server.address, field: 'input' };
}

/** A cooperative with many members, all invented. */
async function largeCooperative() {
  const made = await temporary(scene);
  cpSync(from, made, { recursive: true });
  const path = join(made, 'members.csv');
  const villages = ['Kilindo', 'Mtoni Juu', 'Ridge Foot', 'Old Mill'];
  const lines = readFileSync(path, 'utf8').trimEnd().split('\n');
  for (let place = lines.length; place <= MEMBERS; place += 1) {
    lines.push(`N${String(place).padStart(5, '0')},Member ${place.toString(36)} Wa${place % 977},${villages[place % 4]},,sw,,,`);
  }
  writeFileSync(path, `${lines.join('\n')}\n`);
  const members = lines.slice(1).map((line) => line.split(',')).map(([number, name, village]) => ({ number, name, village }));
  return { folder: made, members };
}

/** Milliseconds of a search for a member by Fuse.js, at its defaults, in the same page. */
async function fuseSearch(page, members, typed) {
  const program = readFileSync('tests/bench/peers/node_modules/fuse.js/dist/fuse.min.cjs', 'utf8');
  await page.evaluate(`{ const module = { exports: {} }; ((module, exports) => { ${program} })(module, module.exports); globalThis.Fuse = module.exports.default ?? module.exports; }`);
  return page.evaluate(([all, texts]) => {
    const fuse = new globalThis.Fuse(all, { keys: ['number', 'name', 'village'], ignoreDiacritics: true });
    return texts.map((text) => {
      const begin = performance.now();
      const found = fuse.search(text, { limit: 20 });
      const took = performance.now() - begin;
      if (found.length === 0) throw new Error(`Fuse.js finds nothing for ${text}`);
      return took;
    });
  }, [members, typed]);
}

/**
 * What typed characters cost, in milliseconds: until what follows from one is laid out (`laid`), and
 * until the page's one thread does the next thing asked of it (`free`). A frame that the browser
 * happens to draw in between counts in the second alone. `result` is where it says what follows.
 */
async function keystrokes(page, selector, typed, result) {
  return page.evaluate(async ([field, texts, told]) => {
    const input = document.querySelector(field);
    const set = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set;
    const says = () => document.querySelector(told).textContent;
    const times = { laid: [], free: [] };
    for (const text of texts) {
      await new Promise((done) => { setTimeout(done, 30); });
      const begin = performance.now();
      set.call(input, text);
      input.dispatchEvent(new Event('input', { bubbles: true }));
      // What follows from it follows in microtasks, one after another: no frame comes in between.
      for (let turn = 0; turn < 64; turn += 1) await null;
      document.body.getBoundingClientRect();
      times.laid.push(performance.now() - begin);
      const said = says();
      await new Promise((done) => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = done;
        port2.postMessage(null);
      });
      document.body.getBoundingClientRect();
      times.free.push(performance.now() - begin);
      await new Promise((done) => { setTimeout(done, 30); });
      if (says() !== said) throw new Error(`what followed from '${text}' was not all there when its time was taken`);
    }
    return times;
  }, [selector, typed, result]);
}

/** Characters typed into the only field of the bare page. */
async function keysOf(pageFolder, typed) {
  const server = await servePage(pageFolder);
  const phone = await startPhone();
  try {
    const page = await phone.context.newPage();
    await page.goto(server.address);
    await page.locator('input').waitFor();
    await slow(page);
    return await keystrokes(page, 'input', typed, 'main p');
  } finally {
    await phone.stop();
    server.stop();
  }
}

async function measure() {
  const cooperative = await largeCooperative();
  const { page, phone, server, desks, give } = await enrolled(scene, undefined, cooperative.folder);
  await takeBrief(page, await give(desks[0], 'own.jws'));
  await openDay(page);
  await buy(page, { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' });
  await fillJournal(page, RECEIPTS);
  await page.reload();
  await page.locator('nav.places').waitFor();
  await page.waitForTimeout(2000);
  await kept(page);
  await page.waitForTimeout(2000);
  await page.close();
  const at = `${server.address}#/purchase/member`;
  const others = [await standing(floor), await standing(empty)];
  const [started, bare, nothing] = await startsInTurn([
    { context: phone.context, address: at, field: '#member-search' }, ...others,
  ]);
  for (const { context } of others) await context.close();

  const again = await phone.context.newPage();
  await again.goto(at);
  await again.locator('#member-search').waitFor();
  await deliver(again, { member: 'Asha Mrembwe', pail: 'P2', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' });
  await go(again, '/purchase/weight');
  await again.locator('#gross-0').waitFor();
  await slow(again);
  const weighed = await keystrokes(again, '#gross-0', WEIGHTS, '.strip');
  await go(again, '/today');
  await again.waitForTimeout(3000);
  await again.evaluate(() => localStorage.clear());
  await again.goto(`${server.address}?again#/purchase/member`);
  await again.locator('#member-search').waitFor();
  // The register is read by now.
  await again.fill('#member-search', 'wamuru');
  await again.locator('.found button').first().waitFor({ timeout: 60_000 });
  const names = Array.from({ length: KEYS }, (_, key) => 'wamuru 12'.slice(0, 1 + (key % 9)));
  const searched = await keystrokes(again, '#member-search', names, 'main');
  const byFuse = await fuseSearch(again, cooperative.members, names);
  return { started, bare, nothing, weighed, searched, byFuse };
}

/** The rows of a table that a bench of the desk printed, by the name of their first column. */
function printed(name, first) {
  const path = join(into, name);
  if (!existsSync(path)) return [];
  const cells = readFileSync(path, 'utf8').split('\n').filter((line) => line.startsWith('| '))
    .map((line) => line.split('|').slice(1, -1).map((cell) => cell.trim()));
  const begin = cells.findIndex(([head]) => head === first);
  const end = cells.findIndex(([head], place) => place > begin && /^(ms, at )?entries$/.test(head));
  const [heads, , ...rows] = cells.slice(begin, end === -1 ? undefined : end);
  return begin === -1 ? [] : rows.map((row) => Object.fromEntries(row.map((cell, place) => [heads[place], cell])));
}

const large = (value) => Number(value).toLocaleString('en', { maximumFractionDigits: 0 });

/** What an import does in a second, beside its floors and the imports in other languages. */
function imports() {
  return printed('import.md', 'entries').flatMap((row) => {
    const whole = Number(row['whole, a second']);
    const figure = `import of ${large(row.entries)} entries, a second`;
    const beside = (name, value, ratio) => (ratio === '-' ? undefined : [name, large(value), ratio]);
    const [signatures, inserting] = [row['of signatures'], row['of inserting']];
    const [node, python] = [row['times Node'], row['times Python']];
    return [
      [figure, large(whole), beside('checking their signatures, on all cores', whole / signatures, signatures),
        beside('Node.js: jose, better-sqlite3; no judging', whole / node, node)],
      ['', '', beside('inserting their rows, alone', whole / inserting, inserting),
        beside('Python: joserfc, sqlite3; no judging', whole / python, python)],
    ];
  });
}

/** What books of the desk take, at the largest ledger of the run. */
function books() {
  const rows = printed('ledger.md', 'ms, at entries');
  if (rows.length === 0) return [];
  const sizes = Object.keys(rows[0]).filter((head) => /^\d+$/.test(head));
  const most = sizes[sizes.length - 1];
  const took = (name) => rows.find((row) => row['ms, at entries'] === name)?.[most];
  return [['a day book', 'rows of a day book', 'a day book in Python'],
    ["a member's season", "rows of a member's season", "a member's season in Python"]].map(([page, floorOf, peerOf]) => {
    const [own, least, other] = [took(`page: ${page}`), took(`floor: ${floorOf}`), took(`peer: ${peerOf}`)];
    const beside = (name, value) => (value ? [name, `${value} ms`, (own / value).toFixed(2)] : undefined);
    return [`${page} as a page, of ${large(most)} entries`, `${own} ms`,
      beside('the ledger opened, its rows added up', least), beside('Python: entries read and added up, no page', other)];
  });
}

if (!existsSync(floor)) throw new Error(`${floor} is not there: run app/tools/bench`);
makeEmpty();
try {
  const [program, loaded] = [PROGRAM, START].map((kinds) => [ours, floor].map((page) => weight(page, kinds)));
  const bareKeys = await keysOf(floor, WEIGHTS);
  const own = await measure();
  const ms = (value) => `${value.toFixed(1)} ms`;
  const kB = (value) => `${(value / 1000).toFixed(1)} kB`;
  const ratio = (a, b) => (a / b).toFixed(2);
  const [start, bareStart, emptyStart] = [own.started, own.bare, own.nothing].map((all) => median(all.map(({ field }) => field)));
  const [whole, bareWhole] = [own.started, own.bare].map((all) => median(all.map(({ program: each }) => each)));
  const late = (all) => slowest(all, 0.95);
  const frame = (value) => ['a frame at 60 Hz', '16.0 ms', ratio(value, 16)];
  /** Rows of a key: its middle and its slow ones, and until the page does the next thing, as a bare page does. */
  const keys = (name, { laid, free }, bare, fuse) => [median, late].map((of, place) => {
    const row = [place === 0 ? name : 'the same, 95 of 100', ms(of(laid)), frame(of(laid))];
    return fuse ? [...row, ['Fuse.js, the search alone', ms(of(fuse)), ratio(of(laid), of(fuse))]] : row;
  }).concat([['the same, until the page does the next thing', ms(median(free)),
    ['a bare Leptos page', ms(median(bare.free)), ratio(median(free), median(bare.free))]]]);
  const rows = [
    ['wasm and JS sent, brotli', kB(program[0]), ['a bare Leptos page', kB(program[1]), ratio(...program)]],
    ['all that a start loads, brotli', kB(loaded[0]), ['a bare Leptos page', kB(loaded[1]), ratio(...loaded)]],
    ['start to the first field that takes letters, no network', ms(start), ['a bare Leptos page', ms(bareStart), ratio(start, bareStart)]],
    ['', '', ['an empty page', ms(emptyStart), ratio(start, emptyStart)]],
    ["the same, to the program's own screen", ms(whole), ['a bare Leptos page', ms(bareWhole), ratio(whole, bareWhole)]],
    ...keys('a key at the weight, to decision and price laid out', own.weighed, bareKeys),
    ...keys(`a key in the search among ${large(MEMBERS)} members, to its finds laid out`, own.searched, bareKeys, own.byFuse),
    ...imports(),
    ...books(),
  ];
  const line = ([figure, value, least = ['–', '', ''], peer = ['–', '', '']]) => `| ${[figure, value, ...least, ...peer].join(' | ')} |`;
  const machine = `${cpus().length} cores (${cpus()[0].model.trim()}), ${Math.round(totalmem() / 2 ** 30)} GiB`;
  const table = [
    '| figure | ours | floor | its figure | ratio | peer | its figure | ratio |',
    '| --- | ---: | --- | ---: | ---: | --- | ---: | ---: |',
    ...rows.map(line),
    '',
    `${new Date().toISOString().slice(0, 10)}, one run on ${machine}. The phone is Chromium slowed down ${SLOWER} times, with ${large(RECEIPTS)} receipts and ${large(MEMBERS)} members in it; ${STARTS} starts from the service worker, of the three pages in turn, ${KEYS} keys, medians. A ratio is ours to the figure beside it: of a time or a size, less is better; of what is done in a second, more. A dash: the figure has no such thing beside it. No promise for another machine.`,
  ].join('\n');
  console.log(table);
  writeFileSync(join(into, 'table.md'), `${table}\n`);
  if (process.env.COMBGATE_KEEP) keep(table);
} finally {
  for (const end of ends.reverse()) await end();
}

/** Puts the table where README.md quotes it. */
function keep(table) {
  const path = 'README.md';
  const text = readFileSync(path, 'utf8');
  const quoted = text.replace(/(<!-- bench: begin -->\n)[^]*?(<!-- bench: end -->)/, (_, begin, end) => `${begin}${table}\n${end}`);
  if (!quoted.includes(table)) throw new Error(`${path} has no place for the table`);
  writeFileSync(path, quoted);
}
