// Makes the import better where scripts run: files may be dropped, and the page says that it works.
// Everything is done without it too.

for (const form of document.querySelectorAll('form.drop')) {
  const input = form.querySelector('input[type=file]');
  const hint = document.createElement('p');
  hint.className = 'quiet';
  hint.textContent = form.dataset.drop;
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
  form.addEventListener('submit', () => {
    const busy = document.createElement('p');
    busy.setAttribute('role', 'status');
    busy.className = 'notice';
    busy.textContent = form.dataset.busy;
    form.append(busy, document.createElement('progress'));
    form.querySelector('button').disabled = true;
  });
}
