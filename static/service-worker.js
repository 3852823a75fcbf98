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
//   { ask: 'shared' }  ->  { shared }            what another program shared, or null (see below)
//   { ask: 'forget' }  ->  { }                   that is decided on, and thrown away

// The build script fills in both.
const PRECACHE = /*PRECACHE*/[];
const VERSION = /*VERSION*/"";

const PREFIX = 'combgate-build-';
const CHOICES = 'combgate-choice';
const SHELL = 'index.html';
// Never fetched, only a name in the cache of choices.
const CHOICE = new URL('chosen-build', self.registration.scope).href;

// Web Share Target, level 2: where the browser posts what another program shares. The manifest names
// the same place. What came is kept here, as one thing, until somebody at the page decides on it.
const SHARE = new URL('share', self.registration.scope).href;
const SHARED = 'combgate-shared';
// The largest document that a page takes, and room for what a form puts around it.
const SHARED_BYTES_AT_MOST = 16 * 1024 * 1024;
const FORM_BYTES_AT_MOST = SHARED_BYTES_AT_MOST + 64 * 1024;

let remembered = null;
// The same as what is kept, for a phone whose storage is full.
let handed = null;

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

/** Reads a posted form no further than `FORM_BYTES_AT_MOST`; gives what of it can be a document. */
async function read(request) {
  let size = 0;
  const counted = new TransformStream({
    transform(chunk, rest) {
      size += chunk.byteLength;
      if (size > FORM_BYTES_AT_MOST) rest.error(new RangeError('too large'));
      else rest.enqueue(chunk);
    },
  });
  // Browsers of before 2022 do not give the form away piece by piece.
  const bounded = request.body
    ? new Response(request.body.pipeThrough(counted), { headers: request.headers })
    : request;
  const form = await bounded.formData().catch(() => null);
  if (size > FORM_BYTES_AT_MOST) return { count: 1, size };
  const files = form?.getAll('file').filter((file) => file.size > 0) ?? [];
  // What a messenger writes beside a file is not the document; without a file the text is.
  const text = String(form?.get('text') ?? '').trim();
  const [blob] = files.length ? files : [new Blob([text])];
  const count = files.length || Number(text !== '');
  return { count, size: blob.size, blob: count === 1 && blob.size <= SHARED_BYTES_AT_MOST ? blob : null };
}

/** Keeps what was shared in the place of what was shared before, and leads to where it is decided on. */
async function take(request) {
  const { count, size, blob } = handed = await read(request);
  const kept = new Response(blob, { headers: { count, size } });
  await caches.open(SHARED).then((cache) => cache.put(SHARE, kept)).catch(() => {});
  // The next page is asked for by GET: loading it again shares nothing again.
  return Response.redirect(new URL('#/brief', self.registration.scope).href, 303);
}

async function shared() {
  if (handed) return handed;
  const kept = await caches.match(SHARE, { cacheName: SHARED });
  if (!kept) return null;
  const [count, size] = ['count', 'size'].map((name) => Number(kept.headers.get(name)));
  const blob = await kept.blob();
  return { count, size, blob: blob.size > 0 ? blob : null };
}

async function forget() {
  handed = null;
  await caches.delete(SHARED);
}

async function reply(question, port) {
  if (question === 'shared') return port.postMessage({ shared: await shared() });
  if (question === 'forget') return port.postMessage(await forget());
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
  if (request.method === 'POST' && request.mode === 'navigate' && request.url === SHARE) {
    event.respondWith(take(request));
  }
  if (request.method === 'GET' && request.url.startsWith(self.registration.scope)) {
    event.respondWith(answer(request));
  }
});
