import { basename, dirname, join } from 'node:path';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { weatherKinds } from '../../../../adapters/weather/combined.ts';
import { sandClasses } from '../../../../calc/sand/sand-classes.ts';
import { answersSchema, type RawConfig } from '../../../actions/setup/answers.ts';
import {
  type CheckedAnswers,
  type HashedPin,
  oldConfig,
  textBefore,
} from '../../../actions/setup/checked-answers.ts';
import { positionText } from '../../../actions/setup/position.ts';
import { bedsText, stationsText } from '../../../actions/setup/table-entries.ts';
import { mainsText } from '../../../actions/setup/typed-values.ts';
import { writeConfig } from '../../../actions/setup/write-config.ts';
import { reckonerHere } from '../../../service/reckoner/reckoner.ts';
import { sandSchema } from '../../../site/config/bed-schema.ts';
import { isMap } from '../../../site/config/bounded-input.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { DEMO_FILE } from '../../../site/config/demo.ts';
import { pinHash } from '../../../site/config/pin-hash.ts';
import type { ConfigProblem } from '../../../site/config/problems.ts';
import { addAuditEntry } from '../../../site/store/audit-log.ts';
import { type Say, sayIn } from '../../../words/language.ts';
import { sayToPage } from '../asked-language.ts';
import { bodyOf, Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type {
  SetupCheckView,
  SetupProblem,
  SetupSandView,
  SetupTrialView,
  SetupView,
  SetupWrittenView,
} from '../views/setup-view.ts';
import type { WebParts } from '../web-parts.ts';

const checkSchema = z.strictObject({ answers: answersSchema });
const sandAskSchema = z.strictObject({ sand: z.union([z.string().min(1).max(64), sandSchema]) });
const writeSchema = z.strictObject({
  digest: z.string().regex(/^[0-9a-f]{64}$/),
  who: z.string().trim().max(60).optional(),
});

/** Previews that can still be written: only what was shown is. */
const MAX_PREVIEWS = 8;

/** The set-up: the config as it is, what answers would make of it, and the write. Keepers alone. */
export function setupRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { config, db, now, reckoner = reckonerHere(parts) } = parts;
  const file = setupFile(config);
  const place = { file, baseFolder: dirname(file) };
  const previews = new Map<string, CheckedAnswers>();

  /** PINs of people to be are worked out in the queue of those who sign in. */
  const hashInTurn = async (pin: string): Promise<string> => {
    const place = { isAhead: true, group: 'set-up' };
    const hash = await guard.signIns.pins.enter(place, () => pinHash(pin));
    if (hash !== null) return hash;
    throw new Refused(429, 'too_many_attempts', { key: 'page_refused.pins_full' });
  };

  const hashed = async (pin: string): Promise<HashedPin> => {
    try {
      return { hash: await hashInTurn(pin) };
    } catch (error) {
      if (error instanceof RangeError) return { problem: error.message };
      throw error;
    }
  };
  const mustSetUp = (request: FastifyRequest) => {
    const who = guard.mustAct(request, sayToPage(request)('someone.at_page'));
    return guard.personOf(request) === null ? request.ip : who;
  };

  app.get('/api/setup', async (request): Promise<SetupView> => {
    mustSetUp(request);
    const machineZone = Intl.DateTimeFormat().resolvedOptions().timeZone;
    const old = oldConfig(textBefore(file), file);
    const say = sayToPage(request);
    return readSetup({ old, config, file, nowMs: now(), machineZone, say });
  });

  app.post('/api/setup/check', async (request): Promise<SetupCheckView> => {
    const asker = mustSetUp(request);
    const { answers } = bodyOf(checkSchema, request.body);
    const pins: HashedPin[] = [];
    for (const { pin, pin_env } of answers.people ?? []) {
      if (pin !== undefined && pin !== '' && pin_env === undefined) pins.push(await hashed(pin));
    }
    const preview = await reckoner.ask('setupCheck', { ...place, answers, pins }, asker);
    const canWrite = preview.problems.length === 0;
    if (canWrite) {
      previews.set(preview.digest, preview);
      for (const digest of previews.keys()) {
        if (previews.size <= MAX_PREVIEWS) break;
        previews.delete(digest);
      }
    }
    return {
      problems: preview.problems.map(problemView),
      warnings: preview.warnings.map(problemView),
      told: preview.told,
      difference: preview.difference,
      shown: preview.shown,
      digest: canWrite ? preview.digest : null,
      changed: preview.text !== preview.before,
    };
  });

  app.post('/api/setup/try-weather', async (request): Promise<SetupTrialView> => {
    const asker = mustSetUp(request);
    const { answers } = bodyOf(checkSchema, request.body);
    return reckoner.ask('setupWeather', { ...place, answers, nowMs: now() }, asker);
  });

  app.post('/api/setup/sand', async (request): Promise<SetupSandView> => {
    const asker = mustSetUp(request);
    const { sand } = bodyOf(sandAskSchema, request.body);
    try {
      return await reckoner.ask('setupSand', { sand, file }, asker);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new Refused(400, 'refused', error.message);
    }
  });

  app.post('/api/setup/write', async (request, reply): Promise<SetupWrittenView> => {
    const { digest, who: given } = bodyOf(writeSchema, request.body);
    const who = guard.mustAct(request, given);
    const preview = previews.get(digest);
    if (preview === undefined) {
      throw new Refused(409, 'refused', { key: 'setup_page.preview_gone' });
    }
    const written = writeConfig({ path: file, ...preview, nowMs: now() });
    if (!written.ok) throw new Refused(409, 'refused', written.message);
    previews.clear();
    addAuditEntry(db, { atMs: now(), kind: 'config_written', who, what: written.path });
    const say = sayToPage(request);
    const lines = [say('setup_page.written', { path: written.path })];
    if (written.copy !== null) lines.push(say('setup_page.copy', { path: written.copy }));
    const { askReload } = parts;
    const reloads = askReload !== undefined && preview.dataFolder === config.dataFolder;
    lines.push(say(reloads ? 'setup_page.reloads' : 'setup_page.next_start'));
    // The reload takes this very page down for a moment: first the answer goes out.
    if (reloads) reply.raw.once('close', () => askReload());
    return { lines, reloads };
  });
}

/** The demo has no file: a first config is begun beside it. */
function setupFile(config: LoadedConfig): string {
  const [file = DEMO_FILE] = config.sources;
  return basename(file) === DEMO_FILE ? join(config.baseFolder, 'dewbeat.yaml') : file;
}

function problemView({ path, line, message }: ConfigProblem): SetupProblem {
  return { path, line, message };
}

/** The config that is there, as the set-up's fields. */
function readSetup(given: {
  old: RawConfig | null;
  config: LoadedConfig;
  file: string;
  nowMs: number;
  machineZone: string;
  say: Say;
}): SetupView {
  const { old, config, file, nowMs, machineZone, say } = given;
  const { name, latitude, longitude, elevation, zone } = mapOf(old?.site);
  const { pump_flow, mains } = mapOf(old?.supply);
  const { people } = mapOf(old?.page);
  const isPlaced = typeof latitude === 'number' && typeof longitude === 'number';
  const own = Object.keys(mapOf(old?.sands));
  return {
    isNew: old === null,
    file,
    fields: {
      name: textOf(name),
      position: isPlaced ? positionText(latitude, longitude) : '',
      elevation: textOf(elevation),
      zone: textOf(zone) || machineZone,
      units: textOf(old?.units) || (old === null ? config.units : 'metric'),
      pumpFlow: textOf(pump_flow),
      mains: mainsText(listOf(mains)),
      beds: bedsText(listOf(old?.beds)),
      stations: stationsText(listOf(old?.stations)),
    },
    weather: old === null ? null : weatherKinds(config.weather),
    people: listOf(people).map(({ name: who, role }) => ({
      name: textOf(who),
      role: role === 'watcher' ? 'watcher' : 'keeper',
    })),
    sands: [
      ...own.map((sand) => ({
        name: sand,
        words: say('setup_page.own_sand', { sand }),
        isOwn: true,
      })),
      ...sandClasses.map(({ key }) => ({
        name: key,
        words: `${key}: ${sayIn('en')(`sand.${key}`)}`,
        isOwn: false,
      })),
    ],
    month: Number(config.clock.siteDayOf(nowMs).slice(5, 7)),
  };
}

function mapOf(raw: unknown): Readonly<Record<string, unknown>> {
  return isMap(raw) ? raw : {};
}

function listOf(raw: unknown): Readonly<Record<string, unknown>>[] {
  return Array.isArray(raw) ? raw.filter(isMap) : [];
}

function textOf(raw: unknown): string {
  return typeof raw === 'string' || typeof raw === 'number' ? String(raw) : '';
}
