#include "sim/report/page_style.h"

namespace mistwright::report {

const std::string_view page_css = R"css(
:root{--paper:#fbfaf6;--card:#fff;--ink:#1d2320;--quiet:#4a524d;--rule:#d9d6cc;--c1:#1d5b8f;--c2:#a8481a;--c3:#3d6b35;--c4:#6b4a8a;--c5:#4a524d;
--good:#2c6a3a;--but:#8a5a10;--bad:#9c2f2f;--bench:#fff;color-scheme:light dark}
@media screen and (prefers-color-scheme:dark){:root{--paper:#15191a;--card:#1d2324;--ink:#eceae4;--quiet:#b3b9b4;--rule:#3a4243;--c1:#7db8e8;
--c2:#f0a06c;--c3:#94cf86;--c4:#c9a8ec;--c5:#c4c9c5;--good:#8fd19b;--but:#e8bd6a;--bad:#f29a94}}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.5 system-ui,"DejaVu Sans",sans-serif}
header,main,footer{max-width:66rem;margin:0 auto;padding:0 1rem}
header{padding-top:1.2rem}
header h1{font-size:1.15rem;margin:0;font-weight:600}
header p{margin:.1rem 0 0;color:var(--quiet);font-size:.92rem}
section{margin:0 0 2.4rem}
h2{font-size:1.3rem;line-height:1.25;margin:0 0 .6rem;padding-top:.9rem;border-top:1px solid var(--rule)}
h3{font-size:1.02rem;margin:1.2rem 0 .3rem}
p{max-width:46rem;margin:.4rem 0}
.answer{border:0;margin:1.2rem 0 2rem}
.answer h2{border:0;padding:0;font-size:1.05rem;margin:0;letter-spacing:.04em}
.answer .stamp{font-size:2.3rem;font-weight:700;line-height:1.1;letter-spacing:0}
.good{color:var(--good)}.but{color:var(--but)}.bad{color:var(--bad)}
.answer .lead{font-size:1.25rem;line-height:1.4;margin:.5rem 0 1.1rem}
dl{margin:0;display:grid;grid-template-columns:9.5rem 1fr;gap:0;max-width:58rem}
dt{font-weight:600}
dd{margin:0}
dl>dt,dl>dd{padding:.28rem 0;border-top:1px solid var(--rule)}
.pair,.four{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,25rem),1fr));gap:1.2rem 1.8rem;align-items:start}
.four{grid-template-columns:repeat(auto-fit,minmax(min(100%,14rem),1fr));gap:.8rem 1.2rem}
figure{margin:.6rem 0 0;min-width:0}
figure.wide{max-width:44rem}
.wide svg text{font-size:10px}.wide svg .tick{font-size:9.5px}.wide svg .axis{font-size:10px}
.bar{max-width:34rem}
figcaption{color:var(--ink);font-size:.95rem;margin:.35rem 0 .3rem;max-width:44rem}
svg{display:block;width:100%;height:auto;overflow:hidden}
svg text{font:13px system-ui,"DejaVu Sans",sans-serif;fill:var(--ink)}
svg .tick{fill:var(--quiet);font-size:12px}
svg .axis{font-weight:600;font-size:12.5px}
.four svg .axis{font-size:26px}
.grid{stroke:var(--rule);stroke-width:1}
.curve{fill:none;stroke-width:2;stroke-linejoin:round}
.c1{stroke:var(--c1)}.c2{stroke:var(--c2);stroke-dasharray:7 3}.c3{stroke:var(--c3);stroke-dasharray:2 3}.c4{stroke:var(--c4);stroke-dasharray:9 3 2 3}
.c5{stroke:var(--c5)}
.area{opacity:.28}.a1{fill:var(--c1)}.a2{fill:var(--c2)}.a3{fill:var(--c3)}.a4{fill:var(--c4)}.a5{fill:var(--c5)}
.wall{fill:none;stroke:var(--ink);stroke-width:2}
.vent{stroke:var(--c1);stroke-width:5}
.fan{fill:var(--c2);stroke:var(--paper);stroke-width:1}
.frame{fill:none;stroke:var(--quiet);stroke-width:1}
.cell,.cells{shape-rendering:crispEdges}
.head{fill:#fff;stroke:#111;stroke-width:1.6}
.on-map{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
svg text.on-map{fill:#111}
.strong{font-weight:700}
.halo{fill:none;stroke:#fff;stroke-width:5}
.halo-line{fill:none;stroke:#fff;stroke-width:3.5}
.bench-line{fill:none;stroke:#111;stroke-width:1.4}
.ring{fill:none;stroke:#111;stroke-width:2}
.compass{fill:none;stroke:var(--ink);stroke-width:1.8}
.wind{fill:none;stroke:#16222c;stroke-width:1.3}
.wind.light{stroke:#fff}
.fate{stroke:var(--paper);stroke-width:1}
.f0{fill:#1d5b8f}.f1{fill:#9a6a35}.f2{fill:#7d858d}.f3{fill:#b4bac0}.f4{fill:#5fa39a}.f5{fill:#e0bf55}.f6{fill:#b23a48}
.band{fill:var(--c1);opacity:.25}
.mark{fill:var(--c1);stroke:var(--paper);stroke-width:1}
.mark.bad{fill:var(--bad)}
details{margin:.2rem 0 .6rem;font-size:.9rem}
summary{cursor:pointer;color:var(--quiet);padding:.2rem 0}
.scroll{overflow:auto;max-height:22rem;border:1px solid var(--rule);border-radius:4px;background:var(--card);margin:.4rem 0}
table{border-collapse:collapse;font-size:.88rem;width:100%;font-variant-numeric:tabular-nums}
caption{text-align:left;padding:.4rem .6rem;font-weight:600}
th,td{text-align:right;padding:.25rem .6rem;border-top:1px solid var(--rule);vertical-align:top}
tbody th{text-align:left;font-weight:500}
thead th{font-weight:600;vertical-align:bottom}
thead th:first-child{text-align:left}
td{white-space:nowrap}tbody th{min-width:8rem}
.words td,.words th{text-align:left;white-space:normal}.words td:last-child{min-width:11rem}
.live{margin:.6rem 0;max-width:34rem}
.live label{display:block;font-weight:600}
.live input{width:100%;height:2.75rem;margin:0;accent-color:var(--c1)}
.live output{display:block;min-height:1.5em}
:focus-visible{outline:3px solid var(--c1);outline-offset:2px}
footer{color:var(--quiet);font-size:.85rem;border-top:1px solid var(--rule);padding-top:.8rem;padding-bottom:2rem;overflow-wrap:anywhere}
li{max-width:46rem;margin:.25rem 0}
@media (max-width:40rem){dl{grid-template-columns:1fr;gap:0}dl>dd{border:0;padding-top:0}.answer .stamp{font-size:1.9rem}
svg text,.wide svg text{font-size:14px}svg .tick,.wide svg .tick,svg .axis,.wide svg .axis{font-size:13px}.four{grid-template-columns:repeat(2,1fr)}}
@page{size:A4;margin:14mm}
@media print{body{background:#fff;font-size:10pt}figure,tr,.four>*{break-inside:avoid}h2{break-after:avoid}.live,details{display:none}
.scroll{max-height:none;overflow:visible;border:0}*{print-color-adjust:exact}}
)css";

const std::string_view page_script = R"js(
(() => {
  'use strict';
  const box = document.getElementById('film-live');
  if (!box) return;
  const data = JSON.parse(document.getElementById('film-data').textContent);
  const group = box.querySelector('.cells');
  const slider = document.getElementById('film-time');
  const said = document.getElementById('film-said');
  const cells = data.x.map((x, i) => {
    const cell = document.createElementNS(group.namespaceURI, 'rect');
    cell.setAttribute('x', x);
    cell.setAttribute('y', data.y[i]);
    cell.setAttribute('width', data.edge);
    cell.setAttribute('height', data.edge);
    group.append(cell);
    return cell;
  });
  const show = () => {
    const frame = Number(slider.value);
    cells.forEach((cell, i) => cell.setAttribute('fill', data.colours[data.levels[frame].charCodeAt(i) - 65]));
    said.textContent = data.words[frame];
    slider.setAttribute('aria-valuetext', data.words[frame]);
  };
  slider.addEventListener('input', show);
  box.hidden = false;
  show();
})();
)js";

}  // namespace mistwright::report
