import { INK, type InkName } from "../theme.js";

/** The page's style sheet; colours come from the theme, light and dark. */
export function pageStyle(): string {
  return [
    `:root{color-scheme:light dark;${variables("light")}}`,
    `@media (prefers-color-scheme:dark){:root{${variables("dark")}}${darkDrawing()}}`,
    LAYOUT,
    PARTS,
    CHARTS,
    PHONE,
    PRINT.replace("VARIABLES", variables("light")),
  ].join("\n");
}

function names(): InkName[] {
  return Object.keys(INK) as InkName[];
}

function variables(mode: "light" | "dark"): string {
  return names()
    .map((name) => `--${name}:${INK[name][mode]}`)
    .join(";");
}

/** Each light colour of a drawing gives way to its dark partner; no drawing is made twice. */
function darkDrawing(): string {
  return names()
    .filter((name) => (INK[name].light as string) !== INK[name].dark)
    .map(
      (name) =>
        `.chart [fill="${INK[name].light}"]{fill:var(--${name})}.chart [stroke="${INK[name].light}"]{stroke:var(--${name})}`,
    )
    .join("");
}

const LAYOUT = `
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--text);font:16px/1.5 "Helvetica Neue",Arial,"Liberation Sans",sans-serif;overflow-wrap:anywhere}
.skip{position:absolute;left:-99em}
.skip:focus{left:1rem;top:1rem;background:var(--plot);padding:.5rem 1rem;z-index:9}
header,main,footer{max-width:1500px;margin:0 auto;padding:0 clamp(12px,3vw,40px)}
header{display:flex;flex-wrap:wrap;gap:.25rem 1.5rem;align-items:baseline;padding-top:18px;padding-bottom:10px;color:var(--soft);font-size:.95rem}
header b{color:var(--text);letter-spacing:.04em}
main>section{border-top:1px solid var(--line);padding:26px 0 30px}
main>section:first-child{border-top:0;padding-top:6px}
h1,h2,h3{line-height:1.2;margin:0;font-weight:600}
h2{font-size:1.15rem;margin-bottom:14px}
h3{font-size:1rem;margin:26px 0 10px}
p{margin:.4em 0;max-width:75ch}
a{color:var(--filtered)}
footer{color:var(--soft);padding-top:20px;padding-bottom:40px;font-size:.9rem}
:focus-visible{outline:3px solid var(--filtered);outline-offset:2px}
`;

const PARTS = `
.call{--ink:var(--undetermined)}
.call-quiet{--ink:var(--quietText)}
.call-marginal{--ink:var(--rotorText)}
.call-loud{--ink:var(--loud)}
.spar{display:block;width:100%;height:34px;color:var(--ink)}
.call h1{font-size:clamp(2.2rem,6vw,3.6rem);color:var(--ink);letter-spacing:-.01em;margin:.1em 0 .05em}
.call p{font-size:1.2rem;max-width:62ch}
.call .facts{font-size:1rem;color:var(--soft)}
.mode-number{font-size:clamp(1.8rem,4.5vw,2.6rem);font-weight:600;color:var(--mode);margin:0}
.mode-number small{font-size:.5em;font-weight:400;color:var(--text)}
.two h3:first-child{margin-top:9px}
.two{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,420px),1fr));gap:8px 48px}
ul.reasons{list-style:none;margin:0;padding:0}
ul.reasons li{display:grid;grid-template-columns:7.6rem 1fr;gap:0 12px;padding:9px 0;border-top:1px solid var(--grid)}
ul.reasons li:first-child{border-top:0}
.level{font-weight:600;white-space:nowrap;color:var(--soft)}
.level svg{width:30px;height:12px;margin-right:8px;vertical-align:middle}
.level-ok{color:var(--quietText)}.level-marginal,.level-warn{color:var(--rotorText)}.level-loud,.level-fail{color:var(--loud)}.level-unknown{color:var(--undetermined)}
.value{color:var(--soft);font-size:.92em;display:block}
ol.next{padding-left:1.4em;margin:0}ol.next li{padding:4px 0}
ul.fine{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,330px),1fr));gap:0 36px;font-size:.92rem}
ul.fine li,ul.fine li:first-child{grid-template-columns:3.9rem 1fr;border-top:1px solid var(--grid)}
.newspaper table{display:block}.newspaper tbody,.newspaper caption{display:block}.newspaper tbody{columns:3 300px;column-gap:40px}.newspaper thead{display:none}.newspaper tr{display:grid;grid-template-columns:1.3fr 1.6fr .5fr;break-inside:avoid}
.scroll{overflow-x:auto;max-width:100%}
table{border-collapse:collapse;font-size:.92rem;font-variant-numeric:tabular-nums;min-width:min(100%,320px)}
caption{text-align:left;color:var(--soft);padding-bottom:6px}
th,td{text-align:left;vertical-align:baseline;overflow-wrap:break-word;padding:5px 18px 5px 0;border-top:1px solid var(--grid);min-width:4.5em;max-width:44ch}
thead th{border-top:0;color:var(--soft);font-weight:600}
.hush{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
details{margin-top:6px;position:relative;font-size:.95rem}
summary{cursor:pointer;color:var(--soft);padding:4px 0}
dl{display:grid;grid-template-columns:fit-content(40%) minmax(0,1fr);gap:4px 24px;margin:0}dt{color:var(--soft)}dd{margin:0}
button{font:inherit;font-size:.92rem;color:var(--text);background:var(--plot);border:1px solid var(--soft);border-radius:3px;padding:3px 10px;min-height:30px;cursor:pointer}
button[aria-pressed=false]{color:var(--soft);border-style:dashed;text-decoration:line-through}
td button,th button{border:0;background:none;padding:0 2px;text-decoration:underline;color:var(--mode);font-variant-numeric:inherit;min-height:26px;font-weight:600}
.bar{display:flex;flex-wrap:wrap;gap:8px 10px;align-items:center;padding:8px 0;position:sticky;top:0;background:var(--paper);z-index:3;border-bottom:1px solid var(--grid)}
.bar span{color:var(--soft);margin-left:8px}.bar span:first-child{margin-left:0}
`;

const CHARTS = `
figure{margin:0;min-width:0}
figcaption h3,figcaption h4{font-size:1rem;font-weight:600;margin:0 0 6px}
.grid{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,380px),1fr));gap:26px 30px}
.grid figure{max-width:640px}
.grid figure.enlarged{grid-column:1/-1;max-width:980px}
.draw svg{display:block;width:100%;height:auto;overflow:hidden}
.draw.narrow{display:none}
figure[tabindex] .draw{cursor:crosshair;touch-action:pan-y;user-select:none}
.readout{display:block;min-height:2.9em;line-height:1.4;font-size:.9rem;font-variant-numeric:tabular-nums;color:var(--soft);padding-top:4px}
.tools{float:left;display:flex;gap:6px;margin:4px 12px 0 0}
figure details{clear:left}
.tools button{min-width:32px;padding:1px 7px;border-color:var(--line);color:var(--soft)}
.cursor{stroke:var(--text);stroke-width:1;fill:none;pointer-events:none}
.pin{stroke:var(--loud);stroke-width:1.5;stroke-dasharray:6 3;fill:none;pointer-events:none}
.picked{fill:var(--filtered);fill-opacity:.18;pointer-events:none}
.tick{stroke:var(--grid);pointer-events:none}.ticktext{fill:var(--soft);font-size:12px}
.zoomed .plot path,.zoomed .plot line{vector-effect:non-scaling-stroke}
.gone{display:none}
.zoomed .leader,.zoomed .leader-mode,.zoomed .rotor-name,.zoomed .mode-name,.zoomed .quiet-level,.zoomed .meeting-throttle,.zoomed .flown-name,.zoomed .more{display:none}
.modetext{fill:var(--mode)}
.hide-raw .curve-raw,.hide-raw .interval-raw,.hide-raw .name-raw,.hide-filtered .curve-filtered,.hide-filtered .name-filtered,.hide-dterm .curve-dterm,.hide-dterm .interval-dterm,.hide-dterm .name-dterm{display:none}
.hide-roll [data-axis=roll],.hide-pitch [data-axis=pitch],.hide-yaw [data-axis=yaw]{display:none}
`;

const PHONE = `
@media (max-width:760px){.draw.wide{display:none}.draw.narrow,.draw.both{display:block}ul.reasons li,ul.fine li,ul.fine li:first-child{grid-template-columns:1fr}.bar{position:static}th,td{padding-right:12px}}
@media (prefers-contrast:more){:root{--soft:var(--text);--line:var(--text)}}
`;

const PRINT = `
@page{margin:14mm}
@media print{html{font-size:10pt}:root{color-scheme:light;VARIABLES;--paper:#fff}body{background:#fff}.chart [fill="${INK.paper.light}"]{fill:#fff}
.bar,.tools,.readout,.skip{display:none!important}header,main,footer{padding-left:0;padding-right:0}main>section{padding:12px 0}
figure,tr,li{break-inside:avoid}h2,h3,h4{break-after:avoid}.grid{grid-template-columns:1fr 1fr;gap:12px 18px}.draw.wide{display:none}.draw.narrow{display:block;max-width:118mm}ul.fine{grid-template-columns:1fr 1fr}.two{grid-template-columns:1fr 1fr;gap:8px 28px}ul.weigh li{grid-template-columns:1fr}.scroll{overflow:visible}th,td{padding-right:10px;min-width:0}details:not([open]){display:none}th button{color:var(--mode)}}
`;
