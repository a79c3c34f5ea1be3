// What a person does on these pages, by label and role, for the tests that follow a job through the browser.
import assert from 'node:assert/strict';

export const WHEELS = ['L1', 'R1', 'L2', 'R2', 'L3', 'R3', 'L4', 'R4'];
export const WRITE = 'Write it down';

/** A quantity on a page stands with a no-break space, which a pattern here writes as a plain one. */
export const plain = (text) => text.replace(/[\u00a0\u202f]/g, ' ').replace(/\s+/g, ' ');

/** The button of that name within a page or a part of it. */
export const button = (within, name) => within.getByRole('button', { name, exact: true });

/** The link of that name. */
export const link = (within, name) => within.getByRole('link', { name, exact: true });

/** A text field of that label. */
export const field = (within, name) => within.getByRole('textbox', { name, exact: true });

/** Taps on the phone, clicks on the desk. */
export const touch = (view, locator) => (view.settings.hasTouch ? locator.tap() : locator.click());

/** Touches what leads to another page, and waits until that has loaded and was read. Gives its status. */
export async function press(view, locator) {
  const [response] = await Promise.all([view.page.waitForNavigation({ waitUntil: 'load' }), touch(view, locator)]);
  await Promise.all(view.reading);
  return response?.status() ?? 200;
}

/** Presses a button whose form is refused: the page comes back with 422 and the fields as they were typed. */
export async function refused(view, locator, status = 422) {
  view.expect(new RegExp(`status of ${status}`));
  assert.equal(await press(view, locator), status, `${view.where()}: status`);
}

/** Follows a link of that name. */
export const follow = (view, name, within = view.page) => press(view, link(within, name));

/** A section of a sheet, by its heading. */
export const section = (page, heading) =>
  page.getByRole('region').filter({ has: page.getByRole('heading', { name: heading, exact: true }) });

/** Opens a sheet of the conversion by its strip: Overview, Bench, Circuit, Parts, Review. */
export const turnTo = (view, sheet) =>
  press(view, view.page.getByRole('navigation', { name: 'Sheets of this conversion' }).getByRole('link', { name: sheet }));

/** Opens a fold by its summary and gives the whole of it. */
export async function unfold(view, within, summary) {
  const fold = within.locator('details').filter({ has: view.page.locator('summary', { hasText: summary }) }).first();
  await touch(view, fold.locator('summary'));
  assert.equal(await fold.evaluate((details) => details.open), true, `${summary} opens`);
  return fold;
}

/** Says who is writing on this device, from the line at the top. */
export async function signIn(view, name) {
  await view.open('/');
  await follow(view, 'Who is writing?');
  await view.check();
  await field(view.page, 'Name').fill(name);
  await press(view, button(view.page, WRITE));
  assert.equal(view.where(), '/');
  assert.equal(await link(view.page, name).count(), 1, `${name} stands at the top`);
}

/** Chooses a name that is already in the notebook. */
export async function chooseName(view, name) {
  await view.open('/people');
  await press(view, view.page.getByRole('button', { name: new RegExp(`^${name}`) }));
}

/** Writes down an instrument with the accuracy of one current range, by the navigation. */
export async function addMeter(view, name, { upTo, percent, digits, step }) {
  await view.open('/');
  await follow(view, 'Instruments', view.page.getByRole('navigation', { name: 'Main' }));
  await view.check();
  const first = link(view.page, 'Write the first one down');
  await press(view, (await first.count()) > 0 ? first : link(view.page, 'New instrument'));
  await view.check();
  await field(view.page, 'Name').fill(name);
  const range = view.page.getByRole('group', { name: 'Range 1' });
  await range.getByLabel('Measures').selectOption({ label: 'current' });
  await range.getByLabel('Up to').fill(upTo);
  await range.getByLabel('% of reading').fill(percent);
  await range.getByLabel('Digits').fill(digits);
  await range.getByLabel('One step').fill(step);
  await press(view, button(view.page, WRITE));
  assert.match(plain(await view.page.getByRole('main').innerText()), new RegExp(name));
}

/** Opens a conversion of a Bo-Bo with both bogies driven, from the shelf. Gives its number. */
export async function newConversion(view, title) {
  await view.open('/');
  const first = link(view.page, 'Write down the first conversion');
  await press(view, (await first.count()) > 0 ? first : link(view.page, 'New conversion'));
  await view.check();
  const { page } = view;
  await field(page, 'Title').fill(title);
  await page.getByLabel('Scale and gauge').selectOption('H0');
  await page.getByLabel('Body').selectOption({ label: 'Box body, cabs at the ends' });
  await page.getByLabel('Wheel arrangement').fill('Bo-Bo');
  await page.getByLabel('Drive').selectOption({ label: 'Both bogies driven by shafts' });
  await page.getByLabel('Motor', { exact: true }).selectOption({ label: 'Can motor, two tags' });
  await page.getByLabel('Pickup').selectOption({ label: 'Bogies wired to a board' });
  await page.getByLabel('Frame').selectOption({ label: 'Cast metal, one piece' });
  // 13.4 V on the rails leave 12.0 V for the motor: the currents of the test need no conversion.
  await page.getByLabel('Track voltage').fill('13,4');
  await press(view, button(page, WRITE));
  assert.match(view.where(), /^\/c\/\d+$/);
  return Number(view.where().split('/').pop());
}

/** Fills in the load test of the published case. Common practice, no source: 12 V, 0.27 / 0.32 / 0.80 A. */
export async function fillLoadTest(view) {
  const test = view.page.locator('#test');
  await field(test, 'Voltage at the loco').fill('12');
  await field(test, 'Free').fill('270 mA');
  await field(test, 'Slipping').fill('0,32');
  await field(test, 'Held').fill('0.80');
}

/** Writes down a decoder of 1.0 A, from the sheet Parts. */
export async function chooseDecoder(view) {
  await turnTo(view, 'Parts');
  await view.check();
  const form = view.page.locator('#decoder');
  await field(form, 'Name').fill('decoder, 1 A');
  await field(form, 'Motor, continuous').fill('1.0 A');
  await field(form, 'Everything together').fill('1000 mA');
  await press(view, button(form, WRITE));
}

/** The box of a check on a gate's page. */
export const check = (page, title) =>
  page.locator('li.check').filter({ has: page.getByRole('heading', { name: title, exact: true }) });

/** Title and aspect of every check on the open gate's page. */
export const aspects = (page) =>
  page
    .locator('li.check')
    .evaluateAll((boxes) => boxes.map((box) => [box.querySelector('h3').textContent, box.querySelector('.line1 .asp').textContent.trim()]));

/** From anywhere within a conversion to one of its gates, by the line on the Overview. */
export async function toGate(view, gate) {
  await turnTo(view, 'Overview');
  await follow(view, gate, section(view.page, 'The line'));
}

/** Picks a wheel on the map and says what it reads. */
export async function readWheel(view, wheel, reads) {
  const map = view.page.locator('#map');
  await touch(view, map.locator('label', { hasText: new RegExp(`^${wheel}`) }));
  await press(view, map.getByRole('button', { name: reads }));
}

/** How many readings the notebook counts for this conversion, by the Overview. */
export async function readingsOf(view, no) {
  await view.open(`/c/${no}`);
  const words = await section(view.page, 'Latest readings').getByRole('link', { name: /^All \d+$/ }).innerText();
  return Number(words.replace('All ', ''));
}
