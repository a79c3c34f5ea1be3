// Every page that a link reaches, in the demonstration notebook: status, outline, sideways scroll, axe, complaints, HTML.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { crawl } from './crawl.mjs';
import { useSite } from './harness.mjs';

const LIMIT = 400;
const FEWEST = 10;

const site = useSite({ command: 'demo' });

test('every page that a link reaches is in order', { timeout: 30 * 60_000 }, async (t) => {
  const { pages, files, left } = await crawl(site, t, { limit: LIMIT });
  console.log(`crawled ${pages.length} pages and ${files.length} other answers; ${left.length} not visited`);
  assert.ok(pages.length >= FEWEST, `only ${pages.length} pages were reached; the walk should find at least ${FEWEST}`);
});

test('a page that is not there says so as a page', async (t) => {
  const view = await site.view(t, { size: 'phone' });
  await view.open('/no-such-page', { status: 404 });
  await view.check();
});
