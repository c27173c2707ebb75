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

/** Something to know about a bed's weather or water: what it is, and the numbers that its rule saw. */
export interface Notice {
  code: NoticeCode;
  severity: NoticeSeverity;
  /** What the rule saw and was held against; names carry their unit. */
  inputs: Record<string, number | string>;
  /** Limits of the rule that are no part of what it saw; names carry their unit. */
  limits: Record<string, number>;
  fromMs: number;
  toMs: number;
}
