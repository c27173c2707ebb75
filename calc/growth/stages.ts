/** Growth stages of a grow-in, in order. */
export const STAGE_NAMES = [
  'germination',
  'emergence',
  'tillering',
  'first_mow',
  'knitting',
] as const;

export type StageName = (typeof STAGE_NAMES)[number];
