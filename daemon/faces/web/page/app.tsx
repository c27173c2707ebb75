import { useEffect, useState } from 'preact/hooks';
import type { MeView } from '../views/action-view.ts';
import type { TodayView } from '../views/today-view.ts';
import { signIn } from './api.ts';
import { BedPage } from './beds.tsx';
import { ChangePage } from './change-page.tsx';
import { ConfirmPage } from './confirm-page.tsx';
import { FirstScreen } from './first-screen.tsx';
import { HoldSheet, HoldUnsigned, ManualStopNote, useSheet } from './hold.tsx';
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
import { device, useName } from './this-device.ts';

const TITLES: Readonly<Record<Route['room'], string>> = {
  today: 'Today’s water',
  line: 'The day line',
  bed: 'One bed',
  change: 'Change',
  confirm: 'Confirm',
  paper: 'Paper',
  log: 'Log',
  setup: 'Set-up',
};

/** The whole page: head, the room that a person is in, and the bar with hold and confirm. */
export function App() {
  const live = useLive();
  const route = useRoute();
  const [who, setWho] = useName(live.me?.name ?? null);
  const [told, setTold] = useState<Told | null>(null);
  const holding = useSheet();
  const { today } = live;
  useEffect(() => {
    document.title = `${TITLES[route.room]}, ${today?.site.name ?? 'dewbeat'}`;
  }, [route.room, today?.site.name]);
  if (live.mustSignIn) return <SignIn me={live.me} done={live.read} />;
  if (today === null) {
    return (
      <main class="loading">
        <h1>dewbeat</h1>
        <p role="status">
          {live.away ? (
            <>
              <strong>The daemon does not answer</strong>, and nothing that it said is kept on this
              device. To stop water, <ManualStopNote />
            </>
          ) : (
            (live.problem ?? 'Reading today’s plan …')
          )}
        </p>
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
  const isTold = told !== null && !isLifted(told, today);
  return (
    <PageProvider value={page}>
      <button type="button" class="skip" onClick={skipToMain}>
        Skip to the content
      </button>
      <Head route={route} />
      {/* Before the content, so that a keyboard reaches it soon; it stands at the foot of the screen. */}
      <ActionBar route={route} openHold={holding.open} />
      <main id="main" tabIndex={-1}>
        <OfflineBanner />
        <div role="status" class="told-place">
          {!isTold ? null : (
            <p class={`told ${told.kind}`}>
              {told.line}{' '}
              <button type="button" class="quiet" onClick={() => setTold(null)}>
                Close this message
              </button>
            </p>
          )}
        </div>
        <Room route={route} />
      </main>
      {holding.no !== null ? (
        <HoldSheet
          key={holding.no}
          bedId={route.room === 'bed' ? (route.rest[0] ?? null) : null}
          close={holding.close}
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
  /** The hold that it speaks of. */
  holdId?: number;
}

/** True once a confirm has lifted the hold of which was told. */
function isLifted({ holdId, readThen }: Told, today: TodayView): boolean {
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

const MENU: readonly { room: Route['room']; words: string }[] = [
  { room: 'today', words: 'Today' },
  { room: 'line', words: 'Day line' },
  { room: 'change', words: 'Change' },
  { room: 'paper', words: 'Paper' },
  { room: 'log', words: 'Log' },
];

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
            Sign out
          </button>
        </p>
      ) : null}
      <nav aria-label="Parts of this page">
        <ul>
          {MENU.map(({ room, words }) => (
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

/** Hold and confirm, in the same place on every screen. */
function ActionBar({ route, openHold }: { route: Route; openHold(): void }) {
  const { today, live, mayChange } = usePage();
  const { newest } = today;
  const waits = newest?.standing === 'held' && live.nowMs < newest.endMs;
  return (
    <aside class="action-bar" aria-label="Hold and confirm">
      <button type="button" class="hold" onClick={openHold}>
        Hold water
      </button>
      {waits && mayChange && !live.away ? (
        route.room === 'confirm' ? (
          <span class="standing-note">Tick and confirm above</span>
        ) : (
          <a class="confirm" href={pathTo('confirm')}>
            <span>
              Confirm <span class="roomy">revision </span>
              <span class="tight">plan </span>
              {newest.revision}
            </span>
          </a>
        )
      ) : (
        <span class="standing-note">
          {live.away && waits ? 'Daemon away: no confirm' : standingNote(today, mayChange)}
        </span>
      )}
    </aside>
  );
}

function standingNote(
  { newest, inForce }: ReturnType<typeof usePage>['today'],
  mayChange: boolean,
): string {
  if (newest === null) return 'No plan yet';
  if (newest.standing === 'confirmed' && inForce !== null) {
    return `Revision ${inForce.revision} confirmed by ${inForce.confirmedBy}`;
  }
  if (newest.standing === 'held' && !mayChange) return 'A keeper has to confirm this plan';
  return 'Nothing runs: make a fresh plan';
}

/** Says when the daemon does not answer, and how old everything below is. */
function OfflineBanner() {
  const { live, today, time } = usePage();
  const day = time.dayOf(today.nowMs);
  const onDay = day === time.dayOf(live.nowMs) ? '' : ` on ${day}`;
  return (
    <div role="alert" class="away-place">
      {live.away ? (
        <p class="away">
          <strong>The daemon does not answer.</strong> This was read at {time.timeOf(today.nowMs)}
          {onDay}, {sayAge(live.ageMs)} ago; nothing can be confirmed, changed or held from here. To
          stop water, <ManualStopNote />
        </p>
      ) : live.problem === null ? null : (
        <p class="away">
          <strong>Today could not be read.</strong> {live.problem}
        </p>
      )}
    </div>
  );
}

/** Name and PIN, where people are named in the config, and a hold for whoever stands here. */
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
    setWrong(outcome.kind === 'away' ? 'The daemon does not answer.' : outcome.error.message);
  };
  return (
    <main class="sign-in">
      <h1>dewbeat</h1>
      <h2>Who are you?</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void send();
        }}
      >
        <label>
          Your name
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
          PIN
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
          Sign in
        </button>
        <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
      </form>
      {me?.stopByAnyone === true ? <HoldUnsigned /> : null}
      <p class="small">
        Water can be stopped without this page: <ManualStopNote />
      </p>
    </main>
  );
}
