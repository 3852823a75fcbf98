// Starts the program.
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

const boot = document.getElementById('boot');
try {
  const address = (path) => new URL(path, document.baseURI).href;
  const [program, compiled] = await Promise.all([
    import(address(boot.dataset.js)),
    // What early.js began; where that came to nothing, the program's script knows other ways.
    globalThis.combgateEarly?.program?.catch(() => {}),
  ]);
  await program.default({ module_or_path: compiled ?? fetch(address(boot.dataset.wasm)) });
  // A program that is not ready to show anything takes it away itself.
  if (document.body.lastElementChild !== boot) boot.remove();
} catch (problem) {
  console.error(problem);
  document.getElementById('boot-failed').hidden = false;
}
