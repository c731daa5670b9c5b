"""The look of the page: one style sheet for screens of any width and for paper."""

from typing import Final

STYLE: Final = """
:root { color-scheme: light; --ink: #24211c; --soft: #5e574d; --paper: #fbfaf7; --panel: #f4f2ed; --rule: #d8d3c8;
  --sea: #0f5c63; --thing: #2b5d7d; --wood: #e9d8bd; --go: #1d6b3a; --wait: #8a5a00; --stop: #a3201d; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 16px/1.5 system-ui, "Segoe UI", Roboto, "Helvetica Neue", "DejaVu Sans", sans-serif; }
main, header, footer { max-width: 62rem; margin: 0 auto; padding: 0 16px; }
header { padding-top: 20px; }
header p { margin: 0; color: var(--soft); }
h1 { font-size: 1.35rem; line-height: 1.25; margin: 0 0 2px; }
h2 { font-size: 1.15rem; margin: 2.2rem 0 .6rem; padding-bottom: .25rem; border-bottom: 1px solid var(--rule); }
h3 { font-size: 1rem; margin: 0 0 .3rem; } * + h3 { margin-top: 1rem; }
p { margin: .5rem 0; }
.small, figcaption, caption { font-size: .875rem; color: var(--soft); }
.verdict { margin: 14px 0 0; padding: 14px 16px; border-left: 8px solid; background: var(--panel); }
.verdict strong { display: block; font-size: 1.6rem; line-height: 1.2; }
.verdict strong::first-letter { text-transform: uppercase; }
.verdict .odds { margin: .1rem 0 .5rem; font-size: 1.1rem; font-weight: 600; }
.points { list-style: none; padding: 0; margin: .4rem 0 0; font-size: .9375rem; line-height: 1.4; }
.points li { margin: 0; padding: .4rem 0; border-top: 1px solid var(--rule); } .points em { font-style: normal; color: var(--sea); }
.top { display: flow-root; margin-top: 14px; } .opening { float: right; width: 44%; margin: 0 0 14px 18px; } .top .verdict { display: flow-root; margin: 0; } .top h2 { margin-top: 1rem; overflow: hidden; }
.opening img { display: block; width: 100%; max-width: 400px; height: auto; margin: 0 auto; }
.print { border-color: var(--go); } .print strong { color: var(--go); }
.pieces { border-color: var(--wait); } .pieces strong { color: var(--wait); }
.stop { border-color: var(--stop); } .stop strong { color: var(--stop); }
ol, ul { padding-left: 1.3rem; margin: .5rem 0; }
li { margin: .3rem 0; }
dl { display: grid; grid-template-columns: repeat(auto-fill, minmax(9.5rem, 1fr)); gap: 1px; margin: 1rem 0; padding: 1px; }
dl div { background: #fff; padding: 8px 10px; box-shadow: 0 0 0 1px var(--rule); }
dt { font-size: .8125rem; color: var(--soft); } dd { margin: 0; font-weight: 600; overflow-wrap: anywhere; }
.grid { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 22rem), 1fr)); gap: 18px; }
figure { margin: 0; background: #fff; border: 1px solid var(--rule); padding: 10px; break-inside: avoid; }
figure svg { display: block; width: 100%; max-width: 460px; height: auto; margin: 0 auto; }
figcaption { margin-top: 6px; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .9375rem; background: #fff; }
caption { text-align: left; padding: 0 0 6px; }
th, td { padding: 5px 8px; text-align: right; border: 1px solid var(--rule); font-weight: 400; font-variant-numeric: tabular-nums; white-space: nowrap; }
thead th { background: var(--panel); font-weight: 600; white-space: normal; }
th:first-child { text-align: left; white-space: normal; min-width: 7.5em; }
.findings { list-style: none; padding: 0; }
.findings li { padding: 6px 10px; border-left: 4px solid var(--rule); background: #fff; }
.findings .fail { border-color: var(--stop); } .findings .warn { border-color: var(--wait); }
.where { color: var(--soft); } .findings em { display: block; font-style: normal; color: var(--sea); }
.cautions { border: 2px solid var(--wait); background: #fff; padding: 8px 16px 8px 32px; }
details summary { cursor: pointer; padding: 6px 0; color: var(--sea); }
#solid { background: #f4f2ed; border: 1px solid var(--rule); } #solid svg { display: block; max-width: 520px; width: 100%; margin: 0 auto; }
#solid.live svg { display: none; }
#solid canvas { display: block; width: 100%; height: min(70vh, 26rem); touch-action: none; cursor: grab; }
button { font: inherit; font-size: .875rem; padding: 6px 12px; margin: 0 6px 6px 0; border: 1px solid var(--sea); border-radius: 3px; background: #fff; color: var(--sea); min-height: 40px; }
button[aria-pressed="true"] { background: var(--sea); color: #fff; }
:focus-visible { outline: 3px solid var(--sea); outline-offset: 2px; }
footer { padding-top: 16px; padding-bottom: 32px; color: var(--soft); font-size: .875rem; }
svg:not([width]) text { font-size: 12px; fill: var(--ink); }
svg .wood, svg .gap, svg .thing { stroke-width: 1.2; stroke-linejoin: round; }
svg .wood { fill: var(--wood); stroke: #5c4a2e; fill-rule: evenodd; }
svg .gap { fill: var(--wood); stroke: #8a6a33; stroke-width: .8; fill-rule: evenodd; }
svg .thing { fill: #dbe6ee; stroke: var(--thing); fill-opacity: .92; }
svg .trace { fill: none; stroke: var(--stop); stroke-width: 1; stroke-dasharray: 3 3; }
svg .dim, svg .ext { fill: none; stroke: var(--soft); stroke-width: 1; }
svg .level { fill: none; stroke: var(--sea); stroke-width: 1.2; }
svg .lead { fill: none; stroke: #9aa0a6; stroke-width: .6; }
svg .axis { fill: none; stroke: var(--stop); stroke-width: 1.2; stroke-dasharray: 8 3 2 3; }
svg .way { stroke: var(--ink); stroke-width: 1.6; } svg .wayhead { fill: var(--ink); }
svg .guess { fill: none; stroke: var(--thing); stroke-width: 1; stroke-dasharray: 4 4; }
svg .ground { stroke: var(--ink); stroke-width: 1.6; }
svg .ball { fill: #fff; stroke: var(--ink); } svg .balled { fill: var(--ink); }
svg .frame { fill-opacity: 1; stroke: var(--soft); stroke-width: .6; } svg path.frame { fill: none; }
svg .curve { fill: none; stroke: var(--sea); stroke-width: 2.2; stroke-linejoin: round; }
svg .asked { fill: none; stroke: var(--stop); stroke-width: 1.4; stroke-dasharray: 4 3; } svg .dot { fill: var(--stop); }
svg .asked-words { font-weight: 600; }
@media (max-width: 44rem) { .top { display: flex; flex-direction: column; } .opening { order: 1; width: auto; margin: 14px 0 0; } }
@media (max-width: 30rem) { table { font-size: .875rem; } th, td { padding: 5px 6px; } }
@media print {
  @page { margin: 14mm; }
  body { font-size: 10pt; background: #fff; } main, header, footer { max-width: none; padding: 0; }
  h2 { break-after: avoid; margin-top: 1.2rem; } table, .verdict, .cautions, dl { break-inside: avoid; }
  h2 + .small { break-after: avoid; } .grid { grid-template-columns: 1fr 1fr; gap: 8px; }
  table { font-size: 8.5pt; } th, td { padding: 3px 5px; white-space: normal; } .wide { overflow: visible; }
  #solid-tools, #solid canvas { display: none; } #solid.live svg { display: block; max-width: 300px; }
  details::details-content { content-visibility: visible; display: block; height: auto; }
  * { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
"""
