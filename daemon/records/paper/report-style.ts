/** The report's look: on a screen, and on A4 or Letter across. */
export const REPORT_STYLE = `
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #111; background: #fff; margin: 1.5rem auto; max-width: 1400px; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin: 0 0 .2rem; } h2 { font-size: 1.15rem; margin: 1.8rem 0 .3rem; border-bottom: 2px solid #2b6a8f; }
p { max-width: 75ch; margin: .3rem 0 .6rem; } .about, .marks { color: #333; font-size: .9rem; }
.figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(13rem, 1fr)); gap: .6rem; margin: 1rem 0; padding: 0; list-style: none; }
.figures li { border: 1px solid #888; padding: .5rem .7rem; } .figures strong { display: block; font-size: 1.25rem; }
.wide { overflow-x: auto; } table { border-collapse: collapse; font-size: .82rem; width: 100%; }
th, td { border: 1px solid #aaa; padding: .18rem .35rem; text-align: left; vertical-align: top; }
th { background: #eef3f6; font-weight: 600; } td.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
td:first-child { white-space: nowrap; } td.estimate { font-style: italic; } tbody tr:nth-child(even) { background: #f7f9fa; }
.nothing { color: #333; font-style: italic; } svg { width: 100%; height: auto; font: 12px system-ui, sans-serif; }
@page { size: A4 landscape; margin: 10mm; }
@media print {
  body { font-size: 9.5pt; margin: 0; max-width: none; padding: 0; } h2 { break-after: avoid; }
  .about, .marks { font-size: 7.5pt; max-width: none; } table { font-size: 6.8pt; } th, td { padding: .6mm .8mm; } .wide { overflow: visible; }
  thead { display: table-header-group; } tr, svg, .figures { break-inside: avoid; }
}
`;
