// A failed decoder with its review and the snag it leaves, on the phone and at the desk, script on and off; and the prints, on one page each.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { TARGET, useSite } from './harness.mjs';

const site = useSite({ command: 'demo' });

/** Presses a button and waits for the page that comes of it. */
async function press(page, locator) {
  await Promise.all([page.waitForNavigation(), locator.click()]);
}

const button = (page, name) => page.getByRole('button', { name, exact: true });

async function openConversion(page, view, title) {
  await view.open('/people');
  await press(page, button(page, 'Ines'));
  await view.open('/conversions/new');
  await page.getByLabel('Title').fill(title);
  await page.getByLabel('Drive').selectOption({ label: 'Rigid frame, worm to an axle' });
  await page.getByLabel('Motor').selectOption({ label: 'Open frame' });
  await page.getByLabel('Pickup').selectOption({ label: 'Wipers to a board or wires' });
  await page.getByLabel('Frame').selectOption({ label: 'Cast metal, one piece' });
  await press(page, button(page, 'Write it down'));
  return Number(new URL(page.url()).pathname.split('/').pop());
}

/** A decoder that is here and fitted. */
async function fitDecoder(page, view, no) {
  await view.open(`/c/${no}/parts`);
  const form = page.locator(`form[action="/c/${no}/parts"]`);
  await form.getByLabel('Part', { exact: true }).fill('decoder, 0.7 A');
  await form.getByLabel('Kind', { exact: true }).selectOption('decoder');
  await form.locator('select[name=state]').selectOption('arrived');
  await press(page, form.getByRole('button', { name: 'Write it down' }));
  await page.getByRole('link', { name: 'decoder, 0.7 A' }).first().click();
  await page.waitForURL(/\/parts\/\d+$/);
  await press(page, button(page, 'Fitted'));
  return new URL(page.url()).pathname;
}

for (const size of ['phone', 'desk']) {
  for (const script of [true, false]) {
    test(`a failed decoder on the ${size}, script ${script ? 'on' : 'off'}`, { timeout: 5 * 60_000 }, async (t) => {
      const view = await site.view(t, { size, script });
      const { page } = view;
      const no = await openConversion(page, view, `Quarry engine ${size} ${script}`);

      await t.test('lessons of like models stand before the start', async () => {
        const before = await page.locator('#before').innerText();
        assert.match(before, /Hold the motor before you order/);
        assert.match(before, /4 of 4/);
        await view.check();
      });
      const part = await fitDecoder(page, view, no);

      await t.test('the review begins at the snag and knows what was changed last', async () => {
        await view.open(`/c/${no}/snags`);
        await page.getByLabel('What', { exact: true }).fill('Decoder smelt and went dark after a minute.');
        await page.getByLabel('How bad').selectOption('dangerous');
        await page.getByLabel('Blocks').selectOption({ label: 'first power' });
        await press(page, button(page, 'Write it down'));
        await page.getByRole('link', { name: /^write its review/ }).click();
        await page.waitForURL(/reviews\/new/);
        assert.equal(await page.getByLabel('In your words', { exact: true }).inputValue(), 'Decoder smelt and went dark after a minute.');
        await page.getByLabel('What was seen').selectOption('smoked');
        const offered = await page.getByLabel('What was changed last', { exact: true }).locator('option').allInnerTexts();
        assert.match(offered[1], /decoder, 0\.7 A/);
        await page.getByLabel('What was changed last', { exact: true }).selectOption({ index: 1 });
        await page.getByLabel('Work it cost').fill('1,5');
        await view.check();
        await press(page, button(page, 'Write it down'));
        assert.match(await page.locator('main').innerText(), /No cause is named yet/);
        await view.check();
      });
      const review = new URL(page.url()).pathname;

      await t.test('a cause is named and stands on evidence', async () => {
        await page.getByLabel('Cause', { exact: true }).selectOption('lead_joined');
        await page.getByLabel('How sure').selectOption('likely');
        await press(page, button(page, 'Name this cause'));
        await page.getByRole('link', { name: /^Evidence, and how sure/ }).click();
        await page.waitForURL(/causes\//);
        await page.getByLabel('Record', { exact: true }).selectOption({ index: 1 });
        await page.locator('#add').getByLabel('In your words').fill('the lead lay bare on the frame');
        await press(page, button(page, 'Write this down'));
        await view.check();
        await view.open(review);
        assert.match(await page.locator('.cause').innerText(), /likely[\s\S]*for[\s\S]*the lead lay bare on the frame/);
      });

      await t.test('the part is lost here and dead on its own page', async () => {
        await page.getByLabel('Part', { exact: true }).selectOption({ index: 1 });
        await press(page, button(page, 'This part was lost'));
        await view.open(part);
        assert.match(await page.locator('main').innerText(), /dead[\s\S]*lost, see review/);
      });

      await t.test('it leaves a snag that blocks, and closes with its lesson', async () => {
        await view.open(review);
        await page.locator('summary', { hasText: 'Leave a snag open' }).click();
        await page.getByLabel('What is left to be put right').fill('Sleeve both lamp leads.');
        await page.locator('#left').getByLabel('Blocks').selectOption({ label: 'first power' });
        await press(page, button(page, 'Leave this snag'));
        await page.locator('textarea[name=lesson]').fill('Sleeve every lamp lead before the first power.');
        await press(page, button(page, 'Write it down and close'));
        assert.match(await page.locator('main').innerText(), /Closed[\s\S]*Sleeve every lamp lead/);
        await view.check();
        await view.open(`/c/${no}/gates/first_power`);
        assert.match(await page.locator('main').innerText(), /Sleeve both lamp leads/);
        await view.open('/lessons?symptom=smoked&drive=rigid_worm');
        assert.match(await page.locator('main').innerText(), /Sleeve every lamp lead before the first power/);
        await view.check();
        await view.open(`/c/${no}/review`);
        await view.check();
      });
    });
  }
}

/** Pages of a PDF, by its page objects. */
const pages = (pdf) => (pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) ?? []).length;

test('the sheet for the box and the labels are one page each on A4 and Letter', async (t) => {
  const view = await site.view(t, {});
  const { page } = view;
  const folder = path.join(TARGET, 'screenshots');
  mkdirSync(folder, { recursive: true });
  for (const no of [1, 4]) {
    for (const sheet of ['box', 'labels']) {
      await view.open(`/c/${no}/${sheet}`);
      await view.check();
      for (const format of ['A4', 'Letter']) {
        const pdf = await page.pdf({ format, preferCSSPageSize: false });
        writeFileSync(path.join(folder, `${sheet}-${no}-${format}.pdf`), pdf);
        assert.equal(pages(pdf), 1, `${sheet} of № ${no} on ${format}`);
      }
    }
  }
});
