// Proves that the harness fails when it should: a small server with one page for each fault, and a good one.
import assert from 'node:assert/strict';
import { createServer } from 'node:http';
import { existsSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { crawl } from './crawl.mjs';
import { openSite, shape, startServer } from './harness.mjs';

const page = (body, { head = '', lang = ' lang="en"', title = '<title>A page</title>', style = '' } = {}) => `<!DOCTYPE html>
<html${lang}><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">${title}
<link rel="icon" href="data:,"><style>body { background: #fff; color: #111 } ${style}</style>${head}</head><body><main>${body}</main></body></html>`;

const PAGES = {
  '/': page('<h1>Good</h1><p id="here"><a href="/second#there">On</a> <a href="#here">Here</a> <a href="/table.csv">Table</a></p>'),
  '/second': page('<h1>Second</h1><p id="there"><a href="/">Back</a></p>'),
  '/axe': page('<h1>Picture</h1><img alt="a dot" src="data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA="><img class="nameless" src="data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA=">'),
  '/pale': page('<h1>Pale in the dark</h1>', { style: '@media (prefers-color-scheme: dark) { body { background: #111; color: #333 } }' }),
  '/invalid': page('<h1>Invalid</h1><p><div>a block in a paragraph</div></p>'),
  '/console': page('<h1>Console</h1><script>console.error("it is broken")</script>'),
  '/throws': page('<h1>Throws</h1><script>throw new Error("thrown here")</script>'),
  '/wide': page('<h1>Wide</h1><div class="broad">x</div>', { style: '.broad { width: 700px }' }),
  '/boxed': page('<h1>Boxed</h1><div class="box" tabindex="0"><div class="broad">x</div></div>', {
    style: '.box { overflow-x: auto } .broad { width: 700px }',
  }),
  '/lost': page('<h1>Lost</h1><img alt="gone" src="/gone.png">'),
  '/elsewhere': page('<h1>Elsewhere</h1><img alt="far" src="http://127.0.0.1:9/far.png">'),
  '/two': page('<h1>One</h1><h1>Two</h1>', { lang: '', title: '' }),
  '/plain': page('<h1>Plain</h1><noscript><p id="no">no script</p></noscript><script>document.body.dataset.ran = "yes"</script><a href="/plain">Again</a>'),
  '/maze': page('<h1>Maze</h1><p><a href="/">Good</a> <a href="/nowhere">Nowhere</a> <a href="/second#absent">Absent</a> <a href="/axe">Axe</a></p>'),
  '/table.csv': 'a,b\n',
};

let server;
let site;

before(async () => {
  server = createServer((request, response) => {
    const body = PAGES[request.url];
    const kind = request.url.endsWith('.csv') ? 'text/csv' : 'text/html; charset=utf-8';
    response.writeHead(body ? 200 : 404, { 'content-type': kind });
    response.end(body ?? page('<h1>Not there</h1>'));
  });
  await new Promise((ready) => server.listen(0, '127.0.0.1', ready));
  site = await openSite({ origin: `http://127.0.0.1:${server.address().port}`, suite: 'selftest' });
});

after(async () => {
  await site.browser.close();
  server.closeAllConnections();
  server.close();
});

const open = async (where, settings) => {
  const view = await site.view(null, settings);
  await view.open(where);
  return view;
};

/** Opens `where`, does `work`, and wants it to throw with `pattern`; then drops the view without judging it. */
const fails = async (where, settings, work, pattern) => {
  const view = await open(where, settings);
  await assert.rejects(async () => work(view), pattern);
  view.complaints = [];
  view.expected = [];
  await view.close();
};

for (const size of ['phone', 'desk']) {
  for (const theme of ['light', 'dark']) {
    for (const script of [true, false]) {
      test(`a good page passes: ${size}, ${theme}, script ${script}`, async (t) => {
        const view = await site.view(t, { size, theme, script });
        await view.open('/');
        await view.check();
      });
    }
  }
}

test('an axe violation fails and is named with its selector', () =>
  fails('/axe', { size: 'phone' }, (view) => view.check(), /image-alt[\s\S]*\.nameless/));

test('an axe violation fails with script off as well', () =>
  fails('/axe', { size: 'phone', script: false }, (view) => view.check(), /image-alt/));

test('contrast that fails only in the dark fails only in the dark', async (t) => {
  const light = await site.view(t, { theme: 'light' });
  await light.open('/pale');
  await light.check();
  await fails('/pale', { theme: 'dark' }, (view) => view.check(), /color-contrast[\s\S]*#333333 on #111111/);
});

test('a console error fails', () => fails('/console', {}, (view) => view.check(), /console: it is broken/));

test('a script error fails, and already when the view closes', () =>
  fails('/throws', {}, (view) => view.close(), /script: thrown here/));

test('a view given to a test closes with it and fails it', async () => {
  const closers = [];
  const view = await site.view({ after: (closer) => closers.push(closer) }, {});
  await view.open('/throws');
  assert.equal(closers.length, 1);
  await assert.rejects(closers[0], /thrown here/);
});

test('a picture that is not there fails', () => fails('/lost', {}, (view) => view.check(), /gone\.png answered 404/));

test('a request to another host fails', () => fails('/elsewhere', {}, (view) => view.check(), /another host is asked/));

test('sideways scroll fails on the phone, names the element, and passes on the desk', async (t) => {
  await fails('/wide', { size: 'phone' }, (view) => view.check(), /708 px wide in a window of 390[\s\S]*div\.broad/);
  const desk = await site.view(t, { size: 'desk' });
  await desk.open('/wide');
  await desk.check();
});

test('wide content in a box that scrolls by itself passes', async (t) => {
  const view = await site.view(t, { size: 'phone' });
  await view.open('/boxed');
  await view.noSidewaysScroll();
});

test('a page without lang and title and with two headings fails with all three', () =>
  fails('/two', {}, (view) => view.outline(), /no lang, no title, 2 h1: One \| Two/));

test('an unexpected status fails', async () => {
  const view = await site.view(null, {});
  await assert.rejects(() => view.open('/nowhere'), /status/);
  view.complaints = [];
  await view.close();
});

test('an expected status passes, and an expected complaint that does not come fails', async (t) => {
  const view = await site.view(t, {});
  await view.open('/nowhere', { status: 404 });
  view.clean();
  view.expect(/never said/);
  assert.throws(() => view.clean(), /expected, but did not come: \/never said\//);
});

test('script off is off and script on is on', async (t) => {
  for (const script of [true, false]) {
    const view = await site.view(t, { script });
    await view.open('/plain');
    await view.page.getByRole('link', { name: 'Again' }).click();
    await view.page.waitForLoadState();
    const ran = await view.page.evaluate(() => document.body.dataset.ran ?? 'no');
    assert.equal(ran, script ? 'yes' : 'no');
    assert.equal(await view.page.locator('#no').isVisible(), !script);
  }
});

test('a screenshot is a file named after page, width and theme', async (t) => {
  const view = await site.view(t, { size: 'phone', theme: 'dark' });
  await view.open('/second');
  const file = await view.shot('selftest');
  assert.match(file, /screenshots\/selftest-390-dark\.png$/);
  assert.ok(existsSync(file));
});

/** A stand-in for a test's context: remembers which parts failed. */
function recorder() {
  const failed = new Map();
  const closers = [];
  const part = async (name, work) => {
    try {
      await work();
    } catch (error) {
      failed.set(name, error.message);
    }
  };
  return { failed, closers, test: part, after: (closer) => closers.push(closer) };
}

test('the crawl passes on good pages and counts other answers apart', async () => {
  const t = recorder();
  const { pages, files, left } = await crawl(site, t, { start: '/' });
  assert.deepEqual([...t.failed], []);
  assert.deepEqual([pages, files, left], [['/', '/second'], ['/table.csv'], []]);
  for (const close of t.closers) await close();
});

test('the crawl fails on a dead link, a dead fragment and a faulty page, and walks on', async () => {
  const t = recorder();
  const { pages } = await crawl(site, t, { start: '/maze' });
  assert.deepEqual(pages, ['/maze', '/', '/second', '/axe']);
  const names = [...t.failed.keys()];
  assert.deepEqual(names, ['/nowhere (from /maze)', '/axe (from /maze)', 'links into a page reach something']);
  assert.match(t.failed.get('/nowhere (from /maze)'), /status/);
  assert.match(t.failed.get('/axe (from /maze)'), /phone: [\s\S]*image-alt[\s\S]*desk: [\s\S]*image-alt/);
  assert.match(t.failed.get('links into a page reach something'), /\/maze: \/second#absent/);
  for (const close of t.closers) await close();
});

test('the crawl keeps to its bound', async () => {
  const t = recorder();
  const { pages, left } = await crawl(site, t, { start: '/', limit: 1 });
  assert.deepEqual([pages, left], [['/'], ['/second', '/table.csv']]);
  for (const close of t.closers) await close();
});

test('addresses have shapes', () => {
  assert.equal(shape('/parts/17?sort=due&sort=x&a=1'), '/parts/:id?a&sort');
  assert.equal(shape('/parts/0192f0c1-2f60-7b3a-8000-0123456789ab/edit'), '/parts/:id/edit');
});

test('HTML that is not valid fails when the site closes, by page and line; valid HTML does not', async () => {
  const good = await openSite({ origin: site.origin, suite: 'selftest-good' });
  await (await good.view(null)).open('/');
  await good.close();
  const bad = await openSite({ origin: site.origin, suite: 'selftest-bad' });
  await (await bad.view(null, { script: false })).open('/invalid');
  await assert.rejects(() => bad.close(), /HTML that is not valid:\s+\/invalid line \d+: .*(?:“p”|“div”)/);
});

const script = (text) => ({ binary: process.execPath, args: ['-e', text] });
const SPEAK = 'console.log("listening on http://127.0.0.1:4321");';

test('a server that listens and stops is fine', async () => {
  const running = await startServer(script(`process.on("SIGTERM", () => process.exit(0)); ${SPEAK} setInterval(() => {}, 1000)`));
  assert.equal(running.origin, 'http://127.0.0.1:4321');
  await running.stop();
});

test('a server that ends before it listens fails with what it said', () =>
  assert.rejects(() => startServer(script('console.error("no such notebook"); process.exit(3)')), /ended before it listened \(3\)[\s\S]*no such notebook/));

test('a server that never listens fails', () =>
  assert.rejects(() => startServer({ ...script('setInterval(() => {}, 1000)'), wait_ms: 300 }), /did not say "listening on" within 300 ms/));

test('a program that is not there fails', () =>
  assert.rejects(() => startServer({ binary: '/no/such/program', args: [] }), /ENOENT/));

test('a server that dies, stops badly, panics or will not stop fails', async () => {
  const died = await startServer(script(`${SPEAK} setTimeout(() => process.exit(9), 50)`));
  await new Promise((later) => setTimeout(later, 400));
  await assert.rejects(died.stop, /ended by itself \(9\)/);
  const cross = await startServer(script(`process.on("SIGTERM", () => process.exit(4)); ${SPEAK} setInterval(() => {}, 1000)`));
  await assert.rejects(cross.stop, /ended with 4 when asked to stop/);
  const panicked = await startServer(script(`process.on("SIGTERM", () => process.exit(0)); console.error("thread main panicked at src/x.rs"); ${SPEAK} setInterval(() => {}, 1000)`));
  await assert.rejects(panicked.stop, /The server panicked/);
  const stubborn = await startServer({
    ...script(`process.on("SIGTERM", () => {}); ${SPEAK} setInterval(() => {}, 1000)`),
    stop_ms: 300,
  });
  await assert.rejects(stubborn.stop, /did not stop within 300 ms/);
});
