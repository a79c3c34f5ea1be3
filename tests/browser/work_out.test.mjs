// Working out inside a conversion, with script and without: a heat run, a logged current, dead track and store.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { useSite } from './harness.mjs';

const site = useSite({ command: 'demo' });

/** Presses a button and waits for the page that follows. */
async function press(view, name) {
  await Promise.all([view.page.waitForLoadState('load'), view.page.getByRole('button', { name, exact: true }).click()]);
  await view.page.waitForLoadState('load');
}

async function heatRun(view, no) {
  const { page } = view;
  await view.open(`/c/${no}/heat`);
  await view.check();
  await page.locator('#n-what').fill('decoder');
  await page.locator('#n-temp').fill('21,5');
  await page.locator('#n-taken').fill('2026-11-01 20:00');
  await press(view, 'Begin the run');
  await page.getByText('Written').first().waitFor();
  for (const [minute, temp] of [[5, 37.2], [10, 46.9], [15, 52.8], [20, 56.2], [25, 58.3], [30, 59.8]]) {
    await page.locator('summary', { hasText: 'Minutes, conditions' }).click();
    await page.locator('#f-temp').fill(String(temp));
    await page.locator('#f-minutes').fill(String(minute));
    await press(view, 'Write it down');
  }
  await page.locator('#f-limit_c').fill('70');
  await press(view, 'Keep it');
  assert.match(await page.locator('p.next').first().innerText(), /It settles at .* below the limit of 70/);
  assert.equal(await page.locator('svg.chart circle').count() >= 7, true, 'every reading is a point');
  await view.check();
}

function log() {
  const lines = ['time_s;current_mA'];
  for (let i = 0; i < 800; i += 1) {
    const running = 270 + 40 * Math.sin(2 * Math.PI * 1.8 * i * 0.02) + ((i * 7919) % 11) - 5;
    lines.push(`${(i * 0.02).toFixed(2)};${i < 100 ? 0 : running.toFixed(0)}`);
  }
  return lines.join('\n');
}

async function trace(view, no) {
  const { page } = view;
  await view.open(`/c/${no}/trace`);
  await page.locator('#f-text').fill(log());
  await page.locator('#f-turn_hz').fill('1.8');
  await press(view, 'Work it out and keep it');
  assert.match(await page.locator('p.next').first().innerText(), /once per wheel turn/);
  assert.equal(await page.locator('svg.chart[role=img]').count(), 2, 'current over time, and the swing');
  await view.check();
  await page.locator('#f-as2').selectOption('free');
  await page.locator('#f-volts').fill('12');
  await press(view, 'Write these down as readings');
  assert.match(page.url(), /\/bench\?wrote=\d+/);
}

async function track(view, no) {
  const { page } = view;
  await view.open(`/c/${no}/calc`);
  await view.check();
  await page.getByRole('link', { name: 'Over dead track', exact: true }).click();
  const group = page.locator('details', { has: page.locator('[name="sequence.0.length_mm"]') });
  if (!(await group.getAttribute('open').then((open) => open !== null))) await group.locator('summary').first().click();
  await page.locator('[name="sequence.0.length_mm"]').fill('500');
  await page.locator('[name="sequence.0.rail"]').selectOption('both');
  await press(view, 'Work it out and keep it');
  assert.match(await page.locator('p.next').first().innerText(), /Without supply for/);
  assert.equal(await page.locator('svg.strip[role=img]').count(), 1);
  await view.check();
  await view.open(`/c/${no}/calc/holdup`);
  assert.notEqual(await page.locator('[name="crossing.gap_mm"]').inputValue(), '');
  await view.check();
}

for (const [script, size, theme, no] of [[true, 'phone', 'light', 3], [false, 'phone', 'dark', 1], [true, 'desk', 'dark', 2]]) {
  const how = `${script ? 'with' : 'without'} script, ${size}, ${theme}`;
  test(`a run is logged and settles, ${how}`, async (t) => {
    await heatRun(await site.view(t, { script, size, theme }), no);
  });
  test(`a pasted log becomes a load test, ${how}`, async (t) => {
    await trace(await site.view(t, { script, size, theme }), no);
  });
}

test('the map feeds the dead track, and that the store', async (t) => {
  await track(await site.view(t, { size: 'phone' }), 3);
  await track(await site.view(t, { size: 'desk', script: false }), 2);
});

test('with script the minute is noted when the first figure is typed', async (t) => {
  const view = await site.view(t, { size: 'phone' });
  await view.open('/c/4/heat');
  await view.page.locator('#n-what').fill('motor');
  await view.page.locator('#n-temp').fill('20');
  await press(view, 'Begin the run');
  await view.page.locator('#f-temp').fill('2');
  assert.match(await view.page.locator('#f-minutes').inputValue(), /^0\.\d\d$/);
  assert.match(await view.page.locator('#heat-clock').innerText(), /^0:\d\d$/);
});

const NAMES = ['load', 'budget', 'pickup', 'isolation', 'runin', 'trace', 'heat', 'gap', 'holdup', 'lights', 'sound', 'wire'];

for (const [script, size, theme] of [[true, 'phone', 'light'], [false, 'desk', 'dark']]) {
  test(`every calculation works out its example by hand, ${script ? 'with' : 'without'} script, ${size}, ${theme}`, async (t) => {
    const view = await site.view(t, { script, size, theme });
    await view.open('/calc');
    const links = await view.page.locator('main a[href^="/calc/"]').evaluateAll((all) => all.map((a) => a.getAttribute('href').split('/').pop()));
    assert.deepEqual([...links].sort(), [...NAMES].sort());
    for (const name of NAMES) {
      await view.open(`/calc/${name}?example=1`);
      await press(view, 'Work it out');
      assert.match(await view.page.locator('#h-a').innerText(), /Answer/, name);
      assert.equal(await view.page.locator('.verdicts li').count() > 0, true, `${name} has a verdict`);
      await view.check();
    }
  });
}

test('a file of readings is taken without script, and a bad line is named by its number', async (t) => {
  const view = await site.view(t, { script: false, size: 'phone' });
  const { page } = view;
  await view.open('/c/2/trace');
  const file = (text) => ({ name: 'log.csv', mimeType: 'text/csv', buffer: Buffer.from(text) });
  view.expected.push(/422/);
  await page.locator('#f-text_file').setInputFiles(file(log().replace('\n1.00;', '\n1.00;about ')));
  await press(view, 'Work it out and keep it');
  assert.match(await page.locator('main').innerText(), /line 52/);
  await page.locator('#f-text_file').setInputFiles(file(log()));
  await press(view, 'Work it out and keep it');
  assert.equal(await page.locator('svg.chart[role=img]').count() >= 1, true);
  await view.check();
});
