// Walks a site from its first page along every link that a plain click follows.
import assert from 'node:assert/strict';
import { shape } from './names.mjs';

/** Pages of one shape of address that are looked at in full. */
const PER_SHAPE = 4;

/**
 * Crawls `site` breadth first and checks every page; `t` is the test under which each page becomes a test of its own.
 * `limit` bounds the answers fetched. Each page is checked on the phone and on the desk in light; the first page of every shape
 * of address also in the dark and with script off. Gives `{ pages, files, left }`: paths checked, other answers, not visited.
 */
export async function crawl(site, t, { start = '/', limit = 400 } = {}) {
  const views = {
    phone: await site.view(t, { size: 'phone' }),
    desk: await site.view(t, { size: 'desk' }),
    darkPhone: await site.view(t, { size: 'phone', theme: 'dark' }),
    darkDesk: await site.view(t, { size: 'desk', theme: 'dark' }),
    plainPhone: await site.view(t, { size: 'phone', script: false }),
  };
  const found = new Map([[start, 'the start']]);
  const waiting = [start];
  const shapes = new Map();
  const result = { pages: [], files: [], left: waiting, ids: new Map(), fragments: [] };

  for (let visited = 0; waiting.length > 0 && visited < limit; visited += 1) {
    const where = waiting.shift();
    await t.test(`${where} (from ${found.get(where)})`, async () => {
      const answer = await fetch(site.origin + where, { redirect: 'follow', headers: { accept: 'text/html' } });
      assert.equal(answer.status, 200, `${where}: status`);
      const body = await answer.arrayBuffer();
      assert.ok(body.byteLength > 0, `${where}: the answer is empty`);
      const isPage = answer.headers.get('content-type')?.startsWith('text/html');
      if (!isPage || answer.headers.get('content-disposition')?.startsWith('attachment')) {
        result.files.push(where);
        return;
      }
      result.pages.push(where);
      const before = shapes.get(shape(where)) ?? 0;
      shapes.set(shape(where), before + 1);
      // Many pages of one shape differ in their data alone: the first few are looked at, the rest must answer.
      if (before >= PER_SHAPE) return;
      const wanted = before > 0 ? ['phone', 'desk'] : Object.keys(views);
      // Links are gathered before anything is judged, so that one faulty page does not end the walk.
      const gather = async (view) => {
        for (const link of await links(view)) {
          if (link.fragment) result.fragments.push({ ...link, from: where });
          if (found.has(link.path)) continue;
          found.set(link.path, where);
          waiting.push(link.path);
        }
        result.ids.set(where, await anchors(view));
      };
      const visits = wanted.map((name) => visit(views[name], where, name === 'desk' ? gather : null));
      const outcomes = await Promise.allSettled(visits);
      const faults = outcomes.flatMap(({ reason }, i) => (reason ? [`${wanted[i]}: ${reason.message}`] : []));
      assert.ok(faults.length === 0, faults.join('\n'));
    });
  }

  await t.test('links into a page reach something', () => {
    const broken = result.fragments
      .filter(({ path, fragment }) => result.ids.has(path) && !result.ids.get(path).has(fragment))
      .map(({ path, fragment, from }) => `${from}: ${path}#${fragment}`);
    assert.deepEqual([...new Set(broken)], []);
  });
  return result;
}

async function visit(view, where, afterOpening) {
  try {
    await view.open(where);
    if (afterOpening) await afterOpening(view);
    await view.check();
  } catch (error) {
    // The next page starts without this one's complaints.
    const more = view.complaints.length > 0 ? `\n  ${view.complaints.join('\n  ')}` : '';
    view.complaints = [];
    throw new Error(error.message + more);
  }
}

/** Same-origin links of the open page, as `{ path, fragment }`; the fragment is '' when there is none. */
async function links(view) {
  const hrefs = await view.page.evaluate(() => [...document.querySelectorAll('a[href]')].map((link) => link.href));
  return hrefs
    .map((href) => new URL(href))
    .filter((url) => url.origin === view.site.origin)
    .map((url) => ({ path: url.pathname + url.search, fragment: decodeURIComponent(url.hash.slice(1)) }));
}

async function anchors(view) {
  const names = await view.page.evaluate(() => [...document.querySelectorAll('[id]')].map((element) => element.id));
  return new Set([...names, 'top']);
}
