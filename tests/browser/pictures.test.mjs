// The pictures of README.md, as the pages look now: `make pictures` makes them anew. They are not
// compared, because letters look a little different on every machine; tests/tests/tidy sees to it
// that they are there and small.

import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { fixtures, serveDesk, setUp, signIn } from './clerk.mjs';
import { deliver, enrolled, openDay, press, takeBrief } from './officer.mjs';
import { startPhone } from './stand.mjs';

const skip = process.env.COMBGATE_KEEP ? false : '`make pictures` makes them';

/** Keeps what the window shows as WebP, a third of what PNG takes. */
async function keep(page, name) {
  const png = (await page.screenshot()).toString('base64');
  const webp = await page.evaluate(async (text) => {
    const bytes = Uint8Array.from(atob(text), (each) => each.charCodeAt(0));
    const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
    const canvas = Object.assign(document.createElement('canvas'), { width: picture.width, height: picture.height });
    canvas.getContext('2d').drawImage(picture, 0, 0);
    return canvas.toDataURL('image/webp', 0.85).split(',')[1];
  }, png);
  await writeFile(join('tests/browser/pictures', `${name}.webp`), Buffer.from(webp, 'base64'));
}

test('a decision in English and a receipt in Swahili, on the phone', { skip }, async (t) => {
  const { page, desks, give } = await enrolled(t);
  await takeBrief(page, await give(desks[0], 'brief.jws'));
  await openDay(page);
  const honey = { member: 'Asha Mrembwe', pail: 'P1', waters: ['17.8', '18', '17.9'], gross: '26.34', tare: '1.2' };
  await deliver(page, honey);
  await keep(page, 'phone-decision-en');
  await press(page, 'Issue the receipt');
  await page.locator('article.paper').waitFor();
  await page.locator('#language').selectOption('sw');
  await page.evaluate(() => scrollTo(0, 0));
  await keep(page, 'phone-receipt-sw');
});

test('what needs the clerk, and a finding side by side, at the desk', { skip }, async (t) => {
  const { desk, command } = await setUp(t);
  command(['enrol', join(fixtures, 'handset-k7/enrolment-card.jws'), '--code', 'K7']);
  const address = await serveDesk(t, desk);
  const browser = await startPhone({ width: 1024, height: 640 });
  t.after(() => browser.stop());
  const page = await browser.context.newPage();
  await signIn(page, address);
  await page.goto(`${address}/import`);
  await page.locator('#bundles').setInputFiles(join(fixtures, 'bundles/bad/dishonest.json'));
  await page.locator('form.sheet button').click();
  await page.locator('section.result').first().waitFor();
  await page.goto(`${address}/`);
  await page.locator('h1').waitFor();
  await keep(page, 'desk-overview-en');
  await page.goto(`${address}/findings`);
  await page.getByRole('link', { name: 'Priced otherwise' }).first().click();
  await page.getByText('Side by side').waitFor();
  await keep(page, 'desk-finding-en');
});
