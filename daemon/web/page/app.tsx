import { useEffect, useState } from 'preact/hooks';
import type { TodayView } from '../views/today-view.ts';
import { ActionBar } from './action-bar.tsx';
import { AwayBanner } from './away-banner.tsx';
import { BedPage } from './bed-page.tsx';
import { ChangePage } from './change-page.tsx';
import { ConfirmPage } from './confirm-page.tsx';
import { FirstScreen } from './first-screen.tsx';
import { HoldSheet } from './hold-sheet.tsx';
import { LinePage } from './line-page.tsx';
import { useLive } from './live.ts';
import { LogPage } from './log-page.tsx';
import { type PageContext, PageProvider, siteWords } from './page-context.ts';
import { PaperPage } from './paper-page.tsx';
import { type Route, useRoute } from './route.ts';
import { SetupPage } from './setup-page.tsx';
import { SignIn } from './sign-in.tsx';
import { Head } from './site-head.tsx';
import { StopByHand } from './stop-by-hand.tsx';
import { useSheet } from './use-sheet.ts';
import { useName } from './who.ts';

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
              device. To stop water, <StopByHand />
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
        <AwayBanner />
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
