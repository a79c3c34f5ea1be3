// Starts the product and stops it again. It fails loudly: when the program ends early, never listens,
// panics in its log, or does not stop when asked.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import path from 'node:path';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));
export const TARGET = path.resolve(ROOT, process.env.CARGO_TARGET_DIR ?? 'target');
export const BINARY = process.env.UNDERSHELL_BINARY ?? path.join(TARGET, 'debug', 'undershell');

const LISTENING = /listening on (http:\/\/127\.0\.0\.1:\d+)/;

/** The environment without settings of the person who runs the tests. */
function plainEnvironment() {
  const kept = Object.entries(process.env).filter(([name]) => !name.startsWith('UNDERSHELL_'));
  return { ...Object.fromEntries(kept), RUST_BACKTRACE: '0', TZ: 'UTC' };
}

/**
 * Starts `binary` with `args` and waits for the line `listening on http://127.0.0.1:PORT` on its standard output.
 * Gives `{ origin, log(), stop() }`; `log()` is what it wrote on both streams, `stop()` throws when the run was not a good one.
 */
export async function startServer({ binary = BINARY, args, wait_ms = 60_000, stop_ms = 5_000 }) {
  const child = spawn(binary, args, { stdio: ['ignore', 'pipe', 'pipe'], env: plainEnvironment(), cwd: ROOT });
  const killAtExit = () => child.kill('SIGKILL');
  process.once('exit', killAtExit);
  const lines = [];
  const remember = (line) => lines.push(line);
  const tail = () => lines.slice(-30).join('\n');
  const ended = once(child, 'close').catch((error) => [`${error.message}`, null]);
  const stdout = createInterface({ input: child.stdout });
  createInterface({ input: child.stderr }).on('line', remember);

  let timer;
  const origin = await new Promise((resolve, reject) => {
    stdout.on('line', (line) => {
      remember(line);
      const found = LISTENING.exec(line);
      if (found) resolve(found[1]);
    });
    ended.then(([code, signal]) =>
      reject(new Error(`${binary} ended before it listened (${signal ?? code}).\n${tail()}`)),
    );
    timer = setTimeout(() => {
      child.kill('SIGKILL');
      reject(new Error(`${binary} did not say "listening on" within ${wait_ms} ms.\n${tail()}`));
    }, wait_ms);
  }).finally(() => clearTimeout(timer));

  async function stop() {
    process.removeListener('exit', killAtExit);
    if (child.exitCode !== null || child.signalCode !== null) {
      throw new Error(`The server ended by itself (${child.signalCode ?? child.exitCode}).\n${tail()}`);
    }
    child.kill('SIGTERM');
    let forced = false;
    const force = setTimeout(() => {
      forced = true;
      child.kill('SIGKILL');
    }, stop_ms);
    const [code, signal] = await ended;
    clearTimeout(force);
    if (forced) throw new Error(`The server did not stop within ${stop_ms} ms of SIGTERM.\n${tail()}`);
    if (code !== 0) throw new Error(`The server ended with ${signal ?? code} when asked to stop.\n${tail()}`);
    const panic = lines.find((line) => line.includes('panicked at'));
    if (panic) throw new Error(`The server panicked: ${panic}\n${tail()}`);
  }

  return { origin, log: () => lines.join('\n'), stop };
}
