// The wiring list through the browser: three wires, the drawing, a clash, put right; on phone and desk, script on and off.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { TARGET, useSite } from './harness.mjs';

const site = useSite({ command: 'serve' });

/** Presses a button and waits for the page that comes of it. */
async function press(page, locator) {
  await Promise.all([page.waitForNavigation(), locator.click()]);
}

const writeIt = (page) => page.getByRole('button', { name: 'Write it down', exact: true });

async function openConversion(page, view, title) {
  await view.open('/conversions/new');
  await page.getByLabel('Title').fill(title);
  await page.getByLabel('Drive').selectOption({ index: 1 });
  await page.getByLabel('Motor').selectOption({ label: 'Can motor, two tags' });
  await page.getByLabel('Pickup').selectOption({ index: 1 });
  await page.getByLabel('Frame').selectOption({ label: 'Cast metal, one piece' });
  await press(page, writeIt(page));
  return Number(new URL(page.url()).pathname.split('/').pop());
}

/** Writes a wire down; what is not said stays as the form offers it. */
async function wire(page, { terminal, to, colour, gauge }) {
  await page.getByLabel('Terminal', { exact: true }).selectOption(terminal);
  await page.getByLabel('Goes to', { exact: true }).selectOption(to);
  await page.getByLabel('Colour found', { exact: true }).selectOption(colour);
  if (gauge) await page.getByLabel('Gauge', { exact: true }).fill(gauge);
  await page.getByLabel('State', { exact: true }).selectOption('done');
  await press(page, writeIt(page));
}

/** The words in the drawing, as they are seen. */
const drawn = (page) => page.locator('svg.wd[role=img]').locator('text').allTextContents();

for (const size of ['phone', 'desk']) {
  for (const script of [true, false]) {
    test(`wires are written, drawn and put right on the ${size}, script ${script ? 'on' : 'off'}`, async (t) => {
      const view = await site.view(t, { size, script });
      const { page } = view;
      const no = await openConversion(page, view, `Shunter ${size} ${script ? 'with' : 'without'} script`);

      await view.open(`/c/${no}/wiring`);
      assert.match(await page.locator('.empty').first().innerText(), /Write down the first: red/);
      await view.check();

      await wire(page, { terminal: 'track_right', to: 'rail_right', colour: 'red', gauge: 'AWG 28' });
      assert.match(await page.getByRole('status').innerText(), /Written: wire 1, track right to right rail\./);
      assert.equal(await page.getByLabel('Terminal', { exact: true }).inputValue(), 'track_left', 'the next lead is offered');
      await wire(page, { terminal: 'track_left', to: 'rail_left', colour: 'black' });
      // the clash: motor + on the frame, and in a colour that is not its own
      await wire(page, { terminal: 'motor_plus', to: 'frame', colour: 'grey' });

      const words = await drawn(page);
      for (const word of ['1 red', '2 black', '3 grey danger', 'frame', 'motor −', 'nothing written']) {
        assert.ok(words.includes(word), `${word} in ${words.join(' | ')}`);
      }
      const found = await page.locator('.verdicts').innerText();
      assert.match(found, /Motor \+ is joined to the frame by wire 3\./);
      assert.match(found, /Wire 3 on motor \+ is grey; the standard says orange\./);
      await page.locator('summary', { hasText: 'Why danger' }).first().click();
      assert.match(await page.locator('details.why[open]').first().innerText(), /Source\.[\s\S]*S-9\.1\.1/);
      await view.check();
      await view.shot(`wiring-clash-${script ? 'script' : 'plain'}`);

      await t.test('the gate says so', async () => {
        await view.open(`/c/${no}/gates/first_power`);
        const box = page.locator('li.check').filter({ has: page.getByRole('heading', { name: 'Every wire is where it should be', exact: true }) });
        assert.match(await box.innerText(), /danger[\s\S]*can’t be judged away/);
        await view.check();
      });

      await t.test('put right, the clash is gone and the change is kept', async () => {
        await view.open(`/c/${no}/wiring`);
        await page.getByRole('link', { name: 'Wire 3 motor +' }).click();
        await page.waitForURL(`**/c/${no}/wiring/3`);
        await view.check();
        await page.getByLabel('Goes to', { exact: true }).selectOption('brush_a');
        await page.getByLabel('Colour found', { exact: true }).selectOption('orange');
        await press(page, writeIt(page));
        const words = await drawn(page);
        assert.ok(words.includes('3 orange') && words.includes('brush A'), words.join(' | '));
        assert.doesNotMatch(await page.locator('main').innerText(), /is joined to/);
        assert.match(await page.locator('#wire-3').innerText(), /changed/);
        await view.open(`/c/${no}/circuit`);
        assert.ok((await drawn(page)).includes('3 orange'));
        await view.check();
        await view.open(`/c/${no}/history`);
        assert.match(await page.locator('main').innerText(), /wire 3 changed/);
      });
    });
  }
}

test('the list prints on A4', async (t) => {
  const view = await site.view(t, { size: 'desk' });
  const { page } = view;
  const no = await openConversion(page, view, 'Shunter on paper');
  await view.open(`/c/${no}/wiring`);
  await wire(page, { terminal: 'track_right', to: 'rail_right', colour: 'red', gauge: 'AWG 28' });
  await wire(page, { terminal: 'light_front', to: 'lamp', colour: 'white', gauge: 'AWG 32' });
  await view.open(`/c/${no}/wiring`);
  const folder = path.join(TARGET, 'screenshots');
  mkdirSync(folder, { recursive: true });
  const pdf = await page.pdf({ format: 'A4', path: path.join(folder, 'wiring.pdf') });
  assert.ok(pdf.byteLength > 5_000);
  await page.emulateMedia({ media: 'print' });
  assert.ok(await page.locator('svg.wd[role=img]').isVisible());
  assert.equal(await page.locator('#add').isVisible(), false, 'the form is not printed');
  const { width } = await page.locator('svg.wd[role=img]').boundingBox();
  assert.ok(width > 200, `${width}`);
});
