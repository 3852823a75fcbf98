// The page itself: it starts, it needs no network from the second load on, one tab works at a
// time, and neither screen readers nor small windows find anything in the way.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { inTheWay, servePage, startPhone } from './stand.mjs';

const PLACES = ['', 'brief', 'open-day', 'today', 'close-day'];

async function opened(t, size) {
  const server = await servePage();
  t.after(() => server.stop());
  const phone = await startPhone(size);
  t.after(() => phone.stop());
  const page = await phone.context.newPage();
  await page.goto(server.address);
  await page.locator('nav.places').waitFor();
  return { server, phone, page };
}

test('the page starts with no network once it was loaded', async (t) => {
  const { server, phone, page } = await opened(t);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  server.stop();
  await phone.context.setOffline(true);
  await page.reload();
  await page.locator('nav.places').waitFor();
  assert.equal(await page.locator('h1').count(), 1);

  // What a home screen asks for is there too: name, start and icons of the sizes they say.
  const asked = await page.evaluate(async () => {
    const link = document.querySelector('link[rel=manifest]').href;
    const manifest = await (await fetch(link)).json();
    const icons = await Promise.all(manifest.icons.map(async ({ src, sizes, type }) => {
      const answer = await fetch(new URL(src, link));
      const image = await createImageBitmap(await answer.blob());
      return { said: `${sizes} ${type}`, is: `${image.width}x${image.height} ${answer.headers.get('content-type')}` };
    }));
    return { icons, display: manifest.display, start: new URL(manifest.start_url, link).href };
  });
  assert.equal(asked.display, 'standalone');
  assert.equal(asked.start, server.address);
  assert.ok(asked.icons.length >= 2);
  for (const { said, is } of asked.icons) assert.equal(is, said);
});

test('what begins before the program may fail, and the page starts all the same', async (t) => {
  const server = await servePage();
  t.after(() => server.stop());
  const early = async (where, headers) => {
    const phone = await startPhone();
    t.after(() => phone.stop());
    const page = await phone.context.newPage();
    if (where) {
      await page.route(where, async (route) => {
        const response = await route.fetch();
        await route.fulfill({ response, headers: { ...response.headers(), ...headers } });
      });
    }
    await page.goto(server.address);
    await page.locator('nav.places').waitFor();
    return page.evaluate(async () => {
      const { program } = globalThis.combgateEarly ?? {};
      return program?.then(() => 'compiled', () => 'refused');
    });
  };
  assert.equal(await early(), 'compiled');
  // A host of the page whose policy is older than its script.
  const policy = { 'content-security-policy': "script-src 'self' 'wasm-unsafe-eval'" };
  assert.equal(await early(server.address, policy), undefined);
  // A host that does not know what WebAssembly is.
  assert.equal(await early('**/*.wasm', { 'content-type': 'application/octet-stream' }), 'refused');
});

for (const [what, missing] of [['script', '**/program-*.js'], ['program', '**/program-*.wasm']]) {
  test(`a page whose ${what} does not come says so, in both languages`, async (t) => {
    const server = await servePage();
    t.after(() => server.stop());
    const phone = await startPhone();
    t.after(() => phone.stop());
    const page = await phone.context.newPage();
    await page.route(missing, (route) => route.abort());
    await page.goto(server.address);
    const said = page.locator('#boot-failed');
    await said.waitFor();
    assert.match(await said.innerText(), /cannot start[^]*haiwezi kuanza/);
  });
}

test('a second tab waits, and takes over when the first is closed', async (t) => {
  const { server, phone, page } = await opened(t);
  const second = await phone.context.newPage();
  await second.goto(server.address);
  await second.getByRole('alert').waitFor();
  assert.equal(await second.locator('nav.places').count(), 0);
  await page.close();
  await second.locator('nav.places').waitFor();
});

for (const [width, height] of [[320, 568], [360, 640], [1280, 800]]) {
  test(`every place fits ${width}x${height}, and axe finds nothing there`, async (t) => {
    const { page } = await opened(t, { width, height });
    for (const language of ['en', 'sw']) {
      await page.locator('#language').selectOption(language);
      for (const place of PLACES) {
        await page.evaluate((hash) => { location.hash = hash; }, place);
        await page.locator('h1').waitFor();
        const wide = await page.evaluate(
          () => document.documentElement.scrollWidth > document.documentElement.clientWidth,
        );
        assert.equal(wide, false, `${place} in ${language} is wider than the window`);
        assert.deepEqual(await inTheWay(page), [], `${place} in ${language}`);
      }
    }
  });
}

test('a program that stops says so, in both languages', async (t) => {
  const { page } = await opened(t);
  const said = page.locator('#stopped');
  assert.equal(await said.isVisible(), false);
  // A module of one function that does nothing but trap (WebAssembly 1.0, 5.4.1: unreachable is 0x00).
  await page.evaluate(() => {
    const trap = new Uint8Array([
      0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 7, 5, 1, 1, 120, 0, 0, 10, 5, 1, 3, 0, 0, 11,
    ]);
    WebAssembly.instantiate(trap).then(({ instance }) => setTimeout(instance.exports.x));
  });
  await said.waitFor();
  assert.match(await said.innerText(), /stopped because of a fault[^]*Pakia ukurasa upya/);
});
