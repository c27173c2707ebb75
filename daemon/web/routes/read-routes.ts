import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { lastSteps } from '../../store/steps.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { BedView, LogRow } from '../views/bed-view.ts';
import { logRow } from '../views/log-row.ts';
import { readBedView, readBedViews } from '../views/read-bed.ts';
import { readToday } from '../views/read-today.ts';
import type { TodayView } from '../views/today-view.ts';
import type { ViewContext } from '../views/view-context.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

const bedParams = z.strictObject({ id: z.string().min(1).max(64) });
const logQuery = z.strictObject({ last: z.coerce.number().int().min(1).max(500).default(100) });

/** What the page reads: the day, a bed, the log. */
export function readRoutes(
  app: FastifyInstance,
  parts: WebParts,
  given: { guard: Guard; context(): Promise<ViewContext> },
): void {
  const { guard, context } = given;

  app.get('/api/today', async (request): Promise<TodayView> => {
    guard.mustLook(request);
    return readToday(await context());
  });

  app.get('/api/bed/:id', async (request): Promise<BedView> => {
    guard.mustLook(request);
    const { id } = bodyOf(bedParams, request.params);
    const view = readBedView(await context(), id);
    if (view !== null) return view;
    const known = parts.config.site.beds.map((bed) => bed.id).join(', ');
    throw new Refused(
      404,
      'no_such_bed',
      `bed: is not in the newest plan (got ${id}); the beds are ${known}`,
    );
  });

  app.get('/api/beds', async (request): Promise<{ beds: BedView[] }> => {
    guard.mustLook(request);
    return { beds: readBedViews(await context()) };
  });

  app.get('/api/log', async (request): Promise<{ rows: LogRow[] }> => {
    guard.mustLook(request);
    const { last } = bodyOf(logQuery, request.query);
    return { rows: lastSteps(parts.db, last).map((step) => logRow(step, parts.config.clock)) };
  });
}
