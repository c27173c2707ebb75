import type { Preview } from '../actions/preview-figures.ts';
import type { BedView } from '../web/views/bed-view.ts';
import type { TodayView } from '../web/views/today-view.ts';
import { planToRead } from './confirm-keys.ts';
import { type ReviewState, show } from './review-state.ts';

/** What comes in from outside: the store read again, or the answer to what was asked. */
export type News =
  | {
      kind: 'read';
      view: TodayView;
      bed: BedView | null;
      /** What the newest plan changes against the one that is being confirmed. */
      changed: string[];
    }
  | { kind: 'unreadable'; text: string }
  | { kind: 'previewed'; request: number; seen: Preview }
  | { kind: 'kept'; request: number; lines: string[]; changes: string[]; revision: number | null }
  | { kind: 'confirmed'; request: number; lines: string[] }
  | { kind: 'refused'; request: number; text: string }
  | { kind: 'held'; text: string; isWell: boolean }
  | { kind: 'answered'; lines: string[] };

/** The review after news. Late answers to what nobody waits for any more are let go. */
export function takeNews(state: ReviewState, news: News): ReviewState {
  if ('request' in news && news.request !== state.requests) return state;
  if (state.screen.kind === 'hold') {
    // A hold that is being put on stays before everything; what lies under it goes on.
    const under = takeNews({ ...state, screen: state.screen.back }, news);
    return { ...under, screen: { kind: 'hold', back: under.screen } };
  }
  switch (news.kind) {
    case 'read':
      return read(state, news);
    case 'unreadable':
      return { ...state, fault: news.text };
    case 'previewed': {
      const { screen } = state;
      if (screen.kind !== 'preview') return { ...state, busy: null };
      return { ...state, busy: null, screen: { ...screen, seen: news.seen } };
    }
    case 'kept': {
      const { lines, changes, revision } = news;
      const held =
        revision === null
          ? []
          : [`Revision ${revision} is held: it is sent only once it is confirmed.`];
      return over(state, {
        title: 'Kept',
        lines: [...lines, ...held, ...changes],
        mayConfirm: revision !== null,
      });
    }
    case 'confirmed':
      return over(state, { title: 'Confirmed', lines: news.lines, mayConfirm: false });
    case 'refused':
      return refused({ ...state, busy: null }, news.text);
    case 'held':
      return { ...state, note: { text: news.text, tone: news.isWell ? 'warn' : 'danger' } };
    case 'answered': {
      const { screen } = state;
      if (screen.kind === 'told' && screen.title === 'Confirmed') {
        return { ...state, screen: { ...screen, lines: [...screen.lines, ...news.lines] } };
      }
      return { ...state, note: { text: news.lines.join('; '), tone: 'plain' } };
    }
  }
}

/** What was asked for is done. */
function over(
  state: ReviewState,
  told: { title: string; lines: string[]; mayConfirm: boolean },
): ReviewState {
  return { ...show(state, { kind: 'told', ...told }), busy: null };
}

function refused(state: ReviewState, text: string): ReviewState {
  const { screen } = state;
  if (screen.kind === 'confirm') return { ...state, screen: { ...screen, wrong: text } };
  if (screen.kind === 'preview') {
    return show(state, { kind: 'form', form: { ...screen.form, wrong: text } });
  }
  return { ...state, note: { text, tone: 'danger' } };
}

function read(
  state: ReviewState,
  { view, bed, changed }: Extract<News, { kind: 'read' }>,
): ReviewState {
  const isThere = view.beds.some((one) => one.id === state.chosen);
  const chosen = isThere ? state.chosen : (view.beds[0]?.id ?? null);
  const next: ReviewState = { ...state, view, bed, chosen, fault: null };
  const { screen } = next;
  if (screen.kind !== 'confirm') return next;
  const now = planToRead(next);
  if (now === null) return next;
  if (now.digest === screen.read.digest) {
    const isHeld = view.newest?.standing === 'held';
    const wrong = isHeld ? screen.wrong : (view.newest?.standingLine ?? null);
    return { ...next, screen: { ...screen, wrong } };
  }
  const overtaken = { by: now, lines: changed };
  return { ...next, screen: { ...screen, ticked: [], overtaken } };
}
