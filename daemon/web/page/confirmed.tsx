import type { ConfirmView } from '../views/change-view.ts';
import type { TodayBed } from '../views/today-view.ts';
import { ArrivedHeading } from './arrived-heading.tsx';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';
import { Texts } from './texts.tsx';

/** What a confirm has let out, where it has got to by now, and when the first water comes. */
export function Confirmed({ done }: { done: ConfirmView }) {
  const { today, time } = usePage();
  const next = nextWater(today.beds);
  const own = today.deliveries.filter(({ orderId }) => orderId === done.orderId);
  const isThere = own.length > 0 && own.every(({ state }) => state === 'accepted');
  return (
    <div>
      <div role="status">
        <ArrivedHeading>Confirmed</ArrivedHeading>
        <p class={isThere ? 'standing well' : 'standing'}>{done.line}</p>
        {isThere || own.length > 0 ? null : <p class="told wrong">{done.onItsWay}</p>}
      </div>
      {next === null ? null : (
        <p>
          Next water: {time.timeOf(next.atMs)} on {next.name}.
        </p>
      )}
      {own.length === 0 || isThere ? null : (
        <p class="told wrong">Not every receiver has it yet:</p>
      )}
      <Texts lines={today.deliveries.map((one) => one.line)} />
      {done.missed.length === 0 ? null : (
        <>
          <p>These had begun before the confirm and are not made up for:</p>
          <Texts lines={done.missed} />
        </>
      )}
      <a class="next-step" href={pathTo('today')}>
        Back to today
      </a>
    </div>
  );
}

function nextWater(beds: readonly TodayBed[]): { atMs: number; name: string } | null {
  const coming = beds.flatMap(({ name, nextCycleMs }) =>
    nextCycleMs === null ? [] : [{ atMs: nextCycleMs, name }],
  );
  return coming.toSorted((a, b) => a.atMs - b.atMs)[0] ?? null;
}
