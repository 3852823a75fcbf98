// The clerk's pages in a real browser: a whole day's work, with and without scripts, and tables that
// are longer than a page. What holds for every page is in desk_pages.test.mjs.
//
// COMBGATE_SHOTS=DIR keeps pictures.

import assert from 'node:assert/strict';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { atWork, fixtures, shoot, shots, take, wider } from './clerk.mjs';
import { folder, inTheWay } from './stand.mjs';

for (const scripts of [true, false]) {
  test(`bundle, finding, acknowledgement, day book: scripts ${scripts ? 'on' : 'off'}`, async (t) => {
    const { address, page } = await atWork(t, { scripts });
    await take(page, address, ['bad/altered-byte.json', 'good/morning.json']);
    const results = page.locator('section.result');
    assert.equal(await results.count(), 2);
    await shoot(page, `import-${scripts ? 'scripts' : 'plain'}`);

    await page.locator('section.result a[href^="/findings"]').first().click();
    await page.getByRole('link', { name: 'An entry was refused' }).first().click();
    await page.getByRole('heading', { level: 1, name: 'An entry was refused' }).waitFor();
    await page.getByLabel(/^Accept/).check();
    await page.getByLabel(/^Why, or what you ask/).fill('The good entry came with the morning.');
    await page.getByRole('button', { name: 'Write it down' }).click();
    await page.getByText('Accepted by neema').waitFor();
    await page.goto(`${address}/findings`);
    assert.equal(await page.getByRole('link', { name: 'An entry was refused' }).count(), 0);

    await page.goto(`${address}/handsets/K7`);
    const waiting = page.waitForEvent('download');
    await page.getByRole('link', { name: 'Acknowledgement for K7' }).click();
    const download = await waiting;
    assert.equal(download.suggestedFilename(), 'acknowledgement-K7.jws');
    const compact = (await readFile(await download.path(), 'utf8')).trim();
    const said = JSON.parse(Buffer.from(compact.split('.')[1], 'base64url').toString());
    assert.equal(said.format, 'combgate-acknowledgement/1');
    assert.equal(said.questions.some(({ finding }) => finding === 'entry-refused'), false);

    await page.getByRole('link', { name: 'Day book' }).click();
    await page.getByRole('heading', { level: 1, name: 'Day book of 2026-10-09' }).waitFor();
    await page.getByRole('link', { name: 'K7-26-00001' }).click();
    await page.locator('article.paper').waitFor();
  });
}

test('files that did not go through are sent again, and nothing is booked twice', async (t) => {
  const { address, page, command } = await atWork(t);
  await page.goto(`${address}/import`);
  const files = ['good/morning.json', 'good/afternoon.json', 'bad/altered-byte.json'];
  await page.locator('#bundles').setInputFiles(files.map((name) => join(fixtures, 'bundles', name)));
  // The desk is gone when the second file is sent.
  let sent = 0;
  await page.route('**/import', (route) => {
    sent += route.request().method() === 'POST' ? 1 : 0;
    return sent === 2 ? route.abort() : route.continue();
  });
  await page.locator('form.sheet button').click();
  await page.getByText('afternoon.json did not go through. Files still to send: 2.').waitFor();
  assert.equal(await page.locator('section.result').count(), 1);
  await shoot(page, 'import-broke-off');
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.getByText('Done: 2 of 2.').waitFor();
  assert.equal(await page.locator('section.result').count(), 3);
  assert.equal(await page.locator('section.hand-back a').count(), 1);
  assert.deepEqual(await inTheWay(page), []);
  const day = JSON.parse(command(['daybook', '--day', '2026-10-09', '--json']));
  assert.equal(JSON.stringify(day).includes('K7-26-00001'), true);
});

for (const [width, height] of [[360, 640], [1280, 800]]) {
  test(`a long table is read part by part at ${width}x${height}`, async (t) => {
    const { address, page, command, desk } = await atWork(t, { size: { width, height } });
    const more = await folder(t);
    const rows = Array.from({ length: 450 }, (_, at) => `B${String(at + 1).padStart(4, '0')},Asha Mrembwe,Kilindo`);
    await writeFile(join(more, 'members.csv'), ['number,name,village', ...rows, ''].join('\n'));
    command(['init', desk, '--from', more]);
    const problems = [];
    for (const [language, next, before, last] of [
      ['en', 'After these', 'Before these', '401 to 450 of 450'],
      ['sw', 'Baada ya hizi', 'Kabla ya hizi', '401 hadi 450 kati ya 450'],
    ]) {
      await page.goto(`${address}/language/${language}?to=/`);
      await page.goto(`${address}/register?search=B0`);
      for (const first of ['B0001', 'B0201', 'B0401']) {
        const row = page.locator('tbody tr').first();
        await row.getByText(first, { exact: true }).waitFor();
        // Whoever goes on is at the table, not above all that stands before it.
        if (first !== 'B0001') {
          const top = await page.locator('#members-count').evaluate((each) => each.getBoundingClientRect().top);
          assert.ok(top > -1 && top < height / 2, `${first} begins at ${top}`);
        }
        for (const each of await wider(page)) problems.push(`${language} ${first}: ${each} is wider than the window`);
        for (const each of await inTheWay(page)) problems.push(`${language} ${first}: ${each}`);
        await page.getByRole('navigation', { name: / 450$/ }).scrollIntoViewIfNeeded();
        if (shots) await page.screenshot({ path: join(shots, `part-${first}-${language}-${width}.png`) });
        if (first !== 'B0401') await page.getByRole('link', { name: next }).click();
      }
      await page.getByText(last).first().waitFor();
      assert.equal(await page.getByRole('link', { name: next }).count(), 0);
      await page.getByRole('link', { name: before }).click();
      await page.getByText('B0201', { exact: true }).waitFor();
      assert.equal(await page.locator('#search').inputValue(), 'B0');
    }
    assert.deepEqual(problems, []);
  });
}
