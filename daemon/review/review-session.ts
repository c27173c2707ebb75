import { display } from '../../adapters/display-units.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import { keepAndPlan } from '../actions/action.ts';
import { ActionRefused } from '../actions/action-context.ts';
import { changesSince } from '../actions/changes-since.ts';
import { confirm } from '../actions/confirm.ts';
import { actionOf } from '../actions/list.ts';
import { oneAfterAnother } from '../actions/one-after-another.ts';
import { dayAsItIs, preview } from '../actions/preview.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { NoWeather } from '../planning/plan-weather.ts';
import type { Db } from '../store/database.ts';
import { siteNowReader } from '../web/site-now-reader.ts';
import { readBedView } from '../web/views/read-bed.ts';
import { readToday } from '../web/views/read-today.ts';
import { changeLines } from '../words/change-lines.ts';
import { actingAt } from '../words/where-to-act.ts';
import type { Act, ReviewState } from './review-state.ts';
import type { News } from './take-news.ts';

/** What the review reads and does things on. */
export interface ReviewSite {
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
  read(state: ReviewState): Promise<News>;
  act(act: Exclude<Act, { kind: 'leave' }>, tell: (news: News) => void): Promise<void>;
}

/** A session over one site. */
export function reviewSession(site: ReviewSite): ReviewSession {
  const { db, config, weather, now } = site;
  const contextNow = siteNowReader({ db, config, weather, now });
  const inTurn = oneAfterAnother();
  const planning = () => ({ db, config, weather, nowMs: now() });

  const doIn = async (
    act: Exclude<Act, { kind: 'leave' | 'hold' }>,
    tell: (news: News) => void,
  ): Promise<void> => {
    const { request } = act;
    const context = planning();
    switch (act.kind) {
      case 'preview': {
        const action = actionOf(context, act.change, act.who);
        const seen = await preview(context, action, await dayAsItIs(context));
        return tell({ kind: 'previewed', request, seen });
      }
      case 'change': {
        const done = await keepAndPlan(context, actionOf(context, act.change, act.who));
        const { lines, before, stored } = done;
        const given = { fromMs: context.nowMs, show: display(config.units) };
        const changes =
          stored === null || before === null ? [] : changeLines(before.plan, stored.plan, given);
        const revision = stored?.plan.revision ?? null;
        return tell({ kind: 'kept', request, lines, changes, revision });
      }
      case 'confirm': {
        const { revision, digest } = act.read;
        const { who, cautions } = act;
        const result = confirm(context, { revision, digest, who, cautions });
        if (!result.ok) {
          return tell({
            kind: 'refused',
            request,
            text: `Not confirmed: ${actingAt('review', result.refusal.text)}`,
          });
        }
        const { line, onItsWay, missed, orderId } = result;
        tell({ kind: 'confirmed', request, lines: [line, ...missed, onItsWay] });
        return tell({ kind: 'answered', lines: await site.passOn(orderId) });
      }
    }
  };

  return {
    async read({ screen, chosen }) {
      try {
        const context = await contextNow();
        const view = readToday(context);
        const bedId = view.beds.some((bed) => bed.id === chosen) ? chosen : view.beds[0]?.id;
        const bed =
          screen.kind === 'bed' && bedId !== undefined && bedId !== null
            ? readBedView(context, bedId)
            : null;
        const changed =
          screen.kind === 'confirm'
            ? (changesSince(context, screen.read.revision).changes ?? [])
            : [];
        return { kind: 'read', view, bed, changed };
      } catch (error) {
        return { kind: 'unreadable', text: messageOf(error) };
      }
    },
    async act(act, tell) {
      if (act.kind === 'hold') {
        // A hold waits for nothing that is being worked out.
        const { text, isWell } = await site.stop(act.beds, act.who);
        return tell({ kind: 'held', text, isWell });
      }
      try {
        // A confirm is one short transaction and need not wait for a preview either.
        await (act.kind === 'confirm' ? doIn(act, tell) : inTurn(() => doIn(act, tell)));
      } catch (error) {
        const { request } = act;
        const isPlain =
          error instanceof ActionRefused ||
          error instanceof NoWeather ||
          error instanceof WeatherUnreadable;
        const text = isPlain ? error.message : `A fault: ${messageOf(error)}`;
        tell({ kind: 'refused', request, text });
      }
    },
  };
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
