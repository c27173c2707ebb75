/** Plain on a screen and on paper, in light and dark. */
export const REPORT_CSS = `
:root{color-scheme:light dark;--ink:#1d2522;--paper:#fff;--faint:#c9d0cc;--water:#1f6fb2;--loss:#b5651d;--drained:#7b8794;--dry:#b3261e}
@media(prefers-color-scheme:dark){:root{--ink:#e6ebe8;--paper:#141a17;--faint:#3a4440;--water:#6bb1ee;--loss:#e0a060;--drained:#9aa5b1;--dry:#ff897d}}
body{font:1rem/1.5 system-ui,sans-serif;color:var(--ink);background:var(--paper);max-width:60rem;margin:1.5rem auto;padding:0 1rem}
h1{font-size:1.5rem}h2{font-size:1.15rem;margin-top:2rem}
table{border-collapse:collapse;width:100%}.wide{overflow-x:auto}
th,td{text-align:right;padding:.3rem .6rem;border-bottom:1px solid var(--faint)}th:first-child,td:first-child{text-align:left}
figure{margin:1rem 0;break-inside:avoid}figcaption{font-weight:600}
svg{width:100%;height:auto}svg text{font-size:11px;fill:var(--ink)}.mid{text-anchor:middle}.end{text-anchor:end}
.grid{stroke:var(--faint);stroke-width:1}.level{stroke:var(--dry);stroke-width:1.5;stroke-dasharray:6 4}
.line{fill:none;stroke-width:1.5}.line.water{stroke:var(--water)}
.bars.water{fill:var(--water)}.bars.loss{fill:var(--loss)}.bars.drained{fill:var(--drained)}.bars.dry{fill:var(--dry)}
.key{font-weight:400;margin-left:.8rem}.key::before{content:"";display:inline-block;width:.8em;height:.8em;margin-right:.3em;background:currentColor}
.key.water::before{background:var(--water)}.key.loss::before{background:var(--loss)}.key.drained::before{background:var(--drained)}.key.dry::before,.key.limit::before{background:var(--dry)}
`;
