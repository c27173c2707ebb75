import { isMap } from '../config/read-text.ts';
import { siteClock } from '../time/site-clock.ts';
import { answeredPlace } from './answered-place.ts';
import type { RawConfig, SetupAnswers } from './answers.ts';
import { askGround } from './ask-ground.ts';
import { askPeople } from './ask-people.ts';
import { askSite } from './ask-site.ts';
import { askOutputs, askSupply } from './ask-supply.ts';
import { askWeather } from './ask-weather.ts';
import { shortId } from './short-id.ts';
import type { Talk } from './talk.ts';
import type { TrialPlace, WeatherTrial } from './try-weather.ts';

/** What the interview needs of the world. */
export interface InterviewWorld {
  /** The plain value of the config that is there; null: none. */
  old: RawConfig | null;
  nowMs: number;
  machineZone: string;
  pathOf(file: string): string;
  tryWeather(given: {
    raw: unknown;
    place: TrialPlace;
    units: 'us' | 'metric';
  }): Promise<WeatherTrial>;
}

const PARTS = [
  { value: 'site', words: 'where the site is' },
  { value: 'weather', words: 'where the weather comes from' },
  { value: 'supply', words: 'pump and mains' },
  { value: 'ground', words: 'beds, stations and sand' },
  { value: 'people', words: 'people and PINs' },
  { value: 'outputs', words: 'where confirmed plans go' },
] as const;

type Part = (typeof PARTS)[number]['value'];

/** Asks for a whole site, or for the parts of a known one that are to change. */
export async function interview(talk: Talk, world: InterviewWorld): Promise<SetupAnswers> {
  const answers: SetupAnswers = {};
  const { old } = world;
  if (old === null) {
    answers.units = await talk.ask({
      kind: 'choice',
      ask: 'Units that you think in',
      choices: [
        { value: 'us', words: 'US (gpm, in/h, °F)' },
        { value: 'metric', words: 'metric (L/min, mm/h, °C)' },
      ],
      preset: world.machineZone.startsWith('America/') ? 'us' : 'metric',
    });
    for (const { value } of PARTS) await askPart(talk, value, { answers, world });
    return answers;
  }
  for (;;) {
    const part = await talk.ask({
      kind: 'choice',
      ask: 'What is to change?',
      choices: [...PARTS, { value: 'done', words: 'nothing more: show what would be written' }],
      preset: 'done',
    });
    if (part === 'done') return answers;
    await askPart(talk, part as Part, { answers, world });
  }
}

async function askPart(
  talk: Talk,
  part: Part,
  { answers, world }: { answers: SetupAnswers; world: InterviewWorld },
): Promise<void> {
  const { old } = world;
  const units = (answers.units ?? old?.units) === 'us' ? 'us' : 'metric';
  const mapOf = (raw: unknown) => (isMap(raw) ? raw : {});
  switch (part) {
    case 'site': {
      const { machineZone } = world;
      answers.site = { ...(await askSite(talk, { old: mapOf(old?.site), units, machineZone })) };
      return;
    }
    case 'weather': {
      const place = answeredPlace(answers, old);
      answers.weather = (await askWeather(talk, {
        old: old?.weather,
        units,
        month: Number(siteClock(place.zone).siteDayOf(world.nowMs).slice(5, 7)),
        position: { latitude: place.latitudeDeg, longitude: place.longitudeDeg },
        pathOf: world.pathOf,
        tryOut: (raw) => world.tryWeather({ raw, place, units }),
      })) as Record<string, unknown>;
      return;
    }
    case 'supply':
      answers.supply = await askSupply(talk, mapOf(old?.supply));
      return;
    case 'ground':
      Object.assign(answers, await askGround(talk, { old: old ?? {}, units }));
      return;
    case 'people':
      Object.assign(answers, await askPeople(talk, mapOf(old?.page)));
      return;
    case 'outputs': {
      const { name } = mapOf(answers.site);
      const { id } = mapOf(old?.site);
      answers.outputs = await askOutputs(talk, String(id ?? (shortId(String(name)) || 'site')));
    }
  }
}
