import { useEffect, useState } from 'preact/hooks';
import type { MeView } from '../views/action-view.ts';
import type { TodayView } from '../views/today-view.ts';
import { signIn } from './api.ts';
import { BedPage } from './beds.tsx';
import { ChangePage } from './change-page.tsx';
import { ConfirmPage } from './confirm-page.tsx';
import { FirstScreen } from './first-screen.tsx';
import { LanguageChoice } from './language-choice.tsx';
import { LinePage } from './line-page.tsx';
import { useLive } from './live.ts';
import { LogPage } from './log-page.tsx';
import {
  type PageContext,
  PageProvider,
  pathTo,
  type Route,
  siteWords,
  usePage,
  useRoute,
} from './page-context.ts';
import { PaperPage } from './paper-page.tsx';
import { SetupPage } from './setup-page.tsx';
import { sayAge } from './site-time.ts';
import { ManualStopNote, StoppedBanner, StopSheet, StopUnsigned, useSheet } from './stop-water.tsx';
import { device, useName } from './this-device.ts';
import { say } from './words.ts';

/** The whole page: head, the room that a person is in, and the bar with stop and confirm. */
export function App() {
  const live = useLive();
  const route = useRoute();
  const [who, setWho] = useName(live.me?.name ?? null);
  const [told, setTold] = useState<Told | null>(null);
  const stopping = useSheet();
  const { today } = live;
  useEffect(() => {
    document.title = `${say(`page.room.${route.room}`)}, ${today?.site.name ?? 'dewbeat'}`;
  }, [route.room, today?.site.name]);
  if (live.mustSignIn) return <SignIn me={live.me} done={live.read} />;
  if (today === null) {
    return (
      <main class="loading">
        <h1>dewbeat</h1>
        <p role="status">
          {live.away ? (
            <>
              <strong>{say('page.away')}</strong> {say('page.away.nothing_kept')} <ManualStopNote />
            </>
          ) : (
            (live.problem ?? say('page.reading'))
          )}
        </p>
        <LanguageChoice />
      </main>
    );
  }
  const page: PageContext = {
    live,
    today,
    ...siteWords(today.site),
    who,
    setWho,
    signedIn: live.me?.name != null,
    mayChange: live.me?.role !== 'watcher',
    tell: (line, kind = 'well', holdId) =>
      setTold({ line, kind, readThen: today, ...(holdId === undefined ? {} : { holdId }) }),
  };
  const isTold = told !== null && !isReleased(told, today);
  return (
    <PageProvider value={page}>
      <button type="button" class="skip" onClick={skipToMain}>
        {say('page.skip')}
      </button>
      <Head route={route} />
      {/* Before the content, so that a keyboard reaches it soon; it stands at the foot of the screen. */}
      <ActionBar route={route} openSheet={stopping.open} />
      <main id="main" tabIndex={-1}>
        <OfflineBanner />
        <div role="status" class="told-place">
          {!isTold ? null : (
            <p class={`told ${told.kind}`}>
              {told.line}{' '}
              <button type="button" class="quiet" onClick={() => setTold(null)}>
                {say('page.told.close')}
              </button>
            </p>
          )}
        </div>
        <StoppedBanner route={route} />
        <Room route={route} />
        <LanguageChoice />
      </main>
      {stopping.no !== null ? (
        <StopSheet
          key={stopping.no}
          bedId={route.room === 'bed' ? (route.rest[0] ?? null) : null}
          close={stopping.close}
        />
      ) : null}
    </PageProvider>
  );
}

/** What a person was told last. */
interface Told {
  line: string;
  kind: 'well' | 'wrong';
  /** Today as it had been read then: it does not know yet of what was done. */
  readThen: TodayView;
  /** The stop that it speaks of. */
  holdId?: number;
}

/** True once a confirm has released the water of which was told. */
function isReleased({ holdId, readThen }: Told, today: TodayView): boolean {
  if (holdId === undefined || today === readThen) return false;
  return !today.holds.some((hold) => hold.holdId === holdId);
}

function Room({ route }: { route: Route }) {
  switch (route.room) {
    case 'confirm':
      return <ConfirmPage />;
    case 'line':
      return <LinePage />;
    case 'bed':
      return <BedPage bedId={route.rest[0] ?? ''} />;
    case 'change':
      return (
        <ChangePage key={route.rest.join('/')} kind={route.rest[0]} first={route.rest[1] ?? null} />
      );
    case 'paper':
      return <PaperPage card={route.rest[0]} />;
    case 'log':
      return <LogPage />;
    case 'setup':
      return <SetupPage />;
    default:
      return <FirstScreen />;
  }
}

/** Not a link: what stands behind the address's # is the room. */
function skipToMain(): void {
  document.getElementById('main')?.focus();
}

const MENU: readonly Route['room'][] = ['today', 'line', 'change', 'paper', 'log'];

/** The site, its time, and the ways through the page. */
function Head({ route }: { route: Route }) {
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
            {say('page.sign_out')}
          </button>
        </p>
      ) : null}
      <nav aria-label={say('page.menu')}>
        <ul>
          {MENU.map((room) => (
            <li key={room}>
              <a href={pathTo(room)} aria-current={route.room === room ? 'page' : undefined}>
                {say(`page.room.${room}`)}
              </a>
            </li>
          ))}
        </ul>
      </nav>
    </header>
  );
}

/** Stop and confirm, in the same place on every screen. */
function ActionBar({ route, openSheet }: { route: Route; openSheet(): void }) {
  const { today, live, mayChange } = usePage();
  const { newest } = today;
  const waits = newest?.standing === 'held' && live.nowMs < newest.endMs;
  return (
    <aside class="action-bar" aria-label={say('page.bar')}>
      <button type="button" class="hold" onClick={openSheet}>
        {say('page.stop')}
      </button>
      {waits && mayChange && !live.away ? (
        route.room === 'confirm' ? (
          <span class="standing-note">{say('page.bar.tick')}</span>
        ) : (
          <a class="confirm" href={pathTo('confirm')}>
            {say('page.confirm', { plan: newest.revision })}
          </a>
        )
      ) : (
        <span class="standing-note">
          {live.away && waits ? say('page.bar.away') : standingNote(today, mayChange)}
        </span>
      )}
    </aside>
  );
}

function standingNote(
  { newest, inForce }: ReturnType<typeof usePage>['today'],
  mayChange: boolean,
): string {
  if (newest === null) return say('page.bar.none');
  if (newest.standing === 'confirmed' && inForce !== null) {
    return say('page.bar.confirmed', { plan: inForce.revision, who: inForce.confirmedBy });
  }
  if (newest.standing === 'held' && !mayChange) return say('page.bar.keeper');
  return say('page.bar.nothing_runs');
}

/** Says when the daemon does not answer, and how old everything below is. */
function OfflineBanner() {
  const { live, today, time } = usePage();
  const read = {
    at: time.timeOf(today.nowMs),
    day: time.dayOf(today.nowMs),
    age: sayAge(live.ageMs),
  };
  const isToday = read.day === time.dayOf(live.nowMs);
  return (
    <div role="alert" class="away-place">
      {live.away ? (
        <p class="away">
          <strong>{say('page.away')}</strong>{' '}
          {say(isToday ? 'page.away.read_at' : 'page.away.read_at_on', read)}{' '}
          {say('page.away.cannot')} <ManualStopNote />
        </p>
      ) : live.problem === null ? null : (
        <p class="away">
          <strong>{say('page.unread')}</strong> {live.problem}
        </p>
      )}
    </div>
  );
}

/** Name and PIN, where people are named in the config, and a stop for whoever stands here. */
function SignIn({ me, done }: { me: MeView | null; done(): Promise<void> }) {
  const names = me?.names ?? [];
  const [name, setName] = useState('');
  const [pin, setPin] = useState('');
  const [wrong, setWrong] = useState<string | null>(null);
  const send = async () => {
    const outcome = await signIn(name, pin);
    if (outcome.kind === 'well') {
      setPin('');
      device.signedOut();
      await done();
      return;
    }
    setWrong(outcome.kind === 'away' ? say('page.away') : outcome.error.message);
  };
  return (
    <main class="sign-in">
      <h1>dewbeat</h1>
      <h2>{say('page.who')}</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void send();
        }}
      >
        <label>
          {say('page.your_name')}
          <input
            value={name}
            list="names"
            autoComplete="username"
            required
            onInput={(event) => setName(event.currentTarget.value)}
          />
        </label>
        <datalist id="names">
          {names.map((one) => (
            <option key={one} value={one} />
          ))}
        </datalist>
        <label>
          {say('page.pin')}
          <input
            type="password"
            inputMode="numeric"
            autoComplete="current-password"
            required
            value={pin}
            onInput={(event) => setPin(event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="confirm">
          {say('page.sign_in')}
        </button>
        <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
      </form>
      {me?.stopByAnyone === true ? <StopUnsigned /> : null}
      <p class="small">
        <ManualStopNote />
      </p>
      <LanguageChoice />
    </main>
  );
}
