// Names and settings that the harness, the crawl and the screenshot command share.

/** How Chromium is started on every machine. */
export const CHROMIUM = {
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: [
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    '--force-color-profile=srgb',
  ],
};

/** The two sizes at which pages are looked at. */
export const SIZES = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, isMobile: true, hasTouch: true },
  desk: { viewport: { width: 1280, height: 900 }, deviceScaleFactor: 1 },
};

/** `/parts/17?sort=due` → `parts-17-sort-due`; the first page is `home`. */
export function slug(where) {
  const plain = where.replace(/[^A-Za-z0-9]+/g, '-').replace(/^-+|-+$/g, '');
  return plain.slice(0, 80) || 'home';
}

/** The shape of an address: identifiers and numbers become `:id`, query values go. `/parts/17?sort=due` → `/parts/:id?sort`. */
export function shape(where) {
  const url = new URL(where, 'http://shape');
  const parts = url.pathname
    .split('/')
    .map((part) => (/^[0-9a-f]{8}-[0-9a-f-]{27}$|^\d+$/i.test(part) ? ':id' : part));
  const names = [...new Set(url.searchParams.keys())].sort().join('&');
  return parts.join('/') + (names && `?${names}`);
}
