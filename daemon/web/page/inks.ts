/** The page's colours as the style sheet gives them now, for what is drawn on a canvas. */
export interface Inks {
  soil: string;
  soft: string;
  line: string;
  dew: string;
  dewWash: string;
  clay: string;
  paper: string;
}

export function readInks(): Inks {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string) => style.getPropertyValue(name).trim();
  return {
    soil: of('--soil'),
    soft: of('--soft'),
    line: of('--line'),
    dew: of('--dew'),
    dewWash: of('--dew-wash'),
    clay: of('--clay'),
    paper: of('--paper'),
  };
}
