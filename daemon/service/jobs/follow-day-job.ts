import { NotReckoned } from '../../planning/planning-context.ts';
import { keepOffsOn } from '../../site/config/keep-offs.ts';
import { type LeewayJudge, useLeeway } from '../../site/gate/use-leeway.ts';
import { usesOfChange } from '../../site/gate/within-leeway.ts';
import { addAuditEntry, DAEMON, newestAuditEntryOf } from '../../site/store/audit-log.ts';
import { newestLeewayUse } from '../../site/store/leeway-uses.ts';
import { everyLook } from '../../site/store/looks.ts';
import { newestConfirmation, type StoredConfirmation } from '../../site/store/plans.ts';
import { sayUseSums, sayUses } from '../../words/leeway-words.ts';
import { readerOf } from '../../words/plan-words.ts';
import { reckonerHere } from '../reckoner/reckoner.ts';
import type { Job, JobParts } from './job.ts';

/** Once the day's water is over, one line sums up what was done within its leeway. */
function tellEvening(
  { db, config }: JobParts,
  { confirmationId, stored, atMs }: StoredConfirmation,
  nowMs: number,
): void {
  const { plan, digest } = stored;
  const change = newestLeewayUse(db, confirmationId);
  const overMs = plan.ground?.lastEndMs ?? plan.endMs;
  if (change === null || nowMs < overMs) return;
  const told = newestAuditEntryOf(db, 'leeway_used');
  if (told !== null && told.digest === digest && told.atMs >= overMs) return;
  const uses = usesOfChange({ plan, confirmedMs: atMs }, change);
  const what = sayUseSums(uses, readerOf(config));
  if (what === null) return;
  const { siteDay, revision } = plan;
  const about = { who: DAEMON, siteDay, revision, digest };
  addAuditEntry(db, { atMs: nowMs, kind: 'leeway_used', ...about, what });
}

/**
 * Follows a day whose plan was confirmed with its leeway: looks again and again, and at once after
 * somebody has looked at a bed, and lets out through the gate what is to be changed. What stands then
 * is owed to every output under the same confirm.
 *
 * @param judge Says what oversteps the leeway; the tests leave it out to see that its absence is noticed.
 */
export function followDayJob(parts: JobParts, judge?: LeewayJudge): Job {
  const { config, db, log, now, reckoner = reckonerHere(parts) } = parts;
  const { clock, revisions: rule } = config;
  let lookedMs = Number.NEGATIVE_INFINITY;
  let toldFault = '';
  return {
    name: 'follow the day',
    every: 'minute',
    async work() {
      const nowMs = now();
      const inForce = newestConfirmation(db);
      const { plan } = inForce?.stored ?? {};
      if (inForce?.leewayBedIds == null || plan === undefined || nowMs >= plan.endMs) return;
      const isSeen = everyLook(db).some(({ atMs }) => atMs > Math.max(lookedMs, inForce.atMs));
      tellEvening(parts, inForce, nowMs);
      // A plan just confirmed is as good as a look; a clock stepped back must not stretch the wait.
      const lastMs = Math.max(lookedMs, inForce.atMs);
      if (!isSeen && nowMs >= lastMs && nowMs - lastMs < rule.everyMs) return;
      lookedMs = nowMs;
      const { siteDay } = plan;
      try {
        const followed = await reckoner.ask('follow', { nowMs });
        toldFault = '';
        if (followed === null || followed.change === null) return;
        const result = useLeeway(
          {
            db,
            clock,
            outputs: config.outputs.map((output) => output.name),
            nowMs: now(),
            isLet: config.site.limits.leeway != null,
            stretches: keepOffsOn(clock.siteDayOf(nowMs), config, clock),
            sayUses: (uses) => sayUses(uses, plan, readerOf(config)) ?? '',
            ...(judge === undefined ? {} : { judge }),
          },
          followed.change,
        );
        if (result.ok) {
          const said = sayUses(result.uses, plan, readerOf(config)) ?? '';
          log.info({ siteDay, change: result.number }, `followed the day: ${said}`);
        } else {
          log.info({ siteDay, ...result.refusal }, 'a change of the day was not let out');
        }
      } catch (error) {
        if (error instanceof NotReckoned && error.code === 'stopping') return;
        const what = error instanceof Error ? error.message : String(error);
        if (what !== toldFault) log.warn({ siteDay }, `the day is not followed: ${what}`);
        toldFault = what;
      }
    },
  };
}
