// The time since switching on, running; and the minute of a reading, noted when its first figure is typed.
// Without it the notebook takes its own clock when the form arrives.
(function () {
  'use strict';
  const form = document.getElementById('heat');
  if (!form || form.dataset.over === 'true' || !document.getElementById('heat-clock')) return;
  const began = performance.now() - Number(form.dataset.elapsed) * 1000;
  const clock = document.getElementById('heat-clock');
  const next = document.getElementById('heat-next');
  const temp = document.getElementById('f-temp');
  const minutes = document.getElementById('f-minutes');
  const seconds = () => Math.max(0, (performance.now() - began) / 1000);
  let due;
  function tick() {
    const now = seconds();
    const whole = Math.floor(now);
    clock.textContent = Math.floor(whole / 60) + ':' + String(whole % 60).padStart(2, '0');
    if (due === undefined) due = now < 600 ? (Math.floor(now / 120) + 1) * 120 : (Math.floor(now / 300) + 1) * 300;
    const wait = due - whole;
    next.textContent = wait > 0 ? 'since switching on. Read again at ' + due / 60 + ' min.' : 'since switching on. Read it now.';
    if (wait === 0 && navigator.vibrate) navigator.vibrate(200);
  }
  tick();
  setInterval(tick, 1000);
  temp.addEventListener('input', function () {
    if (temp.value === '') minutes.value = '';
    else if (minutes.value === '') minutes.value = (seconds() / 60).toFixed(2);
  });
})();
