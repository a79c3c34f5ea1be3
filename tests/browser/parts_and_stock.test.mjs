// A part from wanted to fitted, and a chassis swapped: phone and desk, script on and off.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { useSite } from './harness.mjs';
import { button, openConversion, press, sayWhoIsWriting } from './steps.mjs';

const site = useSite({ command: 'serve' });

/** Writes a part down as wanted, holding up a gate; gives its number. */
async function want(page, view, no, { name, kind, blocks }) {
  await view.open(`/c/${no}/parts`);
  await page.getByLabel('Part', { exact: true }).fill(name);
  await page.getByLabel('Kind').selectOption({ label: kind });
  await page.getByLabel('Holds up').selectOption({ label: blocks });
  await press(page, button(page, 'Write it down'));
  return Number(new URL(page.url()).hash.replace('#part-', ''));
}

/** Takes a part on by the button that says so. */
async function step(page, view, part, verb) {
  await view.open(`/parts/${part}`);
  await press(page, button(page, verb));
}

async function thing(page, view, no, { kind, name, mark }) {
  await view.open(no ? `/c/${no}/stock` : '/drawer');
  await page.getByLabel('Kind').last().selectOption({ label: kind });
  await page.getByRole('textbox', { name: 'What it is', exact: true }).fill(name);
  await page.locator('input[name=mark]').fill(mark);
  await press(page, button(page, 'Write it down'));
}

for (const size of ['phone', 'desk']) {
  for (const script of [true, false]) {
    test(`parts and stock on the ${size}, script ${script ? 'on' : 'off'}`, { timeout: 5 * 60_000 }, async (t) => {
      const view = await site.view(t, { size, script });
      const { page } = view;
      await sayWhoIsWriting(page, view, `Ines ${size} ${script}`);
      const no = await openConversion(page, view, `Diesel ${size} ${script ? 'with' : 'without'} script`);
      const gate = async () => {
        await view.open(`/c/${no}/gates/close`);
        return page.locator('li.check').filter({ has: page.getByRole('heading', { name: 'Parts are here' }) }).innerText();
      };

      await t.test('a part goes from wanted to fitted, and the gate waits for it until it is here', async () => {
        const part = await want(page, view, no, { name: 'Flat speaker, 8 Ω', kind: 'speaker', blocks: 'close' });
        await view.check();
        assert.match(await gate(), /0 of 1 here[\s\S]*Order part/);
        await step(page, view, part, 'Ordered');
        assert.match(await gate(), /0 of 1 here[\s\S]*when part \d+ \(Flat speaker, 8 Ω\) arrives/);
        for (const verb of ['Shipped', 'Arrived']) await step(page, view, part, verb);
        assert.match(await gate(), /1 of 1 here/);
        for (const verb of ['Proved on the bench', 'Fitted']) await step(page, view, part, verb);
        assert.match(await page.locator('.history').innerText(), /fitted[\s\S]*proved[\s\S]*arrived[\s\S]*shipped[\s\S]*ordered[\s\S]*wanted/);
        await view.check();
        await view.open(`/c/${no}/parts`);
        assert.match(await page.locator('main').innerText(), /1 fitted/);
      });

      await t.test('the wrong step is taken back, and the gate waits again', async () => {
        const part = await want(page, view, no, { name: 'Lamps', kind: 'lamp or LED', blocks: 'close' });
        for (const verb of ['Ordered', 'Arrived']) await step(page, view, part, verb);
        await view.open(`/parts/${part}`);
        await press(page, page.getByRole('button', { name: /^Take back/ }));
        assert.match(await gate(), /1 of 2 here/);
      });

      await t.test('a chassis is swapped, and what was found on the old one is asked for again', async () => {
        await view.open(`/c/${no}/look/runs_smoothly`);
        await press(page, button(page, 'yes'));
        await thing(page, view, no, { kind: 'chassis', name: 'cast chassis', mark: `A ${size} ${script}` });
        await thing(page, view, 0, { kind: 'chassis', name: 'sprung chassis', mark: `B ${size} ${script}` });
        await view.open(`/c/${no}/stock`);
        await press(page, page.getByRole('link', { name: /^Swap/ }).first());
        await page.getByRole('radio', { name: new RegExp(`B ${size} ${script}`) }).check({ force: true });
        await page.getByLabel('Why').fill('The old one is cracked at the keep plate.');
        await view.check();
        await press(page, button(page, 'Swap'));
        await view.open(`/c/${no}/stock`);
        const sits = await page.locator('main').innerText();
        assert.ok(sits.includes(`B ${size} ${script}`), sits);
        await view.open('/drawer');
        assert.ok((await page.locator('main').innerText()).includes(`A ${size} ${script}`));
        await view.open(`/c/${no}/gates/order`);
        const survey = page.locator('li.check').filter({ has: page.getByRole('heading', { name: 'Survey is complete' }) });
        assert.match(await survey.innerText(), /Repeat “Does it run smoothly/);
        await view.check();
      });
    });
  }
}
