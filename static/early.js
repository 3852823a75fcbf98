// Begins what a start waits for longest, before the browser has asked for anything else of the page. It
// stands in the page itself, whose policy names its hash; whatever is wrong here is found again, and
// told, by whoever asks for it later.
{
  const { wasm, database } = document.currentScript.dataset;
  const early = {
    // Compiled while it arrives.
    program: globalThis.WebAssembly?.compileStreaming?.(fetch(wasm)),
    // Opened only if there is one: stores are made by the program.
    database: database && new Promise((done, failed) => {
      const opening = indexedDB.open(database);
      opening.onupgradeneeded = () => opening.transaction.abort();
      opening.onsuccess = () => done(opening.result);
      opening.onerror = () => failed(opening.error);
    }),
  };
  const once = (read) => {
    if (document.readyState === 'loading') addEventListener('DOMContentLoaded', read);
    else read();
  };
  const make = (name, more, ...parts) => {
    const made = Object.assign(document.createElement(name), more);
    made.append(...parts);
    return made;
  };
  // The field that the page begins with takes letters before the program is there, which takes them over
  // (boot.js, which also wrote down what stands here).
  const stand = () => {
    try {
      const left = JSON.parse(localStorage.getItem('combgate-left'));
      if (!left || (left.at ?? location.hash) !== location.hash) return;
      const { language, heading, place, below, label, field: { id, className, type, inputMode } } = left;
      const block = make('div', { className: 'field' },
        make('label', { htmlFor: id }, label), make('input', { id, className, type, inputMode, autocomplete: 'off' }));
      block.style.marginTop = `${below}px`;
      const boot = document.getElementById('boot');
      boot.prepend(make('div', { className: 'frame', lang: language },
        make('header', { className: 'top' }, make('p', { className: 'top-name' }, document.title)),
        make('div', { className: 'screen' },
          make('h1', {}, heading, ' ', make('span', { className: 'hint' }, place)), block)));
      boot.className = 'begun';
    } catch { /* what is kept nowhere, or is something else, is no reason not to start */ }
  };
  once(stand);
  // Should the script behind this one not come, nobody else is there to say so. The box is away once the
  // program stands.
  const failed = () => {
    const boot = document.getElementById('boot');
    if (!boot) return;
    boot.className = '';
    document.getElementById('boot-failed').hidden = false;
  };
  addEventListener('error', () => once(failed), true);
  for (const begun of Object.values(early)) begun?.catch?.(() => {});
  globalThis.combgateEarly = early;
}
