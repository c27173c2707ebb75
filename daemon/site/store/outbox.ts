import { type Db, inTransaction } from './database.ts';

/** How far an order to one output has come. */
type OrderEnd = 'accepted' | 'rejected' | 'lapsed' | 'superseded';

/** An order to one output: a plan to deliver or a hold to pass on. */
export interface OutboxOrder {
  orderId: string;
  output: string;
  kind: 'deliver' | 'withdraw';
  confirmationId: number | null;
  holdId: number | null;
  atMs: number;
  /** After this there is no use in sending it. */
  validUntilMs: number;
}

/** An order with the place that its output wrote to when it became owed. */
interface PlacedOrder extends OutboxOrder {
  /** As the output's kind names it; null: it had been opened nowhere yet. */
  toPlace: string | null;
}

/** An order with what has come of it so far. */
export interface OrderState extends PlacedOrder {
  attempts: number;
  lastAttemptMs: number | null;
  lastAnswer: OrderEnd | 'unknown' | null;
  lastDetail: string;
}

export function addToOutbox(db: Db, order: OutboxOrder): void {
  db.prepare(
    `INSERT INTO owed (order_id, output, kind, confirmation_id, hold_id, at_ms, valid_until_ms,
       output_place_id)
     VALUES (?, ?, ?, ?, ?, ?, ?, ${OPEN_PLACE_OF_OUTPUT})`,
  ).run(
    order.orderId,
    order.output,
    order.kind,
    order.confirmationId,
    order.holdId,
    order.atMs,
    order.validUntilMs,
    order.output,
  );
}

/** Owes what a confirm lets out to each of the outputs, under one id. */
export function oweDelivery(
  db: Db,
  outputs: readonly string[],
  order: Omit<OutboxOrder, 'output' | 'kind' | 'holdId'>,
): void {
  for (const output of outputs)
    addToOutbox(db, { ...order, output, kind: 'deliver', holdId: null });
}

export function addAttempt(
  db: Db,
  attempt: {
    orderId: string;
    output: string;
    atMs: number;
    answer: OrderEnd | 'unknown';
    detail: string;
  },
): void {
  db.prepare(
    'INSERT INTO attempt (order_id, output, at_ms, answer, detail) VALUES (?, ?, ?, ?, ?)',
  ).run(attempt.orderId, attempt.output, attempt.atMs, attempt.answer, attempt.detail);
}

const STATE = `
  SELECT o.rowid AS place, o.order_id AS orderId, o.output, o.kind,
    o.confirmation_id AS confirmationId, o.hold_id AS holdId, o.at_ms AS atMs,
    o.valid_until_ms AS validUntilMs, 
    (SELECT p.place FROM output_place p WHERE p.output_place_id = o.output_place_id) AS toPlace,
    count(a.attempt_id) AS attempts, max(a.at_ms) AS lastAttemptMs,
    (SELECT answer FROM attempt l WHERE l.order_id = o.order_id AND l.output = o.output
      ORDER BY attempt_id DESC LIMIT 1) AS lastAnswer,
    coalesce((SELECT detail FROM attempt l WHERE l.order_id = o.order_id AND l.output = o.output
      ORDER BY attempt_id DESC LIMIT 1), '') AS lastDetail
  FROM owed o LEFT JOIN attempt a ON a.order_id = o.order_id AND a.output = o.output`;

/** Orders that have not come to an end, oldest first. */
export function openOrders(db: Db): OrderState[] {
  const rows = db
    .prepare(
      `SELECT * FROM (${STATE} GROUP BY o.order_id, o.output)
       WHERE lastAnswer IS NULL OR lastAnswer = 'unknown' ORDER BY place`,
    )
    .all() as OrderState[];
  return rows;
}

/** Grows with every order that becomes owed. */
export function lastOutboxPosition(db: Db): number {
  const { place } = db.prepare('SELECT coalesce(max(rowid), 0) AS place FROM owed').get() as {
    place: number;
  };
  return place;
}

/** One order's state at each of its outputs. */
export function orderStates(db: Db, orderId: string): OrderState[] {
  return db
    .prepare(`${STATE} WHERE o.order_id = ? GROUP BY o.order_id, o.output ORDER BY place`)
    .all(orderId) as OrderState[];
}

/** The order by which a confirm was owed to an output; null: it never was. */
export function deliveryOf(
  db: Db,
  { confirmationId, output }: { confirmationId: number; output: string },
): OrderState | null {
  const row = db
    .prepare(
      `${STATE} WHERE o.confirmation_id = ? AND o.output = ? AND o.kind = 'deliver'
       GROUP BY o.order_id, o.output`,
    )
    .get(confirmationId, output);
  return (row ?? null) as OrderState | null;
}

/** Whether an order was owed to an output, and no stop has become owed to it since. */
export function isOrderedSinceStops(
  db: Db,
  { orderId, output }: { orderId: string; output: string },
): boolean {
  const row = db
    .prepare(
      `SELECT 1 FROM owed o WHERE o.order_id = ? AND o.output = ? AND NOT EXISTS
         (SELECT 1 FROM owed n
          WHERE n.output = o.output AND n.kind = 'withdraw' AND n.rowid > o.rowid)`,
    )
    .get(orderId, output);
  return row !== undefined;
}

/** The newest order of each output. */
export function newestOrders(db: Db): OrderState[] {
  return db
    .prepare(
      `SELECT * FROM (${STATE} GROUP BY o.order_id, o.output) s
       WHERE place = (SELECT max(rowid) FROM owed n WHERE n.output = s.output) ORDER BY output`,
    )
    .all() as OrderState[];
}

/** How often each output has answered what, over all that is remembered. */
export function answerCounts(db: Db): { output: string; answer: string; count: number }[] {
  return db
    .prepare(
      'SELECT output, answer, count(*) AS count FROM attempt GROUP BY output, answer ORDER BY output',
    )
    .all() as { output: string; answer: string; count: number }[];
}

/** One try of an order, or the order alone while it has none. */
export interface OrderAttempt {
  orderId: string;
  output: string;
  atMs: number | null;
  answer: OrderEnd | 'unknown' | null;
}

/** Every try of every order that a confirm has brought about, in order of time. */
export function orderAttempts(db: Db, confirmationId: number): OrderAttempt[] {
  return db
    .prepare(
      `SELECT o.order_id AS orderId, o.output, a.at_ms AS atMs, a.answer
       FROM owed o LEFT JOIN attempt a ON a.order_id = o.order_id AND a.output = o.output
       WHERE o.confirmation_id = ? ORDER BY a.attempt_id`,
    )
    .all(confirmationId) as OrderAttempt[];
}

/** Where an output writes to, or wrote to: what stands there outlives the config that put it there. */
export interface OutputPlace {
  placeId: number;
  output: string;
  /** As `placeOfOutput` names it. */
  place: string;
  /** The output's part of the config, as JSON; secrets are named in it and do not stand in it. */
  config: string;
}

/** The place that an output, bound as a parameter, writes to now; null when it has none. */
const OPEN_PLACE_OF_OUTPUT = `(
  SELECT max(p.output_place_id) FROM output_place p WHERE p.output = ?
    AND p.output_place_id NOT IN (SELECT output_place_id FROM output_place_left))`;

const PLACE_COLUMNS = 'output_place_id AS placeId, output, place, config';

/** Places that are not known to be empty, oldest first. */
export function openPlaces(db: Db): OutputPlace[] {
  return db
    .prepare(
      `SELECT ${PLACE_COLUMNS} FROM output_place
       WHERE output_place_id NOT IN (SELECT output_place_id FROM output_place_left)
       ORDER BY output_place_id`,
    )
    .all() as OutputPlace[];
}

/**
 * Remembers that outputs write to these places from now on. One that is known, and was not left, is
 * not added again; a later config of the same place is.
 */
export function addPlaces(
  db: Db,
  places: readonly Omit<OutputPlace, 'placeId'>[],
  atMs: number,
): void {
  const known = openPlaces(db);
  const fresh = places.filter(({ output, place, config }) => {
    const last = known.findLast((one) => one.output === output);
    return last?.place !== place || last.config !== config;
  });
  if (fresh.length === 0) return;
  inTransaction(db, () => {
    const add = db.prepare(
      'INSERT INTO output_place (at_ms, output, place, config) VALUES (?, ?, ?, ?)',
    );
    for (const { output, place, config } of fresh) add.run(atMs, output, place, config);
  });
}

/** Remembers that nothing of an output stands at a place any more, or why it is nobody's. */
export function leavePlace(db: Db, given: { placeId: number; atMs: number; why: string }): void {
  db.prepare(
    'INSERT OR IGNORE INTO output_place_left (output_place_id, at_ms, why) VALUES (?, ?, ?)',
  ).run(given.placeId, given.atMs, given.why);
}
