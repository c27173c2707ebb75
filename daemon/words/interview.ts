import { sayOf } from './message.ts';

/*
 * The set-up by questions speaks English alone: it asks for the words of the config, which are English.
 */

/** What the interview asks and tells; `|` parts a choice's value from what it means. */
const INTERVIEW = {
  'answer.yes': 'yes',
  'answer.no': 'no',
  'answer.keep': 'the same as now',
  'answer.none_of': 'is none of the choices (got {got}); write one of {choices}',
  'answer.nothing': 'nothing',
  'prompt.back': '(back)',
  'prompt.table': '? {ask} ({back} goes back):',

  'units.ask': 'Units that you think in',
  'units.us': 'US (gpm, in/h, °F)',
  'units.metric': 'metric (L/min, mm/h, °C)',
  'part.ask': 'What is to change?',
  'part.site': 'where the site is',
  'part.weather': 'where the weather comes from',
  'part.supply': 'pump and mains',
  'part.ground': 'beds, stations and sand',
  'part.people': 'people and PINs',
  'part.outputs': 'where confirmed plans go',
  'part.done': 'nothing more: show what would be written',

  'site.name': 'Name of the site',
  'site.position': 'Coordinates, typed or pasted (such as {example})',
  'site.elevation': 'Height above the sea, about',
  'site.zone': 'Time zone of the site (such as America/Denver)',
  'site.zone_suggested': 'Time zone of the site (suggested: that of this machine)',

  'supply.pump': 'Flow of the pump at working pressure (such as 350 gpm, 1300 L/min, 80 m³/h)',
  'supply.mains':
    'Mains with a limit of their own (such as north 250 gpm; south 250 gpm), or - for none',

  'outputs.ask': 'Where do confirmed plans go?',
  'outputs.file': 'to files in a folder (a card to print, a table, JSON)',
  'outputs.mqtt': 'to an MQTT broker, and to files',
  'outputs.none': 'nowhere: plans are only shown',
  'outputs.broker': 'Address of the broker (such as mqtts://broker.example:8883)',
  'outputs.no_broker':
    'is no address of a broker without user and password (got something else); write mqtts://host:8883',
  'outputs.password': 'Does the broker ask for a user and a password?',
  'outputs.secrets':
    'They do not go into the config: give them to the daemon as the environment variables {user} and {password}.',

  'people.now': 'People who may use the page now: {names}.',
  'people.ask': 'Who uses the page?',
  'people.here': 'people at this machine alone, by their name, without a PIN',
  'people.people': 'people with PINs, from this machine or others',
  'people.one_more': 'One more person?',
  'people.address':
    'Address that the page listens on (127.0.0.1: this machine; 0.0.0.0: the network)',
  'people.no_address': 'is not an IP address (got {got}); write 127.0.0.1',
  'people.proxy':
    'Beyond this machine put a proxy with https in front, or PINs cross the network in the clear.',
  'person.name': 'Name',
  'person.no_name': 'is no name (got nothing, or too much); write 1 to 60 letters',
  'person.role': 'What may {name} do?',
  'person.keeper': 'everything: confirm, change, stop water',
  'person.watcher': 'look and stop water, never confirm',
  'person.pin': 'PIN of {name} ({least} characters or more)',
  'person.pin_known': 'PIN of {name} ({least} characters or more, empty: the one before)',
  'person.bad_pin': 'must have {least} to {most} characters (got {got}); choose another one',
  'person.again': 'The same again',
  'person.other_pin': 'is another one (got a different PIN); type the same, or < to go back',

  'weather.ask': 'Where does the weather come from?',
  'weather.usual': 'I type what a usual day is like now',
  'weather.station': 'a file that a weather station writes',
  'weather.forecast': 'an hourly public forecast over the internet, without a key',
  'weather.year': 'a typical year in an EPW file',
  'weather.trying': 'Trying it out ...',
  'weather.last_row': 'Last row read: {row}',
  'weather.is_right': 'Is that right?',
  'weather.use_unread': 'It could not be read. Use it all the same?',
  'weather.epw_file': 'EPW file, from the folder of the config',
  'weather.stand_in': 'Type a usual day too, for when the source is away?',
  'usual.high': 'A usual day now: highest air temperature (such as {example})',
  'usual.low': 'A usual day now: lowest air temperature (such as {example})',
  'usual.wind': 'A usual day now: mean wind (such as {example})',
  'usual.rain': 'A usual day now: rain',
  'usual.taken': 'Taken for this month and the two after it, with wind as told at 10 m.',
  'station.file': 'File of the station, from the folder of the config',
  'station.unknown_headings': 'Its headings say nothing that is known here: name the columns.',
  'station.column': '{column}: read as {field}, {unit}',
  'station.temperature_column': 'Name of the column with the air temperature',
  'station.left_out': 'Not known here and left out: {columns}',
  'station.time_column': 'Name of the column with date and time',
  'station.stamps': 'Form of its stamps',
  'station.stamps_like': 'Form of its stamps ({stamp})',
  'station.bad_stamps': 'does not fix the date and the hour; write it like MM/DD/YYYY hh:mm',
  'station.time_means': 'What does the time of a row mean?',
  'station.hour_ending': 'the end of what it tells of (most stations)',
  'station.hour_beginning': 'the beginning',
  'station.wind_height': 'Height of the wind gauge above the ground',
  'station.no_file': 'cannot be read (got {got}); name a file that is there',
  'station.unit': 'Unit of the column {column} (one of {units})',
  'station.bad_unit': 'does not fit here (got {got}); write one of {units}',

  'table.keep': 'Keep the {what, select, beds {beds} other {stations}} as they are?',
  'table.beds':
    'The table of beds: one a line, parted by tabs, semicolons or commas. Heading words like green, area, seeded, sand; or no heading: name, area, day of seeding, sand.',
  'table.stations':
    'The table of stations: one a line, parted by tabs, semicolons or commas. Heading words like valve, green, flow, rate, heads, nozzle flow, spacing, arc time, main; or no heading: station, green, flow, rate, seconds of a rotation, main.',
  'table.paste':
    'Paste or type the {what, select, beds {beds} other {stations}}, then an empty line',
  'table.read':
    '{rows} {what, select, beds {{rows, plural, one {bed} other {beds}}} other {{rows, plural, one {station} other {stations}}}} read.',
  'table.row': 'row {row}, {field}: {why}',
  'table.no_bed': 'row {row}, bed: names no bed (got {got}); the beds are {beds}',
  'table.no_station': 'beds: {bed} has no station (got none); add one for it',

  'sand.ask': 'Sand of the beds (of those that the table gives none)',
  'sand.report': 'from a laboratory report',
  'sand.is_right': 'Does the sand dry like that?',
  'report.total_porosity': 'Total porosity (such as 40 %)',
  'report.capillary_porosity': 'Capillary porosity at 30 cm (such as 18 %)',
  'report.saturated_conductivity': 'Saturated conductivity (such as 350 mm/h, 14 in/h)',
  'report.depth': 'Depth of the sand',
  'report.under': 'What lies below it?',
  'report.gravel': 'gravel',
  'report.open': 'open ground, no gravel',
} as const;

/** Says what the interview says. */
export const sayInInterview = sayOf<keyof typeof INTERVIEW>(INTERVIEW, 'en');
