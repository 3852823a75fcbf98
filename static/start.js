// Starts the program. The build makes one script of this file, of the one that wasm-bindgen writes,
// here called `program`, and of what that brings along: a page waits for each file that it asks for.
import program from 'program';

// The browser says once that the page can be installed; the page offers it where it is looked for.
addEventListener('beforeinstallprompt', (event) => {
  event.preventDefault();
  globalThis.combgateInstall = event;
});

// A fault in the program ends it where it stands, without a word; what is on the page is dead then.
const stopped = (problem) => {
  if (problem instanceof WebAssembly.RuntimeError) document.getElementById('stopped').hidden = false;
};
addEventListener('error', (event) => stopped(event.error));
addEventListener('unhandledrejection', (event) => stopped(event.reason));

const read = document.readyState !== 'loading'
  || new Promise((done) => { addEventListener('DOMContentLoaded', done); });

async function start() {
  // What early.js began; where that came to nothing, the program's script knows other ways.
  const compiled = await globalThis.combgateEarly?.program?.catch(() => {});
  await read;
  const boot = document.getElementById('boot');
  try {
    await program({ module_or_path: compiled ?? fetch(boot.dataset.wasm) });
    // A program that is not ready to show anything takes it away itself.
    if (document.body.lastElementChild !== boot) boot.remove();
  } catch (problem) {
    console.error(problem);
    // Nobody is there to take letters.
    boot.className = '';
    document.getElementById('boot-failed').hidden = false;
  }
}

start();
