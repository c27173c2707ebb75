import type { Withdrawal } from '../contract.ts';
import type { Message } from './mqtt-publish.ts';
import type { OrderPayload } from './order-payload.ts';

/** What stands now, for receivers that come later too: retained. */
export function orderMessage(
  topic: string,
  payload: OrderPayload,
  expiryS: number | null,
): Message {
  return {
    topic,
    text: JSON.stringify(payload),
    retain: true,
    contentType: 'application/json',
    expiryS,
  };
}

/** The hold itself, for those who hear it now. */
export function holdMessage(
  topic: string,
  payload: OrderPayload,
  { siteDay }: Withdrawal,
): Message {
  const hold = {
    format: 'dewbeat-hold',
    format_version: 1,
    order_id: payload.order_id,
    site_id: payload.site_id,
    site_day: siteDay,
    valid_until: payload.valid_until,
    ...payload.withdrawn,
  };
  return {
    topic,
    text: JSON.stringify(hold),
    retain: false,
    contentType: 'application/json',
    expiryS: null,
  };
}
