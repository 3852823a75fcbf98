// The five-minute tour of README.md, from `make run` on, with nothing in hand but what stands there:
// the names in bold are clicked as they are written, and every step must lead to the next.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { test } from 'node:test';
import { buy, go, press, saved, takeBrief, openDay, minor } from './officer.mjs';
import { folder, freePort, inTheWay, startPhone } from './stand.mjs';
import { password, shoot, wider } from './clerk.mjs';

/** The numbered steps, each as one line. */
async function tour() {
  const readme = await readFile('README.md', 'utf8');
  const [, rest] = readme.split('## Five minutes with the demo\n');
  const steps = rest.split('\n## ')[0].split(/^\d+\. /m).slice(1).map((step) => step.replace(/\s+/g, ' '));
  return { steps, bold: steps.map((step) => [...step.matchAll(/\*\*(.+?)\*\*/g)].map(([, name]) => name)) };
}

/** What `make run` serves, at ports of this test's own. */
async function demo(t) {
  const files = await folder(t);
  const [clerk, phone, sync] = await Promise.all([freePort(), freePort(), freePort()]);
  const child = spawn('app/tools/demo', {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: {
      ...process.env,
      COMBGATE: resolve(process.env.COMBGATE ?? 'target/debug/combgate'),
      COMBGATE_PAGE: resolve(process.env.COMBGATE_PAGE ?? 'target/phone'),
      DEMO: join(files, 'demo'),
      ADDRESS: `127.0.0.1:${phone}`,
      CLERK: `127.0.0.1:${clerk}`,
      SYNC: `127.0.0.1:${sync}`,
    },
  });
  t.after(() => child.kill());
  let said = '';
  for await (const part of child.stdout) {
    said += part;
    if (said.includes('End it with')) break;
  }
  const [first] = said.match(/http:\/\/\S+\/set-up\/\S+/) ?? [];
  assert.ok(first, `the first account has no address: ${said}`);
  assert.ok(said.includes(`http://127.0.0.1:${clerk}/`) && said.includes(`http://127.0.0.1:${phone}/`), said);
  return { files, first, clerk: `http://127.0.0.1:${clerk}/`, phone: `http://127.0.0.1:${phone}/` };
}

async function visit(t, address, size) {
  const browser = await startPhone(size);
  t.after(() => browser.stop());
  const page = await browser.context.newPage();
  page.setDefaultTimeout(20_000);
  await page.goto(address);
  return page;
}

/** A page of the desk, by the name that the tour gives it. */
async function place(page, name) {
  await page.locator('nav.places').getByRole('link', { name, exact: true }).click();
  await page.locator('nav.places [aria-current=page]').getByText(name, { exact: true }).waitFor();
}

async function taken(page, file) {
  await page.locator('#bundles').setInputFiles(file);
  await page.locator('form.sheet button').click();
  await page.locator('section.result').first().waitFor();
  return page.locator('section.result').first().innerText();
}

async function download(page, link) {
  const [file] = await Promise.all([page.waitForEvent('download'), link.click()]);
  return file.path();
}

/** The one page that is there before anybody can sign in: it fits, and axe finds nothing. */
async function looked(page, address) {
  const usual = page.viewportSize();
  for (const language of ['sw', 'en']) {
    await page.goto(new URL(`/language/${language}?to=/sign-in`, address).href);
    await page.goto(address);
    assert.equal(await page.locator('html').getAttribute('lang'), language);
    for (const [width, height] of [[360, 640], [1280, 800]]) {
      await page.setViewportSize({ width, height });
      for (const size of ['100%', '200%']) {
        await page.evaluate((text) => { document.documentElement.style.fontSize = text; }, size);
        assert.deepEqual(await wider(page), [], `${language}, ${width}, ${size}`);
        assert.deepEqual(await inTheWay(page), [], `${language}, ${width}, ${size}`);
        await shoot(page, `set-up-${language}-${width}-${parseInt(size, 10)}`);
      }
    }
  }
  await page.setViewportSize(usual);
}

for (const network of [true, false]) {
  test(`a newcomer gets through the tour, ${network ? 'with' : 'without'} a network`, async (t) => {
    const { steps, bold } = await tour();
    assert.equal(steps.length, 6, 'the tour has other steps than this test walks');
    const { files, first, clerk, phone: phoneAddress } = await demo(t);

    // 1. The first account, the overview, a finding.
    const desk = await visit(t, clerk, { width: 1280, height: 800 });
    await desk.goto(first);
    if (network) await looked(desk, first);
    await desk.locator('#name').fill('neema');
    await desk.locator('#password').fill(password);
    await desk.locator('form.sheet button').click();
    await desk.locator('nav.places').waitFor();
    await place(desk, bold[0][0]);
    await desk.locator('main a[href^="/findings/"]').first().click();
    await desk.getByText('Side by side').waitFor();

    // 2. The phone's key and card; enrolled, and given a brief.
    const phone = await visit(t, phoneAddress, {});
    await phone.fill('#handset-name', 'Neema 1');
    await press(phone, 'Make the key of this handset');
    const card = await saved(phone, 'Download the enrolment card');
    await place(desk, bold[1][0]);
    await desk.locator('#card').setInputFiles(card.path);
    await desk.locator('#code').fill('G1');
    await desk.locator('form:has(#card) button').click();
    await desk.waitForURL('**/handsets/G1');
    await place(desk, bold[1][1]);
    await desk.locator('#handset').selectOption('G1');
    await desk.locator('#float').fill('120000');
    await desk.locator('form:has(#float) button').click();
    const brief = await download(desk, desk.getByRole('row', { name: 'G1' }).getByRole('link'));

    // 3. The brief, the day, a delivery; no network from here on, where there is none.
    await takeBrief(phone, brief);
    if (!network) {
      await phone.evaluate(() => navigator.serviceWorker.ready);
      await phone.context().setOffline(true);
    }
    await openDay(phone);
    const receipt = await buy(phone, {
      member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2',
    });

    // 4. The day is closed; it goes by itself, or as a file.
    await go(phone, '/close-day');
    await phone.fill('#cash', ((12000000 - minor(receipt.total)) / 100).toFixed(2));
    await phone.fill('#full-pails', '1');
    await phone.fill('#empty-pails', '5');
    await press(phone, 'Close the day now');
    const waiting = phone.locator('[data-figure=waiting]');
    if (network) await waiting.getByText('The desk has everything').waitFor({ timeout: 40_000 });
    const bundle = await saved(phone, network ? 'Export everything' : 'Export the bundle');

    // 5. Imported; the day book says what the receipt said; again, nothing changes; altered, it is named.
    await place(desk, bold[4][0]);
    const once = await taken(desk, bundle.path);
    await place(desk, bold[4][1]);
    const day = await phone.evaluate(() => new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 10));
    await desk.goto(`${clerk}days/${day}`);
    const book = await desk.locator('main').innerText();
    for (const figure of [receipt.net.replace(' kg', ''), receipt.total.replace(/^\D*/, '')]) {
      assert.ok(book.includes(figure), `the day book does not say ${figure}: ${book}`);
    }
    await place(desk, bold[4][0]);
    const twice = await taken(desk, bundle.path);
    const news = [once, twice].map((said) => said.includes('Nothing new'));
    assert.deepEqual(news, [network, true], `${once}\n${twice}`);
    await desk.goto(`${clerk}days/${day}`);
    assert.equal(await desk.locator('main').innerText(), book);
    const altered = join(files, 'altered.json');
    const whole = JSON.parse(await readFile(bundle.path, 'utf8'));
    const at = whole.entries.length - 2;
    const [head, body, signature] = whole.entries[at].split('.');
    const middle = Math.floor(body.length / 2);
    whole.entries[at] = [head, `${body.slice(0, middle)}${body[middle] === 'A' ? 'B' : 'A'}${body.slice(middle + 1)}`, signature].join('.');
    await writeFile(altered, JSON.stringify(whole));
    await place(desk, bold[4][0]);
    assert.match(await taken(desk, altered), new RegExp(`\\b${at + 1}\\b`));

    // 6. The acknowledgement, given to the phone.
    if (network) return;
    await waiting.getByText('Not yet handed over: 3').waitFor();
    await desk.goto(`${clerk}handsets/G1`);
    const answer = await download(desk, desk.getByRole('link', { name: 'Acknowledgement for G1' }));
    await go(phone, '/hand-over');
    await phone.setInputFiles('#acknowledgement-file', answer);
    await waiting.getByText('The desk has everything').waitFor();
  });
}
