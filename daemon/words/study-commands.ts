/** What the commands say that look back or ahead and change nothing, in English as every command. */
export const STUDY_COMMANDS = {
  'report.does': 'a day, some days or the season: a page to print, and CSV tables',
  'report.day': 'one site day, YYYY-MM-DD',
  'report.from': 'first site day (default: the first of the season)',
  'report.to': 'last site day (default: today)',
  'report.html': 'where the page goes (default: report-FROM-TO.html, or into --out)',
  'report.language': 'language of the page, and of the sentences in the tables',
  'report.out': 'folder for the page and the tables',
  'report.examples':
    'report --day 2026-07-01\nreport --from 2026-07-01 --to 2026-07-14 --out fortnight\nreport --out season',
  'report.tables': 'Tables in {folder}: {files}',
  'span.day_alone': 'goes without --from and --to; leave one of them out',
  'span.turned': 'lies after --to (got {from} and {to}); turn them round',
  'span.too_long': 'more than {most} days (got {from} to {to}); ask for fewer',

  'hand-over.does': 'put the whole history into one folder, or check such a folder',
  'hand-over.to': 'folder to be made; nothing is written over',
  'hand-over.from': 'first site day of its report (default: the first of the season)',
  'hand-over.until': 'last site day of its report (default: today)',
  'hand-over.language': 'language of its report and README.txt',
  'hand-over.check': 'hold the files of a folder against its manifest',
  'hand-over.more':
    'The whole log and every plan always go in. The days bound the report and its tables.',
  'hand-over.examples': 'hand-over --to hand-over-2026\nhand-over --check hand-over-2026',
  'hand-over.whole': '{folder}: whole, {files} files, {size} MB, each as its SHA-256 says.',
  'hand-over.written':
    '{folder}: written and checked, {files} files, {size} MB, each as its SHA-256 says. Begin with README.txt.',

  'sand.does': 'explain the sands: curve, dry-down, capacity, best dose, what is assumed',
  'sand.bed': 'only the sand of this bed',
  'sand.examples': 'sand --bed green-3',
  'sand.stated':
    'Your own figures: holds {capacity} between full and dry limit, fed {feed} from below. A laboratory report would tell the rest.',
  'sand.counts':
    'The planner counts {capacity} at {rate}; from its reserve a dose of {dose} drains nothing.',
  'sand.assumed': 'Assumed: {sand} ({basis}: {source}).',
  'sand.fitted':
    'From the laboratory report, {points, plural, one {# point} other {# points}} of the release curve; the curve misses them by {miss} % of volume.',
  'sand.assumed_from': 'Assumed from {sand}: {names}.',
  'sand.none_assumed': 'Nothing of the curve is assumed.',
  'sand.curve':
    'Curve (van Genuchten): alpha {alpha} /cm, n {n}, residual {residual} %, full {full} %, conductivity {conductivity} mm/h; {depth} mm {under, select, gravel {over gravel} other {open below}}.',
  'sand.curve_heading': 'suction|water',
  'sand.dried_down': 'Dried down in the numerical column, from full:',
  'sand.dry_heading': 'demand|dry after|lost until then|because',
  'sand.not_dry': 'not in 120 h',
  'sand.surface_dry': 'surface no longer wet',
  'sand.layer_half_dry': 'seed layer half dry',
  'sand.class_differs':
    'Sands of this class differ ({source}): plans follow {count} of them, all as likely.',
  'sand.several': 'Plans follow {count} sands that it may be, all as likely: {why}.',
  'sand.why_several':
    '{why, select, n {n is open, and so is how it takes water up again} other {how it takes water up again, and what was measured, leave it open}}',
  'sand.lasts': 'So a full seedbed lasts, as planned: {hours}.',
  'sand.hours': '{hours} h at {rate}',
  'sand.how_sure':
    'How sure: n is assumed. Across its plausible range the same bed would hold, at {rate}:',
  'sand.sure_heading': 'n|lost until dry',
  'sand.sure_not_dry': 'not dry in 120 h',
  'sand.more_points': 'Two more points of the release curve, or a few looks, settle it.',
  'sand.needs_report': 'A laboratory report settles it; until then trust eye and fingertip.',

  'replay.does': 'plan past days as their mornings would have; sends and changes nothing',
  'replay.weather': 'weather file (EPW, or CSV as the config describes it)',
  'replay.from': 'first site day, YYYY-MM-DD',
  'replay.days': 'how many site days',
  'replay.out': 'folder for runs.csv, days.csv and report.html',
  'replay.forecast':
    'what the mornings foresee: perfect, persistence (the days before), or a file with what was foretold',
  'replay.leeway': 'follow each day within the leeway of its plan, confirmed once in the morning',
  'replay.no_leeway': 'the config lets plans have none; see `rules.leeway`',
  'replay.leeway_or_revisions': 'stands beside --revisions; give one of them',
  'replay.revisions': 'plan anew through the day by the rule of the config, each plan confirmed',
  'replay.language': 'language of report.html',
  'replay.confirm_after': 'how long such a plan waits for its confirm, minutes',
  'replay.examples':
    'replay -c greens.yaml --weather typical-year.epw --from 2026-07-01 --days 7 --forecast persistence --revisions --out replay',
  'replay.no_revisions': 'none',
  'replay.confirmed_after': 'each confirmed after {minutes} min',
  'replay.means': 'Means over the beds; forecast {forecast}; later plans {revisions}',
  'replay.heading': 'site day|loss|water|of loss|drains|cycles|min dry|later plans',
  'replay.written': 'Written: runs.csv, days.csv and report.html in {folder}',
  'replay.bad_minutes': 'must be 0 to 240 minutes (got {got}); write a number',
  'replay.bar': "'{value}' of '{total}' days ['{bar}']",

  'prospect.does': 'run a typical year for days of seeding: first green, first mow, water, supply',
  'prospect.language': 'language of the table',
  'prospect.dates': 'days of seeding, YYYY-MM-DD, with commas between',
  'prospect.weather': 'typical year (EPW, or CSV as the config describes it)',
  'prospect.examples':
    'prospect -c greens.yaml --weather typical-year.epw --dates 2026-08-15,2026-09-01',
  'prospect.no_weather':
    '{source}: no weather from {day} on (got 0 hours); give a typical year with --weather',
  'prospect.bar': "seeded '{seededOn}': day '{value}' ['{bar}']",
  'prospect.bad_day': 'no day (got {got}); write days like 2026-08-15, with commas between',
} as const;
