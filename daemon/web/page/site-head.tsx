import { usePage } from './page-context.ts';
import { pathTo, type Route } from './route.ts';

const ROOMS: readonly { room: Route['room']; words: string }[] = [
  { room: 'today', words: 'Today' },
  { room: 'line', words: 'Day line' },
  { room: 'change', words: 'Change' },
  { room: 'paper', words: 'Paper' },
  { room: 'log', words: 'Log' },
];

/** The site, its time, and the ways through the page. */
export function Head({ route }: { route: Route }) {
  const { today, time, live, who, signedIn } = usePage();
  return (
    <header class="site-head">
      <h1>{today.site.name}</h1>
      <p class="site-time">
        <span class="clock">{time.timeOf(live.nowMs)}</span> {time.dayOf(live.nowMs)}
      </p>
      {signedIn ? (
        <p class="site-time off-paper">
          {who}{' '}
          <button type="button" class="quiet" onClick={() => void live.leave()}>
            Sign out
          </button>
        </p>
      ) : null}
      <nav aria-label="Parts of this page">
        <ul>
          {ROOMS.map(({ room, words }) => (
            <li key={room}>
              <a href={pathTo(room)} aria-current={route.room === room ? 'page' : undefined}>
                {words}
              </a>
            </li>
          ))}
        </ul>
      </nav>
    </header>
  );
}
