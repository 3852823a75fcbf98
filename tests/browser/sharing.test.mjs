// What another program shares with the installed page (Web Share Target, level 2): the browser posts it
// as a form to the place that the manifest names, and nobody but the page's own worker answers there.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { desk, enrolled, go, look, openDay, press, saved, takeBrief } from './officer.mjs';
import { until } from './stand.mjs';

const MEBIBYTE = 1024 * 1024;

/**
 * Posts a form as the browser does for another program: by the manifest's own words, as a navigation
 * that begins outside of the page.
 */
async function share(page, { files = [], text = '' }) {
  const manifest = await page.evaluate(async () => {
    const link = document.querySelector('link[rel=manifest]').href;
    return { ...(await (await fetch(link)).json()).share_target, link };
  });
  const action = new URL(manifest.action, manifest.link).href;
  await page.goto('about:blank');
  await page.evaluate(({ method, enctype, params, to, given, words }) => {
    const form = document.createElement('form');
    Object.assign(form, { method, enctype, action: to });
    const put = (name, type) => {
      const input = document.createElement('input');
      Object.assign(input, { name, type });
      form.append(input);
      return input;
    };
    put(params.text, 'text').value = words;
    const several = put(params.files[0].name, 'file');
    several.multiple = true;
    const carried = new DataTransfer();
    for (const { name, body, filled } of given) {
      carried.items.add(new File([body ?? new Uint8Array(filled).fill(101)], name, { type: 'application/octet-stream' }));
    }
    several.files = carried.files;
    document.body.append(form);
    form.submit();
  }, { ...manifest, to: action, given: files, words: text });
  await page.waitForURL(/#\/brief$/);
  await page.locator('#brief-file').waitFor({ state: 'attached' });
}

const serial = (page) => page.locator('dt:text-is("Brief number") + dd').innerText();
const kept = (page) => page.evaluate(() => caches.has('combgate-shared'));

/** A phone that works without a network, its handset enrolled. */
async function offline(t) {
  const made = await enrolled(t);
  const { page, phone, server } = made;
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await page.locator('nav.places').waitFor();
  server.stop();
  await phone.context.setOffline(true);
  return made;
}

test('a brief that is shared waits until the officer takes it in', async (t) => {
  const { page, desks, give } = await offline(t);
  const name = 'combgate-brief-G1.jws';
  const first = await readFile(await give(desks[0], 'first.jws'), 'utf8');
  const second = await readFile(await give(desks[0], 'second.jws'), 'utf8');
  const third = await readFile(await give(desks[0], 'third.jws'), 'utf8');

  await share(page, { files: [{ name, body: first }], text: 'the brief of today' });
  await page.getByText('It is not taken in yet.').waitFor();
  assert.equal(await page.getByText('Ridge Hives Honey Cooperative').count(), 0, 'nothing is taken in without a tap');
  await look(page, 'shared');
  // Loading again shares nothing twice, and loses nothing that nobody decided on.
  await page.reload();
  await press(page, 'Take in what was shared');
  await page.locator('[data-figure=desk]').waitFor();
  assert.equal(await kept(page), false, 'what is decided on is kept no longer');
  await press(page, 'The codes are the same: take it in');
  await page.getByText('Ridge Hives Honey Cooperative').first().waitFor();
  assert.equal(await serial(page), '1');

  // As the text of a message; and what is shared later stands in the place of what was shared before.
  await share(page, { text: 'good morning' });
  await share(page, { text: `\n${second}\n` });
  await page.getByText('It is not taken in yet.').waitFor();
  assert.equal(await serial(page), '1', 'nothing is taken in without a tap');
  await press(page, 'Take in what was shared');
  await page.locator('dt:text-is("Brief number") + dd').getByText('2', { exact: true }).waitFor();
  await page.reload();
  await page.locator('#brief-file').waitFor({ state: 'attached' });
  await page.evaluate(() => navigator.serviceWorker.ready);
  assert.equal(await page.locator('#shared').count(), 0);

  // Put aside, it is gone.
  await share(page, { files: [{ name, body: third }] });
  await press(page, 'Put it aside');
  await page.locator('#shared').waitFor({ state: 'detached' });
  await until(() => page.evaluate(async () => !await caches.has('combgate-shared')), 'what was put aside goes');
  await page.reload();
  await page.locator('#brief-file').waitFor({ state: 'attached' });
  assert.equal(await page.locator('#shared').count(), 0);
  assert.equal(await serial(page), '2');

  // It outlives the worker, which the browser stops when it likes.
  await share(page, { files: [{ name, body: third }] });
  const session = await page.context().newCDPSession(page);
  await session.send('ServiceWorker.enable');
  await session.send('ServiceWorker.stopAllWorkers');
  await page.reload();
  await press(page, 'Take in what was shared');
  await page.locator('dt:text-is("Brief number") + dd').getByText('3', { exact: true }).waitFor();
});

test('what is shared and is no brief is refused in plain words, and the brief in hand stays', async (t) => {
  const { files, page, desks, give } = await offline(t);
  await takeBrief(page, await give(desks[0], 'own.jws'));
  const good = await readFile(await give(desks[0], 'newer.jws'), 'utf8');
  const name = 'combgate-brief-G1.jws';

  const atOnce = [
    [{ files: [{ name, filled: 16 * MEBIBYTE + 1 }] }, /larger than [\d.]+ MB/],
    [{ files: [{ name, filled: 40 * MEBIBYTE }] }, /larger than [\d.]+ MB/],
    [{ files: [{ name, body: '' }] }, /What was shared is empty/],
    [{ text: ' \n ' }, /What was shared is empty/],
    [{ files: [{ name, body: good }, { name: 'other.jws', body: good }] }, /More than one file was shared/],
  ];
  for (const [given, words] of atOnce) {
    await share(page, given);
    await page.locator('#shared').getByText(words).waitFor();
    assert.equal(await page.getByRole('button', { name: 'Take in what was shared' }).count(), 0);
    assert.equal(await serial(page), '1', `${words}: the brief in hand stays`);
  }
  await look(page, 'shared-several');

  const once = [
    [{ files: [{ name, body: 'no brief' }] }, /damaged/],
    [{ files: [{ name, body: good.slice(0, 900) }] }, /damaged/],
    [{ files: [{ name, filled: 16 * MEBIBYTE }] }, /damaged/],
    [{ text: 'https://ridge.example/brief' }, /damaged/],
  ];
  for (const [given, words] of once) {
    await share(page, given);
    await press(page, 'Take in what was shared');
    await page.getByText(words).waitFor();
    assert.equal(await serial(page), '1', `${words}: the brief in hand stays`);
    assert.equal(await kept(page), false);
  }

  // An acknowledgement is shared the same way, and known by what it says it is.
  await openDay(page, { instruments: false });
  await go(page, '/hand-over');
  const bundle = await saved(page, 'Export the bundle');
  const answer = join(files, 'answer.jws');
  await desk('--desk', desks[0], 'import', bundle.path, '--acknowledgement', answer);
  await share(page, { files: [{ name: 'answer.jws', body: await readFile(answer, 'utf8') }] });
  await press(page, 'Take in what was shared');
  await page.getByText('The acknowledgement is taken in.', { exact: true }).waitFor();
});

test('the worker answers at the place that the manifest names, inside its scope, and nowhere else', async (t) => {
  const { page } = await offline(t);
  const told = await page.evaluate(async () => {
    const link = document.querySelector('link[rel=manifest]').href;
    const { share_target: target, scope } = await (await fetch(link)).json();
    const { scope: served } = await navigator.serviceWorker.ready;
    return { target, place: new URL(target.action, link).href, scope: new URL(scope, link).href, served };
  });
  // Web Share Target, level 2: files need POST and multipart/form-data, and the action lies in the scope.
  assert.equal(told.target.method, 'POST');
  assert.equal(told.target.enctype, 'multipart/form-data');
  assert.ok(told.place.startsWith(told.scope) && told.scope === told.served);

  // Without a network, whatever the worker does not answer fails.
  const answers = (place, init) => page.evaluate(
    async ([to, options]) => fetch(to, options).then(() => true, () => false), [place, init],
  );
  // No script of a page shares: only a navigation does.
  assert.equal(await answers(told.place, { method: 'POST', body: 'text=x' }), false);
  for (const other of ['shares', 'share/', 'share?x=1', 'sharing', '']) {
    const went = page.waitForEvent('requestfailed', (request) => request.method() === 'POST');
    await page.goto('about:blank');
    await page.evaluate((to) => {
      const form = document.createElement('form');
      Object.assign(form, { method: 'POST', enctype: 'multipart/form-data', action: to });
      document.body.append(form);
      form.submit();
    }, new URL(other, told.scope).href);
    await went;
    await page.waitForURL(/^chrome-error:/);
    await page.goto(told.scope);
    await page.locator('nav.places').waitFor();
    assert.equal(await kept(page), false, `${other} is no place to share`);
  }
});
