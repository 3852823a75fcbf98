// Puts functions of a program that are alike next to each other. A compressor writes down how far back
// it saw the same bytes, and near takes less room than far: the phone's program comes out a fiftieth
// smaller than in the compiler's order.

/** The section that holds the bodies of functions. */
const CODE = 10;

// Tried on the phone's program; other values gave up to 2 kB more of its 290.
/** Bytes that are looked for together; tried 3 to 8. */
const TOGETHER = 4;
/** What stands in more functions than this says nothing about any of them; 100 was worse, 2,000 no better. */
const COMMON = 400;
/** How much of its likeness a function keeps with each one that is put behind it; tried 0 to 0.97. */
const FADES = 0.9;
/** Keeps the shortest from being like everything: a guess. */
const SHORT = 20;

/** The bodies of a program's own functions, in its binary format (WebAssembly Core 1.0, 5.5). */
function bodiesOf(program) {
  // Behind the magic and the version.
  let at = 8;
  const number = () => {
    let value = 0;
    for (let bits = 0; ; bits += 7) {
      const byte = program[at++];
      value += (byte & 127) * 2 ** bits;
      if (byte < 128) return value;
    }
  };
  const take = (length) => program.subarray(at, at += length);
  while (at < program.length) {
    const [section, length] = [number(), number()];
    if (section === CODE) return Array.from({ length: number() }, () => take(number()));
    at += length;
  }
  throw new Error('the program has no code');
}

/** Places of bodies: each is followed by what is most like it and those before it. */
function order(bodies) {
  const runs = bodies.map((body) => {
    const found = new Set();
    for (let at = 0; at + TOGETHER <= body.length; at += 1) found.add(body.readUInt32LE(at));
    return found;
  });
  const holders = new Map();
  for (const [place, found] of runs.entries()) {
    for (const run of found) {
      if (!holders.has(run)) holders.set(run, []);
      holders.get(run).push(place);
    }
  }
  for (const [run, places] of holders) if (places.length === 1 || places.length >= COMMON) holders.delete(run);

  const likeness = new Float64Array(bodies.length);
  const left = new Set(bodies.keys());
  const ordered = [];
  for (let next = 0; left.size > 0;) {
    left.delete(next);
    ordered.push(next);
    for (const place of left) likeness[place] *= FADES;
    for (const run of runs[next]) {
      const places = holders.get(run) ?? [];
      // What few have tells more.
      const weight = Math.log(bodies.length / places.length);
      for (const place of places) likeness[place] += weight;
    }
    let most = -1;
    for (const place of left) {
      // A long one has something of everything.
      const share = likeness[place] / (runs[place].size + SHORT);
      if (share > most) [most, next] = [share, place];
    }
  }
  return ordered;
}

/** A number as the binary format writes it. */
function written(number) {
  const bytes = [];
  for (let left = number; ; left = Math.floor(left / 128)) {
    if (left < 128) return [...bytes, left];
    bytes.push((left % 128) + 128);
  }
}

/** The program with names, after which `wasm-opt --reorder-functions-by-name` puts like next to like. */
export function namedByLikeness(program) {
  const bodies = bodiesOf(program);
  // Functions are counted from those that the program imports.
  const imported = WebAssembly.Module.imports(new WebAssembly.Module(program)).filter(({ kind }) => kind === 'function').length;
  const rank = new Array(bodies.length);
  for (const [place, body] of order(bodies).entries()) rank[body] = place;
  const text = (letters) => [...written(letters.length), ...Buffer.from(letters)];
  const names = rank.flatMap((place, body) => [...written(imported + body), ...text(String(place).padStart(8, '0'))]);
  const list = [...written(bodies.length), ...names];
  // A section of one's own called `name`, in which 1 are the functions' names.
  const section = [...text('name'), 1, ...written(list.length), ...list];
  return Buffer.concat([program, Buffer.from([0, ...written(section.length), ...section])]);
}
