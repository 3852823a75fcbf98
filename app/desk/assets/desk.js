// Makes the import better where scripts run: files may be dropped, they are sent one after the other,
// and the page says how far it is. What did not go through can be sent again. Everything is done
// without it too.

/** Sends one file as the form would; calls back with how much of it has gone, 0 to 1. */
function send(form, input, file, far) {
  return new Promise((done, failed) => {
    const fields = new FormData();
    // The token comes first: the desk reads nothing of a form before it.
    for (const hidden of form.querySelectorAll('input[type=hidden]')) fields.append(hidden.name, hidden.value);
    fields.append(input.name, file, file.name);
    const request = new XMLHttpRequest();
    request.open('POST', form.action);
    request.responseType = 'document';
    request.upload.addEventListener('progress', (event) => {
      if (event.lengthComputable) far(event.loaded / event.total);
    });
    request.addEventListener('load', () => {
      const results = request.response?.querySelectorAll('section.result') ?? [];
      // Signed out meanwhile, or refused as a whole: the page that came has no result.
      const handBack = request.response?.querySelector('section.hand-back');
      if (request.status === 200 && results.length > 0) done({ results, handBack });
      else failed();
    });
    request.addEventListener('error', failed);
    request.addEventListener('timeout', failed);
    request.send(fields);
  });
}

function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (_, name) => values[name]);
}

for (const form of document.querySelectorAll('form.drop')) {
  const input = form.querySelector('input[type=file]');
  const button = form.querySelector('button');
  const say = form.dataset;
  const hint = document.createElement('p');
  hint.className = 'quiet';
  hint.textContent = say.drop;
  input.after(hint);
  const over = (event) => {
    event.preventDefault();
    form.classList.add('over');
  };
  form.addEventListener('dragenter', over);
  form.addEventListener('dragover', over);
  form.addEventListener('dragleave', () => form.classList.remove('over'));
  form.addEventListener('drop', (event) => {
    event.preventDefault();
    form.classList.remove('over');
    if (event.dataTransfer.files.length > 0) input.files = event.dataTransfer.files;
  });

  const said = document.createElement('p');
  said.setAttribute('role', 'status');
  const bar = document.createElement('progress');
  bar.setAttribute('aria-label', say.busy);
  const results = document.createElement('div');
  let left = [];

  /** One place for what is to be handed back, each handset's once. */
  function give(handBack) {
    const known = results.querySelector('section.hand-back ul');
    if (!known) {
      results.prepend(handBack);
      return;
    }
    for (const item of handBack.querySelectorAll('li')) {
      const href = item.querySelector('a').getAttribute('href');
      if (![...known.querySelectorAll('a')].some((link) => link.getAttribute('href') === href)) known.append(item);
    }
  }

  async function go() {
    button.disabled = true;
    said.className = 'notice';
    said.textContent = say.busy;
    form.append(said, bar);
    form.after(results);
    const all = left.length;
    bar.max = all;
    bar.value = 0;
    while (left.length > 0) {
      const at = all - left.length;
      const [file] = left;
      said.textContent = fill(say.at, { number: at + 1, count: all, file: file.name });
      try {
        const found = await send(form, input, file, (part) => {
          // What has gone is half of it: the desk checks and books after that.
          bar.value = at + part / 2;
        });
        if (found.handBack) give(found.handBack);
        results.append(...found.results);
        left = left.slice(1);
        bar.value = at + 1;
      } catch {
        said.className = 'notice bad';
        said.textContent = fill(say.broke, { file: file.name, left: left.length });
        button.textContent = say.on;
        button.disabled = false;
        button.focus();
        return;
      }
    }
    said.className = 'notice good';
    said.textContent = fill(say.all, { count: all });
    bar.remove();
    form.reset();
    button.textContent = say.take;
    button.disabled = false;
  }

  input.addEventListener('change', () => {
    // Other files were chosen: what was left of the earlier ones is not sent with them.
    left = [];
    button.textContent = say.take;
  });
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    if (left.length === 0) left = [...input.files];
    if (left.length > 0) go();
  });
}
