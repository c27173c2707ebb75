import { usePage } from './page-context.ts';

/** Today's loss against a usual day, wind and heat in one line. */
export function DayWords() {
  const { today, show } = usePage();
  const { day, call, seasonWater } = today;
  if (day === null) return null;
  const most = Math.max(day.lossMm, day.usualLossMm ?? 0, 0.1);
  const bars = [
    { words: 'today', lossMm: day.lossMm },
    ...(day.usualLossMm === null ? [] : [{ words: 'a usual day', lossMm: day.usualLossMm }]),
  ];
  return (
    <section aria-labelledby="day-title">
      <h2 id="day-title">The day</h2>
      <p class="day-line">{day.line}</p>
      <dl class="loss-bars">
        {bars.map(({ words, lossMm }) => (
          <div key={words}>
            <dt>{words}</dt>
            <dd>
              <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
                <rect class="loss" x="0" y="0" width={(100 * lossMm) / most} height="10" />
              </svg>
              {show.depth(lossMm)}
            </dd>
          </div>
        ))}
      </dl>
      <p class="small">{call.line}</p>
      <p class="small">{day.weatherLine}</p>
      {seasonWater === null ? null : (
        <p class="small">
          Season’s water: {show.volume(seasonWater.usedL)} used and{' '}
          {show.volume(seasonWater.plannedL)} planned of {show.volume(seasonWater.allowedL)};{' '}
          {show.volume(seasonWater.leftL)} left.
        </p>
      )}
    </section>
  );
}
