import { readReport } from '../../adapters/outputs/mqtt.ts';
import { configText, problemsOf } from '../daemon/site/config/sound-config.ts';
import { fuzzWeather } from '../weather-fuzz.ts';
import { type Random, random } from './simulation/random.ts';

/** One line of the form in which every problem is told. */
const PROBLEM = /^site\.yaml:\d+:\d+( [^\n]+)?: [^\n]+; [^\n]+$/;
/** Most by which the heap may grow over all of it, in megabytes. */
const MOST_GROWTH_MB = 30;

const PIECES = [
  '{',
  '}',
  '[',
  ']',
  '"',
  "'",
  ': ',
  '\n',
  '\t',
  '- ',
  '&a ',
  '*a',
  '!x ',
  '-5',
  '~',
  '1e999',
  'NaN',
  ' ft²',
  'null',
  '\u0000',
  '\ud800',
  '°',
];

/**
 * Wounded weather of every kind, configs and messages from the field: none may bring the program
 * down, and none may be taken in silence when it says what cannot be.
 */
export async function fuzz(asked: {
  inputs: number;
  seed: number;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const { inputs, seed } = asked;
  const rng = random(seed);
  globalThis.gc?.();
  const beforeMb = process.memoryUsage().heapUsed / 1e6;
  const parts = { weather: Math.ceil(inputs / 2), configs: Math.ceil(inputs / 5), messages: 0 };
  parts.messages = inputs - parts.weather - parts.configs;
  // Throws at the first case that is taken in silence, with what it was.
  const weather = await fuzzWeather(parts.weather, seed);
  const configs = fuzzConfigs(parts.configs, rng);
  const messages = fuzzMessages(parts.messages, rng);
  globalThis.gc?.();
  const growthMb = process.memoryUsage().heapUsed / 1e6 - beforeMb;
  const broken = [...configs.broken, ...messages.broken];
  return {
    lines: [
      `weather: ${weather.cases} inputs, ${weather.silent} read without a word, ${weather.told} with something told, ${weather.refused} refused`,
      `configs: ${parts.configs} inputs, ${configs.sound} sound, ${parts.configs - configs.sound} with problems`,
      `messages from the field: ${parts.messages} inputs, ${messages.taken} taken, ${parts.messages - messages.taken} refused`,
      `heap: ${growthMb >= 0 ? '+' : ''}${growthMb.toFixed(1)} MB`,
      `broken: ${broken.length}`,
      ...broken.slice(0, 10).map((what) => `  ${what}`),
    ],
    isGood: broken.length === 0 && growthMb <= MOST_GROWTH_MB,
  };
}

function fuzzConfigs(count: number, rng: Random): { sound: number; broken: string[] } {
  const whole = configText();
  const broken: string[] = [];
  let sound = 0;
  for (let index = 0; index < count; index++) {
    const text = wounded(whole, rng);
    try {
      const problems = problemsOf(text);
      if (problems.length === 0) sound += 1;
      const odd = problems.find((line) => !PROBLEM.test(line));
      if (odd !== undefined) broken.push(`config told as: ${odd}`);
    } catch (error) {
      broken.push(`config: ${String(error)} for ${JSON.stringify(text)}`);
    }
  }
  return { sound, broken };
}

const RAN =
  '{"station_id":"s1","start":"2026-07-01T10:00:00-04:00","run_s":180,"flow_l_per_min":200}';
const RECEIPT = '{"order_id":"2026-07-01-r1-3f2a91bc","answer":"accepted","detail":"taken"}';

function fuzzMessages(count: number, rng: Random): { taken: number; broken: string[] } {
  const broken: string[] = [];
  let taken = 0;
  for (let index = 0; index < count; index++) {
    const kind = rng.chance(0.5) ? 'ran' : 'receipt';
    const bytes = rng.chance(0.2)
      ? Uint8Array.from({ length: rng.whole(0, 60) }, () => rng.whole(0, 255))
      : new TextEncoder().encode(wounded(kind === 'ran' ? RAN : RECEIPT, rng));
    try {
      const read = readReport(kind, bytes, { output: 'field', nowMs: 0 });
      if (!read.ok) continue;
      taken += 1;
      const { report } = read;
      // What is taken is one of the two kinds, with numbers that can be.
      const isPossible =
        report.kind === 'receipt'
          ? report.orderId.length > 0
          : Number.isFinite(report.startMs) &&
            report.runS >= 0 &&
            report.runS <= 86_400 &&
            (report.flowLPerMin ?? 0) >= 0;
      if (!isPossible) broken.push(`message taken: ${JSON.stringify(report)}`);
    } catch (error) {
      broken.push(`message: ${String(error)}`);
    }
  }
  return { taken, broken };
}

/** The text with one to three cuts, each with something put in its place. */
function wounded(text: string, rng: Random): string {
  let now = text;
  for (let cuts = rng.whole(1, 3); cuts > 0; cuts--) {
    const at = rng.whole(0, now.length);
    const put = rng.chance(0.7) ? rng.pick(PIECES) : String.fromCharCode(rng.whole(1, 0xffff));
    now = now.slice(0, at) + put + now.slice(at + rng.whole(0, 12));
  }
  return now;
}
