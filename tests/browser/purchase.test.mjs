// A delivery at the gate from the officer's hand: every step in both languages, large and small;
// members found as they are typed; comb counted on the pad and on a photo; moisture, pails,
// payment; all of it from the keyboard alone; and a phone that dies anywhere on the way.

import assert from 'node:assert/strict';
import { appendFile, cp, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import {
  deliver, desk, enrolled, from, go, keptDraft, look, minor, openDay, press, saved, tabTo, takeBrief,
} from './officer.mjs';
import { combgate } from './stand.mjs';

const DELIVERY = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
/** Invented names as people write them, with and without their marks. */
const NAMES = [
  'M020,Wanjirũ Kĩhatò,Gĩtwamba,,sw,,,',
  'M021,Hassan Mohammed Barre,Pwani,,sw,,,',
  "M022,Ng'endo Zoë Tindwa,Pwani,,en,,,",
];

/** A day that is open, by the brief of a cooperative with names that are hard to spell. */
async function atTheGate(t, more = []) {
  const stand = await enrolled(t);
  const folder = join(stand.files, 'cooperative');
  await cp(from, folder, { recursive: true });
  await appendFile(join(folder, 'members.csv'), `${NAMES.join('\n')}\n`);
  const own = join(stand.files, 'gate');
  await desk('init', own, '--from', folder);
  await desk('--desk', own, 'enrol', stand.card.path, '--code', 'G1');
  await takeBrief(stand.page, await stand.give(own, 'gate.jws', ...more));
  await openDay(stand.page);
  return { ...stand, own };
}

const step = (page, name) => go(page, `/purchase/${name}`);
const choose = (page, name) => page.locator('.choice').getByText(name, { exact: true }).click();
const strip = (page) => page.locator('.strip');
const draftOf = async (page) => JSON.parse(await keptDraft(page));
const paper = (page) => page.locator('article.paper');

async function member(page, typed, name) {
  await step(page, 'member');
  await page.fill('#member-search', typed);
  await page.locator('.found').getByRole('button', { name }).click();
  await page.getByText(`Chosen: ${name}`).waitFor();
}

/** A picture of so many px, dark on its left half. */
async function pictureOf(page, width, height, written = '') {
  const url = await page.evaluate(([w, h]) => {
    const canvas = document.createElement('canvas');
    canvas.width = w;
    canvas.height = h;
    const pen = canvas.getContext('2d');
    pen.fillStyle = '#e8b64c';
    pen.fillRect(0, 0, w, h);
    pen.fillStyle = '#3d2508';
    pen.fillRect(0, 0, w / 2, h);
    return canvas.toDataURL('image/jpeg');
  }, [width, height]);
  const drawn = Buffer.from(url.split(',')[1], 'base64');
  // A segment of the program that wrote it, behind the first marker (ISO/IEC 10918-1, B.2.4.6: APPn).
  const own = Buffer.from(written);
  const segment = Buffer.from([0xff, 0xe4, (own.length + 2) >> 8, (own.length + 2) & 0xff, ...own]);
  return { name: 'comb.jpg', mimeType: 'image/jpeg', buffer: Buffer.concat([drawn.subarray(0, 2), segment, drawn.subarray(2)]) };
}

/** Width and height of a picture, as the browser shows it. */
async function sizeOf(page, bytes) {
  return page.evaluate(async (data) => {
    const shown = new Image();
    shown.src = `data:image/jpeg;base64,${data}`;
    await shown.decode();
    return [shown.naturalWidth, shown.naturalHeight];
  }, bytes.toString('base64'));
}

/** The bundle, booked by the desk without a finding. */
async function booked(page, own, code = 0) {
  await go(page, '/hand-over');
  const bundle = await saved(page, 'Export the bundle');
  const done = await combgate('--desk', own, 'import', bundle.path);
  assert.equal(done.code, code, done.stdout + done.stderr);
  const { entries } = JSON.parse(await readFile(bundle.path, 'utf8'));
  const bodies = entries.map((entry) => JSON.parse(Buffer.from(entry.split('.')[1], 'base64url')));
  return { ...done, bodies };
}

test('every step in both languages, large and small, with nothing for axe to find', async (t) => {
  const { page } = await atTheGate(t);
  await step(page, 'member');
  await page.locator('#member-search').waitFor();
  await look(page, 'purchase-1-member');
  await page.locator('summary').click();
  await press(page, 'Register');
  await page.getByRole('alert').getByText('Ask the member first').waitFor();
  await look(page, 'purchase-1-register');
  await page.locator('summary').click();
  await member(page, 'asha', 'M001 Asha Mrembwe');
  await look(page, 'purchase-1-chosen');

  await step(page, 'product');
  for (const choice of ['Honeybee', 'Cut comb', 'Top-bar hive']) await choose(page, choice);
  await look(page, 'purchase-2-product');

  await step(page, 'pail');
  await page.fill('#pail-number-0', 'P1');
  await page.fill('#pail-tare-0', '1.2');
  await press(page, 'Another pail');
  await page.fill('#pail-number-1', 'P1');
  await page.fill('#pail-tare-1', '1.2.3');
  await page.getByRole('alert').getByText('This number stands twice').waitFor();
  await look(page, 'purchase-3-pail');
  await page.fill('#pail-number-1', 'P2');
  await page.fill('#pail-tare-1', '1.1');
  await page.fill('#pail-seal-1', 'S0042');

  await step(page, 'inspection');
  await press(page, 'All clear: Container');
  await page.getByRole('group', { name: 'Is it dirty inside?' }).getByText('Yes', { exact: true }).click();
  await page.locator('.question.fault').waitFor();
  await look(page, 'purchase-4-inspection');
  await page.getByRole('group', { name: 'Is it dirty inside?' }).getByText('No', { exact: true }).click();
  for (const room of ['Harvest and dirt', 'Smell, sight and taste']) await press(page, `All clear: ${room}`);

  await step(page, 'comb');
  for (let point = 0; point < 54; point += 1) await press(page, 'Capped');
  for (let point = 0; point < 6; point += 1) await press(page, 'Open');
  await look(page, 'purchase-5-comb');
  await page.setInputFiles('#comb-photo', await pictureOf(page, 640, 480));
  await page.locator('svg.photo.enlarged').waitFor();
  await press(page, 'No honey');
  await press(page, 'Capped');
  await look(page, 'purchase-5-photo');

  await step(page, 'moisture');
  for (const [place, water] of DELIVERY.waters.entries()) {
    await page.fill(`#reading-${place}`, water);
    await page.fill(`#temperature-${place}`, '24');
  }
  await look(page, 'purchase-6-moisture');

  await step(page, 'weight');
  await page.fill('#gross-0', '14.2');
  await page.fill('#gross-1', '13.5');
  await look(page, 'purchase-7-weight');

  await step(page, 'decision');
  await page.locator('.decision.buy').waitFor();
  await look(page, 'purchase-8-buy');
  await choose(page, 'A part');
  await page.fill('#paid-now', '4000');
  await choose(page, 'Mobile money');
  await press(page, 'Issue the receipt');
  await page.getByRole('alert').filter({ hasText: /\S/ }).first().waitFor();
  await look(page, 'purchase-8-part');

  await step(page, 'moisture');
  for (const place of [0, 1, 2]) await page.fill(`#reading-${place}`, '20.1');
  await step(page, 'decision');
  await page.locator('.decision.hold').waitFor();
  await look(page, 'purchase-8-hold');
  await step(page, 'inspection');
  await page.getByRole('group', { name: 'Does it smell sour, gas or foam?' }).getByText('Yes', { exact: true }).click();
  await step(page, 'decision');
  await page.locator('.decision.refuse').waitFor();
  await look(page, 'purchase-8-refuse');
});

test('a member is found by number, name or village however it is spelt', async (t) => {
  const { page } = await atTheGate(t);
  await step(page, 'member');
  const found = page.locator('.found button');
  const rows = [
    ['M020', 'M020 Wanjirũ Kĩhatò, Gĩtwamba'],
    ['20', 'M020 Wanjirũ Kĩhatò, Gĩtwamba'],
    ['wanjiru', 'M020 Wanjirũ Kĩhatò, Gĩtwamba'],
    ['KIHATO WANJ', 'M020 Wanjirũ Kĩhatò, Gĩtwamba'],
    ['gitwamba', 'M020 Wanjirũ Kĩhatò, Gĩtwamba'],
    ['hasan muhamed', undefined],
    ['hasan mohamed', 'M021 Hassan Mohammed Barre, Pwani'],
    ['ngendo zoe', "M022 Ng'endo Zoë Tindwa, Pwani"],
    ['ng’endo', "M022 Ng'endo Zoë Tindwa, Pwani"],
    ['esta ndulele', 'M005 Esta Wamuru, Ndulele'],
  ];
  for (const [typed, first] of rows) {
    await page.fill('#member-search', typed);
    if (first) {
      await page.waitForFunction((words) => document.querySelector('.found button')?.innerText === words, first);
      assert.equal(await found.count(), 1, typed);
    } else {
      await page.getByText('Nobody found.').waitFor();
    }
  }
  // A village lists its people.
  await page.fill('#member-search', 'pwani');
  await page.waitForFunction(() => document.querySelectorAll('.found button').length === 2);
});

test('a new member is registered with the least data and a consent, and comes once', async (t) => {
  const { page, own } = await atTheGate(t);
  await step(page, 'member');
  await page.locator('summary').click();
  await page.fill('#member-name', 'Zawadi Nkiruka');
  await press(page, 'Register');
  await page.getByRole('alert').getByText('Ask the member first').waitFor();
  await page.check('#member-consent');
  await page.evaluate(() => {
    const button = [...document.querySelectorAll('button.primary')].find((each) => each.innerText === 'Register');
    button.click();
    button.click();
  });
  await page.getByText('Chosen: G1-N1 Zawadi Nkiruka').waitFor();
  // Found like all the others from now on, also after the page died.
  await press(page, 'Choose another');
  await page.reload();
  await member(page, 'zawadi', 'G1-N1 Zawadi Nkiruka');
  const { bodies } = await booked(page, own, 0);
  const registered = bodies.filter(({ kind }) => kind === 'member_registered');
  assert.deepEqual(registered.map(({ body }) => body), [{ member: 'G1-N1', name: 'Zawadi Nkiruka', consent: true }]);
});

test('two pails, a pad, a photo, three readings and mobile money with its reference', async (t) => {
  const { page, own } = await atTheGate(t);
  await member(page, 'mrembwe', 'M001 Asha Mrembwe');
  await step(page, 'product');
  for (const choice of ['Honeybee', 'Cut comb', 'Top-bar hive']) await choose(page, choice);
  await step(page, 'pail');
  await page.fill('#pail-number-0', 'P1');
  await page.fill('#pail-tare-0', '1.20');
  for (const place of [1, 2]) {
    await press(page, 'Another pail');
    await page.fill(`#pail-number-${place}`, `P${place + 1}`);
    await page.fill(`#pail-tare-${place}`, '1.10');
  }
  // A pail that holds something goes only at the second tap, and two quick taps are one.
  const remove = page.getByRole('button', { name: 'Remove pail 2', exact: true });
  await remove.dblclick();
  assert.equal(await page.locator('input[id^=pail-number]').count(), 3);
  await page.waitForTimeout(700);
  await press(page, 'Tap again to remove it');
  await page.waitForFunction(() => document.querySelectorAll('input[id^=pail-number]').length === 2);
  assert.equal(await page.inputValue('#pail-number-1'), 'P3');

  await step(page, 'inspection');
  for (const room of ['Container', 'Harvest and dirt', 'Smell, sight and taste']) await press(page, `All clear: ${room}`);
  await step(page, 'comb');
  for (let point = 0; point < 31; point += 1) await press(page, 'Capped');
  await press(page, 'Open');
  await press(page, 'No honey');
  await press(page, 'No honey');
  await press(page, 'Undo the last point');
  await page.getByText('Comb 1: capped 31, open 1, no honey 1.').waitFor();
  await press(page, 'Next comb');

  // A photo with sixty points over it, laid anew each time; the pad judges one after the other.
  const rings = async () => {
    const taken = await pictureOf(page, 3200, 2400, 'Place of the hives');
    assert.ok(taken.buffer.includes('Place of the hives'));
    await page.setInputFiles('#comb-photo', taken);
    await page.locator('svg.photo:not(.enlarged)').waitFor();
    return page.locator('svg.photo:not(.enlarged) circle').evaluateAll((all) => all.map((each) => [
      Number(each.getAttribute('cx')), Number(each.getAttribute('cy')),
    ]));
  };
  const first = await rings();
  await press(page, 'Remove the photo');
  const second = await rings();
  assert.notDeepEqual(first, second, 'the grid starts at random');
  for (const points of [first, second]) {
    assert.ok(points.length >= 54 && points.length <= 66, `about sixty points, not ${points.length}`);
    assert.ok(points.every(([x, y]) => x >= 0 && x <= 3200 && y >= 0 && y <= 2400), 'all of them on the picture');
    // The picture's halves get their halves of a square grid, one column more or less.
    const left = points.filter(([x]) => x < 1600).length;
    assert.ok(Math.abs(left - points.length / 2) <= 6, `${left} of ${points.length} on the left`);
  }
  // It leaves the screen only when the member agrees, and without what the camera wrote into it.
  const out = page.getByRole('button', { name: 'Pass the photo on or save it', exact: true });
  assert.equal(await out.count(), 0);
  await page.check('#photo-agreed');
  await look(page, 'purchase-5-photo-agreed');
  const saving = page.waitForEvent('download');
  await out.click();
  const file = await saving;
  assert.match(file.suggestedFilename(), /^M001-[0-9a-f-]{36}-comb-2\.jpg$/);
  const bytes = await readFile(await file.path());
  assert.equal(bytes.readUInt16BE(0), 0xffd8, 'a JPEG (ISO/IEC 10918-1, B.1.1.3: SOI)');
  assert.ok(!bytes.includes('Place of the hives'), 'where it was taken is not told');
  assert.deepEqual(await sizeOf(page, bytes), [1600, 1200], 'small enough for a slow network');
  await page.getByText('It is saved among the downloads of this phone.').waitFor();
  await page.uncheck('#photo-agreed');
  assert.equal(await out.count(), 0);
  // A tap on the photo goes to the point nearest to it.
  const whole = page.locator('svg.photo:not(.enlarged)');
  const box = await whole.boundingBox();
  await whole.click({ position: { x: box.width - 3, y: box.height - 3 } });
  const current = await page.locator('svg.photo:not(.enlarged) circle.current').evaluate((each) => Number(each.getAttribute('cx')));
  assert.equal(current, Math.max(...second.map(([x]) => x)));
  for (let point = 0; point < second.length; point += 1) await press(page, point % 9 === 8 ? 'Open' : 'Capped');
  await page.getByText('All points of this photo are judged.').waitFor();
  await press(page, 'Capped');
  const open = Math.floor(second.length / 9);
  await page.getByText(`Comb 2: capped ${second.length - open}, open ${open}, no honey 0.`).waitFor();
  // The photo is gone with the page, and what was counted on it is not.
  await page.reload();
  await page.getByText(`Comb 2: capped ${second.length - open}, open ${open}, no honey 0.`).waitFor();
  assert.equal(await page.locator('svg.photo').count(), 0);
  assert.doesNotMatch(await page.evaluate(() => JSON.stringify({ ...localStorage })), /data:image|blob:|comb\.jpg/);

  await step(page, 'moisture');
  for (const [place, water] of DELIVERY.waters.entries()) {
    await page.fill(`#reading-${place}`, water);
    await page.fill(`#temperature-${place}`, '24');
  }
  await step(page, 'weight');
  await page.fill('#gross-0', '14.20');
  await page.fill('#gross-1', '13.50');
  await strip(page).locator('.decision.buy').waitFor();
  const payable = await strip(page).locator('[data-figure=payable]').innerText();
  await step(page, 'decision');
  await choose(page, 'Mobile money');
  // Without its reference nothing counts as paid.
  await press(page, 'Issue the receipt');
  await page.getByRole('alert').getByText('Type the reference from the payment message.').waitFor();
  await page.fill('#reference', 'QK81-0904');
  await page.locator('[data-figure=cash-after]').getByText('KES 120,000.00').waitFor();
  await press(page, 'Issue the receipt');
  await paper(page).waitFor();
  const figure = (name) => paper(page).locator(`[data-figure="${name}"]`).innerText();
  // 14.20 - 1.20 + 13.50 - 1.10 = 25.40
  assert.equal(await figure('net'), '25.40 kg');
  assert.equal(await figure('total'), payable);

  const { bodies } = await booked(page, own);
  const { body } = bodies.find(({ kind }) => kind === 'receipt');
  assert.deepEqual(body.settlement, {
    paid_minor: minor(payable), means: 'mobile_money', reference: 'QK81-0904', owed_minor: 0,
  });
  assert.deepEqual(body.delivery.combs, [
    { capped: 31, open: 1, other: 1 }, { capped: second.length - open, open, other: 0 },
  ]);
  assert.deepEqual(body.delivery.pails.map(({ number }) => number), ['P1', 'P3']);
  assert.equal(body.delivery.readings.length, 3);
});

test('a hold says what would settle it, and a purchase is owed with a day', async (t) => {
  const { page, own } = await atTheGate(t);
  await deliver(page, { ...DELIVERY, member: 'Esta Wamuru', waters: ['20.1', '20', '20.1'] });
  await page.locator('.decision.hold').first().waitFor();
  await page.getByRole('heading', { name: 'What would settle it' }).waitFor();
  await page.getByText('Read on another refractometer, or on one checked today.').waitFor();
  await choose(page, 'The cooperative, sealed');
  await press(page, 'Issue the hold slip');
  await paper(page).locator('h2').getByText('Kitakachoamua').waitFor();

  await deliver(page, { ...DELIVERY, pail: 'P2' });
  const payable = minor(await strip(page).locator('[data-figure=payable]').innerText());
  await choose(page, 'A part');
  await page.fill('#paid-now', '99999');
  await page.getByRole('alert').getByText('More than the total.').waitFor();
  await page.fill('#paid-now', '4000');
  const rest = (payable - 400_000) / 100;
  await page.getByText(`Owed: KES ${rest.toLocaleString('en', { minimumFractionDigits: 2 })}`).waitFor();
  await page.locator('[data-figure=cash-after]').getByText('KES 116,000.00').waitFor();
  await press(page, 'Issue the receipt');
  await page.getByText('Choose the day on which the rest is paid.').first().waitFor();
  // A day that is over is none.
  await page.fill('#due', '2020-01-01');
  await press(page, 'Issue the receipt');
  await page.getByText('Choose the day on which the rest is paid.').first().waitFor();
  await page.fill('#due', '2099-12-31');
  await press(page, 'Issue the receipt');
  await paper(page).waitFor();
  await paper(page).getByText('2099-12-31').waitFor();
  const { bodies } = await booked(page, own);
  const { body } = bodies.find(({ kind }) => kind === 'receipt');
  assert.deepEqual(body.settlement, {
    paid_minor: 400_000, means: 'cash', owed_minor: payable - 400_000, due: '2099-12-31',
  });
});

test('a float that does not reach is said before the receipt is issued', async (t) => {
  const { page } = await atTheGate(t, ['--float', '5000']);
  await deliver(page, DELIVERY);
  await page.getByRole('alert').getByText('Only KES 5,000.00 cash is left.').waitFor();
  await strip(page).locator('[data-figure=float]').getByText('KES 5,000.00').waitFor();
  await choose(page, 'A part');
  await page.fill('#paid-now', '5000');
  await page.locator('[data-figure=cash-after]').getByText('KES 0.00').waitFor();
  assert.equal(await page.getByRole('alert').getByText('cash is left').count(), 0);
});

test('a whole purchase from the keyboard alone', async (t) => {
  const { page } = await atTheGate(t);
  await go(page, '/');
  await page.reload();
  await page.locator('nav.places').waitFor();
  const keys = page.keyboard;
  const type = async (name, text) => {
    await tabTo(page, name);
    await keys.type(text);
  };
  const enter = async (name) => {
    await tabTo(page, name);
    await keys.press('Enter');
  };
  const heading = async (name) => page.waitForFunction(
    (words) => document.activeElement.tagName === 'H1' && document.activeElement.innerText.startsWith(words), name,
  );
  const tick = async (name) => {
    // A group of choices is one stop: arrows go through it.
    await tabTo(page, name.first);
    await keys.press('Space');
    for (let down = 0; down < name.down; down += 1) await keys.press('ArrowDown');
  };

  await enter('New delivery');
  await heading('Member');
  await type('Number, name or village', 'mrembwe');
  await page.locator('.found button').waitFor();
  await enter('M001 Asha Mrembwe, Kilindo');
  await page.getByText('Chosen: M001').waitFor();
  await enter('Next');
  await heading('Bees and product');
  await tick({ first: 'Honeybee', down: 0 });
  await tick({ first: 'Comb in frame', down: 1 });
  await tick({ first: 'Frame hive', down: 1 });
  const kept = await draftOf(page);
  assert.deepEqual([kept.bee, kept.form, kept.hive], ['honeybee', 'cut_comb', 'top_bar']);
  await enter('Next');
  await heading('Pail');
  await type('Number of pail 1', 'P1');
  await type('Empty pail', '1.2');
  await enter('Next');
  await heading('Inspection');
  for (const room of ['Container', 'Harvest and dirt', 'Smell, sight and taste']) await enter(`All clear: ${room}`);
  await enter('Next');
  await heading('Comb');
  await tabTo(page, 'Capped 0');
  for (let point = 0; point < 54; point += 1) await keys.press('Enter');
  await tabTo(page, 'Open 0');
  for (let point = 0; point < 6; point += 1) await keys.press('Space');
  await enter('Next');
  await heading('Moisture');
  for (const [place, water] of DELIVERY.waters.entries()) {
    await type(`Reading ${place + 1}`, water);
    await type(`Temperature (Reading ${place + 1})`, '24');
  }
  await enter('Next');
  await heading('Weight');
  await type('Full pail P1', '26.34');
  await enter('Next');
  await heading('Decision and price');
  await tick({ first: 'All', down: 1 });
  await type('Paid now (KES)', '5000');
  await tabTo(page, 'Cash');
  await tabTo(page, 'The rest is due on');
  await keys.type('12312099');
  await enter('Issue the receipt');
  await paper(page).waitFor();
  assert.equal(await paper(page).locator('[data-figure=net]').innerText(), '25.14 kg');
});

test('a page that dies on any step brings the delivery back exactly', async (t) => {
  const { page: begun, phone, server } = await atTheGate(t);
  let page = begun;
  await page.evaluate(() => navigator.serviceWorker.ready);
  /** Types, kills the page at once, and comes back where it was. */
  const dies = async (where, work) => {
    await step(page, where);
    await page.locator('.strip').waitFor();
    await work();
    const before = await draftOf(page);
    const shown = await page.locator('input').evaluateAll((all) => all.map((each) => [each.id, each.checked, each.value]));
    const cdp = await phone.context.newCDPSession(page);
    const crashed = page.waitForEvent('crash');
    cdp.send('Page.crash').catch(() => {});
    await crashed;
    await page.close();
    page = await phone.context.newPage();
    page.setDefaultTimeout(10_000);
    await page.goto(`${server.address}#/`);
    await page.getByRole('link', { name: 'Go on with it' }).click();
    await page.locator('.strip').waitFor();
    assert.deepEqual(await draftOf(page), before, where);
    assert.equal(await page.evaluate(() => location.hash), `#/purchase/${where}`);
    const again = await page.locator('input').evaluateAll((all) => all.map((each) => [each.id, each.checked, each.value]));
    assert.deepEqual(again, shown, where);
  };
  await dies('member', async () => {
    await page.locator('summary').click();
    await page.fill('#member-name', 'Zawadi <b>Nkiruka');
    await page.check('#member-sharing');
    await page.fill('#member-search', 'mrem');
  });
  await dies('member', () => page.locator('.found button').first().click());
  await dies('product', async () => { for (const choice of ['Honeybee', 'Cut comb']) await choose(page, choice); });
  await dies('product', () => choose(page, 'Top-bar hive'));
  await dies('pail', async () => {
    await page.fill('#pail-number-0', 'P1');
    await page.fill('#pail-tare-0', '1.');
    await press(page, 'Another pail');
    await page.fill('#pail-seal-1', ' s 7');
  });
  await dies('inspection', () => page.getByRole('group', { name: 'Is it wet inside?' }).getByText('Yes', { exact: true }).click());
  await dies('comb', async () => {
    for (const zone of ['Capped', 'Open', 'No honey', 'Next comb', 'Capped', 'Undo the last point']) await press(page, zone);
  });
  await dies('moisture', () => page.fill('#reading-2', '18.0'));
  await dies('weight', () => page.fill('#gross-0', '26,3'));
  await dies('decision', async () => {});
});

test('what is owed is paid later, in cash and by mobile money, and the desk books it', async (t) => {
  const { page, own } = await atTheGate(t);
  await deliver(page, DELIVERY);
  const payable = minor(await strip(page).locator('[data-figure=payable]').innerText());
  await choose(page, 'Nothing yet');
  await page.fill('#due', '2099-12-31');
  await press(page, 'Issue the receipt');
  await paper(page).waitFor();
  const tell = (name) => page.locator('.ways .choice').getByText(name, { exact: true }).click();
  await tell('English');
  await paper(page).getByText('OWED', { exact: true }).waitFor();
  const receipt = await page.evaluate(() => location.hash);

  // From the day's list to the paper, and from there to the payment.
  await go(page, '/today');
  await page.locator('.row').getByText('OWED').waitFor();
  await page.getByText('G1-26-00001').click();
  await page.getByRole('link', { name: 'Pay what is owed' }).click();
  assert.equal(minor(await page.inputValue('#pay-amount')), payable, 'all of it is offered');
  await look(page, 'pay');
  await page.fill('#pay-amount', '0');
  await press(page, 'Pay now');
  await page.locator('#pay-amount[aria-invalid=true]').waitFor();
  await page.fill('#pay-amount', '999999');
  await page.getByRole('alert').getByText('More than is owed.').waitFor();
  await page.getByRole('alert').getByText('cash is left').waitFor();
  await press(page, 'Pay now');
  await page.getByRole('alert').getByText('More than is owed.').first().waitFor();
  await page.fill('#pay-amount', '4000');
  await page.locator('[data-figure=cash-after]').getByText('KES 116,000.00').waitFor();
  // Two taps are one payment.
  await page.evaluate(() => {
    const button = [...document.querySelectorAll('button.primary')].find((each) => each.innerText === 'Pay now');
    button.click();
    button.click();
  });
  await paper(page).waitFor();
  assert.equal(await page.evaluate(() => location.hash), receipt);
  await tell('English');
  await paper(page).getByText('OWED', { exact: true }).waitFor();
  await paper(page).getByText(/Paid in cash on \d{4}-\d\d-\d\d: KES 4,000\.00/).waitFor();

  await page.getByRole('link', { name: 'Pay what is owed' }).click();
  assert.equal(minor(await page.inputValue('#pay-amount')), payable - 400_000);
  await choose(page, 'Mobile money');
  await press(page, 'Pay now');
  await page.locator('#pay-reference[aria-invalid=true]').waitFor();
  await look(page, 'pay-missing');
  await page.fill('#pay-reference', 'QK81-0904');
  await press(page, 'Pay now');
  await paper(page).waitFor();
  await tell('English');
  await paper(page).getByText('PAID', { exact: true }).waitFor();
  await paper(page).getByText(/Paid by mobile money on \d{4}-\d\d-\d\d: KES/).waitFor();
  await paper(page).getByText('Reference QK81-0904').waitFor();
  await look(page, 'receipt-paid-later');
  assert.equal(await page.getByRole('link', { name: 'Pay what is owed' }).count(), 0);

  await go(page, '/today');
  assert.equal(await page.locator('.row').getByText('OWED').count(), 0);
  assert.equal(minor(await page.locator('[data-figure=cash]').innerText()), 11_600_000);
  // Nothing is left to pay, by whatever way one comes there.
  await go(page, receipt.replace('#/receipt', '/pay'));
  await page.getByText('Nothing is owed on this paper.').waitFor();
  const { bodies } = await booked(page, own);
  const payments = bodies.filter(({ kind }) => kind === 'payment').map(({ body }) => body);
  assert.deepEqual(payments.map(({ paid_minor, means, reference }) => [paid_minor, means, reference]), [
    [400_000, 'cash', undefined], [payable - 400_000, 'mobile_money', 'QK81-0904'],
  ]);
});
