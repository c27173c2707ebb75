import { basename, dirname, join, resolve } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { DEMO_FILE } from '../../config/demo.ts';
import type { LoadedConfig } from '../../config/loaded-config.ts';
import type { ConfigProblem } from '../../config/problems.ts';
import { isMap, readText } from '../../config/read-text.ts';
import { sandSchema } from '../../config/sand-schema.ts';
import { readYaml } from '../../config/yaml-source.ts';
import { answeredPlace } from '../../setup/answered-place.ts';
import { answersSchema, type RawConfig, type SetupAnswers } from '../../setup/answers.ts';
import { outsideFolder } from '../../setup/inside-folder.ts';
import { pageWeather } from '../../setup/page-weather.ts';
import { type SetupPreview, setupPreview } from '../../setup/preview.ts';
import { sandPicture } from '../../setup/sand-picture.ts';
import { tryWeather } from '../../setup/try-weather.ts';
import { writeConfig } from '../../setup/write-config.ts';
import { addStep } from '../../store/steps.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import { pinHash } from '../safety/pin-hash.ts';
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
  const { config, db, now } = parts;
  const file = setupFile(config);
  const baseFolder = dirname(file);
  const previews = new Map<string, SetupPreview>();
  const before = (): string | null => {
    const read = readText(file);
    if (read.ok) return read.text;
    if (read.why === 'no such file') return null;
    throw new Refused(400, 'refused', `${file}: cannot be read (got ${read.why}); mend that first`);
  };
  const oldOf = (text: string | null): RawConfig | null => {
    const raw = text === null ? null : readYaml(text, file).raw;
    return isMap(raw) ? raw : null;
  };

  /** Nothing outside of the folder is looked into, not even at its headings. */
  const askedOf = (answers: SetupAnswers, old: RawConfig | null) => {
    const isInside = outsideFolder(answers, old).length === 0;
    const made = isInside
      ? pageWeather(answers, { old, pathOf: (name) => resolve(baseFolder, name) })
      : { ok: true as const, answers, told: [] };
    if (made.ok) return { asked: made.answers, told: made.told, problem: null };
    const { weather: _, ...rest } = answers;
    const problem: SetupProblem = { path: 'weather.file', line: null, message: made.message };
    return { asked: rest, told: [], problem };
  };

  app.get('/api/setup', async (request): Promise<SetupView> => {
    guard.mustAct(request, 'change', 'a person at the page');
    const machineZone = Intl.DateTimeFormat().resolvedOptions().timeZone;
    return readSetup({ old: oldOf(before()), config, file, nowMs: now(), machineZone });
  });

  app.post('/api/setup/check', async (request): Promise<SetupCheckView> => {
    guard.mustAct(request, 'change', 'a person at the page');
    const { answers } = bodyOf(checkSchema, request.body);
    const text = before();
    const { asked, told, problem } = askedOf(answers, oldOf(text));
    const outside = outsideFolder(answers, oldOf(text)).map(
      ({ path, got }): SetupProblem => ({
        path,
        line: null,
        message: `lies outside of the config's folder (got ${got}); name a place inside it, or use \`dewbeat init\` in a terminal`,
      }),
    );
    const help = { hash: pinHash, env: () => undefined };
    const preview = await setupPreview(asked, { before: text, file, baseFolder, help });
    const found = preview.problems.map(problemView);
    const problems = [...outside, ...(problem === null ? [] : [problem]), ...found];
    const canWrite = problems.length === 0;
    if (canWrite) {
      previews.set(preview.digest, preview);
      for (const digest of previews.keys()) {
        if (previews.size <= MOST_PREVIEWS) break;
        previews.delete(digest);
      }
    }
    return {
      problems,
      warnings: preview.warnings.map(problemView),
      told: [...told, ...preview.told],
      difference: preview.difference,
      shown: preview.shown,
      digest: canWrite ? preview.digest : null,
      changed: preview.text !== preview.before,
    };
  });

  app.post('/api/setup/try-weather', async (request): Promise<SetupTrialView> => {
    guard.mustAct(request, 'change', 'a person at the page');
    const { answers } = bodyOf(checkSchema, request.body);
    const old = oldOf(before());
    const [outside] = outsideFolder(answers, old);
    if (outside !== undefined) {
      const line = `${outside.path}: lies outside of the config's folder (got ${outside.got})`;
      return { ok: false, lines: [line], row: [] };
    }
    const { asked, told, problem } = askedOf(answers, old);
    if (problem !== null) {
      return { ok: false, lines: [`${problem.path}: ${problem.message}`], row: [] };
    }
    const trial = await tryWeather({
      raw: asked.weather ?? old?.weather,
      place: answeredPlace(asked, old),
      baseFolder,
      units: (asked.units ?? old?.units) === 'us' ? 'us' : 'metric',
      nowMs: now(),
    });
    return { ...trial, lines: [...told, ...trial.lines] };
  });

  app.post('/api/setup/sand', async (request): Promise<SetupSandView> => {
    guard.mustAct(request, 'change', 'a person at the page');
    const { sand } = bodyOf(sandAskSchema, request.body);
    const { sands } = oldOf(before()) ?? {};
    const own = typeof sand === 'string' && isMap(sands) ? sands[sand] : undefined;
    try {
      const entry = own === undefined ? sand : bodyOf(sandSchema, own);
      return sandPicture(entry, config.units);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new Refused(400, 'refused', error.message);
    }
  });

  app.post('/api/setup/write', async (request, reply): Promise<SetupWrittenView> => {
    const { digest, who: given } = bodyOf(writeSchema, request.body);
    const who = guard.mustAct(request, 'change', given);
    const preview = previews.get(digest);
    if (preview?.config == null) {
      throw new Refused(409, 'refused', 'set-up: that preview is no longer known; check it again');
    }
    const written = writeConfig({ path: file, ...preview, nowMs: now() });
    if (!written.ok) throw new Refused(409, 'refused', written.message);
    previews.clear();
    addStep(db, { atMs: now(), kind: 'config_written', who, what: written.path });
    const lines = [`Written: ${written.path}`];
    if (written.copy !== null) lines.push(`The file before is kept as ${written.copy}`);
    const { askReload } = parts;
    const reloads = askReload !== undefined && preview.config.dataFolder === config.dataFolder;
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
