// The browser harness: one running product, one Chromium, views at two sizes with script and theme as wanted.
//
//   import { useSite } from './harness.mjs';
//   const site = useSite({ command: 'demo' });
//   test('a conversion can be opened', async (t) => {
//     const view = await site.view(t, { size: 'phone', script: false, theme: 'dark' });
//     await view.open('/');
//     await view.page.getByRole('link', { name: 'Kettle 040' }).click();
//     await view.check();          // outline, sideways scroll, axe, complaints
//   });
//
// A view closes with its test and fails it on a console error, a script error, a failed request or a request to another
// host. The HTML of every page is kept below target/browser/html and judged when the suite ends.
import { chromium } from 'playwright-core';
import { execFileSync } from 'node:child_process';
import { after, before } from 'node:test';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { HtmlFolder } from './html.mjs';
import { CHROMIUM, SIZES, slug } from './names.mjs';
import { BINARY, startServer, TARGET } from './server.mjs';
import { View } from './view.mjs';

export { shape, SIZES, slug } from './names.mjs';
export { BINARY, ROOT, startServer, TARGET } from './server.mjs';

/** A running site with a browser. `useSite` makes one with the product; the self-test makes one around a small server. */
export class Site {
  constructor({ origin, browser, html, server = null, file = null }) {
    Object.assign(this, { origin, browser, html, server, file });
    this.views = new Set();
    this.unread = new Set();
  }

  /**
   * Opens an empty view. `t` is the test's context: the view closes with it. Options: `size` 'phone' (390 × 844, touch) or
   * 'desk' (1280 × 900), `script` true or false, `theme` 'light' or 'dark', and anything Playwright's newContext takes.
   */
  async view(t, { size = 'desk', script = true, theme = 'light', ...more } = {}) {
    if (!SIZES[size]) throw new Error(`no size named ${size}`);
    const settings = {
      ...SIZES[size],
      colorScheme: theme,
      reducedMotion: 'reduce',
      locale: 'en-GB',
      timezoneId: 'Europe/London',
      ...more,
    };
    const context = await this.browser.newContext(settings);
    const view = new View(this, context, await context.newPage(), settings);
    this.views.add(view);
    if (!script) await view.withoutScript();
    t?.after(() => view.close());
    return view;
  }

  /** Closes what is open and judges the HTML; throws the first thing that went wrong, with all of them in its message. */
  async close() {
    const faults = [];
    const attempt = async (work) => {
      try {
        await work();
      } catch (error) {
        faults.push(error.message);
      }
    };
    for (const view of this.views) await attempt(() => view.close());
    await attempt(() => this.browser.close());
    if (this.server) await attempt(() => this.server.stop());
    if (this.file) await attempt(() => checkNotebook(this.file));
    await attempt(async () => {
      const errors = await this.html.errors();
      if (errors.length > 0) throw new Error(`HTML that is not valid:\n  ${errors.join('\n  ')}`);
    });
    if (this.unread.size > 0) console.log(`HTML left too fast to be read: ${[...this.unread].join(' ')}`);
    if (faults.length > 0) throw new Error(faults.join('\n'));
  }
}

/** The notebook must pass the program's own check after everything the suite did to it. */
function checkNotebook(file) {
  try {
    execFileSync(BINARY, ['check', '--file', file], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
  } catch (error) {
    throw new Error(`The notebook does not pass its check: ${error.message}\n${error.stdout}`);
  }
}

/** Starts the browser for a site at `origin`; `suite` names the folder of its HTML. */
export async function openSite({ origin, suite, server, file }) {
  const html = new HtmlFolder(path.join(TARGET, 'browser', 'html', slug(suite)));
  return new Site({ origin, browser: await chromium.launch(CHROMIUM), html, server, file });
}

/**
 * Call once at the top of a test file. Starts `undershell <command> --port 0 --file <new notebook>` before the first test;
 * after the last stops it, has it check the notebook, and judges the HTML. `command` is 'demo' (the demonstration notebook)
 * or 'serve' (an empty one); `args` are added. The fields `origin`, `file` and `server.log()` are there once tests run.
 */
export function useSite({ command = 'demo', args = [] } = {}) {
  const suite = path.basename(process.argv[1] ?? 'suite', '.test.mjs');
  const site = new Site({ origin: null, browser: null, html: null });
  let folder;
  before(async () => {
    folder = mkdtempSync(path.join(tmpdir(), 'undershell-browser-'));
    const file = path.join(folder, 'notebook.sqlite');
    const server = await startServer({ args: [command, '--port', '0', '--file', file, ...args] });
    try {
      Object.assign(site, await openSite({ origin: server.origin, suite, server, file }));
    } catch (error) {
      await server.stop();
      throw error;
    }
  });
  after(async () => {
    try {
      if (site.browser) await site.close();
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
  return site;
}
