import { z } from 'zod';
import type { FieldReport } from '../contract.ts';

/** Reports are small; anything larger is no report. */
const MOST_BYTES = 8 * 1024;
const DAY_S = 86_400;

// Unknown keys are dropped and not refused: receivers are built by others and may say more.
const receiptSchema = z.object({
  order_id: z.string().min(1).max(200),
  answer: z.enum(['accepted', 'rejected', 'unknown']),
  detail: z.string().max(500).default(''),
});

const ranSchema = z.object({
  station_id: z.string().min(1).max(80),
  start: z.iso.datetime({ offset: true }),
  run_s: z.number().min(0).max(DAY_S),
  flow_l_per_min: z.number().min(0).max(1e6).nullable().default(null),
});

export type ReadReport = { ok: true; report: FieldReport } | { ok: false; why: string };

/**
 * Reads what came back from the field. The result can be a receipt or a run and nothing else, so
 * no message, however made, can confirm a plan or start water.
 */
export function readReport(
  kind: FieldReport['kind'],
  payload: Uint8Array,
  { output, nowMs }: { output: string; nowMs: number },
): ReadReport {
  if (payload.byteLength > MOST_BYTES) {
    return { ok: false, why: `is too large (got ${payload.byteLength} bytes)` };
  }
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(payload));
  } catch {
    return { ok: false, why: 'is no JSON in UTF-8' };
  }
  if (kind === 'receipt') {
    const { success, data, error } = receiptSchema.safeParse(value);
    if (!success) return { ok: false, why: wrongFields(error) };
    const { order_id: orderId, answer, detail } = data;
    return { ok: true, report: { kind, output, orderId, answer, detail, atMs: nowMs } };
  }
  const { success, data, error } = ranSchema.safeParse(value);
  if (!success) return { ok: false, why: wrongFields(error) };
  return {
    ok: true,
    report: {
      kind,
      output,
      stationId: data.station_id,
      startMs: Date.parse(data.start),
      runS: data.run_s,
      flowLPerMin: data.flow_l_per_min,
      atMs: nowMs,
    },
  };
}

function wrongFields(error: z.ZodError): string {
  const fields = error.issues.map(({ path }) => path.join('.') || 'the whole');
  return `does not fit in ${[...new Set(fields)].join(', ')}`;
}
