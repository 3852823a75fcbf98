// What every browser test stands on: the desk serving the built page, and a Chromium of its own.
//
// COMBGATE, COMBGATE_PAGE, CHROMIUM and COMBGATE_PYTHON say where the program, the page, the browser
// and Python are; `make test` sets them.

import assert from 'node:assert/strict';
import { spawn, execFile } from 'node:child_process';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { brotliCompressSync } from 'node:zlib';
import { AxeBuilder } from '@axe-core/playwright';
import { chromium } from 'playwright-core';

const program = process.env.COMBGATE ?? 'target/debug/combgate';
const page = process.env.COMBGATE_PAGE ?? 'target/phone';
const browser = process.env.CHROMIUM ?? '/usr/bin/chromium';
const interpreter = process.env.COMBGATE_PYTHON ?? 'target/python/bin/python';

/** A port that nobody listens on. */
export async function freePort() {
  const server = createServer();
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address();
  await new Promise((done) => server.close(done));
  return port;
}

/** Serves a page, the phone's own unless another is named, until `stop` is called. */
export async function servePage(served = page) {
  const port = await freePort();
  const address = `http://127.0.0.1:${port}/`;
  const child = spawn(program, ['serve', '--page', served, '--phone', `127.0.0.1:${port}`], {
    stdio: 'ignore',
  });
  for (let tries = 0; tries < 100; tries += 1) {
    const answer = await fetch(address).catch(() => undefined);
    if (answer?.ok) return { address, stop: () => child.kill() };
    await new Promise((done) => setTimeout(done, 100));
  }
  child.kill();
  throw new Error(`${program} serves nothing at ${address}`);
}

/** Starts a Chromium with an empty profile, as an officer's phone has it. */
export async function startPhone({ width = 360, height = 640, scripts = true } = {}) {
  const profile = await mkdtemp(join(tmpdir(), 'combgate-phone-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: browser,
    headless: true,
    viewport: { width, height },
    javaScriptEnabled: scripts,
    acceptDownloads: true,
    // A desk under test has a certificate that nobody vouches for.
    ignoreHTTPSErrors: true,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
  return {
    context,
    stop: async () => {
      await context.close();
      await rm(profile, { recursive: true, force: true });
    },
  };
}

/** Runs the desk's program; gives exit code and output, never throws. */
export async function combgate(...words) {
  return promisify(execFile)(program, words).then(
    ({ stdout, stderr }) => ({ code: 0, stdout, stderr }),
    ({ code, stdout, stderr }) => ({ code, stdout, stderr }),
  );
}

/** Puts a question to a script of tests/interop, whose libraries know nothing of this project. */
export async function python(script, question) {
  const path = await mkdtemp(join(tmpdir(), 'combgate-question-'));
  const file = join(path, 'question.json');
  await writeFile(file, JSON.stringify(question));
  const { stdout } = await promisify(execFile)(interpreter, [join('tests/interop', script), file], {
    maxBuffer: 64 * 1024 * 1024,
  });
  await rm(path, { recursive: true });
  return JSON.parse(stdout);
}

/** The desk's listener for handsets at a port of this machine, until `stop` is called. */
export async function listen(test, desk, port, ...more) {
  const child = spawn(program, ['--desk', desk, 'serve', '--clerk', '127.0.0.1:0', '--sync', `127.0.0.1:${port}`, ...more], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = new Promise((done) => child.once('exit', done));
  const stop = () => {
    child.kill();
    return ended;
  };
  test.after(stop);
  let said = '';
  for await (const part of child.stdout) {
    said += part;
    if (said.includes('End it with')) return { stop };
  }
  throw new Error(`${program} does not listen on ${port}: ${said}`);
}

/** A copy of the page, that can become a newer build of it. */
export async function copyOfPage(test) {
  const copy = join(await folder(test), 'page');
  await cp(page, copy, { recursive: true });
  return {
    folder: copy,
    /** The same program under another version, as a release without a change would be. */
    release: async (version) => {
      const worker = join(copy, 'service-worker.js');
      const text = await readFile(worker, 'utf8');
      const now = text.replace(/VERSION="[^"]+"/, `VERSION="${version}"`);
      if (now === text) throw new Error(`${worker} names no version`);
      await writeFile(worker, now);
      await writeFile(`${worker}.br`, brotliCompressSync(now));
    },
  };
}

/** Waits until a promise says so: `waitForFunction` takes any promise for a yes. */
export async function until(holds, what) {
  for (let tries = 0; tries < 100; tries += 1) {
    if (await holds()) return;
    await new Promise((done) => { setTimeout(done, 100); });
  }
  assert.fail(`${what}: not within ten seconds`);
}

/** A folder that goes away with the test. */
export async function folder(test) {
  const path = await mkdtemp(join(tmpdir(), 'combgate-test-'));
  test.after(() => rm(path, { recursive: true, force: true }));
  return path;
}

/**
 * What axe finds in anybody's way on a page, a line each; a rule that it leaves out by itself can be
 * asked for. Else it opens a page of its own each time, to be safe from strangers' frames: half of its
 * time, and no page of ours has any.
 */
export async function inTheWay(page, rule) {
  const axe = new AxeBuilder({ page }).setLegacyMode();
  if (rule) axe.options({ rules: { [rule]: { enabled: true } } });
  const { violations, passes } = await axe.analyze();
  if (rule) assert.ok(passes.some(({ id }) => id === rule), `axe looked at ${rule}`);
  return violations.map(({ id, nodes }) => `${id}: ${nodes[0].html} ${nodes[0].failureSummary}`);
}
