import { createContext } from 'preact';
import { useContext, useEffect, useState } from 'preact/hooks';
import { display, type UnitDisplay } from '../../../../adapters/display-units.ts';
import type { TodayView } from '../views/today-view.ts';
import type { Live } from './live.ts';
import { type SiteTime, siteTime } from './site-time.ts';
import { language } from './words.ts';

/** What every part of the page needs: today as last read, the site's clock, the person's units. */
export interface PageContext {
  live: Live;
  today: TodayView;
  time: SiteTime;
  show: UnitDisplay;
  who: string;
  setWho(name: string): void;
  /** The name comes from a sign-in and is not typed. */
  signedIn: boolean;
  /** False for a person who may look and stop water only. */
  mayChange: boolean;
  /** Says a line aloud and at the top of the page; of stopped water only as long as it stands. */
  tell(line: string, kind?: 'well' | 'wrong', holdId?: number): void;
}

const Context = createContext<PageContext | null>(null);
export const PageProvider = Context.Provider;

export function usePage(): PageContext {
  const page = useContext(Context);
  if (page === null) throw new Error('page: a part was drawn outside of it');
  return page;
}

const TIMES = new Map<string, SiteTime>();

/** The clock, in the page's language, and the formatters of a site. */
export function siteWords(site: TodayView['site']): { time: SiteTime; show: UnitDisplay } {
  const name = `${language()} ${site.zone}`;
  const time = TIMES.get(name) ?? siteTime(site.zone, language());
  TIMES.set(name, time);
  return { time, show: display(site.units) };
}

const ROOMS = ['today', 'line', 'bed', 'change', 'confirm', 'paper', 'log', 'setup'] as const;

/** Where in the page a person is. It stands behind the `#`, so that the back button works. */
export interface Route {
  room: (typeof ROOMS)[number];
  /** The rest of the path: a bed, a kind of change, a card. */
  rest: string[];
}

function parseRoute(hash: string): Route {
  const [first = '', ...rest] = hash
    .replace(/^#?\/?/, '')
    .split('/')
    .map(decodeURIComponent);
  const room = ROOMS.find((one) => one === first) ?? 'today';
  return { room, rest: rest.filter((part) => part !== '') };
}

export function pathTo(room: Route['room'], ...rest: string[]): string {
  return `#/${[room, ...rest].map(encodeURIComponent).join('/')}`;
}

/** The route, followed as it changes; each new one begins at its top with the focus on its heading. */
export function useRoute(): Route {
  const [route, setRoute] = useState(() => parseRoute(location.hash));
  useEffect(() => {
    const follow = () => {
      setRoute(parseRoute(location.hash));
      window.scrollTo(0, 0);
      requestAnimationFrame(() => document.querySelector<HTMLElement>('main h2')?.focus());
    };
    window.addEventListener('hashchange', follow);
    return () => window.removeEventListener('hashchange', follow);
  }, []);
  return route;
}
