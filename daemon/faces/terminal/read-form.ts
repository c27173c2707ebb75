import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { ActionRefused } from '../../actions/action-context.ts';
import { fieldsOf } from '../../actions/fields.ts';
import { readField } from '../../actions/read-text.ts';
import { sayIn } from '../../words/language.ts';
import { sayInTerminal as say } from '../../words/terminal.ts';
import type { Form } from './form.ts';
import type { Asked } from './review-state.ts';

/** What texts of a person are read with. */
export interface SiteReading {
  clock: SiteClock;
  units: DisplayUnits;
}

/** What a form asks for, or the field that cannot be read and why. */
export type FormReading =
  | { ok: true; change: Asked; who: string }
  | { ok: false; key: string; message: string };

/** Reads a form; bounds and what an action itself looks after are left to it. */
export function readForm(form: Form, nowMs: number, site: SiteReading): FormReading {
  const textOf = (key: string) => form.fields.find((line) => line.key === key)?.text.trim() ?? '';
  const who = textOf('who');
  if (who === '') return { ok: false, key: 'who', message: sayIn('en')('refused.who') };
  const change: Asked = { kind: form.spec.kind };
  for (const { key, field } of fieldsOf(form.spec.schema)) {
    const line = form.fields.find((one) => one.key === key);
    if (field.kind === 'bed') change[key] = form.bedId;
    else if (line === undefined) {
      if (field.kind === 'beds') change[key] = [form.bedId];
    } else if (line.choices !== null) change[key] = JSON.parse(line.text);
    else if (field.kind === 'text' || textOf(key) !== '') {
      try {
        change[key] = readField(field, textOf(key), { ...site, nowMs });
      } catch (error) {
        if (!(error instanceof ActionRefused)) throw error;
        return { ok: false, key, message: error.message };
      }
    }
    if (field.kind === 'text' && field.isNeeded && textOf(key) === '') {
      return { ok: false, key, message: missing(line?.hint ?? '') };
    }
  }
  return { ok: true, change, who };
}

function missing(hint: string): string {
  return hint === '' ? sayIn('en')('refused.missing') : say('change.needed', { hint });
}
