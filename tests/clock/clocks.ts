/** A clock under which the tests run: the instant at which it starts, and the machine's zone. */
export interface ShiftedClock {
  name: string;
  /** ISO 8601 in UTC. */
  startsAt: string;
  /** IANA zone of the machine, which the program must not care about. */
  machineZone: string;
  /** Whether the quick share runs it too. */
  inShare?: boolean;
}

/** Eight hours of the day, spread over the year and over machines. */
const HOURS: readonly ShiftedClock[] = [
  { name: 'hour-00', startsAt: '2027-01-12T00:07:00Z', machineZone: 'UTC' },
  { name: 'hour-03', startsAt: '2027-02-23T03:11:00Z', machineZone: 'America/Los_Angeles' },
  {
    name: 'hour-06',
    startsAt: '2027-04-20T05:57:30Z',
    machineZone: 'Australia/Lord_Howe',
    inShare: true,
  },
  { name: 'hour-09', startsAt: '2027-05-31T09:23:00Z', machineZone: 'UTC' },
  { name: 'hour-12', startsAt: '2027-07-14T12:29:00Z', machineZone: 'Europe/Berlin' },
  { name: 'hour-15', startsAt: '2027-08-30T15:37:00Z', machineZone: 'Asia/Kathmandu' },
  { name: 'hour-18', startsAt: '2027-10-05T18:43:00Z', machineZone: 'America/Los_Angeles' },
  { name: 'hour-21', startsAt: '2027-12-02T21:53:00Z', machineZone: 'UTC' },
];

/** Days on which an hour is left out or comes twice: the change falls into the run. */
const CHANGE_DAYS: readonly ShiftedClock[] = [
  { name: 'autumn-east', startsAt: '2026-10-25T00:58:30Z', machineZone: 'Europe/Berlin' },
  { name: 'autumn-west', startsAt: '2026-11-01T08:58:30Z', machineZone: 'America/Los_Angeles' },
  { name: 'spring-west', startsAt: '2027-03-14T09:58:30Z', machineZone: 'America/Los_Angeles' },
  {
    name: 'spring-east',
    startsAt: '2027-03-28T00:59:45Z',
    machineZone: 'Europe/Berlin',
    inShare: true,
  },
];

const RARE_DAYS: readonly ShiftedClock[] = [
  {
    name: 'leap-day',
    startsAt: '2028-02-29T11:50:00Z',
    machineZone: 'Pacific/Kiritimati',
    inShare: true,
  },
  { name: 'new-year', startsAt: '2027-12-31T23:59:30Z', machineZone: 'UTC', inShare: true },
];

/** Every clock of the long run. */
export const CLOCKS: readonly ShiftedClock[] = [...HOURS, ...CHANGE_DAYS, ...RARE_DAYS];
