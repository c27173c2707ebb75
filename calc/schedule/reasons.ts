import type { NightException } from './night-water.ts';
import type { SupplyLimit } from './supply-limit.ts';

/** Why a cycle stands where it stands: a closed list of codes with their measures. */
export type Reason =
  | { code: 'kept' }
  | { code: 'asked_for'; who: string; atMs: number }
  | { code: 'store_at_reserve'; atMs: number }
  | { code: 'first_of_day' }
  | { code: 'last_of_day'; untilMs: number }
  | { code: 'before_keep_off'; why: string; startMs: number }
  | { code: 'after_keep_off'; why: string; endMs: number }
  | { code: 'earlier_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'later_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'earlier_for_day'; minutes: number }
  | { code: 'earlier_to_level'; minutes: number }
  | { code: 'earlier_for_lull'; minutes: number }
  | { code: 'earlier_as_before'; minutes: number }
  | { code: 'rested_first'; restMin: number }
  | { code: 'least_cycles'; cycles: number }
  | { code: 'rotation_exceeds_store'; wasteMm: number }
  | { code: 'for_driest'; wasteMm: number }
  | { code: 'held_at_cap'; capMm: number }
  | { code: 'night_water'; exception: NightException };

/** How measures are put into words: the site's time and the person's units. */
export interface SayMeasures {
  timeOf(instantMs: number): string;
  depth(mm: number): string;
}

/** One plain sentence for a reason. */
export function sayReason(reason: Reason, say: SayMeasures): string {
  switch (reason.code) {
    case 'kept':
      return 'stands as the plan in force has it';
    case 'asked_for':
      return `a rotation more, as ${reason.who} asked at ${say.timeOf(reason.atMs)}`;
    case 'store_at_reserve':
      return `seedbed reaches its reserve at ${say.timeOf(reason.atMs)}`;
    case 'first_of_day':
      return 'first water of the day, at the reserve since the night';
    case 'last_of_day':
      return `last water of the day, to carry the seedbed to ${say.timeOf(reason.untilMs)}`;
    case 'before_keep_off':
      return `moved before ${reason.why} at ${say.timeOf(reason.startMs)}`;
    case 'after_keep_off':
      return `waits for ${reason.why} to end at ${say.timeOf(reason.endMs)}`;
    case 'earlier_for_supply':
      return `${reason.minutes} min earlier: ${sayLimit(reason.limit)}`;
    case 'later_for_supply':
      return `${reason.minutes} min late: ${sayLimit(reason.limit)}`;
    case 'earlier_for_day':
      return `${reason.minutes} min earlier, so that the cycles after it come in time`;
    case 'earlier_for_lull':
      return `${reason.minutes} min earlier, before the wind passes the limit`;
    case 'earlier_as_before':
      return `${reason.minutes} min earlier, where the plan in force has it`;
    case 'earlier_to_level':
      return `${reason.minutes} min earlier, where the pump has less to do`;
    case 'rested_first':
      return `waits for the rest of ${reason.restMin} min after the cycle before`;
    case 'least_cycles':
      return `one of the ${reason.cycles} cycles that a seedbed gets at least on a day that dries it`;
    case 'rotation_exceeds_store':
      return `one rotation is more than the seedbed holds: ${say.depth(reason.wasteMm)} drains`;
    case 'for_driest':
      return `longer for the drier half, as you asked: ${say.depth(reason.wasteMm)} drains`;
    case 'night_water':
      return `water at night: ${sayNight(reason.exception)}`;
    case 'held_at_cap':
      return `dose held at ${say.depth(reason.capMm)} so that no seed is washed`;
  }
}

/** An exception to "no water at night" in words. */
export function sayNight(exception: NightException): string {
  switch (exception) {
    case 'dry_wind':
      return 'the wind blows all night and would empty the seedbed before the morning';
    case 'first_night':
      return 'the first night after seeding';
    case 'deep_refill':
      return 'the planned deep refill';
  }
}

/** A supply limit in words. */
export function sayLimit(limit: SupplyLimit): string {
  switch (limit.kind) {
    case 'pump':
      return 'the pump is full';
    case 'main':
      return `main ${limit.id} is full`;
    case 'lateral':
      return `lateral ${limit.id} is full`;
    case 'stations_at_once':
      return 'as many stations run as may run at once';
    case 'start_gap':
      return 'another valve starts in that moment';
    case 'pump_rise':
      return 'the flow may not rise faster';
    case 'pump_rest':
      return 'the pump has to rest once it has stopped';
    case 'allowance':
      return "the day's allowance of water is used up";
    case 'season_allowance':
      return 'the season allowance of water is used up';
  }
}
