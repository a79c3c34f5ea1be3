// Keeps the HTML of every page a suite visits and has it judged once, by the Nu checker, at the end.
import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import path from 'node:path';
import { slug } from './names.mjs';

const VNU = fileURLToPath(new URL('node_modules/vnu-jar/build/dist/vnu.jar', import.meta.url));

/** A folder of the pages a suite saw. Equal pages are kept once. */
export class HtmlFolder {
  constructor(folder) {
    this.folder = folder;
    this.origins = new Map();
    this.seen = new Set();
    rmSync(folder, { recursive: true, force: true });
    mkdirSync(folder, { recursive: true });
  }

  /** Keeps the answer to `where` (a path, for people). */
  add(where, html) {
    const hash = createHash('sha256').update(html).digest('hex');
    if (this.seen.has(hash)) return;
    this.seen.add(hash);
    const name = `${String(this.seen.size).padStart(4, '0')}-${slug(where)}.html`;
    this.origins.set(name, where);
    writeFileSync(path.join(this.folder, name), html);
  }

  /** Gives one line for each error; an empty list when every page is valid. Throws when the checker did not work. */
  async errors() {
    if (this.seen.size === 0) return [];
    const report = await new Promise((resolve, reject) => {
      const args = ['-jar', VNU, '--errors-only', '--format', 'json', '--stdout', '--exit-zero-always', this.folder];
      execFile('java', args, { maxBuffer: 1 << 27 }, (error, stdout, stderr) => {
        if (error) reject(new Error(`The HTML checker did not run: ${error.message}\n${stderr}`));
        else resolve(JSON.parse(stdout));
      });
    });
    return report.messages.map((message) => {
      const name = decodeURIComponent(message.url?.split('/').at(-1) ?? '');
      const extract = message.extract ? ` near ${JSON.stringify(message.extract.trim())}` : '';
      const where = `${this.origins.get(name) ?? name} line ${message.lastLine ?? '?'}`;
      return `${where}: ${message.message}${extract} (${path.join(this.folder, name)})`;
    });
  }
}
