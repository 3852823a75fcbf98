// Sending to the desk over the network: a closed day goes by itself, what the desk says comes back,
// and whatever stands in between is told in plain words and tried again.

import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { request } from 'node:https';
import { join } from 'node:path';
import { test } from 'node:test';
import { promisify } from 'node:util';
import { desk, enrolled, go, look, openDay, press, saved, takeBrief } from './officer.mjs';
import { combgate, freePort, listen, python } from './stand.mjs';

const waiting = (page) => page.locator('[data-figure=waiting]');
const sending = (page) => page.locator('[data-figure=sending]');
const hasAll = (page) => waiting(page).getByText('The desk has everything').waitFor({ timeout: 40_000 });

/** A phone whose brief says where its desk is reached, and the day open. */
async function working(t, { init, scheme = 'http' } = {}) {
  const stand = await enrolled(t, init);
  const port = await freePort();
  const own = stand.desks[0];
  await desk('--desk', own, 'address', `${scheme}://127.0.0.1:${port}`);
  await takeBrief(stand.page, await stand.give(own, 'own.jws'));
  return { ...stand, own, port, listening: (...more) => listen(t, own, port, ...more) };
}

async function closeDay(page, cash = '120000') {
  await go(page, '/close-day');
  await page.fill('#cash', cash);
  await page.fill('#full-pails', '0');
  await page.fill('#empty-pails', '6');
  if (cash !== '120000') await page.fill('#explanation', 'Bread for the driver');
  await press(page, 'Close the day now');
  await page.getByText('The day is closed.').waitFor();
}

/** Up to which entry the desk has booked, by its own word. */
async function booked(folder, files) {
  const done = await combgate('--desk', folder, 'acknowledge', '--handset', 'G1', '--out', join(files, 'asked.jws'), '--json');
  assert.equal(done.code, 0, done.stderr);
  return JSON.parse(done.stdout).booked_to;
}

test('a closed day goes to the desk by itself, and its answer and a newer brief come back', async (t) => {
  const { files, page, own, port, give, listening } = await working(t, { scheme: 'https' });
  const [certificate, key] = ['certificate.pem', 'key.pem'].map((name) => join(files, name));
  await python('certificate.py', { certificate, key });
  await listening('--certificate', certificate, '--key', key);
  // Node's own TLS takes the certificate for that address, and nothing answers without it.
  const status = await new Promise(async (done, failed) => {
    const asked = request(`https://127.0.0.1:${port}/openapi.json`, { ca: await readFile(certificate) }, (answer) => {
      answer.resume();
      done(answer.statusCode);
    });
    asked.on('error', failed).end();
  });
  assert.equal(status, 200);
  await assert.rejects(fetch(`http://127.0.0.1:${port}/openapi.json`));

  await openDay(page, { instruments: false });
  await go(page, '/hand-over');
  await page.getByRole('button', { name: 'Send to the desk' }).waitFor();
  await look(page, 'sending-before');
  await closeDay(page, '119990.50');
  // Nobody taps anything.
  await hasAll(page);
  await sending(page).getByText('The desk has answered.').waitFor();
  await look(page, 'sending-closed');
  assert.equal(await booked(own, files), 3);
  await page.getByRole('link', { name: 'What the clerk asks' }).click();
  await page.locator('[data-figure=questions]').getByText('The cash counted is not what should be there.').waitFor();
  await page.reload();
  await hasAll(page);

  await give(own, 'newer.jws');
  await press(page, 'Ask the desk for news');
  await page.locator('[data-figure=newer]').getByText('The desk has a newer brief for you.').waitFor();
  await look(page, 'sending-newer');
  // It is offered and not forced.
  await go(page, '/brief');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
  assert.match(await page.locator('main').innerText(), /(^|\s)1(\s|$)/);
  await go(page, '/hand-over');
  await press(page, 'Take in the newer brief');
  await page.getByText('The brief is taken in').waitFor();
  await press(page, 'Ask the desk for news');
  await sending(page).getByText('The desk has answered').waitFor();
  assert.equal(await page.locator('[data-figure=newer]').count(), 0);
});

test('a desk that is away is tried again, also after the page was closed', async (t) => {
  const { files, page, own, listening } = await working(t);
  await openDay(page, { instruments: false });
  await go(page, '/hand-over');
  await press(page, 'Send to the desk');
  await sending(page).getByText('The desk does not answer.').waitFor();
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
  await look(page, 'sending-no-answer');
  const first = await listening();
  await hasAll(page);
  assert.equal(await booked(own, files), 2);
  await first.stop();

  await closeDay(page);
  await sending(page).getByText('The desk does not answer.').waitFor();
  await page.reload();
  await page.getByText('Not yet handed over: 1').waitFor();
  await listening();
  await hasAll(page);
  assert.equal(await booked(own, files), 3);
});

test('with no network it waits for one, and a file goes all the same', async (t) => {
  const { files, page, phone, own, listening } = await working(t);
  await listening();
  await openDay(page, { instruments: false });
  await phone.context.setOffline(true);
  await closeDay(page);
  await sending(page).getByText('There is no network.').waitFor();
  await look(page, 'sending-offline');
  await saved(page, 'Export the bundle');
  await phone.context.setOffline(false);
  await hasAll(page);
  assert.equal(await booked(own, files), 3);
});

test('a phone whose clock is wrong sends all the same', async (t) => {
  const threeHoursBack = () => {
    const Now = Date;
    const behind = 3 * 3600 * 1000;
    globalThis.Date = class extends Now {
      constructor(...given) {
        super(...(given.length ? given : [Now.now() - behind]));
      }

      static now() {
        return Now.now() - behind;
      }
    };
  };
  const { files, page, own, listening } = await working(t, { init: threeHoursBack });
  await listening();
  await openDay(page, { instruments: false });
  const asked = [];
  page.on('response', (answer) => asked.push(answer.status()));
  await closeDay(page);
  await hasAll(page);
  assert.equal(await booked(own, files), 3);
  assert.equal(asked.filter((status) => status === 401).length, 1, 'the desk says its time once');
});

test('what the desk refuses is said with what to do, and is not tried for ever', async (t) => {
  const { page, own, port, listening } = await working(t);
  await listening();
  await openDay(page, { instruments: false });
  await go(page, '/hand-over');
  await desk('--desk', own, 'address', `http://127.0.0.1:${port === 9 ? 10 : 9}`);
  await press(page, 'Send to the desk');
  await sending(page).getByText('The desk has another address now.').waitFor();
  await look(page, 'sending-other-address');
  await desk('--desk', own, 'address', `http://127.0.0.1:${port}`);
  const add = promisify(execFile)(process.env.COMBGATE ?? 'target/debug/combgate', ['--desk', own, 'account', 'add', 'neema', '--role', 'bookkeeper']);
  add.child.stdin.end('four plain wooden hives');
  await add;
  const now = new Date().toISOString().replace(/\.\d+Z/, '+00:00');
  await desk('--desk', own, 'revoke', '--handset', 'G1', '--from', now, '--cause', 'lost', '--words', 'left on the bus', '--by', 'neema');
  await press(page, 'Send to the desk');
  await sending(page).getByText('taken this handset out of use').waitFor();
  await sending(page).getByText('The desk writes: handset G1 is out of use since').waitFor();
  await waiting(page).getByText('Not yet handed over: 1').waitFor();
  await look(page, 'sending-revoked');
  let asked = 0;
  page.on('request', () => { asked += 1; });
  await new Promise((done) => setTimeout(done, 12_000));
  assert.equal(asked, 0, 'nothing is asked again by itself');
});

test('a locked page sends nothing until the PIN is given', async (t) => {
  const { files, page, own, listening } = await working(t);
  await openDay(page, { instruments: false });
  await closeDay(page);
  await sending(page).getByText('The desk does not answer.').waitFor();
  await go(page, '/health');
  await page.fill('#lock-pin', '482913');
  await page.fill('#lock-again', '482913');
  await press(page, 'Lock this page from now on');
  await press(page, 'Lock now');
  await page.getByRole('heading', { name: 'Locked' }).waitFor();
  await listening();
  await page.evaluate(() => window.dispatchEvent(new Event('online')));
  await new Promise((done) => setTimeout(done, 2_000));
  assert.equal(await booked(own, files), 1, 'the card alone');
  await page.fill('#pin', '482913');
  await page.keyboard.press('Enter');
  await go(page, '/hand-over');
  await hasAll(page);
  assert.equal(await booked(own, files), 3);
});
