/** What is said of a plan's leeway, in English. */
export const LEEWAY = {
  'confirm_refused.leeway_not_offered':
    'the plan has no leeway for {bed}; confirm it as laid, or without that bed',
  'altered.leeway_overstepped':
    'change {number} of plan {revision} of {siteDay} oversteps the leeway that was confirmed',
  'step.leeway_given': 'leeway given',
  'step.leeway_used': 'followed the day',

  'leeway.none': 'This plan has no leeway: it runs as laid.',
  'leeway.asked': 'As laid, or with its leeway?',
  'leeway.as_laid': 'as laid',
  'leeway.with': 'with its leeway',
  'leeway.sentence':
    'With its leeway the daemon may follow the day without asking again: {parts}; at most {most} for the day.',
  'leeway.spares':
    '{count, plural, one {up to # cycle more on a bed} other {up to # cycles more on a bed}}, none after {until}',
  'leeway.left_out':
    '{count, plural, one {# cycle left out where its bed does not need it} other {up to # cycles left out where their bed does not need them}}',
  'leeway.moved': 'each up to {move} earlier or later',
  'leeway.day_holds':
    'What you have looked at has to hold all day: a cycle may start at another time than the plan says. Whoever works on the turf needs a keep-off or a stop; both come before any leeway.',
  'leeway.bed':
    '{bed}: {spares, plural, =0 {none} one {# more} other {up to # more}} of at most {rotations, plural, one {# rotation} other {# rotations}}, {leaveOut, plural, =0 {none} other {up to #}} left out, at most {most} (laid {laid, plural, one {# cycle} other {# cycles}})',
  'leeway.given': 'With its leeway for {beds}.',
  'leeway.given_all': 'With its leeway for every bed.',
  'leeway.not_given': 'As laid: the daemon changes nothing of it.',
  'leeway.follows': 'The daemon follows the day within the leeway that {who} confirmed.',
  'leeway.nothing_used': 'Nothing of the leeway has been used.',
  'leeway.used': 'Changed within the leeway: {uses}.',
  'leeway.card':
    'The daemon follows the day within its leeway: change {number}, at {at}. Times below are those that stand now.',
  'leeway.evening': 'The day within its leeway: {leftOut} left out, {moved} moved, {added} added.',
  'leeway.use': '{bed}: {parts}',
  'leeway.use_left_out': '{cycles, plural, one {# cycle left out} other {# cycles left out}}',
  'leeway.use_moved': '{cycles, plural, one {# cycle moved} other {# cycles moved}}',
  'leeway.use_added': '{cycles, plural, one {# added at {at}} other {# added at {at}}}',
  'leeway.cycle_left_out': 'left out',
  'leeway.cycle_moved': 'moved from {at}',
  'leeway.cycle_added': 'added',
} as const;
