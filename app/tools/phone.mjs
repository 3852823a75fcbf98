// Makes the phone's page out of the compiled program and static/:
//
//   node app/tools/phone.mjs PROGRAM.wasm TARGET [PAGE]   ->   PAGE, or else TARGET/phone
//
// The program and the style sheet get names that hold a hash of their content, so that a server
// may let them be kept for ever. Tokens in static/ are filled in:
//   index.html          {{JS}}        start.js and the program's scripts, as one
//                       {{WASM}} {{CSS}}      the names of those files
//                       {{EARLY}} {{EARLY_HASH}}  early.js, and its hash for the page's policy
//                       {{DATABASE}}  the database to open early; none where no script uses one
//   service-worker.js   /*PRECACHE*/[]            every file of the page
//                       /*VERSION*/""             one version for the lot of them
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, extname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, constants } from 'node:zlib';
import binaryen from './node_modules/binaryen/index.js';
import { build } from './node_modules/esbuild/lib/main.js';
import { minify } from './node_modules/terser/main.js';
import { namedByLikeness } from './alike.mjs';

const tools = dirname(fileURLToPath(import.meta.url));
const root = join(tools, '..', '..');
const [program, target, page = join(target, 'phone')] = process.argv.slice(2);
const stamp = `${page}.inputs`;

// What wasm-opt may rely on: browsers have all of these since 2021 to 2023.
const FEATURES = [
  { name: 'bulk-memory', bit: binaryen.Features.BulkMemory },
  { name: 'nontrapping-float-to-int', bit: binaryen.Features.NontrappingFPToInt },
  { name: 'sign-ext', bit: binaryen.Features.SignExt },
  { name: 'mutable-globals', bit: binaryen.Features.MutableGlobals },
  { name: 'multivalue', bit: binaryen.Features.Multivalue },
  { name: 'reference-types', bit: binaryen.Features.ReferenceTypes },
];
// Pictures are compressed already.
const COMPRESSIBLE = new Set(['.html', '.css', '.js', '.wasm', '.svg', '.webmanifest', '.json']);

const sha256 = (...parts) => parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest('hex');

/** Paths of all files below a folder, with slashes, in an order that is the same everywhere. */
function files(folder) {
  const found = [];
  const walk = (at) => {
    for (const entry of readdirSync(at, { withFileTypes: true })) {
      const path = join(at, entry.name);
      if (entry.isDirectory()) walk(path);
      else found.push(relative(folder, path).split(sep).join('/'));
    }
  };
  walk(folder);
  return found.sort();
}

const digests = (folder) => files(folder).map((path) => `${path} ${sha256(readFileSync(join(folder, path)))}\n`).join('');

/** Everything the page is made of, so that an unchanged page is not made again. */
function inputs() {
  return [program, fileURLToPath(import.meta.url), join(tools, 'alike.mjs'), join(tools, 'package-lock.json'), join(root, 'Cargo.lock')]
    .map((path) => `${sha256(readFileSync(path))}\n`).join('') + digests(join(root, 'static'));
}

/** Puts a value where a token stands, and fails when it is not there: a page without it would not start. */
function fill(text, token, value, where) {
  if (!text.includes(token)) throw new Error(`${where} does not hold ${token}: put it back where its value belongs`);
  return text.replaceAll(token, () => value);
}

/** What crates give to a page's own scripts and ours never ask for: streams of Leptos's server functions. */
const UNASKED = { exported: /intounderlying/, written: /(?:export class|const) IntoUnderlying\w+ [^]*?\n(?:\}\nif [^\n]*|    : [^\n]*;)\n/g };

/** Takes what nobody asks for out of the program, and with it, later, all that only this needed. */
function without(bytes) {
  const module = binaryen.readBinary(bytes);
  module.setFeatures(FEATURES.reduce((all, { bit }) => all | bit, 0));
  for (let place = module.getNumExports() - 1; place >= 0; place -= 1) {
    const { name } = binaryen.getExportInfo(module.getExportByIndex(place));
    if (UNASKED.exported.test(name)) module.removeExport(name);
  }
  return module.emitBinary();
}

/**
 * Lets the browser write a long text into the program's memory. What wasm-bindgen writes for it goes
 * letter by letter, which took a tenth of a start. What is not all ASCII is written as before. From how
 * many letters on it pays was not measured: 64 is a guess, the texts of a start have thousands.
 */
function withLongTexts(script) {
  const letters = 'for (; offset < len; offset++) {';
  return fill(script, letters, `if (len > 64) {
        const { read, written } = cachedTextEncoder.encodeInto(arg, mem.subarray(ptr, ptr + len));
        if (read === len && written === len) offset = len;
    }
    ${letters}`, "the program's JavaScript");
}

/** Writes the short names that wasm-opt gave to what the two halves of the program share into its JavaScript. */
function renamed(script, { imports, exports }) {
  const replace = (text, long, short) => {
    const next = text.replace(long, () => short);
    if (next === text) throw new Error(`the program's JavaScript does not hold ${long}: see whether wasm-bindgen writes it otherwise now`);
    return next;
  };
  let text = replace(script, '"./program_bg.js": import0,', 'a: import0,');
  for (const [, long, short] of imports) text = replace(text, `        ${long}: function(`, `        ${short}: function(`);
  for (const [long, short] of exports) {
    // Some are there for other programs than a page.
    text = text.replace(new RegExp(`\\bwasm\\.${long}\\b`, 'g'), () => `wasm.${short}`);
  }
  return text;
}

/** Changes a program in place; gives what wasm-opt says. */
function optimised(wasm, ...how) {
  return execFileSync(process.execPath,
    [join(tools, 'node_modules', 'binaryen', 'bin', 'wasm-opt'), wasm, '-o', wasm, ...how,
      ...FEATURES.map(({ name }) => `--enable-${name}`)], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });
}

/** The program as JavaScript and WebAssembly for a page, made as small as it gets. */
function bind(into) {
  execFileSync(join(target, 'tools', 'bin', 'wasm-bindgen'),
    ['--target', 'web', '--no-typescript', '--out-name', 'program', '--out-dir', into, program], { stdio: 'inherit' });
  const [wasm, script] = ['program_bg.wasm', 'program.js'].map((name) => join(into, name));
  writeFileSync(wasm, without(readFileSync(wasm)));
  // The second round still finds a kilobyte; what is called from one place is three smaller apart from
  // it. Data in one piece, and what is worked out twice in the same words, are larger but compress to less.
  const names = optimised(wasm, '-Oz', '-Oz', '--one-caller-inline-max-function-size', '1', '--skip-pass=memory-packing',
    '--skip-pass=local-cse', '--strip-debug', '--strip-producers', '--minify-imports-and-exports-and-modules');
  writeFileSync(wasm, namedByLikeness(readFileSync(wasm)));
  optimised(wasm, '--reorder-functions-by-name', '--generate-stack-ir', '--optimize-stack-ir', '--strip-debug');
  const whole = readFileSync(script, 'utf8').replace(UNASKED.written, '');
  writeFileSync(script, withLongTexts(renamed(whole, JSON.parse(names))));
}

/** A script without its comments and long names. */
async function short(script) {
  const { code } = await minify(script.toString(), { compress: { passes: 3 } });
  return code;
}

/**
 * What starts the program, with the program's own script and those that this brings along, as one script
 * that is no module: a browser puts modules off until the page is read, and fetches them one by one.
 */
async function bundled(parts) {
  const { outputFiles: [one] } = await build({
    entryPoints: [join(root, 'static', 'start.js')],
    bundle: true,
    format: 'iife',
    write: false,
    alias: { program: resolve(parts, 'program.js') },
    // Asked for only where nobody says where the program is.
    define: { 'import.meta.url': 'document.baseURI' },
  });
  return short(one.text);
}

/** The phone's database, as its program names it. */
function databaseName() {
  const path = join('app', 'field', 'src', 'platform', 'database.rs');
  const [, name] = readFileSync(join(root, path), 'utf8').match(/^const NAME: &str = "(.+)";$/m) ?? [];
  if (!name) throw new Error(`${path} holds no NAME of the database: the page opens it before the program is there`);
  return name;
}

async function make(work) {
  const parts = join(work, 'parts');
  const into = join(work, 'phone');
  bind(parts);

  const put = (path, content) => {
    mkdirSync(dirname(join(into, path)), { recursive: true });
    writeFileSync(join(into, path), content);
  };
  /** Writes a file under a name that changes with its content. */
  const putHashed = (path, content) => {
    const extension = extname(path);
    const named = `${path.slice(0, -extension.length)}-${sha256(content).slice(0, 16)}${extension}`;
    put(named, content);
    return named;
  };

  const names = {
    JS: putHashed('program.js', await bundled(parts)),
    WASM: putHashed('program.wasm', readFileSync(join(parts, 'program_bg.wasm'))),
  };
  const texts = {};
  for (const path of files(join(root, 'static'))) {
    const content = readFileSync(join(root, 'static', path));
    if (path === 'style.css') names.CSS = putHashed(path, content);
    else if (path === 'index.html' || path === 'service-worker.js') texts[path] = content.toString();
    else if (path === 'early.js') names.EARLY = await short(content);
    else if (path !== 'start.js') put(path, content);
  }
  names.DATABASE = files(parts).some((path) => path.startsWith('snippets/')) ? databaseName() : '';
  names.EARLY_HASH = `sha256-${createHash('sha256').update(names.EARLY).digest('base64')}`;
  put('index.html', Object.entries(names).reduce(
    (text, [token, name]) => fill(text, `{{${token}}}`, name, 'static/index.html'), texts['index.html']));

  const list = files(into);
  const worker = texts['service-worker.js'];
  // So short that it stands on one line of a small screen in large text.
  const version = sha256(digests(into), worker).slice(0, 10);
  put('service-worker.js', await short(fill(
    fill(worker, '/*PRECACHE*/[]', JSON.stringify(list), 'static/service-worker.js'),
    '/*VERSION*/""', JSON.stringify(version), 'static/service-worker.js')));
  return into;
}

/** A server that knows brotli sends these instead; they cost no time while it serves. */
function compress(folder) {
  for (const path of files(folder)) {
    if (!COMPRESSIBLE.has(extname(path))) continue;
    const content = readFileSync(join(folder, path));
    const small = brotliCompressSync(content, {
      params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24, [constants.BROTLI_PARAM_SIZE_HINT]: content.length },
    });
    if (small.length < content.length) writeFileSync(join(folder, `${path}.br`), small);
  }
}

function report(folder) {
  const kilobytes = (bytes) => `${(bytes / 1000).toFixed(1).padStart(8)} kB`;
  let raw = 0;
  let sent = 0;
  for (const path of files(folder).filter((path) => !path.endsWith('.br'))) {
    const size = statSync(join(folder, path)).size;
    const twin = join(folder, `${path}.br`);
    const small = existsSync(twin) ? statSync(twin).size : size;
    raw += size;
    sent += small;
    if (['.wasm', '.js', '.css', '.html'].includes(extname(path))) console.log(`  ${kilobytes(size)} ${kilobytes(small)} brotli  ${path}`);
  }
  console.log(`  ${kilobytes(raw)} ${kilobytes(sent)} brotli  in all, ${folder}`);
}

const now = inputs();
if (!existsSync(page) || !existsSync(stamp) || readFileSync(stamp, 'utf8') !== now) {
  const work = mkdtempSync(join(target, 'phone-'));
  try {
    const next = await make(work);
    compress(next);
    // Two renames: a page that is being served is away for a moment, never half there.
    rmSync(stamp, { force: true });
    if (existsSync(page)) renameSync(page, join(work, 'before'));
    renameSync(next, page);
    writeFileSync(stamp, now);
  } finally {
    rmSync(work, { recursive: true });
  }
  report(page);
}
