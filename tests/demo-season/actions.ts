/** What the invented keepers do, by day of the season and time at the site. */
export interface SeasonAction {
  day: number;
  at: string;
  args: string[];
}

const KEEPER = ['--who', 'A. Keeper (invented)'];
const HAND = ['--who', 'B. Hand (invented)'];
const look = (day: number, at: string, bed: string, ...seen: string[]): SeasonAction => ({
  day,
  at,
  args: ['look', '--bed', bed, ...seen, ...HAND],
});
const stage = (day: number, bed: string, to: string, why: string): SeasonAction => ({
  day,
  at: '07:30',
  args: ['stage', '--bed', bed, '--to', to, '--why', why, ...KEEPER],
});
/** In order of time. `{START}` stands for the last start of the action's station. */
export const ACTIONS: readonly SeasonAction[] = [
  look(2, '13:30', 'green-1', '--saw', 'dark'),
  look(4, '13:40', 'green-2', '--saw', 'lightening', '--note', 'north edge first'),
  { day: 5, at: '06:40', args: ['call', '--hotter', '5 °F', '--windier', '1.5', ...KEEPER] },
  look(6, '14:20', 'green-2', '--saw', 'dry', '--note', 'white along the collar'),
  { day: 6, at: '14:40', args: ['water', '--bed', 'green-2', '--mm', '1', ...HAND] },
  look(7, '14:10', 'green-3', '--saw', 'lightening'),
  {
    day: 8,
    at: '09:00',
    args: ['keep-off', '--bed', 'green-1', '--why', 'roll', '--until', '10:00', ...HAND],
  },
  stage(9, 'green-1', 'emergence', 'white root tips on the whole green'),
  stage(10, 'green-2', 'emergence', 'root tips, the north edge behind'),
  {
    day: 10,
    at: '15:00',
    args: [
      'correct',
      '--what',
      'ran',
      '--station',
      'g3-a',
      '--start',
      '{START}',
      '--seconds',
      '0',
      '--why',
      'valve shut, seen from the path',
      ...HAND,
    ],
  },
  {
    day: 11,
    at: '10:00',
    args: ['hold', '--beds', 'green-3', '--why', 'head sheared off by a mower', ...HAND],
  },
  stage(12, 'green-3', 'emergence', 'root tips'),
  stage(13, 'nursery', 'emergence', 'root tips'),
  look(14, '08:00', 'green-1', '--cover', '35%', '--leaf', '5 mm'),
  look(14, '08:10', 'green-2', '--cover', '20%', '--leaf', '4 mm', '--note', 'collar thin'),
  look(17, '14:00', 'nursery', '--saw', 'dry'),
  stage(19, 'green-1', 'tillering', 'second leaf, roots to an inch'),
  stage(20, 'green-2', 'tillering', 'second leaf'),
  stage(21, 'green-3', 'tillering', 'second leaf'),
  look(22, '08:00', 'green-1', '--cover', '75%', '--leaf', '11 mm', '--root', '28 mm'),
  look(22, '08:10', 'green-2', '--cover', '55%', '--leaf', '9 mm', '--root', '24 mm'),
  look(22, '08:20', 'green-3', '--cover', '70%'),
  look(22, '08:30', 'nursery', '--cover', '60%'),
  {
    day: 24,
    at: '09:00',
    args: ['keep-off', '--bed', 'all', '--why', 'first mow', '--until', '11:00', ...KEEPER],
  },
  stage(24, 'green-1', 'first_mow', 'a third of an inch, cut at 0.3'),
  look(28, '08:00', 'green-2', '--cover', '80%'),
];
