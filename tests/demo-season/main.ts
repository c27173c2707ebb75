import { existsSync, mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { dewbeat } from '../daemon/command-line.ts';
import { liveSeason } from './season.ts';

/** `npm run demo:season -- FOLDER`: an invented season, its report and its hand-over package. */
const folder = resolve(process.argv[2] ?? 'demo-season');
if (existsSync(folder)) throw new Error(`${folder}: exists already; name a folder that does not`);
mkdirSync(folder, { recursive: true });
const nowMs = await liveSeason(folder, (day) => process.stdout.write(`day ${day}\r`));
const said = await dewbeat(['hand-over', '--to', 'hand-over'], { cwd: folder, nowMs });
process.stdout.write(`${said.out}${said.err}\n`);
process.exitCode = said.code;
process.stdout.write(`${join(folder, 'hand-over', 'README.txt')}\n`);
