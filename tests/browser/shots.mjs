// Pictures for people to look at: node shots.mjs URL FOLDER path…
// Each path at both sizes, light and dark, the whole page: FOLDER/<page>-<width>-<theme>.png
import { chromium } from 'playwright-core';
import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { CHROMIUM, SIZES, slug } from './names.mjs';

const [base, folder, ...paths] = process.argv.slice(2);
if (!base || !folder || paths.length === 0) {
  console.error('Say: node shots.mjs URL FOLDER path…   for example: node shots.mjs http://127.0.0.1:8080 shots / /parts');
  process.exit(2);
}
mkdirSync(folder, { recursive: true });
const browser = await chromium.launch(CHROMIUM);
let faults = 0;
for (const size of Object.values(SIZES)) {
  for (const colorScheme of ['light', 'dark']) {
    const context = await browser.newContext({ ...size, colorScheme, reducedMotion: 'reduce', locale: 'en-GB' });
    const page = await context.newPage();
    for (const where of paths) {
      const response = await page.goto(new URL(where, base).href, { waitUntil: 'load' });
      const file = path.join(folder, `${slug(where)}-${size.viewport.width}-${colorScheme}.png`);
      await page.screenshot({ path: file, fullPage: true });
      if (response.status() >= 400) faults += 1;
      console.log(`${response.status()} ${where} ${file}`);
    }
    await context.close();
  }
}
await browser.close();
process.exitCode = faults > 0 ? 1 : 0;
