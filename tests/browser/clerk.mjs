// A clerk before the desk's pages: a desk of its own in a folder, served until the test ends.

import { execFileSync, spawn } from 'node:child_process';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { folder, freePort, startPhone } from './stand.mjs';

const program = process.env.COMBGATE ?? 'target/debug/combgate';
export const fixtures = process.env.COMBGATE_FIXTURES ?? 'demo-fixtures';
export const password = 'four plain wooden hives';

/** Sets up the invented cooperative's desk with some handsets and accounts; gives a command. */
export async function setUp(test) {
  const desk = join(await folder(test), 'desk');
  const command = (words, input = '') =>
    execFileSync(program, ['--desk', desk, ...words], { input, encoding: 'utf8' });
  command(['init', desk, '--from', join(fixtures, 'cooperative')]);
  for (const [name, role] of [['neema', 'bookkeeper'], ['baraka', 'receiver'], ['zawadi', 'approver']]) {
    command(['account', 'add', name, '--role', role], password);
  }
  return { desk, command };
}

/** Serves a desk's pages; gives their address. */
export async function serveDesk(test, desk) {
  const port = await freePort();
  const address = `http://127.0.0.1:${port}`;
  const child = spawn(program, ['--desk', desk, 'serve', '--clerk', `127.0.0.1:${port}`], {
    stdio: 'ignore',
  });
  test.after(() => child.kill());
  for (let tries = 0; tries < 100; tries += 1) {
    const answer = await fetch(`${address}/sign-in`).catch(() => undefined);
    if (answer?.ok) return address;
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error(`${program} serves no desk at ${address}`);
}

/** Signs in through the form, by keyboard alone. */
export async function signIn(page, address, name = 'neema') {
  await page.goto(`${address}/sign-in`);
  await page.getByLabel(/^(Name|Jina)$/).focus();
  await page.keyboard.type(name);
  await page.keyboard.press('Tab');
  await page.keyboard.type(password);
  await page.keyboard.press('Enter');
  await page.locator('nav.places').waitFor();
}

export const shots = process.env.COMBGATE_SHOTS;

/** Keeps a picture of the whole page. */
export async function shoot(page, name) {
  if (!shots) return;
  await mkdir(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}

/** A desk with a day of handset K7 in it, part of it bad, and a clerk signed in. */
export async function atWork(t, { scripts = true, size = { width: 1280, height: 800 } } = {}) {
  const { desk, command } = await setUp(t);
  command(['enrol', join(fixtures, 'handset-k7/enrolment-card.jws'), '--code', 'K7']);
  const address = await serveDesk(t, desk);
  const browser = await startPhone({ ...size, scripts });
  t.after(() => browser.stop());
  const page = await browser.context.newPage();
  await signIn(page, address);
  return { address, command, desk, page };
}

/** Takes bundles in on the page. */
export async function take(page, address, names) {
  await page.goto(`${address}/import`);
  await page.locator('#bundles').setInputFiles(names.map((name) => join(fixtures, 'bundles', name)));
  await page.locator('form.sheet button').click();
  // With scripts the files go one after the other.
  await page.locator('section.result').nth(names.length - 1).waitFor();
}

/** What makes the page wider than the window. */
export async function wider(page) {
  return page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    if (scrollWidth <= clientWidth) return [];
    const all = [...document.querySelectorAll('body *')];
    const out = all.filter((each) => !each.closest('.wide, .scroll') && each.getBoundingClientRect().right > clientWidth);
    return out.map((each) => `${each.tagName} ${each.className}`).slice(-3);
  });
}
