/** The page's own look: dark soil on pale sand, large enough for the sun, plain on paper. */
export const PAGE_CSS = `
:root { color-scheme: light; --soil: #2b2118; --sand: #f6f1e7; --line: #b9ab93; --dew: #0b5a63; --warn: #8a2d0c; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 72rem; background: var(--sand); color: var(--soil);
  font: 1.125rem/1.5 system-ui, sans-serif; }
h1 { font-size: 1.5rem; margin: 0; }
h2 { font-size: 1.2rem; margin: 1.6rem 0 .4rem; }
.standing { font-size: 1.3rem; font-weight: 700; border: 3px solid currentColor; padding: .5rem .75rem; margin: .8rem 0; }
.standing.held { color: var(--warn); }
.standing.confirmed { color: var(--dew); }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; padding: .35rem .6rem .35rem 0; border-bottom: 1px solid var(--line); vertical-align: top; }
code { display: block; background: #fff; border: 1px solid var(--line); padding: .6rem; overflow-x: auto; white-space: pre-wrap; }
li.warning { color: var(--warn); }
li.notice { margin: .4rem 0; }
li.danger strong, li.warn strong { color: var(--warn); }
@media print { body { background: #fff; font-size: 10pt; max-width: none; } code { border: 0; } }
`;
