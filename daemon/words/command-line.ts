import { ACTIONS } from './en/actions.ts';
import { type MessageValues, sayOf } from './message.ts';
import { STUDY_COMMANDS } from './study-commands.ts';

/*
 * The command line speaks English alone: its commands and options are English words, and a sentence
 * about `--until` reads best in the language of `--until`. Pages, cards and news speak the site's.
 */

/** What commands do, what their options mean, and what they tell. Lines of `.examples` are one command each; `|` parts headings. */
export const COMMAND_LINE = {
  'program.does':
    'Plans short, offbeat watering for newly seeded sand greens. Sends nothing that you have not confirmed.',
  'program.version': 'tell the version',
  'option.config': 'the config (default: {file}, or the embedded demo)',
  'option.format': 'how to print',
  'option.who': 'your name',
  'option.time': 'HH:MM, or ISO 8601 with an offset',
  'help.example': 'Example:',
  'help.examples': 'Examples:',
  'refused.no_day': 'no day (got {got}); write it like 2026-07-01',
  'refused.one_of': '{command}: needs {one} or {other}, one of them',
  'refused.whole_from_1': 'must be a whole number from 1 (got {got})',
  'plan.none': 'plan: there is none yet; make one with `{command}`',
  'plan.none_of': 'plan: there is none of {day}; make one with `{command}`',
  'reading.problem': '{where}: {what}; {done}',
  'reading.problem_by': '{where}: {what}; {done} (check {rule})',
  'problem.look_at': 'look at: {problem}',

  'init.does': 'set up a site by questions, or change its config; it asks before it writes',
  'init.from': 'take the answers from a YAML or JSON file, and ask nothing',
  'init.dry_run': 'show what would be written, and write nothing',
  'init.more': 'At any question < goes one back. Ctrl-C ends it, and nothing is written.',
  'init.examples': 'init\ninit --from answers.yaml',
  'init.no_terminal': 'init: asks at a terminal (got none); give answers by --from',
  'init.correct_first': 'Correct it first.',
  'init.new': 'A new site, into {path}.',
  'init.changes': 'Changes to {path}.',
  'init.keys': '< goes one question back. Ctrl-C ends it, and nothing is written.',
  'init.end_unusable': 'It cannot be used like that. End here? (To go on: < goes back)',
  'init.write': 'Write this to {path}?',
  'init.nothing_written': 'Nothing was written.',
  'init.ended': 'Ended. Nothing was written.',
  'init.unreadable': '{path}: cannot be read (got {why}); mend that first',
  'init.same': '{path}: stays as it is; there was nothing to change.',
  'init.written': 'Written: {path}',
  'init.copy': 'The file of before is kept as {path}',
  'init.next':
    'Next:\n  npx dewbeat plan{config}   the first plan, held until you confirm it\n  npx dewbeat run{config}    the daemon, with its page',

  'check.does': 'tell everything that is wrong with the config',
  'check.examples': 'check -c greens.yaml',
  'check.sound':
    '{file}: sound. {site}, {beds} beds, {stations} stations, zone {zone}, weather {weather}, outputs {outputs}.',
  'check.demo': 'embedded demo',
  'check.no_outputs': 'none',

  'weather.does': 'show the hourly weather with reference ET, and what was filled in',
  'weather.from': 'first site day, YYYY-MM-DD (default: today)',
  'weather.days': 'how many site days',
  'weather.examples': 'weather --from 2026-07-01 --days 2 --format csv',
  'weather.source': 'weather from {source}',
  'weather.heading': 'day|hour|air|humidity|wind|sun MJ/m²|rain|ref ET|origin|filled',
  'weather.total': 'reference ET in all {depth} over {hours} h',
  'weather.filled': 'filled {field}: {how}',
  'weather.not_described':
    'the config does not say how to read this file (got {file}); describe its columns under weather: with source csv, or with daily_file',

  'plan.does': 'make a fresh plan of today, held until you confirm it',
  'plan.lift': 'as `dewbeat release`, which says it plainly',
  'plan.more': 'It waters from now on, and makes up for nothing that is past.',
  'plan.examples': 'plan',
  'plan.read': 'Read it, look at the turf, then confirm:',
  'plan.add_leeway': '(add --leeway to let the daemon follow the day within its leeway)',
  'plan.no_earlier': 'There was no plan of today to compare with.',
  'plan.against': 'Against plan {revision}:',
  'plan.confirm_with': 'Confirm with:',
  'plan.next': 'The next plan goes by it. To have one now: {command}',
  'plan.not_made':
    'No plan could be made: {why}\nWhat you put down is kept. Do not repeat it. Once there is weather: {command}',
  'plan.title': '{site}   {day}   plan {revision}   digest {digest}',
  'plan.sky':
    'sunrise {rise}, sunset {set}; {low} to {high}, wind to {wind}, rain {rain}, reference ET {et}',
  'plan.weather': 'weather: {source}',
  'plan.band': 'In brackets: between which times that is nine times in ten.',
  'plan.beds': 'Beds, first to dry first (loss and water until tomorrow’s first cycle)',
  'plan.cycles': 'Cycles',
  'plan.no_cycles': 'No cycles.',
  'plan.rule': 'rule: {rule}',
  'plan.saw': 'saw: {saw}',

  'action.preview': 'show before and after, and keep nothing',
  'action.no_plan': 'keep it, and make no fresh plan now',
  'preview.title': 'PREVIEW, nothing is kept: {what}',
  'preview.heading': 'bed|cycles|minutes|of the loss|lowest store at {at}',
  'preview.no_change': 'No bed changes.',
  'preview.to_come': 'What is still to come, before > after',
  'preview.others':
    '{others, plural, one {One other bed stays as it is.} other {# other beds stay as they are.}}',
  'preview.in_all': 'In all {after}.',
  'preview.in_all_from': 'In all {before} > {after}.',
  'preview.sums': '{cycles, plural, one {# cycle} other {# cycles}}, {duration}',
  'preview.keep': 'To keep it, give the same command without --preview.',

  'review.does': 'the morning review in the terminal: read, change, confirm, stop water',
  'review.who': 'your name, for what you confirm and change',
  'review.more':
    'The keys stand at the bottom; ? explains them. ! and then a stops all water, from any screen. Without a terminal the first screen is printed once.',
  'review.examples': 'review --who "A. Keeper"',
  'review.unreadable': 'review: {why}',

  'show.does': 'show the newest plan',
  'show.day': 'the newest plan of this site day, YYYY-MM-DD',
  'show.language': 'language of the card',
  'show.examples': 'show --format card > card.txt\nshow --format card --language es > tarjeta.txt',
  'show.stopped':
    '! Water stopped by {who} ({why}){isOver, select, yes {; ITS TIME IS OVER, AND IT IS STILL STOPPED} other {}}: {beds}.',
  'show.no_bed': 'no bed known',

  'confirm.does': 'confirm the plan that you have read, so that it is sent',
  'confirm.revision': 'the plan that you have read: its number',
  'confirm.digest': 'its digest, the first 8 characters at least',
  'confirm.caution':
    'what you have looked at: {codes} (asked for in a terminal; {standIn} only where the plan rests on stand-in weather)',
  'confirm.examples': 'confirm --revision 1 --digest 3f2a91bc --who "A. Keeper" --caution {codes}',
  'confirm.is_so': '{caution} Is that so? (yes/no) ',
  'confirm.leeway':
    'with its leeway: the daemon may follow the day within what `dewbeat show` tells; left out, the plan runs as laid',
  'confirm.except': 'beds that stay as laid all the same',
  'confirm.except_alone':
    '--except belongs to --leeway: without that, every bed runs as laid anyway',
  'confirm.no_leeway': 'this plan has no leeway; confirm it without --leeway',
  'confirm.no_such_bed': 'no such bed has leeway (got {bed}); there are {beds}',
  'confirm.refused': 'not confirmed: {why}',
  'confirm.not_everywhere': 'confirm: confirmed, and not every output has it',
  'order.no_output': 'No output is configured: nothing is sent anywhere.',
  'order.daemon_tries': 'The daemon goes on trying to send it; look at `dewbeat status`.',
  'order.no_daemon':
    'No daemon is running: start one with `npx dewbeat run`, so that it is tried again.',

  'stop-water.does': 'stop water now, on every bed or on some; needs no confirm',
  'stop-water.beds': 'only these beds (default: all)',
  'stop-water.who': 'who stops it',
  'stop-water.why': 'why',
  'stop-water.until': 'when you mean to release it: HH:MM today, or ISO 8601 with an offset',
  'stop-water.demo': 'stop the embedded demo, and not a site of your own',
  'stop-water.more':
    'It works with a config that is wrong or gone, with a frozen daemon and with a locked store.\nIt says which site it stops, and what is true at each output. Exit code 0: every output took it.\nWater comes back only by a plan: dewbeat release, then confirm.',
  'stop-water.examples':
    'stop-water -c greens.yaml --beds green-1 --who "A. Keeper" --why "leak at the collar" --until 14:00',
  'stop-water.no_reason': 'no reason given',
  'stop-water.somebody': 'someone at the command line',
  'stop-water.site': 'Site: {name} ({id}), data in {folder}',
  'stop-water.bad_until':
    'no time (got {got}); the water is stopped without one; write HH:MM or ISO 8601 with an offset',
  'stop-water.not_well': 'stop-water: see above what is not stopped or not written',
  'stop-water.nothing': 'NOTHING WAS STOPPED. {why}; close the valves by hand if it is urgent',
  'stop-water.demo_unsound': 'The demo is not sound',
  'stop-water.no_config': '{path}: no such config',
  'stop-water.wrong_config': 'the config is wrong:\n{problems}',
  'stop-water.only_demo':
    '{path}: no such config, and only the embedded demo was run here; name your config with -c, or stop the demo with --demo',
  'stop-water.stands_in': '{why}\nThe last good site of {folder} stands in.',
  'stop-water.no_site':
    '{path}: no such config, and no site was run here; name your config with -c',
  'stop-water.no_good_site':
    'The config is wrong and no last good site is kept:\n{problems}\nCorrect it, or name the right one with -c',
  'stop-water.unreadable': 'cannot be read (got {why})',

  'call.does': 'correct today’s forecast (hotter, windier, cloudier), and plan anew',
  'call.more':
    'A call stands from now to the end of the site day, in place of an earlier one. Hours that were measured are never changed.',
  'trim.does': 'give a bed more or less than is worked out for it; alone: list',
  'trim.more':
    'A trim stands until it is set anew or cleared. For a bed that dries too soon log a look first: `dewbeat look`.',
  'rotation.does': 'ask for one more rotation on a bed now, in a plan to confirm',
  'rotation.more':
    'It runs only once you confirm the plan that has it. Water that was given already: `dewbeat water`.',
  'water.does': 'log water given by hand or by one more run; plans count it',
  'water.more':
    'It counts up to what the seedbed could hold at that time. For a station that ran give --station ID --minutes 2.5 in place of the depth.',
  'keep-off.does': 'keep water off beds in the plans to come, or end that; alone: list',
  'keep-off.more':
    'A keep-off changes the plans to come. The plan in force is stopped by `dewbeat stop-water` alone.',
  'stage.does': 'show where the beds stand, or move one to another growth stage',
  'stage.more':
    'A stage moves only by your command. A bed with a slow patch (--patch "north edge" --share 15%) is watered for the younger part.',
  'wind.does': 'answer what today’s plan asks about the wind; alone: show it',
  'wind.more':
    'run: cycles stay in the wind where no lull takes them; so it is until somebody answers. shorter: single rotations, as often as they are needed. skip: nothing runs while the wind is above the limit. An answer stands for the site day, in place of an earlier one.',
  'release.does': 'water beds again where water was stopped, by a plan to confirm; alone: list',
  'release.more':
    'Nothing runs until you confirm the plan that it makes. Stop water with `dewbeat stop-water`.',
  'feed.does': 'log fertiliser that was spread or fed in, for the record',
  'feed.more':
    'It changes no plan. Where the label asks for dry beds, keep water off: `dewbeat keep-off`.',
  'meter.does': 'keep a reading of the water meter; alone: list',
  'meter.more': 'Reports hold their own sums against the volume between two readings.',

  'look.does': 'log what you saw on a bed; plans start from it and learn. Alone: list',
  'look.bed': 'the bed (alone: list its looks)',
  'look.saw': 'the surface',
  'look.cover': 'part of the ground that is green, such as 40%',
  'look.leaf': 'leaf length, such as 8 mm',
  'look.root': 'root length, such as 12 mm',
  'look.probe': 'water in the sand by volume, such as 18%; with --probe-depth',
  'look.probe_depth': 'depth of the reading, such as 10 mm',
  'look.photo': 'a photo; it is copied into the data folder',
  'look.note': 'anything else',
  'look.at': 'when: HH:MM today, or ISO 8601 with an offset (default: now)',
  'look.undo': 'take back the look of this number',
  'look.more':
    'dark: wet. lightening: near the dry limit. dry: at or below it. puddle: water stands. wash: seed or sand has moved.',
  'look.examples':
    'look --bed green-3 --saw lightening --at 13:30 --who "A. Keeper"\nlook --bed green-3 --saw dark --cover 40% --leaf "8 mm" --who "A. Keeper"\nlook --undo 2 --who "A. Keeper"',
  'look.logged': 'Look {id}, {bed} at {at}: {seen}. Logged by {who}.',
  'look.in_log': '{bed}: {seen} at {at}',
  'look.undone': 'Look {id} taken back by {who}.',
  'look.undo_alone': 'goes with --who alone (got {got}); log a new look by itself',
  'look.plan': 'A plan that starts from it: {command}',
  'look.none': 'No look has been logged.',
  'look.heading': 'no.|seen|bed|by|what|',
  'look.row_undone': 'taken back by {who}',
  'look.probe_pair': 'goes with --probe-depth; give the reading and its depth',
  'look.nothing_seen':
    'look: nothing was seen; give --saw, --cover, --leaf, --root, --probe, --photo or --note',
  'look.not_within_a_day':
    'must be within the last 24 hours (got {got}); log a look when it was made',
  'look.no_photo': 'no photo (got {got}); use {kinds}',
  'look.photo_large': 'is too large (got {bytes} bytes); make it smaller',
  'look.photo_failed': 'cannot be kept (got {file}: {why}); check the path',
  'look.no_file': 'it is no file',

  'seed.does': 'work out the seed for the beds, or for an area',
  'seed.bed': 'only this bed',
  'seed.area': 'an area in place of the beds, such as "5000 ft2"',
  'seed.rate': 'such as "1.5 lb/1000ft2" or "7.3 g/m2" (default: 1.5 lb/1000 ft²)',
  'seed.passes': 'passes at right angles',
  'seed.examples': 'seed --area "5000 ft2" --rate "1.5 lb/1000ft2"',
  'seed.area_row': 'area',
  'seed.heading': 'bed|area|seed|each pass|seeds/in²|seeds/cm²',
  'seed.between': '{least} to {most}',
  'seed.total': 'In all {mass} at {rate} g/m², {passes, plural, one {# pass} other {# passes}}.',
  'seed.pure':
    'Weights are of pure live seed: divide by purity and germination of the lot. Seed counts are those of creeping bentgrass (common practice).',

  'pin.does': 'make the hash of a PIN, for a person under page.people of the config',
  'pin.more': 'It asks for the PIN at the terminal, so that it stands in no history of commands.',
  'pin.examples': 'pin',
  'pin.no_terminal': 'pin: asks at a terminal (got none); run it in one',
  'pin.ask': 'PIN, {least} characters or more: ',
  'pin.again': 'The same again: ',
  'pin.differ': 'PIN: the two differ; nothing was made',
  'pin.put': 'Put this line under the person in page.people, in quotes:',

  'log.does': 'show the log: who did what and when, what was sent, what came back',
  'log.last': 'how many lines',
  'log.examples': 'log --last 100',
  'log.empty': 'The log is empty.',
  'log.about': ' [{day} plan {revision} {digest}]',

  'correct.does': 'put a record right by a new row; the old one stays, reports show both',
  'correct.what': 'a run, water by hand, or a reading of the meter',
  'correct.station': 'the station that ran',
  'correct.bed': 'the bed that was watered with a hose',
  'correct.start': 'when it began or was read: HH:MM today, or ISO 8601 with an offset',
  'correct.seconds': 'seconds that the station really ran; 0: not at all',
  'correct.depth': 'depth that the bed really got, such as "2 mm" or 0.08 in',
  'correct.read': 'what the meter really showed, such as "123465 gal"',
  'correct.why': 'how you know',
  'correct.examples':
    'correct --what ran --station green-3-1 --start 2026-07-01T13:10:00-04:00 --seconds 0 --why "valve stuck shut" --who "A. Keeper"\ncorrect --what meter --start 07:00 --read "123465 gal" --why "misread" --who "A. Keeper"',
  'correct.needs_start': 'is missing; give the time when it began',
  'correct.needs_why': 'is missing; say how you know',
  'correct.needs_bed': 'is missing; name the bed, or a station with --station',
  'correct.needs_station': 'is missing; name the station',
  'correct.needs_value': 'is missing; give the right value',

  'ran.does': 'each run of today: planned, sent, accepted, ran or missing',
  'ran.day': 'another site day, YYYY-MM-DD',
  'ran.examples': 'ran --day 2026-07-01',
  'ran.none': 'No run of {day} was confirmed.',

  'status.does': 'how the site stands; exit code 1 when something needs you',
  'status.examples': 'status --format json',
  'status.needs_person': 'status: needs a person ({needs})',
  'status.daemon_before': 'The daemon goes on with the config that it read at {at}:',
  'status.daemon_page': 'page {page}, last word {at}.',
  'status.no_page': 'not served',
  'status.output': '{output}: {isWell, select, yes {well} other {AWAY}}, {detail}',
  'status.config_now': 'The config now:',

  'backup.does': 'copy the memory to a new file while the daemon runs, or check such a copy',
  'backup.to': 'write a backup to this file; nothing is overwritten',
  'backup.check': 'look through a backup and tell what it holds',
  'backup.examples':
    'backup --to dewbeat-2026-07-01.sqlite\nbackup --check dewbeat-2026-07-01.sqlite',
  'backup.contents':
    '{file}: {how, select, sound {sound} other {written and checked}}, {size} MB, {plans} plans, {confirms} confirms, {stops} stops, {lines} log lines; {last, select, none {its log is empty} other {last log line {last}}}.',

  'stage.seeded': '{bed} ({id}): {stage}, {since}; seeded {day}',
  'stage.unseeded': '{bed} ({id}): {stage}, {since}; day of seeding not told',
  'stage.never_moved': 'as the config has it, never moved',
  'stage.since': 'since {at} by {who} ({why})',
  'stage.window': 'window: {window}',
  'stage.patch': 'patch {name}: {stage}, {since}',
  'stage.patch_share': 'patch {name}, {pct} % of the bed: {stage}, {since}',
  'stage.watered_as': 'watered as {stage}: the younger part decides dose, depth and loss',
  'stage.ready': 'ready for {stage} when:',
  'stage.hand_over': 'ready for the hand-over when:',
  'stage.prompt': '{isLook, select, yes {look} other {note}}: {text}',

  'run.does': 'run as a daemon: plan each morning, send what is confirmed',
  'run.log_level': 'what the daemon logs',
  'run.more': 'Without a terminal it logs JSON lines, and reads its config again on SIGHUP.',
  'run.examples': 'run -c greens.yaml',
  'run.another':
    '{folder}: another dewbeat runs on this data folder; stop that one first, or give this one a data_folder of its own',
  'run.demo':
    'No ./dewbeat.yaml here: this is the embedded demo. Its site and weather are invented.',
  'run.starting': 'the daemon is starting',
  'run.serving': 'serving {site}, {page}',
  'run.no_page': 'no page: its port cannot be had',
  'run.reload_refused': '{serving}; the last reload was refused, see the log',
  'run.first_plan':
    'The first plan is being worked out, and is shown here once it is made. Nothing is sent meanwhile.',
  'run.no_plan':
    'There is no plan yet. One is made in the morning, or now with `dewbeat plan`. Where one could not be made, the log says why.',
  'run.held': 'The plan is held in {folder}. Look at the turf first:',
  'run.confirm': 'then confirm it, from this folder, in another terminal:',
  'run.page': 'The page: {page}',
  'run.log_no_notify':
    'systemd-notify: cannot be called (got {why}); the service manager hears nothing',
  'run.log_asked': 'asked to stop',
  'run.log_stopped': 'stopped',
  'run.log_no_site': 'site.json: cannot be written; to stop water without a config would not work',
  'run.log_no_reload': 'reload: failed; stop the daemon and start it again',
  'run.stays': 'The daemon stays up; Ctrl-C stops it.',
} as const;

const MESSAGES = { ...ACTIONS, ...COMMAND_LINE, ...STUDY_COMMANDS } as const;

/** What a message of the command line is found by. */
export type CommandLineKey = keyof typeof MESSAGES;

/** Says what the command line says. What the actions say in English belongs to it. */
export const sayAtCommandLine = sayOf<CommandLineKey>(MESSAGES, 'en');

/** What a command does, in one line. */
export function whatItDoes(command: string): string {
  const does = `${command}.does`;
  return isKey(does) ? sayAtCommandLine(does) : '';
}

/** What the help of a command says after its options: how it is meant, and examples. */
export function helpAfter(command: string, values: MessageValues = {}): string {
  const examples = `${command}.examples`;
  return helpWith(command, isKey(examples) ? sayAtCommandLine(examples, values).split('\n') : []);
}

/** The same with examples that were put together. */
export function helpWith(command: string, lines: readonly string[]): string {
  const more = `${command}.more`;
  const heading = sayAtCommandLine(lines.length === 1 ? 'help.example' : 'help.examples');
  return [
    ...(isKey(more) ? ['', sayAtCommandLine(more)] : []),
    '',
    heading,
    ...lines.map((line) => `  $ dewbeat ${line}`),
  ].join('\n');
}

/** The headings of a table. */
export function headingsOf(key: CommandLineKey, values: MessageValues = {}): string[] {
  return sayAtCommandLine(key, values).split('|');
}

function isKey(key: string): key is CommandLineKey {
  return Object.hasOwn(MESSAGES, key);
}
