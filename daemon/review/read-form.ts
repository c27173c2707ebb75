import type { DisplayUnits } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';
import type { QuantityKind } from '../../adapters/quantity-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { DAY_CALL_BOUNDS } from '../../calc/sky/day-call.ts';
import type { ChangeRequest } from '../actions/change-request.ts';
import { HAND_WATER_BOUNDS } from '../actions/log-water.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import type { TodayView } from '../web/views/today-view.ts';
import type { Form } from './form.ts';

/** What texts of a person are read with. */
export interface SiteReading {
  clock: SiteClock;
  units: DisplayUnits;
}

/** What a form asks for, or the field that cannot be read and why. */
export type FormReading =
  | { ok: true; change: ChangeRequest; who: string }
  | { ok: false; key: string; message: string };

class Unreadable extends Error {
  readonly key: string;
  constructor(key: string, message: string) {
    super(message);
    this.key = key;
  }
}

/** Reads a form; limits that an act itself looks after are left to it. */
export function readForm(form: Form, view: TodayView, site: SiteReading): FormReading {
  try {
    const who = need(form, 'who', 'give your name');
    return { ok: true, change: changeOf(form, view, site), who };
  } catch (error) {
    if (!(error instanceof Unreadable)) throw error;
    return { ok: false, key: error.key, message: error.message };
  }
}

function changeOf(form: Form, view: TodayView, site: SiteReading): ChangeRequest {
  const { bedId } = form;
  switch (form.kind) {
    case 'call': {
      const { hotterK } = DAY_CALL_BOUNDS;
      const degree = site.units === 'us' ? '°F' : '°C';
      return {
        kind: 'call',
        hotterK: quantityOf(form, 'hotter', 'temperature_difference', degree, {
          min: hotterK.atLeast,
          max: hotterK.atMost,
        }),
        windFraction: numberOf(form, 'windier'),
        cloudierFraction: numberOf(form, 'cloudier') / 100,
      };
    }
    case 'trim':
      return {
        kind: 'trim',
        bedId,
        trimPct: numberOf(form, 'trim'),
        why: need(form, 'why', 'say what you saw on the bed'),
      };
    case 'rotation':
      return { kind: 'rotation', bedId, rotations: numberOf(form, 'rotations') };
    case 'water': {
      const unit = site.units === 'us' ? 'in' : 'mm';
      const netMm = quantityOf(form, 'depth', 'depth', unit, HAND_WATER_BOUNDS.netMm);
      return { kind: 'water', bedId, amount: { netMm }, startMs: timeOf(form, 'at', view, site) };
    }
    case 'keep_off': {
      const label = textOf(form, 'label');
      return {
        kind: 'keep_off',
        beds: textOf(form, 'beds') === 'all' ? 'all' : [bedId],
        why: need(form, 'why', 'say what for: mow, roll, feed, spray, ...'),
        untilMs: timeOf(form, 'until', view, site),
        labelIntervalS: label === '' ? 0 : quantityOf(form, 'label', 'duration_s', 'h', { min: 0 }),
      };
    }
    case 'end_keep_off':
      return {
        kind: 'end_keep_off',
        keepOffId: Number(textOf(form, 'keepOff')),
        byMistake: textOf(form, 'mistake') === 'mistake',
      };
    case 'stage': {
      const to = textOf(form, 'to');
      const why = need(form, 'why', 'say what you saw on the bed');
      return to === 'back'
        ? { kind: 'stage_back', bedIds: [bedId], why }
        : { kind: 'stage', bedIds: [bedId], to, why };
    }
    case 'wind': {
      const answer = textOf(form, 'answer');
      const choice = view.question?.answers.find((one) => one.answer === answer)?.answer;
      if (choice === undefined) throw new Unreadable('answer', 'nothing is asked any more');
      return { kind: 'wind', choice };
    }
    case 'replan': {
      const lift = textOf(form, 'lift');
      return { kind: 'replan', lift: lift === 'this' ? [bedId] : lift === 'all' ? 'all' : 'none' };
    }
  }
}

function textOf(form: Form, key: string): string {
  return form.fields.find((field) => field.key === key)?.text.trim() ?? '';
}

function need(form: Form, key: string, ask: string): string {
  const text = textOf(form, key);
  if (text === '') throw new Unreadable(key, `is missing; ${ask}`);
  return text;
}

function numberOf(form: Form, key: string): number {
  const text = need(form, key, 'give a number').replace(/\s*%$/, '').replace(',', '.');
  const value = Number(text);
  if (Number.isFinite(value)) return value;
  throw new Unreadable(key, `is no number (got ${text}); give one`);
}

/** A bare number is in the person's own unit. */
function quantityOf(
  form: Form,
  key: string,
  kind: QuantityKind,
  unit: string,
  bounds: { min?: number; max?: number },
): number {
  const text = need(form, key, 'give a number').replace(',', '.');
  const bare = /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text);
  const reading = readQuantity(bare ? `${text} ${unit}` : text, kind, bounds);
  if (reading.ok) return reading.value;
  throw new Unreadable(key, reading.message);
}

function timeOf(form: Form, key: string, view: TodayView, site: SiteReading): number | null {
  const text = textOf(form, key);
  if (text === '') return null;
  const atMs = localOrInstant(text, view.nowMs, site.clock);
  if (atMs !== null) return atMs;
  throw new Unreadable(key, `is no time (got ${text}); write HH:MM`);
}
