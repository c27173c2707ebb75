/** A place on the globe read from text, or what is wrong with the text. */
export type PositionReading =
  | { ok: true; latitude: number; longitude: number }
  | { ok: false; message: string };

const HELP = 'write it like 33.5, -42.1 or 33°30\'00"N 42°06\'00"W';

/** A tenth of a metre: finer than any map, coarse enough to shed the noise of sixtieths. */
const DIGITS = 6;

const MOST_LETTERS = 200;

/**
 * Reads coordinates as maps and papers write them: decimal degrees, degrees and minutes, degrees,
 * minutes and seconds; signs or the letters N, S, E, W before or behind; decimal comma.
 */
export function readPosition(text: string): PositionReading {
  if (text.length > MOST_LETTERS) return refuse(text.slice(0, 20), 'is too long');
  const parts = twoParts(plain(text));
  if (parts === null) return refuse(text, 'is not two coordinates');
  const [first, second] = [readAngle(parts[0]), readAngle(parts[1])];
  if (typeof first === 'string') return refuse(text, first);
  if (typeof second === 'string') return refuse(text, second);
  const turned = first.axis === 'longitude' || second.axis === 'latitude';
  const [north, east] = turned ? [second, first] : [first, second];
  if (north.axis === 'longitude' || east.axis === 'latitude') {
    return refuse(text, 'names the same direction twice');
  }
  if (Math.abs(north.deg) > 90) {
    const hint = Math.abs(east.deg) <= 90 ? '; the latitude comes first' : '';
    return refuse(text, `has a latitude beyond 90 degrees${hint}`);
  }
  if (Math.abs(east.deg) > 180) return refuse(text, 'has a longitude beyond 180 degrees');
  return { ok: true, latitude: rounded(north.deg), longitude: rounded(east.deg) };
}

/** Coordinates as the questions show them again. */
export function positionText(latitude: number, longitude: number): string {
  return `${latitude}, ${longitude}`;
}

interface Angle {
  deg: number;
  axis: 'latitude' | 'longitude' | null;
}

function plain(text: string): string {
  return text
    .trim()
    .replace(/^geo:/i, '')
    .replace(/\b(lat(itude)?|lon(g(itude)?)?)\b\s*[:=]?/gi, ' ')
    .replace(/[′’‘´`]/g, "'")
    .replace(/[″”“]|''/g, '"')
    .replace(/[º˚]/g, '°')
    .replace(/[−–]/g, '-')
    .replace(/\/$/, '')
    .toUpperCase()
    .trim();
}

/** Where the first coordinate ends: at a letter, a semicolon, a comma, a space, the next degree. */
function twoParts(text: string): [string, string] | null {
  const letters = [...text.matchAll(/[NSEW]/g)].map((match) => match.index);
  const [one = 0, two = 0] = letters;
  if (letters.length > 2 || letters.length === 1) return null;
  if (letters.length === 2) {
    const at = one === 0 ? two : one + 1;
    return trimmed(text.slice(0, at), text.slice(at));
  }
  const bySemicolon = text.split(';');
  if (bySemicolon.length === 2) return trimmed(bySemicolon[0] ?? '', bySemicolon[1] ?? '');
  const byComma = text.split(/\s*,\s+|\s+,\s*/);
  if (byComma.length === 2) return trimmed(byComma[0] ?? '', byComma[1] ?? '');
  const signed = /^([+-]?\d+(?:[.,]\d+)?°?)\s*([+-]\d+(?:[.,]\d+)?°?)$/.exec(text);
  if (signed) return trimmed(signed[1] ?? '', signed[2] ?? '');
  const degrees = /^([+-]?\d+[^+\-\d][^+-]*?)\s+([+-]?\d+(?:[.,]\d+)?\s*°.*)$/.exec(text);
  if (degrees) return trimmed(degrees[1] ?? '', degrees[2] ?? '');
  const bySpace = text.split(/\s+/);
  if (bySpace.length === 2) return trimmed(bySpace[0] ?? '', bySpace[1] ?? '');
  const bareComma = text.split(',');
  return bareComma.length === 2 ? trimmed(bareComma[0] ?? '', bareComma[1] ?? '') : null;
}

function trimmed(first: string, second: string): [string, string] {
  const clean = (part: string) => part.replace(/^[\s,;]+|[\s,;]+$/g, '');
  return [clean(first), clean(second)];
}

/** One coordinate; a text says what is wrong with it. */
function readAngle(text: string): Angle | string {
  const letter = /[NSEW]/.exec(text)?.[0] ?? null;
  const rest = text.replace(/[NSEW]/, '').trim();
  const sign = /^[+-]/.exec(rest)?.[0] ?? '';
  const body = rest.slice(sign.length).trim();
  if (
    !/^\d+([.,]\d+)?(\s*[°:\s]\s*\d+([.,]\d+)?(\s*[':\s]\s*\d+([.,]\d+)?\s*"?|\s*'?))?\s*°?$/.test(
      body,
    )
  ) {
    return 'is not two coordinates';
  }
  const numbers = [...body.matchAll(/\d+(?:[.,]\d+)?/g)].map((match) => match[0]);
  if (numbers.slice(0, -1).some((number) => /[.,]/.test(number))) {
    return 'has a fraction before its last part';
  }
  const [deg = 0, min = 0, sec = 0] = numbers.map((number) => Number(number.replace(',', '.')));
  if (min >= 60 || sec >= 60) return 'has minutes or seconds of 60 or more';
  if (letter !== null && sign !== '') return 'has a sign besides its letter';
  const axis = letter === null ? null : 'NS'.includes(letter) ? 'latitude' : 'longitude';
  const isNegative = sign === '-' || letter === 'S' || letter === 'W';
  const size = deg + min / 60 + sec / 3600;
  return { deg: isNegative ? -size : size, axis };
}

function rounded(deg: number): number {
  return Number(deg.toFixed(DIGITS)) + 0;
}

function refuse(text: string, what: string): PositionReading {
  return {
    ok: false,
    message: `${what.split('; ')[0]} (got ${text}); ${what.split('; ')[1] ?? HELP}`,
  };
}
