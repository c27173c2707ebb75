import { writeFileSync } from 'node:fs';
import { openWeather } from '../../site/config/open-weather.ts';
import { openDatabase } from '../../site/store/database.ts';
import { refuseLost } from '../../site/store/running-daemon.ts';
import { weatherMemory } from '../../site/store/weather-readings.ts';
import { siteClock } from '../../site/time/site-clock.ts';
import { type Questions, questionsOn } from './questions.ts';
import { type FromBeside, type PlainConfig, type ToBeside, toWireError } from './wire.ts';

/** The process beside the daemon: answers one question after another, and goes when it goes. */
let questions: Questions | null = null;
let plain: PlainConfig | null = null;

/** Opened with the first question, so that a fault of the store is an answer and tried again. */
function opened(): Questions {
  if (questions !== null) return questions;
  if (plain === null) throw new Error('reckoner: was asked before it had a config');
  const config = { ...plain, clock: siteClock(plain.zone) };
  // Asked after the file was deleted, it must not make an empty one in its place.
  refuseLost(config.dataFolder);
  const db = openDatabase(config.dataFolder);
  // It reads alone: whatever is wrong in here, nothing is written and nobody waits for it to write.
  db.pragma('query_only = ON');
  const weather = openWeather(config, undefined, { memory: weatherMemory(db), keptOnly: true });
  questions = questionsOn({ db, config, weather });
  return questions;
}

async function answer({ askId, question, asked }: ToBeside & { kind: 'ask' }): Promise<void> {
  let told: FromBeside;
  try {
    const work = opened()[question] as (given: unknown) => Promise<unknown>;
    told = { kind: 'answer', askId, value: await work(asked) };
  } catch (error) {
    told = { kind: 'fault', askId, error: toWireError(error) };
  }
  process.send?.(told);
}

try {
  // Where memory runs out, this process is the one to go: the daemon lives on without it.
  writeFileSync('/proc/self/oom_score_adj', '500');
} catch {
  // Another kind of system decides for itself.
}
process.on('message', (message) => {
  const told = message as ToBeside;
  if (told.kind === 'config') plain = told.config;
  else void answer(told);
});
process.on('disconnect', () => process.exit());
// The daemon says when to end; a signal to the whole group is for the daemon.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => undefined);
