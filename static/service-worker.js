// Serves one whole build of the page, with or without a network.
//
// Each build is kept in a cache of its own. Which build pages get is a choice written down
// beside them, and only a page can change it, by message, once no delivery is in progress. So
// a new worker may take over at any moment, even after the phone was off: it goes on serving
// the build it was left with, and files of two builds never meet on one page.
//
// Messages (each with a port to answer on):
//   { ask: 'builds' }  ->  { running, newest }   versions
//   { ask: 'switch' }  ->  { running }           pages loaded from now on get the newest build

// The build script fills in both.
const PRECACHE = /*PRECACHE*/[];
const VERSION = /*VERSION*/"";

const PREFIX = 'combgate-build-';
const CHOICES = 'combgate-choice';
const SHELL = 'index.html';
// Never fetched, only a name in the cache of choices.
const CHOICE = new URL('chosen-build', self.registration.scope).href;

let remembered = null;

/** The version that pages get. */
async function running() {
  if (remembered === null) {
    const choices = await caches.open(CHOICES);
    const version = await (await choices.match(CHOICE))?.text();
    remembered = version && await caches.has(PREFIX + version) ? version : VERSION;
  }
  return remembered;
}

/** Writes the choice down before any other build is thrown away. */
async function choose(version) {
  const choices = await caches.open(CHOICES);
  await choices.put(CHOICE, new Response(version));
  remembered = version;
  await dropAllBut([version]);
}

async function dropAllBut(versions) {
  const wanted = versions.map((version) => PREFIX + version);
  const builds = (await caches.keys()).filter((name) => name.startsWith(PREFIX));
  await Promise.all(
    builds.filter((name) => !wanted.includes(name)).map((name) => caches.delete(name)),
  );
}

async function install() {
  const build = await caches.open(PREFIX + VERSION);
  // All or nothing, and from the server rather than from what the browser happens to hold.
  await build.addAll(PRECACHE.map((path) => new Request(path, { cache: 'reload' })));
  await self.skipWaiting();
}

async function activate() {
  const version = await running();
  if (version === VERSION) await choose(VERSION);
  else await dropAllBut([version, VERSION]);
  await self.clients.claim();
}

async function answer(request) {
  const build = await caches.open(PREFIX + await running());
  const kept = await build.match(request, { ignoreVary: true })
    ?? (request.mode === 'navigate' ? await build.match(SHELL, { ignoreVary: true }) : undefined);
  return kept ?? fetch(request);
}

async function reply(question, port) {
  if (question === 'switch') await choose(VERSION);
  port.postMessage({ running: await running(), newest: VERSION });
}

self.addEventListener('install', (event) => event.waitUntil(install()));
self.addEventListener('activate', (event) => event.waitUntil(activate()));
self.addEventListener('message', (event) => {
  const [port] = event.ports;
  if (port) event.waitUntil(reply(event.data?.ask, port));
});
self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method === 'GET' && request.url.startsWith(self.registration.scope)) {
    event.respondWith(answer(request));
  }
});
