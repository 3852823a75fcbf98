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
  // Should the script behind this one not come, nobody else is there to say so. The box is away once the
  // program stands.
  const failed = () => {
    const told = document.getElementById('boot-failed');
    if (told) told.hidden = false;
  };
  addEventListener('error', () => {
    if (document.readyState === 'loading') addEventListener('DOMContentLoaded', failed);
    else failed();
  }, true);
  for (const begun of Object.values(early)) begun?.catch?.(() => {});
  globalThis.combgateEarly = early;
}
