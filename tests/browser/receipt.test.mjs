// The paper as its farmer sees it: in both languages, large and small, read, heard, passed on,
// printed, and checked by its code with programs that are not ours.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { appendFile, cp, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { promisify } from 'node:util';
import jsQR from 'jsqr';
import { buy, deliver, desk, enrolled, from, go, look, openDay, press, saved, seen, takeBrief } from './officer.mjs';
import { combgate } from './stand.mjs';

const shots = process.env.COMBGATE_SHOTS;
const HOSTILE = '<img src=x onerror=alert(1)>';
const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
const paper = (page) => page.locator('article.paper');
const tell = (page, language) => page.locator('.ways .choice').getByText(language, { exact: true }).click();
const tap = (page, name) => page.locator('.ways').getByRole('button', { name, exact: true }).click();

/** A day at the gate, with a member whose name is markup and who has an advance to pay back. */
async function atTheGate(t, init) {
  const stand = await enrolled(t, init);
  const folder = join(stand.files, 'cooperative');
  await cp(from, folder, { recursive: true });
  await appendFile(join(folder, 'members.csv'), `M900,${HOSTILE},Kilindo,,en,ORG,Savings group,1500000\n`);
  const own = join(stand.files, 'gate');
  await desk('init', own, '--from', folder);
  await desk('--desk', own, 'enrol', stand.card.path, '--code', 'G1');
  await takeBrief(stand.page, await stand.give(own, 'gate.jws'));
  await openDay(stand.page);
  return { ...stand, own };
}

const scanned = (page) => seen(page, 'article.paper svg.qr');

/** What jose says of a stub, by the description of the format alone. */
async function jose(files, question) {
  const file = join(files, 'question.json');
  await writeFile(file, JSON.stringify({ do: 'check', ...question }));
  const { stdout } = await promisify(execFile)('node', ['tests/interop/stub.mjs', file]);
  return JSON.parse(stdout);
}

test('a farmer sees what counts, largest first, and nothing of anybody else', async (t) => {
  const { page } = await atTheGate(t);
  await buy(page, { ...DELIVERY, member: HOSTILE });
  assert.equal(await page.locator('main img').count(), 0);
  await paper(page).getByText(`M900 ${HOSTILE}`).first().waitFor();

  // Net weight, price and total are the three largest things (domain: low literacy).
  const sizes = await paper(page).evaluate((article) => {
    const all = [...article.querySelectorAll('*')].filter((each) => [...each.childNodes]
      .some((node) => node.nodeType === 3 && node.data.trim()) && !each.closest('svg'));
    const size = (each) => Number.parseFloat(getComputedStyle(each).fontSize);
    const large = all.filter((each) => each.dataset.figure && each.dataset.figure !== 'undone');
    return {
      names: large.map((each) => each.dataset.figure),
      smallest: Math.min(...large.map(size)),
      others: Math.max(...all.filter((each) => !large.includes(each)).map(size)),
      icons: article.querySelectorAll('.three svg.icon').length,
    };
  });
  assert.deepEqual(sizes.names, ['net', 'price', 'total']);
  assert.ok(sizes.smallest > sizes.others, JSON.stringify(sizes));
  assert.equal(sizes.icons, 3);

  // Gross less tare is net, and the lines add up to the total, by the figures on the paper.
  const sums = await paper(page).locator('.sums').evaluateAll((all) => all.map(
    (each) => [...each.querySelectorAll('dd')].map((figure) => figure.innerText.replace('\u2212', '-').replace(/[^\d.\-]/g, ''))));
  const [gross, tare, net] = sums[0].map(Number);
  assert.equal((gross * 100 + tare * 100).toFixed(0), (net * 100).toFixed(0));
  assert.equal(net, 25.14);
  const lines = sums[1].map(Number);
  const total = lines.pop();
  assert.ok(Math.abs(lines.reduce((sum, each) => sum + each, 0) - total) < 0.005, JSON.stringify(sums[1]));
  await paper(page).getByText(/Savings group/).first().waitFor();

  // Both measurements are drawn, and say in words what they show.
  const drawn = await paper(page).locator('.gauge svg[role=img]').evaluateAll((all) => all.map((each) => each.getAttribute('aria-label')));
  assert.equal(drawn.length, 2);
  assert.match(drawn[0], /^Moisture: 17\.\d+\u00a0% \(between [\d.]+ and [\d.]+\u00a0%\), limit [\d.]+\u00a0%/);
  assert.match(drawn[1], /^Capped comb: 90\.0\u00a0% \(between [\d.]+ and [\d.]+\u00a0%\), at least [\d.]+\u00a0%/);

  for (const words of ['PAID', 'G1-26-00001', 'Neema Kitwana', 'S1']) {
    assert.ok((await paper(page).innerText()).includes(words), words);
  }
  for (const words of [/weighed again/, /children under 12 months/, /authority's mark/, /law of the country/, /Complaints/]) {
    assert.match(await paper(page).innerText(), words);
  }
  assert.equal(await paper(page).locator('a, button').count(), 0);
  assert.doesNotMatch(await page.locator('main').innerText(), /Asha|Baraka|M001/);

  for (const [name, code] of [['English', 'en'], ['Kiswahili', 'sw']]) {
    await tell(page, name);
    await page.locator(`article.paper[lang=${code}]`).waitFor();
    await look(page, `receipt-${code}`);
  }
});

test('the code on a paper stays, and verifies with programs that are not ours', async (t) => {
  const { page, files, card, own } = await atTheGate(t);
  await buy(page, DELIVERY);
  await page.locator('article.paper[lang=sw]').waitFor();
  const stub = await scanned(page);
  assert.equal(stub?.split('.').length, 3);
  await page.reload();
  await paper(page).waitFor();
  assert.equal(await scanned(page), stub);

  const issued = JSON.parse(Buffer.from((await readFile(card.path, 'utf8')).split('.')[1], 'base64url'));
  await go(page, '/hand-over');
  const { entries } = JSON.parse(await readFile((await saved(page, 'Export the bundle')).path, 'utf8'));
  const jwk = JSON.stringify(issued).match(/\{[^{}]*"kty"[^{}]*\}/)[0];
  const said = await jose(files, { stub, jwk: JSON.parse(jwk), entry: entries.at(-1) });
  assert.equal(said.fits, true);
  assert.equal(said.payload.entry, said.entry_hash);
  assert.equal(said.payload.number, 'G1-26-00001');
  assert.equal(said.payload.net_g, 25140);
  assert.doesNotMatch(JSON.stringify(said.payload), /Asha|M001/);

  const file = join(files, 'stub.txt');
  await writeFile(file, stub);
  const list = join(files, 'handsets.jws');
  await desk('--desk', own, 'handsets', '--keys', list);
  const verified = await combgate('verify', file, '--handsets', list);
  assert.equal(verified.code, 0, verified.stdout + verified.stderr);
  assert.match(verified.stdout, /G1-26-00001/);
});

test('a held delivery has a slip with its reason, what would change it, and who keeps the pails', async (t) => {
  const { page } = await atTheGate(t);
  await deliver(page, { ...DELIVERY, member: HOSTILE, waters: ['20.1', '20', '20.1'] });
  await press(page, 'Issue the hold slip');
  await paper(page).locator('.decision.hold').waitFor();
  assert.match(await paper(page).innerText(), /pails/);
  assert.ok(await scanned(page));
  await look(page, 'slip');
});

test('a paper is read aloud in a fixed order where there is a voice, and says so where there is none', async (t) => {
  // A browser without a loudspeaker has no voices; this one says in writing what it would say.
  const { page } = await atTheGate(t, () => {
    const spoken = [];
    const voices = [];
    window.told = { spoken, voices, cancelled: 0, last: undefined };
    const speech = {
      getVoices: () => voices,
      speak: (utterance) => { spoken.push([utterance.lang, utterance.text]); window.told.last = utterance; },
      cancel: () => { window.told.cancelled += 1; },
    };
    Object.defineProperty(window, 'speechSynthesis', { value: speech });
    window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  });
  await buy(page, { ...DELIVERY, member: HOSTILE });
  await tap(page, 'Read aloud');
  await page.getByText('This phone has no voice for English.', { exact: false }).waitFor();
  await page.evaluate(() => window.told.voices.push({ lang: 'sw_TZ', localService: true }, { lang: 'en-GB', localService: true }));
  await tap(page, 'Read aloud');
  await page.getByRole('button', { name: 'Stop reading' }).waitFor();
  const read = await page.evaluate(() => window.told.spoken.splice(0));
  assert.ok(read.every(([language]) => language === 'en-GB'));
  const text = read.map(([, words]) => words);
  const order = [/^Receipt G1-26-00001/, /^Net weight: 25\.14 kg/, /^Price per kg/, /^Total: /, /^PAID$/, /= 25\.14 kg$/, /^Grade/, /^Moisture/, /^Capped/, /^Complaints/, /^Code /, /12 months/]
    .map((words) => text.findIndex((each) => words.test(each)));
  assert.ok(order.every((place, at) => place >= 0 && (at === 0 || place > order[at - 1])), `${order}\n${text.join('\n')}`);
  const before = await page.evaluate(() => window.told.cancelled);
  await tap(page, 'Stop reading');
  await page.getByRole('button', { name: 'Read aloud' }).waitFor();
  assert.ok(await page.evaluate(() => window.told.cancelled) > before);

  await tell(page, 'Kiswahili');
  await tap(page, 'Soma kwa sauti');
  await page.getByRole('button', { name: 'Acha kusoma' }).waitFor();
  assert.ok((await page.evaluate(() => window.told.spoken)).every(([language]) => language === 'sw_TZ'));
  await page.evaluate(() => window.told.last.onend());
  await page.getByRole('button', { name: 'Soma kwa sauti' }).waitFor();
});

test('a paper is passed on as text and as a picture that holds its code', async (t) => {
  const { page } = await atTheGate(t);
  const { total } = await buy(page, { ...DELIVERY, member: HOSTILE });
  const code = await scanned(page);
  const download = async (name) => {
    const [file] = await Promise.all([page.waitForEvent('download'), tap(page, name)]);
    await page.getByText('It is saved among the downloads').waitFor();
    return file;
  };
  const words = await download('Share as text');
  assert.equal(words.suggestedFilename(), 'G1-26-00001.txt');
  const text = await readFile(await words.path(), 'utf8');
  for (const each of [HOSTILE, total, '25.14 kg', 'PAID', '12 months']) assert.ok(text.includes(each), each);

  const picture = await download('Share as a picture');
  assert.equal(picture.suggestedFilename(), 'G1-26-00001.png');
  const png = await readFile(await picture.path());
  if (shots) await writeFile(join(shots, 'picture.png'), png);
  const seen = await page.evaluate(async (source) => {
    const image = new Image();
    image.src = `data:image/png;base64,${source}`;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = image.width;
    canvas.height = image.height;
    const pen = canvas.getContext('2d');
    pen.drawImage(image, 0, 0);
    // The code stands at the end, as high as it is wide.
    const top = image.height - image.width;
    const pixels = pen.getImageData(0, top, image.width, image.width);
    return { data: [...pixels.data], side: image.width };
  }, png.toString('base64'));
  assert.equal(jsQR(Uint8ClampedArray.from(seen.data), seen.side, seen.side)?.data, code);
});

test('a paper is printed on 58 mm and on A4, with nothing cut off and no way of the page on it', async (t) => {
  const { page } = await atTheGate(t, () => { window.print = () => { window.printed = (window.printed ?? 0) + 1; }; });
  await buy(page, { ...DELIVERY, member: HOSTILE });
  // Millimetres to points of 1/72 inch (ISO 32000-1, 8.3.2.3), A4 by ISO 216.
  const points = (mm) => (mm * 72) / 25.4;
  for (const [button, name, width, height] of [['Print on 58 mm paper', 'roll', 58, 200], ['Print on A4', 'sheet', 210, 297]]) {
    await tap(page, button);
    const pdf = (await page.pdf({ preferCSSPageSize: true, path: shots && join(shots, `${name}.pdf`) })).toString('latin1');
    const boxes = [...pdf.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)].map(([, wide, high]) => [Number(wide), Number(high)]);
    assert.ok(boxes.length > 0 && boxes.length <= 4, `${name} has ${boxes.length} pages`);
    for (const [wide, high] of boxes) {
      assert.ok(Math.abs(wide - points(width)) < 1 && Math.abs(high - points(height)) < 1, `${name}: ${wide} x ${high} pt`);
    }
    await page.emulateMedia({ media: 'print' });
    // CSS px that are printed on (96 an inch): 48 of 58 mm, 180 of 210 mm.
    await page.setViewportSize({ width: Math.floor(((name === 'roll' ? 48 : 180) * 96) / 25.4), height: 900 });
    if (shots) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth), false, `${name} is cut off`);
    assert.equal(await page.locator('.places, .top, .ways, .actions').locator('visible=true').count(), 0);
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize({ width: 360, height: 640 });
  }
  assert.equal(await page.evaluate(() => window.printed), 2);
});
