/** Everything that the daemon tells of itself, to whoever listens: a closed list. */
export const NEWS_KINDS = [
  'morning_plan',
  'plan_held',
  'notice_risen',
  'field_fault',
  'hold_reminder',
  'away',
] as const;

export type NewsKind = (typeof NEWS_KINDS)[number];

/** Something that people should hear of now. It can tell and do nothing else. */
export interface News {
  /** The same however often it is told. */
  newsId: string;
  kind: NewsKind;
  siteId: string;
  siteDay: string;
  atMs: number;
  /** One plain sentence or two. */
  text: string;
  /** The plan that it speaks of; null when it speaks of none. */
  revision: number | null;
  digest: string | null;
}

/** News as other programs read it. */
export function newsDocument(news: News, isoOf: (instantMs: number) => string) {
  return {
    format: 'dewbeat-news',
    format_version: 1,
    news_id: news.newsId,
    kind: news.kind,
    site_id: news.siteId,
    site_day: news.siteDay,
    at: isoOf(news.atMs),
    text: news.text,
    revision: news.revision,
    digest: news.digest,
  } as const;
}
