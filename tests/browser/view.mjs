// One browser page with everything it complains about.
import { AxeBuilder } from '@axe-core/playwright';
import assert from 'node:assert/strict';
import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { TARGET } from './server.mjs';
import { slug } from './names.mjs';

const AXE_TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** A page in a context of its own. Made by `site.view(...)`. */
export class View {
  constructor(site, context, page, settings) {
    Object.assign(this, { site, context, page, settings });
    this.complaints = [];
    this.expected = [];
    this.reading = [];
    page.setDefaultTimeout(10_000);
    this.#listen();
  }

  /** Turns the page's scripts off, by a switch of our own: Playwright's javaScriptEnabled cannot be turned on again for axe. */
  async withoutScript() {
    this.scriptSwitch = await this.context.newCDPSession(this.page);
    await this.#script(false);
  }

  get width() {
    return this.settings.viewport.width;
  }

  #listen() {
    const { page } = this;
    page.on('console', (message) => {
      if (message.type() === 'error') this.#complain(`console: ${message.text()} (${message.location().url})`);
    });
    page.on('pageerror', (error) => this.#complain(`script: ${error.message}`));
    page.on('requestfailed', (request) => {
      const reason = request.failure()?.errorText ?? '';
      // A page that is left, or a download, breaks off its own requests.
      if (reason !== 'net::ERR_ABORTED') this.#complain(`request: ${request.url()} ${reason}`);
    });
    page.on('request', (request) => {
      const url = new URL(request.url());
      if (/^https?:$/.test(url.protocol) && url.origin !== this.site.origin) {
        this.#complain(`another host is asked: ${url.href}`);
      }
    });
    page.on('response', (response) => {
      const request = response.request();
      const isPage = request.isNavigationRequest() && request.frame() === page.mainFrame();
      if (isPage) this.reading.push(this.#keepHtml(response));
      else if (response.status() >= 400) this.#complain(`request: ${response.url()} answered ${response.status()}`);
    });
  }

  #complain(text) {
    if (!this.complaints.includes(text)) this.complaints.push(text);
  }

  async #keepHtml(response) {
    const kind = response.headers()['content-type'] ?? '';
    if (!kind.startsWith('text/html') || (response.status() >= 300 && response.status() < 400)) return;
    const url = new URL(response.url());
    try {
      this.site.html.add(url.pathname + url.search, await response.text());
    } catch {
      // The browser had moved on before the text was read. Pages reached by open() are read before that.
      this.site.unread.add(url.pathname);
    }
  }

  /** Opens a path of the site, waits until it has loaded, and asserts its status. Gives the response. */
  async open(where, { status = 200 } = {}) {
    if (status >= 400) this.expect(new RegExp(`status of ${status}`));
    const response = await this.page.goto(this.site.origin + where, { waitUntil: 'load' });
    assert.ok(response, `${where}: no answer`);
    assert.equal(response.status(), status, `${where}: status`);
    await Promise.all(this.reading);
    return response;
  }

  /** Says that a complaint matching `pattern` must come; without it the view fails when it closes. */
  expect(pattern) {
    this.expected.push(pattern);
  }

  /** Throws when axe finds a violation; the message names rule, help and every selector. */
  async axe({ exclude = [], disable = [] } = {}) {
    const builder = new AxeBuilder({ page: this.page }).withTags(AXE_TAGS).disableRules(disable).setLegacyMode(true);
    for (const selector of exclude) builder.exclude(selector);
    const { violations } = await this.#withScript(() => soon(builder.analyze(), 60_000, 'axe'));
    const lines = violations.flatMap((violation) => [
      `  ${violation.id} (${violation.impact}): ${violation.help}`,
      ...violation.nodes.map((node) => `    ${node.target.join(' ')}  ${why(node)}`),
    ]);
    assert.ok(lines.length === 0, `${this.where()}: axe finds\n${lines.join('\n')}`);
  }

  /** axe needs timers, which stand still with script off. By now the page has loaded without its own, so they may run. */
  async #withScript(work) {
    if (!this.scriptSwitch) return work();
    try {
      await this.#script(true);
      return await work();
    } finally {
      await this.#script(false);
    }
  }

  #script(on) {
    return this.scriptSwitch.send('Emulation.setScriptExecutionDisabled', { value: !on });
  }

  /** Throws when the page is wider than the window; names the elements that stick out furthest. */
  async noSidewaysScroll() {
    // A phone zooms out until wide content fits, so the window's own idea of its width proves nothing: compare with the size asked for.
    const { wide, offenders } = await this.page.evaluate((width) => {
      const path = (element) =>
        element.tagName.toLowerCase() +
        (element.id ? `#${element.id}` : '') +
        [...element.classList].map((name) => `.${name}`).join('');
      const scrolls = (element) => {
        for (let at = element.parentElement; at && at !== document.body; at = at.parentElement) {
          if (getComputedStyle(at).overflowX !== 'visible') return true;
        }
        return false;
      };
      const out = [...document.querySelectorAll('body *')]
        .map((element) => ({ element, right: element.getBoundingClientRect().right + scrollX }))
        .filter(({ element, right }) => right > width + 0.5 && !scrolls(element))
        .sort((a, b) => b.right - a.right);
      return {
        wide: document.documentElement.scrollWidth,
        offenders: out.slice(0, 6).map(({ element, right }) => `${path(element)} reaches ${Math.ceil(right)} px`),
      };
    }, this.width);
    assert.ok(
      wide <= this.width,
      `${this.where()}: the page is ${wide} px wide in a window of ${this.width} px\n  ${offenders.join('\n  ')}`,
    );
  }

  /** Throws unless the page has a language, a title and exactly one h1 with text. */
  async outline() {
    const found = await this.page.evaluate(() => ({
      lang: document.documentElement.lang,
      title: document.title.trim(),
      headings: [...document.querySelectorAll('h1')].map((heading) => heading.textContent.trim()),
    }));
    const faults = [];
    if (!found.lang) faults.push('html has no lang');
    if (!found.title) faults.push('no title');
    if (found.headings.length !== 1) faults.push(`${found.headings.length} h1: ${found.headings.join(' | ')}`);
    else if (!found.headings[0]) faults.push('the h1 is empty');
    assert.ok(faults.length === 0, `${this.where()}: ${faults.join(', ')}`);
  }

  /** Throws on every complaint that was not expected, and on every expected one that did not come. Then forgets them. */
  clean() {
    const surprises = this.complaints.filter((text) => !this.expected.some((pattern) => pattern.test(text)));
    const missing = this.expected.filter((pattern) => !this.complaints.some((text) => pattern.test(text)));
    this.complaints = [];
    this.expected = [];
    const lines = [...surprises, ...missing.map((pattern) => `expected, but did not come: ${pattern}`)];
    assert.ok(lines.length === 0, `${this.where()}:\n  ${lines.join('\n  ')}`);
  }

  /** All of the above for the page that is open. */
  async check(options) {
    await this.outline();
    await this.noSidewaysScroll();
    await this.axe(options);
    this.clean();
  }

  /** Writes target/screenshots/<page>-<width>-<theme>.png; without a name the path names it. Gives the file. */
  async shot(name = slug(this.where())) {
    const folder = path.join(TARGET, 'screenshots');
    mkdirSync(folder, { recursive: true });
    const file = path.join(folder, `${name}-${this.width}-${this.settings.colorScheme}.png`);
    await this.page.screenshot({ path: file, fullPage: true });
    return file;
  }

  /** The path that is open, with its query. */
  where() {
    const url = new URL(this.page.url());
    return url.pathname + url.search;
  }

  /** Closes the page and its context; throws on complaints. Called by itself at the end of the test. */
  async close() {
    if (this.closed) return;
    this.closed = true;
    await Promise.all(this.reading);
    try {
      this.clean();
    } finally {
      await this.context.close();
    }
  }
}

/** What `promise` gives, or an error when that takes longer than `limit_ms`. */
function soon(promise, limit_ms, name) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`${name} took longer than ${limit_ms} ms`)), limit_ms);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

/** The part of axe's explanation that helps: for contrast the two colours and the ratio. */
function why(node) {
  const data = node.any.find((check) => check.data?.contrastRatio)?.data;
  if (data) return `${data.fgColor} on ${data.bgColor} is ${data.contrastRatio}, wanted ${data.expectedContrastRatio}`;
  return node.html.length > 120 ? `${node.html.slice(0, 120)}…` : node.html;
}
