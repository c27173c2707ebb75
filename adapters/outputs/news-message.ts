import { type News, newsDocument } from '../news.ts';
import type { SiteClock } from '../site-clock.ts';
import type { Message } from './mqtt-publish.ts';

/** News that nobody has heard within an hour is none any more. */
const EXPIRY_S = 3600;

/** News as a message: never retained, since what was once news is not the state of the site. */
export function newsMessage(topic: string, news: News, clock: SiteClock): Message {
  return {
    topic,
    text: JSON.stringify(newsDocument(news, clock.isoOf)),
    retain: false,
    contentType: 'application/json',
    expiryS: EXPIRY_S,
  };
}
