// A log from a file, read here and put into the field; nothing is sent before you press the button.
(function () {
  'use strict';
  const row = document.getElementById('trace-file');
  const text = document.getElementById('f-text');
  if (!row || !text) return;
  row.hidden = false;
  const says = document.getElementById('file-says');
  document.getElementById('file').addEventListener('change', async function (event) {
    const file = event.target.files[0];
    if (!file) return;
    if (file.size > 700000) {
      says.textContent = 'This file is too large for a form (' + Math.round(file.size / 1000) + ' kB). Cut it, or use “undershell calc trace”.';
      return;
    }
    text.value = await file.text();
    says.textContent = file.name + ': ' + text.value.split('\n').length + ' lines read.';
  });
})();
