import { useEffect, useState } from 'preact/hooks';

const ROOMS = ['today', 'line', 'bed', 'change', 'confirm', 'paper', 'log', 'setup'] as const;

/** Where in the page a person is. It stands behind the `#`, so that the back button works. */
export interface Route {
  room: (typeof ROOMS)[number];
  /** The rest of the path: a bed, a kind of change, a card. */
  rest: string[];
}

export function parseRoute(hash: string): Route {
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
