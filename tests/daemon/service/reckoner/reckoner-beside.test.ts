import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { makePlan } from '../../../../daemon/planning/make-plan.ts';
import { planBy, reckonerHere } from '../../../../daemon/service/reckoner/reckoner.ts';
import { reckonerBeside } from '../../../../daemon/service/reckoner/reckoner-beside.ts';
import { openDemo } from '../../../../daemon/site/config/demo.ts';
import { openWeather } from '../../../../daemon/site/config/open-weather.ts';
import { openDatabase, storeVersion } from '../../../../daemon/site/store/database.ts';
import { scratchFolder } from '../../../scratch-site.ts';

const BUILT = fileURLToPath(new URL('../../../../dist/daemon/beside.js', import.meta.url));
/** 05:10 at the demo's site. */
const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');

/** The demo's site with its memory, and what was logged of the process beside it. */
function demoSite() {
  const folder = scratchFolder();
  const read = openDemo(folder, MORNING_MS);
  if (!read.ok) throw new Error('the demo is not sound');
  const { config } = read;
  const db = openDatabase(config.dataFolder);
  onTestFinished(() => void db.close());
  const logged: string[] = [];
  const say = (_: object | string, text?: string) => void logged.push(text ?? '');
  const log = { info: say, warn: say, error: say };
  return { folder, config, db, weather: openWeather(config), log, logged };
}

/** A program in the place of the built one: each line of it hears of a question as `told`. */
function invented(folder: string, ...lines: string[]): string {
  const entry = join(folder, 'beside.mjs');
  const text = [
    "import { existsSync, writeFileSync } from 'node:fs';",
    `writeFileSync(${JSON.stringify(join(folder, 'pid'))}, String(process.pid));`,
    "process.on('message', (told) => {",
    "  if (told.kind !== 'ask') return;",
    ...lines,
    "  process.send({ kind: 'answer', askId: told.askId, value: process.pid });",
    '});',
    "process.on('disconnect', () => process.exit());",
  ];
  writeFileSync(entry, text.join('\n'));
  return entry;
}

function besideOf(
  site: ReturnType<typeof demoSite>,
  given: { entry: string; deadlineMs?: number; idleMs?: number },
) {
  const reckoner = reckonerBeside({ config: site.config, log: site.log, ...given });
  onTestFinished(() => reckoner.stop());
  return reckoner;
}

const runs = (pid: number) => existsSync(`/proc/${pid}/status`) && !isZombie(pid);
const isZombie = (pid: number) => /State:\s+Z/.test(readFileSync(`/proc/${pid}/status`, 'utf8'));
const pidIn = (folder: string) => Number(readFileSync(join(folder, 'pid'), 'utf8'));

async function until(isSo: () => boolean): Promise<void> {
  for (let waited = 0; waited < 400 && !isSo(); waited++) {
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
  expect(isSo()).toBe(true);
}

describe('a reckoner in a process of its own', () => {
  it('answers what this process would, to the digest, from the same store', async () => {
    const site = demoSite();
    const { db, config, weather } = site;
    const beside = besideOf(site, { entry: BUILT });
    const here = reckonerHere({ db, config, weather });
    const made = await planBy(
      beside,
      { db, config, nowMs: MORNING_MS },
      { cause: 'morning', who: 'daemon', lift: 'none' },
    );
    const before = storeVersion(db);
    const nowMs = MORNING_MS + 600_000;
    const change = { kind: 'trim', bedId: 'green-1', trimPct: 120, why: 'invented' } as const;
    const asked = { nowMs, change, who: 'A. Keeper', language: 'es', place: 'page' } as const;
    const [site1, site2] = [
      await beside.ask('siteNow', { nowMs }),
      await here.ask('siteNow', { nowMs }),
    ];
    expect(site1).toEqual(site2);
    const seen = await beside.ask('preview', asked);
    expect(seen).toEqual(await here.ask('preview', asked));
    expect(seen.line).toBe('Green 1: ajuste 120 % (invented).');
    const [plan1, plan2] = [
      await beside.ask('plan', { nowMs, lift: 'none' }),
      await here.ask('plan', { nowMs, lift: 'none' }),
    ];
    expect(plan1.digest).toBe(plan2.digest);
    expect(plan1.plan.revision).toBe(made.plan.revision + 1);
    expect(storeVersion(db)).toBe(before);
  });

  it('refuses in the words of the act, and goes on', async () => {
    const site = demoSite();
    const { db, config, weather } = site;
    await makePlan(
      { db, config, weather, nowMs: MORNING_MS },
      { cause: 'morning', who: 'daemon', lift: 'none' },
    );
    const beside = besideOf(site, { entry: BUILT });
    const change = { kind: 'trim', bedId: 'green-99', trimPct: 120, why: 'invented' } as const;
    const asked = {
      nowMs: MORNING_MS,
      change,
      who: 'A. Keeper',
      language: 'es',
      place: 'page',
    } as const;
    await expect(beside.ask('preview', asked)).rejects.toMatchObject({
      name: 'ActionRefused',
      part: 'bed',
    });
    expect((await beside.ask('siteNow', { nowMs: MORNING_MS })).beds).not.toEqual([]);
  });

  it('looks at answers of the set-up, and hands out hashes in the order of their people', async () => {
    const site = demoSite();
    const { db, config, weather } = site;
    const beside = besideOf(site, { entry: BUILT });
    const here = reckonerHere({ db, config, weather });
    const place = { file: join(site.folder, 'dewbeat.yaml'), baseFolder: site.folder };
    const people = [
      { name: 'A. Keeper', role: 'keeper', pin: '271828' },
      { name: 'B. Keeper', role: 'keeper' },
      { name: 'C. Keeper', role: 'keeper', pin: '1' },
    ];
    const pins = [{ hash: 'scrypt:1:8:1:aaaa:bbbb' }, { problem: 'is too short' }];
    const asked = { ...place, answers: { site: { name: 'Far Fen (invented)' }, people }, pins };
    const checked = await beside.ask('setupCheck', asked);
    expect(checked).toEqual(await here.ask('setupCheck', asked));
    expect(checked.text).toContain('scrypt:1:8:1:aaaa:bbbb');
    expect(checked.problems.map(({ path }) => path)).toContain('page.people[B. Keeper]');
    const short = checked.problems.find(({ path }) => path === 'page.people[C. Keeper]');
    expect(short?.message).toContain('is too short');
    const sand = { sand: 'coarse_open', file: place.file };
    expect(await beside.ask('setupSand', sand)).toEqual(await here.ask('setupSand', sand));
    const none = { sand: 'no_such_sand', file: place.file };
    await expect(beside.ask('setupSand', none)).rejects.toBeInstanceOf(RangeError);
  });

  it('is ended when it takes too long, says so, and starts another for the next', async () => {
    const site = demoSite();
    const entry = invented(site.folder, "  if (told.question === 'plan') for (;;);");
    const beside = besideOf(site, { entry, deadlineMs: 5_000 });
    const hangs = beside.ask('plan', { nowMs: 0, lift: 'none' });
    const next = beside.ask('siteNow', { nowMs: 0 });
    await expect(hangs).rejects.toMatchObject({
      code: 'not_reckoned',
      message: expect.stringContaining('took too long'),
    });
    expect(await next).toBe(pidIn(site.folder));
    expect(site.logged).toEqual(['reckoner: took too long and was ended']);
  });

  it('tells whoever asked when it dies, and starts another for the next', async () => {
    const site = demoSite();
    const entry = invented(site.folder, "  if (told.question === 'plan') process.exit(3);");
    const beside = besideOf(site, { entry });
    await expect(beside.ask('plan', { nowMs: 0, lift: 'none' })).rejects.toMatchObject({
      code: 'not_reckoned',
      message: expect.stringContaining('exit code 3'),
    });
    expect(await beside.ask('siteNow', { nowMs: 0 })).toBe(pidIn(site.folder));
  });

  it('ends when nothing is asked any more, and is back with the next question', async () => {
    const site = demoSite();
    const beside = besideOf(site, { entry: invented(site.folder), idleMs: 100 });
    const first = (await beside.ask('siteNow', { nowMs: 0 })) as unknown as number;
    expect(runs(first)).toBe(true);
    await until(() => !runs(first));
    expect(site.logged).toEqual([]);
    expect(await beside.ask('siteNow', { nowMs: 0 })).not.toBe(first);
  });

  it('gives up what is under way and what waits when it is stopped, and leaves nothing behind', async () => {
    const site = demoSite();
    const beside = besideOf(site, { entry: invented(site.folder, '  for (;;);') });
    const asked = [1, 2].map(() => beside.ask('plan', { nowMs: 0, lift: 'none' }));
    await until(() => existsSync(join(site.folder, 'pid')));
    beside.stop();
    for (const one of asked) await expect(one).rejects.toMatchObject({ code: 'stopping' });
    await until(() => !runs(pidIn(site.folder)));
    await expect(beside.ask('siteNow', { nowMs: 0 })).rejects.toMatchObject({ code: 'stopping' });
  });
});
