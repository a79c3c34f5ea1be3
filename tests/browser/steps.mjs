// What people do in every story: press, say who writes, open a conversion.

/** Presses a button and waits for the page that comes of it. */
export async function press(page, locator) {
  await Promise.all([page.waitForNavigation(), locator.click()]);
}

/** The button of that name. */
export const button = (page, name) => page.getByRole('button', { name, exact: true });

/** Adds a person, who writes from then on. */
export async function sayWhoIsWriting(page, view, name) {
  await view.open('/people');
  await page.getByRole('textbox', { name: 'Name', exact: true }).fill(name);
  await press(page, button(page, 'Write it down'));
}

/** Opens a conversion by its form; gives its number. */
export async function openConversion(page, view, title) {
  await view.open('/conversions/new');
  await page.getByLabel('Title').fill(title);
  await page.getByLabel('Body').selectOption({ label: 'Box body, cabs at the ends' });
  await page.getByLabel('Wheel arrangement').fill('Bo-Bo');
  await page.getByLabel('Drive').selectOption({ label: 'Both bogies driven by shafts' });
  await page.getByLabel('Motor').selectOption({ label: 'Can motor, two tags' });
  await page.getByLabel('Pickup').selectOption({ label: 'Bogies wired to a board' });
  await page.getByLabel('Frame').selectOption({ label: 'Cast metal, one piece' });
  // 13.4 V on the rails are 12.0 V on the motor: the figures of the test stay as they are read
  await page.getByLabel('Track voltage').fill('13,4');
  await press(page, button(page, 'Write it down'));
  const no = Number(new URL(page.url()).pathname.split('/').pop());
  await view.check();
  return no;
}
