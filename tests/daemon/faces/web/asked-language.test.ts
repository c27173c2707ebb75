import { describe, expect, it } from 'vitest';
import { ACTIONS } from '../../../../daemon/actions/list.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { pageRig } from './page-rig.ts';

const ES = { 'x-dewbeat-language': 'es' };

/** Every text of an answer, with where it stands. */
function textsIn(value: unknown, path = ''): { path: string; text: string }[] {
  if (typeof value === 'string') return [{ path, text: value }];
  if (Array.isArray(value)) return value.flatMap((one) => textsIn(one, `${path}[]`));
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, one]) => textsIn(one, `${path}.${key}`));
}

/** Words that stand in English sentences alone. */
const ENGLISH = /\b(the|and|with|water|bed|was|from|is|are|has|not|of)\b/i;

describe('an answer of the page', () => {
  it('is in the language that was asked for, and in English where none is known', async () => {
    const rig = await pageRig();
    const { digest } = await rig.plan();
    const waiting = async (headers = {}) =>
      textsIn((await rig.get('/api/today', headers)).body).find(({ path }) =>
        path.endsWith('waiting[].text'),
      )?.text;
    expect(await waiting()).toMatch(/^Plan 1 waits for you\./);
    expect(await waiting(ES)).toMatch(/^El plan 1 le espera\./);
    expect(await waiting({ 'x-dewbeat-language': 'xx' })).toMatch(/^Plan 1 waits for you\./);

    await rig.post('/api/hold', { beds: ['green-1'], why: 'fuga', who: 'A. Keeper' }, ES);
    const asked = { revision: 1, digest, who: 'A. Keeper', cautions: CAUTIONS.map((c) => c.code) };
    expect((await rig.post('/api/confirm', asked, ES)).body.message).toBe(
      'No confirmado: A. Keeper paró el agua a las 05:10 (fuga), después de hecho este plan; haga uno nuevo con “Cambiar, Soltar el agua”',
    );
    const change = { kind: 'trim', bedId: 'green-9', trimPct: 120, why: 'seco' };
    expect((await rig.post('/api/change', { change, who: 'A. Keeper' }, ES)).body.message).toMatch(
      /^bed: no existe/,
    );
    const none = await rig.get('/api/nothing', ES);
    expect(none.body.message).toBe('página: no hay nada en esta ruta');
  });

  it('says nothing in English to one who asked for Spanish', async () => {
    const rig = await pageRig();
    await rig.plan();
    await rig.post('/api/hold', { beds: ['green-1'], why: 'fuga', who: 'A. Keeper' }, ES);
    await rig.post('/api/look', { bedId: 'green-2', surface: 'dry', who: 'A. Keeper' }, ES);
    await rig.plan();
    const paths = [
      '/api/today',
      '/api/beds',
      '/api/actions',
      ...ACTIONS.map(({ kind }) => `/api/form/${kind}?bed=green-2`),
    ];
    const answers = await Promise.all(paths.map((path) => rig.get(path, ES)));
    const change = { kind: 'trim', bedId: 'green-2', trimPct: 120, why: 'seco' };
    answers.push(await rig.post('/api/preview', { change, who: 'A. Keeper' }, ES));
    answers.push(await rig.post('/api/change', { change, who: 'A. Keeper' }, ES));
    expect(answers.map(({ status }) => status)).toEqual(answers.map(() => 200));
    const texts = answers.flatMap(({ body }) => textsIn(body));
    expect(texts.length).toBeGreaterThan(300);
    // Names of sources and sands, and what the log keeps, stand as they were given.
    const given = /\.(what|source|name|why|who|kind)$|\.log\[\]|weatherLine$|\.sand\./;
    const english = texts.filter(({ path, text }) => !given.test(path) && ENGLISH.test(text));
    expect([...new Set(english.map(({ path, text }) => `${path}: ${text}`))]).toEqual([]);
  });
});
