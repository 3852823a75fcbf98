// What the phone's page weighs and how fast it is, beside a bare Leptos page and an empty one in
// the same shell, served by the same desk and kept by the same service worker:
//
//   node tests/browser/bench.mjs FOLDER     FOLDER/floor is the bare page, FOLDER/import.md what the
//                                           import's bench printed; FOLDER/phone.md the result
//
// Times are taken in a Chromium slowed down six times, as a cheap phone is. Only ratios within one
// run mean anything. The phone holds 5,000 receipts and 20,000 members; all of them are invented.

import { cpSync, existsSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { extname, join } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';
import { buy, deliver, enrolled, fillJournal, from, go, openDay, takeBrief } from './officer.mjs';
import { folder as temporary, servePage, startPhone } from './stand.mjs';

const [into] = process.argv.slice(2);
const ours = process.env.COMBGATE_PAGE ?? 'target/phone';
const floor = join(into, 'floor');
const empty = join(into, 'empty');
const SLOWER = 6;
const STARTS = 9;
const KEYS = 40;
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

/** Files of a page as they are sent, brotli at its best. */
function weight(page, kinds) {
  const walk = (at) => readdirSync(at, { withFileTypes: true }).flatMap((entry) => (
    entry.isDirectory() ? walk(join(at, entry.name)) : [join(at, entry.name)]));
  const sent = walk(page).filter((path) => kinds.includes(extname(path)));
  return sent.reduce((sum, path) => sum + brotliCompressSync(readFileSync(path), {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_SIZE_HINT]: statSync(path).size,
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
      writeFileSync(path, 'export default () => document.body.append(document.createElement("input"));\n');
    }
    if (name.endsWith('.wasm')) writeFileSync(path, '');
  }
}

async function slow(page) {
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
}

/** Milliseconds from navigation to the first field that can be typed into, each in a page of its own. */
async function starts(context, address, field) {
  const times = [];
  for (let run = 0; run < STARTS; run += 1) {
    const page = await context.newPage();
    await page.addInitScript((selector) => {
      const look = () => {
        const found = document.querySelector(selector);
        if (!found || found.disabled) { requestAnimationFrame(look); return; }
        window.usable = performance.now();
      };
      look();
    }, field);
    await slow(page);
    await page.goto(address);
    times.push(await page.waitForFunction(() => window.usable).then((handle) => handle.jsonValue()));
    await page.close();
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

async function startsOf(pageFolder) {
  const server = await servePage(pageFolder);
  const phone = await startPhone();
  try {
    const page = await phone.context.newPage();
    await page.goto(server.address);
    await page.evaluate(() => navigator.serviceWorker.register('service-worker.js'));
    await kept(page);
    await page.close();
    return await starts(phone.context, server.address, 'input');
  } finally {
    await phone.stop();
    server.stop();
  }
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
  return made;
}

/** Milliseconds that the page's one thread is busy with a typed character, up to its new layout. */
async function keystrokes(page, selector, typed) {
  return page.evaluate(async ([field, texts]) => {
    const input = document.querySelector(field);
    const set = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set;
    const times = [];
    for (const text of texts) {
      await new Promise((done) => { setTimeout(done, 30); });
      const begin = performance.now();
      set.call(input, text);
      input.dispatchEvent(new Event('input', { bubbles: true }));
      // What follows from it is done in tasks as small as the queue has, before a timer runs.
      await Promise.resolve();
      await new Promise((done) => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = done;
        port2.postMessage(null);
      });
      document.body.getBoundingClientRect();
      times.push(performance.now() - begin);
    }
    return times;
  }, [selector, typed]);
}

async function measureOurs() {
  const { page, phone, server, desks, give } = await enrolled(scene, undefined, await largeCooperative());
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
  const started = await starts(phone.context, at, '#member-search');

  const again = await phone.context.newPage();
  await again.goto(at);
  await again.locator('#member-search').waitFor();
  await deliver(again, { member: 'Asha Mrembwe', pail: 'P2', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' });
  await go(again, '/purchase/weight');
  await again.locator('#gross-0').waitFor();
  await slow(again);
  const weights = Array.from({ length: KEYS }, (_, key) => `2${key % 10}.${key % 7}4`);
  const weighed = await keystrokes(again, '#gross-0', weights);
  await go(again, '/today');
  await again.waitForTimeout(3000);
  await again.evaluate(() => localStorage.clear());
  await again.goto(`${server.address}?again#/purchase/member`);
  await again.locator('#member-search').waitFor();
  const searched = await keystrokes(again, '#member-search', Array.from({ length: KEYS }, (_, key) => 'wamuru 12'.slice(0, 1 + (key % 9))));
  return { started, weighed, searched };
}

/** What the import's bench printed, in rows of this table: a second's entries beside its floors'. */
function imports() {
  const printed = join(into, 'import.md');
  if (!existsSync(printed)) return [];
  const rows = readFileSync(printed, 'utf8').split('\n').filter((line) => /^\| \d/.test(line));
  return rows.map((line) => line.split('|').map((cell) => cell.trim())).flatMap(
    ([, entries, whole, ofSignatures, ofInserting]) => [
      ['the check of signatures, on all cores', ofSignatures],
      ['inserting alone', ofInserting],
    ].map(([floorOf, share]) => [
      `an import of ${entries} entries: a second`, whole, floorOf, (whole / share).toFixed(0), share,
    ]),
  );
}

if (!existsSync(floor)) throw new Error(`${floor} is not there: run app/tools/bench`);
makeEmpty();
try {
  const [program, loaded] = [PROGRAM, START].map((kinds) => [ours, floor].map((page) => weight(page, kinds)));
  const bare = await startsOf(floor);
  const nothing = await startsOf(empty);
  const own = await measureOurs();
  const ms = (value) => `${value.toFixed(1)} ms`;
  const kB = (value) => `${(value / 1000).toFixed(1)} kB`;
  const ratio = (a, b) => (a / b).toFixed(2);
  const [start, bareStart, emptyStart] = [own.started, bare, nothing].map(median);
  const rows = [
    ['wasm and JS sent (brotli)', kB(program[0]), 'a bare Leptos page', kB(program[1]), ratio(...program)],
    ['all that a start loads (brotli)', kB(loaded[0]), 'a bare Leptos page', kB(loaded[1]), ratio(...loaded)],
    ['start to the first field', ms(start), 'a bare Leptos page', ms(bareStart), ratio(start, bareStart)],
    ['start to the first field', ms(start), 'an empty page', ms(emptyStart), ratio(start, emptyStart)],
    ['a key at the weight, to decision and price: median', ms(median(own.weighed)), 'one frame at 60 Hz', '16.0 ms', ratio(median(own.weighed), 16)],
    ['the same: 95 of 100', ms(slowest(own.weighed, 0.95)), 'one frame at 60 Hz', '16.0 ms', ratio(slowest(own.weighed, 0.95), 16)],
    ['a key in the search for a member: median', ms(median(own.searched)), 'one frame at 60 Hz', '16.0 ms', ratio(median(own.searched), 16)],
    ['the same: 95 of 100', ms(slowest(own.searched, 0.95)), 'one frame at 60 Hz', '16.0 ms', ratio(slowest(own.searched, 0.95), 16)],
    ...imports(),
  ];
  const table = [
    '| figure | ours | beside | its figure | ratio |',
    '| --- | ---: | --- | ---: | ---: |',
    ...rows.map((row) => `| ${row.join(' | ')} |`),
    '',
    `${new Date().toISOString().slice(0, 10)}; ${cpus().length} cores, Chromium slowed down ${SLOWER} times, ${STARTS} starts from the service worker with no network, medians; ${RECEIPTS.toLocaleString('en')} receipts and ${MEMBERS.toLocaleString('en')} members on the phone.`,
  ].join('\n');
  console.log(table);
  writeFileSync(join(into, 'phone.md'), `${table}\n`);
} finally {
  for (const end of ends.reverse()) await end();
}
