/** Header of an invented typical year in the EnergyPlus weather format, UTC-8. */
export const EPW_HEADER = [
  'LOCATION,"Invented-Town",CA,USA,Invented,000000,40.0,-119.0,-8.0,100',
  'DESIGN CONDITIONS,0',
  'TYPICAL/EXTREME PERIODS,0',
  'GROUND TEMPERATURES,0',
  'HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0',
  'COMMENTS 1,invented',
  'COMMENTS 2,invented',
  'DATA PERIODS,1,1,Data,Monday,1/1,12/31',
];

/** Values of an invented hour; hour from 1 to 24. */
export interface EpwRow {
  month: number;
  day: number;
  hour: number;
  air?: string;
  dew?: string;
  humidity?: string;
  solar?: string;
  wind?: string;
  rain?: string;
}

/** A line of 35 fields; the air temperature names the hour unless told: month + hour / 100. */
export function epwLine(row: EpwRow): string {
  const { month, day, hour } = row;
  const fields = Array<string>(35).fill('0');
  fields.splice(0, 6, '2001', `${month}`, `${day}`, `${hour}`, '60', 'A7A7?0');
  fields[6] = row.air ?? (month + hour / 100).toFixed(2);
  fields[7] = row.dew ?? '-5.0';
  fields[8] = row.humidity ?? '50';
  fields[13] = row.solar ?? '500';
  fields[21] = row.wind ?? '3.0';
  fields[33] = row.rain ?? '0.0';
  return fields.join(',');
}

/** A whole invented year of 365 days. */
export function epwYear(change: (row: EpwRow) => EpwRow = (row) => row): string {
  const lines = [...EPW_HEADER];
  for (let date = Date.UTC(2001, 0, 1); date < Date.UTC(2002, 0, 1); date += 86_400_000) {
    const month = new Date(date).getUTCMonth() + 1;
    const day = new Date(date).getUTCDate();
    for (let hour = 1; hour <= 24; hour++) lines.push(epwLine(change({ month, day, hour })));
  }
  return `${lines.join('\n')}\n`;
}
