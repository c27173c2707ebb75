/** Every notice that the weather or the water of a bed can raise. */
export const NOTICE_CODES = [
  'heat',
  'frost',
  'wind',
  'heavy_rain',
  'pythium_14_hours',
  'pythium_9_hours',
  'damping_off',
  'irrigation_salinity',
  'reclaimed_water',
  'too_little_water',
  'too_much_water',
] as const;

export type NoticeCode = (typeof NOTICE_CODES)[number];

export type NoticeSeverity = 'note' | 'warn' | 'danger';

/**
 * Something to know about a bed's weather or water: what it is, the rule that raised it, and the
 * numbers that the rule saw. Texts carry no units, so that the inputs can be shown in a person's own.
 */
export interface Notice {
  code: NoticeCode;
  severity: NoticeSeverity;
  /** Plain words for the person on the turf. */
  text: string;
  /** The rule in one sentence, with its source. */
  rule: string;
  /** What the rule saw and was held against; names carry their unit. */
  inputs: Record<string, number | string>;
  fromMs: number;
  toMs: number;
}
