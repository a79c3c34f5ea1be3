// The picture in README.md, from a running demo: node tests/browser/picture.mjs URL
import { chromium } from 'playwright-core';
import { CHROMIUM } from './names.mjs';

const browser = await chromium.launch(CHROMIUM);
const page = await browser.newPage({ viewport: { width: 1280, height: 1420 }, colorScheme: 'light' });
await page.goto(`${process.argv[2]}/c/4`);
await page.screenshot({ path: new URL('../../.pictures/overview.png', import.meta.url).pathname });
await browser.close();
