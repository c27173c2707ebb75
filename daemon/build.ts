import { rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build, type Plugin } from 'esbuild';

/*
 * Puts the program together for `dist/daemon`: a command starts in a part of the time that hundreds of
 * modules take, each of which node looks for, reads and links by itself.
 */
const ROOT = fileURLToPath(new URL('..', import.meta.url));
const OUT = join(ROOT, 'dist', 'daemon');

/** The program, and what it begins as threads and processes of its own: all stand in one folder. */
const ENTRIES = {
  main: 'daemon/main.ts',
  'output-thread': 'daemon/delivery/output-thread.ts',
  'outside-stop-child': 'daemon/delivery/outside-stop-child.ts',
  beside: 'daemon/service/reckoner/beside.ts',
  'front-thread': 'daemon/faces/web/front/front-thread.ts',
};

/** Packages that are native, begin threads of their own, or are loaded by the daemon alone. */
const LEFT_OUTSIDE = [
  'libsql',
  'pino',
  'pino-pretty',
  'fastify',
  '@fastify/*',
  'mqtt',
  'prom-client',
  'node-cron',
  '@inquirer/prompts',
  'cli-progress',
];

/** The schemas' own messages in fifty languages: ours are said by the project itself. */
const withoutLocales: Plugin = {
  name: 'without locales',
  setup({ onLoad }) {
    onLoad({ filter: /[\\/]zod[\\/]v4[\\/]locales[\\/]index\.js$/ }, ({ path }) => ({
      contents: "export { default as en } from './en.js';",
      resolveDir: dirname(path),
    }));
  },
};

rmSync(OUT, { recursive: true, force: true });
await build({
  absWorkingDir: ROOT,
  entryPoints: ENTRIES,
  outdir: OUT,
  bundle: true,
  splitting: true,
  chunkNames: 'part-[hash]',
  format: 'esm',
  platform: 'node',
  target: 'node20',
  external: LEFT_OUTSIDE,
  plugins: [withoutLocales],
  // Names stay, so that a fault still tells where it was; with --enable-source-maps to the line.
  minifyWhitespace: true,
  minifySyntax: true,
  sourcemap: true,
  sourcesContent: false,
  // Packages of the older module format ask for node's modules by `require`.
  banner: {
    js: "import { createRequire as requireOf } from 'node:module'; const require = requireOf(import.meta.url);",
  },
  logLevel: 'warning',
});
