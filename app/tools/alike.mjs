// Puts functions of a program that are alike next to each other. A compressor writes down how far back
// it saw the same bytes, and near takes less room than far: the phone's program comes out a fiftieth
// smaller than in the compiler's order.

/** Bytes that are looked for together; 4 gave less than 3, 5, 6 and 8. */
const TOGETHER = 4;
/** What stands in more functions than this says nothing about any of them. */
const COMMON = 400;
/** How much of its likeness a function keeps with each one that is put behind it. */
const FADES = 0.9;

/** Reads numbers and skips over what nobody needs, in WebAssembly's binary format (Core 1.0, 5). */
function reader(bytes) {
  let at = 8;
  const number = () => {
    let value = 0;
    for (let bits = 0; ; bits += 7) {
      const byte = bytes[at++];
      value += (byte & 127) * 2 ** bits;
      if (byte < 128) return value;
    }
  };
  const limits = () => { const kind = number(); number(); if (kind & 1) number(); };
  const imported = [
    () => { number(); return 1; }, // a function's type
    () => { at += 1; limits(); return 0; }, // a table
    () => { limits(); return 0; }, // a memory
    () => { at += 2; return 0; }, // a global
  ];
  const take = (length) => bytes.subarray(at, at += length);
  return { isOver: () => at >= bytes.length, number, take, imported: () => imported[bytes[at++]](), at: () => at, goTo: (place) => { at = place; } };
}

/** How many functions a program imports, and the bodies of its own. */
function functions(program) {
  const read = reader(program);
  let imported = 0;
  const bodies = [];
  while (!read.isOver()) {
    const [section, length] = [read.number(), read.number()];
    const end = read.at() + length;
    const each = (work) => { for (let left = read.number(); left > 0; left -= 1) work(); };
    if (section === 2) {
      each(() => {
        read.take(read.number());
        read.take(read.number());
        imported += read.imported();
      });
    }
    if (section === 10) each(() => bodies.push(read.take(read.number())));
    read.goTo(end);
  }
  return { imported, bodies };
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
      const share = likeness[place] / (runs[place].size + 20);
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
  const { imported, bodies } = functions(program);
  const rank = new Array(bodies.length);
  for (const [place, body] of order(bodies).entries()) rank[body] = place;
  const text = (letters) => [...written(letters.length), ...Buffer.from(letters)];
  const names = rank.flatMap((place, body) => [...written(imported + body), ...text(String(place).padStart(8, '0'))]);
  const list = [...written(bodies.length), ...names];
  // A section of one's own called `name`, in which 1 are the functions' names.
  const section = [...text('name'), 1, ...written(list.length), ...list];
  return Buffer.concat([program, Buffer.from([0, ...written(section.length), ...section])]);
}
