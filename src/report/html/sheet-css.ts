import { COLUMN, TABLE_GAP } from './board-tables.js';

/** Colours by day and by night; every pair of text and ground has a contrast of 4.5 or more. */
const COLOURS = `
:root{color-scheme:light dark;--ground:#fbfaf7;--ink:#1c1b19;--soft:#595650;--line:#8b867c;--panel:#efece5;--main:#14507a;--on-main:#fff;--alarm-ground:#fff0d6;--alarm:#8a3a00;--now:#ffd97a}
@media (prefers-color-scheme:dark){:root{--ground:#161718;--ink:#ecebe8;--soft:#b3b0aa;--line:#7c7a75;--panel:#242628;--main:#9bd0f5;--on-main:#0d2233;--alarm-ground:#3a2508;--alarm:#ffc27d;--now:#705200}}
`;

/** What paper and screen share. */
const SHARED = `
*{box-sizing:border-box}
[hidden]{display:none!important}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--ground);color:var(--ink);font:1rem/1.4 system-ui,sans-serif}
h1,h2,p,ul,ol,dl,dd,figure{margin:0;padding:0}
h1{font-size:1rem}
h2{font-size:1.1rem}
code{font-family:ui-monospace,monospace;font-size:.95em;overflow-wrap:anywhere}
.machine{font-weight:600;overflow-wrap:anywhere}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
`;

const TYPING = `
#typing{max-width:40rem;margin:0 auto;padding:.4rem .9rem 4rem;display:flex;flex-direction:column;gap:.7rem}
#typing>div,#typing section,#typing form{display:flex;flex-direction:column;gap:.6rem}
#typing header{display:grid;grid-template-columns:1fr auto;gap:.1rem .8rem;align-items:baseline}
#typing header{font-size:.9rem}
#typing .count{color:var(--soft)}
progress{grid-column:1/-1;width:100%;height:.8rem;accent-color:var(--main)}
.where{display:flex;flex-wrap:wrap;gap:.4rem}
.where div{flex:1 1 auto;background:var(--panel);border-radius:.4rem;padding:.15rem .6rem;min-width:3.6rem;max-width:100%}
.where dt{color:var(--soft);font-size:.85rem}
.where dd{font-size:1.6rem;font-weight:700;line-height:1.2;overflow-wrap:anywhere;font-variant-numeric:tabular-nums}
#typing label{font-weight:600}
.typed{display:flex;gap:.5rem}
input[type=text]{flex:1;min-width:0;height:3.8rem;font:inherit;font-size:1.9rem;font-variant-numeric:tabular-nums;padding:0 .6rem;border:2px solid var(--line);border-radius:.4rem;background:var(--ground);color:var(--ink)}
button{font:inherit;min-height:3rem;min-width:3rem;padding:.5rem .9rem;border:2px solid var(--line);border-radius:.4rem;background:var(--panel);color:var(--ink);cursor:pointer;touch-action:manipulation}
button.main{background:var(--main);border-color:var(--main);color:var(--on-main);font-weight:600}
button.wide{width:100%;min-height:3.6rem;overflow-wrap:anywhere}
button[disabled]{opacity:.5;cursor:default}
:focus-visible{outline:3px solid var(--main);outline-offset:2px}
.buttons{display:flex;flex-wrap:wrap;gap:.5rem}
.buttons button{flex:1 1 auto}
#where-to,#had,.small{color:var(--soft)}
.problem:empty,.question p:empty,#saved:empty,#copied:empty{display:none}
.problem{border-left:.4rem solid var(--alarm);padding:.3rem .7rem;overflow-wrap:anywhere}
.question.open{border:3px solid var(--alarm);border-radius:.5rem;background:var(--alarm-ground);padding:.7rem;display:flex;flex-direction:column;gap:.7rem}
.question p{font-size:1.15rem;overflow-wrap:anywhere}
.note{border:2px solid var(--line);border-radius:.4rem;padding:.6rem;display:flex;flex-wrap:wrap;gap:.5rem;align-items:center}
.note p{flex:1 1 100%}
.note button{flex:1 1 auto}
.choice{display:flex;align-items:center;gap:.7rem;min-height:3rem;cursor:pointer}
.choice input{width:1.6rem;height:1.6rem;flex:none;accent-color:var(--main)}
#tries{font-weight:600;font-variant-numeric:tabular-nums}
.map .side{display:flex;justify-content:space-between;gap:1rem;color:var(--soft);font-size:.85rem;overflow-wrap:anywhere}
.map .window{overflow-x:auto}
.map svg{display:block;height:auto}
.map .short svg{max-width:100%}
.map rect{fill:none;stroke:var(--line)}
.map text{font:10px system-ui,sans-serif;fill:var(--ink)}
.map .done rect{fill:var(--soft);stroke:var(--soft)}
.map .done text{fill:var(--ground)}
.map .odd rect{fill:var(--alarm-ground);stroke:var(--alarm);stroke-width:2;stroke-dasharray:3 2}
.map .odd text{fill:var(--ink)}
.map .now rect{fill:var(--now);stroke:var(--ink);stroke-width:2.5}
.map .now text{fill:var(--ink);font-weight:700}
summary{min-height:3rem;display:flex;align-items:center;gap:.6rem;cursor:pointer;font-weight:600;overflow-wrap:anywhere}
summary::before{content:"+";font-size:1.4rem;width:1.2rem;text-align:center;flex:none}
#advice ul{padding-inline-start:1.25em}
details[open]>summary::before{content:"−"}
summary::-webkit-details-marker{display:none}
.tally{margin-left:auto;font-weight:400;color:var(--soft);white-space:nowrap}
.places{list-style:none;display:flex;flex-direction:column;gap:.3rem}
.places button,#review-list button{width:100%;display:flex;gap:.7rem;text-align:left;align-items:center;background:none;border:1px solid var(--line);overflow-wrap:anywhere}
.places button>span:first-child{color:var(--soft);min-width:1.8rem;text-align:right;font-variant-numeric:tabular-nums}
.places button b{margin-left:auto;text-align:right;font-variant-numeric:tabular-nums}
.places button b.blank{font-weight:400;color:var(--soft)}
.places button[aria-current]{border:3px solid var(--main);background:var(--panel)}
#review-list{list-style:none;display:flex;flex-direction:column;gap:.3rem}
textarea{width:100%;font:.9rem/1.4 ui-monospace,monospace;border:2px solid var(--line);border-radius:.4rem;background:var(--ground);color:var(--ink);padding:.5rem;white-space:pre;overflow:auto}
#copying{display:block}#copying[open]{padding-bottom:.5rem}
dialog{border:3px solid var(--line);border-radius:.5rem;background:var(--ground);color:var(--ink);max-width:min(26rem,90vw)}
dialog p{margin-bottom:1rem}
dialog::backdrop{background:#000a}
@media (min-width:60rem){#typing{max-width:76rem;display:grid;grid-template-columns:1fr 1fr;gap:.9rem 2.5rem;align-items:start}#typing header,#typing .note{grid-column:1/-1}}
`;

const PAPER = `
#paper{max-width:186mm;margin:0 auto;padding:4mm;background:#fff;color:#000;color-scheme:light;font:10pt/1.3 system-ui,sans-serif}
#paper header{display:flex;flex-wrap:wrap;align-items:baseline;gap:0 5mm;border-bottom:.5mm solid #000;padding-bottom:1mm}
#paper h1{font-size:14pt}
#paper .count{flex-basis:100%}
#paper h2{font-size:11pt;break-after:avoid}
.by-pen{display:flex;gap:4mm;margin:3mm 0 1mm}
.by-pen div{flex:1;display:flex;gap:1mm;align-items:flex-end}
.by-pen dt{white-space:nowrap;font-size:9pt}
.by-pen dd{flex:1;border-bottom:.3mm solid #000;height:6mm}
figure{break-inside:avoid;margin:1mm 0 2mm}
figcaption{font-size:8pt}
.drawing{display:block;width:100%;max-height:225mm}
.drawing text{font:11px system-ui,sans-serif;fill:#000}
.drawing .ground{fill:#fff}
.drawing .name,.drawing .knife{font-weight:700}
.drawing .figure,.drawing .knife{font-variant-numeric:tabular-nums}
.drawing .block{fill:#ddd;stroke:#000}
.drawing .on-block{fill:#333}
.drawing .adjuster{fill:#fff;stroke:#000}
.drawing .board{fill:#fff;stroke:#000}
.drawing .scoop{fill:#fff;stroke:#000;stroke-width:.8}
.drawing .line{fill:none;stroke:#000}
.drawing .mark{fill:#000}
.drawing .station{stroke:#777;stroke-dasharray:4 3}
.advice{display:grid;grid-template-columns:1fr 1fr;gap:5mm;font-size:8pt;line-height:1.25;break-inside:avoid}
.advice ul{padding-left:4mm}
.boards{margin-top:4mm}
.tables{display:flex;flex-wrap:wrap;gap:${TABLE_GAP}mm;align-items:flex-start;break-inside:avoid;margin:2mm 0 4mm}
#paper table{border-collapse:collapse;table-layout:fixed}
#paper caption{text-align:left;font-size:9pt;overflow-wrap:anywhere;padding-bottom:.5mm}
#paper tr{break-inside:avoid}
#paper th,#paper td{border:.25mm solid #000;padding:0 1mm;height:8.5mm;overflow-wrap:anywhere}
#paper thead th{height:6mm;border-bottom-width:.6mm;font-size:8.5pt;white-space:nowrap;padding:0 .4mm}
#paper .y{width:${COLUMN.y}mm;font-weight:400;text-align:right;font-size:9pt}
#paper .knife{width:${COLUMN.knife}mm;text-align:center;font-weight:700}
#paper thead th{font-weight:700}
#paper .cell{width:${COLUMN.cell}mm}
#paper td.cell{position:relative;text-align:right;font-size:12pt;font-variant-numeric:tabular-nums}
#paper td.cell small{position:absolute;left:.7mm;top:.3mm;font-size:6.5pt;color:#555}
.then{font-size:9pt;margin-top:2mm}
`;

const PRINT = `
@page{margin:10mm 12mm}
@media print{
:root{color-scheme:light}
body{background:#fff;color:#000}
#typing{display:none!important}
#paper{max-width:none;padding:0;display:block!important}
}
@media screen{
.typed-into #paper{display:none}
}
`;

/** The page's only style sheet: for typing on a screen, by day and night, and for paper. */
export function sheetCss(): string {
  return (COLOURS + SHARED + TYPING + PAPER + PRINT).trim();
}
