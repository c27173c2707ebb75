import type { WeatherSource } from '../../../adapters/weather/source.ts';
import { keepAndPlan } from '../../actions/action.ts';
import { ActionRefused, sayRefused } from '../../actions/action-context.ts';
import { changesSince } from '../../actions/changes-since.ts';
import { confirm } from '../../actions/confirm.ts';
import { actionOf } from '../../actions/list.ts';
import { oneAfterAnother } from '../../actions/one-after-another.ts';
import { dayAsItIs, preview } from '../../actions/preview.ts';
import type { Preview } from '../../actions/preview-figures.ts';
import { whyNotPlanned } from '../../planning/planning-context.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import type { Db } from '../../site/store/database.ts';
import { changeLines, sayRefusal } from '../../words/confirm-words.ts';
import { sayMessage } from '../../words/language.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import { sayInTerminal as say } from '../../words/terminal.ts';
import type { BedView } from '../web/views/bed-view.ts';
import { readBedView } from '../web/views/read-bed.ts';
import { readToday } from '../web/views/read-today.ts';
import type { TodayView } from '../web/views/today-view.ts';
import { siteNowReader } from '../web/views/view-context.ts';
import { planToRead } from './handle-key.ts';
import { type Act, type ReviewState, show } from './review-state.ts';

/** What the review reads and does things on. */
interface ReviewSite {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  now(): number;
  /** Stops water at once, whatever the store says of it. Gives what was done. */
  stop(beds: 'all' | string[], who: string): Promise<{ text: string; isWell: boolean }>;
  /** Sees a confirmed plan on its way. Gives what each output answered. */
  passOn(orderId: string): Promise<string[]>;
}

/** The review's hands: reads the store, and does what keys ask for. */
export interface ReviewSession {
  read(state: ReviewState): Promise<ReviewUpdate>;
  act(act: Exclude<Act, { kind: 'leave' }>, tell: (news: ReviewUpdate) => void): Promise<void>;
}

/** A session over one site. */
export function reviewSession(site: ReviewSite): ReviewSession {
  const { db, config, weather, now } = site;
  const contextNow = siteNowReader({ db, config, weather, now });
  const inTurn = oneAfterAnother();
  const reader = readerOf({ ...config, place: 'review' });
  const inPlan = sayTo(reader);
  const planning = () => ({ db, config, weather, nowMs: now() });

  const doIn = async (
    act: Exclude<Act, { kind: 'leave' | 'hold' }>,
    tell: (news: ReviewUpdate) => void,
  ): Promise<void> => {
    const { request } = act;
    const context = planning();
    switch (act.kind) {
      case 'preview': {
        const action = actionOf(context, act.change, act.who);
        const seen = await preview(context, action, await dayAsItIs(context), reader);
        return tell({ kind: 'previewed', request, seen });
      }
      case 'change': {
        const done = await keepAndPlan(context, actionOf(context, act.change, act.who), { reader });
        const { lines, before, stored } = done;
        const given = { fromMs: context.nowMs, reader };
        const changes =
          stored === null || before === null ? [] : changeLines(before.plan, stored.plan, given);
        const revision = stored?.plan.revision ?? null;
        return tell({ kind: 'kept', request, lines, changes, revision });
      }
      case 'confirm': {
        const { revision, digest } = act.read;
        const { who, cautions, leewayBedIds } = act;
        const asked = { revision, digest, who, cautions, leewayBedIds };
        const result = confirm(context, asked, reader);
        if (!result.ok) {
          const why = sayRefusal(result.refusal, reader);
          const text = say('confirm.refused', { why });
          return tell({ kind: 'refused', request, text });
        }
        const { line, leeway, onItsWay, missed, orderId } = result;
        tell({
          kind: 'confirmed',
          request: act.request,
          lines: [line, leeway, ...missed, onItsWay],
        });
        return tell({ kind: 'answered', lines: await site.passOn(orderId) });
      }
    }
  };

  return {
    async read({ screen, chosen }) {
      try {
        const context = await contextNow(reader);
        const view = readToday(context);
        const bedId = view.beds.some((bed) => bed.id === chosen) ? chosen : view.beds[0]?.id;
        const bed =
          screen.kind === 'bed' && bedId !== undefined && bedId !== null
            ? readBedView(context, bedId)
            : null;
        const changed =
          screen.kind === 'confirm'
            ? (changesSince(context, screen.read.revision, reader).changes ?? [])
            : [];
        return { kind: 'read', view, bed, changed };
      } catch (error) {
        return { kind: 'unreadable', text: messageOf(error) };
      }
    },
    async act(act, tell) {
      if (act.kind === 'hold') {
        // A stop waits for nothing that is being worked out.
        const { text, isWell } = await site.stop(act.beds, act.who);
        return tell({ kind: 'held', text, isWell });
      }
      try {
        // A confirm is one short transaction and need not wait for a preview either.
        await (act.kind === 'confirm' ? doIn(act, tell) : inTurn(() => doIn(act, tell)));
      } catch (error) {
        const { request } = act;
        const why = whyNotPlanned(error);
        const text =
          error instanceof ActionRefused
            ? sayRefused(error, inPlan)
            : why === null
              ? say('review.fault', { fault: messageOf(error) })
              : sayMessage(why, inPlan);
        tell({ kind: 'refused', request, text });
      }
    },
  };
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** What comes in from outside: the store read again, or the answer to what was asked. */
export type ReviewUpdate =
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
export function applyUpdate(state: ReviewState, news: ReviewUpdate): ReviewState {
  if ('request' in news && news.request !== state.requests) return state;
  if (state.screen.kind === 'hold') {
    // Water that is being stopped stays before everything; what lies under it goes on.
    const under = applyUpdate({ ...state, screen: state.screen.back }, news);
    return { ...under, screen: { kind: 'hold', back: under.screen } };
  }
  switch (news.kind) {
    case 'read':
      return withReading(state, news);
    case 'unreadable':
      return { ...state, fault: news.text };
    case 'previewed': {
      const { screen } = state;
      if (screen.kind !== 'preview') return { ...state, busy: null };
      return { ...state, busy: null, screen: { ...screen, seen: news.seen } };
    }
    case 'kept': {
      const { lines, changes, revision } = news;
      const held = revision === null ? [] : [say('change.held', { revision })];
      return withOutcome(state, {
        title: say('change.kept'),
        lines: [...lines, ...held, ...changes],
        mayConfirm: revision !== null,
      });
    }
    case 'confirmed':
      return withOutcome(state, {
        title: say('confirm.done'),
        lines: news.lines,
        mayConfirm: false,
      });
    case 'refused':
      return withRefusal({ ...state, busy: null }, news.text);
    case 'held':
      return { ...state, note: { text: news.text, tone: news.isWell ? 'warn' : 'danger' } };
    case 'answered': {
      const { screen } = state;
      if (screen.kind === 'told' && screen.title === say('confirm.done')) {
        return { ...state, screen: { ...screen, lines: [...screen.lines, ...news.lines] } };
      }
      return { ...state, note: { text: news.lines.join('; '), tone: 'plain' } };
    }
  }
}

/** What was asked for is done. */
function withOutcome(
  state: ReviewState,
  told: { title: string; lines: string[]; mayConfirm: boolean },
): ReviewState {
  return { ...show(state, { kind: 'told', ...told }), busy: null };
}

function withRefusal(state: ReviewState, text: string): ReviewState {
  const { screen } = state;
  if (screen.kind === 'confirm') return { ...state, screen: { ...screen, wrong: text } };
  if (screen.kind === 'preview') {
    return show(state, { kind: 'form', form: { ...screen.form, wrong: text } });
  }
  return { ...state, note: { text, tone: 'danger' } };
}

function withReading(
  state: ReviewState,
  { view, bed, changed }: Extract<ReviewUpdate, { kind: 'read' }>,
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
  return { ...next, screen: { ...screen, ticked: [], without: null, overtaken } };
}
