import { useEffect, useState } from 'preact/hooks';
import type { ActionRequest, FormView } from '../views/action-view.ts';
import { ActionFields, lastAt } from './action-fields.tsx';
import { readForm } from './api.ts';
import { ChangeForm } from './change-form.tsx';
import { usePage } from './page-context.ts';
import type { SiteTime } from './site-time.ts';
import { say } from './words.ts';

type Values = Readonly<Record<string, unknown>>;

/**
 * The form of an action, as the daemon describes it.
 *
 * @param given.first What it begins with: a bed, or a value of a choice.
 */
export function ActionForm({ kind, first }: { kind: string; first: string | null }) {
  const { today } = usePage();
  const isBed = today.beds.some((bed) => bed.id === first);
  const [bedId, setBedId] = useState((isBed ? first : today.beds[0]?.id) ?? '');
  const { form, problem } = useForm(kind, bedId, today.version);
  if (form === null) {
    return (
      <div>
        <h2 tabIndex={-1}>{say('page.room.change')}</h2>
        <p role="status">{problem ?? say('page.change.asking')}</p>
      </div>
    );
  }
  return <FilledForm form={form} bedId={bedId} setBedId={setBedId} first={first} />;
}

function FilledForm(given: {
  form: FormView;
  bedId: string;
  setBedId(bedId: string): void;
  first: string | null;
}) {
  const { form, bedId, setBedId, first } = given;
  const { today, time, live } = usePage();
  const [typed, setTyped] = useState<Values>(() =>
    typedAtFirst(
      form,
      first,
      today.beds.map(({ id }) => id),
    ),
  );
  const values: Record<string, unknown> = { ...starts(form), bedId, ...typed };
  const missing = missingOf(form, values, typed);
  const set = (key: string, value: unknown) => setTyped((before) => ({ ...before, [key]: value }));
  const isAllBeds = (chosen: unknown) =>
    Array.isArray(chosen) && chosen.length === today.beds.length;
  const request = {
    kind: form.kind,
    ...Object.fromEntries(
      form.fields.map((field) => {
        const value = values[field.key];
        if (field.kind === 'time')
          return [field.key, instantOf(String(value ?? ''), field, time, live.nowMs)];
        if (field.kind === 'beds' && field.hasAll && isAllBeds(value)) return [field.key, 'all'];
        return [field.key, value];
      }),
    ),
  } as ActionRequest;
  return (
    <ChangeForm
      title={form.name}
      intro={form.nothing ?? form.intro}
      change={missing === null && form.nothing === null ? request : null}
      missing={form.nothing ?? missing ?? ''}
      isPlanned={form.isPlanned}
      leadsToConfirm={form.kind === 'release'}
    >
      <ActionFields
        fields={form.fields}
        values={values}
        set={set}
        setBed={(next) => {
          setBedId(next);
          // What stands differs from bed to bed.
          if (form.beginsAsItStands) setTyped((before) => withoutNumbers(form, before));
        }}
      />
    </ChangeForm>
  );
}

/** A form as the daemon gives it; it is asked for again whenever today changes. */
function useForm(
  kind: string,
  bedId: string,
  version: string,
): { form: FormView | null; problem: string | null } {
  const [form, setForm] = useState<FormView | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    let isCurrent = true;
    void readForm(kind, bedId).then((outcome) => {
      if (!isCurrent) return;
      if (outcome.kind === 'well') setForm(outcome.value);
      const refusal = outcome.kind === 'refused' ? outcome.error.message : null;
      setProblem(outcome.kind === 'away' ? say('page.away') : refusal);
    });
    return () => {
      isCurrent = false;
    };
    // The version stands for everything that a reading tells.
  }, [kind, bedId, version]);
  return { form: form?.kind === kind ? form : null, problem };
}

function starts(form: FormView): Values {
  return Object.fromEntries(form.fields.map(({ key, value }) => [key, value]));
}

/** What a form begins with: the bed or the choice that led to it, else as the daemon has it. */
function typedAtFirst(form: FormView, first: string | null, bedIds: readonly string[]): Values {
  const typed: Record<string, unknown> = {};
  for (const field of form.fields) {
    if (field.kind === 'beds') {
      if (first !== null && bedIds.includes(first)) typed[field.key] = [first];
      else typed[field.key] = field.value === 'all' ? bedIds : [];
    }
    if (field.kind === 'choice') {
      const found = field.choices.find(({ value }) => first !== null && String(value) === first);
      if (found !== undefined) typed[field.key] = found.value;
    }
  }
  return typed;
}

function withoutNumbers(form: FormView, typed: Values): Values {
  const numbers = new Set(form.fields.flatMap(({ kind, key }) => (kind === 'number' ? [key] : [])));
  return Object.fromEntries(Object.entries(typed).filter(([key]) => !numbers.has(key)));
}

/** What has still to be given or changed, in words; null: nothing. */
function missingOf(form: FormView, values: Values, typed: Values): string | null {
  const empty = form.fields.filter(({ key, isNeeded }) => isNeeded && isEmpty(values[key]));
  if (empty.length > 0) {
    return say('page.change.give', { fields: empty.map(({ label }) => label).join(', ') });
  }
  const changes = form.fields.some(
    ({ kind, key, value }) => kind === 'number' && key in typed && typed[key] !== value,
  );
  return form.beginsAsItStands && !changes ? say('page.change.something') : null;
}

function isEmpty(value: unknown): boolean {
  if (typeof value === 'string') return value.trim() === '';
  return value === null || value === undefined || (Array.isArray(value) && value.length === 0);
}

function instantOf(
  text: string,
  { isPast }: { isPast: boolean },
  time: SiteTime,
  nowMs: number,
): number | null {
  if (text === '') return null;
  return isPast ? lastAt(text, nowMs, time.nextAt) : time.nextAt(text, nowMs);
}
