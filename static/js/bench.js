// What paper can't do at the bench: the held current at the decoder as you type, and two seconds.
// Without it the server works everything out on Write.
(function () {
  'use strict';
  const form = document.getElementById('lt');
  if (!form) return;
  const held = document.getElementById('f-held');
  const volts = document.getElementById('f-volts');
  const heldVolts = document.getElementById('f-held_volts');
  const live = document.getElementById('live');
  const read = (field) => {
    const text = field.value.trim().replace(',', '.');
    const match = /^([0-9]*\.?[0-9]+)\s*(m?[AaVv])?$/.exec(text);
    if (!match) return NaN;
    return Number(match[1]) * (match[2] && /^m/.test(match[2]) ? 0.001 : 1);
  };
  function sum() {
    const output = Number(form.dataset.output);
    const rating = Number(form.dataset.rating);
    const amps = read(held);
    const at = heldVolts.value.trim() ? read(heldVolts) : read(volts);
    const known = amps > 0 && at > 0 && output > 0;
    live.hidden = !known;
    if (!known) return;
    const there = (amps * output) / at;
    const shown = (Math.ceil(there * 100 - 1e-9) / 100).toFixed(2);
    let words = 'Held at ' + output.toFixed(1) + '\u00a0V on the motor: ' + shown + '\u00a0A';
    if (rating > 0) {
      const left = Math.floor((1 - there / rating) * 100 + 1e-9);
      words += ' of ' + rating.toFixed(2) + '\u00a0A, headroom ' + String(left).replace('-', '\u2212') + '\u00a0%';
    }
    live.textContent = words + '. Written down, the bounds are counted too.';
  }
  for (const field of [held, volts, heldVolts]) field.addEventListener('input', sum);
  sum();
  const go = document.getElementById('go');
  const out = document.getElementById('tm');
  let timer;
  go.hidden = false;
  go.addEventListener('click', function () {
    clearInterval(timer);
    const end = Date.now() + 2000;
    timer = setInterval(function () {
      const left = end - Date.now();
      if (left > 0) {
        out.textContent = (left / 1000).toFixed(1) + '\u00a0s';
        return;
      }
      clearInterval(timer);
      out.textContent = 'Let go. Write what it read.';
      held.focus();
      if (navigator.vibrate) navigator.vibrate(300);
    }, 100);
  });
})();
