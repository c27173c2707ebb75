import { basename, dirname, join } from 'node:path';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { DEMO_FILE } from '../../config/demo.ts';
import type { LoadedConfig } from '../../config/loaded-config.ts';
import { pinHash } from '../../config/pin-hash.ts';
import type { ConfigProblem } from '../../config/problems.ts';
import { sandSchema } from '../../config/sand-schema.ts';
import { reckonerHere } from '../../reckoner/reckoner-here.ts';
import { answersSchema } from '../../setup/answers.ts';
import {
  type CheckedAnswers,
  type HashedPin,
  oldConfig,
  textBefore,
} from '../../setup/checked-answers.ts';
import { writeConfig } from '../../setup/write-config.ts';
import { addStep } from '../../store/steps.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import { readSetup } from '../views/read-setup.ts';
import type {
  SetupCheckView,
  SetupProblem,
  SetupSandView,
  SetupTrialView,
  SetupView,
  SetupWrittenView,
} from '../views/setup-view.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

const checkSchema = z.strictObject({ answers: answersSchema });
const sandAskSchema = z.strictObject({ sand: z.union([z.string().min(1).max(64), sandSchema]) });
const writeSchema = z.strictObject({
  digest: z.string().regex(/^[0-9a-f]{64}$/),
  who: z.string().trim().max(60).optional(),
});

/** Previews that can still be written: only what was shown is. */
const MOST_PREVIEWS = 8;

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
    throw new Refused(429, 'too_many_attempts', 'PINs: too many wait; try again in a moment');
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
    const who = guard.mustAct(request, 'change', 'a person at the page');
    return guard.personOf(request) === null ? request.ip : who;
  };

  app.get('/api/setup', async (request): Promise<SetupView> => {
    mustSetUp(request);
    const machineZone = Intl.DateTimeFormat().resolvedOptions().timeZone;
    const old = oldConfig(textBefore(file), file);
    return readSetup({ old, config, file, nowMs: now(), machineZone });
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
        if (previews.size <= MOST_PREVIEWS) break;
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
    const who = guard.mustAct(request, 'change', given);
    const preview = previews.get(digest);
    if (preview === undefined) {
      throw new Refused(409, 'refused', 'set-up: that preview is no longer known; check it again');
    }
    const written = writeConfig({ path: file, ...preview, nowMs: now() });
    if (!written.ok) throw new Refused(409, 'refused', written.message);
    previews.clear();
    addStep(db, { atMs: now(), kind: 'config_written', who, what: written.path });
    const lines = [`Written: ${written.path}`];
    if (written.copy !== null) lines.push(`The file before is kept as ${written.copy}`);
    const { askReload } = parts;
    const reloads = askReload !== undefined && preview.dataFolder === config.dataFolder;
    lines.push(
      reloads
        ? 'The daemon takes it up now; people sign in again.'
        : 'It counts from the next start: stop the daemon and start it again.',
    );
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
